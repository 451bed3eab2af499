"""The key of a sheet: yarns with their marks and counts, and how to read the sheet."""

from __future__ import annotations

from textwrap import wrap

import numpy as np
from numpy.typing import NDArray

from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.drawing.marks import Mark
from pix2block.drawing.shapes import Blocks, Item, Lines, Text
from pix2block.drawing.style import (
    BODY,
    INK,
    LABEL_SPACE,
    MARGIN,
    PAPER,
    SMALL,
    mark_on,
    text_width,
)
from pix2block.drawing.views import block_side
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import say_corner
from pix2block.ground.units import say_count, say_metres

KEY_BLOCK = 32.0
NOTE_CHARACTERS = 68
ROOM_FOR_OTHER_FONTS = 1.12  # an SVG is shown in what the reader has
_DASH = 5.0
_GROUND, _YARN = 4.4, 2.0  # widths


@dataclass(frozen=True)
class KeySheet:
    width: float
    height: float
    items: tuple[Item, ...]


def yarn_key(
    amounts: Amounts, used: list[int], marks: dict[int, Mark], held: bool, floats: bool
) -> KeySheet:
    """Yarns with their marks and counts in columns, then how to read the sheet."""
    chart = amounts.chart
    entries = [
        (
            chart.yarns[i],
            marks[i],
            f"{say_count(amounts.yarns[i].blocks, 'block')}, {say_metres(amounts.yarns[i].metres)}",
        )
        for i in used
    ]
    column = max(
        KEY_BLOCK
        + 12
        + ROOM_FOR_OTHER_FONTS
        * max(text_width(yarn.name, BODY, bold=True), text_width(figures, SMALL))
        for yarn, _, figures in entries
    )
    column += MARGIN
    room = max(chart.width * block_side(chart) + 2 * LABEL_SPACE, 700.0)
    columns = max(1, min(len(entries), int(room // column)))
    step = KEY_BLOCK + 16
    items: list[Item] = []
    for place, (yarn, mark, figures) in enumerate(entries):
        x, y = (place % columns) * column, (place // columns) * step
        side = KEY_BLOCK
        centre = np.array([[x + side / 2, y + side / 2]])
        items.append(Blocks(centre, side, yarn.color, mark, mark_on(yarn.color)))
        items.append(Text(x + side + 12, y + 15, yarn.name, BODY, bold=True))
        items.append(Text(x + side + 12, y + 15 + SMALL + 3, figures, SMALL))
    y = -(-len(entries) // columns) * step + BODY
    if floats:
        middle = y - SMALL * 0.36
        items += dashed(np.array([[0.0, middle, 2 * KEY_BLOCK, middle]]))
        items.append(Text(2 * KEY_BLOCK + 12, y, "yarn that lies behind", SMALL))
        y += SMALL * 1.9
    notes = _notes(chart, held)
    for note in (line for text in notes for line in wrap(text, NOTE_CHARACTERS)):
        items.append(Text(0, y, note, SMALL))
        y += SMALL * 1.6
    texts = [item.text for item in items if isinstance(item, Text)]
    width = max([columns * column, *(text_width(text, SMALL) for text in texts)])
    return KeySheet(width, y, tuple(items))


def _notes(chart: Chart, held: bool) -> list[str]:
    corner = say_corner(chart.start_corner)
    notes = [
        f"Start: the {corner} corner, {chart.hand}-handed. A number stands where its row begins, "
        "its wedge points the way the hook goes.",
        "Full wedge: right-side row. Open wedge: wrong-side row. Heavier lines: every tenth "
        "column and line from the start corner.",
    ]
    if held:
        notes.append(
            "Right side facing, start corner down. On wrong-side rows the piece faces the other "
            "way: what is left here is right there."
        )
    else:
        notes.append(
            "Outermost, lighter: columns counted from the left, lines from the top, as in the grid."
        )
    return notes


def dashed(segments: NDArray[np.float64]) -> list[Item]:
    """Dashed ink on a strip of paper, so that it shows on every yarn."""
    return [Lines(segments, _GROUND, PAPER), Lines(segments, _YARN, INK, _DASH)]
