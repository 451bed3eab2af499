"""What a drawn chart is made of: blocks, lines, row numbers; of the whole piece or of a window."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.craft.tails import edge_begun
from pix2block.drawing.marks import Mark
from pix2block.drawing.shapes import (
    MARK_SHARE,
    Anchor,
    Blocks,
    Item,
    Lines,
    Shape,
    Stamps,
    Text,
    light_share,
)
from pix2block.drawing.style import BODY, HAIRLINE, INK, PAPER, SMALL, mark_on
from pix2block.drawing.views import View
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import sides_of

TENTH = 10
COUNT_SPACE = 36.0  # beyond row numbers, for the counts of columns and lines
_COUNTED, _TICK = 5, 4.0
_LIGHTER = "#55585d"  # than ink, 7 : 1 on paper
_FAINT = 0.4  # of a hairline between blocks, so that it does not darken them
Place = tuple[float, float]


@dataclass(frozen=True)
class Window:
    """A part of the chart: columns from left up to right, lines from top up to bottom; of these
    only rows from first_row to last_row, both included, None for all."""

    left: int
    top: int
    right: int
    bottom: int
    rows: tuple[int, int] | None = None

    def holds(self, line: int, column: int) -> bool:
        """Whether a block lies in it."""
        return self.top <= line < self.bottom and self.left <= column < self.right


def whole(chart: Chart) -> Window:
    """All of the chart."""
    return Window(0, 0, chart.width, chart.height)


def level_band(chart: Chart, first: int, last: int) -> Window:
    """Rows of the whole chart, both included."""
    return Window(0, 0, chart.width, chart.height, (first, last))


def _shown(chart: Chart, window: Window) -> NDArray[np.bool_]:
    """(height, width) where a block of the piece belongs to the window's rows."""
    exists = chart.blocks >= 0
    if window.rows is None:
        return exists
    numbers = chart.layout.row_numbers()
    first, last = window.rows
    return np.asarray(exists & (numbers >= first) & (numbers <= last))


@dataclass(frozen=True)
class NumberStyle:
    """How rows are numbered. size, bold_size: of a number, in the sheet's units; every: only each
    so many-th row has one."""

    size: float = SMALL
    bold_size: float = BODY
    every: int = 1

    @property
    def grown(self) -> float:
        """A wedge keeps its proportion to the number."""
        return self.size / SMALL


def block_items(
    chart: Chart,
    view: View,
    marks: Mapping[int, Mark],
    window: Window | None = None,
    in_color: bool = True,
    edged: bool = True,
    mark_share: float = MARK_SHARE,
) -> list[Item]:
    """Blocks of every used yarn with its mark. in_color: else marks on paper alone; edged: with
    a hairline around each, which would drown the colours of very small ones; mark_share: half a
    mark's width as a part of a block's side."""
    within = window or whole(chart)
    shown = np.where(_shown(chart, within), chart.blocks, -1)
    shown = shown[within.top : within.bottom, within.left : within.right]
    items: list[Item] = []
    for number, mark in marks.items():
        lines, columns = np.nonzero(shown == number)
        if not len(lines):
            continue
        corners = np.stack([columns + within.left + 0.5, lines + within.top + 0.5], axis=1)
        color = chart.yarns[number].color if in_color else PAPER
        centres = view.place(corners)
        ink = mark_on(color) if in_color else INK
        share = light_share(mark, mark_share) if in_color else mark_share
        blocks = Blocks(centres, view.block, color, mark, ink, view.turn, share, edge=color)
        items.append(blocks)
    if edged:
        items.append(Lines(_grid(chart, view, within), HAIRLINE * _FAINT))
    return items


def _grid(chart: Chart, view: View, within: Window) -> NDArray[np.float64]:
    """The sides of all blocks in a window, as few lines."""
    stretches = []
    for upright, place, _, edge, inside in _across(chart, within):
        along = within.top if upright else within.left
        stretches += _stretches(edge | inside, place, along, upright)
    return _segments(view, stretches)


