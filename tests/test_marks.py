"""Marks: given once, kept in the chart, and fitting for yarns that come later."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import chart_of, charts
from small import small_sample

import pix2block
from pix2block.chart.chart import Chart
from pix2block.chart.reading import read_chart, write_chart
from pix2block.chart.yarn_order import with_yarns
from pix2block.color.spaces import from_hex, relative_luminance
from pix2block.command.cli import run
from pix2block.drawing.marks import BLANK, marks_for, marks_of, with_marks
from pix2block.ground.errors import BadInput
from pix2block.yarn.yarn import Yarn

SAMPLES = Path(__file__).parent.parent / "sample_images"
GREYS = tuple(Yarn(f"Grey {g}", f"#{g:02x}{g:02x}{g:02x}") for g in range(20, 240, 20))


def greys(*numbers: int) -> Chart:
    """A row of blocks, one of each of these greys; higher numbers are lighter."""
    return Chart("Greys", np.array([numbers], dtype=np.int64), GREYS, len(numbers))


def names_of(chart: Chart) -> dict[str, str]:
    return {chart.yarns[i].name: mark.name for i, mark in marks_of(chart).items()}


def test_the_first_marks_are_those_of_all_used_yarns() -> None:
    chart = greys(0, 3, 5)
    expected = marks_for([GREYS[i].color for i in (0, 3, 5)])
    assert list(marks_of(chart).values()) == expected
    assert list((with_marks(chart).marks or {}).values()) == [mark.name for mark in expected]


def test_a_yarn_whose_last_block_goes_leaves_the_others_their_marks() -> None:
    chart = with_marks(greys(0, 2, 4, 6, 8))
    before = names_of(chart)
    for gone in (0, 2, 4, 6, 8):
        blocks = np.where(chart.blocks == gone, 4 if gone == 0 else 0, chart.blocks)
        after = with_marks(replace(chart, blocks=blocks))
        assert names_of(after) == {n: m for n, m in before.items() if n != GREYS[gone].name}
        assert with_marks(replace(after, blocks=chart.blocks)).marks == chart.marks  # it comes back


@given(st.permutations(range(len(GREYS))), st.integers(1, 9))
def test_yarns_that_come_later_get_free_marks(order: list[int], first: int) -> None:
    chart = with_marks(greys(*order[:first]))
    after = with_marks(greys(*order))
    after = with_marks(replace(after, marks=chart.marks))
    names = names_of(after)
    assert len(set(names.values())) == len(GREYS)
    assert names_of(chart).items() <= names.items()


@given(st.sets(st.integers(0, len(GREYS) - 1), min_size=3), st.data())
def test_a_later_mark_fits_between_its_neighbours(numbers: set[int], data: st.DataObject) -> None:
    """Of those that are free, none is nearer to being as heavy as its yarn's darkness asks for."""
    new = data.draw(st.sampled_from(sorted(numbers)))
    kept = with_marks(greys(*(numbers - {new})))
    marks = marks_of(replace(greys(*numbers), marks=kept.marks))
    lighter = max((m.darkness for i, m in marks.items() if i > new), default=0.0)
    darker = min((m.darkness for i, m in marks.items() if i < new), default=4.0)
    every = {mark.name: mark for mark in marks_for([GREYS[0].color] * 41)}
    free = [m for name, m in every.items() if name not in {m.name for m in marks_of(kept).values()}]
    assert any(lighter <= mark.darkness <= darker for mark in free) == (
        lighter <= marks[new].darkness <= darker
    )


def test_a_new_lightest_yarn_is_blank_only_where_no_other_is() -> None:
    chart = with_marks(greys(0, 3))
    assert names_of(replace(greys(0, 3, 9), marks=chart.marks))["Grey 200"] != BLANK.name
    unused = replace(with_marks(greys(0, 3, 9)), blocks=np.array([[0, 3, 0]]))
    freed = with_marks(with_yarns(unused, GREYS[:9]))
    assert marks_of(replace(freed, blocks=np.array([[0, 3, 8]])))[8] == BLANK


