"""Sheets and tables."""

from __future__ import annotations

import csv
import io
import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from makers import YARNS, chart_of, charts
from PIL import Image

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.source import Source
from pix2block.color.spaces import contrast, from_hex
from pix2block.drawing.marks import BLANK, marks_for
from pix2block.drawing.png import LONGEST, MOST_PIXELS, png
from pix2block.drawing.shapes import Blocks, Drawing, Lines, Shape, Stamps, Text
from pix2block.drawing.style import INK, PAPER, ink_on
from pix2block.drawing.svg import svg
from pix2block.drawing.svg_blocks import blocks
from pix2block.drawing.symbols import Symbols
from pix2block.drawing.views import SMALLEST_BLOCK, held_view, png_scale
from pix2block.ground.settings import HABITS, START_CORNERS
from pix2block.pages.chart_sheet import chart_sheet, float_items
from pix2block.reports.tables import rows_csv, strands_csv, yarn_csv
from pix2block.reports.words import piece_lines, size_advice
from pix2block.study.study import Study

SVG = "{http://www.w3.org/2000/svg}"


def numbers_on(sheet: Drawing) -> dict[int, Text]:
    """Of rows: those of columns and lines are lighter."""
    texts = [i for i in sheet.items if isinstance(i, Text) and i.color == INK]
    return {int(i.text): i for i in texts if i.text.isdigit()}


