"""Diagonal rows against the worked example, published sequences and counting."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import layouts
from reference import read_reference

from pix2block.craft.diagonal import Layout, each_once
from pix2block.ground.settings import HANDS, START_CORNERS, Hand, StartCorner

# 5 x 3 blocks, bottom right, right-handed: side, begins at, ends at, begins, ends, (dx, dy) …
WORKED_EXAMPLE = [
    ("RS", None, None, "corner", "full", [(0, 0)]),
    ("WS", "bottom", "right", "grow", "full", [(1, 0), (0, 1)]),
    ("RS", "right", "bottom", "grow", "full", [(0, 2), (1, 1), (2, 0)]),
    ("WS", "bottom", "right", "grow", "stop", [(3, 0), (2, 1), (1, 2)]),
    ("RS", "right", "bottom", "travel", "full", [(2, 2), (3, 1), (4, 0)]),
    ("WS", "bottom", "right", "travel", "stop", [(4, 1), (3, 2)]),
    ("RS", "right", "bottom", "travel", "stop", [(4, 2)]),
]


def test_worked_example() -> None:
    layout = Layout(5, 3, 7, "bottom-right", "right")
    for row, (side, at, to, begins, ends, blocks) in zip(layout, WORKED_EXAMPLE, strict=True):
        assert (row.side, row.begins, row.ends) == (side, begins, ends)
        if at:
            assert (row.begins_at, row.ends_at) == (at, to)
        dx, dy = layout.steps(row.number)
        assert list(zip(dx.tolist(), dy.tolist(), strict=True)) == blocks
    assert [row.phase for row in layout] == [
        *["increase"] * 3,
        *["straight"] * 2,
        *["decrease"] * 2,
    ]
    # The next row ends with a stop: rows 4, 6 and 7 do.
    assert [row.number for row in layout if row.marker] == [3, 5, 6]


@given(layouts())
def test_all_rows_at_once_are_the_rows(layout: Layout) -> None:
    travels, stops = layout.turns_of_rows()
    assert travels.tolist() == [row.begins == "travel" for row in layout]
    assert stops.tolist() == [row.ends == "stop" for row in layout]
    assert layout.row_blocks.tolist() == [row.blocks for row in layout]


@pytest.mark.parametrize(
    ("corner", "begin", "end"),
    [
        ("bottom-right", "right", "bottom"),
        ("bottom-left", "bottom", "left"),
        ("top-right", "top", "right"),
        ("top-left", "left", "top"),
    ],
)
def test_where_odd_rows_begin_and_end(corner: StartCorner, begin: str, end: str) -> None:
    """Seen on the chart from the right side; a left-handed maker swaps the two edges."""
    assert Layout(4, 4, 7, corner, "right").edges == (begin, end)
    assert Layout(4, 4, 7, corner, "left").edges == (end, begin)
    assert Layout(4, 4, 7, corner, "right").row_edges(2) == (end, begin)


def test_published_counts() -> None:
    """tests/data/geometry.csv: arithmetic, and OEIS A003983 and A002620 for squares."""
    for line in read_reference("geometry.csv"):
        width, height = int(line["W"]), int(line["H"])
        layout = Layout(width, height, width + height - 1, "bottom-right", "right")
        blocks = [row.blocks for row in layout]
        phases = [row.phase for row in layout]
        assert len(blocks) == int(line["rows"])
        assert sum(blocks) == int(line["blocks"])
        assert max(blocks) == int(line["longest"])
        assert phases.count("increase") - 1 == int(line["rows_growing"])
        assert phases.count("straight") == int(line["rows_straight"])
        assert phases.count("decrease") == int(line["rows_shrinking"])
        if "..." not in line["blocks_by_row"]:
            assert blocks == [int(n) for n in line["blocks_by_row"].split()]


@pytest.mark.parametrize("corner", START_CORNERS)
@pytest.mark.parametrize("hand", HANDS)
def test_every_small_shape(corner: StartCorner, hand: Hand) -> None:
    for width, height in product(range(1, 13), repeat=2):
        layout = Layout(width, height, width + height - 1, corner, hand)
        check_layout(layout)


def check_layout(layout: Layout) -> None:
    lines, columns, row_of = layout.order
    places = set(zip(lines.tolist(), columns.tolist(), strict=True))
    assert len(places) == len(lines) == sum(row.blocks for row in layout)
    numbers = layout.row_numbers()
    assert (numbers[lines, columns] == row_of).all()
    assert np.bincount(row_of)[1:].tolist() == [row.blocks for row in layout]
    assert np.count_nonzero(numbers <= layout.last_row) == len(lines)
    # Neighbours in a row touch at a corner.
    same = row_of[1:] == row_of[:-1]
    assert (np.abs(np.diff(lines))[same] == 1).all()
    assert (np.abs(np.diff(columns))[same] == 1).all()
    # Where the next row grows, it begins in a block beside the last one.
    for row, after in zip(layout.rows, layout.rows[1:], strict=False):
        change = {"increase": 1, "straight": 0, "decrease": -1}[after.phase]
        assert after.blocks == row.blocks + change
        assert row.marker == (after.ends == "stop")
        if row.ends == "stop":
            assert after.begins == "travel"
    assert not layout.rows[-1].marker


@given(
    st.integers(1, 60),
    st.integers(1, 60),
    st.sampled_from(START_CORNERS),
    st.sampled_from(HANDS),
    st.data(),
)
def test_any_shape(
    width: int, height: int, corner: StartCorner, hand: Hand, data: st.DataObject
) -> None:
    last_row = data.draw(st.integers(1, width + height - 1))
    check_layout(Layout(width, height, last_row, corner, hand))


def test_a_left_handed_piece_mirrors_a_right_handed_one() -> None:
    right = Layout(7, 4, 10, "bottom-right", "right")
    left = Layout(7, 4, 10, "bottom-left", "left")
    assert (right.order[0] == left.order[0]).all()
    assert (right.order[1] == 6 - left.order[1]).all()


def test_triangle_only_grows() -> None:
    """Common practice: a triangle's row n has n blocks."""
    triangle = Layout(9, 9, 9, "bottom-left", "right")
    assert [row.blocks for row in triangle] == list(range(1, 10))
    assert {row.phase for row in triangle} == {"increase"}
    assert triangle.extent == (9, 9)


def test_scarf_of_13_blocks() -> None:
    """Common practice: 1, 2 … 13, then 13 in every row, row 14 the first with a squared end."""
    scarf = Layout(13, 60, 72, "bottom-right", "right")
    assert [row.blocks for row in scarf][:13] == list(range(1, 14))
    assert {row.blocks for row in scarf.rows[13:60]} == {13}
    first_squared = next(r for r in scarf if r.ends == "stop" or r.begins == "travel")
    assert first_squared.number == 14
    assert [row.blocks for row in scarf][-12:] == list(range(12, 0, -1))


def test_numbers_are_kept_once() -> None:
    assert each_once(np.array([5, 2, 5, 9, 2])).tolist() == [2, 5, 9]
    assert each_once(np.zeros(0, dtype=np.int64)).tolist() == []
