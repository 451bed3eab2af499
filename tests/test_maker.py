"""The maker's own defaults: what is read, and what goes before them."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from small import small_sample

from pix2block.command.cli import run
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import HABITS, Pace
from pix2block.options.maker import NOBODY, open_maker, read_maker
from pix2block.options.table import Options
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.from_picture import chart_picture

BADGE = small_sample("club_badge.png")
pytestmark = pytest.mark.usefixtures("few_files")
TEXT = """\
hand = "left"
terms = "uk"
pace = [1, 0.5, 3]
tail = 12
habit = "carry"
hook = 5.5
currency = "EUR"
hour = 12.5
"""


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "maker.toml"
    path.write_text(TEXT, encoding="utf-8")
    return str(path)


def test_everything_is_read(file: str) -> None:
    maker = open_maker(file)
    expected = Options(hand="left", terms="uk", pace=Pace(1, 0.5, 3), tail=12.0, habit="carry")
    assert maker.defaults == expected
    assert (maker.hook_mm, maker.money.currency, maker.money.hour) == (5.5, "EUR", 12.5)
    assert open_maker(None) == NOBODY
    assert read_maker('pace = "1,0.5,3"', "m").defaults.pace == Pace(1, 0.5, 3)
    assert read_maker("", "m") == NOBODY
    commas = 'pace = "1; 0,5; 3"\ntail = "12,5"\nhook = "5,5"\nhour = "12,5"'
    maker = read_maker(commas, "m")
    assert (maker.defaults.pace, maker.defaults.tail) == (Pace(1, 0.5, 3), 12.5)
    assert (maker.hook_mm, maker.money.hour) == (5.5, 12.5)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ('hand = "both"', 'hand unknown word "both"'),
        ("hnad = 1", 'unknown key "hnad": did you mean "hand"?'),
        ("pace = [1, 2]", 'pace "1,2": write three numbers'),
        ("tail = 200", 'tail "200": write a number from 0 to 100'),
        ("hook = 0", 'hook "0": write a number from 0.5 to 50'),
        ("hour = true", 'hour "True": write a number'),
        ("hour = -1", 'hour "-1": write a number'),
        ('currency = ""', "currency"),
        ('currency = "a long word indeed"', "write a short word"),
        ("hand = left", "write lines as"),
    ],
)
def test_what_is_refused(text: str, reason: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_maker(text, "mine.toml")
    assert str(caught.value).startswith("maker's file mine.toml: ")
    assert reason in str(caught.value)


def test_options_go_before_the_file(file: str) -> None:
    chart = chart_picture(BADGE, Options(width=9, maker=file)).chart
    assert (chart.hand, chart.start_corner, chart.terms) == ("left", "bottom-left", "uk")
    assert (chart.tail_cm, chart.pace, chart.habit) == (12.0, Pace(1, 0.5, 3), HABITS["carry"])
    assert chart.hook_mm == 5.5
    chart = chart_picture(
        BADGE, Options(width=9, maker=file, hand="right", tail=8, habit="cut")
    ).chart
    assert (chart.hand, chart.start_corner) == ("right", "bottom-right")
    assert (chart.tail_cm, chart.habit, chart.terms) == (8.0, HABITS["cut"], "uk")


def test_a_chart_goes_before_the_file_but_for_hook_and_money(file: str, tmp_path: Path) -> None:
    place = str(tmp_path / "out")
    assert run(["chart", str(BADGE), "--width", "9", "--out", place]) == 0
    made = open_chart(f"{place}/chart.json", Options(maker=file))
    assert (made.chart.hand, made.chart.terms, made.chart.tail_cm) == ("right", "us", 15.0)
    assert made.chart.hook_mm == 5.5
    assert made.maker.money.hour == 12.5
    again = open_chart(f"{place}/chart.json", Options(maker=file, terms="uk"))
    assert again.chart.terms == "uk"


def test_a_grid_takes_the_files_defaults(file: str, tmp_path: Path) -> None:
    grid = tmp_path / "grid.csv"
    grid.write_text("red,blue\nblue,red\n", encoding="utf-8")
    assert open_chart(grid, Options(maker=file)).chart.hand == "left"


def test_what_the_piece_costs(
    file: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shelf = tmp_path / "shelf.csv"
    shelf.write_text(
        "name,color,grams,metres,skeins,price\nChalk,white,100,200,0,6.50\nTar,#111111,50,90,9,\n",
        encoding="utf-8",
    )
    words = ["chart", str(BADGE), "--width", "20", "--shelf", str(shelf), "--maker", file]
    assert run([*words, "--border", "2 sc Chalk", "--out", str(tmp_path / "out")]) == 0
    printed = capsys.readouterr().out
    figures = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))
    hours = figures["hours"] + figures["weave_in_hours"] + figures["border"]["hours"]
    assert figures["worth_of_work"] == pytest.approx(12.5 * hours, abs=0.5)
    assert figures["cost_to_buy"] == 6.5 * figures["skeins_to_buy"] > 0
    assert figures["currency"] == "EUR"
    said = re.search(r"the piece costs about ([\d.]+) EUR to make", printed)
    assert said
    piece = figures["cost_of_yarn"] + figures["worth_of_work"]
    assert float(said[1]) == pytest.approx(piece, abs=0.02)
    assert "without Tar, whose price is not told" in printed
