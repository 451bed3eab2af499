"""Stitches and loops."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from makers import charts
from reference import read_reference

from pix2block.chart.chart import Chart
from pix2block.craft.diagonal import Begins, Ends
from pix2block.craft.stitches import BLOCKS, LOOPS, count_stitches, loops_by_run

# Begins, ends: chains, stitches, slip stitches of a row of b blocks, b = 7.
TABLE: list[tuple[Begins, Ends, int, int, int]] = [
    ("grow", "full", 3 * 7 + 3, 3 * 7, 6),
    ("grow", "stop", 3 * 7 + 3, 3 * 7, 7),
    ("travel", "full", 3 * 7, 3 * 7, 10),
    ("travel", "stop", 3 * 7, 3 * 7, 11),
]


@pytest.mark.parametrize(("begins", "ends", "ch", "tall", "slip"), TABLE)
def test_counts_by_kind(begins: Begins, ends: Ends, ch: int, tall: int, slip: int) -> None:
    count = count_stitches("dc", begins, ends, 7)
    assert (count.ch, count.tall, count.slip) == (ch, tall, slip)
    small = count_stitches("hdc", begins, ends, 7)
    assert (small.ch, small.tall, small.slip) == (ch - 7, tall, slip)


def test_row_one() -> None:
    for kind, ch in (("dc", 6), ("hdc", 5)):
        count = count_stitches(kind, "corner", "full", 1)  # type: ignore[arg-type]
        assert (count.ch, count.tall, count.slip) == (ch, 3, 0)


def test_the_first_block_has_a_stitch_in_each_chain_that_is_left() -> None:
    for block in BLOCKS.values():
        assert block.chain_first - block.first_into + 1 == 3


def test_loops_against_a_measurement() -> None:
    """Yarn of 5 in of chain and of one row of sc, hdc and dc, a personal weblog's home
    measurement (tests/data/yarn_use_measured.csv): one maker, so 15 %."""
    measured = {
        line["stitch"]: float(line["value"])
        for line in read_reference("yarn_use_measured.csv")
        if line["id"] in ("H1a", "H1b", "H1c", "H1d")
    }
    for stitch in ("sc", "hdc", "dc"):
        assert LOOPS[stitch] == pytest.approx(measured[stitch] / measured["ch"], rel=0.15)


def test_loops_are_the_yarn_overs_of_the_stitches() -> None:
    """tests/data/terms_us_uk.csv: yarn overs drawn, after the Craft Yarn Council."""
    published = {line["us_abbr"]: line["yarn_overs"] for line in read_reference("terms_us_uk.csv")}
    assert {stitch: int(published[stitch]) for stitch in LOOPS} == LOOPS


@given(charts())
def test_loops_by_run_add_up(chart: Chart) -> None:
    """By run they add up to the stitches of every row, whichever side of a turn pays."""
    total = 0
    for row in chart.layout:
        count = count_stitches(chart.block, row.begins, row.ends, row.blocks)
        total += count.ch * LOOPS["ch"] + count.tall * LOOPS[chart.block]
        total += count.slip * LOOPS["sl st"]
    loops = loops_by_run(chart.runs, chart.layout, chart.block, chart.turns)
    assert int(loops.sum()) == total


@given(charts())
def test_loops_stitch_by_stitch(chart: Chart) -> None:
    """A plain walk over every stitch, each in the run whose colour it has."""
    runs, layout = chart.runs, chart.layout
    tall = {"dc": 4, "hdc": 3}[chart.block]
    space = {"dc": 3, "hdc": 2}[chart.block]
    expected = np.zeros(len(runs), dtype=int)
    for row in layout:
        of_row = runs.of_row(row.number)
        if row.begins == "travel":
            expected[of_row[0] if chart.turn == "early" else of_row[0] - 1] += 3
        for place, run in enumerate(of_row):
            for block in range(int(runs.blocks[run])):
                grown = place == 0 and block == 0 and row.begins != "travel"
                expected[run] += (space + 3 if grown else space + 1) + 3 * tall
        if row.ends == "stop":
            moves_on = chart.turn == "early" and row.number < layout.last_row
            expected[of_row[-1] + 1 if moves_on else of_row[-1]] += 1
    loops = loops_by_run(runs, layout, chart.block, chart.turns)
    assert loops.tolist() == expected.tolist()
