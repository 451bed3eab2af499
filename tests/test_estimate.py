"""Goals in, pieces out: what is tried, what is recommended, and that it comes out so."""

from __future__ import annotations

import csv
import datetime
import html
import io
import itertools
import json
import re
import shlex
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from pix2block.command.cli import run
from pix2block.design.likeness import seen_figures
from pix2block.estimate.answer import Answer, felt
from pix2block.estimate.goals import Goals, goals_of
from pix2block.estimate.grid import (
    EVERY_WAY,
    MOST_CALMED,
    colors_to_try,
    shared_out,
    sizes_to_try,
    takes,
)
from pix2block.estimate.page import estimate_page
from pix2block.estimate.piece import Piece, piece_of
from pix2block.estimate.recipe import Estimate, estimate_pieces
from pix2block.estimate.table import estimate_csv
from pix2block.estimate.words import answer_lines, rows_an_evening
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import HABITS
from pix2block.ground.units import added_up, say_hours
from pix2block.options.goal_rules import Between, Day, Evenings, EveningsText, Hours, Sizes
from pix2block.options.goals import EstimateOptions
from pix2block.options.table import Options
from pix2block.recipes.from_picture import chart_picture
from pix2block.recipes.from_picture import work as work_on
from pix2block.study.ways import Way

LANTERN = "Ida's lantern at dusk.png"  # a name that a command has to quote
FROM_A_CORNER = Options(corner="bottom-right")  # so that there are few ways to try
DAY = datetime.date(2027, 3, 1)


def goals_asked(**goals: Any) -> EstimateOptions:
    return EstimateOptions(**goals)


