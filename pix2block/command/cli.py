"""The command line: a thin door. It parses words, calls the recipe and prints what came of it."""

from __future__ import annotations

import gc
import logging
import sys
import warnings
from collections.abc import Callable, Sequence
from dataclasses import replace
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pix2block.command.compare import compare_command
from pix2block.command.ending import ended
from pix2block.command.estimate import estimate_command
from pix2block.command.help import SWATCH_GROUPS, GroupedHelp, as_click, given_words
from pix2block.command.mend import mend_command
from pix2block.command.program import Program, keep_memory, quicken, with_streams
from pix2block.command.progress import ProgressBar
from pix2block.command.recolor import recolor_command
from pix2block.command.say import echo, echo_json, in_words, notes
from pix2block.command.send import send_command
from pix2block.command.trial import trial_command
from pix2block.command.worktable import open_command
from pix2block.ground.errors import CheckFailed
from pix2block.options.asking import specs_of
from pix2block.options.swatch import SWATCH, SwatchOptions
from pix2block.options.table import CHART, CHECK, REPORT, STRIPE, Options, specs

if TYPE_CHECKING:
    from pix2block.proof.compare import Proof
    from pix2block.study.study import Study

_BOTH = "pattern.pdf or pattern.html"


def _command(
    name: str,
    argument: str,
    does: Callable[[Any, Options, bool], None],
    help_text: str,
    several: bool = False,
) -> click.Command:
    """A command. does: takes the path, or with `several` the paths, that are its argument."""
    of = specs(name)

    def call(**words: Any) -> None:
        place = words.pop("place")
        as_json = words.pop("as_json")
        paths = [Path(one) for one in place] if several else Path(place)
        keep_memory()
        does(paths, Options.from_words(given_words(words, of)), as_json)

    parameters: list[click.Parameter] = [
        click.Argument(["place"], metavar=argument, nargs=-1 if several else 1, required=True),
        *map(as_click, of),
        click.Option(["--json", "as_json"], is_flag=True),
    ]
    return GroupedHelp(name, params=parameters, callback=call, help=help_text, of=of)


def _chart(picture: Path, options: Options, as_json: bool) -> None:
    from pix2block.recipes.again import chart_again

    folder = _folder(options, picture)
    with (
        ProgressBar("averaging the picture") as progress,
        ProgressBar("calming", "step") as calming,
    ):
        study = chart_again(picture, folder, options, progress, calming)
    _finish(study, folder, as_json)


def _stripe(plans: Sequence[Path], options: Options, as_json: bool) -> None:
    from pix2block.recipes.outputs import save
    from pix2block.stripes.recipe import stripe_plan, stripe_side_by_side

    if len(plans) == 1:
        _finish(stripe_plan(plans[0], options), _folder(options, plans[0]), as_json)
        return
    together = stripe_side_by_side(plans, options)
    folder = _folder(options, Path("plans"))
    notes(save(together, folder).notes)
    if as_json:
        echo_json(together.json)
        return
    for line in together.lines:
        echo(line)
    echo(f"Side by side in {folder / 'plans.png'}; for the pattern of one, stripe it alone")


def _report(chart: Path, options: Options, as_json: bool) -> None:
    from pix2block.recipes.mended import report_of

    _finish_chart(chart, options, report_of(chart, options), as_json)


def _finish_chart(chart: Path, options: Options, study: Study, as_json: bool) -> None:
    from pix2block.recipes.grids import is_grid

    # A grid with no chart beside it is written elsewhere: it gets a folder of its own.
    own = study.chart_file is None or is_grid(study.chart_file)
    kept = None if own else study.chart_file
    folder = kept.parent if kept and not options.out else _folder(options, chart)
    _finish(study, folder, as_json)


def _folder(options: Options, of: Path) -> Path:
    from pix2block.recipes.keeping import own_folder

    return Path(options.out) if options.out else own_folder(of)


def _finish(study: Study, folder: Path, as_json: bool) -> None:
    from pix2block.recipes.keeping import SUMMARY
    from pix2block.recipes.outputs import save
    from pix2block.reports.ways_words import ways_lines
    from pix2block.reports.words import note_lines, study_lines
    from pix2block.web.pending import refuse_pending

    told = refuse_pending(folder)
    with ProgressBar("comparing ways", "way") as comparing:
        study = replace(study, comparing=comparing)
        saved = save(study, folder)
    notes((*note_lines(study), *told, *saved.notes))
    if as_json:
        echo_json(saved.contents[SUMMARY].decode())
    else:
        ways = ways_lines(study.ways) if study.options.compare else ()
        for line in (*study_lines(study), *ways, *_where(study, folder)):
            echo(in_words(line))
    _refuse(study.proof, f"the files in {folder} are kept to look into")


def _where(study: Study, folder: Path) -> tuple[str, str]:
    pattern = "pattern.html" if "pdf" in (study.options.without or ()) else _BOTH
    return (
        f"Everything is in {folder}{'' if str(folder).endswith('/') else '/'}",
        f"  chart.png to look at, {pattern} to work from, shopping.txt to buy by, chart.json to "
        "keep",
    )


