"""The K-median problem: K candidates so that the weighted distances of all points to their nearest
one sum to as little as possible; by swaps, with a proven lower bound.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.ground.frozen import dataclass

_TINY = 1e-9  # relative; smaller gains are rounding
_BOUND_ROUNDS = 400
_MOST_PARTS = 12
_CLOSED = 1e-3  # a gap too small to look for


@dataclass(frozen=True, eq=False)
class KMedian:
    """table: (candidates, points) distances; weight: (points,) >= 0; most: how many may be chosen;
    locked: candidates that must be among them."""

    table: NDArray[np.floating]
    weight: NDArray[np.floating]
    most: int
    locked: tuple[int, ...] = ()

    def cost(self, chosen: list[int]) -> float:
        """Weighted sum of the distances to the nearest chosen candidate."""
        return float(self.table[chosen].min(axis=0).astype(np.float64) @ self.weight)


def greedy_start(problem: KMedian) -> list[int]:
    """Locked candidates, then one after another the one that helps most."""
    chosen = list(problem.locked)
    nearest = _nearest(problem, chosen)
    while len(chosen) < min(problem.most, len(problem.table)):
        costs = np.minimum(problem.table, nearest) @ problem.weight
        costs[chosen] = np.inf
        chosen.append(int(np.argmin(costs)))
        nearest = np.minimum(nearest, problem.table[chosen[-1]])
    return chosen


def random_start(problem: KMedian, rng: np.random.Generator) -> list[int]:
    """Locked candidates, then points by chance, those far from what is chosen more likely.

    Candidates and points must be the same things, in the same order, up to the points' number.
    """
    chosen = list(problem.locked)
    nearest = _nearest(problem, chosen)
    while len(chosen) < min(problem.most, problem.table.shape[1]):
        far = problem.weight * np.where(np.isfinite(nearest), nearest, 1.0)
        if not far.any():
            break
        chosen.append(int(np.searchsorted(np.cumsum(far), rng.random() * far.sum(), "right")))
        nearest = np.minimum(nearest, problem.table[chosen[-1]])
    return chosen


def _nearest(problem: KMedian, chosen: list[int]) -> NDArray[np.floating]:
    if chosen:
        return np.asarray(problem.table[chosen].min(axis=0))
    return np.full(problem.table.shape[1], np.inf, dtype=problem.table.dtype)


def swap_search(problem: KMedian, start: list[int]) -> list[int]:
    """Exchange one chosen candidate for another, the best exchange first, while any helps.

    Whitaker (1983) and the decomposition of Schubert & Rousseeuw (2021): a candidate's gain when
    nothing leaves, plus what each one that leaves would cost, for all exchanges at once.
    """
    chosen = list(start)
    locked_places = len(problem.locked)
    if len(chosen) in (locked_places, len(problem.table)):
        return chosen
    table, weight = problem.table, problem.weight
    while True:
        of_chosen = table[chosen]
        order = np.argsort(of_chosen, axis=0, kind="stable")[:2]
        near = np.take_along_axis(of_chosen, order[:1], axis=0)[0]
        second = np.full_like(near, np.inf)
        if len(chosen) > 1:
            second = np.take_along_axis(of_chosen, order[1:2], axis=0)[0]
        with_it = np.minimum(table, near)
        if len(chosen) > 1:
            lost = (np.minimum(table, second) - with_it) * weight
        else:
            lost = (table - with_it) * weight
        leaves = np.zeros((table.shape[1], len(chosen)), dtype=table.dtype)
        leaves[np.arange(table.shape[1]), order[0]] = 1
        change = (with_it @ weight)[:, None] + lost @ leaves
        change[chosen] = np.inf
        change[:, :locked_places] = np.inf
        candidate, place = np.unravel_index(int(np.argmin(change)), change.shape)
        before = float(near.astype(np.float64) @ weight)
        trial = [*chosen[:place], int(candidate), *chosen[place + 1 :]]
        if problem.cost(trial) >= before * (1 - _TINY):
            return chosen
        chosen = trial


def lower_bound(problem: KMedian, found: float) -> tuple[float, list[int]]:
    """A proven lower bound of the cost, and the best choice met on the way (locked ones first).

    Lagrangian relaxation of "every point has one candidate" (Cornuejols, Fisher & Nemhauser 1977):
    for any prices u, sum u + the `most` least sums of min(0, distance - u) is a bound; prices
    follow the subgradient for a counted number of rounds. found: the cost of a known choice.
    """
    table = problem.table.astype(np.float64) * problem.weight
    nearest = np.sort(table, axis=0)
    price = nearest[min(1, len(table) - 1)].copy()
    locked = list(problem.locked)
    free = np.setdiff1d(np.arange(len(table)), locked)
    most_free = min(problem.most - len(locked), len(free))
    best, step, stalled = -np.inf, 1.0, 0
    best_choice: list[int] = []
    best_cost = np.inf
    for _ in range(_BOUND_ROUNDS):
        reduced = np.minimum(table - price, 0)
        worth = reduced.sum(axis=1)
        order = free[np.argsort(worth[free], kind="stable")[:most_free]]
        opened = [*locked, *order.tolist()]
        bound = float(price.sum() + worth[opened].sum())
        cost = float(table[opened].min(axis=0).sum())
        if cost < best_cost:
            best_choice, best_cost = opened, cost
        if bound > best * (1 + 1e-7):
            best, stalled = max(best, bound), 0
        else:
            best, stalled = max(best, bound), stalled + 1
        goal = min(found, best_cost)
        if goal - best <= 1e-9 * goal:
            break
        if stalled >= 12:
            step, stalled = step * 0.6, 0
        gradient = 1 - np.count_nonzero(reduced[opened] < 0, axis=0)
        norm = float(gradient @ gradient)
        if norm == 0:
            break
        price += step * (goal - bound) / norm * gradient
    return best, best_choice


def solve(problem: KMedian) -> tuple[list[int], float]:
    """The best choice found, rising, and its gap: found cost / proven bound - 1.

    Where swaps and the bound leave a gap, the other choices are parted by which of the found
    candidates they lack, and the part with the least bound is looked at first, again and again,
    for a counted number of parts.
    """
    chosen, bound = _search(problem, tuple(range(len(problem.table))))
    best, cost = chosen, problem.cost(chosen)
    parts = [(bound, problem.locked, tuple(range(len(problem.table))), chosen)]
    for _ in range(_MOST_PARTS):
        bound, locked, open_to, chosen = parts[0]
        if cost - bound <= _CLOSED * cost:
            break
        del parts[0]
        held = locked
        for candidate in (c for c in chosen if c not in locked):
            rest = tuple(c for c in open_to if c != candidate)
            if len(rest) >= len(held) + 1 and len(held) < problem.most:
                part = replace(problem, locked=held)
                found, part_bound = _search(part, rest)
                parts.append((max(bound, part_bound), held, rest, found))
                if problem.cost(found) < cost * (1 - _TINY):
                    best, cost = found, problem.cost(found)
            held = (*held, candidate)
        parts.append((problem.cost(chosen), held, open_to, chosen))
        parts.sort(key=lambda part: part[0])
    bound = min(parts[0][0], cost)
    gap = cost / bound - 1 if bound > 0 else 0.0
    return sorted(best), gap if gap > 1e-9 else 0.0


def _search(problem: KMedian, open_to: tuple[int, ...]) -> tuple[list[int], float]:
    """The best choice among some candidates, locked ones included, and a bound of them all."""
    place = {candidate: i for i, candidate in enumerate(open_to)}
    part = replace(
        problem,
        table=problem.table[list(open_to)],
        locked=tuple(place[c] for c in problem.locked),
        most=min(problem.most, len(open_to)),
    )
    chosen = swap_search(part, greedy_start(part))
    bound, other = lower_bound(part, part.cost(chosen))
    other = swap_search(part, other)
    if part.cost(other) < part.cost(chosen) * (1 - _TINY):
        chosen = other
    return [open_to[i] for i in chosen], bound