def never() -> datetime.date:
    raise AssertionError("the clock was asked")


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A lantern in the dark, and a shelf with prices."""
    folder = tmp_path_factory.mktemp("estimate")
    y, x = np.mgrid[0:64, 0:80]
    glow = np.exp(-((x - 30) ** 2 + (y - 28) ** 2) / 260.0)[..., None]
    light = np.array([246, 196, 84]) * glow + np.array([28, 40, 66]) * (1 - glow)
    light[46:50] = (96, 70, 52)
    Image.fromarray(light.astype(np.uint8)).save(folder / LANTERN)
    (folder / "shelf.csv").write_text(
        "name,color,metres,skeins,price\nTar,#1e2a42,100,1,3\nMarmalade,#f0bf52,100,1,4\n"
        "Clay,#8d744c,100,0,5\nBark,#60463a,100,1,\nDusk,#50586a,100,2,2\n"
    )
    return folder


@pytest.fixture(scope="module")
def estimate(here: Path) -> Estimate:
    return estimate_pieces(
        here / LANTERN,
        [str(here / "shelf.csv")],
        goals_asked(width=8, colors=(2, 4)),
        FROM_A_CORNER,
    )


def under(estimate: Estimate, **goals: Any) -> Answer:
    """The answer from the same pieces under other goals."""
    asked = goals_asked(**goals)
    return replace(estimate.answer, goals=goals_of(asked, never_asked, priced=True))


def never_asked() -> datetime.date:
    return DAY


@pytest.mark.parametrize(
    ("words", "hours"),
    [
        ("4h", 4),
        ("90min", 1.5),
        ("4h30", 4.5),
        ("4:30", 4.5),
        ("4.5", 4.5),
        ("2", 2),
        ("45 m", 0.75),
    ],
)
def test_times_are_read(words: str, hours: float) -> None:
    assert Hours().value(words) == pytest.approx(hours)


@pytest.mark.parametrize("words", ["", "h", "4x", "0", "-2h", "4h70x", "1e3h"])
def test_what_is_no_time_is_refused(words: str) -> None:
    with pytest.raises(BadInput, match="write a time"):
        Hours().value(words)


@pytest.mark.parametrize(
    "words", ["2027-01-04", "4 January 2027", "January 4, 2027", " 4 jan 2027", "Jan. 4 2027"]
)
def test_a_day_is_read_as_people_write_it(words: str) -> None:
    assert Day().value(words) == datetime.date(2027, 1, 4)


@pytest.mark.parametrize("words", ["", "31 June 2027", "4 Janua 2027", "4 2027", "04/01/2027"])
def test_what_is_no_day_is_refused(words: str) -> None:
    with pytest.raises(BadInput, match="write a day as 2027-03-01"):
        Day().value(words)


def test_ranges_evenings_and_sizes_are_read() -> None:
    assert Between(1, 99, "40-60").value("40-60") == (40, 60)
    assert Between(1, 99, "40-60").value(7) == (7, 7)
    assert EveningsText().value("1,5 h, 3 a week") == Evenings(1.5, 3)
    assert Sizes().value("80x100-120x150cm") == ((80, 100), (120, 150))
    assert Sizes().value("40x50in") == ((101.6, 127), (101.6, 127))
    for rule, words in ((Between(1, 99, "40-60"), "60-40"), (EveningsText(), "3 a week")):
        with pytest.raises(BadInput):
            rule.value(words)


def test_a_value_is_said_as_it_is_read() -> None:
    for rule, value in (
        (Between(1, 99, "40-60"), (40, 60)),
        (Hours(), 4.5),
        (EveningsText(), Evenings(1.5, 3)),
        (Sizes(), ((80.0, 100.0), (120.0, 150.0))),
    ):
        assert rule.value(rule.as_words(value)) == value


@pytest.mark.parametrize(
    ("goals", "what"),
    [
        ({"by": DAY}, "needs to know when you crochet"),
        ({"by": DAY, "evenings": "2 h, 2 a week", "from_": "2027-03-02"}, "before the first day"),
        ({"spend": 40}, "needs prices"),
    ],
)
def test_goals_that_lack_something_are_refused(goals: dict[str, Any], what: str) -> None:
    with pytest.raises(BadInput, match=what):
        goals_of(goals_asked(**goals), never_asked, priced=False)


def test_the_clock_is_asked_only_where_no_first_day_is_given() -> None:
    asked = goals_asked(from_=DAY, evenings="1 h, 7 a week")
    assert goals_of(asked, never, priced=False).first_day == DAY


def test_evenings_make_days() -> None:
    """By hand: 1.5 h, 3 a week. 9 h are 6 evenings, two weeks: the last is day 14. From 1 to 21
    March, both counted, are 21 days: 9 evenings, 13.5 h."""
    evenings = Evenings(1.5, 3)
    goals = Goals((), evenings, DAY)
    assert goals.last_day(9.0) == datetime.date(2027, 3, 14)
    assert goals.last_day(1.0) == datetime.date(2027, 3, 3)
    by = goals_asked(by="2027-03-21", evenings="1.5 h, 3 a week", from_="2027-03-01")
    (goal,) = goals_of(by, never, priced=False).each
    assert goal.most == 13.5


def test_sizes_and_numbers_of_yarns() -> None:
    assert sizes_to_try(goals_asked()) == [{"width": 60}, {"width": 45}]
    widths = [one["width"] for one in sizes_to_try(goals_asked(width=(40, 60)))]
    assert (max(widths), min(widths), len(widths)) == (60, 40, 4)  # type: ignore[type-var]
    assert colors_to_try(goals_asked(), 7, 4500) == [4, 6, 7]
    assert colors_to_try(goals_asked(colors=(3, 12)), None, 500) == list(range(3, 13))
    few = colors_to_try(goals_asked(colors=(3, 12)), None, 4500)
    assert (few[0], few[-1], len(few)) == (3, 12, 5)


def test_what_is_calmed_is_bounded() -> None:
    """As much as a chart of 60 x 75 twenty times; what that leaves no room for is not tried, but
    for the first where nothing else is."""
    ways = [Way(HABITS["pickup"], "bottom-right", calm) for calm in (0.0, *range(1, 60))]
    tried = list(shared_out([(4500, ways), (4500, ways)]))
    assert 18.5 < sum(takes(way) for _, way in tried) <= 20 + 1e-9
    assert {number for number, _ in tried} == {0, 1}
    first, later = (sum(takes(w) for i, w in tried if i == group) for group in (0, 1))
    assert abs(first - later) < 1.5
    of_two_sizes = list(shared_out([(4500, ways), (2500, ways)]))
    assert [number for number, way in of_two_sizes if way.calm][:5] == [0, 0, 1, 0, 1]
    assert len(list(shared_out([(400_000, ways[1:]), (400_000, ways[1:])]))) == 1
    assert pytest.approx(20 * 4500**0.75) == MOST_CALMED
    every = [(EVERY_WAY, ways)] * 9
    assert len(list(shared_out(every))) == 9 * len(ways)  # of the smallest, all there is


def test_no_piece_of_the_front_is_beaten(estimate: Estimate) -> None:
    rows = list(csv.DictReader(io.StringIO(estimate_csv(estimate.answer))))
    names = ("seen_near", "seen_far", "features_lost", "tails", "hours", "most_attached", "price")
    figures = [[float(row[name] or 0) for name in names] for row in rows]
    assert len(rows) > 3
    for one, other in itertools.permutations(figures, 2):
        assert not (one != other and all(a <= b for a, b in zip(one, other, strict=True)))


def test_the_recommended_piece_stands_first_and_keeps_every_goal(estimate: Estimate) -> None:
    answer = under(estimate, weave_in="30min", most_hanging=6)
    first = next(csv.DictReader(io.StringIO(estimate_csv(answer))))
    assert first["reaches"] == "yes"
    assert float(first["weave_in_hours"]) <= 0.5
    assert int(first["most_attached"]) <= 6
    for piece in answer.pieces:
        if piece.weave_in_hours <= 0.5 and piece.most_hanging <= 6:
            assert answer.best.truth <= piece.truth


@given(st.floats(0.05, 2), st.floats(1, 8), st.integers(1, 9), st.floats(0, 20), st.integers(0, 4))
def test_a_looser_goal_never_gives_a_worse_piece(
    estimate: Estimate, weave_in: float, hours: float, hanging: int, spend: float, looser: int
) -> None:
    goals: dict[str, float] = {
        "weave_in": weave_in,
        "hours": hours,
        "most_hanging": hanging,
        "spend": spend,
    }
    tight = under(estimate, **goals)
    for name in goals:
        loose = under(estimate, **{**goals, name: goals[name] * (1 + looser) + looser})
        if tight.reached:
            assert loose.reached
            assert loose.best.truth <= tight.best.truth


def test_goals_out_of_reach_give_the_nearest_and_what_to_give_up(estimate: Estimate) -> None:
    answer = under(estimate, weave_in="1min", most_hanging=40)
    assert not answer.reached
    assert answer.best.tails == min(piece.tails for piece in answer.pieces)
    lines = "\n".join(answer_lines(answer))
    assert "No piece that was tried keeps every goal. The nearest:" in lines
    assert "Give up the time to weave in, and it can be: " in lines
    assert f"Beyond your goals: {say_hours(answer.best.weave_in_hours)} to weave in." in lines
    both = "\n".join(answer_lines(under(estimate, weave_in="1min", hours="1min")))
    assert "No one of them given up would do: loosen several." in both
    assert next(csv.DictReader(io.StringIO(estimate_csv(answer))))["reaches"] == "no"


def test_what_binds_and_what_it_costs_is_told(estimate: Estimate) -> None:
    truest = under(estimate).best
    less = [p.weave_in_hours for p in estimate.answer.pieces if p.far > 1.05 * truest.far]
    answer = under(estimate, weave_in=min(less))
    assert answer.reached
    assert answer.best.truth > truest.truth
    lines = "\n".join(answer_lines(answer))
    assert "The goals cost " in lines
    assert "What binds is the time to weave in" in lines
    free = under(estimate, weave_in=100)
    assert "The goals cost no truth that one would see." in answer_lines(free)


def test_money_counts_what_is_still_to_buy(estimate: Estimate) -> None:
    for piece in estimate.answer.pieces:
        used = zip(piece.chart.yarns, piece.amounts.yarns, strict=True)
        by_hand = [(of.to_buy or 0) * yarn.price for yarn, of in used if of.metres and yarn.price]
        assert (piece.price or 0.0) == pytest.approx(added_up(by_hand))


def test_within_the_shelf_nothing_lacks(estimate: Estimate) -> None:
    answer = under(estimate, within_shelf=True)
    assert answer.reached == any(not piece.lacks for piece in answer.pieces)
    assert not answer.reached or not answer.best.lacks


@pytest.mark.usefixtures("few_files")
def test_the_command_makes_the_piece(
    here: Path, estimate: Estimate, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answer = under(estimate, weave_in="40min")
    rows = list(csv.DictReader(io.StringIO(estimate_csv(answer))))
    for number in (0, len(rows) // 2, len(rows) - 1):
        row = rows[number]
        program, *words = shlex.split(row["command"])
        assert (program, words[1]) == ("pix2block", str(here / LANTERN))
        assert (
            run([*words, "--out", str(tmp_path / str(number)), "--without", "pdf", "--json"]) == 0
        )
        made = json.loads(capsys.readouterr().out)
        for name in ("tails", "most_attached"):
            assert made[name] == int(row[name])
        for name in ("hours", "weave_in_hours", "metres", "seen_near", "seen_far"):
            assert made[name] == pytest.approx(float(row[name]), abs=0.0051), name
        assert made["color_error_mean"] == float(row["color_error_mean"])
        assert len(made["features_lost"]) == int(row["features_lost"])


def test_the_answer_is_that_of_trying_everything(here: Path, estimate: Estimate) -> None:
    """Every number of yarns, habit and calm of a small picture, each made by itself."""
    picture, shelf = str(here / LANTERN), str(here / "shelf.csv")
    view = estimate.answer.pieces[0].study.view
    assert view is not None
    light = view.light()
    every: list[Piece] = []
    for colors, habit, calm in itertools.product((2, 3, 4), HABITS, (0.0, 10.0)):
        ways: dict[str, Any] = {"habit": habit, "calm": calm, "corner": "bottom-right"}
        study = chart_picture(view, Options(width=8, colors=colors, shelf=shelf, **ways))
        every.append(piece_of(len(every), picture, study, *seen_figures(study.chart, light)))
    tails = sorted({piece.weave_in_hours for piece in every})
    for most in tails[:: max(1, len(tails) // 20)]:
        best = min((p for p in every if p.weave_in_hours <= most), key=lambda p: p.rank)
        assert under(estimate, weave_in=most).best.truth <= best.truth


@pytest.mark.usefixtures("afresh")
def test_two_runs_give_the_same_bytes(here: Path) -> None:
    asked, once = (
        goals_asked(width=6, colors=2),
        Options(habit="carry", corner="top-left", calm=3, subject="none"),
    )
    tables = [estimate_csv(estimate_pieces(here / LANTERN, [], asked, once).answer) for _ in "ab"]
    assert tables[0] == tables[1]


@pytest.mark.usefixtures("few_files")
def test_a_plain_backdrop_is_told_beside_the_piece_and_comes_so(
    here: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = goals_asked(width=14, colors=3)
    options = Options(habit="pickup", corner="top-left", calm=3, subject="20,20,40,50")
    answer = estimate_pieces(here / LANTERN, [], asked, options).answer
    assert answer.plain is not None
    assert answer.best.options.backdrop is None
    words = [*answer.plain.words[1:], "--out", str(tmp_path / "plain"), "--without", "pdf,proof"]
    assert run([*words, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["tails"] == answer.plain.tails
    told = "\n".join(map(str, answer_lines(answer)))
    assert ("plain backdrop" in told) == felt(answer.best, answer.plain.tails)


@pytest.mark.usefixtures("few_files")
def test_a_crop_is_told_beside_the_piece_and_comes_so(
    here: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked, options = (
        goals_asked(width=14, colors=3),
        Options(habit="pickup", calm=0, corner="top-left"),
    )
    answer = estimate_pieces(
        here / LANTERN, [], asked, replace(options, subject="20,20,40,50")
    ).answer
    cropped = answer.cropped
    assert cropped is not None
    assert answer.best.options.crop is None
    assert cropped.chart.width < answer.best.chart.width
    (told,) = [line for line in answer_lines(answer) if line.startswith("Cropped to its subject")]
    assert f"{cropped.tails} tails" in told
    words = [*cropped.words[1:], "--out", str(tmp_path / "crop"), "--without", "pdf,proof"]
    assert run([*words, "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    assert (made["tails"], made["blocks"]) == (cropped.tails, cropped.chart.blocks.size)


def test_few_yarns_hanging_are_sought(estimate: Estimate) -> None:
    """Whatever the goals are: of each palette of three yarns or more, as many as it has."""
    bounds = {(p.options.colors, p.options.most_hanging) for p in estimate.answer.pieces}
    assert {(3, 3), (4, 4)} <= bounds


def test_ties_are_called_ties(estimate: Estimate) -> None:
    """Of pieces as true, those within 2 % of work are ties; one that is felt is none."""
    for piece in estimate.answer.pieces:
        answer = under(estimate, hours=piece.all_hours + 0.01)
        if not answer.reached:
            continue
        for tie in answer.ties:
            assert tie.truth == answer.best.truth
            assert abs(tie.tails - answer.best.tails) <= 2
            assert abs(tie.all_hours - answer.best.all_hours) <= 0.02 * answer.best.all_hours
        told = [line for line in answer_lines(answer) if line.startswith("A tie, ")]
        assert len(told) == bool(answer.ties)
    assert any(under(estimate, hours=p.all_hours + 0.01).ties for p in estimate.answer.pieces)


def test_the_page_has_the_command_as_it_is_typed(estimate: Estimate) -> None:
    """In one piece when it is copied, with what a shell would take for something else quoted; and
    options named as they are typed."""
    page = estimate_page(estimate.answer)
    commands = re.findall("<pre>(.*?)</pre>", page)
    told = [html.unescape(re.sub("<.*?>", "", command)) for command in commands]
    beside = [one.piece.command for one in estimate.answer.next_to_it]
    assert told == [estimate.answer.best.command, *beside]
    assert "--tails over" in page


def test_what_she_says_is_not_varied(here: Path) -> None:
    options = Options(habit="cut", corner="top-left", calm=3)
    answer = estimate_pieces(
        here / LANTERN, [], goals_asked(width=8, colors=(2, 3)), options
    ).answer
    ways = {(p.chart.habit.name, p.chart.start_corner, p.options.calm) for p in answer.pieces}
    assert ways == {("cut", "top-left", 3.0)}


def interrupted(*_: Any) -> None:
    raise KeyboardInterrupt


@pytest.mark.usefixtures("few_files")
def test_an_interruption_leaves_the_best_so_far(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    made: list[Any] = []

    def work(*given: Any) -> object:
        made.append(given)
        if len(made) > 8:
            raise KeyboardInterrupt
        return work_on(*given)

    monkeypatch.setattr("pix2block.estimate.search.work", work)
    words = ["estimate", str(here / LANTERN), "--width", "8", "--colors", "2", "--habit", "pickup"]
    assert run([*words, "--out", str(tmp_path / "out")]) == 130
    assert "stopped early" in capsys.readouterr().err
    assert {"estimate.html", "estimate.csv"} <= {p.name for p in (tmp_path / "out").iterdir()}
    with monkeypatch.context() as stopped:  # all was tried: only what stands beside it is left out
        stopped.setattr("pix2block.estimate.search.work", work_on)
        stopped.setattr("pix2block.estimate.recipe.on_plain_backdrop", interrupted)
        assert run([*words, "--colors", "1", "--out", str(tmp_path / "beside")]) == 130
    assert "Error from 6 m" in (tmp_path / "beside" / "estimate.html").read_text()
    made.clear()
    monkeypatch.setattr("pix2block.estimate.search.work", interrupted)
    assert run([*words, "--out", str(tmp_path / "none")]) == 130
    assert not (tmp_path / "none").exists()


def test_rows_an_evening_are_those_of_the_middle(estimate: Estimate) -> None:
    piece = estimate.answer.best
    minutes = piece.amounts.minutes_by_row
    middle = minutes[len(minutes) // 3 : 2 * len(minutes) // 3].mean()
    assert rows_an_evening(piece, 10 * middle / 60) == "10 rows"
