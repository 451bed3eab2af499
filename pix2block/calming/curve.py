"""Fewer tails against more colour error: a piece at each calm."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.ground.frozen import dataclass

CURVE_CALMS = (0.0, 1.0, 2.0, 3.0, 6.0, 10.0, 15.0)  # per cent


@dataclass(frozen=True, eq=False)
class CurvePoint:
    """A piece along the curve, as `chart` makes it with that calm. calm: per cent; weave_in_hours:
    of ending its tails; near, far: mean CIEDE2000 as seen; lost: features of the picture."""

    calm: float
    chart: Chart
    tails: int
    most_hanging: int
    weave_in_hours: float
    near: float | None
    far: float | None
    lost: int

    @property
    def percent(self) -> float:
        """By how much the mean error has grown, in per cent: weighted or plain, the larger, since
        a budget holds for both."""
        calmed = self.chart.calmed
        if calmed is None or not calmed.error_before:
            return 0.0
        grown = calmed.error_after / calmed.error_before
        if calmed.mean_before and calmed.mean_after:
            grown = max(grown, calmed.mean_after / calmed.mean_before)
        return max(0.0, 100 * (grown - 1))


@dataclass(frozen=True, eq=False)
class Curve:
    """Fewer tails against more colour error. points: the first one is the nearest-yarn chart; each
    has fewer tails than those before it."""

    points: tuple[CurvePoint, ...]

    @cached_property
    def bend(self) -> int:
        """The point farthest below the line from the first to the last: beyond it, each tail saved
        costs more than the whole stretch does on average."""
        if len(self.points) < 3:
            return len(self.points) - 1
        grown = np.array([point.percent for point in self.points])
        tails = np.array([point.tails for point in self.points], dtype=np.float64)
        across = grown / max(grown[-1], 1e-9)
        down = (tails[0] - tails) / (tails[0] - tails[-1])
        return int(np.argmax(down - across))
