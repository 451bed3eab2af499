"""How a chart lies on a sheet: as the picture is seen, or as it is held."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.drawing.png import LONGEST, MOST_PIXELS
from pix2block.ground.frozen import dataclass

# Side of a block, in the sheet's units: a small piece is drawn larger, so that it fills a sheet.
SMALLEST_BLOCK, LARGEST_BLOCK, FILLED = 20.0, 44.0, 560.0
_AROUND = 20  # what words and margins take beside the chart, in its blocks


@dataclass(frozen=True, eq=False)
class View:
    """How corners (column, line) of the chart lie on the sheet: matrix @ corner + origin.

    block: side of a block. width, height: of the drawn blocks. turn: of the chart, clockwise, in
    degrees.
    """

    block: float
    matrix: NDArray[np.float64]
    origin: NDArray[np.float64]
    width: float
    height: float
    turn: float = 0.0

    @property
    def on_tip(self) -> bool:
        """Whether blocks stand on a corner."""
        return self.turn != 0

    def place(self, corners: NDArray[np.float64]) -> NDArray[np.float64]:
        """(n, 2) places on the sheet of (n, 2) corners."""
        return corners @ self.matrix.T + self.origin


def block_side(chart: Chart) -> float:
    """Side of a block on the sheet."""
    return min(LARGEST_BLOCK, max(SMALLEST_BLOCK, FILLED / max(chart.width, chart.height)))


def picture_view(chart: Chart) -> View:
    """The chart as the picture is seen."""
    block = block_side(chart)
    width, height = chart.width * block, chart.height * block
    return View(block, np.eye(2) * block, np.zeros(2), width, height)


@lru_cache(maxsize=2)  # every band of rows asks for it, and while bands are tried
def held_view(chart: Chart) -> View:
    """The chart turned, right side facing, so that the start corner points down and rows lie
    level. It is turned, never mirrored."""
    turn = {"bottom-right": 45, "bottom-left": -45, "top-right": 135, "top-left": -135}[
        chart.start_corner
    ]
    angle = np.radians(turn)
    cos, sin = np.cos(angle), np.sin(angle)
    block = block_side(chart)
    matrix = np.array([[cos, -sin], [sin, cos]]) * block
    there = chart.blocks >= 0
    lines = np.flatnonzero(there.any(axis=1))
    firsts = there[lines].argmax(axis=1)  # no block of a line reaches beyond its first and last
    lasts = chart.width - there[lines, ::-1].argmax(axis=1)
    corners = np.concatenate(
        [np.stack([columns, lines + j], axis=1) for columns in (firsts, lasts) for j in (0, 1)]
    )
    places = corners @ matrix.T
    low, high = places.min(axis=0), places.max(axis=0)
    width, height = (high - low).tolist()
    return View(block, matrix, -low, width, height, turn)


def png_scale(chart: Chart) -> float:
    """Pixels a unit: whole pixels a block, at most 28, fewer where the sheet would have more than
    a PNG may or be longer than 8,000."""
    across, down = (side + _AROUND for side in (chart.width, chart.height))
    most = min((MOST_PIXELS / (across * down)) ** 0.5, LONGEST / max(across, down), 28.0)
    return max(1, int(most)) / SMALLEST_BLOCK
