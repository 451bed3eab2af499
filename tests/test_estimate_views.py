"""One truth: an estimate, ways compared, calming's curve and the word of advice tell the same of
the same piece, and that is what `chart` makes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from pix2block.estimate.recipe import estimate_pieces
from pix2block.options.goals import EstimateOptions
from pix2block.options.table import Options
from pix2block.recipes.from_picture import chart_picture
from pix2block.reports.ways_words import better_lines
from pix2block.study.study import Study
from pix2block.study.ways import Better
from pix2block.study.worked import Worked, measured

CAT = Path(__file__).parents[1] / "sample_images" / "tallow_cat.jpg"
SMALL: dict[str, Any] = {"width": 12, "colors": 4}


def figures(of: Worked) -> tuple[Any, ...]:
    assert of.near is not None
    assert of.far is not None
    truth = (round(of.near, 9), round(of.far, 9), len(of.lost))
    work = (of.tails, of.most_hanging, round(of.all_hours, 9), round(of.weave_in_hours, 9))
    return (*truth, *work, of.longest_float)


def estimated(**worked: Any) -> dict[tuple[Any, ...], Worked]:
    """Every piece of an estimate whose way is told in part, by corner, habit and calm."""
    tried = estimate_pieces(CAT, [], EstimateOptions(**SMALL), Options(**worked)).answer.pieces
    return {(p.corner, p.habit.reach, p.options.calm): p for p in tried}


def test_ways_compared_are_pieces_of_an_estimate() -> None:
    study = chart_picture(CAT, Options(**SMALL, calm=10, corner="top-left"))
    ways = {(w.corner, w.habit.reach, 10.0): w for w in study.ways if w.calmed}
    pieces = estimated(calm=10, corner="top-left")
    assert len(pieces) == 4
    for way, piece in pieces.items():
        assert figures(ways[way]) == figures(piece), way


def test_the_curve_is_of_pieces_of_an_estimate() -> None:
    study = chart_picture(CAT, Options(**SMALL, habit="carry", corner="top-left"))
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
    ("asked", "change"),
    [
        ({}, {"habit": "carry"}),
        ({"corner": "bottom-left", "habit": "carry"}, {"corner": "bottom-right"}),
        ({"colors": 6, "habit": "carry"}, {"calm": 10}),
        ({"width": 16, "colors": 8, "habit": "carry", "calm": 10}, {"colors": 7}),
    ],
)
def test_what_is_advised_is_what_a_chart_so_asked_for_gives(
    asked: dict[str, Any], change: dict[str, Any]
) -> None:
    study = chart_picture(CAT, Options(**SMALL | asked))
    (name, value) = next(iter(change.items()))
    told = advised(study)
    assert told.asks[0].option == name, told
    assert str(told.asks[0].value) == str(value)
    made = chart_picture(CAT, Options(**SMALL | asked | change))
    way = study.better.most
    assert way is not None
    assert (way.tails, way.most_hanging) == (made.plan.tails, measured(made.amounts).most_hanging)
    assert way.all_hours == pytest.approx(measured(made.amounts).all_hours)
    assert f"{made.plan.tails:,} tails in place of {study.plan.tails:,}" in told


def advised(study: Study) -> Any:
    (line,) = better_lines(study.better)
    return line


def test_what_costs_truth_is_tried_only_where_nothing_else_helps() -> None:
    """Carrying halves the tails of a piece whose yarn is picked up: nothing is traded for it."""
    better: Better = chart_picture(CAT, Options(**SMALL)).better
    assert better.most is better.carried
    assert better.calmer is better.fewer is None
