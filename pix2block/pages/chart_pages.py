"""The chart for pages of paper: whole, as held, and in parts at a readable size that overlap."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.drawing.marks import BLANK, Mark
from pix2block.drawing.shapes import Drawing, Item, Lines
from pix2block.drawing.style import NOW, PAPER, text_width
from pix2block.drawing.views import View, held_view, picture_view
from pix2block.pages.chart_parts import (
    NumberStyle,
    Window,
    block_items,
    line_items,
    row_numbers,
    whole,
)

OVERLAP = 2  # blocks of the neighbouring part shown beyond a cut
SMALLEST_MARKED_MM = 2.0  # a mark in a smaller block is only a smudge
SMALLEST_EDGED_MM = 1.4
_WEDGE = 1.4  # room of a wedge, in heights of its number (see chart_parts)


@dataclass(frozen=True)
class Room:
    """What a page has for a figure. smallest_block_mm: of a part at a readable size;
    largest_block_mm: of any; number_mm: height of a row number's type."""

    width_mm: float
    height_mm: float
    smallest_block_mm: float
    number_mm: float
    largest_block_mm: float = 8.0


@dataclass(frozen=True)
class Figure:
    """A drawing at its true width; caption: what it shows."""

    drawing: Drawing
    width_mm: float
    caption: str


def whole_figure(
    chart: Chart, marks: Mapping[int, Mark], room: Room, held: bool = False, in_color: bool = True
) -> Figure:
    """The whole chart on one page, as the picture is seen or as held."""
    view = held_view(chart) if held else picture_view(chart)
    margin_mm = _margin_mm(chart, room)
    block_mm = min(
        room.largest_block_mm,
        *(
            (side_mm - 2 * margin_mm) / side * view.block
            for side_mm, side in ((room.width_mm, view.width), (room.height_mm, view.height))
        ),
    )
    what = "as held, right side facing" if held else "as the picture is seen"
    caption = f"Chart of {chart.width} x {chart.height} blocks, {what}"
    if not in_color:
        caption += ", in marks"
    return _figure(
        chart, view, marks, whole(chart), whole(chart), block_mm, room, in_color, caption
    )


def part_figures(
    chart: Chart, marks: Mapping[int, Mark], room: Room, in_color: bool = True
) -> list[Figure]:
    """The chart in parts, from the top left; one where it fits at a readable size."""
    margin_mm = _margin_mm(chart, room)
    across, down = room.width_mm - 2 * margin_mm, room.height_mm - 2 * margin_mm
    box = _blocks_box(chart)
    columns = _parts(box.left, box.right, int(across / room.smallest_block_mm))
    lines = _parts(box.top, box.bottom, int(down / room.smallest_block_mm))
    parts = [
        (own, _widened(box, own))
        for top, bottom in lines
        for left, right in columns
        if (chart.blocks[top:bottom, left:right] >= 0).any()
        for own in [Window(left, top, right, bottom)]
    ]
    block_mm = min(
        room.largest_block_mm,
        *(min(across / (w.right - w.left), down / (w.bottom - w.top)) for _, w in parts),
    )
    figures = []
    for number, (own, shown) in enumerate(parts, 1):
        part = f"Part {number} of {len(parts)}" if len(parts) > 1 else "All of it"
        caption = (
            f"{part}: columns {_span(own.left, own.right)} from the left, "
            f"lines {_span(own.top, own.bottom)} from the top"
        )
        if not in_color:
            caption += ", in marks"
        view = _window_view(picture_view(chart), shown)
        figures.append(_figure(chart, view, marks, own, shown, block_mm, room, in_color, caption))
    return figures


def _blocks_box(chart: Chart) -> Window:
    """The smallest window that holds every block: a piece that ends early has room to spare."""
    lines, columns = np.nonzero(chart.blocks >= 0)
    left, top, right, bottom = columns.min(), lines.min(), columns.max() + 1, lines.max() + 1
    return Window(int(left), int(top), int(right), int(bottom))


