"""The command that compares two charts."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from pix2block.command.help import GroupedHelp, as_click, given_words
from pix2block.command.say import echo, echo_json, notes
from pix2block.options.table import COMPARE, Options, specs


def compare_command() -> click.Command:
    """The command."""
    of = specs(COMPARE)

    def call(old: str, new: str, as_json: bool, **words: Any) -> None:
        _compare(Path(old), Path(new), Options.from_words(given_words(words, of)), as_json)

    parameters: list[click.Parameter] = [
        click.Argument(["old"], metavar="OLD"),
        click.Argument(["new"], metavar="NEW"),
        *map(as_click, of),
        click.Option(["--json", "as_json"], is_flag=True),
    ]
    return GroupedHelp(
        COMPARE,
        params=parameters,
        callback=call,
        of=of,
        help="Compares two charts: blocks and rows that changed, yarn, tails and metres before and "
        "now.",
    )


def _compare(old: Path, new: Path, options: Options, as_json: bool) -> None:
    from pix2block.comparing.compared import compared_json, compared_lines
    from pix2block.comparing.recipe import compare_charts, folder_for
    from pix2block.recipes.outputs import save

    compared = compare_charts(old, new, options.credit)
    folder = Path(options.out) if options.out else folder_for(old, new)
    notes(save(compared, folder).notes)
    if as_json:
        echo_json(compared_json(compared))
        return
    for line in compared_lines(compared):
        echo(line)
    echo(
        f"Everything is in {folder}: compare.html to look at, compare.csv, "
        "changes.txt for buyers, testers.txt for testers"
    )
