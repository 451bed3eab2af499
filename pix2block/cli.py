"""The command line: a thin door. It parses words, calls the recipe and prints what came of it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pix2block.ground.errors import BadInput, CheckFailed, Interrupted, Pix2blockError, nearest
from pix2block.options import CHART, CHECK, FIRST_GROUPS, MORE_GROUPS, REPORT, Options, Spec, specs
from pix2block.rules import Flag
from pix2block.trial_command import trial_command
from pix2block.trial_options import TRIAL

if TYPE_CHECKING:
    from pix2block.api import Reported
    from pix2block.making import Made
    from pix2block.proof.compare import Proof

INTERRUPTED = 130
_NOTHING_WRITTEN = "Interrupted; nothing was written."


class _GroupedHelp(click.Command):
    """A command whose help shows options in groups, the usual ones first."""

    def __init__(self, *args: Any, of: Sequence[Spec], **more: Any) -> None:
        super().__init__(*args, **more)
        self.of = of

    def format_options(self, _ctx: click.Context, formatter: click.HelpFormatter) -> None:
        for heading, groups in (("", FIRST_GROUPS), ("more: ", MORE_GROUPS)):
            for group in groups:
                lines = [(spec.form, _help_of(spec)) for spec in self.of if spec.about == group]
                if group == "output":
                    what = (
                        "what came of it"
                        if self.name in (CHECK, TRIAL)
                        else "summary.json's content"
                    )
                    lines.append(("--json", f"print {what} and nothing else"))
                if lines:
                    with formatter.section(f"{heading}{group}"):
                        formatter.write_dl(lines, col_max=28)
        with formatter.section("help"):
            formatter.write_dl([("--help", "show this page")])


def _help_of(spec: Spec) -> str:
    return f"{spec.help} [{spec.shown_default}]" if spec.shown_default else spec.help


def _command(
    name: str, argument: str, does: Callable[[Path, Options, bool], None], help_text: str
) -> click.Command:
    of = specs(name)

    def call(**words: Any) -> None:
        place = Path(words.pop("place"))
        as_json = words.pop("as_json")
        given = {key: text for key, text in words.items() if text not in (None, ())}
        does(place, Options.from_words(given), as_json)

    parameters: list[click.Parameter] = [
        click.Argument(["place"], metavar=argument),
        *(_click_option(spec) for spec in of),
        click.Option(["--json", "as_json"], is_flag=True),
    ]
    return _GroupedHelp(name, params=parameters, callback=call, help=help_text, of=of)


def _click_option(spec: Spec) -> click.Option:
    if isinstance(spec.rule, Flag):
        return click.Option([spec.flag, spec.name], is_flag=True, flag_value="yes", default=None)
    return click.Option([spec.flag, spec.name], multiple=spec.many)


def _chart(picture: Path, options: Options, as_json: bool) -> None:
    from pix2block.making import chart_picture

    with (
        _Progress("averaging the picture") as progress,
        _CalmProgress("calming", "step") as calming,
    ):
        made = chart_picture(picture, options, progress, calming)
    folder = Path(options.out) if options.out else Path("output") / picture.stem
    _finish(made, options, folder, as_json)


def _report(chart: Path, options: Options, as_json: bool) -> None:
    from pix2block.api import open_chart

    made = open_chart(chart, options)
    _finish(made, options, Path(options.out) if options.out else chart.parent, as_json)


def _finish(made: Made, options: Options, folder: Path, as_json: bool) -> None:
    from pix2block.amounts.ways import compare_ways
    from pix2block.api import asked_files, save_reports
    from pix2block.pages.summary import size_advice, summary_json, ways_lines

    ways = []
    if options.compare:
        with _Progress("comparing ways", "way") as progress:
            ways = compare_ways(made.chart, progress)
    more = asked_files(made.chart.title, ways, made.curve)
    reported = save_reports(made.chart, folder, made.look_again, more, options)
    for note in (*made.notes, *reported.notes, size_advice(reported.amounts)):
        if note:
            click.echo(f"Note: {' '.join(note.split())}", err=True)
    if as_json:
        click.echo(summary_json(reported.amounts, reported.lost, reported.proof), nl=False)
    else:
        _print_summary(reported, made, folder)
        for line in ways_lines(ways) if ways else ():
            click.echo(line)
    _refuse(reported.proof, f"the files in {folder} are kept to look into")


def _check(place: Path, options: Options, as_json: bool) -> None:
    from pix2block.api import check_chart, open_chart
    from pix2block.pages.summary import proof_json, proof_line

    proof = check_chart(open_chart(place).chart, options.pattern)
    if as_json:
        click.echo(proof_json(proof), nl=False)
    elif proof.holds:
        click.echo(proof_line(proof))
    _refuse(proof, "mend the pattern at these places, or write it again with pix2block report")


def _refuse(proof: Proof | None, what_now: str) -> None:
    """Raises CheckFailed, after naming each fault, where a proof does not hold."""
    from pix2block.pages.summary import fault_lines, proof_line

    if proof is None or proof.holds:
        return
    for line in fault_lines(proof):
        click.echo(line, err=True)
    raise CheckFailed(f"{proof_line(proof)}; {what_now}")


def _print_summary(reported: Reported, made: Made, folder: Path) -> None:
    from pix2block.pages.summary import (
        better_lines,
        calm_lines,
        lost_lines,
        proof_line,
        summary_lines,
    )

    amounts = reported.amounts
    lost = lost_lines(amounts.chart, reported.lost, made.spare)
    advice = (*calm_lines(amounts), *better_lines(reported.better), *lost)
    checked = (proof_line(reported.proof),) if reported.proof else ()
    for line in (*summary_lines(amounts), *advice, *made.decisions, *checked):
        click.echo(line)
    click.echo(f"Everything is in {folder}{'' if str(folder).endswith('/') else '/'}")
    click.echo(
        "  chart.png to look at, pattern.pdf or pattern.html to work from, chart.json to keep"
    )


class _Progress:
    """A progress bar on a terminal, once work takes over a second; elsewhere nothing."""

    def __init__(self, what: str, unit: str = "line") -> None:
        self.what, self.unit = what, unit
        self.bar: Any = None

    def __enter__(self) -> _Progress:
        return self

    def __call__(self, done: int, of: int) -> None:
        if not sys.stderr.isatty():
            return
        if self.bar is None:
            from tqdm import tqdm

            self.bar = tqdm(total=of, desc=self.what, delay=1.0, leave=False, unit=self.unit)
        self.bar.update(done - self.bar.n)

    def __exit__(self, *_: object) -> None:
        if self.bar is not None:
            self.bar.close()


class _CalmProgress(_Progress):
    """Tells of the wait, too, where the loops that calm have not been compiled yet."""

    def __call__(self, done: int, of: int) -> None:
        if done == 0 and sys.stderr.isatty():
            from pix2block.calming.compiled import is_compiled

            if not is_compiled():
                click.echo("Getting ready to calm, once: some 20 seconds …", err=True)
        super().__call__(done, of)


def _print_version(context: click.Context, _: click.Parameter, asked: bool) -> None:
    if asked:
        from pix2block import __version__

        click.echo(f"pix2block {__version__}")
        context.exit()


_PROGRAM_HELP = """Plans corner-to-corner crochet.

