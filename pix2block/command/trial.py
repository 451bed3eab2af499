"""The command that tries palettes: one picture, chart or grid, several shelves."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from pix2block.command.say import echo, echo_json, in_words, notes
from pix2block.options.asking import Spec
from pix2block.options.table import SEVERAL_IN_TRIALS, TRIAL, specs

_HELP = (
    "Tries a picture in the yarns of each shelf, or without one in its own colours, and compares "
    "what is seen and what it costs. A chart.json or a CSV grid is tried block by block as it is. "
    f"{', '.join(f'--{name}' for name in SEVERAL_IN_TRIALS)} may list several, as --colors 4,6,8."
)


def trial_command(
    kind: Callable[..., click.Command],
    as_click: Callable[[Spec], click.Option],
    progress: Callable[[str, str], Any],
) -> click.Command:
    """The command, made as the others are. kind: of command; as_click: an option as Click takes
    it; progress: a bar of what is done, and its unit."""
    of = specs(TRIAL)

    def call(picture: str, shelves: tuple[str, ...], as_json: bool, **words: Any) -> None:
        given = {key: text for key, text in words.items() if text not in (None, ())}
        _try(Path(picture), shelves, given, as_json, progress)

    parameters: list[click.Parameter] = [
        click.Argument(["picture"], metavar="PICTURE"),
        click.Argument(["shelves"], metavar="[SHELF...]", nargs=-1, required=False),
        *map(as_click, of),
        click.Option(["--json", "as_json"], is_flag=True),
    ]
    return kind(TRIAL, params=parameters, callback=call, help=_HELP, of=of)


def _try(
    picture: Path,
    shelves: Sequence[str],
    given: Mapping[str, str | tuple[str, ...]],
    as_json: bool,
    progress: Callable[[str, str], Any],
) -> None:
    from pix2block.recipes.keeping import own_folder
    from pix2block.recipes.outputs import save
    from pix2block.trial.figures import trial_json
    from pix2block.trial.recipe import options_to_try, try_palettes
    from pix2block.trial.words import trial_lines

    asked = options_to_try(given)
    with progress("trying palettes", "palette") as bar:
        trial = try_palettes(picture, shelves, asked, bar)
    of_chart = picture.suffix.lower() == ".json"
    usual = picture.parent if of_chart else own_folder(picture)
    folder = Path(asked[0].out) if asked[0].out else usual
    notes((*save(trial, folder).notes, *trial.notes))
    if as_json:
        echo_json(trial_json(trial))
        return
    for line in trial_lines(trial):
        echo(in_words(line))
    echo(f"The trial is in {folder}: trial.html to look at, trial.png, trial.csv")
