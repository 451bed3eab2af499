"""The chart cut into pages."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import chart_of, charts

from pix2block.chart.chart import Chart
from pix2block.drawing.marks import marks_of
from pix2block.drawing.shapes import Blocks, Lines, Text
from pix2block.drawing.style import NOW, PAPER
from pix2block.ground.settings import PAGES
from pix2block.pages.chart_pages import OVERLAP, Figure, Room, part_figures, whole_figure
from pix2block.pages.paper import PAPERS

SMALL = Room(60, 60, 4.0, 3.2)  # some 9 blocks across


def blocks_of(figure: Figure) -> int:
    return sum(len(item.centres) for item in figure.drawing.items if isinstance(item, Blocks))


def numbers_of(figure: Figure) -> set[int]:
    return {int(item.text) for item in figure.drawing.items if isinstance(item, Text)}


@given(charts(most_side=30), st.sampled_from(["picture", "held"]))
def test_a_whole_chart_fits_and_holds_every_block(chart: Chart, what: str) -> None:
    figure = whole_figure(chart, marks_of(chart), SMALL, held=what == "held")
    assert blocks_of(figure) == int((chart.blocks >= 0).sum())
    height = figure.width_mm * figure.drawing.height / figure.drawing.width
    assert figure.width_mm <= SMALL.width_mm + 1e-6
    assert height <= SMALL.height_mm + 1e-6


@given(charts(most_side=30))
def test_parts_hold_every_block_and_say_which(chart: Chart) -> None:
    figures = part_figures(chart, marks_of(chart), SMALL)
    seen = np.zeros_like(chart.blocks)
    for figure in figures:
        words = figure.caption.replace(",", "").replace(":", "").split()
        numbers = [int(word) for word in words if word.isdigit()]
        left, right, top, bottom = numbers[-4:]
        seen[top - 1 : bottom, left - 1 : right] += 1
        lines = slice(max(0, top - 1 - OVERLAP), bottom + OVERLAP)
        columns = slice(max(0, left - 1 - OVERLAP), right + OVERLAP)
        shown = chart.blocks[lines, columns]
        assert blocks_of(figure) == int((shown >= 0).sum())
        side = figure.width_mm * 1e-9 + SMALL.smallest_block_mm
        for item in figure.drawing.items:
            if isinstance(item, Blocks):
                unit = figure.width_mm / figure.drawing.width
                assert item.side * unit >= side - 1e-6
    assert (seen[chart.blocks >= 0] == 1).all()
    cut = any(isinstance(i, Lines) and i.color == NOW for f in figures for i in f.drawing.items)
    assert cut == (len(figures) > 1)


def test_every_row_of_a_part_is_numbered_where_it_enters() -> None:
    chart = chart_of("\n".join(["0" * 20] * 20))
    for figure in part_figures(chart, marks_of(chart), SMALL):
        first, last = min(numbers_of(figure)), max(numbers_of(figure))
        assert numbers_of(figure) == set(range(first, last + 1))
    every = set.union(*(numbers_of(f) for f in part_figures(chart, marks_of(chart), SMALL)))
    assert every == set(range(1, 40))


def test_marks_alone_are_black_on_white() -> None:
    chart = chart_of("0123 3210")
    for figure in part_figures(chart, marks_of(chart), SMALL, in_color=False):
        colors = {item.color for item in figure.drawing.items if isinstance(item, Blocks)}
        assert colors == {PAPER}
        assert "in marks" in figure.caption


@pytest.mark.parametrize("page", PAGES)
def test_blocks_are_told_apart_on_every_paper(page: str) -> None:
    """A mark is two thirds of a block: at 3.4 mm over 2 mm wide."""
    paper = PAPERS[page]  # type: ignore[index]
    assert paper.smallest_block_mm * 0.68 >= 2
    assert paper.small_pt >= 9
    assert paper.room.height_mm > 100
