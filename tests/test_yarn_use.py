"""Amounts: lengths, skeins, joins, time."""

from __future__ import annotations

import math
import runpy
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import YARNS, chart_of, charts
from reference import read_reference

from pix2block.amounts.measures import class_of_blocks, measures_of
from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import Chart
from pix2block.ground.settings import Pace, named_habit
from pix2block.yarn.guess import SIDE_IN_SC_WIDTHS, guess_of
from pix2block.yarn.swatch import Swatch
from pix2block.yarn.weights import WEIGHT_CLASSES
from pix2block.yarn.yarn import Yarn


def test_weight_classes_are_the_published_ones() -> None:
    """tests/data/yarn_weights.csv: Craft Yarn Council, Standard Yarn Weight System."""
    for line, weight in zip(read_reference("yarn_weights.csv"), WEIGHT_CLASSES, strict=True):
        assert (weight.number, weight.name) == (int(line["category"]), line["name"])
        high = int(line["gauge_hi"])
        assert weight.gauge == (int(line["gauge_lo"] or high), high)
        hook_high = line["hook_mm_hi"]
        assert weight.hook_mm == (
            float(line["hook_mm_lo"]),
            float(hook_high) if hook_high else None,
        )
        assert weight.metres_in_100_g == float(line["m100_typ"])


def test_default_lengths() -> None:
    """Class 4: a hook of 5.25 mm, 0.38 cm of block (half double 0.33) and 0.62 cm of loop a mm."""
    measures = measures_of(chart_of("01"))
    assert measures.block_cm == pytest.approx(5.25 * 0.38)
    assert measures.loop_cm[0] == pytest.approx(5.25 * 0.62)
    assert measures_of(chart_of("01", block="hdc")).block_cm == pytest.approx(5.25 * 0.33)
    assert (measures.bands[0], measures.guessed) == ((0.75, 1.30), True)


def test_published_yarn_use_lies_in_the_band() -> None:
    """A published 5 in of chain, sc, hdc and dc in worsted yarn (tests/data/yarn_use_measured.csv),
    with the loop that its own gauge of a stitch would be guessed to have."""
    lengths = {
        line["stitch"]: float(line["value"])
        for line in read_reference("yarn_use_measured.csv")
        if line["id"] in ("H1a", "H1b", "H1c", "H1d")
    }
    measures = measures_of(chart_of("0"))
    stitches = 5 * 2.54 / (measures.block_cm / SIDE_IN_SC_WIDTHS)
    for stitch, loops in (("ch", 1), ("sc", 2), ("hdc", 3), ("dc", 4)):
        guess = stitches * loops * measures.loop_cm[0] / 2.54
        low, high = measures.bands[0]
        assert guess * low <= lengths[stitch] <= guess * high


def test_loops_are_as_the_published_measurements_have_them() -> None:
    """Ratios of stitches, each maker's own, within 15 %: of the strips (read as standing without
    their chain, as the file's header argues) and of the weighed swatches."""
    loops = {"sc": 2, "hdc": 3, "dc": 4, "ch": 1}
    checked = 0
    for line in read_reference("yarn_use_measured.csv"):
        if line["id"] in ("A-sc", "A-hdc", "A-dc", "S1", "S1d", "S2"):
            one, other = line["stitch"].split(" : ")
            assert loops[one] / loops[other] == pytest.approx(float(line["value"]), rel=0.15)
            checked += 1
    assert checked == 6


