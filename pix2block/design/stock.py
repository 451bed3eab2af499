"""Yarns of a shelf that fit what is on hand: the K-median whose yarns have room for their blocks.

A yarn's room is how many blocks its skeins work, at the upper end of what they may take. Where the
chosen yarns together have room, blocks are shared out among them at the least sum
(design/share_out); which yarns are chosen is searched by prices on those that are full, risen and
lowered as their room asks (Lagrangian relaxation of the room, as in Pirkul 1987), and every choice
met is shared out and compared. `solve_within` keeps every block in its nearest yarn: it exchanges,
adds and leaves out yarns, first at a low price for every block beyond the room, then at rising
ones, at last at any price; from several starts, for a counted number of trials. What both find is
good, not proven, except where there are so few choices that all of them are weighed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from math import comb

import numpy as np
from numpy.typing import NDArray

from pix2block.design.k_median import KMedian, greedy_start, swap_search
from pix2block.design.share_out import share_out
from pix2block.ground.frozen import dataclass

_PRICES = (0.5, 2.0, 8.0, 32.0, np.inf)  # of a block without yarn, in mean errors of a block
_MOST_WORK = 60_000_000  # entries of the table looked at
_RANDOM_STARTS = 40
_FEW_CHOICES = 2000
_PRICE_ROUNDS = 24
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


def choose_sharing(
    problem: KMedian, blocks: NDArray[np.floating], room: NDArray[np.floating]
) -> tuple[int, ...]:
    """The choice, rising, among whose candidates the points are shared out at the least sum; where
    no choice that is met has room for all, that with the fewest blocks beyond.

    blocks, room: as for `solve_within`.
    """
    within = solve_within(problem, blocks, room)
    kinds = np.rint(blocks).astype(np.int64)
    each = (problem.table * (problem.weight / np.maximum(blocks, 1e-9))).T
    best, least = within.chosen, np.inf
    met = dict.fromkeys([within.chosen, *_by_prices(problem, blocks, room)])
    for chosen in met:
        found = share_out(each[:, list(chosen)], room[list(chosen)], kinds)
        if found is not None and found.cost < least * (1 - _TINY):
            best, least = chosen, found.cost
    return best


def _by_prices(
    problem: KMedian, blocks: NDArray[np.floating], room: NDArray[np.floating]
) -> Iterator[tuple[int, ...]]:
    """Choices at prices for a block of each candidate, which follow the subgradient."""
    a_block = blocks / np.maximum(problem.weight, 1e-9)
    price = np.zeros(len(problem.table))
    widest = [int(i) for i in np.argsort(-room, kind="stable") if i not in problem.locked]
    yield tuple(sorted([*problem.locked, *widest][: problem.most]))
    free = problem.cost(greedy_start(problem)) / max(float(blocks.sum()), 1.0)
    for turn in range(_PRICE_ROUNDS):
        priced = replace(problem, table=problem.table + price[:, None] * a_block)
        chosen = sorted(swap_search(priced, greedy_start(priced)))
        yield tuple(chosen)
        nearest = np.argmin(priced.table[chosen], axis=0)
        taken = np.zeros(len(price))
        taken[chosen] = np.bincount(nearest, weights=blocks, minlength=len(chosen))
        over = np.where(taken > 0, taken - room, -room) / max(float(blocks.sum()), 1.0)
        price = np.maximum(price + 8 * free / (1 + turn / 4) * over, 0.0)


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
        self.weighed: dict[tuple[int, ...], Choice] = {}  # at each price much the same is tried

    def weigh(self, chosen: list[int]) -> Choice:
        self.work += len(chosen) * self.problem.table.shape[1]
        key = tuple(chosen)
        known = self.weighed.get(key)
        if known is None:
            known = self.weighed[key] = self._weigh_anew(key)
        return known

    def _weigh_anew(self, chosen: tuple[int, ...]) -> Choice:
        which = list(chosen)
        table = self.problem.table[which]
        nearest = table.argmin(axis=0)
        cost = float(table[nearest, np.arange(table.shape[1])] @ self.problem.weight)
        taken = np.bincount(nearest, weights=self.blocks, minlength=len(which))
        short = float(np.maximum(taken - self.room[which], 0).sum())
        return Choice(chosen, cost, short if short > _TINY else 0.0)

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
