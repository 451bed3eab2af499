"""The proof: a pattern's words are worked stitch by stitch, and what is wrong is named."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Sequence
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import YARNS, chart_of, charts, varied_charts
from mutations import meaning, try_slips

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.done import MadeRows, MadeStrand
from pix2block.chart.reading import write_chart
from pix2block.chart.terms import words
from pix2block.command.cli import run
from pix2block.ground.settings import (
    EXTRAS,
    HABITS,
    HANDS,
    START_CORNERS,
    TERMS,
    TURNS,
    BlockKind,
    Habit,
    Hand,
    StartCorner,
    Terms,
    named_habit,
)
from pix2block.options.table import Options
from pix2block.pattern.text import pattern_text
from pix2block.proof.bobbins import Bobbins
from pix2block.proof.compare import Proof, directions, prove
from pix2block.proof.definitions import Unreadable, definitions, read_steps
from pix2block.proof.fabric import Block, Fabric, Unworkable, lay_out
from pix2block.proof.hook import work
from pix2block.proof.lines import PARTS as PART_NAMES
from pix2block.proof.lines import Fault
from pix2block.proof.parts import KINDS, counts_of_row, parts_of
from pix2block.proof.reader import read_words
from pix2block.proof.told import RowWords, WrittenBobbin
from pix2block.recipes.from_file import check_chart
from pix2block.recipes.outputs import files_of
from pix2block.study.editions import check_pattern
from pix2block.study.study import Study

PROOF = Path(__file__).parent.parent / "pix2block" / "proof"

PARTS = """
Corner: ch 6; dc in the 4th, 5th and 6th ch from the hook.
Grow: ch 6; dc in the 4th, 5th and 6th ch from the hook; turn the piece up behind the new block.
Travel: turn the piece over and bring the yarn, which now lies in front, behind; sl st in each of \
the 3 dc of the last block made; sl st into its ch-3 space; the first block goes there.
Block: ch 3, 3 dc, all in the ch-3 space just joined.
Join: sl st into the next ch-3 space of the row before, ahead of each block after the first.
Full: the last block sits in the last ch-3 space of the row before.
Stop: sl st into the last ch-3 space of the row before, where the marker is; no block there.
Turn: once at the beginning of every row but the first, as Grow and Travel say; never at its end.
"""

FIRSTS = """
First corner, full (row 1):
  With Moss: ch 6, dc in the 4th, 5th and 6th ch from the hook.
First grow, full (row 2):
  With Moss: ch 6, dc in the 4th, 5th and 6th ch from the hook, turn the piece up behind the new \
block, sl st into the next ch-3 space, ch 3, 3 dc in it.
First grow, stop (row 4):
  With Moss: ch 6, dc in the 4th, 5th and 6th ch from the hook, turn the piece up behind the new \
block.
  2 times: sl st into the next ch-3 space, ch 3, 3 dc in it.
  sl st into the last ch-3 space and make no block there, take the marker out.
First travel, full (row 5):
  With Moss: turn the piece over and bring the yarn behind, sl st in each of the 3 dc of the last \
block made, sl st into its ch-3 space, ch 3, 3 dc in it, put a marker into this first block's \
ch-3 space.
  2 times: sl st into the next ch-3 space, ch 3, 3 dc in it.
First travel, stop (row 6):
  With Moss: turn the piece over and bring the yarn behind, sl st in each of the 3 dc of the last \
block made, sl st into its ch-3 space, ch 3, 3 dc in it, put a marker into this first block's \
ch-3 space, sl st into the next ch-3 space, ch 3, 3 dc in it, sl st into the last ch-3 space and \
make no block there, take the marker out.
"""

# A piece of 5 x 3 blocks, written by hand from the craft's definitions.
FIVE_BY_THREE = f"""{PARTS}{FIRSTS}
Piece: 5 x 3 blocks, rows 1 to 7, start corner bottom right, right hand, dc blocks, US terms, \
late turns.
Row 1, right side, 1 block: 1 Moss.
  Corner. Full.
  Yarn: Moss #1 new.
Row 2, wrong side, 2 blocks: 2 Moss.
  Grow. Full.
Row 3, right side, 3 blocks: 3 Moss.
  Grow. Full. Marker in block 1.
Row 4, wrong side, 3 blocks: 3 Moss.
  Grow. Stop. Remove the old marker.
Row 5, right side, 3 blocks: 3 Moss.
  Travel. Full. Marker in block 1.
Row 6, wrong side, 2 blocks: 2 Moss.
  Travel. Stop. Marker in block 1. Remove the old marker.
Row 7, right side, 1 block: 1 Moss.
  Travel. Stop. Remove the old marker.
  Yarn: Moss #1 last.
