"""The command that asks for the goal: pieces of a picture that keep to hours, yarn and money."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from pix2block.command.help import ESTIMATE_GROUPS, GroupedHelp, as_click, given_words
from pix2block.command.progress import ProgressBar
from pix2block.command.say import echo, echo_json, in_words, notes
from pix2block.options.asking import specs_of
from pix2block.options.goals import EstimateOptions
from pix2block.options.table import ESTIMATE, Options, specs

_HELP = (
    "Goals in, pieces out: at most so long to weave in, so many yarns hanging, so much money. "
    "Tries the picture in the yarns of each shelf, or in its own colours, at several sizes, worked "
    "in several ways, and names the truest piece that keeps every goal, with the command that "
    "makes it."
)
STOPPED = 130


def estimate_command() -> click.Command:
    """The command."""
    own, shared = specs_of(EstimateOptions), specs(ESTIMATE)

    def call(picture: str, shelves: tuple[str, ...], as_json: bool, **words: Any) -> int:
        goals = {spec.name: words.pop(spec.name) for spec in own}
        asked = EstimateOptions.from_words(given_words(goals, own))
        options = Options.from_words(given_words(words, shared))
        return _estimate(Path(picture), shelves, asked, options, as_json)

    parameters: list[click.Parameter] = [
        click.Argument(["picture"], metavar="PICTURE"),
        click.Argument(["shelves"], metavar="[SHELF...]", nargs=-1, required=False),
        *map(as_click, (*own, *shared)),
        click.Option(["--json", "as_json"], is_flag=True),
    ]
    return GroupedHelp(
        ESTIMATE,
        params=parameters,
        callback=call,
        help=_HELP,
        of=(*own, *shared),
        groups=ESTIMATE_GROUPS,
    )


def _estimate(
    picture: Path,
    shelves: Sequence[str],
    asked: EstimateOptions,
    options: Options,
    as_json: bool,
) -> int:
    from pix2block.estimate.recipe import estimate_pieces, folder_for
    from pix2block.estimate.table import estimate_json
    from pix2block.estimate.words import answer_lines, notes_of
    from pix2block.recipes.outputs import save

    with (
        ProgressBar("choosing yarns", "palette") as palettes,
        ProgressBar("trying pieces", "piece") as pieces,
    ):
        estimate = estimate_pieces(picture, shelves, asked, options, palettes, pieces)
    answer = estimate.answer
    folder = Path(options.out) if options.out else folder_for(picture)
    notes(save(estimate, folder).notes)
    for line in notes_of(answer):
        echo(line, err=True)
    if as_json:
        echo_json(estimate_json(answer))
    else:
        for line in answer_lines(answer):
            echo(in_words(line))
        echo(answer.best.command)
        echo(f"Everything is in {folder}: estimate.html to look at, estimate.csv")
    return 0 if answer.whole else STOPPED
