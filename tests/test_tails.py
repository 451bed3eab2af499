"""Where tails lie, and the ways of ending them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import chart_of, charts
from test_strands import plain_places

from pix2block.amounts.endings import endings_of
from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.craft.tails import TAIL_PLACES, Tails, find_tails, tail_counts
from pix2block.ground.settings import ENDING_SHARES, HABITS, TAIL_ENDINGS, Pace, TailEnding


def tails_of(chart: Chart) -> Tails:
    return amounts_of(chart).tails


def edges_with(chart: Chart, corner: tuple[int, int]) -> set[str]:
    """The edges of the piece on which a corner (row, t) lies; both at a corner of the piece."""
    n, t = corner
    across, up = (n + t) // 2, (n - t) // 2  # steps from the start corner, block sides
    vertical = ("right", "left") if chart.start_corner.endswith("right") else ("left", "right")
    level = ("bottom", "top") if chart.start_corner.startswith("bottom") else ("top", "bottom")
    on = {vertical[0]: across == 0, vertical[1]: across == chart.width}
    on |= {level[0]: up == 0, level[1]: up == chart.height}
    return {edge for edge, lies in on.items() if lies}


@given(charts(habit=HABITS["carry"]))
def test_a_tail_lies_where_its_yarn_enters_or_leaves(chart: Chart) -> None:
    """Against the corners of the definition, in every corner, hand and shape."""
    plan = amounts_of(chart).plan
    tails = find_tails(plan, chart.layout)
    assert len(tails) == plan.tails
    corners = plain_places(chart.runs, chart.layout)
    starts = [corners[run][0] for run in plan.first_runs.tolist()]
    ends = [corners[run][1] for run in plan.last_runs.tolist()]
    for corner, place in zip(starts + ends, tails.place.tolist(), strict=True):
        edges = edges_with(chart, corner)
        assert TAIL_PLACES[place] in edges if edges else TAIL_PLACES[place] == "inside"


@given(charts())
def test_counts_by_row_yarn_and_place_add_up(chart: Chart) -> None:
    amounts = amounts_of(chart)
    counts = tail_counts(amounts.plan, amounts.tails, len(chart.yarns))
    assert counts.sum(axis=(1, 2)).tolist() == amounts.plan.tails_by_row.tolist()
    assert counts.sum(axis=(0, 2)).tolist() == [yarn.tails for yarn in amounts.yarns]
    assert counts.sum(axis=(0, 1)).tolist() == amounts.tails.by_place.tolist()


def test_tails_by_hand() -> None:
    """3 x 2 blocks, bottom right, right hand, yarn cut at every change. Rows in working order:
    Moss | Chalk Chalk | Moss Chalk | Moss (row 2 begins at the bottom, row 3 travels up the right
    edge onto the top one, row 4 climbs the bottom edge onto the left one and ends at the top)."""
    chart = chart_of("001 110", habit=HABITS["cut"])
    assert [r.tolist() for r in (chart.runs.row, chart.runs.color)] == [
        [1, 2, 3, 3, 4],
        [0, 1, 0, 1, 0],
    ]
    places = [TAIL_PLACES[p] for p in tails_of(chart).place.tolist()]
    assert places[:5] == ["right", "bottom", "top", "inside", "left"]
    assert places[5:] == ["bottom", "right", "inside", "bottom", "top"]


def test_in_a_left_handed_mirror_tails_change_sides() -> None:
    """Worked left-handed from the other corner, the mirrored chart has the mirrored tails."""
    chart = chart_of("0110 1021 2200")
    mirrored = replace(
        chart, blocks=chart.blocks[:, ::-1].copy(), hand="left", start_corner="bottom-left"
    )
    swap = {"right": "left", "left": "right"}
    places = [TAIL_PLACES[p] for p in tails_of(chart).place.tolist()]
    other = [TAIL_PLACES[p] for p in tails_of(mirrored).place.tolist()]
    assert [swap.get(place, place) for place in places] == other
    assert {"left", "right", "inside"} <= set(places)


@given(charts(), st.sampled_from(TAIL_ENDINGS))
def test_hours_of_ending_tails(chart: Chart, way: TailEnding) -> None:
    """Woven: tails + 2 x joins at the pace of a tail. A border and a fringe take what lies at an
    edge, all else is woven in."""
    amounts = amounts_of(replace(chart, tail_ending=way))
    every = amounts.plan.tails + 2 * int(amounts.run_joins.sum())
    at_edges = amounts.plan.tails - int(amounts.tails.by_place[TAIL_PLACES.index("inside")])
    pace = chart.pace.tail
    taken = {"woven": every, "over": every - 1, "border": at_edges, "fringe": at_edges}[way]
    assert amounts.ending.taken == taken
    minutes = taken * pace * ENDING_SHARES[way] + (every - taken) * pace
    assert amounts.weave_in_hours == pytest.approx(minutes / 60)
    if way == "woven":
        assert amounts.weave_in_hours == every * pace / 60
    assert [e.taken + e.woven for e in amounts.endings] == [every] * 4


def test_the_pace_of_a_tail_moves_every_way() -> None:
    tails = tails_of(chart_of("0110 1021 2200"))
    usual = endings_of(tails, Pace(), joins=3)
    slow = endings_of(tails, Pace(tail=6.0), joins=3)
    assert [e.hours * 3 for e in usual] == pytest.approx([e.hours for e in slow])
    assert len({e.minutes for e in usual}) == len(TAIL_ENDINGS)
    at_edges = np.count_nonzero(tails.place)
    assert [e.woven for e in usual] == [0, 1, *[len(tails) + 6 - at_edges] * 2]
