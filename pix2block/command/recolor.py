"""The command that shows a chart in other yarns, by role."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from pix2block.command.help import GroupedHelp, as_click, given_words
from pix2block.command.say import echo, echo_json, in_words, notes
from pix2block.options.table import RECOLOR, Options, specs


def recolor_command() -> click.Command:
    """The command."""
    of = specs(RECOLOR)

    def call(chart: str, shelves: tuple[str, ...], as_json: bool, **words: Any) -> None:
        _recolor(Path(chart), shelves, Options.from_words(given_words(words, of)), as_json)

    parameters: list[click.Parameter] = [
        click.Argument(["chart"], metavar="CHART"),
        click.Argument(["shelves"], metavar="SHELF...", nargs=-1, required=True),
        *map(as_click, of),
        click.Option(["--json", "as_json"], is_flag=True),
    ]
    return GroupedHelp(
        RECOLOR,
        params=parameters,
        callback=call,
        of=of,
        help="Shows a chart in the yarns of each shelf. What a yarn is in the design is its role: "
        "a shelf's yarn takes the role of its name, or whose name it begins with, the others in "
        "order. Each colourway is judged on the roles that touch, in grey and for other eyes.",
    )


def _recolor(chart: Path, shelves: tuple[str, ...], options: Options, as_json: bool) -> None:
    from pix2block.colorways.colorway import colorways_json, colorways_lines
    from pix2block.colorways.recipe import recolor
    from pix2block.comparing.recipe import called
    from pix2block.recipes.outputs import save

    colorways = recolor(chart, shelves)
    folder = Path(options.out) if options.out else Path("output") / f"{called(chart)}-colorways"
    notes((*save(colorways, folder).notes, *colorways.notes))
    if as_json:
        echo_json(colorways_json(colorways))
        return
    for line in colorways_lines(colorways):
        echo(in_words(line))
    echo(f"The colourways are in {folder}: colorways.pdf to look at, and a chart for each")
