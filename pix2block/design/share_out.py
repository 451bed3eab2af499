"""Blocks shared out among yarns that are only enough for so many: the transportation problem.

Every block goes to one yarn, no yarn takes more blocks than it has room for, and the sum of costs
is the least there is. Successive shortest paths (Ahuja, Magnanti & Orlin, "Network Flows", 1993,
section 9.7), where the network is small: its nodes are the yarns, and the cost from one to another
is that of the block which loses least by the exchange. What is over in a full yarn moves along the
cheapest path to one with room, so the result is exact, and the prices of full yarns prove it.
"""

from __future__ import annotations

from heapq import heapify, heappop, heappush
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pix2block.color.spaces import Floats
from pix2block.ground.frozen import dataclass

_TINY = 1e-12


@dataclass(frozen=True, eq=False)
class Shares:
    """taken: (n, yarns) how many of each kind of block a yarn takes; cost: the least sum; bound:
    what a linear program of the same costs cannot go below."""

    taken: NDArray[np.int64]
    cost: float
    bound: float


class _Network:
    def __init__(self, cost: Floats, count: NDArray[np.int64]) -> None:
        self.cost = cost
        kinds, yarns = cost.shape
        self.taken = np.zeros((kinds, yarns), dtype=np.int64)
        nearest = np.argmin(cost, axis=1)
        self.taken[np.arange(kinds), nearest] = count
        self.heaps: list[list[list[tuple[float, int]]]] = [
            [self._heap(i, j) for j in range(yarns)] for i in range(yarns)
        ]

    def _heap(self, source: int, target: int) -> list[tuple[float, int]]:
        if source == target:
            return []
        mine = np.nonzero(self.taken[:, source])[0]
        loss = self.cost[mine, target] - self.cost[mine, source]
        heap = list(zip(loss.tolist(), mine.tolist(), strict=True))
        heapify(heap)
        return heap

    def cheapest(self, source: int, target: int) -> tuple[float, int]:
        """The least loss of a block that goes from one yarn to another, and its kind."""
        heap = self.heaps[source][target]
        while heap and not self.taken[heap[0][1], source]:
            heappop(heap)
        return heap[0] if heap else (np.inf, -1)

    def move(self, kind: int, source: int, target: int, number: int) -> None:
        is_new = not self.taken[kind, target]
        self.taken[kind, source] -= number
        self.taken[kind, target] += number
        if is_new:
            for other in range(self.taken.shape[1]):
                if other != target:
                    loss = float(self.cost[kind, other] - self.cost[kind, target])
                    heappush(self.heaps[target][other], (loss, kind))

    def losses(self) -> tuple[Floats, NDArray[np.int64]]:
        """(yarns, yarns) the least loss from one to another, and the kind of block that goes."""
        yarns = self.taken.shape[1]
        loss = np.full((yarns, yarns), np.inf)
        kind = np.full((yarns, yarns), -1, dtype=np.int64)
        for i in range(yarns):
            for j in range(yarns):
                if i != j:
                    loss[i, j], kind[i, j] = self.cheapest(i, j)
        return loss, kind


def share_out(
    cost: Floats, room: NDArray[np.floating], count: NDArray[np.int64] | None = None
) -> Shares | None:
    """Kinds of blocks among yarns; None where all yarns together have too little room.

    cost: (n, yarns) of a block of a kind in each yarn; room: (yarns,) blocks; count: (n,) blocks of
    each kind, one where it is not given.
    """
    if count is None:
        count = np.ones(len(cost), dtype=np.int64)
    most = np.floor(np.minimum(room, float(count.sum()))).astype(np.int64)
    if most.sum() < count.sum():
        return None
    network = _Network(cost, count)
    over = network.taken.sum(axis=0) - most
    while (over > 0).any():
        _one_path(network, over)
    total = float((network.taken * cost).sum())
    return Shares(network.taken, total, _bound(cost, count, most, network))


def _one_path(network: _Network, over: NDArray[np.int64]) -> None:
    """Moves what it can along the cheapest path from a full yarn to one with room."""
    loss, kind = network.losses()
    start = np.where(over > 0, 0.0, np.inf)
    best, came_from = _shortest(loss, start)
    end = int(np.argmin(np.where(over < 0, best, np.inf)))
    path = [end]
    while came_from[path[-1]] >= 0:
        path.append(int(came_from[path[-1]]))
    path.reverse()
    number = int(min(over[path[0]], -over[end]))
    steps = [(int(kind[i, j]), i, j) for i, j in pairwise(path)]
    number = min(number, *(int(network.taken[k, i]) for k, i, _ in steps))
    for k, i, j in steps:
        network.move(k, i, j, number)
    over[path[0]] -= number
    over[end] += number


def _shortest(loss: Floats, start: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """Bellman and Ford's distances from the yarns that start at 0, and whence each was reached."""
    best, came_from = start.copy(), np.full(len(start), -1, dtype=np.int64)
    for _ in range(len(start)):
        by_way = best[:, None] + loss
        whence = np.argmin(by_way, axis=0)
        reached = by_way[whence, np.arange(len(start))]
        better = reached < best - _TINY
        if not better.any():
            break
        best = np.where(better, reached, best)
        came_from = np.where(better, whence, came_from)
    return best, came_from


def _bound(
    cost: Floats, count: NDArray[np.int64], most: NDArray[np.int64], network: _Network
) -> float:
    """The dual value: with a price on each full yarn every block takes its cheapest."""
    loss, _ = network.losses()
    free = network.taken.sum(axis=0) < most
    # What one block more in a yarn would cost elsewhere: the way from it to one with room.
    best, _ = _shortest(loss.T, np.where(free, 0.0, np.inf))
    price = np.where(np.isfinite(best), np.maximum(best, 0.0), 0.0)
    if not free.any():
        reach, _ = _shortest(loss.T, np.where(np.arange(len(most)) == 0, 0.0, np.inf))
        price = np.where(np.isfinite(reach), reach - reach.min(), 0.0)
    cheapest = (cost + price).min(axis=1)
    return float(cheapest @ count - price @ most)
