"""The picture in blocks with what counts most outlined: a sheet for looking, so that a wrong map is
seen."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.source import Place
from pix2block.color.spaces import Bytes, decoding_table, encode_bytes, hex_of
from pix2block.design.subject import SubjectMap
from pix2block.drawing.shapes import Drawing, Item, Lines, Shape, Text
from pix2block.drawing.style import BODY, MARGIN, NOW, PAPER, TITLE, text_width

_LONGEST = 900.0  # of the picture's longer side
_MOST_SQUARES = 100  # along it
_PALE = 0.7  # of white light over what does not count more
_LINE = 3.0
_MINDED = {
    "asked": "what was to matter more",
    "face": "a face that was found",
    "spot": "a spot whose colour has a yarn",
}


def subject_sheet(
    title: str, means: Bytes, subject: SubjectMap | None, minded: Sequence[Place] = ()
) -> Drawing:
    """Blocks paler the less they count, an outline around those that are more of the subject than
    not, and boxes around places that are minded. means: (height, width, 3) colours of the picture's
    blocks; of a large chart every second, third … is drawn."""
    step = math.ceil(max(means.shape[:2]) / _MOST_SQUARES)
    whole = SubjectMap(np.ones(means.shape[:2]), 0.0) if subject is None else subject
    share = np.ones(means.shape[:2]) if subject is None else subject.believed
    means, share = means[::step, ::step], share[::step, ::step]
    inside = whole.inside[::step, ::step] & whole.is_clear
    high, wide = share.shape
    side = math.floor(_LONGEST / max(high, wide))
    heading = f"{title}: what counts most"
    top = MARGIN + TITLE * 1.5 + 1.8 * BODY
    words = _words(whole, minded)
    items: list[Item] = [
        Text(MARGIN, MARGIN + TITLE * 0.8, heading, TITLE, bold=True),
        Text(MARGIN, MARGIN + TITLE * 1.5 + 0.4 * BODY, words, BODY),
        *_squares(means, share, top, side),
    ]
    for width, color in ((3 * _LINE, PAPER), (_LINE, NOW)):
        items.append(Lines(_outline(inside) * side + np.array([MARGIN, top] * 2), width, color))
        for place in minded:
            sides = [place.left, place.top, max(place.right, place.left + 1)]
            left, up, right, down = (
                edge / step * side for edge in (*sides, max(place.bottom, place.top + 1))
            )
            corners = [(left, up), (right, up), (right, down), (left, down)]
            points = tuple((MARGIN + x, top + y) for x, y in corners)
            items.append(Shape(points, None, color, width))
    wanted = max(wide * side, text_width(heading, TITLE, True), text_width(words, BODY))
    return Drawing(wanted + 2 * MARGIN, top + high * side + MARGIN, heading, tuple(items))


def _words(subject: SubjectMap, minded: Sequence[Place]) -> str:
    kinds = dict.fromkeys(_MINDED[place.what] for place in minded)
    boxes = f" In a box: {', '.join(kinds)}." if kinds else ""
    return _of_subject(subject) + boxes


def _of_subject(subject: SubjectMap) -> str:
    if not subject.is_clear:
        return "Nothing else counts more."
    who = "As you said it" if subject.told else "As it was found"
    return f"{who}: what lies inside the line counts most, what is paler less."


def _squares(means: Bytes, share: NDArray[np.float64], top: float, side: float) -> list[Item]:
    """Each reaching under the next, so that no ground shows between them."""
    light = decoding_table()[means]
    pale = light + (1 - light) * (_PALE * (1 - share[..., None]))
    colors = np.reshape(hex_of(encode_bytes(pale).reshape(-1, 3)), share.shape)
    items: list[Item] = []
    for line, row in enumerate(colors.tolist()):
        y, below = top + line * side, top + min(line + 2, len(colors)) * side
        for column, color in enumerate(row):
            x, right = MARGIN + column * side, MARGIN + min(column + 2, len(row)) * side
            items.append(Shape(((x, y), (right, y), (right, below), (x, below)), color))
    return items


def _outline(inside: NDArray[np.bool_]) -> NDArray[np.float64]:
    """(n, 4) the sides of blocks where what is inside ends, in blocks."""
    padded = np.pad(inside, 1)
    upright = np.argwhere(padded[1:-1, 1:] != padded[1:-1, :-1])
    level = np.argwhere(padded[1:, 1:-1] != padded[:-1, 1:-1])
    segments = [
        np.stack([upright[:, 1], upright[:, 0], upright[:, 1], upright[:, 0] + 1], axis=1),
        np.stack([level[:, 1], level[:, 0], level[:, 1] + 1, level[:, 0]], axis=1),
    ]
    return np.concatenate(segments).astype(np.float64)
