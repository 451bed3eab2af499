"""Calming a chart: as few tails as a given growth of its colour error buys.

Simulated annealing (Kirkpatrick, Gelatt & Vecchi 1983) on the sum of colour error, tails at a
price, and a little for borders between colours, so that no colour creeps along a row where the
picture shows no line. The price of a tail rises step by step from next to nothing, each step
starting from the last, so that one ramp passes through the whole trade-off; the last step is done
again under the budget itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pix2block.calming.guards import STRICT_SHARE, Guard, lost_guards
from pix2block.calming.kernel import Kernel
from pix2block.calming.setting_up import laid_out, piece_of
from pix2block.calming.state import PAID, Prices
from pix2block.color.spaces import Bytes, Floats, to_lab
from pix2block.craft.diagonal import Ints, Layout
from pix2block.craft.runs import find_runs
from pix2block.craft.strands import plan_strands
from pix2block.ground.progress import Progress
from pix2block.ground.settings import Habit

# Of the mean error of a block: the price of a tail on the first step; and its growth a step.
_FIRST_PRICE, _GROWTH = 0.15, 1.35
_MOST_STEPS = 40
_A_BLOCK, _A_BLOCK_LAST = 20, 60  # proposals
_HOT, _COLD = 0.15, 0.03  # temperature, of the price of a tail
# Price of a step of border, of that of a tail, where nothing is carried; the farther yarn may be
# carried, the fewer and dearer the tails are, and the less a border is of one.
BORDER = 0.5
BEYOND = 4.0  # price of a run beyond the cap of its row, of that of a tail
_NO_CAP = 1 << 30
_MOST_CAPS = 4
_AT_ONCE = 400_000
_USUAL_STEPS = 12  # for the progress bar
# Budgets tried until the weighted and the plain mean both keep theirs; the first, in parts of what
# is allowed, is what most photos come out right with.
_MOST_BUDGETS, _PLAIN_GROWS_LESS, _NEARLY_SPENT, _A_LITTLE_LESS = 4, 0.7, 0.9, 0.98


@dataclass(frozen=True, eq=False)
class Calming:
    """What is to be calmed. error: (height, width, yarns) CIEDE2000 of each yarn in each block;
    weights: (height, width) how much a block's error counts, as a budget has it; spare: (height,
    width) by how much more it counts while calming; percent: by how much the weighted mean error
    may grow; most_hanging: yarns that may hang in any row, as far as the budget allows."""

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

    @property
    def border_price(self) -> float:
        """Price of a step of border between colours, of that of a tail."""
        return BORDER / (1 + self.habit.reach) if self.border is None else self.border

    @cached_property
    def nearest(self) -> NDArray[np.int64]:
        """(height, width) the yarn of least error for each block; ties to the lowest number."""
        exists = self.layout.row_numbers() <= self.layout.last_row
        return np.where(exists, np.argmin(self.error, axis=2), -1)

    def mean_error(self, blocks: NDArray[np.int64]) -> float:
        """Weighted mean error of (height, width) yarn numbers."""
        error, exists = self._errors(blocks)
        return float(error @ self.weights[exists] / self.weights[exists].sum())

    def plain_error(self, blocks: NDArray[np.int64]) -> float:
        """Mean error of (height, width) yarn numbers, every block alike."""
        return float(self._errors(blocks)[0].mean())

    def _errors(self, blocks: NDArray[np.int64]) -> tuple[Floats, NDArray[np.bool_]]:
        error = np.take_along_axis(self.error, np.maximum(blocks, 0)[..., None], axis=2)[..., 0]
        exists = blocks >= 0
        return error[exists], exists

    def growth(self, blocks: NDArray[np.int64]) -> float:
        """By how much the error has grown from the nearest yarns, in per cent: the weighted mean or
        the plain one, whichever more."""
        pairs = [(of(blocks), of(self.nearest)) for of in (self.mean_error, self.plain_error)]
        return max(100 * (now / before - 1) if before else 0.0 for now, before in pairs)


@dataclass(frozen=True, eq=False)
class TradePoint:
    """A point of the trade-off: (height, width) yarn numbers, weighted mean error, tails, the most
    yarns that hang at once."""

    blocks: NDArray[np.int64]
    error: float
    tails: int
    most_hanging: int


def true_step(task: Calming, blocks: NDArray[np.int64]) -> TradePoint:
    """Error and tails of yarn numbers, worked out from scratch."""
    plan = plan_strands(find_runs(blocks, task.layout), task.layout, task.habit)
    return TradePoint(blocks, task.mean_error(blocks), plan.tails, int(plan.attached_by_row.max()))


def calm(task: Calming, progress: Progress | None = None) -> TradePoint:
    """The calmest chart found whose weighted and whose plain mean error are both within the budget;
    the nearest-yarn chart where there is none.

    The search keeps the weighted mean. Where blocks count unevenly the plain one can grow more, as
    it pays where they count little: the budget is then lowered by as much and the search made
    again.
    """
    uneven = np.ptp(task.weights[task.nearest >= 0]) > 0
    if not uneven:
        return _calmed(task, progress)
    found = true_step(task, task.nearest)
    allowed = _PLAIN_GROWS_LESS * task.percent
    for _ in range(_MOST_BUDGETS):
        step = _calmed(replace(task, percent=allowed), progress)
        growth = task.growth(step.blocks)
        if growth <= task.percent and step.tails < found.tails:
            found = step
        if growth <= 0 or _NEARLY_SPENT * task.percent <= growth <= task.percent:
            break
        allowed *= _A_LITTLE_LESS * task.percent / growth
    return found


def _calmed(task: Calming, progress: Progress | None) -> TradePoint:
    """The calmest chart found within the budget of the weighted mean.

    No guarded feature is lost: where one is by its definition, it is guarded more strictly and the
    search made again; at last its blocks and those around it are left as they were.
    """
    start = true_step(task, task.nearest)
    if start.error <= 0 or task.percent <= 0:
        return start
    best = _search_capped(task, start, progress)
    lost = lost_guards(task.guards, task.yarns, best.blocks)
    if lost:
        stricter = tuple(replace(g, share=STRICT_SHARE) if g in lost else g for g in task.guards)
        task = replace(task, guards=stricter)
        best = _search_capped(task, start, progress)
    for guard in lost_guards(task.guards, task.yarns, best.blocks):
        kept = guard.feature.mask | guard.feature.ring
        best = true_step(task, np.where(kept, start.blocks, best.blocks))
    return best


def trade_off(task: Calming, progress: Progress | None = None) -> list[TradePoint]:
    """The whole ramp, from the nearest-yarn chart to the budget: error rises, tails fall."""
    start = true_step(task, task.nearest)
    steps = [start]
    if start.error > 0 and task.percent > 0:
        most = start.error * (1 + task.percent / 100)
        for labels in _ramp(task, most, _NO_CAP, progress):
            step = true_step(task, laid_out(task.layout, labels))
            if step.tails < steps[-1].tails:
                steps.append(step)
    return steps


def _search_capped(task: Calming, start: TradePoint, progress: Progress | None) -> TradePoint:
    """A search, made again with a lower cap while more yarns hang than asked: runs in a row are
    what the search can cap, yarns that wait over a row come on top."""
    most = start.error * (1 + task.percent / 100)
    cap = task.most_hanging
    for _ in range(_MOST_CAPS):
        labels = list(_ramp(task, most, _NO_CAP if cap is None else cap, progress))[-1]
        step = true_step(task, laid_out(task.layout, labels))
        beyond = 0 if task.most_hanging is None else step.most_hanging - task.most_hanging
        if cap is None or beyond <= 0 or cap == 1:
            break
        cap = max(1, cap - beyond)
    return step


def _ramp(task: Calming, most: float, cap: int, progress: Progress | None) -> Iterator[Ints]:
    """Labels in working order after every step of a rising price, and last under the budget
    itself. most: weighted mean error."""
    if progress:
        progress(0, _USUAL_STEPS + 3)
    share = task.weights / task.weights[task.nearest >= 0].mean()
    paid = task.error * share[..., None]
    cost = paid if task.spare is None else paid * task.spare[..., None]
    piece = piece_of(task.layout, task.habit, cost, paid, to_lab(task.yarns), task.guards)
    lines, columns, _ = task.layout.order
    kernel = Kernel(piece, task.nearest[lines, columns], task.seed)
    kernel.count_all(cap)
    blocks = len(lines)
    most_paid = most * blocks
    price = _FIRST_PRICE * kernel.total[PAID] / blocks
    for done in range(_MOST_STEPS):
        before = kernel.labels
        beyond = BEYOND * price if cap < _NO_CAP else 0.0
        prices = Prices(price, task.border_price * price, beyond, np.inf, cap)
        _cool(kernel, prices, _A_BLOCK * blocks)
        if progress:
            progress(min(done + 1, _USUAL_STEPS), _USUAL_STEPS + 3)
        if kernel.total[PAID] > most_paid:
            break
        yield kernel.labels
        price *= _GROWTH
    kernel.count_all(cap, before)
    _cool(kernel, prices._replace(most_paid=most_paid), _A_BLOCK_LAST * blocks)
    if progress:
        progress(_USUAL_STEPS + 3, _USUAL_STEPS + 3)
    yield kernel.labels


def _cool(kernel: Kernel, prices: Prices, proposals: int) -> None:
    """Anneal, in parts short enough that an interruption is soon heeded."""
    parts = max(1, proposals // _AT_ONCE)
    hot, cold = _HOT * prices.tail, _COLD * prices.tail
    for part in range(parts):
        begin, end = (hot * (cold / hot) ** (at / parts) for at in (part, part + 1))
        kernel.anneal(prices, begin, end, proposals // parts)