A picture becomes a chart of blocks; with it come its diagonal rows in working order, the tails and
bobbins, yarn and hours, and the written pattern.

Begin with: pix2block chart PICTURE --width 60 --colors 8
"""

program = click.Group(
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
            REPORT,
            "CHART",
            _report,
            "Makes every report again from a chart.json, or from a CSV grid: a line a chart line "
            "from the top, yarn names or #rrggbb, empty where no block is.",
        ),
        _command(
            CHECK,
            "CHART",
            _check,
            "Works the pattern of a chart stitch by stitch from its own words, and compares the "
            "finished fabric, the stitches and the yarn's path with the chart.",
        ),
        trial_command(_GroupedHelp, _click_option, _Progress),
    ],
)


def run(words: Sequence[str] | None = None) -> int:
    """Run the program; the exit code. Errors for the maker are one line on standard error."""
    try:
        code = program.main(
            None if words is None else list(words), prog_name="pix2block", standalone_mode=False
        )
    except (click.Abort, KeyboardInterrupt) as stop:
        late = isinstance(stop.__cause__ or stop.__context__ or stop, Interrupted)
        said = "Interrupted, but the files were already written." if late else _NOTHING_WRITTEN
        click.echo(said, err=True)
        return INTERRUPTED
    except Pix2blockError as error:
        click.echo(f"pix2block: {' '.join(str(error).split())}", err=True)
        return error.exit_code
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message())
        return 0
    except click.ClickException as error:
        click.echo(f"pix2block: {_one_line(error)}", err=True)
        return BadInput.exit_code
    except BrokenPipeError:  # the reader of our output has left
        sys.stderr.close()
        return 0
    return code if isinstance(code, int) else 0


def _one_line(error: click.ClickException) -> str:
    """What is wrong, where, and what to do."""
    context = getattr(error, "ctx", None)
    path = context.command_path if context else "pix2block"
    if isinstance(error, click.NoSuchOption):
        known = [o for p in context.command.params for o in p.opts] if context else []
        near = nearest(error.option_name, [o for o in [*known, "--help"] if o.startswith("--")])
        hint = f"did you mean {near}?" if near else f"see {path} --help"
        name = " ".join(error.option_name.split())
        return f"no option {name} for {path}: {hint}"
    message = " ".join(error.format_message().split()).rstrip(".")
    return f"{message}; see {path} --help"


if __name__ == "__main__":
    sys.exit(run())
