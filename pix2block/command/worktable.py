"""The command that opens the worktable."""

from __future__ import annotations

import webbrowser
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pix2block.command.help import OPEN_GROUPS, GroupedHelp, as_click, given_words
from pix2block.command.progress import ProgressBar
from pix2block.command.say import echo, notes
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput
from pix2block.options.asking import specs_of
from pix2block.options.opening import OpenOptions
from pix2block.options.table import OPEN, Options, specs

if TYPE_CHECKING:
    from pix2block.study.study import Study

_HELP = (
    "Opens the worktable: a piece in the browser, on this machine alone. A picture is charted, a "
    "stripe plan laid out; a chart.json, or the folder that holds it, is opened as it stands; "
    "without any of them the page asks for a picture, or a piece to go on with. Every change is "
    "kept as it happens; Ctrl+C writes the piece's files and stops."
)


def open_command() -> click.Command:
    """The command."""
    of, opening = specs(OPEN), specs_of(OpenOptions)
    every = (*of, *opening)

    def call(place: str | None, **words: Any) -> None:
        how = OpenOptions.from_words(
            given_words({o.name: words.pop(o.name) for o in opening}, opening)
        )
        options = Options.from_words(given_words(words, of))
        _open(Path(place) if place else None, options, bool(how.no_browser))

    parameters: list[click.Parameter] = [
        click.Argument(["place"], metavar="[PICTURE|CHART|PLAN|FOLDER]", required=False),
        *map(as_click, every),
    ]
    return GroupedHelp(
        OPEN, params=parameters, callback=call, help=_HELP, of=(*of, *opening), groups=OPEN_GROUPS
    )


def _open(place: Path | None, options: Options, no_browser: bool) -> None:
    from pix2block.web.server import serve
    from pix2block.web.session import Session
    from pix2block.web.table import Table

    table = Table(Session(_folder(place, options)) if place else None)

    def opened(address: str) -> None:
        echo(f"The worktable is at {address}")
        echo("Only this machine can see it. Ctrl+C stops it and writes the piece's files.")
        if not no_browser:
            webbrowser.open(address)

    serve(table, opened)
    if table.session is not None:
        notes(table.session.log.notes)
        echo(f"Everything is in {table.session.folder}")


def _folder(place: Path, options: Options) -> Path:
    """The folder of the piece; a picture is charted into one."""
    from pix2block.recipes.again import chart_again
    from pix2block.recipes.keeping import CHART, own_folder
    from pix2block.recipes.outputs import save
    from pix2block.stripes.recipe import stripe_plan
    from pix2block.web.pending import is_left, refuse_pending
    from pix2block.web.wanted import begin

    if place.is_dir() and not (place / CHART).is_file():
        raise BadInput(f"folder {place} has no {CHART}: name a picture, or a chart's folder")
    if place.is_dir() or place.name == CHART:
        for spec in specs(OPEN):
            if getattr(options, spec.name) is not None:
                raise BadInput(Ask(spec.name), " goes with a picture: the chart has its own")
        return place if place.is_dir() else place.parent
    folder = Path(options.out) if options.out else own_folder(place)
    if replace(options, out=None) == Options() and is_left(folder, place):
        notes([f"{folder} has a piece of it that was worked on here: it lies as it was left"])
        return folder
    refuse_pending(folder)
    if place.suffix.lower() == ".toml":
        study: Study = stripe_plan(place, options)
    else:
        with ProgressBar("averaging the picture") as progress, ProgressBar("calming") as calming:
            study = chart_again(place, folder, options, progress, calming)
    begin(folder, place, options, study.kept)
    notes((*study.notes, *save(study, folder).notes))
    return folder
