"""Runs and changes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from makers import chart_of, charts

from pix2block.chart.chart import Chart
from pix2block.craft.diagonal import Layout
from pix2block.craft.runs import find_runs
from pix2block.ground.errors import BadInput


def test_runs_of_a_small_chart() -> None:
    # Bottom right, right-handed: rows are 2 | 0 2 | 0 1 2? read along the diagonals.
    chart = chart_of("011 012 002")
    runs = chart.runs
    rows = [
        [(int(runs.blocks[r]), int(runs.color[r])) for r in runs.of_row(n)] for n in range(1, 6)
    ]
    assert rows == [
        [(1, 2)],
        [(1, 0), (1, 2)],
        [(2, 1), (1, 0)],
        [(1, 0), (1, 1)],
        [(1, 0)],
    ]
    assert runs.changes_in_rows.tolist() == [0, 1, 1, 1, 0]
    assert runs.changes_at_turns.tolist() == [0, 1, 1, 0, 1]


@given(charts())
def test_runs_cover_the_chart(chart: Chart) -> None:
    runs, layout = chart.runs, chart.layout
    lines, columns, row_of = layout.order
    colors = np.repeat(runs.color, runs.blocks)
    assert (colors == chart.blocks[lines, columns]).all()
    assert (np.repeat(runs.row, runs.blocks) == row_of).all()
    # Longest stretches: neighbours in one row differ.
    same_row = runs.row[1:] == runs.row[:-1]
    assert (runs.color[1:] != runs.color[:-1])[same_row].all()
    assert (runs.number[1:] == np.where(same_row, runs.number[:-1] + 1, 1)).all()
    assert int(runs.changes_in_rows.sum()) == len(runs) - layout.last_row


def test_most_changes_are_the_published_pairs() -> None:
    """(W - 1)(H - 1) neighbouring pairs inside rows, W + H - 2 turns (tests/data/geometry.csv)."""
    blocks = np.arange(15).reshape(3, 5)
    runs = find_runs(blocks, Layout(5, 3, 7, "top-left", "left"))
    assert (int(runs.changes_in_rows.sum()), int(runs.changes_at_turns.sum())) == (8, 6)


@pytest.mark.parametrize("text", ["0.0 000", "00 0."])
def test_a_hole_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match=r"line ., column . of the chart holds no block"):
        chart_of(text.replace(" ", "\n"))


def test_blocks_that_do_not_fit_the_layout_are_refused() -> None:
    with pytest.raises(BadInput, match="2 lines of 3 blocks, its layout 2 of 2"):
        find_runs(np.zeros((2, 3), dtype=np.int64), Layout(2, 2, 3, "top-left", "right"))
    with pytest.raises(BadInput, match="line 2, column 2 of the chart holds a block"):
        find_runs(np.zeros((2, 2), dtype=np.int64), Layout(2, 2, 2, "top-left", "right"))
    with pytest.raises(BadInput, match="holds no block"):
        find_runs(np.full((1, 1), -1), Layout(1, 1, 1, "top-left", "right"))
