"""The command that mends a chart: mends are done in the order in which they are typed."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pix2block.command.help import MEND_GROUPS, GroupedHelp, as_click, given_words
from pix2block.command.say import echo, echo_json
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput
from pix2block.options.asking import specs_of
from pix2block.options.mends import ALONE, OF_TEXT, MendOptions
from pix2block.options.table import MEND, Options, specs

if TYPE_CHECKING:
    from pix2block.mending.apply import Asked, Mended
    from pix2block.study.study import Study

_HELP = (
    "Changes a chart by hand, in the order given, and makes every report again. A PLACE is "
    '"row 57.3" (row and block in working order), "row 57", "run 57.2", "rows 40 to 60", '
    '"rows 40 on", "column 14, line 15" (from the left and from the top), "columns 3 to 9, '
    'lines 20 to 30" or "from column 3, line 4 to column 9, line 12", or several with ";" between. '
    "CHART may be the chart.csv, chart.xlsx or pattern.txt of a folder too: what was changed there "
    "is the first mend."
)
_ORDER = "mends in order"
Finish = Callable[[Path, Options, "Study", bool], None]


class _InOrder(GroupedHelp):
    """A command that keeps the order in which options of several kinds were typed."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        values, _, order = self.make_parser(ctx).parse_args(args=list(args))
        left = {n: iter(given) for n, given in values.items() if isinstance(given, list)}
        ctx.meta[_ORDER] = [
            (parameter.name, next(left[parameter.name]) if parameter.name in left else "")
            for parameter in order
            if parameter.name in _VERBS
        ]
        return super().parse_args(ctx, args)


_VERBS = [spec.name for spec in specs_of(MendOptions) if spec.name not in ALONE]


def mend_command(finish: Finish) -> click.Command:
    """The command. finish: writes a study's files into the chart's folder and prints its lines."""
    own, of_report = specs_of(MendOptions), specs(MEND)

    def call(place: str, as_json: bool, **words: Any) -> None:
        mends = _with_texts(click.get_current_context().meta[_ORDER])
        alone = {name: words.pop(name) for name in ALONE}
        for name in _VERBS:
            words.pop(name)
        _refuse_mixed(alone, mends, _beside(Path(place)) is not None)
        options = Options.from_words(given_words(words, of_report))
        _mend(Path(place), options, mends, alone, as_json, finish)

    parameters: list[click.Parameter] = [
        click.Argument(["place"], metavar="CHART", required=True),
        *map(as_click, (*own, *of_report)),
        click.Option(["--json", "as_json"], is_flag=True),
    ]
    return _InOrder(
        MEND,
        params=parameters,
        callback=call,
        help=_HELP,
        of=(*own, *of_report),
        groups=MEND_GROUPS,
    )


def _with_texts(asked: list[Asked]) -> list[Asked]:
    """The mends, each text with the options that belong to it."""
    mends: list[Asked] = []
    told: dict[str, str] = {}
    for name, value in [*asked, ("", "")]:
        if name in OF_TEXT:
            if "text" not in told or name in told:
                raise BadInput(Ask(name), " belongs to the ", Ask("text"), " before it, once")
            told[name] = value
            continue
        if told:
            missing = [one for one in OF_TEXT if one not in told]
            if missing:
                raise BadInput(Ask("text", f'"{told["text"]}"'), ": add ", Ask(missing[0]))
            at, height, yarn = (told[one] for one in OF_TEXT)
            mends.append(("text", f"{told['text']} at {at} height {height} in {yarn}"))
            told = {}
        if name == "text":
            told = {name: value}
        elif name:
            mends.append((name, value))
    return mends


def _refuse_mixed(
    alone: Mapping[str, str | None], mends: list[Asked], of_grid: bool = False
) -> None:
    if alone["undo"] and (mends or alone["list"]):
        raise BadInput(Ask("undo"), " stands alone: leave the other mends for another call")
    if not (mends or alone["undo"] or alone["list"] or of_grid):
        raise BadInput("no mend is asked for: give one, as ", Ask("paint", '"row 57.3=Moss"'))


def _mend(
    path: Path,
    options: Options,
    mends: list[Asked],
    alone: Mapping[str, str | None],
    as_json: bool,
    finish: Finish,
) -> None:
    from pix2block.mending.back import journal_lines, undo
    from pix2block.recipes.mended import mended, open_and_apply, open_to_mend

    read: tuple[Path, ...] = ()
    if alone["undo"] or (alone["list"] and not mends):
        study, _ = open_to_mend(_beside(path) or path, options)
        if not alone["undo"]:
            for line in journal_lines(study.chart) or ["No mend so far"]:
                echo(line)
            return
        done = undo(study.chart, alone["undo"])
    else:
        study, done, read = open_and_apply(path, options, mends)
    if alone["dry_run"]:
        echo_json(_differences(done) + "\n")
        return
    if not as_json:
        for line in journal_lines(done.after) if alone["list"] else done.lines:
            echo(line)
    finish(path, options, mended(study, done, read), as_json)


def _beside(path: Path) -> Path | None:
    from pix2block.recipes.grids import chart_beside

    return chart_beside(path)


def _differences(done: Mended) -> str:
    return json.dumps({**done.cost, "mends": done.lines}, ensure_ascii=False, indent=2)
