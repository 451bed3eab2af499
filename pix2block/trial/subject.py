"""What is tried in several palettes: a picture, or a chart or grid that is drawn already."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from PIL import Image

from pix2block.chart.chart import Chart
from pix2block.chart.grid import Grid, read_grid
from pix2block.chart.reading import read_chart
from pix2block.color.spaces import rgb_array
from pix2block.ground import settings
from pix2block.ground.advice import Ask
from pix2block.ground.delimited import decode_text
from pix2block.ground.errors import BadInput
from pix2block.ground.files import read_bytes
from pix2block.options.table import TRIAL, Options, specs
from pix2block.picture.picture import Picture, open_picture
from pix2block.picture.profile import srgb_profile
from pix2block.recipes.as_asked import title_of
from pix2block.recipes.supplies import open_shelf

_OF_PICTURES = ("width", "height", "size", "crop", "look", "calm", "most_hanging", "background")
_DRAWN = (".json", ".csv")


def open_subject(
    path: Path, shelves: Sequence[str], asked: Sequence[Options]
) -> tuple[Picture, list[Options], tuple[str, ...]]:
    """The picture, or a chart.json or CSV grid as one, a pixel a block in its yarns' colours; the
    options for it, a chart's own settings where none is given; and notes for the maker.

    Raises BadInput for a file that cannot be used, or for options that go with pictures alone.
    """
    if path.suffix.lower() not in _DRAWN:
        background = asked[0].background or settings.DEFAULT_BACKGROUND
        return open_picture(path, background), list(asked), ()
    _refuse_options(path, asked)
    if not shelves:
        raise BadInput(f"{path} has its yarns: name shelves whose yarns are to be tried in it")
    data = read_bytes(path, "chart")
    if path.suffix.lower() == ".json":
        drawn: Chart | Grid
        drawn, notes = read_chart(data, str(path))
        own = [_with_settings(drawn, options) for options in asked]
    else:
        drawn = _grid(decode_text(data, f"grid {path}"), path, shelves)
        notes = drawn.warnings
        own = [replace(one, look="blocks", title=one.title or title_of(path.name)) for one in asked]
    if (drawn.blocks < 0).any():
        raise BadInput(f"{path} is no full rectangle: a trial takes one that has all its blocks")
    sha256 = hashlib.sha256(data).hexdigest()
    image = Image.fromarray(rgb_array([yarn.color for yarn in drawn.yarns])[drawn.blocks])
    background = settings.DEFAULT_BACKGROUND
    return Picture(path.name, sha256, image, 1, background, srgb_profile()), own, notes


def _refuse_options(path: Path, asked: Sequence[Options]) -> None:
    for name in _OF_PICTURES:
        if any(getattr(options, name) is not None for options in asked):
            raise BadInput(
                Ask(name), f" goes with a picture: {path} is tried block by block as it is"
            )


def _grid(text: str, path: Path, shelves: Sequence[str]) -> Grid:
    """The grid, its names from the first shelf that knows them all, else as they are."""
    for shelf in shelves:
        yarns = open_shelf(shelf).yarns
        try:
            return read_grid(text, str(path), yarns)
        except BadInput:
            continue
    return read_grid(text, str(path))


def _with_settings(chart: Chart, options: Options) -> Options:
    """Options with the chart's own settings where none is given; its weight class is not one of
    them, since other yarns may be of another."""
    kept = {
        spec.name: getattr(chart, spec.kept)
        for spec in specs(TRIAL)
        if spec.kept and spec.name != "weight" and getattr(options, spec.name) is None
    }
    if all(one is None for one in (options.habit, options.reach, options.rest, options.edge)):
        habit = chart.habit
        kept |= {"reach": habit.reach, "rest": habit.rest, "edge": habit.edge}
    return replace(options, **kept, look="blocks", title=options.title or chart.title)
