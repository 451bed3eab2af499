"""Yarns that touch."""

from __future__ import annotations

import numpy as np
import pytest

from pix2block.color.deficiency import Sight, lab_in_sight
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import rgb_array, to_lab
from pix2block.trial.neighbours import (
    Pair,
    difference_along,
    differences,
    meeting_place,
    touching_pairs,
    weakest,
)

BLOCKS = np.array([[0, 0, 1, 1], [0, 2, 2, 1], [-1, 2, 2, 1]])


def test_borders_are_counted_between_blocks_that_exist() -> None:
    # By hand: 0|1 once, 0|2 twice (left of 2, above 2), 1|2 once above and twice beside.
    found = {(p.one, p.other): p.share for p in touching_pairs(BLOCKS, 0.0)}
    assert found == {(0, 1): pytest.approx(1 / 6), (0, 2): pytest.approx(2 / 6), (1, 2): 0.5}


def test_little_touching_is_left_out() -> None:
    blocks = np.zeros((40, 40), dtype=np.int64)
    blocks[:, 20:] = 1
    blocks[0, 0] = 2  # 2 of 42 borders
    assert {(p.one, p.other) for p in touching_pairs(blocks)} == {(0, 1), (0, 2)}
    blocks[:, 10:12] = 3
    blocks[:, 30:32] = 3
    assert {(p.one, p.other) for p in touching_pairs(blocks, 0.02)} == {(0, 1), (0, 3), (1, 3)}
    assert touching_pairs(np.zeros((3, 3), dtype=np.int64)) == ()


def test_the_weakest_pair_of_each_sight() -> None:
    rgb = rgb_array(["#967037", "#6e823c", "#f0f0f0"])  # a red and a green that deutans confuse
    pairs = touching_pairs(BLOCKS, 0.0)
    sights: tuple[Sight, ...] = ("normal", "deutan", "grey")
    for sight in sights:
        found = weakest(pairs, rgb, sight)
        assert found is not None
        lab = lab_in_sight(rgb, sight)
        table = {(p.one, p.other): float(ciede2000(lab[[p.one]], lab[[p.other]])[0]) for p in pairs}
        least = min(table, key=lambda key: table[key])
        assert (found.color.pair.one, found.color.pair.other) == least
        assert found.color.difference == pytest.approx(table[least])
        light = min(abs(lab[p.one, 0] - lab[p.other, 0]) for p in pairs)
        assert found.light.difference == pytest.approx(light)
    normal, deutan = (weakest(pairs, rgb, sight) for sight in sights[:2])
    assert normal is not None
    assert deutan is not None
    assert deutan.color.difference < 0.5 * normal.color.difference
    assert weakest((), rgb, "normal") is None


def test_where_they_meet_is_the_longest_stretch() -> None:
    blocks = np.zeros((30, 30), dtype=np.int64)
    blocks[2:4, 26:28] = 1  # a small patch, upper right
    blocks[22:29, 1:9] = 1  # a large one, lower left
    assert meeting_place(blocks, Pair(0, 1, 1.0)) == "near the lower left"


def test_the_difference_along_a_border() -> None:
    rgb = rgb_array(["#967037", "#6e823c", "#f0f0f0"])
    lab = to_lab(rgb)[np.maximum(BLOCKS, 0)]
    pair = Pair(0, 2, 0.3)
    flat = differences((pair,), rgb)[0]
    assert difference_along(BLOCKS, lab, pair) == pytest.approx(flat)
