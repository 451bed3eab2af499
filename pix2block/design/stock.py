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

from collections.abc import Iterator, Sequence
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
_SAME = 1e-6  # of a block: what is summed in another order is as short


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
        self.with_one_more: dict[tuple[int, ...], _OneMore] = {}

    def weigh(self, chosen: Sequence[int]) -> Choice:
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
        self.work += len(start) * self.problem.table.shape[1]
        best = now
        mean = now.cost / max(float(self.blocks.sum()), 1.0) or 1.0
        for price in _PRICES:
            now = self._climb_at(now, price * mean)
            if (now.short, now.cost) < (best.short, best.cost):
                best = now
        return best

    def _climb_at(self, now: Choice, price: float) -> Choice:
        while True:
            for rest, others in self._moves(now.chosen):
                more = self._one_more(rest) if others else None
                better = _better(more, others, now, price) if more else None
                if not others and _worth(self.weigh(rest), price) < _less(_worth(now, price)):
                    better = 0
                size = len(rest) + bool(others)
                if not self._looked_at(better, max(len(others), 1), size):
                    return now
                if better is not None:
                    now = self.weigh(sorted((*rest, *others[better : better + 1])))
                    break
            else:
                return now

    def _looked_at(self, better: int | None, count: int, size: int) -> bool:
        """Count so many moves, up to the one that is taken; False where that is too much work."""
        each = size * int(self.problem.table.shape[1])
        may_be = max(0, (_MOST_WORK - self.work) // each + 1)
        wanted = count if better is None else better + 1
        self.work += min(wanted, may_be) * each
        return wanted <= may_be

    def _one_more(self, rest: tuple[int, ...]) -> _OneMore:
        known = self.with_one_more.get(rest)
        if known is None:
            known = self.with_one_more[rest] = self._weigh_one_more(rest)
        return known

    def _weigh_one_more(self, rest: tuple[int, ...]) -> _OneMore:
        """Each candidate beside these, weighed: all at once, in a tenth of the time."""
        table, weight, blocks = self.problem.table, self.problem.weight, self.blocks
        which = list(rest)
        kinds = np.arange(len(table))[:, None]
        nearest = table[which].argmin(axis=0) if which else np.zeros(table.shape[1], np.int64)
        least = table[which].min(axis=0) if which else np.full(table.shape[1], np.inf)
        lowest = np.array(which)[nearest] if which else nearest
        takes = (table < least) | ((table == least) & (kinds < lowest))
        taken = takes * blocks
        of_each = np.zeros((table.shape[1], len(which)))
        of_each[np.arange(len(nearest)), nearest] = 1.0
        left = blocks @ of_each - taken @ of_each - self.room[which]
        short = np.maximum(left, 0).sum(axis=1) + np.maximum(taken.sum(axis=1) - self.room, 0)
        return _OneMore(np.minimum(table, least) @ weight, short)

    def _moves(self, chosen: tuple[int, ...]) -> Iterator[tuple[tuple[int, ...], list[int]]]:
        """What stays of a choice, and what may come to it, each a move; or nothing comes."""
        free = [c for c in chosen if c not in self.problem.locked]
        others = [c for c in range(len(self.problem.table)) if c not in chosen]
        without = [tuple(c for c in chosen if c != old) for old in free]
        if others and len(chosen) < self.problem.most:
            yield chosen, others
        if others:
            yield from ((rest, others) for rest in without)
        if len(chosen) > 1:
            yield from ((rest, []) for rest in without)


@dataclass(frozen=True)
class _OneMore:
    """(candidates,) what a choice costs with each of them, and how short it is then."""

    cost: NDArray[np.floating]
    short: NDArray[np.floating]


def _better(more: _OneMore, others: list[int], now: Choice, price: float) -> int | None:
    """Which of the others is the first that betters a choice."""
    cost, short = more.cost[others], more.short[others]
    first, least = _less(_worth(now, price))
    if np.isinf(price):
        found = (short < first - _SAME) | ((short < first + _SAME) & (cost < least))
    else:
        found = cost + price * short < least
    return int(found.argmax()) if found.any() else None


def _worth(choice: Choice, price: float) -> tuple[float, float]:
    if np.isinf(price):
        return choice.short, choice.cost
    return 0.0, choice.cost + price * choice.short


def _less(worth: tuple[float, float]) -> tuple[float, float]:
    """A little less, so that rounding is no gain."""
    return worth[0], worth[1] * (1 - _TINY)
