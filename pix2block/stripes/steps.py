"""Steps from yarn to yarn: which order of several has the gentlest or the boldest ones.

A step is the CIEDE2000 difference between two yarns that follow each other. It is made for
differences up to about 5; between yarns it ranks more than it measures.
"""

from __future__ import annotations

from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import difference_table
from pix2block.color.spaces import Bytes, Floats
from pix2block.craft.diagonal import Ints
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass

MOST_FREE = 9  # yarns whose every order is weighed: 362,880 of them
_SAME = 1e-9


@dataclass(frozen=True, eq=False)
class Order:
    """Yarns one after another. yarns: indices; steps: CIEDE2000 between neighbours."""

    yarns: tuple[int, ...]
    steps: tuple[float, ...]


def gentlest_order(colors: Bytes, ends: tuple[int, int] | None = None) -> Order:
    """The order whose largest step is the least; of several, the one of the shortest way.

    colors: (n, 3) 8-bit sRGB; ends: indices of the first and the last, None where both are free.

    Raises BadInput for more yarns than can be weighed.
    """
    table = difference_table(colors, colors)
    orders = _orders(len(colors), ends)
    steps = _steps(table, orders)
    return _best(orders, steps, -steps.max(axis=1), -steps.sum(axis=1))


def boldest_order(colors: Bytes) -> Order:
    """The order whose least step is the largest; of several, the one of the longest way.

    colors: (n, 3) 8-bit sRGB. Raises BadInput for more yarns than can be weighed.
    """
    table = difference_table(colors, colors)
    orders = _orders(len(colors), None)
    steps = _steps(table, orders)
    return _best(orders, steps, steps.min(axis=1), steps.sum(axis=1))


def _orders(count: int, ends: tuple[int, int] | None) -> Ints:
    """(orders, count) every order, of two that run opposite ways only the first."""
    free = [i for i in range(count) if ends is None or i not in ends]
    if len(free) > MOST_FREE:
        raise BadInput(
            f"{len(free)} yarns can be ordered in too many ways: weigh at most {MOST_FREE} at once"
        )
    ways = list(permutations(free))  # of none there is one, with nothing in it
    inner = np.array(ways, dtype=np.int64).reshape(len(ways), len(free))
    if ends is None:
        return inner[inner[:, 0] <= inner[:, -1]]
    first, last = (np.full((len(inner), 1), end) for end in ends)
    return np.hstack([first, inner, last])


def _steps(table: Floats, orders: Ints) -> Floats:
    return np.asarray(table[orders[:, :-1], orders[:, 1:]])


def _best(
    orders: Ints, steps: Floats, first: NDArray[np.float64], then: NDArray[np.float64]
) -> Order:
    """The first order that is best by the first figure, then by the second."""
    near = np.flatnonzero(first >= first.max() - _SAME)
    best = near[np.flatnonzero(then[near] >= then[near].max() - _SAME)[0]]
    return Order(tuple(orders[best].tolist()), tuple(steps[best].tolist()))
