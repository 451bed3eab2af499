"""Rows stitch by stitch."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given
from makers import chart_of, charts

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.craft.row_stitches import Handling, Motion, Stitches, row_steps
from pix2block.craft.stitches import LOOPS, count_stitches, loops_by_run
from pix2block.pattern.pattern import write_rows
from pix2block.pattern.words import in_full


def steps_of(chart: Chart, number: int) -> list[Motion]:
    return row_steps(chart.runs, chart.layout, chart.block, chart.turns, number)


def stitches_of(chart: Chart, number: int) -> list[Stitches]:
    return [step for step in steps_of(chart, number) if isinstance(step, Stitches)]


def in_words(chart: Chart, number: int) -> str:
    """Every step: count, stitch, yarn number; a turn or a marker as it is."""
    return ", ".join(
        f"{step.number} {step.stitch} {chart.runs.color[step.run]}"
        if isinstance(step, Stitches)
        else step.act
        for step in steps_of(chart, number)
    )


@given(charts())
def test_steps_sum_to_the_counts_and_loops(chart: Chart) -> None:
    """Row by row to the table of counts, run by run to the loops that yarn is reckoned from."""
    loops = np.zeros(len(chart.runs), dtype=int)
    b_of = {"dc": 3, "hdc": 2}[chart.block]
    for row in chart.layout:
        total = {"ch": 0, chart.block: 0, "sl st": 0}
        for step in stitches_of(chart, row.number):
            total[step.stitch] += step.number
            loops[step.run] += step.number * LOOPS[step.stitch]
        count = count_stitches(chart.block, row.begins, row.ends, row.blocks)
        assert tuple(total.values()) == (count.ch, count.tall, count.slip)
        slips = {"corner": -1, "grow": -1, "travel": 3}[row.begins] + (row.ends == "stop")
        chains = b_of * row.blocks + (0 if row.begins == "travel" else 3)
        assert tuple(total.values()) == (chains, 3 * row.blocks, row.blocks + slips)
    assert (
        loops.tolist() == loops_by_run(chart.runs, chart.layout, chart.block, chart.turns).tolist()
    )


def test_every_step_tells_its_block_and_what_it_goes_into() -> None:
    """Block of this row and block of the row before, 0 for none; turns and markers likewise."""
    chart = chart_of("01 10 01")
    told = [
        [
            (step.part, step.block, step.over) if isinstance(step, Stitches) else step
            for step in steps_of(chart, number)
        ]
        for number in range(1, 5)
    ]
    grow = [("first", 1, 0), ("first", 1, 0)]
    turned = [*grow, ("turn up", 0), ("marker in", 1)]
    stop = [("stop", 0, 1), ("marker out", 1)]
    assert told == [
        grow,
        [*turned, ("join", 2, 1), ("block", 2, 0), ("block", 2, 1)],
        [*turned, ("join", 2, 2), ("block", 2, 0), ("block", 2, 2), *stop],
        [
            ("turn over", 0),
            ("climb", 1, 2),
            ("join", 1, 2),
            ("block", 1, 0),
            ("block", 1, 2),
            *stop,
        ],
    ]


def test_a_colour_comes_in_as_the_turn_into_its_own_row_says() -> None:
    chart = chart_of("0 1 2 3")
    travels = [row.number for row in chart.layout if row.begins == "travel"]
    assert travels
    for number in travels:
        for into in ("early", "late"):
            turns = ["late" if into == "early" else "early"] * chart.last_row
            turns[number - 1] = into
            steps = row_steps(chart.runs, chart.layout, chart.block, turns, number)  # type: ignore[arg-type]
            (climb,) = [
                step for step in steps if isinstance(step, Stitches) and step.part == "climb"
            ]
            first = chart.runs.first_and_last(number)[0]
            assert climb.run == (first if into == "early" else first - 1)


@given(charts())
def test_every_space_is_joined_once_and_from_its_neighbour(chart: Chart) -> None:
    """A block sits on a block of the row before that it touches; no chain space is used twice."""
    lines, columns, row_of = chart.layout.order
    for row in chart.layout:
        here = np.flatnonzero(row_of == row.number)
        before = np.flatnonzero(row_of == row.number - 1)
        joined = []
        for step in stitches_of(chart, row.number):
            if step.part in ("join", "stop"):
                joined.append(step.over)
            if step.part == "block" and step.into == "chain space":
                one, other = here[step.block - 1], before[step.over - 1]
                assert abs(lines[one] - lines[other]) + abs(columns[one] - columns[other]) == 1
        assert joined == list(range(len(before), len(before) - len(joined), -1))
        assert (joined[-1:] == [1]) == (row.number > 1)  # the row goes back to its beginning


@given(charts())
def test_markers_and_turns(chart: Chart) -> None:
    """A marker waits for every stop, in the first block, and comes out where it was put in."""
    waiting: list[int] = []
    for row in chart.layout:
        acts = [step for step in steps_of(chart, row.number) if isinstance(step, Handling)]
        turns = [step.act for step in acts if step.act.startswith("turn")]
        expected = {"corner": [], "grow": ["turn up"], "travel": ["turn over"]}
        assert turns == expected[row.begins]
        for step in acts:
            if step.act == "marker out":
                assert waiting.pop(0) == row.number - 1
                assert step.block == 1
            elif step.act == "marker in":
                waiting.append(row.number)
                assert step.block == 1
        assert waiting == [row.number] * row.marker
    assert not waiting


@given(charts())
def test_colours(chart: Chart) -> None:
    """A block and the slip stitch before it have the chart's colour; blocks come in order."""
    lines, columns, row_of = chart.layout.order
    colors = chart.blocks[lines, columns]
    for row in chart.layout:
        of_row = colors[row_of == row.number]
        numbers = []
        for step in stitches_of(chart, row.number):
            if step.part in ("first", "join", "block"):
                assert chart.runs.color[step.run] == of_row[step.block - 1]
            if step.stitch == chart.block:
                numbers.append(step.block)
        assert numbers == list(range(1, row.blocks + 1))