"""
ONE_STRAND = [[(row, 1) for row in range(1, 8)]]


def moss(**settings: object) -> Chart:
    return chart_of("00000 00000 00000", **settings)


def proof_of(text: str, chart: Chart | None = None) -> Proof:
    return prove(text, chart or moss(), ONE_STRAND)


def named(text: str, chart: Chart | None = None) -> list[str]:
    return [str(fault) for fault in proof_of(text, chart).faults]


def instead(old: str, new: str, text: str = FIVE_BY_THREE) -> str:
    assert old in text, old
    return text.replace(old, new, 1)


# It shares nothing with the writer


def test_it_knows_ground_and_chart_only() -> None:
    allowed = re.compile(r"pix2block\.(ground\.\w+|chart\.(chart|terms)|proof\.\w+)")
    for path in PROOF.glob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("pix2block"):
                assert allowed.fullmatch(node.module or ""), f"{path.name}: {node.module}"
            if isinstance(node, ast.Attribute):
                assert node.attr not in ("layout", "ends_early", "blocks_by_yarn"), path.name
                is_chart = isinstance(node.value, ast.Name) and node.value.id == "chart"
                assert not (is_chart and node.attr in ("runs", "layout")), path.name


# The craft's worked example


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        (
            "Piece: 5 x 3 blocks",
            "Piece: 5 by 3 blocks",
            "the head line cannot be read: Piece: 5 by 3",
        ),
        ("Row 2, wrong side", "Row 2, other side", "this line cannot be read: Row 2, other side"),
        (
            "Row 2, wrong side, 2 blocks: 2",
            "Rows 2 to 2, 2 blocks each: 2",
            "rows 2 to 2 are not two",
        ),
        ("Full. Marker in block 1.", "Full. Slowly.", "“Slowly” is not what a row says here"),
        ("2 Moss.\n  Grow", "1 Moss, 1 Moss.\n  Grow", "two runs of Moss side by side are one run"),
        ("  Grow. Full.", "  Grow. Full", "this line has no full stop at its end: Grow. Full"),
    ],
)
def test_what_cannot_be_read_is_told_and_nothing_is_worked(old: str, new: str, fault: str) -> None:
    said = read_words(instead(old, new), [yarn.name for yarn in moss().yarns], 7)
    assert not said.readable
    assert any(one.text.startswith(fault) for one in said.faults)


def test_a_pattern_without_rows_is_told() -> None:
    head = re.search("Piece.*", FIVE_BY_THREE)
    assert head is not None
    assert [str(fault) for fault in read_words(head[0], ["Moss"], 7).faults] == [
        "there are no rows"
    ]


def test_a_pattern_written_by_hand_holds() -> None:
    proof = proof_of(FIVE_BY_THREE)
    assert proof.holds, proof.faults
    assert (proof.rows, proof.blocks) == (7, 15)


def test_stitches_and_places_of_the_worked_example() -> None:
    """Blocks as (dx, dy), as the craft's example lists them."""
    rows = read_words(FIVE_BY_THREE, ["Moss"], 7).rows
    worked = work(rows, KINDS["dc"], lambda _: "late")
    assert worked.whole
    assert worked.faults == ()
    assert worked.counts == (
        *((6, 3, 0), (9, 6, 1), (12, 9, 2), (12, 9, 3)),
        *((9, 9, 6), (6, 6, 6), (3, 3, 5)),
    )
    flat = lay_out(worked.fabric.blocks, "right")
    assert [(place.real, place.imag) for place in flat.places] == [
        *((0, 0), (1, 0), (0, 1), (0, 2), (1, 1), (2, 0), (3, 0), (2, 1), (1, 2)),
        *((2, 2), (3, 1), (4, 0), (4, 1), (3, 2), (4, 2)),
    ]


def worked_off(text: str, watched: Sequence[int]) -> tuple[object, ...]:
    """What a hook made and counted, and where it stands."""
    worked = work(read_words(text, ["Moss"], 7).rows, KINDS["dc"], lambda _: "late", watched)
    fabric = worked.fabric
    numbers = {block: number for number, block in enumerate(fabric.blocks)}

    def told(noun: Block | Fabric) -> list[object]:
        values = (getattr(noun, field.name) for field in fields(noun) if field.name != "blocks")
        return [numbers[value] if isinstance(value, Block) else value for value in values]

    blocks = [told(block) for block in fabric.blocks]
    return blocks, told(fabric), worked.counts, worked.faults


@pytest.mark.parametrize("longer", [0, 2, 4, 5, 7])
def test_plain_blocks_at_once_are_what_the_steps_make(longer: int) -> None:
    text = re.sub(rf"(Row {longer}, .*): \d", r"\1: 5", FIVE_BY_THREE)
    assert (text == FIVE_BY_THREE) == (longer == 0)
    assert worked_off(text, ()) == worked_off(text, range(1, 8))


@pytest.mark.parametrize(
    ("begins", "ends", "ch", "sl"),
    [
        ("Grow", "Full", 15, 3),
        ("Grow", "Stop", 15, 4),
        ("Travel", "Full", 12, 7),
        ("Travel", "Stop", 12, 8),
    ],
)
def test_the_table_of_stitches(begins: str, ends: str, ch: int, sl: int) -> None:
    assert counts_of_row(KINDS["dc"], begins, ends, 4) == (ch, 12, sl)
    small = counts_of_row(KINDS["hdc"], begins, ends, 4)
    assert small == (ch - 4, 12, sl)
    assert counts_of_row(KINDS["dc"], "Corner", "Full", 1) == (6, 3, 0)
    assert counts_of_row(KINDS["dc"], "Corner", "Stop", 1) is None


