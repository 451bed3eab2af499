"""Which yarns connect two colours, as swatches: stripes of the one, the yarn, the other."""

from __future__ import annotations

from collections.abc import Sequence

from pix2block.drawing.shapes import Drawing, Item, Shape, Text
from pix2block.drawing.style import BODY, INK, MARGIN, SMALL, TITLE, text_width
from pix2block.stripes.connect import Connection

BAND, STRIPE = 44.0, 84.0
MOST_SHOWN = 12
_ROOM = 1.12  # an SVG is shown in what fonts the reader has


def connect_sheet(
    first: tuple[str, str], second: tuple[str, str], ranked: Sequence[Connection]
) -> Drawing:
    """The yarns in their order, at most twelve. first, second: name and "#rrggbb" of a colour."""
    title = f"Between {first[0]} and {second[0]}"
    shown = ranked[:MOST_SHOWN]
    items: list[Item] = [Text(MARGIN, MARGIN + TITLE * 0.8, title, TITLE, bold=True)]
    y = MARGIN + TITLE * 1.2 + MARGIN / 2
    beside = MARGIN + 3 * STRIPE + MARGIN
    right = MARGIN + text_width(title, TITLE, bold=True)
    for number, connection in enumerate(shown, 1):
        colors = (first[1], connection.yarn.color, second[1])
        for place, color in enumerate(colors):
            items.append(_band(MARGIN + place * STRIPE, y, color))
        items.append(_outline(y))
        name = f"{number}  {connection.yarn.name}"
        words = _words(connection)
        items.append(Text(beside, y + BODY, name, BODY, bold=True))
        items.append(Text(beside, y + BODY + SMALL * 1.5, words, SMALL))
        right = max(right, beside + _ROOM * text_width(words, SMALL))
        right = max(right, beside + _ROOM * text_width(name, BODY, bold=True))
        y += BAND + 16
    for line in (
        "The two numbers are CIEDE2000 distances; the third how far the yarn lies",
        "from the straight way between the two colours, in CIELAB units.",
    ):
        items.append(Text(MARGIN, y + SMALL, line, SMALL))
        right = max(right, MARGIN + _ROOM * text_width(line, SMALL))
        y += SMALL * 1.6
    label = f"{title}: yarns ranked by how well they connect the two"
    return Drawing(right + MARGIN, y + MARGIN, label, tuple(items))


def _words(c: Connection) -> str:
    figures = f"{c.to_first:.1f} and {c.to_second:.1f}; {c.aside:.0f} aside"
    if c.double:
        return f"{figures}; as good as one of the two"
    return figures if c.between else f"{figures}; not between the two"


def _band(x: float, y: float, color: str) -> Item:
    corners = [(x, y), (x + STRIPE, y), (x + STRIPE, y + BAND), (x, y + BAND)]
    return Shape(corners, color, color, 0.5)


def _outline(y: float) -> Item:
    right = MARGIN + 3 * STRIPE
    corners = [(MARGIN, y), (right, y), (right, y + BAND), (MARGIN, y + BAND)]
    return Shape(corners, None, INK, 1.2)
