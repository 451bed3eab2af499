"""Yarns of a shelf that fit what is on hand: the K-median whose yarns have room for their blocks.

A yarn's room is how many blocks its skeins work, at the upper end of what they may take. Blocks go
to their nearest chosen yarn, as always, so that a colour is never torn in two; what is searched is
the choice. The search exchanges, adds and leaves out yarns, first at a low price for every block
beyond the room, then at rising ones, at last at any price; from several starts, for a counted
number of trials. What it finds is good, not proven, except where
there are so few choices that all of them are weighed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from math import comb

import numpy as np
from numpy.typing import NDArray

from pix2block.design.k_median import KMedian, greedy_start, swap_search

_PRICES = (0.5, 2.0, 8.0, 32.0, np.inf)  # of a block without yarn, in mean errors of a block
_MOST_WORK = 60_000_000  # entries of the table looked at
_RANDOM_STARTS = 40
_FEW_CHOICES = 2000
_TINY = 1e-9


@dataclass(frozen=True)
class Choice:
    """Chosen candidates, rising; cost: the weighted sum of distances; short: blocks beyond room."""

    chosen: tuple[int, ...]
    cost: float
    short: float


def solve_within(
    problem: KMedian,
    blocks: NDArray[np.floating],
    room: NDArray[np.floating],
    few: int = _FEW_CHOICES,
) -> Choice:
    """The best choice found whose candidates have room for the points nearest to them, else the one
    with the fewest blocks beyond.

    blocks: (points,) how many blocks each point stands for; room: (candidates,) blocks.
    few: up to so many choices all are weighed.
    """
    search = _Search(problem, blocks, room)
    many = len(problem.table)
    if sum(comb(many, size) for size in range(1, problem.most + 1)) <= few:
        every = (c for size in range(1, problem.most + 1) for c in combinations(range(many), size))
        fit = [search.weigh(list(c)) for c in every if set(problem.locked) <= set(c)]
        return min(fit, key=lambda choice: (choice.short, choice.cost))
    best: Choice | None = None
    for start in _starts(problem, room):
        found = search.climb(start)
        if best is None or (found.short, found.cost) < (best.short, best.cost):
            best = found
        if search.work > _MOST_WORK:
            break
    assert best is not None
    return best


def _starts(problem: KMedian, room: NDArray[np.floating]) -> Iterator[list[int]]:
    many = len(problem.table)
    if problem.most >= many:
        yield list(range(many))
    else:
        yield swap_search(problem, greedy_start(problem))
    widest = [int(i) for i in np.argsort(-room, kind="stable") if i not in problem.locked]
    yield [*problem.locked, *widest][: problem.most]
    rng = np.random.default_rng(0)
    for _ in range(_RANDOM_STARTS):
        size = int(rng.integers(max(1, len(problem.locked)), min(problem.most, many) + 1))
        others = rng.permutation(widest)[: size - len(problem.locked)]
        yield [*problem.locked, *(int(i) for i in others)]


class _Search:
    """Counts what it looks at, so that it stops at the same place on every run."""

    def __init__(
        self, problem: KMedian, blocks: NDArray[np.floating], room: NDArray[np.floating]
    ) -> None:
        self.problem, self.blocks, self.room = problem, blocks, room
        self.work = 0

    def weigh(self, chosen: list[int]) -> Choice:
        table = self.problem.table[chosen]
        self.work += table.size
        nearest = np.argmin(table, axis=0)
        cost = float(table[nearest, np.arange(table.shape[1])] @ self.problem.weight)
        taken = np.bincount(nearest, weights=self.blocks, minlength=len(chosen))
        short = float(np.maximum(taken - self.room[chosen], 0).sum())
        return Choice(tuple(chosen), cost, short if short > _TINY else 0.0)

    def climb(self, start: list[int]) -> Choice:
        """From a start to a choice that no single move betters, price after price."""
        now = self.weigh(sorted(start))
        best = now
        mean = now.cost / max(float(self.blocks.sum()), 1.0) or 1.0
        for price in _PRICES:
            now = self._climb_at(now, price * mean)
            if (now.short, now.cost) < (best.short, best.cost):
                best = now
        return best

    def _climb_at(self, now: Choice, price: float) -> Choice:
        while True:
            for chosen in self._moves(now.chosen):
                if self.work > _MOST_WORK:
                    return now
                trial = self.weigh(chosen)
                if _worth(trial, price) < _less(_worth(now, price)):
                    now = trial
                    break
            else:
                return now

    def _moves(self, chosen: tuple[int, ...]) -> Iterator[list[int]]:
        free = [c for c in chosen if c not in self.problem.locked]
        others = [c for c in range(len(self.problem.table)) if c not in chosen]
        if len(chosen) < self.problem.most:
            for new in others:
                yield sorted((*chosen, new))
        for old in free:
            rest = [c for c in chosen if c != old]
            for new in others:
                yield sorted((*rest, new))
        if len(chosen) > 1:
            for old in free:
                yield [c for c in chosen if c != old]


def _worth(choice: Choice, price: float) -> tuple[float, float]:
    if np.isinf(price):
        return choice.short, choice.cost
    return 0.0, choice.cost + price * choice.short


def _less(worth: tuple[float, float]) -> tuple[float, float]:
    """A little less, so that rounding is no gain."""
    return worth[0], worth[1] * (1 - _TINY)