def test_a_float_is_measured_where_the_yarn_lies() -> None:
    """Past two blocks of the same row 2.83, straight up two rows 2 (the craft's values)."""
    past_two, up_two = "0001 0000 0000 1000", "00000 00000 00100 00010 00000"
    for blocks, sides in ((past_two, "2.83"), (up_two, "2.00")):
        chart = chart_of(blocks, habit=named_habit(3, 2, 3))
        amounts = amounts_of(chart)
        text = pattern_text(amounts)
        assert check_pattern(amounts, text).holds
        (fault,) = check_pattern(amounts, instead(f"behind {sides}", "behind 1.50", text)).faults
        assert str(fault).endswith(
            f"Chalk #1 is told 1.50 behind, but lies {sides} block sides away"
        )


# Reading


def test_the_lines_of_the_agreed_form_are_read() -> None:
    text = """
Piece: 9 x 80 blocks, rows 1 to 88, start corner bottom right, right hand, dc blocks, US terms, \
late turns.
Row 2, wrong side, 2 blocks: 1 Moss, 1 Chalk.
  Grow. Full.
  Yarn: Moss #1 new, Chalk #1.
Row 9, right side, 9 blocks: 3 Moss, 5 Chalk, 1 Moss.
  Grow. Full. Last loop in Chalk. Marker in block 1. Remove the old marker.
  Cut: Chalk #3, Moss #2.
  Yarn: Moss #1 behind 2.24 last, Chalk #12, Moss only.
Row 10, wrong side, 9 blocks: 9 Chalk.
  Travel in Moss. Stop in Moss.

* * *
Rows 11 to 13, 9 blocks each: 9 Chalk.
  Odd: right side. Grow. Stop. Remove the old marker.
  Even: wrong side. Travel. Full. Marker in block 1.
Rows 15 to 16, 3 to 2 blocks, 1 fewer in each: Moss.
  Odd: right side. Travel. Stop. Marker in block 1. Remove the old marker.
  Even: wrong side. Travel. Stop. Marker in block 1. Remove the old marker.
"""
    said = read_words(text, ["Moss", "Chalk"], 88)
    assert said.readable
    assert said.faults == ()
    two, nine, ten, *gathered = said.rows
    assert two.runs == ((1, "Moss"), (1, "Chalk"))
    assert two.bobbins == (WrittenBobbin("Moss", 1, new=True), WrittenBobbin("Chalk", 1))
    assert nine.bobbins == (
        WrittenBobbin("Moss", 1, behind="2.24", last=True),
        WrittenBobbin("Chalk", 12),
        WrittenBobbin("Moss", None, new=True, last=True),
    )
    assert (nine.last_loop, nine.marker, nine.unmark) == ("Chalk", True, True)
    assert (ten.begins, ten.begins_in, ten.ends, ten.ends_in) == ("Travel", "Moss", "Stop", "Moss")
    assert ten.bobbins is None
    odd = RowWords(11, "right", 9, ((9, "Chalk"),), "Grow", None, "Stop", unmark=True, in_hand=True)
    even = RowWords(
        12, "wrong", 9, ((9, "Chalk"),), "Travel", None, "Full", marker=True, in_hand=True
    )
    assert gathered[:3] == [odd, even, replace(odd, number=13)]
    assert [(row.number, row.blocks, row.runs) for row in gathered[3:]] == [
        (15, 3, ((3, "Moss"),)),
        (16, 2, ((2, "Moss"),)),
    ]
    assert nine.cuts == (WrittenBobbin("Chalk", 3), WrittenBobbin("Moss", 2))


NAMES = (
    *("Moss", "Moss 2", "2 Moss", "Moss in Tar", "Tar (old)", "Moss only", "only", "new", "last"),
    *("Row 3", "Rows 2 to 3", "Stop", "Travel", "Yarn", "Odd", "خيط أخضر", "Мох", "behind 2", "1"),
)


@given(
    charts(7), st.permutations(NAMES), st.sampled_from(("Piece", "Row 5", "Stop: now", "Rows 1"))
)
def test_any_name_and_title_is_told_apart(chart: Chart, names: list[str], title: str) -> None:
    names = [name for name in names if name != "Moss only"] if "Moss" in names[:5] else names
    yarns = tuple(replace(y, name=name) for y, name in zip(YARNS, names, strict=False))
    proof = check_chart(replace(chart, yarns=yarns, title=title))
    assert proof.holds, proof.faults


@given(st.data())
def test_any_text_is_answered(data: st.DataObject) -> None:
    """Whatever is deleted or doubled, faults are named and nothing is raised."""
    lines = FIVE_BY_THREE.split("\n")
    at = data.draw(st.integers(0, len(lines) - 1))
    a, b = sorted(data.draw(st.tuples(*[st.integers(0, len(lines[at]))] * 2)))
    line = lines[at]
    lines[at] = (
        line[:a] + data.draw(st.sampled_from(("", "9", ".", ",", "٣", line[a:b] * 2))) + line[b:]
    )
    text = "\n".join(lines)
    if proof_of(text).holds:
        assert meaning(text) == meaning(FIVE_BY_THREE)


# Every chart that the tool can make


@given(
    charts(12),
    st.builds(
        named_habit, st.sampled_from((0, 1, 1.5, 2, 3, 6, 40)), st.integers(0, 6), st.integers(0, 7)
    ),
)
def test_every_pattern_holds(chart: Chart, habit: Habit) -> None:
    chart = replace(chart, habit=habit)
    proof = check_chart(chart)
    assert proof.holds, proof.faults
    assert proof.rows == chart.last_row
    assert proof.blocks == np.count_nonzero(chart.blocks >= 0)


