"""Charts changed by hand: every mend does what it says, and can be taken back."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from makers import YARNS, chart_of, charts

import pix2block
from pix2block.chart.chart import Border, Chart
from pix2block.chart.drawn import Drawn, drawn_csv
from pix2block.chart.reading import read_chart, write_chart
from pix2block.chart.source import Calmed, Place, Source
from pix2block.color.difference import difference_table
from pix2block.command.cli import run
from pix2block.design.likeness import error_figures
from pix2block.drawing.marks import with_marks
from pix2block.ground.errors import BadInput
from pix2block.mending.apply import apply_mends
from pix2block.mending.back import journal_lines, steps_of, undo, without_lines
from pix2block.mending.places import Line, blocks_at, place_of, straight
from pix2block.recipes.replay import done_on
from pix2block.reports.tables import chart_csv
from pix2block.yarn.yarn import Yarn

PIECE = chart_of("0011\n0211\n3300")
CHEAP = ["--without", "pdf,preview,proof"]


def cells(chart: Chart, text: str) -> set[tuple[int, int]]:
    """Column and line, from 1, of the blocks of a place."""
    lines, columns = np.nonzero(blocks_at(chart, place_of(text)))
    return set(zip((columns + 1).tolist(), (lines + 1).tolist(), strict=True))


LITTLE = "Tar,\n#80a0ff,Chalk\n"
pytestmark = pytest.mark.usefixtures("few_files")


def open_little(name: str) -> Drawn:
    return drawn_csv(LITTLE, name)


def mended(chart: Chart, *mends: tuple[str, str], more: tuple[Yarn, ...] = ()) -> Chart:
    return apply_mends(chart, mends, more, open_little).after


# Places


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("row 1", {(4, 3)}),
        ("row 2.1", {(3, 3)}),
        ("row 2.2", {(4, 2)}),
        ("run 2.1", {(3, 3)}),
        ("rows 5 on", {(2, 1), (1, 2), (1, 1)}),
        ("rows 5 to 5", {(2, 1), (1, 2)}),
        ("rows 6 to 90", {(1, 1)}),
        ("column 2, line 3", {(2, 3)}),
        ("column 2", {(2, 1), (2, 2), (2, 3)}),
        ("Line 1", {(1, 1), (2, 1), (3, 1), (4, 1)}),
        ("columns 2 to 3, lines 1 to 2", {(2, 1), (3, 1), (2, 2), (3, 2)}),
        ("column 2, lines 1 to 2", {(2, 1), (2, 2)}),
        ("from column 1, line 1 to column 3, line 3", {(1, 1), (2, 2), (3, 3)}),
        ("from column 4, line 2 to column 4, line 2", {(4, 2)}),
    ],
)
def test_a_place_names_its_blocks(text: str, expected: set[tuple[int, int]]) -> None:
    assert cells(PIECE, text) == expected


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("row 7", "row 7: the piece has 6 rows"),
        ("row 2.3", "row 2 has 2 blocks, no block 3"),
        ("run 1.2", "row 1 has 1 run, no run 2"),
        ("column 5", "column 5: the chart has 4 columns"),
        ("columns 1 to 2, line 4", "line 4: the chart has 3 lines"),
        ("from column 1, line 1 to column 5, line 3", "column 5: the chart has 4 columns"),
        ("rows 5 to 3", "rows 5 to 3 end before they begin: write 3 to 5"),
        ("row 0", 'no place "row 0": write "row 57.3"'),
        ("the eye", 'no place "the eye": write'),
        ("", 'no place "": write'),
        ("column 2line 3", "no place"),
        ("column 2,", "no place"),
    ],
)
def test_a_place_that_is_none_is_told(text: str, told: str) -> None:
    with pytest.raises(BadInput) as error:
        cells(PIECE, text)
    assert told in str(error.value)


def test_blocks_that_do_not_exist_are_left_out() -> None:
    piece = chart_of("..0\n.01\n012", last_row=3)
    assert cells(piece, "line 1") == {(3, 1)}
    with pytest.raises(BadInput, match="no block is there: the piece ends after row 3"):
        cells(piece, "column 1, line 1")


@given(st.tuples(*[st.integers(1, 30)] * 4))
def test_a_line_is_straight_and_without_gaps(ends: tuple[int, int, int, int]) -> None:
    line = Line(ends[:2], ends[2:])
    columns, lines = straight(line)
    assert (columns[0], lines[0]) == line.start
    assert (columns[-1], lines[-1]) == line.end
    steps = np.maximum(abs(np.diff(columns)), abs(np.diff(lines)))
    assert (steps == (0 if line.start == line.end else 1)).all()
    way = np.linspace(line.start, line.end, len(columns))
    assert (abs(way - np.stack([columns, lines], axis=1)) <= 0.5 + 1e-9).all()


# What each does


def test_one_yarn_for_another() -> None:
    after = mended(PIECE, ("exchange", "Moss=Chalk"))
    assert after.blocks.tolist() == [[1, 1, 1, 1], [1, 2, 1, 1], [3, 3, 1, 1]]
    assert after.yarns == PIECE.yarns
    part = mended(PIECE, ("exchange", "moss=Chalk in line 3"))
    assert part.blocks.tolist() == [[0, 0, 1, 1], [0, 2, 1, 1], [3, 3, 1, 1]]
    both = mended(PIECE, ("swap", "Moss=Chalk in lines 1 to 2"))
    assert both.blocks.tolist() == [[1, 1, 0, 0], [1, 2, 0, 0], [3, 3, 0, 0]]


def test_the_longest_name_is_meant() -> None:
    named = Yarn("Dawn in line 2", "#aa8866")
    piece = Chart("Piece", PIECE.blocks, (*YARNS, named, Yarn("Dawn", "#bb9977")), 6)
    assert mended(piece, ("exchange", "Moss=Dawn in line 2")).blocks[0, 0] == 4
    assert mended(piece, ("exchange", "Moss=Dawn in line 1")).blocks.tolist()[0] == [5, 5, 1, 1]
    assert mended(piece, ("exchange", "Chalk=Moss 2")).blocks[0, 3] == 2
    with pytest.raises(BadInput, match='unknown yarn "Dusk"'):
        mended(piece, ("exchange", "Moss=Dusk in line 1"))


def test_another_colour_and_another_name() -> None:
    parts = pix2block.Yarn("Mist", "#808080")
    after = mended(PIECE, ("recolor", "Chalk=#F0F0F0"), ("rename", "Chalk=Snow"))
    assert (after.yarns[1].name, after.yarns[1].color) == ("Snow", "#f0f0f0")
    assert after.marks is not None
    assert "Snow" in after.marks
    assert after.mends[0].value == "Snow=#F0F0F0"
    assert parts.color == "#808080"


def test_names_follow_in_the_journal_and_back() -> None:
    first = mended(
        PIECE,
        ("paint", "row 1=Chalk"),
        ("exchange", "Chalk=Moss 2 in rows 1 to 2"),
        ("drop", "Tar"),
        ("add", "Chalky #ffffff"),
        ("fill", "row 1=Chalky"),
    )
    second = mended(first, ("rename", "Chalk=Snow"))
    assert [line.value for line in second.mends] == [
        *("row 1=Snow", "Snow=Moss 2 in rows 1 to 2", "Tar"),
        *("Chalky #ffffff", "row 1=Chalky", "Chalk=Snow"),
    ]
    assert second.mends[0].words.startswith("row 1 in Snow. ")
    assert write_chart(undo(second, 1).after) == write_chart(first)


def test_one_more_yarn_and_one_less() -> None:
    after = mended(PIECE, ("add", "Night sky #101830"), ("paint", "row 1=night sky"))
    assert after.yarns[-1] == Yarn("Night sky", "#101830")
    assert after.blocks[2, 3] == 4
    less = mended(PIECE, ("drop", "Moss 2"))
    assert [yarn.name for yarn in less.yarns] == ["Moss", "Chalk", "Tar"]
    assert less.blocks.tolist() == [[0, 0, 1, 1], [0, 0, 1, 1], [2, 2, 0, 0]]


def test_a_dropped_yarns_blocks_go_by_their_means() -> None:
    rng = np.random.default_rng(4)
    means = rng.integers(0, 256, (3, 4, 3)).astype(np.uint8)
    piece = chart_of("0011\n0211\n3300", source=Source("cat.jpg", "0" * 64, means))
    less = mended(piece, ("drop", "Moss"))
    mine = piece.blocks == 0
    table = difference_table(means[mine], piece.yarn_rgb[1:])
    assert less.blocks[mine].tolist() == table.argmin(axis=1).tolist()
    assert (less.blocks[~mine] == piece.blocks[~mine] - 1).all()


def test_a_patch_is_filled_across_sides_alone() -> None:
    piece = chart_of("0110\n1001\n1011")
    filled = mended(piece, ("fill", "column 2, line 2=Tar"))
    assert filled.blocks.tolist() == [[0, 1, 1, 0], [1, 3, 3, 1], [1, 3, 1, 1]]
    with pytest.raises(BadInput, match="line 1 has 4 blocks: name one block"):
        mended(piece, ("fill", "line 1=Tar"))


def test_yarns_of_a_shelf_come_in_when_they_are_used() -> None:
    shelf = (Yarn("Rust", "#a04020", grams=50, metres=90), Yarn("Sky", "#80a0ff"))
    after = mended(PIECE, ("paint", "row 1=Rust"), more=shelf)
    assert after.yarns == (*PIECE.yarns, shelf[0])


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("exchange", "Mos=Chalk", 'unknown yarn "Mos": did you mean "Moss"?'),
        ("exchange", "Moss", 'write it as "A=B"'),
        ("exchange", "Moss=Moss", "Moss is one yarn: name two"),
        ("swap", "Moss=Chalk in row 9", "row 9: the piece has 6 rows"),
        ("recolor", "Moss=green", 'colour "green": write #rrggbb'),
        ("rename", "Moss=Chalk", "two yarns have the same name"),
        ("add", "moss #123456", "the piece has a yarn moss already"),
        ("add", "Rust", 'write it as "NAME #rrggbb"'),
        ("add", "Sky blue", 'write it as "NAME #rrggbb"'),
        ("add", "#80a0ff", 'write it as "NAME #rrggbb"'),
        ("drop", "Rust", 'unknown yarn "Rust"'),
        ("paint", "row 900=Moss", "row 900: the piece has 6 rows"),
        ("paint", "row 1=Rust", 'unknown yarn "Rust"'),
        ("polish", "row 1", 'unknown mend "polish"'),
    ],
)
def test_a_bad_mend_is_told(name: str, value: str, told: str) -> None:
    with pytest.raises(BadInput) as error:
        mended(PIECE, ("paint", "row 1=Tar"), (name, value))
    assert told in str(error.value)
    assert len(error.value.lines()) == 1


def test_what_cannot_be_dropped() -> None:
    bordered = chart_of("0011", border=Border(2, "sc", 2))
    with pytest.raises(BadInput, match="Moss 2 is the border's yarn"):
        mended(bordered, ("drop", "Moss 2"))
    with pytest.raises(BadInput, match="Moss is the last yarn in use"):
        mended(chart_of("000"), ("drop", "Moss"))


# The shape


def with_picture(chart: Chart) -> Chart:
    """The chart with a picture behind it, whose means differ block by block."""
    means = np.arange(chart.blocks.size * 3, dtype=np.uint8).reshape(*chart.blocks.shape, 3)
    weights = np.linspace(0.5, 2, chart.blocks.size).reshape(chart.blocks.shape)
    minded = (Place("asked", 0.25, 0.5, 1.0, 1.0, 5.0),)
    return replace(chart, source=Source("cat.jpg", "0" * 64, means, weights, minded))


def test_mirrored_and_turned() -> None:
    piece = with_picture(chart_of("012\n333"))
    assert piece.source
    mirrored, left, right, half = (
        mended(piece, one)
        for one in (("mirror", ""), ("rotate", "left"), ("rotate", "right"), ("rotate", "half"))
    )
    assert mirrored.blocks.tolist() == [[2, 1, 0], [3, 3, 3]]
    assert left.blocks.tolist() == [[2, 3], [1, 3], [0, 3]]
    assert right.blocks.tolist() == [[3, 0], [3, 1], [3, 2]]
    assert half.blocks.tolist() == [[3, 3, 3], [2, 1, 0]]
    for after, means in (
        (mirrored, piece.source.means[:, ::-1]),
        (left, np.rot90(piece.source.means)),
        (half, piece.source.means[::-1, ::-1]),
    ):
        assert after.source
        assert (after.source.means == means).all()
        assert after.start_corner == piece.start_corner
    assert left.source
    (place,) = left.source.minded
    assert (place.left, place.top, place.right, place.bottom) == (0.5, 2, 1, 2.75)


@settings(max_examples=20, deadline=None)
@given(charts())
def test_turns_undo_each_other(chart: Chart) -> None:
    chart = with_marks(with_picture(chart))
    for pair in (
        (("mirror", ""), ("mirror", "")),
        (("rotate", "left"), ("rotate", "right")),
        (("rotate", "half"), ("rotate", "half")),
    ):
        again = replace(mended(chart, *pair), mends=())
        assert write_chart(again) == write_chart(chart)
    once = mended(chart, ("mirror", ""))
    assert once.last_row == chart.last_row
    assert (once.blocks == chart.blocks[:, ::-1]).all()


def test_what_calming_changed_turns_with_the_piece() -> None:
    piece = with_picture(chart_of("012\n333"))
    assert piece.source
    calmed = Calmed(3.0, 1.0, 1.0, 8, 6, None, np.array([[0, 2, 1]]), piece.fingerprint)
    piece = replace(piece, source=replace(piece.source, calmed=calmed))
    assert piece.uncalmed
    turned = mended(piece, ("rotate", "left"))
    assert turned.uncalmed
    assert (turned.uncalmed.blocks == np.rot90(piece.uncalmed.blocks)).all()
    assert mended(piece, ("cut", "0,0,2,2")).uncalmed is None


def test_cut_framed_longer_and_repeated() -> None:
    piece = with_picture(chart_of("012\n333"))
    assert piece.source
    part = mended(piece, ("cut", "1,0,2,1"))
    assert part.blocks.tolist() == [[1, 2]]
    assert mended(piece, ("cut", "columns 2 to 3, line 1")).blocks.tolist() == [[1, 2]]
    framed = mended(piece, ("frame", "1 Chalk"))
    assert framed.blocks.tolist() == [[1] * 5, [1, 0, 1, 2, 1], [1, 3, 3, 3, 1], [1] * 5]
    longer = mended(piece, ("extend", "top 1 Tar"), ("extend", "right 2 Chalk"))
    assert longer.blocks.tolist() == [[3, 3, 3, 1, 1], [0, 1, 2, 1, 1], [3, 3, 3, 1, 1]]
    twice = mended(piece, ("repeat", "2x1"))
    assert twice.blocks.tolist() == [[0, 1, 2] * 2, [3] * 6]
    assert twice.mends[0].words.startswith("Repeated 2 x 1; a seam after column 3. 6 blocks: ")
    assert twice.source
    assert (twice.source.means == np.tile(piece.source.means, (1, 2, 1))).all()


def test_added_blocks_count_in_no_colour_error() -> None:
    piece = with_picture(chart_of("012\n333"))
    framed = mended(piece, ("frame", "1 Chalk"))
    assert error_figures(framed) == error_figures(piece)
    means = json.loads(write_chart(framed))["source"]["means"]
    assert means[0] == [None] * 5
    assert means[1][0] is None
    assert means[1][1] == "#000102"
    assert "added" not in json.loads(write_chart(framed))["source"]
    again, _ = read_chart(write_chart(framed), "again")
    assert write_chart(again) == write_chart(framed)
    assert error_figures(again) == error_figures(piece)
    less = mended(framed, ("drop", "Chalk"))
    colors = difference_table(piece.yarn_rgb[1:2], piece.yarn_rgb[[0, 2, 3]])
    assert less.blocks[0, 0] == colors.argmin()


def test_a_cut_of_a_piece_that_ends_early_ends_where_it_did() -> None:
    piece = chart_of("..0\n.01\n012", last_row=3)
    assert mended(piece, ("cut", "1,0,2,2")).blocks.tolist() == [[-1, 0], [0, 1]]
    assert mended(piece, ("cut", "1,1,2,2")).last_row == 3
    with pytest.raises(BadInput, match="no block is there"):
        mended(piece, ("cut", "0,0,1,1"))
    for mend in (("frame", "1 Moss"), ("extend", "top 1 Moss"), ("repeat", "2x1")):
        with pytest.raises(BadInput, match="the piece ends early, after row 3"):
            mended(piece, mend)
    assert mended(piece, ("mirror", "")).start_corner == "bottom-left"
    assert mended(piece, ("rotate", "left")).start_corner == "top-right"


def test_a_patch_follows_the_block_that_was_painted() -> None:
    piece = chart_of("0110\n1001\n1011")
    after = mended(piece, ("paint", "column 2, line 2=Tar"), ("patch", "column 2, line 2"))
    assert after.blocks.tolist() == [[0, 1, 1, 0], [1, 3, 3, 1], [1, 3, 1, 1]]
    with pytest.raises(BadInput, match="there was no mend before it"):
        mended(piece, ("patch", "column 2, line 2"))


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("rotate", "round", 'unknown turn "round"'),
        ("cut", "0,0,9,1", "that reaches to column 9, line 1: the chart has 4 x 3 blocks"),
        ("cut", "0,0,0,1", "nothing would be left"),
        ("cut", "row 3", 'write it as "X,Y,W,H"'),
        ("frame", "Moss", 'write it as "N YARN"'),
        ("frame", "2 Rust", 'unknown yarn "Rust"'),
        ("frame", "999 Moss", "2002 x 2001 blocks would come of it: a side has at most 1000"),
        ("extend", "up 2 Moss", 'unknown side "up"'),
        ("repeat", "3", 'write it as "3x1"'),
        ("repeat", "999x1", "3996 x 3 blocks would come of it"),
        ("patch", "line 1", "line 1 has 4 blocks: name one block of the patch"),
    ],
)
def test_a_shape_that_cannot_be_is_told(name: str, value: str, told: str) -> None:
    with pytest.raises(BadInput) as error:
        mended(PIECE, ("paint", "row 1=Tar"), (name, value))
    assert told in str(error.value)
    assert len(error.value.lines()) == 1


def test_flags_are_done_in_their_turn(folder: Path) -> None:
    words = ["--mirror", "--paint", "column 1, line 1=Tar", "--mirror"]
    assert run(["mend", str(folder / "chart.json"), *words, *CHEAP]) == 0
    kept, _ = read_chart((folder / "chart.json").read_bytes(), "chart.json")
    assert kept.blocks.tolist() == [[0, 0, 1, 3], *PIECE.blocks.tolist()[1:]]


# The journal


@st.composite
def places(draw: st.DrawFn, chart: Chart) -> str:
    row = draw(st.integers(1, chart.last_row))
    lines, columns, rows = chart.layout.order
    one, other = (draw(st.integers(0, len(rows) - 1)) for _ in range(2))
    at, to = (f"column {columns[i] + 1}, line {lines[i] + 1}" for i in (one, other))
    return draw(
        st.sampled_from(
            [
                f"row {row}",
                f"row {row}.1",
                f"run {row}.{len(chart.runs.of_row(row))}",
                f"rows {row} on",
                f"rows {row} to {chart.last_row}",
                at,
                f"from {at} to {to}",
            ]
        )
    )


@st.composite
def mends(draw: st.DrawFn, chart: Chart) -> tuple[str, str]:
    """Any mend of a chart that may be done to it."""
    names = [yarn.name for yarn in chart.yarns]
    one, other = draw(st.permutations(names))[:2]
    place, lines, columns = draw(places(chart)), *chart.layout.order[:2]
    limit = draw(st.sampled_from(["", f" in {place}"]))
    number = draw(st.integers(0, 255))
    i = draw(st.integers(0, len(lines) - 1))
    possible = [
        ("exchange", f"{one}={other}{limit}"),
        ("swap", f"{one}={other}{limit}"),
        ("recolor", f"{one}=#{number:02x}8040"),
        ("rename", f"{one}=Fern {number}"),
        ("add", f"Sky {number} #0080{number:02x}"),
        ("paint", f"{place}={one}"),
        ("fill", f"column {columns[i] + 1}, line {lines[i] + 1}={one}"),
        ("shield", place),
        ("mirror", ""),
        ("rotate", draw(st.sampled_from(["left", "right", "half"]))),
        ("cut", f"column {columns[i] + 1}"),
    ]
    if chart.width > 1 and chart.height > 1 and not chart.ends_early:
        possible.append(("insert", "little.csv@column 1, line 1"))
    if chart.width > 2 and chart.height > 4 and not chart.ends_early:
        possible.append(("text", f"1 at column 1, line 1 height 5 in {one}"))
    if not chart.ends_early:
        possible += [("frame", f"2 {one}"), ("repeat", "2x1"), ("repeat", "1x3")]
        possible += [("extend", f"{side} 1 {other}") for side in ("left", "top", "right", "bottom")]
    if chart.mends and chart.mends[-1].mend in ("paint", "fill", "swap"):
        possible.append(("patch", f"column {columns[i] + 1}, line {lines[i] + 1}"))
    others = [i for i in np.flatnonzero(chart.used) if names[i] != one]
    if others and len(names) > 2:
        possible.append(("drop", one))
    return draw(st.sampled_from(possible))


def fits(chart: Chart, mend: tuple[str, str]) -> bool:
    """Whether a drawn mend may be done: its new name may be taken."""
    names = {yarn.name for yarn in chart.yarns}
    return mend[0] not in ("add", "rename") or (
        not any(
            name in mend[1].removeprefix(f"{mend[1].split('=')[0]}=")
            for name in names
            if "Fern" in name
        )
        and not any(mend[1].startswith(f"{name} #") for name in names)
    )


@settings(max_examples=30, deadline=None)
@given(st.data())
def test_every_mend_and_its_undo_give_the_same_bytes(data: st.DataObject) -> None:
    chart = data.draw(charts())
    if data.draw(st.booleans()):
        chart = with_picture(chart)
    states = [chart]
    for _ in range(data.draw(st.integers(1, 4))):
        mend = data.draw(mends(states[-1]).filter(lambda one: fits(states[-1], one)))
        after = mended(states[-1], mend)
        again, _ = read_chart(write_chart(after), "again")
        assert write_chart(again) == write_chart(after)
        states.append(again)
    total = len(states) - 1
    for count in range(1, total + 1):
        assert write_chart(undo(states[-1], count).after) == write_chart(states[-1 - count])
    values = [(line.mend, line.value) for line in states[-1].mends]
    redone, left_out = done_on(chart, steps_of(states[-1]))
    assert not left_out
    assert write_chart(redone) == write_chart(states[-1])
    if not any(name == "rename" for name, _ in values):
        replayed = chart
        for one in values:
            replayed = mended(replayed, one)
        assert write_chart(replayed) == write_chart(states[-1])


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_the_cost_is_that_of_counting_anew(data: st.DataObject) -> None:
    chart = data.draw(charts(most_side=7))
    mend = data.draw(mends(chart))
    done = apply_mends(chart, [mend], read=open_little)
    before, after = (pix2block.amounts_of(of) for of in (chart, done.after))
    fresh = Chart(
        chart.title,
        done.after.blocks,
        done.after.yarns,
        done.after.last_row,
        done.after.start_corner,
        chart.hand,
        chart.block,
        chart.terms,
        chart.turn,
        border=done.after.border,
    )
    assert done.cost["tails"] == [before.plan.tails, pix2block.amounts_of(fresh).plan.tails]
    assert done.after.mends[-1].cost == done.cost
    assert done.cost["hanging"][1] == after.plan.attached_by_row.max()


def test_a_line_says_what_a_mend_costs() -> None:
    after = mended(PIECE, ("paint", "column 1, line 1=Tar"), ("fill", "row 1=Moss"))
    tails = [pix2block.amounts_of(of).plan.tails for of in (PIECE, after)]
    assert tails == [10, 12]
    assert journal_lines(after) == [
        "1. column 1, line 1 in Tar. 1 block: tails 10 → 12, 4 minutes more",
        "2. the patch at row 1 in Moss. 0 blocks: tails stay 12",
    ]


def test_a_line_alone_is_taken_back_where_later_ones_allow() -> None:
    chart = mended(
        PIECE, ("paint", "row 1=Tar"), ("exchange", "Chalk=Tar"), ("paint", "line 1=Moss")
    )
    taken = undo(chart, "line:1")
    assert taken.lines == (f"Taken back: {chart.mends[0].words}",)
    last_two = tuple(f"Taken back: {line.words}" for line in (chart.mends[2], chart.mends[1]))
    assert undo(chart, 2).lines == last_two
    steps: list[tuple[int, int]] = []
    without_lines(chart, [2], lambda done, of_all: steps.append((done, of_all)))
    assert steps == [(0, 3), (1, 3), (2, 3)]
    less = taken.after
    assert [line.value for line in less.mends] == ["Chalk=Tar", "line 1=Moss"]
    expected = mended(PIECE, ("exchange", "Chalk=Tar"), ("paint", "line 1=Moss"))
    assert (less.blocks == expected.blocks).all()
    assert [line.words for line in less.mends] == [line.words for line in expected.mends]
    last = mended(PIECE, ("paint", "row 3.2=Tar"), ("paint", "run 3.2=Moss"))
    with pytest.raises(BadInput, match="line 2 rests on it"):
        undo(last, "line:1")
    added = mended(PIECE, ("add", "Sky #80a0ff"), ("paint", "row 1=Sky"))
    assert undo(added, "line:1").after.mends[0].value == "row 1=Sky"


@pytest.mark.parametrize(
    ("mend", "value", "corners"),
    [
        ("extend", "left 1 Chalk", (2, 0.5, 4, 2)),
        ("extend", "top 1 Chalk", (1, 1.5, 3, 3)),
        ("extend", "right 1 Chalk", (1, 0.5, 3, 2)),
        ("frame", "1 Chalk", (2, 1.5, 4, 3)),
        ("cut", "0,0,2,3", (1, 0.5, 2, 2)),
        ("cut", "2,1,2,2", (0, 0, 1, 1)),
        ("cut", "0,0,4,1", (1, 0.5, 3, 1)),
        ("cut", "3,0,1,3", None),
        ("cut", "0,2,4,1", None),
        ("cut", "0,0,1,3", None),
    ],
)
def test_a_place_that_was_minded_moves_with_its_blocks(
    mend: str, value: str, corners: tuple[float, ...] | None
) -> None:
    piece = with_picture(chart_of("0123 1230 2301"))
    assert piece.source
    minded = (Place("asked", 1, 0.5, 3, 2, 5.0),)
    source = mended(
        replace(piece, source=replace(piece.source, minded=minded)), (mend, value)
    ).source
    assert source
    found = [(place.left, place.top, place.right, place.bottom) for place in source.minded]
    assert found == ([] if corners is None else [corners])


@pytest.mark.parametrize(("way", "words"), [("left", "left by a quarter"), ("half", "by half")])
def test_a_turn_is_told(way: str, words: str) -> None:
    line = mended(PIECE, ("rotate", way)).mends[0].words
    assert line.startswith(f"The piece is turned {words}, lettering with it. ")


def test_a_patch_needs_a_mend_that_kept_the_shape() -> None:
    with pytest.raises(BadInput, match="there was no mend before it"):
        mended(PIECE, ("patch", "column 1, line 1"))
    with pytest.raises(BadInput, match="the last mend changed the piece's shape"):
        mended(PIECE, ("extend", "left 1 Chalk"), ("patch", "column 1, line 1"))


def test_what_a_file_gave_does_not_fit_another_size() -> None:
    chart = mended(PIECE, ("extend", "left 1 Chalk"), ("insert", "little.csv@column 1, line 1"))
    with pytest.raises(BadInput, match=r"line 2 rests on it .*the piece is of another size now"):
        undo(chart, "line:1")
    chart = mended(PIECE, ("paint", "row 5=Tar"), ("insert", "little.csv@column 1, line 1"))
    alone = mended(PIECE, ("insert", "little.csv@column 1, line 1"))
    assert (undo(chart, "line:1").after.blocks == alone.blocks).all()


@pytest.mark.parametrize(
    ("which", "told"),
    [
        (2, "undo 2: the journal has 1 line"),
        ("line:3", "undo line:3: the journal has 1 line"),
        ("all", 'undo all: write how many of the last, or "line:5"'),
        (0, "undo 0: write how many"),
    ],
)
def test_what_cannot_be_taken_back(which: Any, told: str) -> None:
    chart = mended(PIECE, ("drop", "Tar"))
    with pytest.raises(BadInput) as error:
        undo(chart, which)
    assert told in str(error.value)


def test_a_journal_spoilt_by_hand_is_told() -> None:
    chart = mended(PIECE, ("paint", "row 1=Tar"))
    kept = json.loads(write_chart(chart))
    kept["mends"][0]["before"]["blocks"] = [[90, 0, 0]]
    spoilt, _ = read_chart(json.dumps(kept).encode(), "chart.json")
    with pytest.raises(BadInput, match="line 1 of the journal cannot be taken back"):
        undo(spoilt, 1)


def test_a_chart_without_mends_says_nothing_of_them() -> None:
    assert b"mends" not in write_chart(PIECE)


# The command


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "chart.json").write_bytes(write_chart(with_marks(PIECE)))
    assert run(["report", str(tmp_path / "chart.json"), *CHEAP]) == 0
    return tmp_path


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def test_mends_are_done_in_the_order_typed(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chart = str(folder / "chart.json")
    before = contents(folder)
    capsys.readouterr()
    words = ["--paint", "row 1=Tar", "--exchange", "Tar=Chalk", "--paint", "row 2=Tar"]
    assert run(["mend", chart, *words, *CHEAP]) == 0
    out = capsys.readouterr().out.splitlines()
    assert out[0].startswith("row 1 in Tar. 1 block: ")
    assert out[1].startswith("Tar becomes Chalk. 3 blocks: ")
    kept, _ = read_chart((folder / "chart.json").read_bytes(), "chart.json")
    assert kept.blocks.tolist() == [[0, 0, 1, 1], [0, 2, 1, 3], [1, 1, 3, 1]]
    assert [line.group for line in kept.mends] == [1, 1, 1]
    assert run(["mend", chart, "--list"]) == 0
    assert capsys.readouterr().out.splitlines() == [
        f"{number}. {line}" for number, line in enumerate(out[:3], 1)
    ]
    assert run(["mend", chart, "--undo", "3", *CHEAP]) == 0
    assert contents(folder) == before


def test_a_grid_that_was_changed_is_a_mend_of_the_chart_beside(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    grid = folder / "chart.csv"
    text = grid.read_text(encoding="utf-8")
    assert text.splitlines()[:2] == [",1,2,3,4", "1,Moss,Moss,Chalk,Chalk"]
    before = (folder / "chart.json").read_bytes()
    assert run(["report", str(grid), *CHEAP]) == 0
    assert (folder / "chart.json").read_bytes() == before
    grid.write_text(text.replace("1,Moss,Moss,", "1,Tar,#102030,"), encoding="utf-8")
    assert run(["report", str(grid), *CHEAP]) == 0
    kept, _ = read_chart((folder / "chart.json").read_bytes(), "chart.json")
    assert kept.blocks.tolist() == [[3, 4, 1, 1], *PIECE.blocks.tolist()[1:]]
    assert kept.yarns[4].color == "#102030"
    assert [(line.mend, line.value) for line in kept.mends] == [("grid", "chart.csv")]
    assert kept.mends[0].cost["blocks"] == 2
    assert run(["mend", str(folder / "chart.json"), "--undo", "1", *CHEAP]) == 0
    assert (folder / "chart.json").read_bytes() == before
    assert grid.read_text(encoding="utf-8") == text
    grid.write_text("Moss,Tar\n", encoding="utf-8")
    capsys.readouterr()
    assert run(["report", str(grid), *CHEAP]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "chart.csv has 2 x 1 blocks, the chart.json beside it 4 x 3" in line
    assert (folder / "chart.json").read_bytes() == before


@settings(max_examples=25, deadline=None)
@given(charts())
def test_the_grid_reads_back_to_the_same_blocks(chart: Chart) -> None:
    drawn = drawn_csv(chart_csv(chart), "chart.csv")
    again = apply_mends(chart, [("grid", "chart.csv")], read=lambda _: drawn).after
    assert write_chart(again) == write_chart(chart)


def test_a_dry_run_writes_nothing(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = contents(folder)
    capsys.readouterr()
    assert run(["mend", str(folder / "chart.json"), "--drop", "Tar", "--dry-run", *CHEAP]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["blocks"] == 2
    assert told["skeins"] == {"Tar": [1, None]}
    assert {"tails", "minutes", "hanging", "mends"} <= set(told)
    assert contents(folder) == before


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ["--paint", "row 1=Tar", "--paint", "row 90=Tar"],
            'pix2block: --paint "row 90=Tar": row 90: the piece has 6 rows',
        ),
        ([], 'pix2block: no mend is asked for: give one, as --paint "row 57.3=Moss"'),
        (["--undo", "1", "--drop", "Tar"], "pix2block: --undo stands alone: leave the other"),
        (["--undo", "1"], "pix2block: --undo 1: the journal has 0 lines"),
    ],
)
def test_a_bad_call_changes_nothing(
    words: list[str], told: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = contents(folder)
    capsys.readouterr()
    assert run(["mend", str(folder / "chart.json"), *words, *CHEAP]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(told)
    assert contents(folder) == before


@pytest.mark.every_file
def test_from_python_it_is_the_same(folder: Path) -> None:
    asked = pix2block.Options(without=("pdf", "preview", "proof"))
    study = pix2block.open_chart(folder / "chart.json", asked)
    after = pix2block.mend(study, [("fill", "row 1=Tar"), ("rename", "Tar=Night")])
    made = pix2block.files_of(after)
    assert (
        run(
            [
                "mend",
                str(folder / "chart.json"),
                "--fill",
                "row 1=Tar",
                "--rename",
                "Tar=Night",
                *CHEAP,
            ]
        )
        == 0
    )
    assert contents(folder) == made
    back = pix2block.undo(after, 2)
    assert write_chart(back.chart) == write_chart(study.chart)
    assert isinstance(pix2block.mend(PIECE, [("drop", "Tar")]), Chart)


def test_several_places_are_one_place() -> None:
    chart = chart_of("0120 1201 2012")
    both = blocks_at(chart, place_of("row 1; column 1, line 1"))
    each = [blocks_at(chart, place_of(one)) for one in ("row 1", "column 1, line 1")]
    assert (both == (each[0] | each[1])).all()
    with pytest.raises(BadInput, match="no place"):
        place_of("row 1; nowhere")