def _span(first: int, after: int) -> str:
    return f"{first + 1} to {after}"


def _parts(first: int, after: int, most: int) -> list[tuple[int, int]]:
    """Even parts of a side, none larger than `most` with its overlaps."""
    count = after - first
    number = 1 if count <= most else math.ceil(count / max(1, most - 2 * OVERLAP))
    cuts = [first + round(i * count / number) for i in range(number + 1)]
    return list(pairwise(cuts))


def _widened(box: Window, own: Window) -> Window:
    return Window(
        max(box.left, own.left - OVERLAP),
        max(box.top, own.top - OVERLAP),
        min(box.right, own.right + OVERLAP),
        min(box.bottom, own.bottom + OVERLAP),
    )


def _window_view(view: View, shown: Window) -> View:
    """A view whose blocks are those of the window."""
    moved = view.origin - np.array([shown.left, shown.top]) * view.block
    width = (shown.right - shown.left) * view.block
    return replace(view, origin=moved, width=width, height=(shown.bottom - shown.top) * view.block)


def _margin_mm(chart: Chart, room: Room) -> float:
    """Room for row numbers and wedges on each side."""
    widest = text_width(str(chart.last_row), room.number_mm, bold=True)
    return _WEDGE * room.number_mm + widest + 0.5


def _every(view: View, block_mm: float, chart: Chart, room: Room) -> int:
    """Each so many-th row is numbered, so that numbers do not touch. Odd rows begin on one side,
    even ones on the other."""
    if view.on_tip:
        step, needed = block_mm / 2**0.5, 1.2 * room.number_mm
    else:
        needed = text_width(str(chart.last_row), room.number_mm, bold=True) + 0.8
        step = block_mm
    for every in (1, 5, 10, 20, 50):
        if step * every * (2 if every % 2 else 1) >= needed:
            return every
    return 100


def _figure(
    chart: Chart,
    view: View,
    marks: Mapping[int, Mark],
    own: Window,
    shown: Window,
    block_mm: float,
    room: Room,
    in_color: bool,
    caption: str,
) -> Figure:
    """A drawing of the shown part; cuts from the part that is its own are dashed."""
    unit_mm = block_mm / view.block
    margin = _margin_mm(chart, room) / unit_mm
    placed = replace(view, origin=view.origin + margin)
    size = room.number_mm / unit_mm
    style = NumberStyle(size, size, _every(view, block_mm, chart, room))
    drawn = marks if block_mm >= SMALLEST_MARKED_MM else dict.fromkeys(marks, BLANK)
    items: list[Item] = [
        *block_items(chart, placed, drawn, shown, in_color, edged=block_mm >= SMALLEST_EDGED_MM),
        *line_items(chart, placed, shown),
        *_cuts(placed, own, shown),
        *row_numbers(chart, placed, shown, style),
    ]
    width, height = view.width + 2 * margin, view.height + 2 * margin
    label = f"{caption}; {chart.title}"
    return Figure(Drawing(width, height, label, tuple(items)), width * unit_mm, caption)


def _cuts(view: View, own: Window, shown: Window) -> list[Item]:
    """Dashed lines where the part's own blocks end and those of its neighbours begin."""
    segments = []
    for upright, at, edge, low, high in (
        (True, own.left, shown.left, shown.top, shown.bottom),
        (True, own.right, shown.right, shown.top, shown.bottom),
        (False, own.top, shown.top, shown.left, shown.right),
        (False, own.bottom, shown.bottom, shown.left, shown.right),
    ):
        if at == edge:
            continue
        for start in range(low, high):
            ends = (start + 0.2, start + 0.8)
            segments += [(at, e) if upright else (e, at) for e in ends]
    if not segments:
        return []
    places = view.place(np.array(segments, dtype=np.float64)).reshape(-1, 4)
    return [Lines(places, 6.0, PAPER), Lines(places, 3.4, NOW)]