@pytest.mark.parametrize("corner", START_CORNERS)
@pytest.mark.parametrize("hand", HANDS)
def test_a_pattern_of_another_way_does_not_give_the_chart(corner: StartCorner, hand: Hand) -> None:
    """The same words from another corner or in the other hand make another picture."""
    chart = chart_of("0123 1230 2013")
    other = replace(chart, start_corner=corner, hand=hand)
    text = pattern_text(amounts_of(other))
    head = re.search(r"^Piece: .*", pattern_text(amounts_of(chart)), re.M)
    assert head
    forged = re.sub(r"^Piece: .*", head[0], text, flags=re.M)
    same = other.start_corner == chart.start_corner and other.hand == chart.hand
    assert check_pattern(amounts_of(chart), forged).holds == same


def test_directions_turn_the_chart_and_do_not_mirror_it() -> None:
    for corner in START_CORNERS:
        place, left, right = directions(corner, 4, 3)
        assert place == ((3 if "right" in corner else 0), (2 if "bottom" in corner else 0))
        assert left[0] * right[1] - left[1] * right[0] == 1  # lines count downwards


# What cannot be worked


def block_on(fabric: Fabric) -> None:
    fabric.chain(3)
    fabric.work_in_space(3)


def two_rows() -> Fabric:
    fabric = Fabric(KINDS["dc"], "Moss")
    for _ in range(2):
        fabric.chain(6)
        fabric.work_in_chains((4, 5, 6))
    fabric.turn_up()
    fabric.slip_into_space()
    block_on(fabric)
    return fabric


def test_a_used_chain_space_takes_no_second_slip_stitch() -> None:
    fabric = two_rows()
    fabric.next_space = fabric.blocks[0]
    with pytest.raises(Unworkable, match="already used"):
        fabric.slip_into_space()


def test_a_chain_space_takes_one_block() -> None:
    fabric = two_rows()
    fabric.space = fabric.blocks[0]
    with pytest.raises(Unworkable, match="already holds a block"):
        block_on(fabric)


def test_no_chain_space_is_joined_beyond_the_last() -> None:
    with pytest.raises(Unworkable, match="no chain space is left"):
        two_rows().slip_into_space()


def test_no_block_is_made_past_the_marker() -> None:
    fabric = Fabric(KINDS["dc"], "Moss")
    fabric.chain(6)
    fabric.work_in_chains((4, 5, 6))
    fabric.put_marker(fabric.blocks[0])
    fabric.chain(6)
    fabric.work_in_chains((4, 5, 6))
    fabric.turn_up()
    fabric.slip_into_space()
    with pytest.raises(Unworkable, match="past the marker"):
        block_on(fabric)
    fabric.take_marker()
    with pytest.raises(Unworkable, match="no marker to remove"):
        fabric.take_marker()


def test_stitches_need_their_chains_and_turns() -> None:
    fabric = Fabric(KINDS["dc"], "Moss")
    fabric.chain(5)
    with pytest.raises(Unworkable, match="chain 6"):
        fabric.work_in_chains((4, 5, 6))
    with pytest.raises(Unworkable, match="after turning"):
        fabric.slip_across(3)
    with pytest.raises(Unworkable, match="turned up"):
        fabric.turn_up()
    with pytest.raises(Unworkable, match="stands in no chain space"):
        fabric.work_in_space(3)


# Each fault is named with its place


