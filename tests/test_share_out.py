"""Blocks shared out among yarns with little room, against a linear program of SciPy's (HiGHS)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import eye_array, kron

from pix2block.design.share_out import share_out


def by_program(cost: np.ndarray, room: np.ndarray, count: np.ndarray) -> float:
    kinds, yarns = cost.shape
    every = kron(eye_array(kinds), np.ones((1, yarns))).tocsr()
    full = kron(np.ones((1, kinds)), eye_array(yarns)).tocsr()
    found = linprog(cost.ravel(), A_ub=full, b_ub=room, A_eq=every, b_eq=count, method="highs")
    assert found.success
    return float(found.fun)


@pytest.mark.parametrize("seed", range(30))
def test_the_least_sum_of_a_linear_program(seed: int) -> None:
    rng = np.random.default_rng(seed)
    kinds, yarns = int(rng.integers(1, 60)), int(rng.integers(1, 9))
    cost = rng.random((kinds, yarns)) * 30
    count = rng.integers(1, 6, kinds)
    shares = rng.random(yarns) + 0.05
    room = np.ceil(shares / shares.sum() * count.sum() * rng.uniform(1.0, 1.4))
    found = share_out(cost, room, count)
    assert found is not None
    assert (found.taken >= 0).all()
    assert (found.taken.sum(axis=1) == count).all()
    assert (found.taken.sum(axis=0) <= room).all()
    assert found.cost == pytest.approx(by_program(cost, room, count))
    assert found.bound == pytest.approx(found.cost)


def test_enough_room_leaves_every_block_its_nearest() -> None:
    cost = np.random.default_rng(3).random((50, 4))
    found = share_out(cost, np.full(4, np.inf))
    assert found is not None
    assert (found.taken.argmax(axis=1) == cost.argmin(axis=1)).all()


def test_too_little_room_is_none() -> None:
    assert share_out(np.ones((5, 2)), np.array([2.9, 2.9])) is None
    assert share_out(np.ones((5, 2)), np.array([3.0, 2.0])) is not None


def test_it_is_quick_where_much_must_move() -> None:
    """4,500 blocks in eight yarns, half of the room in the last ones: counted, not timed."""
    rng = np.random.default_rng(1)
    cost = np.abs(rng.normal(rng.random((4500, 1)) * 8, 1, (4500, 1)) - np.arange(8)) * 9
    found = share_out(cost, np.array([600.0] * 8))
    assert found is not None
    assert found.bound == pytest.approx(found.cost)
