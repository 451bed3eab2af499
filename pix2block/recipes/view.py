"""How a picture is looked at: as a photo, as flat art, or as a chart that it already is."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pix2block.color.spaces import Bytes
from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.progress import Progress
from pix2block.ground.units import round_half_up
from pix2block.options.table import Options
from pix2block.picture.artwork import FLAT_SHARE, flat_share, most_covering, read_artwork
from pix2block.picture.blocks import (
    Frame,
    block_means,
    blocks_of_chart_picture,
    frame_picture,
)
from pix2block.picture.lettering import LEAST_BLOCKS, find_lettering
from pix2block.picture.picture import Picture
from pix2block.picture.strokes import NO_STROKE, find_strokes
from pix2block.yarn.guess import guess_of

_MUCH_LEFT_OUT = 0.05  # a share of the picture that is worth a word


@dataclass(frozen=True, eq=False)
class View:
    """The picture in blocks: the mean of each, the colour that yarns are matched to, (height,
    width, 3), how it was read, which part of the picture it shows; what the maker should know, and
    what was decided for her."""

    means: Bytes
    colors: Bytes
    look: settings.Look
    frame: Frame
    notes: tuple[str, ...] = ()
    decisions: tuple[str, ...] = ()


def taken_exactly(picture: Picture, options: Options) -> View:
    if options.size or options.crop:
        raise BadInput(
            Ask("look", "blocks"),
            " takes the whole picture: leave out ",
            Ask("size"),
            " and ",
            Ask("crop"),
        )
    means = blocks_of_chart_picture(picture, options.width, options.height)
    height, width = means.shape[:2]
    return View(means, means, "blocks", frame_picture(picture.size, width, height))


def averaged(
    picture: Picture,
    options: Options,
    progress: Progress | None,
    block_cm: float | None = None,
) -> View:
    """block_cm: side of a block by a swatch, None for a guess from the weight class."""
    frame = _frame(picture, options, block_cm)
    _, _, w, h = options.crop or (0, 0, 100, 100)
    asked = picture.size[0] * w / 100 * (picture.size[1] * h / 100)
    left_out = 1 - frame.block**2 * frame.width * frame.height / asked
    notes: list[str] = []
    decisions: tuple[str, ...] = ()
    if left_out > _MUCH_LEFT_OUT:
        notes.append(
            f"{frame.width} x {frame.height} blocks leave out {100 * left_out:.0f} % of the "
            "picture, as much on either side; nothing is stretched."
        )
    means = block_means(picture, frame, progress)
    look = options.look or settings.DEFAULT_LOOK
    if look == "auto":
        share = flat_share(picture)
        look = "flat" if share >= FLAT_SHARE else "photo"
        other = "photo" if look == "flat" else "flat"
        decisions = (
            Advice(
                f"Read as {'flat art' if look == 'flat' else 'a photo'}: few colours explain "
                f"{100 * share:.0f} % of it (",
                Ask("look", other),
                " for the other way).",
            ),
        )
    if look == "photo":
        return View(means, means, look, frame, tuple(notes), decisions)
    colors, told = _flat_blocks(picture, frame, options.strokes or settings.DEFAULT_STROKES)
    return View(means, colors, look, frame, (*notes, *told), decisions)


def _flat_blocks(
    picture: Picture, frame: Frame, strokes: settings.Strokes
) -> tuple[Bytes, list[str]]:
    """Each block's colour in flat art: what covers it most, or the line through it."""
    art = read_artwork(picture, frame)
    blocks = most_covering(art)
    if strokes == "keep":
        lines = find_strokes(art).blocks
        blocks = np.where(lines == NO_STROKE, blocks, lines)
    lettering = find_lettering(art)
    notes: list[str] = []
    if lettering and not lettering.legible:
        wide = math.ceil(frame.width * LEAST_BLOCKS / lettering.height)
        notes.append(
            Advice(
                f"the lettering is {lettering.height:.1f} blocks tall and will not read: letters "
                f"need {LEAST_BLOCKS} blocks, so ",
                Ask("width", wide),
                " or more.",
            )
        )
    return art.colors[blocks], notes


def _frame(picture: Picture, options: Options, block_cm: float | None) -> Frame:
    width, height = options.width, options.height
    if options.size:
        if width or height:
            raise BadInput(
                Ask("size"), " sets both sides: leave out ", Ask("width"), " and ", Ask("height")
            )
        weight = settings.DEFAULT_WEIGHT if options.weight is None else options.weight
        block_cm = block_cm or guess_of(weight, options.block or settings.DEFAULT_BLOCK).block_cm
        width, height = (max(1, round_half_up(side / block_cm)) for side in options.size)
    elif not (width or height):
        width = settings.DEFAULT_WIDTH
    return frame_picture(picture.size, width, height, options.crop or (0, 0, 100, 100))
