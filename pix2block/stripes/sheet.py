"""A striped piece as fabric: its stripes at true proportion, the rows where yarns end marked.

Several plans stand side by side at one scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise
from textwrap import wrap

import numpy as np
from numpy.typing import NDArray

from pix2block.amounts.yarn_use import Amounts
from pix2block.craft.diagonal import Layout
from pix2block.drawing.shapes import Drawing, Item, Lines, Point, Shape, Text
from pix2block.drawing.style import (
    INK,
    MARGIN,
    NOW,
    PAPER,
    SMALL,
    TITLE,
    text_width,
)
from pix2block.drawing.views import held_view
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import sides_of
from pix2block.ground.units import added_up, say_count, say_metres
from pix2block.pattern.yarn_words import size_words
from pix2block.stripes.edges import StripeMade, stripes_made
from pix2block.stripes.yarn_ends import YarnEnd, yarn_ends

FABRIC_HEIGHT, FABRIC_WIDTH = 960.0, 1200.0  # of the tallest piece, of all pieces together
SMALLEST_FABRIC = 240.0
LABEL_STEP = 20.0
LEADER = 26.0
SWATCH = 22.0
PNG_SCALE = 2.0
_ROOM = 1.12  # an SVG is shown in what fonts the reader has


def stripes_sheet(pieces: Sequence[Amounts]) -> Drawing:
    """One piece, or several side by side at one scale."""
    scale = _units_a_cm(pieces)
    panels = [_Panel.of(amounts, scale) for amounts in pieces]
    x, bottom = MARGIN, 0.0
    items: list[Item] = []
    for panel in panels:
        drawn, end = panel.items(x, MARGIN)
        items += drawn
        bottom = max(bottom, end)
        x += panel.width + 2 * MARGIN
    names = ", ".join(amounts.chart.title for amounts in pieces)
    label = f"{names}: stripes at true proportion, the last row of each yarn marked"
    return Drawing(x - MARGIN, bottom + MARGIN, label, tuple(items))


def _units_a_cm(pieces: Sequence[Amounts]) -> float:
    sizes = [amounts.wingspan_depth_cm or amounts.finished_size_cm for amounts in pieces]
    by_height = FABRIC_HEIGHT / max(height for _, height in sizes)
    return min(by_height, FABRIC_WIDTH / added_up(width for width, _ in sizes))


@dataclass(frozen=True, eq=False)
class _Panel:
    """One piece of the sheet. side: of a block, in the sheet's units."""

    amounts: Amounts
    side: float
    stripes: tuple[StripeMade, ...]
    ends: tuple[YarnEnd, ...]

    @classmethod
    def of(cls, amounts: Amounts, scale: float) -> _Panel:
        side = amounts.measures.block_cm * scale
        return cls(amounts, side, stripes_made(amounts), yarn_ends(amounts))

    @property
    def fabric_width(self) -> float:
        return self._extent[0]

    @property
    def fabric_height(self) -> float:
        return self._extent[1]

    @cached_property
    def _extent(self) -> tuple[float, float]:
        width, height = np.ptp(self._placed(self._outline), axis=0).tolist()
        return width, height

    @property
    def _outline(self) -> list[Point]:
        layout = self.amounts.chart.layout
        return stripe_outline(layout, 1, layout.last_row)

    def _placed(self, points: Sequence[Point]) -> NDArray[np.float64]:
        """(n, 2) corners in blocks from the start corner, as the piece is seen, a triangle as it
        is held, in the sheet's units from any origin."""
        start = sides_of(self.amounts.chart.layout.start_corner)
        ways = np.array([-1 if start.right else 1, -1 if start.bottom else 1])
        seen: NDArray[np.float64] = np.array(points) * ways * self.side
        if not self.amounts.chart.is_triangle:
            return seen
        angle = np.radians(held_view(self.amounts.chart).turn)
        cos, sin = np.cos(angle), np.sin(angle)
        return np.asarray(seen @ np.array([[cos, sin], [-sin, cos]]))

    @property
    def labels(self) -> list[str]:
        names = [yarn.name for yarn in self.amounts.chart.yarns]
        return [f"row {end.last_row}: last of {names[end.yarn]}" for end in self.ends]

    @property
    def heading(self) -> list[str]:
        chart = self.amounts.chart
        across, down = chart.layout.extent
        return [
            size_words(self.amounts),
            f"{across} × {down} blocks, {say_count(chart.last_row, 'row')}",
            f"{say_count(len(self.stripes), 'stripe')}, "
            f"{say_count(self.amounts.plan.tails, 'tail')}",
        ]

    @property
    def width(self) -> float:
        beside = LEADER + _ROOM * max(text_width(label, SMALL) for label in self.labels)
        keys = [SWATCH + 10 + _ROOM * text_width(line, SMALL) for _, line in self.key_lines]
        heads = [_ROOM * text_width(line, SMALL) for line in self.heading]
        fabric = self.fabric_width + beside
        return max(fabric, *keys, *heads, SMALLEST_FABRIC, 8 * TITLE)

    @property
    def key_lines(self) -> list[tuple[int, str]]:
        """Yarns in the order in which they end, with what is left."""
        lines = []
        for end in self.ends:
            yarn, amount = self.amounts.chart.yarns[end.yarn], self.amounts.yarns[end.yarn]
            line = (
                f"{yarn.name}: {say_metres(amount.metres)}, up to {say_metres(amount.metres_high)}"
            )
            if end.left_m is not None and end.left_m >= 0:
                line += f"; at least {say_metres(end.left_m)} left"
            elif end.left_m is not None:
                line += f"; {say_metres(-end.left_m)} short"
            lines.append((end.yarn, line))
        return lines

    def items(self, x: float, y: float) -> tuple[list[Item], float]:
        """What is drawn with the panel's left top at (x, y), and where it ends below."""
        titles = wrap(self.amounts.chart.title, max(12, int(self.width / (TITLE * 0.55))))
        items: list[Item] = []
        for line in titles:
            items.append(Text(x, y + TITLE * 0.8, line, TITLE, bold=True))
            y += TITLE * 1.2
        for line in self.heading:
            items.append(Text(x, y + SMALL, line, SMALL))
            y += SMALL * 1.6
        y += MARGIN / 2
        items += self._fabric(x, y)
        items += self._marks(x, y)
        labels = LABEL_STEP * len(self.ends)  # of a low piece they reach further down
        y += max(self.fabric_height, labels) + MARGIN + LABEL_STEP
        for number, line in self.key_lines:
            color = self.amounts.chart.yarns[number].color
            items.append(_box(x, y, SWATCH, color))
            items.append(Text(x + SWATCH + 10, y + SWATCH * 0.72, line, SMALL))
            y += SWATCH + 8
        return items, y

    def _sheet(self, points: list[Point], x: float, y: float) -> list[Point]:
        """Corners in blocks from the start corner, on the sheet."""
        placed = self._placed(points) - self._corner + np.array([x, y])
        return [(float(at), float(down)) for at, down in placed]

    @cached_property
    def _corner(self) -> NDArray[np.float64]:
        return np.asarray(self._placed(self._outline).min(axis=0))

    def _fabric(self, x: float, y: float) -> list[Item]:
        layout = self.amounts.chart.layout
        items: list[Item] = []
        for stripe in self.stripes:
            outline = self._sheet(stripe_outline(layout, stripe.first_row, stripe.last_row), x, y)
            color = self.amounts.chart.yarns[stripe.yarn].color
            items.append(Shape(outline, color, color, 0.5))
        rows = [
            self._sheet(_outer_edge(layout, number), x, y)
            for number in range(1, layout.last_row + 1)
        ]
        hair = min(0.6, self.side / 12)
        items.append(Lines(_as_segments(rows), hair, INK))
        whole = self._sheet(stripe_outline(layout, 1, layout.last_row), x, y)
        return [*items, Shape(whole, None, INK, 2.0)]

    def _marks(self, x: float, y: float) -> list[Item]:
        """The last row of each yarn: a line along it and, beside the piece, its number."""
        layout = self.amounts.chart.layout
        items: list[Item] = []
        places = []
        for end, label in zip(self.ends, self.labels, strict=True):
            edge = self._sheet(_outer_edge(layout, end.last_row), x, y)
            segments = _as_segments([edge])
            items += [Lines(segments, 4.0, PAPER), Lines(segments, 1.8, NOW)]
            tip_x, tip_y = max(edge, key=lambda point: (point[0], -point[1]))
            places.append((tip_y, end.last_row, tip_x, label))
        upwards = self.amounts.chart.is_triangle or sides_of(layout.start_corner).bottom
        places.sort(key=lambda place: (place[0], -place[1] if upwards else place[1]))
        out = x + self.fabric_width + 8
        heights = _apart([tip_y for tip_y, *_ in places], y + self.fabric_height)
        for (tip_y, _, tip_x, label), height in zip(places, heights, strict=True):
            beside = x + self.fabric_width + LEADER
            leader = [(tip_x, tip_y, out, tip_y), (out, tip_y, beside - 4, height)]
            items.append(Lines(np.array(leader), 1.4, NOW))
            items.append(Text(beside, height + SMALL * 0.36, label, SMALL))
        return items


