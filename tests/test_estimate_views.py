"""One truth: an estimate, ways compared, calming's curve and the word of advice tell the same of
the same piece, and that is what `chart` makes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from small import small_sample

from pix2block.amounts.yarn_use import amounts_of
from pix2block.estimate.recipe import estimate_pieces
from pix2block.ground.advice import Advice
from pix2block.ground.settings import HABITS
from pix2block.options.goals import EstimateOptions
from pix2block.options.table import Options
from pix2block.recipes.from_picture import chart_picture
from pix2block.reports.ways_words import better_lines
from pix2block.study.study import Study
from pix2block.study.ways import Better
from pix2block.study.worked import Worked, keeps_all, measured

CAT = small_sample("tallow_cat.jpg")
SMALL: dict[str, Any] = {"width": 9, "colors": 4}


MADE: dict[object, Study] = {}


def charted(**asked: Any) -> Study:
    """A small chart of the cat; the same only once."""
    key = tuple(sorted(asked.items()))
    if key not in MADE:
        MADE[key] = chart_picture(CAT, Options(**SMALL | asked))
    return MADE[key]


def figures(of: Worked) -> tuple[Any, ...]:
    assert of.near is not None
    assert of.far is not None
    truth = (round(of.near, 9), round(of.far, 9), len(of.lost))
    work = (of.tails, of.most_hanging, round(of.all_hours, 9), round(of.weave_in_hours, 9))
    return (*truth, *work, of.longest_float)


def estimated(**worked: Any) -> dict[tuple[Any, ...], Worked]:
    """Every piece of an estimate whose way is told in part, by corner, habit and calm."""
    tried = estimate_pieces(CAT, [], EstimateOptions(**SMALL), Options(**worked)).answer.pieces
    unbounded = [p for p in tried if p.options.most_hanging is None]
    return {(p.corner, p.habit.reach, p.options.calm): p for p in unbounded}


def test_ways_compared_are_pieces_of_an_estimate() -> None:
    study = charted(calm=10, corner="top-left")
    ways = {(w.corner, w.habit.reach, 10.0): w for w in study.ways if w.calmed}
    pieces = estimated(calm=10, corner="top-left")
    assert len(pieces) == 4
    for way, piece in pieces.items():
        assert figures(ways[way]) == figures(piece), way


def test_the_curve_is_of_pieces_of_an_estimate() -> None:
    study = charted(habit="carry", corner="top-left")
    assert study.curve is not None
    pieces = estimated(habit="carry", corner="top-left")
    of_curve = {("top-left", 3.0, point.calm): point for point in study.curve.points}
    both = [way for way in pieces if way in of_curve]
    assert len(both) > 2
    for way in both:
        point, piece = of_curve[way], pieces[way]
        assert (point.near, point.far, point.lost) == (piece.near, piece.far, len(piece.lost))
        assert (point.tails, point.weave_in_hours) == (piece.tails, piece.weave_in_hours)


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("carried", {"habit": "carry"}),
        ("corner", {"corner": "top-left"}),
        ("calmer", {"calm": 10}),
        ("fewer", {"colors": 3}),
    ],
)
def test_what_is_advised_is_what_a_chart_so_asked_for_gives(
    name: str, change: dict[str, Any]
) -> None:
    study = charted()
    remade, chart = study.remade, study.chart
    if name in ("calmer", "fewer"):
        way = remade.otherwise(**change)
    else:
        corner = change.get("corner", chart.start_corner)
        way = remade.seen_way(corner, HABITS[change.get("habit", "pickup")])
    assert way is not None
    made = charted(**change)
    assert made.view is not None
    assert figures(way) == figures(measured(made.amounts, made.view.light()))
    now = measured(amounts_of(replace(chart, habit=HABITS["cut"])))  # which leaves more tails
    (told,) = better_lines(Better(now, **{name: way}))
    assert isinstance(told, Advice)
    assert [(ask.option, str(ask.value)) for ask in told.asks] == [
        (option, str(value)) for option, value in change.items()
    ]
    assert f"{made.plan.tails:,} tails in place of {now.tails:,}" in told


def test_the_change_that_saves_most_is_told() -> None:
    """Of what is tried, the one with the fewest hours; what costs truth only where neither corner
    nor carrying saves a quarter of the tails, and only where it loses nothing."""
    every: tuple[dict[str, Any], ...] = ({}, {"habit": "carry"})
    for asked in every:
        study = charted(**asked)
        better = study.better
        tried = [w for w in (better.corner, better.carried, better.calmer, better.fewer) if w]
        hours = [way.all_hours for way in tried]
        assert (better.most.all_hours if better.most else None) == min(hours, default=None)
        free = min(
            (w.tails for w in (better.corner, better.carried) if w), default=study.plan.tails
        )
        if free <= 0.75 * study.plan.tails:
            assert better.calmer is better.fewer is None
        for way in (better.calmer, better.fewer):
            assert way is None or keeps_all(way, measured(study.amounts))
