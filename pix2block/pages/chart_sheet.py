"""The chart as a sheet: in the picture's view, for looking, and as held, for working."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.ground.units import say_count, say_size
from pix2block.pages.drawing import Blocks, Drawing, Item, Lines, Shape, Text, moved
from pix2block.pages.marks import Mark
from pix2block.pages.style import (
    BODY,
    LABEL_SPACE,
    MARGIN,
    NOW,
    PAPER,
    SMALL,
    TITLE,
    ink_on,
    text_width,
)
from pix2block.pages.views import View, held_view, picture_view
from pix2block.pages.yarn_key import marks_of, yarn_key

TENTH = 10


def chart_sheet(amounts: Amounts, held: bool = False) -> Drawing:
    """The whole sheet: title, blocks with row numbers where each row begins, key of yarns."""
    chart = amounts.chart
    view = held_view(chart) if held else picture_view(chart)
    marks = marks_of(chart)
    used = list(marks)
    key = yarn_key(amounts, used, marks, held)
    width = max(view.width + 2 * LABEL_SPACE, key.width, _title_width(amounts)) + 2 * MARGIN
    top = MARGIN + TITLE + BODY + 2 * MARGIN + LABEL_SPACE
    left = (width - view.width) / 2
    placed = replace(view, origin=view.origin + np.array([left, top]))
    below = top + view.height + LABEL_SPACE + MARGIN
    items = [
        Text(MARGIN, MARGIN + TITLE * 0.8, chart.title, TITLE, bold=True),
        Text(MARGIN, MARGIN + TITLE + BODY * 1.2, _subtitle(amounts), BODY),
        *_block_items(chart, placed, used, marks),
        *_line_items(chart, placed),
        *_outlines(chart, placed),
        *_row_numbers(chart, placed),
        *moved(key.items, MARGIN, below),
    ]
    what = "as held, right side facing" if held else "as the picture is seen"
    label = f"{chart.title}: chart of {chart.width} x {chart.height} blocks, {what}"
    return Drawing(width, below + key.height + MARGIN, label, tuple(items))


def _subtitle(amounts: Amounts) -> str:
    chart = amounts.chart
    across, down = chart.layout.extent
    return (
        f"{across} x {down} blocks, {say_count(chart.last_row, 'row')}, "
        f"{say_size(*amounts.finished_size_cm)}"
    )


def _title_width(amounts: Amounts) -> float:
    return max(
        text_width(amounts.chart.title, TITLE, bold=True), text_width(_subtitle(amounts), BODY)
    )


def _block_items(chart: Chart, view: View, used: list[int], marks: dict[int, Mark]) -> list[Item]:
    items: list[Item] = []
    for number in used:
        lines, columns = np.nonzero(chart.blocks == number)
        color = chart.yarns[number].color
        centres = view.place(np.stack([columns + 0.5, lines + 0.5], axis=1))
        items.append(Blocks(centres, view.block, color, marks[number], ink_on(color), view.on_tip))
    return items


def _line_items(chart: Chart, view: View) -> list[Item]:
    """Every tenth line heavier, counted from the start corner; the edges heaviest."""
    exists = np.pad(chart.blocks >= 0, 1)
    corner = chart.start_corner
    tenths, edges = [], []
    for upright in (True, False):
        grid = exists if upright else exists.T
        before, after = grid[1:-1, :-1], grid[1:-1, 1:]
        count = after.shape[1] - 1
        from_end = corner.endswith("right") if upright else corner.startswith("bottom")
        for place in range(count + 1):
            steps = count - place if from_end else place
            edge = before[:, place] ^ after[:, place]
            inside = before[:, place] & after[:, place]
            edges += _stretches(edge, place, upright)
            if steps % TENTH == 0:
                tenths += _stretches(inside, place, upright)
    heavy = _segments(view, tenths)
    return [
        Lines(heavy, 3.4, PAPER),
        Lines(heavy, 1.8),
        Lines(_segments(view, edges), 3.0),
    ]


def _stretches(
    flags: NDArray[np.bool_], place: int, upright: bool
) -> list[tuple[int, int, int, int]]:
    """Stretches of true flags along a line of the grid, as corners."""
    change = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    ends = change.reshape(-1, 2).tolist()
    return [(place, a, place, b) if upright else (a, place, b, place) for a, b in ends]


def _segments(view: View, corners: list[tuple[int, int, int, int]]) -> NDArray[np.float64]:
    pairs = np.array(corners, dtype=np.float64).reshape(-1, 2)
    return view.place(pairs).reshape(-1, 4)


def _outlines(chart: Chart, view: View) -> list[Item]:
    """Minded places, so that a wrong find is seen."""
    items: list[Item] = []
    for place in chart.source.minded if chart.source else ():
        x = (place.left, place.right, place.right, place.left)
        y = (place.top, place.top, place.bottom, place.bottom)
        corners = view.place(np.stack([x, y], axis=1)).tolist()
        points = tuple((a, b) for a, b in corners)
        items += [Shape(points, None, PAPER, 6.0), Shape(points, None, NOW, 3.0)]
    return items


_OUTWARD = {"right": (1, 0), "left": (-1, 0), "top": (0, -1), "bottom": (0, 1)}
_OPPOSITE = {"right": "left", "left": "right", "top": "bottom", "bottom": "top"}


def _row_numbers(chart: Chart, view: View) -> list[Item]:
    """Row numbers outside where each row begins, with a wedge the way the hook goes: full on
    right-side rows, open on wrong-side ones."""
    layout = chart.layout
    items: list[Item] = []
    lines, columns, row_of = layout.order
    starts = np.searchsorted(row_of, np.arange(1, layout.last_row + 1))
    for row, start in zip(layout, starts.tolist(), strict=True):
        centre = view.place(np.array([[columns[start] + 0.5, lines[start] + 0.5]]))[0]
        ahead = _way(layout.row_edges(row.number)[1], row.begins_at, view)
        if view.on_tip:
            out = -ahead
            distance = view.block * 2**0.5 / 2
        else:
            # A row that grows begins at its own edge; one that travels, at the edge opposite to
            # where it ends.
            edge = row.begins_at if row.begins != "travel" else _OPPOSITE[row.ends_at]
            out = np.array(_OUTWARD[edge], dtype=np.float64)
            distance = view.block / 2
        items += _row_number(row.number, row.side == "RS", centre + out * distance, out, ahead)
    return items


def _way(ends_at: str, begins_at: str, view: View) -> NDArray[np.float64]:
    """The direction of work on the sheet: from the begin edge towards the end edge."""
    chart_way = np.array(_OUTWARD[ends_at]) - np.array(_OUTWARD[begins_at])
    way = view.matrix @ chart_way
    return np.asarray(way / np.linalg.norm(way))


def _row_number(
    number: int,
    right_side: bool,
    edge: NDArray[np.float64],
    out: NDArray[np.float64],
    ahead: NDArray[np.float64],
) -> list[Item]:
    bold = number % TENTH in (0, 5)
    size = BODY if bold else SMALL
    wedge_at = edge + out * 9
    across = np.array([-ahead[1], ahead[0]])
    back = wedge_at - ahead * 4
    tips = (wedge_at + ahead * 5, back + across * 4.5, back - across * 4.5)
    points = tuple((float(x), float(y)) for x, y in tips)
    ink = ink_on(PAPER)
    wedge = Shape(points, ink if right_side else PAPER, ink, 1.2)
    at = edge + out * 19
    if abs(out[0]) > 0.5:
        text = Text(
            float(at[0]),
            float(at[1]) + size * 0.36,
            str(number),
            size,
            "start" if out[0] > 0 else "end",
            bold,
        )
    else:
        y = float(at[1]) + (size * 0.72 if out[1] > 0 else 0)
        text = Text(float(at[0]), y, str(number), size, "middle", bold)
    return [wedge, text]
