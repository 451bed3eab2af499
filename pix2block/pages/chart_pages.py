"""The chart for pages of paper: whole, as held, and in level bands of rows at a readable size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.drawing.marks import BLANK, Mark
from pix2block.drawing.shapes import MARK_SHARE, Drawing, Item
from pix2block.drawing.style import text_width
from pix2block.drawing.views import View, held_view, picture_view
from pix2block.ground.frozen import dataclass
from pix2block.pages.chart_parts import (
    NumberStyle,
    Window,
    block_items,
    level_band,
    line_items,
    row_numbers,
    whole,
)

SMALLEST_MARKED_MM = 2.0  # in a smaller block a mark is only a smudge; in black ink, a grey
SMALLEST_EDGED_MM = 1.4
_NEARLY = 0.9  # of the largest that a row as wide as the page allows
_HELD_MARK_SHARE = 0.4  # marks fill more of a block that stands on its tip
_FEW_RUNS = 1.5  # a row, on average: the whole chart tells as much as bands would
_WEDGE = 1.4  # room of a wedge, in heights of its number (see chart_parts)


@dataclass(frozen=True)
class Room:
    """What a page has for a figure. on_its_side: width and height where the page lies on its side;
    smallest_block_mm: of a part at a readable size;
    largest_block_mm: of any; number_mm: height of a row number's type."""

    width_mm: float
    height_mm: float
    smallest_block_mm: float
    number_mm: float
    largest_block_mm: float = 5.0
    on_its_side: tuple[float, float] | None = None

    @property
    def turned(self) -> Room:
        """The room of the same page on its side."""
        width_mm, height_mm = self.on_its_side or (self.height_mm, self.width_mm)
        return replace(self, width_mm=width_mm, height_mm=height_mm)


@dataclass(frozen=True)
class Figure:
    """A drawing at its true width. caption: what it shows; rows: those of a band, first and last;
    across: it stands on a page that lies on its side."""

    drawing: Drawing
    width_mm: float
    caption: str
    rows: tuple[int, int] | None = None
    across: bool = False


def whole_figure(
    chart: Chart, marks: Mapping[int, Mark], room: Room, held: bool = False, in_color: bool = True
) -> Figure:
    """The whole chart on one page, as the picture is seen or as held."""
    view = held_view(chart) if held else picture_view(chart)
    margin_mm = _margin_mm(chart, room)
    above_mm = room.number_mm / 2 if held else margin_mm
    block_mm = min(
        room.largest_block_mm,
        (room.width_mm - 2 * margin_mm) / view.width * view.block,
        (room.height_mm - 2 * above_mm) / view.height * view.block,
    )
    what = "as held, right side facing" if held else "as the picture is seen"
    caption = f"Chart of {chart.width} x {chart.height} blocks, {what}"
    if not in_color:
        caption += ", in marks"
    share = _HELD_MARK_SHARE if held else MARK_SHARE
    return _figure(chart, view, marks, whole(chart), block_mm, room, in_color, caption, share)


def band_figures(
    chart: Chart, marks: Mapping[int, Mark], room: Room, in_color: bool = True
) -> list[Figure]:
    """The chart as held in level bands of rows, each on a page of its own, upright or on its side;
    none where the whole one has blocks of a readable size, or rows are of one colour for the most
    part."""
    whole_mm = min(_side_mm(chart, room, [(1, chart.last_row)]), room.largest_block_mm)
    few = len(chart.runs.color) < _FEW_RUNS * chart.last_row
    if few or whole_mm >= room.smallest_block_mm:
        return []
    cuts, across = _best_bands(chart, room)
    on = room.turned if across else room
    block_mm = min(room.largest_block_mm, _side_mm(chart, on, cuts))
    figures = []
    for first, last in cuts:
        band = level_band(chart, first, last)
        caption = f"Rows {first} to {last}, as held, right side facing"
        if not in_color:
            caption += ", in marks"
        view = _band_view(chart, first, last)
        figure = _figure(
            chart, view, marks, band, block_mm, on, in_color, caption, _HELD_MARK_SHARE
        )
        figures.append(replace(figure, rows=(first, last), across=across))
    return figures


def stripes_figure(
    chart: Chart, marks: Mapping[int, Mark], rows: tuple[int, int], room: Room, in_color: bool
) -> Figure:
    """A striped piece at true proportion as the picture is seen, a triangle as held, with the
    numbers of these rows, first and last."""
    view = held_view(chart) if chart.is_triangle else picture_view(chart)
    margin_mm = _margin_mm(chart, room)
    above_mm = room.number_mm / 2 if view.on_tip else margin_mm
    unit_mm = min(
        room.largest_block_mm / view.block,
        (room.width_mm - 2 * margin_mm) / view.width,
        (room.height_mm - 2 * above_mm) / view.height,
    )
    margin, above = margin_mm / unit_mm, above_mm / unit_mm
    placed = replace(view, origin=view.origin + np.array([margin, above]))
    size = room.number_mm / unit_mm
    every = max(5, _every(view, unit_mm * view.block, chart, room))
    drawn = dict.fromkeys(marks, BLANK) if in_color else marks
    items: list[Item] = [
        *block_items(chart, placed, drawn, None, in_color, edged=False),
        *line_items(chart, placed, tenths=False),
        *row_numbers(chart, placed, level_band(chart, *rows), NumberStyle(size, size, every)),
    ]
    width, height = view.width + 2 * margin, view.height + 2 * above
    label = f"{chart.title}: its stripes at true proportion, rows {rows[0]} to {rows[1]} numbered"
    return Figure(Drawing(width, height, label, tuple(items)), width * unit_mm, label, rows)