def test_the_band_keeps_its_word(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A small run of the simulation, which ends with 1 where it covers less than is stated."""
    bench = Path(__file__).parent / "bench" / "yarn_band.py"
    monkeypatch.setattr(sys, "argv", [str(bench), "300"])
    with pytest.raises(SystemExit) as ended:
        runpy.run_path(str(bench), run_name="__main__")
    told = capsys.readouterr().out
    assert ended.value.code == 0, told
    assert told.endswith("as stated\n")


def test_a_yarn_of_another_class_has_its_own_loop_and_the_charts_block() -> None:
    chart = chart_of("03")
    measures = measures_of(chart)
    assert measures.loop_cm[3] == pytest.approx(guess_of(5).loop_cm)
    with_swatch = measures_of(replace(chart, swatch=Swatch(block_cm=3.1, loop_cm=4.4)))
    assert with_swatch.block_cm == 3.1
    assert with_swatch.loop_cm[0] == 4.4
    assert with_swatch.loop_cm[3] == pytest.approx(guess_of(5).loop_cm)
    assert not with_swatch.guessed
    assert with_swatch.bands[0] == (0.9, 1.1)
    assert with_swatch.bands[3] == (0.75, 1.30)


def test_the_class_of_a_piece_is_that_of_what_is_worked() -> None:
    """Tar is of class 5; a yarn without blocks tells nothing."""
    assert class_of_blocks(chart_of("03")) == 5
    assert class_of_blocks(chart_of("01")) is None


def test_one_block_by_hand() -> None:
    """Row 1: ch 6 and 3 dc are 18 loops; two tails; no float."""
    amounts = amounts_of(chart_of("0"))
    assert amounts.run_loops.tolist() == [18]
    assert amounts.metres == pytest.approx((18 * 5.25 * 0.62 + 30) / 100)
    assert amounts.finished_size_cm == pytest.approx((1.995, 1.995))
    assert amounts.hours == pytest.approx(0.7 / 60)
    assert amounts.weave_in_hours == pytest.approx(4 / 60)


def test_a_yarns_figures_by_hand() -> None:
    """Chalk is the last block: joined, 3 chains and 3 dc are 16 loops, the stop one more."""
    yarns = (
        Yarn("Moss", "#5c6b3c", metres=2.0, grams=4.0, skeins=0.5, price=3.0),
        Yarn("Chalk", "#f1ede2", grams=50.0, price=2.0),
        Yarn("Tar", "#222222", metres=9.0, skeins=2),
    )
    chart = replace(chart_of("10 00"), yarns=yarns, last_row=3, reserve=10.0)
    amounts = amounts_of(replace(chart, habit=named_habit(0, 0, 0)))
    moss, chalk, tar = amounts.yarns
    loop_cm, tail_cm = 5.25 * 0.62, 15.0
    assert (chalk.blocks, chalk.loops, chalk.strands, chalk.tails) == (1, 17, 1, 2)
    assert chalk.metres == pytest.approx((17 * loop_cm + 2 * tail_cm) / 100)
    assert chalk.joins is chalk.skeins is chalk.cost is chalk.worth is chalk.short_by is None
    assert chalk.grams_guessed
    assert (moss.blocks, moss.share, moss.tails) == (3, 0.75, 2 * moss.strands)
    joins = moss.joins or 0
    in_cm = moss.loops * loop_cm + 2 * tail_cm * (moss.strands + joins)
    in_cm += moss.float_sides * amounts.measures.block_cm
    assert moss.metres == pytest.approx(in_cm / 100)
    assert moss.metres_low == pytest.approx(0.75 * moss.metres)
    assert moss.metres_high == pytest.approx(1.30 * moss.metres * 1.10)
    assert moss.grams == pytest.approx(2 * moss.metres)
    assert not moss.grams_guessed
    assert moss.skeins == math.ceil(moss.metres_high / 2)
    assert moss.skeins_likely == pytest.approx(moss.metres / 2)
    assert moss.short_by == pytest.approx(moss.metres_high - 1)
    assert (moss.leftover, moss.on_hand) == (0, 0.5)
    assert moss.to_buy == math.ceil((moss.metres_high - 1) / 2)
    assert moss.cost == 3.0 * moss.to_buy
    assert moss.worth == pytest.approx(1.5 * moss.metres)
    assert (tar.leftover, tar.short_by, tar.to_buy, tar.cost) == (18, 0, 0, None)
    assert tar.grams_guessed
    assert amounts.joins_of_runs(range(len(chart.runs))) is None
    mine = np.flatnonzero(chart.runs.color == 0)
    assert amounts.joins_of_runs(tuple(mine.tolist())) == joins > 0


def test_held_double_takes_twice_the_yarn() -> None:
    chart = chart_of("33 33")
    double = amounts_of(chart)
    single = amounts_of(replace(chart, yarns=(*YARNS[:3], replace(YARNS[3], held=1))))
    assert double.metres == pytest.approx(2 * single.metres)
    assert double.plan.tails == single.plan.tails


def test_size_of_a_piece_that_ends_early() -> None:
    chart = chart_of("...0 ..00 .000", last_row=3)
    assert amounts_of(chart).finished_size_cm == pytest.approx((3 * 1.995, 3 * 1.995))


@given(charts(), st.booleans())
def test_every_table_adds_up(chart: Chart, short: bool) -> None:
    """short: skeins of 1.2 m, so that there are joins."""
    if short:
        yarns = [replace(yarn, metres=1.2 if yarn.metres else None) for yarn in chart.yarns]
        chart = replace(chart, yarns=tuple(yarns))
    amounts = amounts_of(chart)
    assert sum(amounts.strand_metres) == pytest.approx(amounts.metres)
    assert sum(y.strands for y in amounts.yarns) == amounts.plan.strands
    assert sum(y.blocks for y in amounts.yarns) == int((chart.blocks >= 0).sum())
    assert sum(y.loops for y in amounts.yarns) == int(amounts.run_loops.sum())
    assert sum(y.share for y in amounts.yarns) == pytest.approx(1)
    for yarn, amount in zip(chart.yarns, amounts.yarns, strict=True):
        check_yarn_by_hand(amounts, yarn.name)
        if yarn.metres and amount.skeins:
            assert (amount.skeins - 1) * yarn.metres < amount.metres_high
            assert amount.metres_high <= amount.skeins * yarn.metres * (1 + 1e-9)
        if not amount.blocks:
            assert (amount.metres, amount.joins, amount.strands) == (0, 0, 0)


def check_yarn_by_hand(amounts: Amounts, name: str) -> None:
    """Lengths by adding one piece of yarn after another, joins by walking along it."""
    chart, plan = amounts.chart, amounts.plan
    number = [y.name for y in chart.yarns].index(name)
    yarn = chart.yarns[number]
    loop_cm = amounts.measures.loop_cm[number]
    used = 0.0
    joins = 0
    for path in plan.paths:
        if chart.runs.color[path[0]] != number:
            continue
        start = used
        for place, run in enumerate(path):
            piece = amounts.run_loops[run] * loop_cm
            piece += np.sqrt(plan.float_squares[run]) * amounts.measures.block_cm
            piece += chart.tail_cm * ((place == 0) + (place == len(path) - 1))
            used += piece * yarn.held
        if yarn.metres:
            skein = yarn.metres * 100
            joins += sum(start < k * skein < used for k in range(1, int(used / skein) + 2))
    amount = amounts.yarns[number]
    if yarn.metres or not amount.blocks:
        assert amount.joins == joins
    else:
        assert amount.joins is None
        joins = 0
    assert amount.metres == pytest.approx((used + 2 * joins * chart.tail_cm * yarn.held) / 100)


def joins_off(
    skein_m: float, pieces_cm: np.ndarray[Any, Any], strands: np.ndarray[Any, Any]
) -> Any:
    found = Yarn("Moss", "#5c6b3c", metres=skein_m).joins(pieces_cm, strands)
    assert found is not None
    return found.tolist()


def test_joins_fall_in_the_run_they_lead_to() -> None:
    pieces = np.array([1000.0, 500.0, 700.0, 400.0])
    strands = np.array([0, 0, 1, 1])
    # Ends at 10, 15, 22, 26 m; a skein of 12 m ends at 12 and 24.
    assert joins_off(12.0, pieces, strands) == [0, 1, 0, 1]
    # A skein that ends between two strands is no join: 15 is the first strand's end.
    assert joins_off(15.0, pieces, strands) == [0, 0, 0, 0]
    assert joins_off(5.0, pieces, strands) == [2, 0, 1, 1]
    assert Yarn("Moss", "#5c6b3c").joins(pieces, strands) is None


def test_what_a_yarn_knows_of_itself() -> None:
    known = Yarn("Moss", "#5c6b3c", grams=50.0, metres=100.0, skeins=2.5)
    assert known.on_hand_m == 250
    assert known.grams_of(30, 4) == pytest.approx(15)
    assert [known.skeins_for(m) for m in (-5, 0, 100, 100.1, 300 + 1e-12)] == [0, 0, 1, 2, 3]
    bare = Yarn("Tar", "#222222", weight=5)
    assert bare.on_hand_m is bare.skeins_for(9) is None
    assert bare.class_in(3) == 5
    assert Yarn("Tar", "#222222").class_in(3) == 3
    assert bare.grams_of(115, 3) == pytest.approx(100)  # class 5: 115 m in 100 g


@given(
    st.lists(st.floats(50, 3000), min_size=1, max_size=12),
    st.floats(2, 60),
)
def test_joins_against_a_walk_along_the_yarn(pieces: list[float], skein: float) -> None:
    strands = np.arange(len(pieces)) // 3
    found = joins_off(skein, np.array(pieces), strands)
    skein = skein * 100
    ends = np.cumsum(pieces)
    expected = [0] * len(pieces)
    k = 1
    while k * skein < ends[-1]:
        place = next(i for i, end in enumerate(ends) if k * skein <= end)
        at_strand_end = k * skein == ends[place] and place % 3 == 2
        expected[place] += not at_strand_end
        k += 1
    assert found == expected


def test_time_by_the_makers_own_pace() -> None:
    chart = chart_of("01 10", pace=Pace(block=2, change=5, tail=10))
    amounts = amounts_of(chart)
    changes = int(amounts.changes_by_row.sum())
    assert amounts.hours == pytest.approx((4 * 2 + changes * 5) / 60)
    assert amounts.weave_in_hours == pytest.approx(amounts.plan.tails * 10 / 60)