@pytest.mark.parametrize(("old", "new", "fault"), [
    ("3 blocks: 3 Moss.\n  Grow. Full.", "3 blocks: 2 Moss.\n  Grow. Full.",
     "row 3: says 3 blocks, but its runs are 2"),
    ("3 blocks: 3 Moss.\n  Grow. Full.", "2 blocks: 2 Moss.\n  Grow. Full.",
     "row 3, run 1: it should end full, but 1 chain space is left in the row before"),
    ("3 blocks: 3 Moss.\n  Grow. Full.", "4 blocks: 4 Moss.\n  Grow. Full.",
     "row 3, run 1: no chain space is left in the row before"),
    ("3 blocks: 3 Moss.\n  Grow. Stop.", "4 blocks: 4 Moss.\n  Grow. Stop.",
     "row 4, run 1: a block would be made past the marker where the row should end"),
    ("Full. Marker in block 1.\nRow 4", "Full.\nRow 4",
     "row 4, run 1: it ends with a slip stitch where no marker is"),
    ("Marker in block 1. Remove the old marker.\nRow 7", "Marker in block 1.\nRow 7",
     "row 6: joins at a marker, but does not say to remove it"),
    ("Stop. Remove the old marker.\n  Y", "Stop. Marker in block 1. Remove the old marker.\n  Y",
     "row 7: its marker is never removed"),
    ("Row 5, right", "Row 5, wrong", "row 5: says wrong side, but the right side faces you"),
    ("Travel. Full.", "Grow. Full.", "row 5, run 1: it should end full"),
    (" last.", ".", "row 7, run 1: Moss #1 works here last, but is never ended"),
    ("#1 new", "#2 new", "row 1, run 1: Moss #2 is new, but #1 is free"),
    ("#1 last", "#2 last", "row 7, run 1: Moss #2 is taken up, but does not hang"),
    ("#1 last", "#1 behind 1.41 last", "row 7, run 1: Moss #1 is told 1.41 behind, but lies 0.00"),
    ("#1 last", "#1 new last", "row 7, run 1: Moss #1 is new, but that number is in use"),
    ("Yarn: Moss #1 new", "Yarn: Mos #1 new", "row 1: “Mos #1 new” tells no bobbin"),
    ("2 Moss.\n  Grow", "2 Mosss.\n  Grow", "row 2: no yarn is called “Mosss”: Moss?"),
    ("Row 6, wrong", "Row 8, wrong", "row 8: stands where row 6 should"),
    ("1 Moss.\n  Corner. Full.", "1 Moss.\n  Corner. Full. Last loop in Moss.",
     "row 1: draws Moss in at its end, which is on the hook already"),
    ("Travel. Full.", "Travel in Moss. Full.",
     "row 5: travels in Moss, but no colour changes at this turn"),
    ("Grow. Full.\n", "Grow.\n", "row 2: “” stands where Full, Stop should"),
    ("Corner: ch 6", "Corner: ch 5", "Corner is told wrongly: ch 5;"),
    ("over and bring the yarn, which now lies in front, behind; sl", "over; sl",
     "Travel is told wrongly: turn the piece over; sl st"),
    ("Travel: turn the piece", "Travel: do not turn the piece", "Travel is told wrongly: do not"),
    ("Block: ch 3, 3 dc", "Block: ch 3, 3 tr", "Block is told wrongly: ch 3, 3 tr"),
    ("Join: sl st into the next", "Joint: sl st into the next", "Join is not told"),
    ("Turn: once", "Turn: twice", "Turn is told wrongly: twice"),
    ("5 x 3", "5 x 4", "the head line says height 4, the chart 3"),
    ("right hand", "left hand", "the head line says hand left, the chart right"),
    ("late turns", "early turns", "the head line says turns early, the chart late"),
    ("Piece:", "A piece:", "there are 0 lines “Piece: …”, not one"),
])  # fmt: skip
def test_a_fault_is_named_with_its_place(old: str, new: str, fault: str) -> None:
    faults = named(instead(old, new))
    assert any(one.startswith(fault) for one in faults), faults


def test_colours_and_paths_are_compared() -> None:
    faults = named(FIVE_BY_THREE, chart_of("00000 01000 00000"))
    assert faults[0] == "row 5, run 1: Moss at column 2, line 2, the chart has Chalk"
    proof = prove(FIVE_BY_THREE, moss(), [[(1, 1), (2, 1)], [(row, 1) for row in range(3, 8)]])
    assert [str(fault) for fault in proof.faults] == [
        "strands worked: 1, planned: 2",
        "row 1, run 1: Moss #1 goes 1.1 2.1 3.1 4.1 5.1 6.1 …, as no planned strand does",
        "row 1, run 1: no strand goes 1.1 2.1, as planned",
        "row 3, run 1: no strand goes 3.1 4.1 5.1 6.1 7.1, as planned",
    ]


def test_a_habit_that_is_exceeded_is_named() -> None:
    carried = chart_of("0100 0010 1001 0100", habit=HABITS["carry"])
    text = pattern_text(amounts_of(carried))
    assert check_chart(carried).holds
    plan = amounts_of(carried).plan
    assert plan.floats
    shorter = replace(carried, habit=named_habit(1, 2, 3))
    runs = carried.runs
    paths = [[(int(runs.row[r]), int(runs.number[r])) for r in path] for path in plan.paths]
    faults = [str(fault) for fault in prove(text, shorter, paths).faults]
    assert faults
    assert all("beyond the habit (reach 1, rest 2, edge 3)" in fault for fault in faults)


def test_turns_draw_yarn_in_where_the_chart_says() -> None:
    for turn, other in zip(TURNS, reversed(TURNS), strict=True):
        chart = chart_of("1 0 1 0", turn=turn)
        text = pattern_text(amounts_of(chart))
        assert check_pattern(amounts_of(chart), text).holds
        forged = text.replace(f"{turn} turns.", f"{other} turns.")
        faults = check_pattern(amounts_of(replace(chart, turn=other)), forged).faults
        assert any(f"but turns are {other}" in str(fault) for fault in faults), faults


def test_a_long_list_of_faults_is_cut() -> None:
    proof = proof_of(FIVE_BY_THREE, chart_of("1" * 20 + " " + "1" * 20))
    assert not proof.holds
    chart = replace(moss(), blocks=np.ones((3, 5), dtype=np.int64))
    assert len(proof_of(FIVE_BY_THREE, chart).faults) == 15
    wide = chart_of("0" * 30)
    many = check_pattern(amounts_of(chart_of("1" * 30)), pattern_text(amounts_of(wide)))
    assert len(many.faults) == 20
    assert many.more == 10


def test_faults_read_as_sentences() -> None:
    assert str(Fault("no yarn")) == "no yarn"
    assert str(Fault("no yarn", 3)) == "row 3: no yarn"
    assert str(Fault("no yarn", 3, 2)) == "row 3, run 2: no yarn"


