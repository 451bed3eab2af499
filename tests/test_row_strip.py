"""Row strips: a row as it lies in the hands."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections import Counter
from dataclasses import replace
from time import process_time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import YARNS, chart_of, charts, random_blocks

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.drawing.marks import marks_of
from pix2block.drawing.shapes import Blocks, Curve, Dots, Drawing, Lines, Shape, Text
from pix2block.drawing.style import INK, NOW, text_width
from pix2block.drawing.svg import elements, svg
from pix2block.drawing.symbols import Symbols
from pix2block.pages.row_strip import (
    A4_MM,
    COUNT,
    DOT,
    LEAD,
    PHONE_MM,
    POINTS_PER_MM,
    TYPE,
    row_strip,
)
from pix2block.pages.strip_lines import IN_SHORT, lay_out
from pix2block.pattern.pattern import PatternRow, write_rows


def rows_of(chart: Chart) -> list[PatternRow]:
    return write_rows(chart, amounts_of(chart).plan)


def places_of(strip: Drawing) -> list[tuple[float, float, str]]:
    """Every drawn block's middle and colour."""
    return [
        (x, y, item.color)
        for item in strip.items
        if isinstance(item, Blocks)
        for x, y in item.centres.tolist()
    ]


def texts_of(strip: Drawing) -> list[str]:
    return [item.text for item in strip.items if isinstance(item, Text)]


def reading_order(strip: Drawing, hand: str) -> list[str]:
    """Colours line by line, the way the hook goes."""
    way = -1 if hand == "right" else 1
    return [color for _, _, color in sorted(places_of(strip), key=lambda p: (p[1], way * p[0]))]


def in_short(row: PatternRow) -> list[int]:
    """Yarns of the blocks that a drawn row shows: two stand for a longer run."""
    return [yarn for blocks, yarn in row.runs for _ in range(min(blocks, IN_SHORT))]


@given(charts())
def test_a_row_shows_its_runs_in_working_order(chart: Chart) -> None:
    """From the right for a right-handed maker, on either side of the piece."""
    for row in rows_of(chart):
        strip = row_strip(chart, row, marks_of(chart))
        assert len({y for _, y, _ in places_of(strip)}) == 1
        expected = [chart.yarns[yarn].color for yarn in in_short(row)]
        assert reading_order(strip, chart.hand) == expected
        steps = np.diff(sorted(x for x, _, _ in places_of(strip)))
        assert (np.abs(steps - steps.mean()) < 0.2).all() if len(steps) else True


@given(charts())
def test_a_join_lies_before_every_drawn_block(chart: Chart) -> None:
    for row in rows_of(chart):
        dots = [i for i in row_strip(chart, row).items if isinstance(i, Dots)]
        drawn = sum(len(item.centres) for item in dots if item.radius == DOT)
        climbed = [item for item in dots if item.radius == 2.6]
        travels, stops = row.row.begins == "travel", row.row.ends == "stop"
        assert drawn == len(in_short(row)) - 1 + travels + stops
        assert len(climbed) == travels


@given(charts(), st.booleans())
def test_rings_stand_where_markers_go_in_and_come_out(chart: Chart, wide: bool) -> None:
    for row in rows_of(chart):
        strip = row_strip(chart, row, width_mm=A4_MM if wide else PHONE_MM)
        rings = [i for i in strip.items if isinstance(i, Curve) and i.color == NOW]
        assert len(rings) == row.row.marker + row.remove_marker


@given(charts(most_side=30), st.sampled_from([PHONE_MM, 100.0, A4_MM]))
def test_everything_lies_on_the_sheet(chart: Chart, width_mm: float) -> None:
    for row in rows_of(chart)[::5]:
        strip = row_strip(chart, row, marks_of(chart), width_mm)
        for item in strip.items:
            if isinstance(item, Text):
                wide = text_width(item.text, item.size, item.bold)
                left = item.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * wide
                assert left >= 0
                assert left + wide <= strip.width
                assert item.size >= 9
                assert TYPE * 0.7 <= item.y <= strip.height
            elif isinstance(item, Blocks):
                reach = item.side * 2**-0.5
                assert (item.centres >= reach - 0.1).all()
                assert (item.centres <= np.array([strip.width, strip.height]) - reach + 0.1).all()
            elif isinstance(item, Lines | Dots):
                points = item.centres if isinstance(item, Dots) else item.segments.reshape(-1, 2)
                assert (points >= 0).all()
                assert (points <= np.array([strip.width, strip.height]) + 0.5).all()


@given(charts(most_side=40), st.sampled_from([PHONE_MM, A4_MM]))
def test_long_rows_keep_every_run_and_its_count(chart: Chart, width_mm: float) -> None:
    for row in rows_of(chart)[::7]:
        strip = row_strip(chart, row, width_mm=width_mm)
        texts = [t for t in strip.items if isinstance(t, Text) and t.anchor == "middle"]
        way = -1 if chart.hand == "right" else 1
        counts = sorted((t for t in texts if t.bold), key=lambda t: (t.y, way * t.x))
        assert [int(t.text) for t in counts] == [blocks for blocks, _ in row.runs]
        assert {t.size for t in counts} == {COUNT}
        told = Counter(t.text for t in texts if not t.bold)
        numbers = [] if row.bobbins_plain else [use.number for use in row.bobbins]
        assert told == Counter(str(n) for n in numbers if n is not None)


