"""What is to be calmed, and how calm a chart is."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pix2block.calming.guards import Guard
from pix2block.color.spaces import Bytes, Floats
from pix2block.craft.diagonal import Layout
from pix2block.craft.runs import find_runs
from pix2block.craft.strands import plan_strands
from pix2block.design.areas import Area, in_areas
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import Habit

# Price of a step of border, of that of a tail, where nothing is carried; the farther yarn may be
# carried, the fewer and dearer the tails are, and the less a border is of one.
BORDER = 0.5


def _none(_blocks: NDArray[np.int64]) -> tuple[Area, ...]:
    return ()


@dataclass(frozen=True, eq=False)
class Calming:
    """What is to be calmed. error: (height, width, yarns) CIEDE2000 of each yarn in each block;
    weights: (height, width) how much a block's error counts, as a budget has it; spare: (height,
    width) by how much more it counts while calming; percent: by how much the mean error may grow,
    weighted and plain, every block alike; most_hanging: yarns that may hang in any row, as far as
    the budget allows; areas: of the picture, those that yarn numbers show in the yarn around
    them; made: rows that are made, in which yarns hang as they do; edges: (height, width, 4) what
    it is worth that a block differs from those above, below, left and right, in steps of border."""

    layout: Layout
    habit: Habit
    error: Floats
    weights: Floats
    yarns: Bytes
    percent: float
    spare: Floats | None = None
    guards: tuple[Guard, ...] = ()
    most_hanging: int | None = None
    seed: int = 1
    border: float | None = None
    areas: Callable[[NDArray[np.int64]], tuple[Area, ...]] = _none
    made: int = 0
    edges: Floats | None = None

    @property
    def border_price(self) -> float:
        """Price of a step of border between colours, of that of a tail."""
        return BORDER / (1 + self.habit.reach) if self.border is None else self.border

    @cached_property
    def nearest(self) -> NDArray[np.int64]:
        """(height, width) the yarn of least error for each block; ties to the lowest number."""
        exists = self.layout.row_numbers() <= self.layout.last_row
        return np.where(exists, np.argmin(self.error, axis=2), -1)

    @cached_property
    def start(self) -> TradePoint:
        """The nearest-yarn chart, worked out."""
        return true_step(self, self.nearest)

    def lost_areas(self, blocks: NDArray[np.int64]) -> tuple[Area, ...]:
        """Those that the nearest yarns do show."""
        return tuple(area for area in self.areas(blocks) if not in_areas(area, self._hidden))

    @cached_property
    def _hidden(self) -> tuple[Area, ...]:
        return self.areas(self.nearest)

    def mean_error(self, blocks: NDArray[np.int64]) -> float:
        """Weighted mean error of (height, width) yarn numbers."""
        exists = blocks >= 0
        weights = self.weights[exists]
        return float(self._error_of(blocks)[exists] @ weights / weights.sum())

    def plain_mean(self, blocks: NDArray[np.int64]) -> float:
        """Their mean error, every block alike."""
        return float(self._error_of(blocks)[blocks >= 0].mean())

    def _error_of(self, blocks: NDArray[np.int64]) -> Floats:
        chosen = np.maximum(blocks, 0)[..., None]
        return np.asarray(np.take_along_axis(self.error, chosen, axis=2)[..., 0])


@dataclass(frozen=True, eq=False)
class TradePoint:
    """A point of the trade-off: (height, width) yarn numbers, mean error, weighted and plain,
    tails, the most yarns that hang at once."""

    blocks: NDArray[np.int64]
    error: float
    mean: float
    tails: int
    most_hanging: int


def true_step(task: Calming, blocks: NDArray[np.int64]) -> TradePoint:
    """Error and tails of yarn numbers, worked out from scratch."""
    plan = plan_strands(find_runs(blocks, task.layout), task.layout, task.habit)
    return TradePoint(
        blocks=blocks,
        error=task.mean_error(blocks),
        mean=task.plain_mean(blocks),
        tails=plan.tails,
        most_hanging=int(plan.attached_by_row[task.made :].max(initial=0)),
    )