@pytest.mark.parametrize("kind", ["dc", "hdc"])
@pytest.mark.parametrize("terms", TERMS)
def test_rows_written_out_are_read_in_the_chosen_terms(kind: BlockKind, terms: Terms) -> None:
    stitch = {"usdc": "dc", "ushdc": "hdc", "ukdc": "tr", "ukhdc": "htr"}[terms + kind]
    slip = "sl st" if terms == "us" else "ss"
    chain = KINDS[kind].chain
    line = f"{slip} into the next ch-{chain} space, ch {chain}, 3 {stitch} in it"
    read = read_steps(line, KINDS[kind], terms)
    assert read == (("slip into space", "next"), ("ch", chain), ("in space", 3))
    with pytest.raises(Unreadable, match="is no stitch of a row"):
        read_steps(line, KINDS[kind], "uk" if terms == "us" else "us")


@pytest.mark.parametrize("kind", ["dc", "hdc"])
@pytest.mark.parametrize("terms", TERMS)
def test_definitions_name_the_steps_that_are_worked(kind: BlockKind, terms: Terms) -> None:
    """Every number and stitch of a part, in its order."""
    of, stitch = KINDS[kind], words(terms)[KINDS[kind].name]
    first = f"ch {of.first_chain}; {stitch} in the "
    first += {3: "4th, 5th and 6th", 2: "3rd, 4th and 5th"}[of.chain] + " ch from the hook"
    told = definitions(of, terms)
    assert told["Corner"] == f"{first}."
    assert told["Grow"].startswith(f"{first}; turn the piece up")
    assert tuple(told) == PART_NAMES
    assert tuple(parts_of(of)) == PART_NAMES[:-1]


# Lines that have no place


@pytest.mark.parametrize("line", [
    "Skip the last block of this row.", "Marker in block 1.", "Remove the old marker.", "Corner.",
    "Grow. Full.", "Travel in Moss.", "Full.", "Stop.", "Last loop in Moss.", "Yarn: Moss #2.",
    "Odd: right side. Grow. Full.", "Even: wrong side. Grow. Full.", "Turn it twice.", "9 Moss",
])  # fmt: skip
@pytest.mark.parametrize("indent", ["", "  ", "\t"])
def test_no_stray_line_passes(line: str, indent: str) -> None:
    """Above the rows, under each line of a row, and right under the last one."""
    lines = FIVE_BY_THREE.split("\n")
    head = next(at for at, told in enumerate(lines) if told.startswith("Piece: "))
    for at in range(head + 1, len(lines)):
        told = "\n".join([*lines[:at], indent + line, *lines[at:]])
        assert not proof_of(told).holds, at
    faults = named(instead("Marker in block 1.\n", f"Marker in block 1.\n{indent}{line}\n"))
    assert any(fault.startswith("row 3") for fault in faults), faults


def test_lines_that_say_nothing_and_lines_elsewhere_pass() -> None:
    told = (
        instead("Row 3", "\n  * * *\n---\nRow 3") + "\nTAILS\n  Skip nothing.\n  Marker in block 1."
    )
    assert proof_of("Marker in block 1.\n" + told).holds


def test_a_yarn_line_comes_after_the_way() -> None:
    told = instead("  Corner. Full.\n  Yarn: Moss #1 new.", "  Yarn: Moss #1 new.\n  Corner. Full.")
    assert not proof_of(told).holds


def test_a_range_beyond_the_piece_is_refused_at_once() -> None:
    """Not a million rows are made, whatever the head line says."""
    head = FIVE_BY_THREE.replace("rows 1 to 7", "rows 1 to 999999")
    rows = "Rows 2 to 100000, 2 blocks each: 2 Moss.\n  Odd: right side. Grow. Full.\n"
    rows += "  Even: wrong side. Grow. Full.\n"
    for text in (FIVE_BY_THREE, head):
        told = instead("Row 2, wrong", f"{rows}Row 2, wrong", text)
        said = read_words(told, ["Moss"], 7)
        assert len(said.rows) == 7
        assert "row 2: rows 2 to 100000 go beyond the last row, 7" in named(told)
    again = instead("Row 4, wrong", rows.replace("100000", "3") + "Row 4, wrong")
    assert "row 2: rows 2 to 3 come after row 3" in named(again)


# Rows that grow or shrink

SOLID = """
Row 1, right side, 1 block: 1 Moss.
  Corner. Full.
  Yarn: Moss #1 new.
Rows 2 to 8, 2 to 8 blocks, 1 more in each: Moss.
  Odd: right side. Grow. Full.
  Even: wrong side. Grow. Full.
Row 9, right side, 9 blocks: 9 Moss.
  Grow. Full. Marker in block 1.
Rows 10 to 15, 9 blocks each: 9 Moss.
  Odd: right side. Travel. Full. Marker in block 1.
  Even: wrong side. Grow. Stop. Remove the old marker.
Rows 16 to 22, 8 to 2 blocks, 1 fewer in each: Moss.
  Odd: right side. Travel. Stop. Marker in block 1. Remove the old marker.
  Even: wrong side. Travel. Stop. Marker in block 1. Remove the old marker.
Row 23, right side, 1 block: 1 Moss.
  Travel. Stop. Remove the old marker.
  Yarn: Moss #1 last.
"""


