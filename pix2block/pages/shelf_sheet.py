"""The yarns of a shelf, each with its name and the colour that it was read as."""

from __future__ import annotations

import math
from collections.abc import Sequence

from pix2block.color.names import nearest_names
from pix2block.color.spaces import rgb_array
from pix2block.drawing.shapes import Drawing, Item, Shape, Text
from pix2block.drawing.style import BODY, INK, MARGIN, SMALL, TITLE, text_width
from pix2block.ground.units import added_up
from pix2block.yarn.yarn import Yarn

SWATCH_WIDTH, SWATCH_HEIGHT = 84.0, 46.0
_BESIDE = 12.0  # between a swatch and its words
_BETWEEN = 14.0  # between two yarns
_COLUMNS = 0.3  # so that the sheet is a little wider than high: their number squared, a yarn
_ROOM = 1.12  # an SVG is shown in what fonts the reader has


def shelf_sheet(title: str, yarns: Sequence[Yarn]) -> Drawing:
    """The yarns in columns, in their order; a yarn of several colours as stripes by their shares.
    yarns: one or more."""
    heading = f"{title}: yarns as they were read"
    colors = nearest_names(rgb_array([yarn.color for yarn in yarns]))
    words = [f"{yarn.color}, {color.lower()}" for yarn, color in zip(yarns, colors, strict=True)]
    columns = max(1, round(math.sqrt(_COLUMNS * len(yarns))))
    deep = math.ceil(len(yarns) / columns)
    items: list[Item] = [Text(MARGIN, MARGIN + TITLE * 0.8, heading, TITLE, bold=True)]
    top = MARGIN + TITLE * 1.2 + MARGIN / 2
    x, right = MARGIN, MARGIN + _ROOM * text_width(heading, TITLE, bold=True)
    for start in range(0, len(yarns), deep):
        widest = 0.0
        for line, i in enumerate(range(start, min(start + deep, len(yarns)))):
            y = top + line * (SWATCH_HEIGHT + _BETWEEN)
            beside = x + SWATCH_WIDTH + _BESIDE
            items += _swatch(yarns[i], x, y)
            items.append(Text(beside, y + BODY, yarns[i].name, BODY, bold=True))
            items.append(Text(beside, y + BODY + SMALL * 1.5, words[i], SMALL))
            name, color = text_width(yarns[i].name, BODY, bold=True), text_width(words[i], SMALL)
            widest = max(widest, _ROOM * max(name, color))
        x += SWATCH_WIDTH + _BESIDE + widest + MARGIN
    height = top + deep * (SWATCH_HEIGHT + _BETWEEN) - _BETWEEN + MARGIN
    return Drawing(max(x, right + MARGIN), height, heading, tuple(items))


def _swatch(yarn: Yarn, x: float, y: float) -> list[Item]:
    parts = [(part.color, part.share) for part in yarn.parts] or [(yarn.color, 100.0)]
    whole = added_up(share for _, share in parts)
    items: list[Item] = []
    left = x
    for color, share in parts:
        items.append(Shape(_box(left, y, left + SWATCH_WIDTH * share / whole), color))
        left += SWATCH_WIDTH * share / whole
    return [*items, Shape(_box(x, y, x + SWATCH_WIDTH), None, INK, 0.8)]


def _box(left: float, top: float, right: float) -> list[tuple[float, float]]:
    bottom = top + SWATCH_HEIGHT
    return [(left, top), (right, top), (right, bottom), (left, bottom)]
