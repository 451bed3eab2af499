"""The proof: a pattern's words are worked stitch by stitch, and what is wrong is named."""

from __future__ import annotations

import ast
import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import YARNS, chart_of, charts, varied_charts
from mutations import meaning, try_slips

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.reading import write_chart
from pix2block.command.cli import run
from pix2block.ground.settings import (
    EXTRAS,
    HABITS,
    HANDS,
    START_CORNERS,
    TURNS,
    BlockKind,
    Habit,
    Hand,
    StartCorner,
    named_habit,
)
from pix2block.options.table import Options
from pix2block.pattern.text import pattern_text
from pix2block.proof.compare import Proof, directions, prove
from pix2block.proof.definitions import read_steps
from pix2block.proof.fabric import Fabric, Unworkable, lay_out
from pix2block.proof.hook import work
from pix2block.proof.parts import KINDS, counts_of_row, parts_of
from pix2block.proof.reader import Fault, RowWords, WrittenBobbin, read_words
from pix2block.recipes.from_file import check_chart
from pix2block.recipes.outputs import files_of
from pix2block.study.editions import check_pattern
from pix2block.study.study import Study

PROOF = Path(__file__).parent.parent / "pix2block" / "proof"

PARTS = """
Corner: ch 6; dc in the 4th, 5th and 6th ch from the hook.
Grow: ch 6; dc in the 4th, 5th and 6th ch from the hook; turn the piece up behind the new block.
Travel: turn the piece over; sl st in each of the 3 dc of the last block made; sl st into its ch-3 \
space; the first block goes there.
Block: ch 3, 3 dc, all in the ch-3 space just joined.
Join: sl st into the next ch-3 space.
Full: the last block sits in the last ch-3 space of the row before.
Stop: sl st into the last ch-3 space of the row before.
Turn: once at the beginning of every row but the first.
"""

# A piece of 5 x 3 blocks, written by hand from the craft's definitions.
FIVE_BY_THREE = f"""{PARTS}
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


def test_a_pattern_written_by_hand_holds() -> None:
    proof = proof_of(FIVE_BY_THREE)
    assert proof.holds, proof.faults
    assert (proof.rows, proof.blocks) == (7, 15)


def test_stitches_and_places_of_the_worked_example() -> None:
    """Blocks as (dx, dy), as the craft's example lists them."""
    rows = read_words(FIVE_BY_THREE, ["Moss"]).rows
    worked = work(rows, KINDS["dc"], "late")
    assert worked.whole
    assert worked.faults == ()
    assert worked.counts == (
        *((6, 3, 0), (9, 6, 1), (12, 9, 2), (12, 9, 3)),
        *((9, 9, 6), (6, 6, 6), (3, 3, 5)),
    )
    flat = lay_out(worked.fabric.blocks, "right")
    assert flat.places == (
        *((0, 0), (1, 0), (0, 1), (0, 2), (1, 1), (2, 0), (3, 0), (2, 1), (1, 2)),
        *((2, 2), (3, 1), (4, 0), (4, 1), (3, 2), (4, 2)),
    )


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
Row 2, wrong side, 2 blocks: 1 Moss, 1 Chalk.
  Grow. Full.
  Yarn: Moss #1 new, Chalk #1.
Row 9, right side, 9 blocks: 3 Moss, 5 Chalk, 1 Moss.
  Grow. Full. Last loop in Chalk. Marker in block 1. Remove the old marker.
  Something else that a reader leaves aside.
  Yarn: Moss #1 behind 2.24 last, Chalk #12, Moss only.
Row 10, wrong side, 9 blocks: 9 Chalk.
  Travel in Moss. Stop in Moss.
Rows 11 to 13, 9 blocks each: 9 Chalk.
  Odd: right side. Grow. Stop. Remove the old marker.
  Even: wrong side. Travel. Full. Marker in block 1.
"""
    said = read_words(text, ["Moss", "Chalk"])
    assert said.readable
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
    assert gathered == [odd, even, replace(odd, number=13)]


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
        assert _plain(text) == _plain(FIVE_BY_THREE)


def _plain(text: str) -> str:
    """What is told, but for words of a definition that stand between its stitches."""
    told = [line for line in meaning(text) if not re.match(r"\w+: (?!\d)", line)]
    return "\n".join(told)


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
    ("Travel: turn the piece over; sl st", "Travel: sl st", "Travel is told wrongly: sl st"),
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
@pytest.mark.parametrize("terms", ["us", "uk"])
def test_definitions_are_read_in_the_chosen_terms(kind: BlockKind, terms: str) -> None:
    stitch = {"usdc": "dc", "ushdc": "hdc", "ukdc": "tr", "ukhdc": "htr"}[terms + kind]
    slip = "sl st" if terms == "us" else "ss"
    chain = KINDS[kind].chain
    line = f"{slip} into the next ch-{chain} space, ch {chain}, 3 {stitch}"
    read = read_steps(line, KINDS[kind], "us" if terms == "us" else "uk")
    assert read == (*parts_of(KINDS[kind])["Join"], ("ch", chain), ("in space", 3))
    other = read_steps(line, KINDS[kind], "uk" if terms == "us" else "us")
    assert other != read


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
