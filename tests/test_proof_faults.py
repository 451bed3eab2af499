"""Every fault that the proof knows, named by its words: of one slip each in a pattern."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from makers import chart_of
from test_proof import FIVE_BY_THREE, instead, moss, named, proof_of, two_rows

from pix2block.amounts.yarn_use import amounts_of
from pix2block.ground.settings import HABITS
from pix2block.pattern.text import pattern_text
from pix2block.proof.compare import prove
from pix2block.proof.fabric import Block, Fabric, Unworkable, lay_out
from pix2block.proof.parts import KINDS
from pix2block.proof.reader import read_words
from pix2block.study.editions import check_pattern

ROW_5 = "Row 5, right side, 3 blocks: 3 Moss.\n  Travel. Full. Marker in block 1.\n"
LAST_ROW = """Row 7, right side, 1 block: 1 Moss.
  Travel. Stop. Remove the old marker.
  Yarn: Moss #1 last.
"""


@pytest.mark.parametrize(("old", "new", "fault"), [
    ("Yarn: Moss #1 new", "Yarn: Chalk #1 new",
     "row 1, run 1: works Moss, but a bobbin of Chalk is told"),
    ("#1 new", "#1 new behind 2.00", "row 1, run 1: Moss #1 is new, but comes from behind"),
    ("#1 new", "#1 new last",
     "row 1, run 1: Moss #1 works this run alone: it needs no number, but “only”"),
    ("  Yarn: Moss #1 new.\n", "", "row 1, run 1: no bobbin is told, and no bobbins of Moss hang"),
    ("#1 new", "#1 new, Moss #2 new", "row 1: 1 runs, but 2 bobbins are told"),
    ("Corner. Full.", "Grow. Full.", "row 1, run 1: begins with Grow, but is row 1 of the piece"),
    ("  Grow. Full.", "  Corner. Full.",
     "row 2, run 1: begins with Corner, but is row 2 of the piece"),
    ("Corner. Full.", "Corner. Full. Last loop in Chalk.",
     "row 2, run 1: begins with Moss, but a loop of Chalk is on the hook"),
    ("Grow. Stop.", "Grow. Stop. Last loop in Chalk.",
     "row 5, run 1: travels in Moss, but a loop of Chalk is on the hook"),
    ("Grow. Stop.", "Grow. Stop. Last loop in Chalk.",
     "row 4: its last slip stitch is told in Moss, but a loop of Chalk is on the hook"),
    ("Grow. Stop.", "Grow. Stop in Moss.",
     "row 4: its last slip stitch is told in Moss, but a loop of Moss is on the hook"),
    ("Travel. Stop. Remove", "Travel. Stop in Chalk. Last loop in Chalk. Remove",
     "row 7: draws Chalk in at its end, but no row follows"),
    ("rows 1 to 7", "rows 1 to 6", "the head line says last row 6, the chart 7"),
    ("rows 1 to 7", "rows 2 to 7", "the head line says first row 2, the chart 1"),
    ("5 x 3 blocks", "6 x 3 blocks", "the head line says width 6, the chart 5"),
    ("bottom right", "top right", "the head line says start corner top right, the chart bottom"),
    ("dc blocks", "hdc blocks", "the head line says blocks hdc, the chart dc"),
    ("US terms", "UK terms", "the head line says terms UK, the chart US"),
    (LAST_ROW, "", "6 rows are told, the chart has 7"),
    (LAST_ROW, "", "blocks of the chart that are never made: 1"),
    ("First travel, full (row 5)", "First travel, stop (row 5)",
     "row 5: is written out as the first travel, stop, but that is row 6"),
    ("First travel, full (row 5)", "First travel, stop (row 5)",
     "row 6: is written out as the first travel, stop, but there is none left to write"),
    ("First travel, full (row 5)", "First travel, stop (row 5)",
     "row 5: the first that is Travel, Full is not written out in stitches"),
    ("ch-3 space.\n  2 times: sl st", "ch-3 space.\n  3 times: sl st",
     "row 5: is written out with “slip into space next” in Moss where nothing comes"),
    ("ch-3 space.\n  2 times: sl st", "ch-3 space.\n  1 times: sl st",
     "row 5: is written out with nothing where “slip into space next” in Moss comes"),
    ("turn the piece over and bring the yarn behind, ", "",
     "row 5: is written out with “slip across 3” in Moss where “turn over” comes"),
    ("Turn: once", "Turn: once\nTurn: once", "Turn is told twice"),
])  # fmt: skip
def test_a_slip_is_named(old: str, new: str, fault: str) -> None:
    faults = named(instead(old, new))
    assert any(one.startswith(fault) for one in faults), faults


def checks(old: str, new: str) -> list[str]:
    """Moss and Chalk in turns; colours change at every turn, early."""
    amounts = amounts_of(chart_of("010 101 010", turn="early", habit=HABITS["carry"]))
    faults = check_pattern(amounts, instead(old, new, pattern_text(amounts))).faults
    return [str(fault) for fault in faults]


@pytest.mark.parametrize(("old", "new", "fault"), [
    ("Travel in Chalk. Stop", "Travel. Stop",
     "row 4: the colour changes to Chalk, but which yarn travels is not told"),
    ("Travel in Chalk. Stop", "Travel in Moss. Stop",
     "row 4, run 1: travels in Moss, but a loop of Chalk is on the hook"),
    ("Stop in Moss. Last loop in Moss.", "Stop in Moss.",
     "row 4: its last slip stitch is told in Moss, but a loop of Chalk is on the hook"),
    ("Stop in Moss. Last loop in Moss.", "Stop in Chalk. Last loop in Moss.",
     "row 4: its last slip stitch is told in Chalk, but a loop of Moss is on the hook"),
    ("Moss #1 behind 2.24", "Moss #1", "row 3, run 1: Moss #1 has no length behind told, but lies"),
    ("Moss #1 behind 2.24 last", "Moss #1 behind 2.24",
     "row 3, run 1: Moss #1 works here last, but is never ended"),
    ("Moss #1 behind 2.24 last", "Moss only", "row 1, run 1: Moss #1 works here last, but is"),
    ("Moss #1 behind 2.24 last", "Moss only", "strands worked: 5, planned: 4"),
])  # fmt: skip
def test_a_slip_between_two_colours_is_named(old: str, new: str, fault: str) -> None:
    faults = checks(old, new)
    assert any(one.startswith(fault) for one in faults), faults


GATHERED = "Rows 5 to 6, 3 blocks each: 3 Moss.\n  Odd: right side. Travel. Full.\n"


@pytest.mark.parametrize(("new", "fault"), [
    (GATHERED.replace("3 Moss", "1 Moss, 2 Chalk"), "gathered rows are of one run"),
    (GATHERED.replace("Odd:", "Even:"), "the Odd rows is not told first"),
    (GATHERED.replace("right side. ", ""), "the Odd rows do not begin with their side"),
    (GATHERED.replace("Full.", "Full. Last loop in Chalk."), "gathered rows change no colour"),
    (GATHERED.replace("Travel.", "Travel in Chalk."), "gathered rows change no colour"),
    (GATHERED, "the Even rows is not told"),
    (GATHERED.replace("Rows 5 to 6", "Rows 4 to 6"), "rows 4 to 6 come after row 4"),
    (GATHERED.replace("6, 3 blocks each: 3", "6, 1 to 0 blocks, 1 fewer in each:"),
     "rows 5 to 6 do not go from 1 to 0 blocks with 1 fewer in each"),
    (GATHERED.replace("6, 3 blocks each: 3", "6, 1 to 3 blocks, 1 more in each:"),
     "rows 5 to 6 do not go from 1 to 3 blocks with 1 more in each"),
])  # fmt: skip
def test_a_slip_in_gathered_rows_is_named(new: str, fault: str) -> None:
    said = read_words(instead(ROW_5, new), [yarn.name for yarn in moss().yarns], 7)
    assert fault in [one.text for one in said.faults]


def test_what_the_hook_cannot_do() -> None:
    fabric = two_rows()
    tries: list[tuple[Callable[[], None], str]] = [
        (lambda: fabric.work_in_space(3), "stands in no chain space"),
        (fabric.turn_up, "turned up behind a new block, and there is none"),
        (fabric.end_at_marker, "ends with a slip stitch where no marker is"),
    ]
    for does, told in tries:
        with pytest.raises(Unworkable, match=told):
            does()
    fabric.put_marker(fabric.blocks[2])
    with pytest.raises(Unworkable, match="a marker is there already"):
        fabric.put_marker(fabric.blocks[2])
    fabric.turn_over()
    fabric.slip_across(3)
    fabric.chain(6)
    with pytest.raises(Unworkable, match="made before the piece is turned"):
        fabric.work_in_chains((4, 5, 6))
    fabric.slip_into_space()
    with pytest.raises(Unworkable, match="full, but 1 chain space is left"):
        fabric.end_at_marker()  # a row has as many spaces as blocks
    fabric.take_marker()
    fabric.chain(2)
    with pytest.raises(Unworkable, match="2 chains before a block in place of 3"):
        fabric.work_in_space(3)
    assert fabric.counted() == (6 + 6 + 3 + 6 + 2, 3 + 3 + 3, 1 + 3 + 1)
    assert fabric.counted() == (0, 0, 0)


def test_spaces_that_are_left_are_counted() -> None:
    fabric = two_rows()
    fabric.turn_over()
    with pytest.raises(Unworkable, match="full, but 2 chain spaces are left"):
        fabric.end_full()


def test_what_does_not_lie_flat() -> None:
    """Right side, right hand: up to the left of the block worked in, up to the right of the one
    joined."""
    first = Block(1, 1, "Moss", True)
    on = Block(2, 1, "Moss", True, on=first)
    joined = Block(2, 2, "Moss", True, joined=first)
    assert lay_out([first, on, joined], "right").places == (0, 1, 1j)
    assert lay_out([first, on, joined], "left").places == (0, 1j, 1)
    for block, told in (
        (Block(3, 2, "Chalk", True), "row 3, run 2: a block of Chalk hangs on nothing"),
        (Block(3, 1, "Chalk", True, on=on, joined=on), "block of Chalk does not lie flat"),
        (Block(3, 1, "Chalk", True, on=first), "row 3: a block lies on one of row 2"),
    ):
        with pytest.raises(Unworkable, match=told):
            lay_out([first, on, joined, block], "right")


def test_the_newest_block_is_before_the_next() -> None:
    fabric = Fabric(KINDS["dc"], "Moss")
    fabric.chain(6)
    fabric.work_in_chains((4, 5, 6))
    assert fabric.blocks[0].right_side
    fabric.chain(6)
    fabric.work_in_chains((4, 5, 6))
    assert not fabric.blocks[1].right_side
    assert fabric.st == 6


def test_what_cannot_be_read_is_not_worked_and_long_ways_are_cut() -> None:
    unread = proof_of(instead("Row 2, wrong side", "Row 2, other side"))
    assert (unread.rows, unread.blocks, unread.stitches, unread.more) == (0, 0, 0, 0)
    worked = proof_of(FIVE_BY_THREE)
    # Rows of the craft's table: chains, stitches and slip stitches of 15 blocks.
    assert worked.stitches == (6 + 9 + 12 + 12 + 9 + 6 + 3) + 45 + (0 + 1 + 2 + 3 + 6 + 6 + 5)
    planned = [[(row, 1) for row in range(1, 7)], [(7, 1)]]
    told = [str(fault) for fault in prove(FIVE_BY_THREE, moss(), planned).faults]
    assert "row 1, run 1: no strand goes 1.1 2.1 3.1 4.1 5.1 6.1, as planned" in told