def test_rows_that_grow_and_shrink_are_gathered_and_proved() -> None:
    """A solid piece of 15 x 9 blocks, the definitions' example."""
    chart = chart_of(" ".join(["0" * 15] * 9))
    text = pattern_text(amounts_of(chart))
    assert SOLID in text
    assert check_pattern(amounts_of(chart), text).holds
    for old, new, fault in (
        ("2 to 8 blocks", "2 to 9 blocks", "row 2: rows 2 to 8 do not go from 2 to 9 blocks"),
        ("8 blocks, 1 more", "8 blocks, 1 fewer", "row 2: rows 2 to 8 do not go from 2 to 8"),
        ("1 fewer", "2 fewer", "row 16: this line cannot be read"),
        ("Rows 16 to 22", "Rows 16 to 23", "row 16: rows 16 to 23 do not go from 8 to 2 blocks"),
        ("16 to 22, 8 to 2", "15 to 22, 9 to 2", "row 15: rows 15 to 22 come after row 15"),
    ):
        faults = check_pattern(amounts_of(chart), instead(old, new, text)).faults
        assert any(str(one).startswith(fault) for one in faults), (fault, faults)


# Rows written out


@pytest.mark.parametrize(("old", "new", "fault"), [
    ("ch 3, 3 dc in it.\nFirst grow, stop", "ch 2, 3 dc in it.\nFirst grow, stop",
     "row 2: is written out with “ch 2” in Moss where “ch 3” in Moss comes"),
    ("  2 times: sl", "  3 times: sl",
     "row 4: is written out with “slip into space next” in Moss where “slip into space last”"),
    ("  2 times: sl", "  999999 times: sl", "row 4: is written out with “slip into space next”"),
    (" and bring the yarn behind", "", "row 5: is written out, but “turn the piece over” is no"),
    (", put a marker into this first block's ch-3 space", "",
     "row 5: is written out with “slip into space next” in Moss where “marker in” comes"),
    (", take the marker out.\nFirst travel, full", ".\nFirst travel, full",
     "row 4: is written out with nothing where “marker out” comes"),
    ("First grow, stop (row 4)", "First grow, stop (row 3)",
     "row 3: is written out as the first grow, stop, but that is row 4"),
    ("First grow, stop (row 4)", "First grow, full (row 4)",
     "row 4: the first that is Grow, Stop is not written out in stitches"),
    ("First grow, full (row 2)", "Fist grow, full (row 2)",
     "row 2: the first that is Grow, Full is not written out in stitches"),
    ("First grow, full (row 2):", "First grow, full, row 2:", "this line cannot be read: First"),
    ("  With Moss: ch 6, dc in the 4th, 5th and 6th ch from the hook.\n", "  Ch 6.\n",
     "row 1: this line of a row written out cannot be read: Ch 6."),
    ("With Moss: ch 6", "With Mos: ch 6", "row 1: no yarn is called “Mos”: Moss?"),
])  # fmt: skip
def test_rows_written_out_are_proved(old: str, new: str, fault: str) -> None:
    faults = named(instead(old, new))
    assert any(one.startswith(fault) for one in faults), faults


def test_a_yarn_of_a_row_written_out_is_proved() -> None:
    amounts = amounts_of(chart_of("0000 0111 0011"))
    text = pattern_text(amounts)
    assert check_pattern(amounts, text).holds
    slipped = instead("  With Chalk: sl st into", "  With Tar: sl st into", text)
    (fault,) = check_pattern(amounts, slipped).faults
    assert str(fault).endswith(
        "“slip into space next” in Tar where “slip into space next” in Chalk comes"
    )


# Bobbins that rest, and that are cut


def test_a_number_that_rests_is_not_given_again() -> None:
    chart = chart_of("0101 0110 1010 0101", habit=HABITS["pickup"])
    amounts = amounts_of(chart)
    text = pattern_text(amounts)
    assert check_pattern(amounts, text).holds
    complaints: list[str] = []
    bobbins = Bobbins()
    for row, told in ((1, "new"), (2, "last"), (3, "new")):
        bobbin = WrittenBobbin("Moss", 1, new=told == "new", last=told == "last")
        bobbins.take((row, 1), (row, row), "Moss", bobbin, False, complaints.append)
    assert complaints == ["Moss #1 is new, but its number rests for a row yet"]


CUT = f"""{PARTS}
First corner, full (row 1):
  With Moss: ch 6, dc in the 4th, 5th and 6th ch from the hook.
First grow, full (row 2):
  With Chalk: ch 6, dc in the 4th, 5th and 6th ch from the hook, turn the piece up behind the new \
block, put a marker into this first block's ch-3 space, sl st into the next ch-3 space, ch 3, 3 \
dc in it.
First travel, stop (row 3):
  With Chalk: turn the piece over and bring the yarn behind, sl st in each of the 3 dc of the last \
block made, sl st into its ch-3 space, ch 3, 3 dc in it, sl st into the last ch-3 space and make \
no block there, take the marker out.
Piece: 2 x 2 blocks, rows 1 to 3, start corner bottom right, right hand, dc blocks, US terms, \
late turns.
Row 1, right side, 1 block: 1 Moss.
  Corner. Full. Last loop in Chalk.
  Yarn: Moss #1 new.
Row 2, wrong side, 2 blocks: 2 Chalk.
  Grow. Full. Marker in block 1.
  Yarn: Chalk #1 new.
Row 3, right side, 1 block: 1 Chalk.
  Travel. Stop. Remove the old marker.
  Cut: Moss #1.
  Yarn: Chalk #1 last.
"""