def _apart(heights: list[float], bottom: float) -> list[float]:
    """Heights of labels, rising: none over another, and the last not below the piece if it can
    be helped."""
    apart: list[float] = []
    for height in heights:
        apart.append(max(height, apart[-1] + LABEL_STEP) if apart else height)
    limit = max(bottom, heights[0] + LABEL_STEP * (len(heights) - 1))
    for i in reversed(range(len(apart))):
        apart[i] = min(apart[i], limit - LABEL_STEP * (len(apart) - 1 - i))
    return apart


def stripe_outline(layout: Layout, first_row: int, last_row: int) -> list[Point]:
    """The outline of these rows, in blocks (dx, dy) from the start corner."""
    outer = _outer_edge(layout, last_row)
    dx, dy = (steps.tolist() for steps in layout.steps(first_row))
    inner: list[Point] = []
    for i, j in sorted(zip(dx, dy, strict=True), reverse=True):
        inner += [(i + 1, j), (i, j), (i, j + 1)]
    far_side, high_side = [], []
    if first_row <= layout.width < last_row:
        far_side = [(float(layout.width), 0.0)]
    if first_row <= layout.height < last_row:
        high_side = [(0.0, float(layout.height))]
    return [*outer, *far_side, *inner, *high_side]


def _outer_edge(layout: Layout, number: int) -> list[Point]:
    """The steps along a row's far side, from the vertical edge to the horizontal one."""
    dx, dy = (steps.tolist() for steps in layout.steps(number))
    points: list[Point] = []
    for i, j in sorted(zip(dx, dy, strict=True)):
        points += [(i, j + 1), (i + 1, j + 1), (i + 1, j)]
    return points


def _as_segments(paths: list[list[Point]]) -> NDArray[np.float64]:
    pairs = [(*a, *b) for path in paths for a, b in pairwise(path) if a != b]
    return np.array(pairs, dtype=np.float64).reshape(-1, 4)


def _box(x: float, y: float, side: float, color: str) -> Item:
    corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
    return Shape(corners, color, INK, 1.0)