def _best_bands(chart: Chart, room: Room) -> tuple[list[tuple[int, int]], bool]:
    """The fewest bands with blocks of a readable size, or nearly as large as they can be, and
    whether their pages lie on their side."""
    tried = []
    for across in (False, True):
        on = room.turned if across else room
        most_mm = min(room.smallest_block_mm, _NEARLY * _side_mm(chart, on, _even(chart, None)))
        for count in range(1, chart.last_row + 1):
            cuts = _even(chart, count)
            side_mm = _side_mm(chart, on, cuts)
            if side_mm >= most_mm:
                tried.append((min(side_mm, room.smallest_block_mm), -count, cuts, across))
                break
    best = max(tried, key=lambda found: (found[0] >= room.smallest_block_mm, found[:2]))
    return best[2], best[3]


def _even(chart: Chart, count: int | None) -> list[tuple[int, int]]:
    """Even bands of rows; of each row alone where no count is given."""
    last = chart.last_row
    number = last if count is None else count
    cuts = [round(i * last / number) for i in range(number + 1)]
    return [(low + 1, high) for low, high in pairwise(cuts)]


def _side_mm(chart: Chart, room: Room, cuts: list[tuple[int, int]]) -> float:
    """The largest block with which every band fits."""
    margin_mm = _margin_mm(chart, room)
    across, down = room.width_mm - 2 * margin_mm, room.height_mm - room.number_mm
    view = held_view(chart)
    low, high = _row_boxes(chart)
    sides = []
    for first, last in cuts:
        width, height = (high[first - 1 : last].max(0) - low[first - 1 : last].min(0)) / view.block
        sides.append(min(across / width, down / height))
    return float(min(sides))


@lru_cache(maxsize=2)
def _row_boxes(chart: Chart) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(rows, 2) least and greatest x and y of each row as held, in the view's units."""
    view = held_view(chart)
    lines, columns, row_of = chart.layout.order
    there = row_of <= chart.last_row
    centres = view.place(np.stack([columns + 0.5, lines + 0.5], axis=1)[there])
    reach = view.block * 2**0.5 / 2
    starts = np.flatnonzero(np.diff(row_of[there], prepend=0))
    low = np.minimum.reduceat(centres, starts) - reach
    return low, np.maximum.reduceat(centres, starts) + reach


def row_spans(chart: Chart) -> list[tuple[float, float]]:
    """Where each row of the piece as held begins and ends, from the left, in blocks from tip to
    tip."""
    view = held_view(chart)
    low, high = _row_boxes(chart)
    tip = view.block * 2**0.5
    left = low[:, 0].min()
    ends = zip(low[:, 0].tolist(), high[:, 0].tolist(), strict=True)
    return [(round((a - left) / tip, 2), round((b - left) / tip, 2)) for a, b in ends]


def _band_view(chart: Chart, first: int, last: int) -> View:
    """A view whose blocks are those of the band."""
    view = held_view(chart)
    low, high = _row_boxes(chart)
    corner = low[first - 1 : last].min(0)
    width, height = (high[first - 1 : last].max(0) - corner).tolist()
    return replace(view, origin=view.origin - corner, width=width, height=height)


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
    shown: Window,
    block_mm: float,
    room: Room,
    in_color: bool,
    caption: str,
    mark_share: float = MARK_SHARE,
) -> Figure:
    """A drawing of what is shown."""
    unit_mm = block_mm / view.block
    margin = _margin_mm(chart, room) / unit_mm
    above = (room.number_mm / 2 / unit_mm) if view.on_tip else margin
    placed = replace(view, origin=view.origin + np.array([margin, above]))
    size = room.number_mm / unit_mm
    style = NumberStyle(size, size, _every(view, block_mm, chart, room))
    drawn = (
        marks
        if not in_color or block_mm * mark_share / MARK_SHARE >= SMALLEST_MARKED_MM
        else dict.fromkeys(marks, BLANK)
    )
    items: list[Item] = [
        *block_items(
            chart, placed, drawn, shown, in_color, block_mm >= SMALLEST_EDGED_MM, mark_share
        ),
        *line_items(chart, placed, shown),
        *row_numbers(chart, placed, shown, style),
    ]
    width, height = view.width + 2 * margin, view.height + 2 * above
    label = f"{caption}; {chart.title}"
    return Figure(Drawing(width, height, label, tuple(items)), width * unit_mm, caption)
