"""A picture charted anew in a folder where its chart was mended: the journal is done again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import dropwhile, groupby

import numpy as np

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.progress import Progress
from pix2block.ground.units import say_count
from pix2block.mending.apply import Call, next_group
from pix2block.mending.asked import pairs
from pix2block.mending.back import Step, done_again, steps_of
from pix2block.mending.made import with_made_rows
from pix2block.mending.verbs import CALM, SHIELD
from pix2block.options.table import Options
from pix2block.recipes.from_picture import Ready, work
from pix2block.study.study import Study

NOT_AGAIN = "Not done again: "  # before a mend that cannot be on the new chart


def work_again(
    ready: Ready, kept: Chart | None, options: Options, calming: Progress | None = None
) -> Study:
    """The piece from a picture that is ready, worked as options ask, with the mends of the chart
    that was kept of it done again as `chart_again` does; as it comes without one.

    Raises BadInput as that does.
    """
    steps = steps_of(replace(kept, done=None)) if kept else []
    if not kept or not (steps or kept.done):
        return work(ready, options, calming)

    def shielded(plain: Chart) -> Chart:
        return replace(plain, shielded=shields_of(plain, steps))

    study = work(ready, options, calming, shielded)
    chart, left_out = done_on(replace(study.kept, shielded=()), steps)
    chart = with_made_rows(kept, chart)
    again = [say_count(len(steps) - len(left_out), "mend")] if steps else []
    again += [kept.done.words] if kept.done else []
    told = Advice(f"Done again as chart.json has them: {' and '.join(again)}; leave them out: ")
    decided = Advice(*told.parts, Ask("fresh"))
    return replace(
        study,
        chart=chart,
        notes=(*study.notes, *left_out),
        decisions=(*study.decisions, decided),
    )


def shields_of(chart: Chart, steps: Sequence[Step]) -> tuple[tuple[int, int], ...]:
    """Line and column of the blocks that the steps shield, where they are before any step."""
    up_to_last = [*dropwhile(lambda step: step.line.mend != SHIELD, reversed(steps))][::-1]
    origin = np.arange(1, chart.blocks.size + 1).reshape(chart.blocks.shape)  # 0: came in later
    shield = np.zeros(chart.blocks.size + 1, dtype=bool)
    call = Call(chart, amounts_of(chart), next_group(chart))
    for step in up_to_last:
        if step.line.mend == CALM:
            continue
        try:
            done = done_again(call, step, step.new_yarns)
        except BadInput:
            continue  # told where the steps are done
        origin = done.move(origin)
        if step.line.mend == SHIELD and done.at is not None:
            shield[origin[done.at]] = True
        call = replace(call, chart=done.chart)
    return pairs(shield[1:].reshape(chart.blocks.shape))


def done_on(chart: Chart, steps: Sequence[Step]) -> tuple[Chart, tuple[Advice, ...]]:
    """The chart with the steps of another one's journal, and those that cannot be, a sentence
    each."""
    amounts, left_out = amounts_of(chart), []
    for group, of_group in groupby(steps, key=lambda step: step.line.group):
        call = Call(chart, amounts, group)
        for step in of_group:
            line = step.line
            try:
                done = done_again(call, step, step.new_yarns)
                call = call.with_done(done, (line.mend, line.value))
            except BadInput as error:
                left_out.append(Advice(NOT_AGAIN, *error.advice.parts))
        chart, amounts = call.chart, call.amounts
    return chart, tuple(left_out)
