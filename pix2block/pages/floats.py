"""Floats on a sheet: the yarn that lies behind, as dashed lines."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.craft.plan import StrandPlan
from pix2block.craft.strands import places
from pix2block.drawing.shapes import Item, Lines
from pix2block.drawing.style import INK, PAPER
from pix2block.drawing.views import View
from pix2block.ground.settings import sides_of

_DASH = 5.0
_GROUND, _YARN = 4.4, 2.0  # widths


def dashed(segments: NDArray[np.float64]) -> list[Item]:
    """Dashed ink on a strip of paper, so that it shows on every yarn."""
    return [Lines(segments, _GROUND, PAPER), Lines(segments, _YARN, INK, _DASH)]


def float_items(chart: Chart, plan: StrandPlan, view: View) -> list[Item]:
    """Every float that has a length, from the corner where the yarn leaves a run to the corner
    where it enters the next."""
    place = places(chart.runs, chart.layout)
    to = np.flatnonzero(plan.float_squares)
    before = plan.preceding[to]
    ends = [
        _corners(chart, place.leave_row[before], place.leave_t[before]),
        _corners(chart, place.enter_row[to], place.enter_t[to]),
    ]
    return dashed(np.concatenate([view.place(corners) for corners in ends], axis=1))


def _corners(chart: Chart, row: NDArray[np.int64], t: NDArray[np.int64]) -> NDArray[np.float64]:
    """(n, 2) column and line, from the top left, of corners given in the numbers of strands."""
    column, line = (row + t) / 2, (row - t) / 2
    start = sides_of(chart.start_corner)
    if start.right:
        column = chart.width - column
    if start.bottom:
        line = chart.height - line
    return np.stack([column, line], axis=1)