def _swatch_command() -> click.Command:
    of = specs_of(SwatchOptions)

    def call(**words: Any) -> None:
        from pix2block.recipes.swatch import swatch_json, swatch_kept, swatch_lines

        as_json = words.pop("as_json")
        asked = SwatchOptions.from_words(given_words(words, of))
        measured, path, told = swatch_kept(asked)
        notes(told)
        if as_json:
            echo_json(swatch_json(measured))
        else:
            for line in swatch_lines(measured, path):
                echo(in_words(line))

    return GroupedHelp(
        SWATCH,
        params=[*map(as_click, of), click.Option(["--json", "as_json"], is_flag=True)],
        callback=call,
        of=of,
        groups=SWATCH_GROUPS,
        help="Measures of a swatch become a block's size and a loop's length, kept in a file for "
        "--swatch FILE: one swatch a call, one yarn or several in a file.",
    )


def _check(place: Path, options: Options, as_json: bool) -> None:
    from pix2block.recipes.from_file import check_chart, open_chart
    from pix2block.reports.summary import proof_json
    from pix2block.reports.words import proof_line

    proof = check_chart(open_chart(place).chart, options.pattern)
    if as_json:
        echo_json(proof_json(proof))
    elif proof.holds:
        echo(proof_line(proof))
    _refuse(proof, "mend the pattern at these places, or write it again with pix2block report")


def _refuse(proof: Proof | None, what_now: str) -> None:
    """Raises CheckFailed, after naming each fault, where a proof does not hold."""
    from pix2block.reports.words import fault_lines, proof_line

    if proof is None or proof.holds:
        return
    for line in fault_lines(proof):
        echo(line, err=True)
    raise CheckFailed(f"{proof_line(proof)}; {what_now}")


def _print_version(context: click.Context, _: click.Parameter, asked: bool) -> None:
    if asked:
        from pix2block import __version__

        echo(f"pix2block {__version__}")
        context.exit()


PLAN_EXAMPLE = """\
  width = 15
  length = 110              # or "180 cm", or "as far as the yarn goes"
  shelf = "shelf_12.csv"
  [[part]]
  order = ["Chalk", "Slate", "Rust", "Slate"]
  rows = 2                  # a stripe, or in turn, as [1, 2, 3, 5]
  lasts = "until a yarn runs out"
  [[part]]
  order = "the others"
  rows = 4
"""

_PROGRAM_HELP = """Plans corner-to-corner crochet.

A picture becomes a chart of blocks; with it come its diagonal rows in working order, the tails and
bobbins, yarn and hours, and the written pattern.

Begin with: pix2block chart PICTURE --width 60 --colors 8

A picture alone is charted: pix2block PICTURE
"""

program = Program(
    "pix2block",
    help=_PROGRAM_HELP,
    params=[
        click.Option(
            ["--version"],
            is_flag=True,
            is_eager=True,
            expose_value=False,
            callback=_print_version,
            help="show the version",
        )
    ],
    commands=[
        _command(
            CHART,
            "PICTURE",
            _chart,
            "A picture becomes a chart and every report of it, in a folder of its own.",
        ),
        _command(
            STRIPE,
            "PLAN...",
            _stripe,
            "A stripe plan, a TOML file, becomes a chart and every report of it; several plans "
            "are drawn side by side. A plan, with all it needs:\n\n\b\n" + PLAN_EXAMPLE,
            several=True,
        ),
        _command(
            REPORT,
            "CHART",
            _report,
            "Makes every report again from a chart.json; from a grid, CSV or .xlsx: a line a chart "
            "line from the top, yarn names or #rrggbb, in .xlsx also fills, empty where no block "
            "is; or from a pattern.txt. A chart.csv, chart.xlsx or pattern.txt that was changed "
            "changes the chart.json beside it.",
        ),
        mend_command(_finish_chart),
        compare_command(),
        recolor_command(),
        estimate_command(),
        open_command(),
        _swatch_command(),
        _command(
            CHECK,
            "CHART",
            _check,
            "Works the pattern of a chart stitch by stitch from its own words, and compares the "
            "finished fabric, the stitches and the yarn's path with the chart.",
        ),
        trial_command(GroupedHelp, as_click, ProgressBar),
        send_command(),
    ],
)


def run(words: Sequence[str] | None = None) -> int:
    """Run the program; the exit code. Each error for the maker is a line on standard error."""
    given = None if words is None else list(words)
    return ended(lambda: program.main(given, prog_name="pix2block", standalone_mode=False))


def main() -> int:
    """The program as it is installed: what libraries warn of and log is no word for a maker, but
    for who asks Python for it."""
    if not sys.warnoptions:
        warnings.simplefilter("ignore")
        logging.getLogger().addHandler(logging.NullHandler())
    with_streams()
    for stream in (sys.stdout, sys.stderr):  # a name may hold what a terminal cannot show
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
    quicken()
    code = run()
    gc.freeze()  # the interpreter's end need not look through what is left
    return code


if __name__ == "__main__":
    sys.exit(main())
