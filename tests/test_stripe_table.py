"""A striped piece as a table, and its fabric."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import chart_of
from PIL import Image
from pypdf import PdfReader

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.ground.settings import HABITS
from pix2block.pages.paper import PAPERS
from pix2block.pages.pattern_pictures import PatternPictures
from pix2block.pages.pdf import set_pdf
from pix2block.pages.preview import as_worn, fabric
from pix2block.pattern.document import RowEntries, RowEntry
from pix2block.pattern.pattern import write_rows
from pix2block.pattern.row_units import turn_words
from pix2block.pattern.stripe_table import StripeLine, is_striped, stripe_table, turn_note
from pix2block.pattern.writing import write_document
from pix2block.yarn.yarn import Yarn

YARNS = (Yarn("Chalk", "#f3efe6"), Yarn("Slate", "#6a7278"), Yarn("Deep Channel", "#24374a"))


def striped(
    colors: list[int], width: int, height: int, last_row: int | None = None, **settings: Any
) -> Chart:
    """Row n in the yarn colors[n - 1], and so on from the beginning."""
    chart = Chart("Stripes", np.zeros((height, width), int), YARNS, width + height - 1)
    number = chart.layout.row_numbers() - 1
    last = last_row or width + height - 1
    blocks = np.array(colors)[number % len(colors)]
    blocks[number >= last] = -1
    return Chart("Stripes", blocks, YARNS, last, **settings)


def table_of(chart: Chart) -> list[StripeLine]:
    document = write_document(amounts_of(chart))
    parts = [part for section in document.sections for part in section.parts]
    (entries,) = (part for part in parts if isinstance(part, RowEntries))
    return stripe_table(entries, [yarn.name for yarn in chart.yarns])


@given(
    st.lists(st.integers(0, 2), min_size=2, max_size=9),
    st.integers(1, 9),
    st.integers(1, 9),
    st.sampled_from(["cut", "pickup", "carry"]),
    st.sampled_from(["early", "late"]),
)
def test_every_row_is_in_one_line_with_its_yarn_and_blocks(
    colors: list[int], width: int, height: int, habit: str, turn: str
) -> None:
    chart = striped(colors, width, height, habit=HABITS[habit], turn=turn)
    lines = table_of(chart)
    told = [n for line in lines for n in range(line.rows[0], line.rows[1] + 1)]
    assert told == list(range(1, chart.last_row + 1))
    for line in lines:
        first, last = (chart.layout.rows[n - 1] for n in line.rows)
        rows = range(line.rows[0], line.rows[1] + 1)
        assert {colors[(n - 1) % len(colors)] for n in rows} == {line.yarn}
        counts = [int(word) for word in line.blocks.split(" to ")]
        assert (counts[0], counts[-1]) == (first.blocks, last.blocks)
        assert max(counts) == max(chart.layout.rows[n - 1].blocks for n in rows)
    of_bands = [line.band for line in lines if line.band]
    assert of_bands[0].startswith("Row")


def test_two_rows_of_each_leave_and_take_up_their_yarn_at_one_edge() -> None:
    lines = table_of(striped([0, 0, 1, 1], 4, 9, habit=HABITS["carry"]))
    assert lines[0].begins == "new"
    assert [line.begins for line in lines[1:4]] == ["new", "behind 2.0", "behind 2.0"]
    assert [line.ends for line in lines[:-2]] == [""] * (len(lines) - 2)
    assert [line.ends for line in lines[-2:]] == ["last"] * 2
    assert all(line.way[0] == line.way[1] for line in lines[:2])
    assert {line.bobbin for line in lines} == {""}
    cut = table_of(striped([0, 0, 1, 1], 4, 9, habit=HABITS["cut"]))
    assert {(line.begins, line.ends) for line in cut[:-1]} == {("new", "last")}


def test_what_is_cut_before_a_row_begins_a_line_of_its_own() -> None:
    chart = striped([0, 0, 0, 1], 4, 9)
    rows = write_rows(chart, amounts_of(chart).plan)
    rows[1] = replace(rows[1], cuts=((2, 2),))
    entries = RowEntries("", tuple(RowEntry((row,), "", ()) for row in rows))
    lines = stripe_table(entries, [yarn.name for yarn in YARNS])
    assert [line.rows for line in lines[:3]] == [(1, 1), (2, 3), (4, 4)]
    assert lines[1].begins == "cut Deep Channel #2"
    assert turn_words(rows[1], [yarn.name for yarn in YARNS]) == ["First cut Deep Channel #2."]


def test_only_rows_of_one_yarn_are_stripes() -> None:
    assert is_striped(striped([0, 1], 3, 4))
    assert not is_striped(chart_of("01 10 11"))
    assert not is_striped(chart_of("00 00"))


def test_early_and_late_are_told_once() -> None:
    assert "early" in turn_note(striped([0, 1], 3, 4, turn="early"))
    assert "late" in turn_note(striped([0, 1], 3, 4, turn="late"))


@pytest.mark.parametrize("page", ["a4", "phone"])
def test_stripes_on_paper_are_a_table(page: str) -> None:
    chart = striped([0, 0, 1, 1, 2], 5, 40)
    document = write_document(amounts_of(chart))
    pdf = set_pdf(document, PatternPictures(chart), PAPERS[page])  # type: ignore[index]
    text = " ".join(" ".join(p.extract_text() for p in PdfReader(io.BytesIO(pdf)).pages).split())
    lines = table_of(chart)
    assert len(lines) == 26
    for line in lines:
        first, last = line.rows
        rows = f"{first}\u2013{last}" if last > first else f"{first}"
        blocks = f"{line.blocks} " if page == "a4" else f"{line.blocks} blocks, "
        if line.blocks == "1":
            blocks = blocks.replace("blocks", "block")
        assert f"{rows} {YARNS[line.yarn].name} {blocks}{line.begins}" in text
    assert "The chart" not in text


def test_a_triangle_is_shown_as_worn() -> None:
    chart = striped([0, 1, 2], 9, 9, last_row=9)
    worn = as_worn(fabric(chart, pixels=10), chart)
    height, width, _ = worn.shape
    assert width == pytest.approx(9 * 10 * 2**0.5, abs=2)
    assert height == pytest.approx(10 * 10 / 2**0.5, abs=2)
    paper = worn[-1, 0]
    assert (worn[-1, -1] == paper).all()
    assert (worn[2, width // 2] != paper).any()  # the last row is on top
    whole = striped([0, 1, 2], 9, 9)
    assert as_worn(fabric(whole, pixels=10), whole).shape == (90, 90, 3)
    shown = PatternPictures(chart).fabric
    with Image.open(io.BytesIO(shown.data)) as image:
        assert image.size == (shown.width, shown.height)
        assert image.width > 1.7 * image.height
