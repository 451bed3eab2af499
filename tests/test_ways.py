"""The same chart worked other ways."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import skimage
from hypothesis import given, settings
from makers import chart_of, charts, random_blocks
from PIL import Image

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.ground.settings import HABITS, START_CORNERS, Habit, HabitName, StartCorner
from pix2block.options.table import Options
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.from_picture import chart_picture
from pix2block.recipes.outputs import save
from pix2block.reports.tables import ways_csv
from pix2block.reports.ways_words import better_lines, ways_lines
from pix2block.study.study import Study
from pix2block.study.ways import FAR, Better, better_ways, compare_ways, work_out
from pix2block.study.worked import Worked, measured


def not_again(_corner: StartCorner, _habit: Habit) -> Worked | None:
    """As of a chart that cannot be calmed again."""
    return None


def better_of(chart: Chart) -> Better:
    return better_ways(amounts_of(chart), not_again)


def noisy_chart() -> Chart:
    blocks = random_blocks(np.random.default_rng(8), 16, 12, 3)
    return chart_of("\n".join("".join(map(str, line)) for line in blocks.tolist()))


@settings(max_examples=15)
@given(charts())
def test_a_way_is_what_the_chart_so_worked_takes(chart: Chart) -> None:
    for corner in (chart.start_corner,) if chart.ends_early else START_CORNERS:
        way = work_out(measured(amounts_of(chart)), corner, HABITS["carry"])
        amounts = amounts_of(replace(chart, start_corner=corner, habit=HABITS["carry"]))
        assert way.tails == amounts.plan.tails
        assert way.most_hanging == int(amounts.plan.attached_by_row.max())
        assert way.float_sides == pytest.approx(float(amounts.plan.float_sides.sum()))
        assert way.all_hours == pytest.approx(amounts.hours + amounts.weave_in_hours)


def test_every_corner_and_habit_is_compared() -> None:
    chart = noisy_chart()
    told: list[tuple[int, int]] = []
    ways = compare_ways(
        measured(amounts_of(chart)), not_again, lambda done, of: told.append((done, of))
    )
    assert told[-1] == (len(ways), len(ways))
    assert {way.corner for way in ways} == set(START_CORNERS)
    asked = {(way.habit.reach, way.habit.rest) for way in ways}
    assert {(float(r), m) for r in range(1, 7) for m in (1, 2, 3)} <= asked
    by_habit = {
        (way.habit.reach, way.habit.rest): way.tails
        for way in ways
        if way.corner == "bottom-right" and way.habit.edge == 1
    }
    for reach in (2.0, 3.0, 4.0, 5.0, 6.0):  # longer never leaves more
        for rest in (1, 2, 3):
            assert by_habit[reach, rest] <= by_habit[reach - 1, rest]
    assert by_habit[6.0, 3] <= by_habit[6.0, 1]
    table = list(csv.DictReader(io.StringIO(ways_csv(ways))))
    assert [int(line["tails"]) for line in table] == [way.tails for way in ways]
    lines = ways_lines(ways)
    printed = [int(line.split()[0].replace(",", "")) for line in lines[1:-1]]
    assert printed == sorted(printed)
    # Every preset, and of her own limits those that are better in something, each figure once.
    told_words = [" ".join(line.split()[:3]) for line in lines[1:-1] if "at most" in line]
    assert len(set(told_words)) == len(told_words)
    assert len(lines) == 2 + len(told_words) + len(HABITS)
    assert str(min(way.tails for way in ways)) in {words.split()[0] for words in told_words}
    assert not any("reach" in line or "own" in line for line in lines)


def test_a_piece_that_ends_early_keeps_its_corner() -> None:
    chart = chart_of("..01 .010 1010", last_row=4)
    assert {way.corner for way in compare_ways(measured(amounts_of(chart)), not_again)} == {
        "bottom-right"
    }
    assert better_of(chart).corner is None


def test_a_better_corner_is_told() -> None:
    """Diagonal stripes: along the rows from one corner, across them from the next."""
    lines, columns = np.indices((12, 12))
    stripes = ((lines - columns) // 3 % 2).astype(np.int64)
    chart = chart_of("\n".join("".join(map(str, line)) for line in stripes.tolist()))
    better = better_of(chart)
    assert better.corner is not None
    assert better.corner.corner in ("bottom-left", "top-right")
    assert better.corner.tails <= 0.95 * better.now.tails
    assert work_out(better.now, chart.start_corner, HABITS["carry"]).tails < better.now.tails
    assert better.carried is None  # it promises less, and is not made
    (line,) = [line for line in better_lines(better_of(chart)) if "corner " in line]
    assert f"{better.corner.tails:,} tails in place of {better.now.tails:,}" in line
    turned = replace(chart, start_corner=better.corner.corner)
    assert not [line for line in better_lines(better_of(turned)) if "corner " in line]


def test_carrying_is_told_with_its_cost() -> None:
    chart = noisy_chart()
    better: Better = better_of(chart)
    assert better.carried is not None
    assert better.carried.tails < better.now.tails
    assert better.carried.longest_float <= 3
    assert any("habit carry" in line for line in better_lines(better_of(chart)))
    carries = replace(chart, habit=Habit("own", 4, 3, 3))
    assert better_of(carries).carried is None
    assert better_lines(better_of(chart_of("00 00"))) == []


ASKED = Options(width=12, colors=4)


@pytest.fixture(scope="module")
def photo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The cat of scikit-image (CC0), as a file."""
    path = tmp_path_factory.mktemp("ways") / "cat.png"
    Image.fromarray(skimage.data.chelsea()).save(path)
    return path


