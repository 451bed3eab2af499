"""The rest of a piece that is begun, calmed anew: fewer tails and yarns hanging from here on."""

from __future__ import annotations

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.drawing.marks import with_marks
from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput
from pix2block.options.table import Options


def with_rest_calmed(chart: Chart, options: Options) -> tuple[Chart, tuple[Advice, ...]]:
    """The chart with the rows after those that are made calmed as options ask, as a line of its
    journal, and what came of it; the same where they do not.

    Raises BadInput where no row is made, or no picture is known.
    """
    asked = Ask("calm") if options.calm is not None else Ask("most_hanging")
    if options.calm is None and options.most_hanging is None:
        return chart, ()
    if chart.done is None:
        raise BadInput(
            asked,
            " is for a picture when it is charted, or for the rest of a piece that is begun: add ",
            Ask("done", "ROW"),
        )
    from pix2block.mending.apply import entered, next_group
    from pix2block.mending.calming_verbs import REST, calm_rest

    percent = settings.DEFAULT_CALM if options.calm is None else options.calm
    try:
        done = calm_rest(chart, percent, options.most_hanging)
    except BadInput as error:
        raise BadInput(asked, ": ", *error.advice.parts) from None
    told: tuple[Advice, ...] = ()
    after = with_marks(done.chart)
    most = int(after.plan.attached_by_row[chart.done.row :].max(initial=0))
    if options.most_hanging and most > options.most_hanging:
        words = f"{most} yarns still hang in a row after those that are made, over the "
        told = (
            Advice(
                f"{words}{options.most_hanging} asked for: a higher ", Ask("calm"), " may do it"
            ),
        )
    if not done.blocks:
        return chart, told
    value = f"{percent:g}" + (f", {options.most_hanging} hanging" if options.most_hanging else "")
    group, amounts = next_group(chart), amounts_of(chart)
    return entered(chart, done, (REST, value), group, amounts)[0], told