def line_items(
    chart: Chart, view: View, window: Window | None = None, tenths: bool = True
) -> list[Item]:
    """The edges heaviest; unless told otherwise every tenth line heavier, counted from the start
    corner."""
    within = window or whole(chart)
    heavy, edges = [], []
    for upright, place, steps, edge, inside in _across(chart, within):
        along = within.top if upright else within.left
        edges += _stretches(edge, place, along, upright)
        if tenths and steps % TENTH == 0:
            heavy += _stretches(inside, place, along, upright)
    drawn = _segments(view, heavy)
    return [
        *([Lines(drawn, 3.4, PAPER), Lines(drawn, 1.8)] if heavy else []),
        Lines(_segments(view, edges), 3.0),
    ]


def _across(
    chart: Chart, within: Window
) -> Iterator[tuple[bool, int, int, NDArray[np.bool_], NDArray[np.bool_]]]:
    """Every line of the grid in a window: whether it is upright, its place, steps from the start
    corner, where it is an edge of the piece, where it lies between two blocks."""
    # One block more on each side, so that the window's cuts are told from the piece's edges.
    sheet = slice(within.top, within.bottom + 2), slice(within.left, within.right + 2)
    exists = np.pad(chart.blocks >= 0, 1)[sheet]
    shown = np.pad(_shown(chart, within), 1)[sheet]
    start = sides_of(chart.start_corner)
    for upright in (True, False):
        grid, of_window = (exists, shown) if upright else (exists.T, shown.T)
        first = within.left if upright else within.top
        side = chart.width if upright else chart.height
        before, after = grid[1:-1, :-1], grid[1:-1, 1:]
        beside = of_window[1:-1, :-1] | of_window[1:-1, 1:]
        from_end = start.right if upright else start.bottom
        for i in range(after.shape[1]):
            place = first + i
            steps = side - place if from_end else place
            edge = (before[:, i] ^ after[:, i]) & beside[:, i]
            inside = before[:, i] & after[:, i] & beside[:, i]
            yield upright, place, steps, edge, inside


def _stretches(
    flags: NDArray[np.bool_], place: int, along: int, upright: bool
) -> list[tuple[int, int, int, int]]:
    """Stretches of true flags along a line of the grid, as corners; the first flag lies at
    `along`."""
    around = np.concatenate(([False], flags, [False]))
    change = (around[1:] != around[:-1]).nonzero()[0]
    ends = (change + along).reshape(-1, 2).tolist()
    return [(place, a, place, b) if upright else (a, place, b, place) for a, b in ends]


def _segments(view: View, corners: list[tuple[int, int, int, int]]) -> NDArray[np.float64]:
    pairs = np.array(corners, dtype=np.float64).reshape(-1, 2)
    return view.place(pairs).reshape(-1, 4)


_OUTWARD = {"right": (1, 0), "left": (-1, 0), "top": (0, -1), "bottom": (0, 1)}
_USUAL = NumberStyle()