def blocks_on(sheet: Drawing) -> list[Blocks]:
    """The blocks of the chart; the key then shows each yarn once more."""
    items = [item for item in sheet.items if isinstance(item, Blocks)]
    return items[: len(items) // 2]


@given(charts())
@settings(max_examples=25)
def test_every_row_has_its_number_outside_its_first_block(chart: Chart) -> None:
    for held in (False, True):
        sheet = chart_sheet(amounts_of(chart), held=held)
        numbers = numbers_on(sheet)
        assert sorted(numbers) == list(range(1, chart.last_row + 1))
        drawn = np.concatenate([item.centres for item in blocks_on(sheet)])
        assert len(drawn) == int((chart.blocks >= 0).sum())
        low, high = drawn.min(axis=0), drawn.max(axis=0)
        for text in numbers.values():
            outside = (text.x, text.y) < tuple(low) or (text.x, text.y) > tuple(high)
            inside_box = low[0] < text.x < high[0] and low[1] < text.y < high[1]
            assert held or (outside or not inside_box)
        wedges = {"full": 0, "open": 0}
        for item in sheet.items:
            if isinstance(item, Stamps):
                (wedge,) = item.items
                assert isinstance(wedge, Shape)
                wedges["full" if wedge.fill == INK else "open"] += len(item.places)
        odd = (chart.last_row + 1) // 2
        assert wedges == {"full": odd, "open": chart.last_row - odd}


@pytest.mark.parametrize("corner", START_CORNERS)
@pytest.mark.parametrize("hand", ["right", "left"])
def test_held_rows_lie_level_with_the_start_corner_down(corner: str, hand: str) -> None:
    """A right-handed maker's right-side rows run from right to left as the piece is held."""
    chart = chart_of("0123 1230 2301", start_corner=corner, hand=hand)
    view = held_view(chart)
    lines, columns, row_of = chart.layout.order
    places = view.place(np.stack([columns + 0.5, lines + 0.5], axis=1))
    for row in chart.layout:
        of_row = places[row_of == row.number]
        assert np.allclose(of_row[:, 1], of_row[0, 1])
        runs_left = (hand == "right") == (row.side == "RS")
        steps = np.diff(of_row[:, 0])
        assert (steps < 0).all() if runs_left else (steps > 0).all()
    levels = [places[row_of == n][0, 1] for n in range(1, chart.last_row + 1)]
    assert all(a > b for a, b in pairwise(levels))
    # Turned, never mirrored: the corner (column, line) axes keep their handedness.
    assert np.linalg.det(view.matrix) > 0


@given(charts(habit=HABITS["carry"]))
@settings(max_examples=25)
def test_floats_lie_from_where_yarn_leaves_to_where_it_enters(chart: Chart) -> None:
    """As long as the plan says, each end a corner of the run's last or first block (or, into a
    row's first block, of the last block of the row before)."""
    plan = amounts_of(chart).plan
    view = held_view(chart)
    ground, yarn = (item for item in float_items(chart, plan, view) if isinstance(item, Lines))
    assert (ground.segments == yarn.segments).all()
    assert contrast(from_hex(ground.color), from_hex(yarn.color)) > 7
    assert yarn.dash > 0
    assert len(yarn.segments) == plan.floats
    long = np.hypot(*(yarn.segments[:, 2:] - yarn.segments[:, :2]).T) / view.block
    assert long == pytest.approx(plan.float_sides[plan.float_squares > 0])
    lines, columns, _ = chart.layout.order
    centres = view.place(np.stack([columns + 0.5, lines + 0.5], axis=1))
    to = np.flatnonzero(plan.float_squares)
    runs = chart.runs
    last_block = runs.starts + runs.blocks - 1
    begins = runs.number[to] == 1
    entered = np.where(begins, last_block[to - 1], runs.starts[to])
    for block, ends in (
        (last_block[plan.preceding[to]], yarn.segments[:, :2]),
        (
            entered,
            yarn.segments[:, 2:],
        ),
    ):
        away = np.hypot(*(centres[block] - ends).T) / view.block
        assert away == pytest.approx(np.full(len(to), 0.5**0.5))


def test_floats_are_drawn_on_request_with_a_line_in_the_key() -> None:
    amounts = amounts_of(chart_of("0101 1010 0110", habit=HABITS["carry"]))
    assert amounts.plan.floats
    plain, drawn = (svg(chart_sheet(amounts, True, floats)) for floats in (False, True))
    assert "stroke-dasharray" not in plain
    assert drawn.count("stroke-dasharray") == 2  # the floats, and the line in the key
    assert "yarn that lies behind" in drawn
    assert "lies behind" not in plain


def test_dashes_in_pixels() -> None:
    line = Lines(np.array([[2.0, 5.0, 32.0, 5.0]]), 2.0, INK, dash=6.0)
    image = Image.open(io.BytesIO(png(Drawing(40, 10, "A line", (line,)), 4))).convert("RGB")
    assert [image.getpixel((4 * x, 20)) == from_hex(INK) for x in (5, 11, 17, 23, 29)] == [
        *(True, False, True, False, True)
    ]


@given(charts(most_side=12), st.booleans())
@settings(max_examples=40)
def test_runs_of_blocks_cover_what_each_block_covers(chart: Chart, held: bool) -> None:
    """Rectangles of runs and symbols of many marks, taken apart again, are the blocks."""
    sheet = chart_sheet(amounts_of(chart), held)
    for item in blocks_on(sheet):
        symbols = Symbols()
        (frame,) = ET.fromstring(f"<svg>{''.join(blocks(item, symbols))}</svg>")
        x, y, turn, side = numbers_in(frame.get("transform", ""), item.turn)
        assert (turn, side) == pytest.approx((item.turn, item.side))
        path = frame.find("path")
        assert path is not None
        covered = {
            (column + i, line)
            for column, line, count in rectangles(path.get("d", ""))
            for i in range(count)
        }
        cos, sin = np.cos(np.radians(turn)) * side, np.sin(np.radians(turn)) * side
        places = np.array(sorted(covered)) + 0.5
        centres = places @ np.array([[cos, sin], [-sin, cos]]) + (x, y)
        apart = np.hypot(*(centres[:, None] - item.centres[None]).transpose(2, 0, 1))
        assert len(covered) == len(item.centres)
        assert (apart.min(axis=0) < 0.05).all()
        if item.mark.outlines:
            defined = ET.fromstring(f"<svg>{''.join(symbols.defined())}</svg>")
            symbol = {e.get("id"): e for e in defined.iter() if e.get("id")}
            marked = [place for use in frame.iter("use") for place in leaves(use, symbol)]
            assert sorted(marked) == sorted(covered)


def numbers_in(transform: str, turn: float) -> list[float]:
    numbers = [float(n) for n in re.findall(r"-?[\d.]+", transform)]
    return numbers if turn else [*numbers[:2], 0, *numbers[2:]]


def leaves(use: ET.Element, symbol: dict[str | None, ET.Element]) -> list[tuple[float, float]]:
    """Where the marks of a use lie."""
    x, y = (float(use.get(axis, 0)) for axis in "xy")
    target = symbol[use.get("href", "").removeprefix("#")]
    if target.tag == "path":
        return [(x, y)]
    return [(x + a, y + b) for inner in target for a, b in leaves(inner, symbol)]


def rectangles(path: str) -> list[tuple[int, int, int]]:
    """Column, line and length of every run of a path."""
    found = re.findall(r"M(-?\d+) (-?\d+)h(\d+)v1h-\3z", path)
    assert "".join(f"M{x} {y}h{n}v1h-{n}z" for x, y, n in found) == path
    return [(int(x), int(y), int(n)) for x, y, n in found]


def test_held_charts_have_one_hairline_between_blocks() -> None:
    """Across the middle of a side that two blocks of one yarn share, ink lies once."""
    chart = chart_of("\n".join(["0" * 6] * 6))
    sheet = chart_sheet(amounts_of(chart), held=True)
    item = blocks_on(sheet)[0]
    scale = 5.0
    image = np.asarray(Image.open(io.BytesIO(png(sheet, scale))).convert("L"), dtype=float)
    centre = item.centres[len(item.centres) // 2]
    reach = item.side / 2**0.5
    line = [
        image[round((centre[1] - reach * t) * scale), round((centre[0] + reach * t) * scale)]
        for t in np.linspace(0.3, 0.7, 200)
    ]
    dark = np.array(line) < (min(line) + max(line)) / 2
    assert int((np.diff(dark.astype(int)) == 1).sum()) == 1


def test_a_png_has_at_most_its_pixels_and_every_block_whole_ones(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for wide, high in ((3, 2), (60, 75), (300, 300), (1000, 1000), (30, 1000)):
        blocks = np.zeros((high, wide), dtype=np.int64)
        chart = Chart("Large", blocks, YARNS, wide + high - 1)
        sheet = chart_sheet(amounts_of(chart))
        scale = png_scale(chart)
        assert sheet.width * scale * sheet.height * scale <= MOST_PIXELS
        assert max(sheet.width, sheet.height) * scale <= LONGEST
        assert (scale * SMALLEST_BLOCK) % 1 == 0
        assert scale * SMALLEST_BLOCK >= 3
    monkeypatch.setattr("pix2block.drawing.png.MOST_PIXELS", MOST_PIXELS // 100)
    drawing = Drawing(400, 100, "Large", (Text(10, 10, "x", 10),))
    with Image.open(io.BytesIO(png(drawing, 20))) as image:
        assert MOST_PIXELS // 100 * 0.99 < image.width * image.height <= MOST_PIXELS // 100


def test_blocks_of_one_kind_are_the_same_pixels_wherever_they_lie() -> None:
    """They lie on whole pixels, and nothing is stretched."""
    chart = chart_of("\n".join(["01" * 20] * 30))
    sheet = chart_sheet(amounts_of(chart))
    scale = png_scale(chart)
    image = np.asarray(Image.open(io.BytesIO(png(sheet, scale))).convert("RGB"))
    inner = round(sheet_side(sheet) * scale / 2) - 4
    for item in blocks_on(sheet):
        tiles = {
            image[y - inner : y + inner, x - inner : x + inner].tobytes()
            for x, y in (item.centres * scale).round().astype(int).tolist()
        }
        assert len(tiles) == 1


def sheet_side(sheet: Drawing) -> float:
    return blocks_on(sheet)[0].side


def test_chart_svg_is_well_formed_and_escapes_names() -> None:
    chart = chart_of("01 10", title='Tea <& "cake"')
    root = ET.fromstring(svg(chart_sheet(amounts_of(chart))))
    texts = [element.text for element in root.iter(f"{SVG}text")]
    assert 'Tea <& "cake"' in texts
    assert "Moss" in texts
    assert root.get("role") == "img"
    title = root.find(f"{SVG}title")
    assert title is not None
    assert "2 x 2 blocks" in (title.text or "")


def test_chart_png_shows_each_block_in_its_place() -> None:
    chart = chart_of("0123 3210")
    sheet = chart_sheet(amounts_of(chart))
    image = Image.open(io.BytesIO(png(sheet, 1.4))).convert("RGB")
    assert image.size == (int(sheet.width * 1.4), int(sheet.height * 1.4))
    items = {item.color: item for item in blocks_on(sheet)}
    for yarn in YARNS:
        for x, y in items[yarn.color].centres:
            corner = (round((x - 18) * 1.4), round((y - 18) * 1.4))  # beside the mark
            assert image.getpixel(corner) == from_hex(yarn.color)


def test_marks_stand_out_and_the_darkest_yarn_has_the_heaviest() -> None:
    for count in (1, 2, 8, 24, 60, 200):
        greys = [round(255 * i / max(1, count - 1)) for i in range(count)]
        marks = marks_for([f"#{g:02x}{g:02x}{g:02x}" for g in greys])
        assert len({mark.name for mark in marks}) == count
        assert marks[-1] == BLANK
        darkness = [mark.darkness for mark in marks]
        assert darkness == sorted(darkness, reverse=True)


def test_ink_or_paper_contrasts_with_every_colour() -> None:
    """WCAG 2.2, success criterion 1.4.11: parts of graphics 3 : 1."""
    for red in range(0, 256, 15):
        for green in range(0, 256, 15):
            for blue in range(0, 256, 51):
                color = f"#{red:02x}{green:02x}{blue:02x}"
                assert contrast(from_hex(ink_on(color)), from_hex(color)) >= 3
    assert contrast(from_hex(INK), from_hex(PAPER)) >= 7


def table(text: str) -> list[dict[str, str]]:
    assert "\r" not in text
    return list(csv.DictReader(io.StringIO(text)))


@given(charts())
@settings(max_examples=25)
def test_tables_agree_with_each_other(chart: Chart) -> None:
    amounts = amounts_of(chart)
    rows, strands = table(rows_csv(amounts)), table(strands_csv(amounts))
    yarns = table(yarn_csv(amounts))
    assert [int(r["row"]) for r in rows] == list(range(1, chart.last_row + 1))
    assert sum(int(r["tails"]) for r in rows) == 2 * len(strands)
    assert sum(int(y["tails"]) for y in yarns) == 2 * len(strands)
    assert int(rows[-1]["blocks_so_far"]) == sum(int(y["blocks"]) for y in yarns)
    assert sum(int(s["loops"]) for s in strands) == sum(int(y["loops"]) for y in yarns)
    # Each run's strand names that run in its path.
    paths = {s["strand"]: s["path"].split() for s in strands}
    for row in rows:
        for place, strand in enumerate(row["strands"].split(" | "), 1):
            assert f"{row['row']}.{place}" in paths[strand]
    for line in strands:  # in words, which a spreadsheet cannot take for a number
        assert line["places"].replace("run ", "").replace(";", "") == line["path"]
        assert line["places"].startswith("run ")
    for line in strands:
        first, last = line["path"].split()[0], line["path"].split()[-1]
        ends = (line["first_row"], line["last_row"])
        assert (first.split(".")[0], last.split(".")[0]) == ends
    # Joins of a yarn whose skein is unknown are unknown, and so is every total that needs them.
    unknown = {y["yarn"] for y in yarns if y["joins"] == ""}
    assert unknown == {
        yarn.name
        for yarn, count in zip(chart.yarns, chart.blocks_by_yarn, strict=True)
        if yarn.metres is None and count
    }
    for line in strands:
        assert (line["joins"] == "") == (line["yarn"] in unknown)
    for row in rows:
        names = {run.split(" ", 1)[1] for run in row["runs"].split(" | ")}
        assert (row["joins"] == "") == bool(names & unknown)


def test_summary_for_people() -> None:
    amounts = amounts_of(chart_of("0123 3210 0011"))
    first, *rest = piece_lines(amounts)
    assert first.startswith("Test piece: 8 × 6 cm (3 × 2 in), 4 × 3 blocks")
    text = "\n".join(rest)
    for word in ("6 diagonal rows", "12 blocks", "tails to weave in", "yarns hanging", "skein"):
        assert word in text


def test_a_large_piece_gets_friendly_advice() -> None:
    def advice(blocks: int) -> str | None:
        means = np.zeros((1, blocks, 3), dtype=np.uint8)
        return size_advice(Study(chart_of("0" * blocks, source=Source("a.png", "0" * 64, means))))

    assert advice(110) == "The longer side would be 2.2 m: width 75 gives about 1.5 m."
    assert advice(100) is None
    assert size_advice(Study(chart_of("0" * 110))) is None  # no picture whose width could be asked