@pytest.mark.parametrize(
    ("turn", "row", "expected"),
    [
        ("late", 1, "6 ch 0, 3 dc 0"),
        (
            "late",
            2,
            "turn over, 3 sl st 0, 1 sl st 1, 3 ch 1, 3 dc 1, marker in",
        ),
        ("early", 2, "turn over, 3 sl st 1, 1 sl st 1, 3 ch 1, 3 dc 1, marker in"),
        ("late", 3, "6 ch 1, 3 dc 1, turn up, 1 sl st 1, marker out"),
        ("early", 3, "6 ch 1, 3 dc 1, turn up, 1 sl st 0, marker out"),
        ("late", 4, "turn over, 3 sl st 1, 1 sl st 0, 3 ch 0, 3 dc 0"),
        ("early", 4, "turn over, 3 sl st 0, 1 sl st 0, 3 ch 0, 3 dc 0"),
    ],
)
def test_turns_early_and_late(turn: str, row: int, expected: str) -> None:
    chart = chart_of("0 1 1 0", turn=turn)
    assert in_words(chart, row) == expected


def test_where_no_row_follows_a_stop_keeps_its_colour() -> None:
    chart = chart_of("1 0 0", turn="early")  # row 3, the last, stops
    assert in_words(chart, 3).endswith("1 sl st 1, marker out")


def test_the_half_double_block() -> None:
    chart = chart_of("00 00", block="hdc")
    assert in_words(chart, 1) == "5 ch 0, 3 hdc 0"
    assert in_words(chart, 2) == "5 ch 0, 3 hdc 0, turn up, marker in, 1 sl st 0, 2 ch 0, 3 hdc 0"


FIRST = "ch 6, dc in the 4th, 5th and 6th ch from the hook"
UP = "turn the piece up behind the new block"
IN_IT = "sl st into the next ch-3 space, ch 3, 3 dc in it"
MARKED = "put a marker into this first block's ch-3 space"
STOPPED = "sl st into the last ch-3 space and make no block there, take the marker out"
OVER = "turn the piece over and bring the yarn behind"
CLIMBED = f"{OVER}, sl st in each of the 3 dc of the last block made"
ON_IT = "sl st into its ch-3 space, ch 3, 3 dc in it"


def test_rows_in_full() -> None:
    """One of each kind, with and without changes, late turns."""
    chart = chart_of("0000 0111 0011")
    full = [in_full(chart, row) for row in write_rows(chart, amounts_of(chart).plan)]
    assert full == [
        [f"With Chalk: {FIRST}."],
        [f"With Chalk: {FIRST}, {UP}, {IN_IT}."],
        [f"With Moss: {FIRST}, {UP}, {MARKED}.", f"With Chalk: {IN_IT}.", f"With Moss: {IN_IT}."],
        [
            f"With Moss: {FIRST}, {UP}, {MARKED}.",
            f"With Chalk: {IN_IT}.",
            f"With Moss: {IN_IT}, {STOPPED}.",
        ],
        [f"With Moss: {CLIMBED}, {ON_IT}, {MARKED}, {IN_IT}, {STOPPED}."],
        [f"With Moss: {CLIMBED}, {ON_IT}, {STOPPED}."],
    ]


def test_what_is_repeated_has_a_line_of_its_own() -> None:
    chart = chart_of("\n".join(["0" * 6] * 6))
    rows = write_rows(chart, amounts_of(chart).plan)
    assert in_full(chart, rows[4]) == [f"With Moss: {FIRST}, {UP}.", f"4 times: {IN_IT}."]
    assert in_full(chart, rows[6]) == [
        f"With Moss: {CLIMBED}, {ON_IT}, {MARKED}.",
        f"4 times: {IN_IT}.",
        f"{STOPPED}.",
    ]


@given(charts())
def test_a_row_in_full_says_every_block_once(chart: Chart) -> None:
    rows = write_rows(chart, amounts_of(chart).plan)
    for row in rows:
        blocks = 0
        for line in in_full(chart, row):
            times = re.search(r"(\d+) times: ", line)
            made = line.count("from the hook") + len(re.findall(r" in it\b", line))
            blocks += made * (int(times[1]) if times else 1)
        assert blocks == row.row.blocks
        text = " ".join(in_full(chart, row))
        assert text.count("put a marker") == int(row.row.marker)
        assert text.count("take the marker out") == int(row.row.ends == "stop")