def test_inks_come_in_steps_that_a_photocopy_keeps() -> None:
    """Neighbours in darkness differ by a factor of 1.5 in inked area, as far as steps reach."""
    for count in range(2, 10):
        colors = [f"#{g:02x}{g:02x}{g:02x}" for g in np.linspace(0, 255, count).astype(int)]
        marks = marks_for(colors)
        assert marks[-1] == BLANK
        areas = [mark.darkness for mark in marks[:-1]]
        assert all(dark >= 1.499 * light for dark, light in pairwise(areas))
        assert marks[0].name == "full square"


def test_a_dark_yarn_is_heavy_and_a_light_one_light_whatever_stands_beside() -> None:
    heavy, blank = marks_for(["#101010", "#ffffff"])
    light, _ = marks_for(["#e0e0e0", "#ffffff"])
    assert (heavy.name, light.name, blank) == ("full square", "point", BLANK)


def test_beyond_the_single_marks_there_are_pairs() -> None:
    yarns = tuple(Yarn(f"Grey {g}", f"#{g:02x}{g:02x}{g:02x}") for g in range(60))
    blocks = np.arange(60).reshape(6, 10)
    few = Chart("Few", np.minimum(blocks, 47), yarns, 15)
    chart = with_marks(few)
    after = with_marks(replace(chart, blocks=blocks))
    assert chart.marks
    assert after.marks
    assert any(", " in mark for mark in chart.marks.values())
    assert chart.marks.items() <= after.marks.items()
    assert len(set(after.marks.values())) == 60
    again, _ = read_chart(write_chart(after), "chart.json")
    assert marks_of(again) == marks_of(after)


@given(charts())
def test_the_file_keeps_marks(chart: Chart) -> None:
    again, _ = read_chart(write_chart(with_marks(chart)), "chart.json")
    assert names_of(again) == names_of(chart)
    assert write_chart(with_marks(again)) == write_chart(again)


def test_a_mark_stays_whatever_its_yarn_looks_like() -> None:
    chart = with_marks(chart_of("01 23"))
    recolored = [replace(yarn, color=f"#{40 * i:02x}0000") for i, yarn in enumerate(chart.yarns)]
    assert names_of(replace(chart, yarns=tuple(recolored))) == names_of(chart)


def test_marks_that_cannot_be() -> None:
    chart = with_marks(chart_of("01 23"))
    with pytest.raises(BadInput, match=r'"rign".*"ring"'):
        marks_of(replace(chart, marks={"Moss": "rign"}))
    with pytest.raises(BadInput, match="full dot, blank"):
        marks_of(replace(chart, marks={"Moss": "full dot, blank"}))
    with pytest.raises(BadInput, match='Moss and Chalk have the same mark, "ring"'):
        with_marks(replace(chart, marks={"Moss": "ring", "Chalk": "ring"}))


@pytest.mark.usefixtures("few_files")
def test_reports_keep_marks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["chart", str(small_sample("club_badge.png")), "--width", "16", "--colors", "4"]
    extras = ["--without", "proof,pdf,preview", "--out", str(tmp_path)]
    assert run([*words, *extras]) == 0
    place = tmp_path / "chart.json"
    kept = json.loads(place.read_text())
    light = [relative_luminance(from_hex(yarn["color"])) for yarn in kept["yarns"]]
    blank = kept["yarns"][int(np.argmax(light))]["name"]
    assert kept["marks"][blank] == "blank"
    # The lightest yarn's blocks become another's: no other yarn is now left blank.
    number = int(np.argmax(light))
    kept["blocks"] = [[(n + 1) % 4 if n == number else n for n in line] for line in kept["blocks"]]
    place.write_text(json.dumps(kept))
    assert run(["report", str(place), *extras]) == 0
    after = json.loads(place.read_text())
    assert after["marks"] == kept["marks"]
    chart = pix2block.open_chart(place).chart
    assert "blank" not in names_of(chart).values()
    # A mark of a yarn that is not in the list says nothing; one that is not known is named.
    place.write_text(json.dumps({**after, "marks": {**after["marks"], "Nobody": "ring"}}))
    assert names_of(pix2block.open_chart(place).chart) == names_of(chart)
    place.write_text(json.dumps({**after, "marks": {blank: "rign"}}))
    capsys.readouterr()
    assert run(["report", str(place), *extras]) == 2
    error = capsys.readouterr().err
    assert error.count("\n") == 1
    assert "chart.json" in error
    assert "marks" in error
    assert '"rign"' in error
