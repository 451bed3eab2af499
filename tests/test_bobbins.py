"""Bobbins to wind."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from makers import chart_of, charts

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.craft.plan import NO_BOBBIN, Begun, StrandPlan, number_bobbins
from pix2block.craft.runs import Runs
from pix2block.ground.settings import HABITS
from pix2block.pattern.pattern import write_rows


@given(charts(habit=HABITS["carry"]))
def test_no_two_bobbins_of_a_yarn_share_a_number_while_they_hang(chart: Chart) -> None:
    """And each number is the lowest that none bears whose last row is the one before or later."""
    plan = amounts_of(chart).plan
    numbers = plan.bobbins.of_strand.tolist()
    first, last = plan.first_runs.tolist(), plan.last_runs.tolist()
    colors, rows = chart.runs.color.tolist(), chart.runs.row.tolist()
    for strand, number in enumerate(numbers):
        assert (number == NO_BOBBIN) == (first[strand] == last[strand])
        if number == NO_BOBBIN:
            continue
        taken = {
            numbers[other]
            for other in range(strand)
            if colors[first[other]] == colors[first[strand]]
            and rows[last[other]] >= rows[first[strand]] - 1
        } - {NO_BOBBIN}
        assert number == min(set(range(1, len(taken) + 2)) - taken)


def test_a_number_rests_for_a_row() -> None:
    """One yarn: strands of rows 1 to 2, 2 to 3, 3 to 6 and 5 to 6."""
    rows = np.array([1, 2, 2, 3, 3, 5, 6, 6])
    strand = np.array([0, 0, 1, 1, 2, 3, 2, 3])
    preceding = np.array([-1, 0, -1, 2, -1, -1, 4, 5])
    following = np.array([1, -1, 3, -1, 6, 7, -1, -1])
    none = np.zeros(8, int)
    runs = Runs(rows, none, none, none, none, 6)
    numbers = number_bobbins(StrandPlan(runs, following, preceding, none, strand))
    assert numbers.of_strand.tolist() == [1, 2, 3, 1]
    assert numbers.only_one.tolist() == [False, True, False, True, False, False, False, True]


def test_numbers_that_were_given_stay_and_lower_ones_come_after() -> None:
    """Two strands of rows 1 to 2 bear 3 and 2; one of rows 3 to 4 gets what neither had."""
    rows, none = np.array([1, 1, 2, 2, 3, 4]), np.zeros(6, int)
    following, preceding = np.array([2, 3, -1, -1, 5, -1]), np.array([-1, -1, 0, 1, -1, 4])
    gone, never = np.zeros(2, bool), np.zeros(2, int)
    begun = Begun(np.array([2, 3, -1, -1]), np.array([3, 2]), gone, never, next_row=3)
    runs, strand = Runs(rows, none, none, none, none, 4), np.array([0, 1, 0, 1, 2, 2])
    numbers = number_bobbins(StrandPlan(runs, following, preceding, none, strand, begun))
    assert numbers.of_strand.tolist() == [3, 2, 1]


def test_a_number_of_a_bobbin_that_is_cut_rests_too() -> None:
    """It hangs after rows 1 and 2, which are made, and is cut in row 3; another works on."""
    none, color = np.zeros(5, int), np.array([0, 0, 1, 0, 0])
    following, preceding = np.array([1, -1, -1, 4, -1]), np.array([-1, 0, -1, -1, 3])
    hangs, never = np.ones(1, bool), np.zeros(1, int)
    begun = Begun(np.array([1, -1]), np.array([1]), hangs, never, next_row=3)
    assert begun.preceding.tolist() == [-1, 0]
    for row, number in ((4, 2), (5, 1)):
        runs = Runs(np.array([1, 2, 3, row, 6]), none, color, none, none, 6)
        strand = np.array([0, 0, 1, 2, 2])
        numbers = number_bobbins(StrandPlan(runs, following, preceding, none, strand, begun))
        assert numbers.of_strand.tolist() == [1, 0, number]
        assert numbers.only_one.tolist() == [False, True, False, False, True]


@given(charts())
def test_bobbins_are_those_of_the_pattern_and_their_metres_add_up(chart: Chart) -> None:
    amounts = amounts_of(chart)
    bobbins = amounts.bobbins
    assert sum(b.metres for b in bobbins) == pytest.approx(amounts.metres)
    assert [b.strand for b in bobbins] == list(range(amounts.plan.strands))
    uses = [use for row in write_rows(chart, amounts.plan) for use in row.bobbins]
    for bobbin, path in zip(bobbins, amounts.plan.paths, strict=True):
        assert {(uses[run].yarn, uses[run].number) for run in path} == {
            (bobbin.yarn, bobbin.number)
        }
        rows = [int(chart.runs.row[run]) for run in path]
        assert (bobbin.first_row, bobbin.last_row) == (rows[0], rows[-1])


def test_a_bobbin_longer_than_a_butterfly_says_so() -> None:
    chart = chart_of("01 10")
    by_length = amounts_of(chart).bobbins
    assert not any(b.over_hand for b in by_length)
    longest = max(b.metres for b in by_length)
    exactly = amounts_of(replace(chart, butterfly_m=longest)).bobbins
    assert not any(b.over_hand for b in exactly)
    shorter = amounts_of(replace(chart, butterfly_m=longest - 1e-6)).bobbins
    assert [b.over_hand for b in shorter] == [b.metres == longest for b in by_length]


def test_one_run_alone_by_hand() -> None:
    """Row 2 of a 2 x 2 piece: Moss once, then Chalk; Chalk's other run is row 1."""
    amounts = amounts_of(chart_of("11 01", habit=HABITS["pickup"]))
    told = [(b.yarn, b.number, b.first_row, b.last_row) for b in amounts.bobbins]
    assert told == [(1, 1, 1, 3), (0, None, 2, 2)]


def test_a_strand_as_long_as_its_skein_is_not_longer() -> None:
    chart = chart_of("01 10")
    longest = max(b.metres for b in amounts_of(chart).bobbins)
    for metres, over in ((longest, False), (longest - 1e-6, True)):
        yarns = tuple(replace(yarn, metres=metres) for yarn in chart.yarns)
        whole = amounts_of(replace(chart, yarns=yarns)).bobbins
        assert any(b.over_skein for b in whole) == over


def test_stripes_come_straight_off_the_skein() -> None:
    """A yarn a row, none twice at once; not so where a row has two."""
    stripes = chart_of("3210 2103 1032", habit=HABITS["cut"])
    assert all(bobbin.from_skein for bobbin in amounts_of(stripes).bobbins)
    carried = amounts_of(chart_of("2220 2201 2010", habit=HABITS["carry"])).bobbins
    assert (carried[0].first_row, carried[0].last_row) == (1, 3)
    assert all(bobbin.from_skein for bobbin in carried)
    spot = chart_of("3210 2103 1002", habit=HABITS["cut"])
    assert not any(bobbin.from_skein for bobbin in amounts_of(spot).bobbins)