def test_a_bobbin_that_is_cut_ends_there() -> None:
    strands = (MadeStrand(0, 1, "1.1", hangs=True), MadeStrand(1, 1, "2.1", hangs=True))
    chart = chart_of("11 10", done=MadeRows(2, None, strands))
    paths = [[(1, 1)], [(2, 1), (3, 1)]]
    proof = prove(CUT, chart, paths)
    assert proof.holds, proof.faults
    for old, new, fault in (
        ("  Cut: Moss #1.\n", "", "row 1, run 1: Moss #1 works here last, but is never ended"),
        ("Cut: Moss #1.", "Cut: Moss #2.", "row 3: Moss #2 is cut, but does not hang"),
        ("Cut: Moss #1.", "Cut: Chalk #1.", "row 3, run 1: Chalk #1 is taken up, but does not"),
        ("Cut: Moss #1.", "Cut: Moss #1 last.", "row 3: a bobbin that is cut is told as “Moss #2”"),
        ("Cut: Moss #1.", "Cut: Moss only.", "row 3: a bobbin that is cut is told as “Moss #2”"),
        ("Cut: Moss #1.", "Cut: Moss #1", "row 3: the line of its yarn has no full stop"),
        (
            "  Cut: Moss #1.\n  Yarn: Chalk #1 last.\n",
            "  Yarn: Chalk #1 last.\n  Cut: Moss #1.\n",
            "row 3: “Cut: Moss #1.” has no place here",
        ),
        (
            "  Yarn: Chalk #1 new.\n",
            "  Cut: Moss #1.\n  Yarn: Chalk #1 new.\n",
            "row 2: Moss #1 is cut, but the row is not the first",
        ),
    ):
        faults = [str(one) for one in prove(instead(old, new, CUT), chart, paths).faults]
        assert any(one.startswith(fault) for one in faults), (fault, faults)


# Slips


def test_slips_are_caught() -> None:
    tally = try_slips(varied_charts(), 200, seed=3)
    assert tally.counted > 150
    assert tally.missed == []


def test_a_text_without_a_slip_is_not_caught() -> None:
    for chart in varied_charts():
        proof = check_chart(chart)
        assert proof.holds, proof.faults


# Through the doors


def test_check_on_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chart = chart_of("0011 0110 1100")
    (tmp_path / "chart.json").write_bytes(write_chart(chart))
    place = str(tmp_path / "chart.json")
    assert run(["check", place]) == 0
    said = capsys.readouterr()
    assert re.fullmatch(
        r"checked stitch by stitch: 6 rows, 12 blocks, [\d,]+ stitches give the chart\n", said.out
    )
    assert said.err == ""
    text = pattern_text(amounts_of(chart))
    edited = tmp_path / "edited.txt"
    edited.write_text(text.replace("\n", "\r\n"), encoding="utf-8", newline="")
    assert run(["check", place, "--pattern", str(edited)]) == 0
    edited.write_text(instead("Row 2, wrong", "Row 2, right", text), encoding="utf-8")
    capsys.readouterr()
    assert run(["check", place, "--pattern", str(edited)]) == 1
    said = capsys.readouterr()
    assert said.out == ""
    first, last = said.err.splitlines()
    assert first == "row 2: says right side, but the wrong side faces you"
    assert last.startswith("pix2block: checked stitch by stitch: the pattern does not give")
    assert run(["check", place, "--pattern", str(edited), "--json"]) == 1
    figures = json.loads(capsys.readouterr().out)
    assert figures["checked"] is False
    assert figures["faults"] == [first]
    assert run(["check", place, "--pattern", str(tmp_path / "no.txt")]) == 2
    assert "no such file" in capsys.readouterr().err


@pytest.mark.usefixtures("few_files")
def test_reports_prove_unless_told_not_to(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "chart.json").write_bytes(write_chart(chart_of("0011 0110 1100")))
    place = str(tmp_path / "chart.json")

    def checked() -> object:
        return json.loads((tmp_path / "summary.json").read_text())["checked"]

    assert run(["report", place]) == 0
    assert "checked stitch by stitch: 6 rows" in capsys.readouterr().out
    assert checked() is True
    assert run(["report", place, "--without", "pdf,proof"]) == 0
    assert "checked" not in capsys.readouterr().out
    assert checked() is None
    right = pattern_text(amounts_of(chart_of("0011 0110 1100")))
    wrong = instead("Row 2, wrong", "Row 2, right", right)
    monkeypatch.setattr("pix2block.study.editions.document_text", lambda _: wrong)
    assert run(["report", place]) == 1
    assert "row 2: says right side" in capsys.readouterr().err
    assert checked() is False
    assert (tmp_path / "pattern.txt").read_text() == wrong


def test_the_summary_of_a_chart_says_checked() -> None:
    study = Study(moss())
    assert study.proof
    assert study.proof.holds
    assert json.loads(files_of(study)["summary.json"])["checked"] is True
    assert EXTRAS[0] == "proof"
    assert Study(moss(), options=Options(without=EXTRAS[:1])).proof is None
