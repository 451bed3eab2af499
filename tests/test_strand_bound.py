"""The benchmark's bound of tails and colour error: below every labelling, exact for cut."""

from __future__ import annotations

import sys
from itertools import product
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from pix2block.craft.diagonal import Layout
from pix2block.craft.runs import find_runs
from pix2block.craft.strands import allowed_links
from pix2block.ground.settings import HABITS, START_CORNERS, Habit, Hand, StartCorner


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    monkeypatch.syspath_prepend(str(Path(__file__).parent / "bench"))
    import strand_bound

    sys.modules.pop("strand_bound")
    return strand_bound


@pytest.mark.parametrize("name", HABITS)
def test_it_is_below_every_labelling_of_a_tiny_chart(bench: ModuleType, name: str) -> None:
    habit, price = HABITS[name], 1.5
    layout = Layout(3, 2, 4, "bottom-right", "right")
    cost = np.random.default_rng(4).uniform(0, 8, (6, 2))
    bound = bench.strand_bound(cost, layout, habit, price)
    energies = [
        bench.energy_of(np.array(labels), cost, layout, habit, price)
        for labels in product(range(2), repeat=6)
    ]
    assert bound <= min(energies) + 1e-6
    assert bound >= 0.9 * min(energies)  # and it says something
    calmed = bench.annealed(cost, layout, habit, price)
    assert min(energies) - 1e-9 <= bench.energy_of(calmed, cost, layout, habit, price)


def test_for_cut_it_is_the_exact_pass(bench: ModuleType) -> None:
    layout = Layout(6, 5, 10, "top-left", "left")
    cost = np.random.default_rng(2).uniform(0, 10, (30, 4))
    for price in (0.3, 1.0, 4.0):
        bound = bench.strand_bound(cost, layout, HABITS["cut"], price)
        labels = bench.best_cut(cost, price)
        energy = bench.energy_of(labels, cost, layout, HABITS["cut"], price)
        assert bound == pytest.approx(energy)
        looser = bench.strand_bound(cost, layout, HABITS["carry"], price)
        assert looser <= bound + 1e-9


@pytest.mark.parametrize("corner", START_CORNERS)
@pytest.mark.parametrize("hand", ["right", "left"])
def test_links_between_blocks_hold_all_links_between_runs(
    bench: ModuleType, corner: StartCorner, hand: Hand
) -> None:
    """Each allowed link of a chart joins the last block of one run to the first of another, and
    each of the bound's links between such blocks is an allowed one."""
    layout = Layout(5, 6, 10, corner, hand)
    blocks = np.random.default_rng(3).integers(0, 2, (6, 5))
    for habit in (*HABITS.values(), Habit("own", 2.0, 0, 0), Habit("own", 0.0, 0, 5)):
        runs = find_runs(blocks, layout)
        u, v, _ = allowed_links(runs, layout, habit)
        ends, starts = runs.starts + runs.blocks - 1, runs.starts
        expected = set(zip(ends[u].tolist(), starts[v].tolist(), strict=True))
        links = bench.block_links(layout, habit)
        color = np.repeat(runs.color, runs.blocks)
        found = {
            (a, b)
            for a, b in zip(links.from_.tolist(), links.to.tolist(), strict=True)
            if a in set(ends.tolist()) and b in set(starts.tolist()) and color[a] == color[b]
        }
        assert found == expected
