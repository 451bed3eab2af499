"""The chart on pages."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import chart_of, charts
from PIL import Image

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.source import Place, Source
from pix2block.color.spaces import contrast, from_hex, to_lab
from pix2block.drawing.marks import marks_of
from pix2block.drawing.png import png
from pix2block.drawing.shapes import Blocks, Text
from pix2block.drawing.style import INK, PAPER, mark_on
from pix2block.drawing.svg import svg
from pix2block.ground.settings import PAGES
from pix2block.pages.chart_pages import Figure, Room, band_figures, row_spans, whole_figure
from pix2block.pages.chart_sheet import chart_sheet
from pix2block.pages.paper import PAPERS
from pix2block.yarn.yarn import Yarn

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


@pytest.mark.parametrize("darkest", [0, 40, 120])
def test_a_yarns_blocks_keep_its_lightness(darkest: int) -> None:
    """Of what chart.png shows of a yarn's blocks the mean L* is within 8 of the yarn's."""
    greys = range(darkest, 256, 45)
    yarns = tuple(Yarn(f"Grey {g}", f"#{g:02x}{g:02x}{g:02x}") for g in greys)
    lines = np.repeat(np.arange(len(yarns)), 4)
    chart = Chart("Greys", np.repeat(lines[:, None], 8, axis=1), yarns, len(lines) + 7)
    sheet = chart_sheet(amounts_of(chart))
    pixels = np.asarray(Image.open(io.BytesIO(png(sheet, 1.0))).convert("RGB"))
    for item in sheet.items:
        if not isinstance(item, Blocks) or len(item.centres) < 8:
            continue
        half = item.side / 2
        seen = [
            to_lab(pixels[round(y - half) : round(y + half), round(x - half) : round(x + half)])
            for x, y in item.centres.tolist()
        ]
        own = to_lab(np.array(from_hex(item.color), dtype=np.uint8))[0]
        assert abs(np.concatenate([block[..., 0].ravel() for block in seen]).mean() - own) < 8


@given(st.integers(0, 2**24 - 1))
def test_a_mark_is_told_from_its_yarn_in_its_own_hue(number: int) -> None:
    color = f"#{number:06x}"
    assert contrast(from_hex(mark_on(color)), from_hex(color)) >= 3


def test_marks_cover_little_and_a_large_overview_has_none() -> None:
    small, large = (chart_of("\n".join(["0123" * n] * 4)) for n in (4, 13))
    for chart, marked in ((small, True), (large, False)):
        blocks = [i for i in chart_sheet(amounts_of(chart)).items if isinstance(i, Blocks)]
        assert any(item.mark.darkness for item in blocks) == marked
        for item in blocks[:4]:
            assert item.mark.darkness * item.mark_share**2 <= 0.12 + 1e-9


def test_in_black_ink_a_small_chart_keeps_its_marks() -> None:
    chart = chart_of("\n".join(["0123" * 16] * 64))
    for in_color in (True, False):
        figure = whole_figure(chart, marks_of(chart), PAPERS["phone"].room, True, in_color)
        drawn = [item for item in figure.drawing.items if isinstance(item, Blocks)]
        assert any(item.mark.darkness for item in drawn) != in_color


def test_columns_and_lines_are_counted_beside_the_row_numbers() -> None:
    """From the left and from the top, beyond the row numbers, as in the grid."""
    chart = chart_of("\n".join(["0123" * 3] * 7))
    sheet = chart_sheet(amounts_of(chart))
    blocks = np.concatenate(
        [i.centres for i in sheet.items if isinstance(i, Blocks) and len(i.centres) > 1]
    )
    left, top = blocks.min(axis=0)
    side = (blocks[:, 0].max() - left) / 11
    counts = [i for i in sheet.items if isinstance(i, Text) and i.color != INK]
    columns = {int(i.text): i.x for i in counts if i.anchor == "middle"}
    lines = {int(i.text): i.y for i in counts if i.anchor == "end"}
    assert set(columns) == {1, 5, 10}
    assert set(lines) == {1, 5}
    for number, x in columns.items():
        assert x == pytest.approx(left + (number - 1) * side)
    for number, y in lines.items():
        assert y == pytest.approx(top + (number - 1) * side, abs=6)
    rows = [i for i in sheet.items if isinstance(i, Text) and i.color == INK and i.text.isdigit()]
    assert max(i.y for i in counts if i.anchor == "middle") < min(i.y for i in rows)
    held = chart_sheet(amounts_of(chart), held=True)
    assert not [i for i in held.items if isinstance(i, Text) and i.color != INK]


def test_what_was_minded_leaves_no_outline_on_the_sheet() -> None:
    chart = chart_of("0123 3210")
    place = Place("face", 0.5, 0.5, 2.0, 1.5, 5.0)
    means = np.zeros((2, 4, 3), dtype=np.uint8)
    minded = replace(chart, source=Source("cat.jpg", "0" * 64, means, None, (place,)))
    assert svg(chart_sheet(amounts_of(minded))) == svg(chart_sheet(amounts_of(chart)))
