"""Flat art as blocks: what covers each block most, or the line through it; and what of lines and
lettering did not come out."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from pix2block.color.spaces import Bytes
from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.frozen import dataclass
from pix2block.picture.artwork import Artwork, most_covering, read_artwork
from pix2block.picture.blocks import Frame, frame_picture
from pix2block.picture.lettering import LEAST_BLOCKS, CameOut, find_lettering, how_it_came_out
from pix2block.picture.picture import Picture
from pix2block.picture.strokes import NO_STROKE, Broken, broken_lines, find_strokes
from pix2block.picture.symmetry import mirrored, widened

_WIDER = (1.2, 1.5, 2.0)  # times as wide, where lines are broken


@dataclass(frozen=True, eq=False)
class _Drawn:
    """blocks: (height, width) art colours; broken: lines in pieces; middle: whether a line along
    the middle became two blocks wide."""

    art: Artwork
    blocks: NDArray[np.int64]
    broken: tuple[Broken, ...]
    middle: bool


def flat_blocks(
    picture: Picture,
    frame: Frame,
    crop: tuple[float, float, float, float],
    strokes: settings.Strokes,
) -> tuple[Bytes, list[str]]:
    """(height, width, 3) each block's colour in flat art, and what the maker should know of it.

    crop: what the frame shows, in per cent of the picture. Raises BadInput where it has no flat
    colours.
    """
    drawn = _draw(picture, frame, strokes)
    notes: list[str] = []
    if drawn.middle:
        notes.append(
            Advice(
                "a line along the middle lies between two blocks and takes both: ",
                Ask("width", frame.width + 1),
                " gives it one.",
            )
        )
    if drawn.broken:
        notes.append(_broken_words(drawn.broken, _holds_at(picture, frame, crop, strokes)))
    notes += _lettering_notes(drawn, frame.width)
    return drawn.art.colors[drawn.blocks], notes


def _draw(picture: Picture, frame: Frame, strokes: settings.Strokes) -> _Drawn:
    art = read_artwork(picture, frame)
    cover = most_covering(art)
    found = find_strokes(art)
    lines = found.blocks if strokes == "keep" else np.full_like(cover, NO_STROKE)
    one_sided = np.where(lines == NO_STROKE, cover, lines)
    blocks = mirrored(art, one_sided, lines)
    broken = broken_lines(found, blocks, art.a_block)
    return _Drawn(art, blocks, broken, widened(one_sided, blocks, lines))


def _holds_at(
    picture: Picture,
    frame: Frame,
    crop: tuple[float, float, float, float],
    strokes: settings.Strokes,
) -> int | None:
    """The least width tried at which no line is broken."""
    for wider in _WIDER:
        width = round(frame.width * wider)
        if width > settings.MOST_BLOCKS_A_SIDE:
            break
        larger = frame_picture(picture.size, width, None, crop)
        if (
            larger.height <= settings.MOST_BLOCKS_A_SIDE
            and not _draw(picture, larger, strokes).broken
        ):
            return width
    return None


def _broken_words(broken: tuple[Broken, ...], holds_at: int | None) -> Advice:
    first = broken[0]
    pieces = f"comes out in {first.pieces} pieces" if first.pieces > 1 else "hardly comes out"
    others = len(broken) - 1
    more = f", and so {'does' if others == 1 else 'do'} {others} more" if others else ""
    words = f"a thin line of {first.length:.0f} blocks {pieces}{more}: "
    if holds_at is None:
        return Advice(words, "it is too fine for so few blocks.")
    return Advice(words, "they hold" if more else "it holds", " at ", Ask("width", holds_at), ".")


def _lettering_notes(drawn: _Drawn, width: int) -> list[str]:
    """From which size lettering reads, what became of it, and how to set it anew."""
    art = drawn.art
    line = find_lettering(art)
    if line is None:
        return []
    out = how_it_came_out(art, line, drawn.blocks)
    if line.legible and not out:
        return []
    left, top = line.boxes[0][0] // art.a_block + 1, line.boxes[0][1] // art.a_block + 1
    became = f"of its {line.letters} letters {_came_out_words(out, line.letters)}"
    tall = f"the lettering at column {left}, line {top} is {line.height:.1f} blocks tall"
    anew: tuple[str | Ask, ...] = (
        "set it anew on the chart, with a mend: ",
        Ask("text", '"WORDS"'),
        " ",
        Ask("at", f'"column {left}, line {top}"'),
        " ",
        Ask("height", LEAST_BLOCKS if line.height < 7 else 7),
        " ",
        Ask("in", "YARN"),
        ".",
    )
    if line.legible:
        return [Advice(f"{tall}, and {became}: ", *anew)]
    wide = math.ceil(width * LEAST_BLOCKS / line.height)
    became = f" ({became})" if out else ""
    return [
        Advice(
            f"{tall} and will not read{became}: letters need {LEAST_BLOCKS} blocks, so ",
            Ask("width", wide),
            " or more; or ",
            *anew,
        )
    ]


def _came_out_words(out: CameOut, letters: int) -> str:
    """ "3 run together and 1 is broken"."""
    parts = [
        (out.fused, "run together", "run together"),
        (out.broken, "is broken", "are broken"),
        (out.closed, "has closed up", "have closed up"),
    ]
    told = [
        f"{'all' if count == letters else count} {one if count == 1 else many}"
        for count, one, many in parts
        if count
    ]
    return " and ".join([", ".join(told[:-1]), told[-1]] if len(told) > 1 else told)