def row_numbers(
    chart: Chart, view: View, window: Window | None = None, style: NumberStyle = _USUAL
) -> list[Item]:
    """Row numbers outside where each row begins, or enters the window, with a wedge the way the
    hook goes: full on right-side rows, open on wrong-side ones."""
    layout = chart.layout
    within = window or whole(chart)
    wedges: dict[tuple[bool, tuple[float, float]], list[Place]] = {}
    numbers: list[Text] = []
    lines, columns, row_of = layout.order
    inside = (lines >= within.top) & (lines < within.bottom)
    inside &= (columns >= within.left) & (columns < within.right)
    if within.rows is not None:
        inside &= (row_of >= within.rows[0]) & (row_of <= within.rows[1])
    places = np.flatnonzero(inside)
    rows_inside, firsts = np.unique(row_of[places], return_index=True)
    for number, start in zip(rows_inside.tolist(), places[firsts].tolist(), strict=True):
        if number % style.every:
            continue
        row = layout.rows[number - 1]
        line, column = int(lines[start]), int(columns[start])
        centre = view.place(np.array([[column + 0.5, line + 0.5]]))[0]
        ahead = _way(layout.row_edges(row.number)[1], row.begins_at, view)
        if view.on_tip:
            out = -ahead
            distance = view.block * 2**0.5 / 2
        else:
            cut = start > 0 and row_of[start - 1] == row.number
            if cut:
                beside = int(columns[start - 1])
                edge = _side_of(beside, within) or ("top" if lines[start - 1] < line else "bottom")
            else:
                edge = edge_begun(row)
            out = np.array(_OUTWARD[edge], dtype=np.float64)
            distance = view.block / 2
        at = centre + out * distance
        way = (float(ahead[0].round(6)), float(ahead[1].round(6)))
        wedge_at = at + out * 9 * style.grown
        wedges.setdefault((row.side == "RS", way), []).append(tuple(wedge_at.tolist()))
        numbers.append(_number(number, at + out * 19 * style.grown, out, style))
    stamps = [
        Stamps((_wedge(right_side, way, style),), np.array(at))
        for (right_side, way), at in wedges.items()
    ]
    return [*stamps, *sorted(numbers, key=lambda text: text.bold)]


def side_counts(chart: Chart, view: View, away: float) -> list[Item]:
    """Every fifth column counted from the left and every fifth line from the top, with the first,
    each with a tick; beyond the row numbers, which take so much."""
    items: list[Item] = []
    ticks = []
    for upright, count in ((False, chart.width), (True, chart.height)):
        for number in (n for n in range(1, count + 1) if n == 1 or n % _COUNTED == 0):
            at = (0.0, number - 0.5) if upright else (number - 0.5, 0.0)
            x, y = view.place(np.array([at]))[0].tolist()
            if upright:
                ticks.append((x - away, y, x - away - _TICK, y))
                x, y = x - away - 2 * _TICK, y + SMALL * 0.36
            else:
                ticks.append((x, y - away, x, y - away - _TICK))
                y -= away + 2 * _TICK
            anchor: Anchor = "end" if upright else "middle"
            items.append(Text(x, y, str(number), SMALL, anchor, color=_LIGHTER))
    return [Lines(np.array(ticks), 1.0, _LIGHTER), *items]


def _side_of(column: int, window: Window) -> str | None:
    """The side of the window beyond which a column lies, None inside."""
    return "left" if column < window.left else "right" if column >= window.right else None


def _way(ends_at: str, begins_at: str, view: View) -> NDArray[np.float64]:
    """The direction of work on the sheet: from the begin edge towards the end edge."""
    chart_way = np.array(_OUTWARD[ends_at]) - np.array(_OUTWARD[begins_at])
    way = view.matrix @ chart_way
    return np.asarray(way / np.linalg.norm(way))


def _wedge(right_side: bool, ahead: Place, style: NumberStyle) -> Shape:
    """Points the way of work; its middle is the origin."""
    tip, back, half = (part * style.grown for part in (5, -4, 4.5))
    x, y = ahead
    points = (
        (x * tip, y * tip),
        (x * back - y * half, y * back + x * half),
        (x * back + y * half, y * back - x * half),
    )
    return Shape(points, INK if right_side else PAPER, INK, 1.2)


def _number(
    number: int, at: NDArray[np.float64], out: NDArray[np.float64], style: NumberStyle
) -> Text:
    """A row's number, on the far side of its wedge."""
    bold = number % TENTH in (0, 5)
    size = style.bold_size if bold else style.size
    x, y = at.tolist()
    if abs(out[0]) > 0.5:
        anchor: Anchor = "start" if out[0] > 0 else "end"
        return Text(x, y + size * 0.36, str(number), size, anchor, bold)
    down = size * 0.72 if out[1] > 0 else 0
    return Text(x, y + down, str(number), size, "middle", bold)