def test_each_line_of_several_begins_with_the_number_of_its_row() -> None:
    chart = chart_of("\n".join(["0123" * 20] * 20))
    row = rows_of(chart)[40]
    lines = lay_out(row, int((PHONE_MM * POINTS_PER_MM - LEAD) // 19), 1)
    assert len(lines) > 1
    said = [text for text in texts_of(row_strip(chart, row, width_mm=PHONE_MM)) if text == "41"]
    assert len(said) == len(lines)
    assert "41" not in texts_of(row_strip(chart, row, width_mm=600))


def test_a_long_run_is_two_touching_blocks() -> None:
    chart = chart_of("\n".join(["0" * 90] * 90))
    row = rows_of(chart)[80]
    (line,) = lay_out(row, 19, 1)
    assert [cell.place for cell in line.cells] == [0, 1]
    assert line.gaps == ()
    assert line.counts == ((1.0, 81),)


def test_lines_are_about_as_long_as_each_other() -> None:
    chart = chart_of("\n".join(["0123" * 10] * 10))
    row = rows_of(chart)[9]
    assert len(row.runs) == 10
    assert [line.places for line in lay_out(row, 9, 0)] == [5, 5]


@pytest.mark.parametrize(("hand", "corner"), [("right", "bottom-right"), ("left", "bottom-left")])
def test_the_wedge_points_the_way_the_hook_goes(hand: str, corner: str) -> None:
    chart = chart_of("012 120", hand=hand, start_corner=corner)
    for row in rows_of(chart):
        strip = row_strip(chart, row)
        (wedge,) = (item for item in strip.items if isinstance(item, Shape))
        tip, back = wedge.points[0][0], wedge.points[1][0]
        assert (tip < back) == (hand == "right")
        blocks = [x for x, _, _ in places_of(strip)]
        outside = tip > max(blocks) if hand == "right" else tip < min(blocks)
        assert outside
        assert (wedge.fill == INK) == (row.row.side == "RS")
        assert abs(tip - (strip.width if hand == "right" else 0)) < LEAD


def test_left_is_the_mirror_image_of_right() -> None:
    """The mirrored picture, from the mirrored corner by the other hand, in mirrored strips."""
    right = chart_of("01232 12303 23012")
    left = replace(right, blocks=right.blocks[:, ::-1], start_corner="bottom-left", hand="left")
    for one, other in zip(rows_of(right), rows_of(left), strict=True):
        a, b = row_strip(right, one), row_strip(left, other)
        for (x, y, color), (u, v, same) in zip(places_of(a), places_of(b), strict=True):
            assert a.width - x == pytest.approx(u, abs=0.15)
            assert (y, color) == (v, same)
        assert texts_of(a) == texts_of(b)


def test_black_and_white_has_no_yarn_colour() -> None:
    chart = chart_of("0123 1230 2301 0021")
    for row in rows_of(chart):
        text = svg(row_strip(chart, row, marks_of(chart), colored=False))
        for yarn in YARNS:
            assert yarn.color not in text
        assert NOW in text or not (row.row.marker or row.remove_marker)


def test_many_strips_can_share_a_page() -> None:
    """With one set of symbols, an id stands for the same outline in every drawing."""
    chart = chart_of("0123 1230 2301 0021")
    marks, symbols = marks_of(chart), Symbols()
    parts = [
        part
        for row in rows_of(chart)
        for width in (PHONE_MM, A4_MM)
        for part in elements(row_strip(chart, row, marks, width), symbols)
    ]
    root = ET.fromstring(f"<svg>{''.join([*symbols.defined(), *parts])}</svg>")
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids)) >= 3
    used = {(use.get("href") or "").removeprefix("#") for use in root.iter("use")}
    assert used == set(ids)


def test_the_label_tells_the_row() -> None:
    chart = chart_of("01 10")
    label = row_strip(chart, rows_of(chart)[1]).label
    assert label == "Row 2, wrong side facing, from right to left: 2 Chalk"


def test_strips_of_a_big_chart_are_small_and_quick() -> None:
    """Noise of 100 x 75 blocks, the worst there is; measured: 0.12 s of one core."""
    rng = np.random.default_rng(7)
    chart = Chart("Big", random_blocks(rng, 100, 75, 4), YARNS, last_row=174)
    rows, marks = rows_of(chart), marks_of(chart)
    begin = process_time()
    sizes = [len(svg(row_strip(chart, row, marks))) for row in rows]
    assert process_time() - begin < 1.5
    drawn = [sum(min(blocks, IN_SHORT) for blocks, _ in row.runs) for row in rows]
    for size, blocks in zip(sizes, drawn, strict=True):
        assert size < 3000 + 600 * min(blocks, 18) + 300 * blocks