@pytest.fixture(scope="module")
def study(photo: Path) -> Study:
    """Its chart, whose other ways are worked out once."""
    return chart_picture(photo, ASKED)


def test_what_is_promised_is_what_a_chart_so_asked_for_gives(photo: Path, study: Study) -> None:
    """Tails of another corner and of carrying are those of a chart calmed for them."""
    ways = {(way.corner, way.habit.name): way for way in study.ways if way.calmed}
    assert len(ways) == 4 * 4
    others: tuple[tuple[StartCorner, HabitName], ...] = (
        ("top-left", "pickup"),
        ("bottom-right", "carry"),
    )
    for corner, habit in others:
        asked = replace(ASKED, corner=corner, habit=habit)
        assert ways[corner, habit].tails == chart_picture(photo, asked).plan.tails
    carried = study.better.carried
    assert carried is not None
    assert carried.tails == ways["bottom-right", "carry"].tails
    as_it_is = work_out(measured(study.amounts), "bottom-right", HABITS["carry"])
    assert carried.tails < as_it_is.tails
    assert not as_it_is.calmed


def test_a_kept_chart_promises_the_same(study: Study, tmp_path: Path) -> None:
    save(study, tmp_path, only=["chart.json"])
    again = open_chart(tmp_path / "chart.json")
    assert better_lines(again.better) == better_lines(study.better) != []


def test_ways_say_what_they_are_of(study: Study) -> None:
    table = list(csv.DictReader(io.StringIO(ways_csv(study.ways))))
    calmed = [line for line in table if line["calmed"] == "yes"]
    assert {(line["corner"], line["habit"]) for line in calmed} == {
        (corner, habit) for corner in START_CORNERS for habit in (*HABITS, FAR.name)
    }
    of_this = [line for line in ways_lines(study.ways) if "this very chart" in line]
    assert of_this
    assert all("at most" in line for line in of_this)  # none of a preset


def test_a_chart_changed_by_hand_is_counted_as_it_is(study: Study) -> None:
    chart = study.chart
    blocks = chart.blocks.copy()
    blocks[0, 0] = (blocks[0, 0] + 1) % len(chart.yarns)
    better = Study(replace(chart, blocks=blocks)).better
    assert better.carried is not None
    assert not better.carried.calmed
    assert "this very chart worked so" in "".join(map(str, better_lines(better)))
