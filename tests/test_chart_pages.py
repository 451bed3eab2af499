"""The chart on pages."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import chart_of, charts

from pix2block.chart.chart import Chart
from pix2block.drawing.marks import marks_of
from pix2block.drawing.shapes import Blocks, Text
from pix2block.drawing.style import PAPER
from pix2block.ground.settings import PAGES
from pix2block.pages.chart_pages import Figure, Room, band_figures, row_spans, whole_figure
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


@given(charts(most_side=30), st.booleans())
def test_bands_hold_every_row_once_and_whole(chart: Chart, upright: bool) -> None:
    room = replace(SMALL, height_mm=90) if upright else SMALL
    figures = band_figures(chart, marks_of(chart), room)
    for figure in figures:
        assert figure.rows is not None
        first, last = figure.rows
        numbers = chart.layout.row_numbers()
        inside = (chart.blocks >= 0) & (numbers >= first) & (numbers <= last)
        assert blocks_of(figure) == int(inside.sum())
        assert f"Rows {first} to {last}," in figure.caption
        on = room.turned if figure.across else room
        height = figure.width_mm * figure.drawing.height / figure.drawing.width
        assert figure.width_mm <= on.width_mm + 1e-6
        assert height <= on.height_mm + 1e-6
    if figures:
        ends = [figure.rows for figure in figures if figure.rows]
        assert ends[0][0] == 1
        assert ends[-1][1] == chart.last_row
        assert all(later[0] == before[1] + 1 for before, later in pairwise(ends))


def test_a_chart_that_is_large_enough_has_no_bands() -> None:
    chart = chart_of("0123 3210 0123 3210")
    assert band_figures(chart, marks_of(chart), PAPERS["a4"].room) == []
    assert band_figures(chart, marks_of(chart), replace(SMALL, width_mm=30)) != []


def test_every_row_of_a_band_is_numbered_where_it_begins() -> None:
    chart = chart_of("\n".join(["01" * 26] * 52))
    figures = band_figures(chart, marks_of(chart), PAPERS["a4"].room)
    assert len(figures) > 1
    assert set.union(*map(numbers_of, figures)) == set(range(1, 104))


def test_marks_alone_are_black_on_white() -> None:
    chart = chart_of("0123 3210 0123 3210")
    for figure in band_figures(chart, marks_of(chart), replace(SMALL, width_mm=30), in_color=False):
        colors = {item.color for item in figure.drawing.items if isinstance(item, Blocks)}
        assert colors == {PAPER}
        assert "in marks" in figure.caption


@given(charts(most_side=20))
def test_the_small_outline_has_every_row(chart: Chart) -> None:
    spans = row_spans(chart)
    counts = [row.blocks for row in chart.layout][: chart.last_row]
    assert [round(b - a, 1) for a, b in spans] == counts
    assert min(a for a, _ in spans) == 0


@pytest.mark.parametrize("page", PAGES)
def test_blocks_are_told_apart_on_every_paper(page: str) -> None:
    """A mark takes four fifths of a block as held: at 2.5 mm it is 2 mm wide."""
    paper = PAPERS[page]  # type: ignore[index]
    assert paper.smallest_block_mm * 0.8 >= 2
    assert paper.small_pt >= 9
    assert paper.room.height_mm > 100
