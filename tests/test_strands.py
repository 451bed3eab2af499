"""Strands against brute force and against networkx's matching."""

from __future__ import annotations

from itertools import combinations

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from makers import chart_of, charts, random_blocks

from pix2block.chart.chart import Chart
from pix2block.craft.diagonal import Layout
from pix2block.craft.runs import Runs, find_runs
from pix2block.craft.strands import allowed_links, best_matching, places, plan_strands
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import HABITS, Habit

Link = tuple[int, int]


def plain_places(runs: Runs, layout: Layout) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """Enter and leave corner of every run, block by block from the definition."""
    found: list[tuple[tuple[int, int], tuple[int, int]]] = []
    left_at = (0, 0)
    for row in layout:
        n = row.number
        s = 1 if row.begins_at in ("left", "right") else -1
        dx, dy = layout.steps(n)
        t = (dx - dy).tolist()
        at = 0
        for place, run in enumerate(runs.of_row(n)):
            end = at + int(runs.blocks[run]) - 1
            enter = (n, t[at] - s) if place or n == 1 else (n - 1, left_at[1])
            found.append((enter, (n, t[end] + s)))
            at = end + 1
        left_at = found[-1][1]
    return found


def plain_links(runs: Runs, layout: Layout, habit: Habit) -> dict[Link, tuple[int, int]]:
    """Every allowed link with its squared float and rows bridged, straight from the rules."""
    corners = plain_places(runs, layout)
    links = {}
    for u, v in combinations(range(len(runs)), 2):
        if runs.color[u] != runs.color[v]:
            continue
        (r2, t2), (r1, t1) = corners[v][0], corners[u][1]
        square = ((r2 - r1) ** 2 + (t2 - t1) ** 2) // 2
        m = int(runs.row[v] - runs.row[u])
        inside = square <= habit.reach**2 and m <= habit.rest
        ends = u == runs.first_and_last(int(runs.row[u]))[1]
        begins = v == runs.first_and_last(int(runs.row[v]))[0]
        if inside or (ends and begins and m % 2 == 1 and m <= habit.edge):
            links[u, v] = (square, m)
    return links


def brute_force(links: dict[Link, tuple[int, int]]) -> tuple[int, int, int]:
    """Most links, then least squares, then least rows, by trying every choice."""
    pairs = list(links)
    best = (0, 0, 0)

    def extend(at: int, used_u: set[int], used_v: set[int], score: tuple[int, int, int]) -> None:
        nonlocal best
        best = min(best, score)
        for i in range(at, len(pairs)):
            u, v = pairs[i]
            if u not in used_u and v not in used_v:
                square, m = links[u, v]
                extend(
                    i + 1,
                    used_u | {u},
                    used_v | {v},
                    (score[0] - 1, score[1] + square, score[2] + m),
                )

    extend(0, set(), set(), best)
    return -best[0], best[1], best[2]


def by_networkx(links: dict[Link, tuple[int, int]]) -> tuple[int, int, int]:
    graph = nx.Graph()
    factor = 1 + sum(m for _, m in links.values())
    for (u, v), (square, m) in links.items():
        graph.add_edge(("from", u), ("to", v), weight=square * factor + m)
    turned = _turned_round(graph)
    pairs = nx.max_weight_matching(turned, maxcardinality=True, weight="weight")
    chosen = [dict([a, b]) for a, b in pairs]
    figures = [links[c["from"], c["to"]] for c in chosen]
    return len(figures), sum(f[0] for f in figures), sum(f[1] for f in figures)


def _turned_round(graph: nx.Graph) -> nx.Graph:
    """Weights so that the heaviest matching is the cheapest."""
    most = max((d for *_, d in graph.edges(data="weight")), default=0) + 1
    turned = nx.Graph()
    turned.add_weighted_edges_from((a, b, most - w) for a, b, w in graph.edges(data="weight"))
    return turned


def figures_of(chart: Chart, habit: Habit) -> tuple[int, int, int]:
    plan = plan_strands(chart.runs, chart.layout, habit)
    linked = np.flatnonzero(plan.preceding >= 0)
    rows = chart.runs.row[linked] - chart.runs.row[plan.preceding[linked]]
    assert plan.strands == len(chart.runs) - len(linked)
    return len(linked), int(plan.float_squares.sum()), int(rows.sum())


def test_floats_of_the_definition() -> None:
    """0 over the turn into the same colour, 1 to either neighbour in the next row, 2.83 past two
    blocks of the same row, 2 straight up two rows."""
    layout = Layout(7, 7, 13, "bottom-right", "right")
    runs = find_runs(np.arange(49).reshape(7, 7), layout)  # a run a block
    place = places(runs, layout)

    def square(u: tuple[int, int], v: tuple[int, int]) -> int:
        """Between blocks (row, place), both from 1."""
        index = [int(runs.row_starts[r - 1]) + p - 1 for r, p in (u, v)]
        return int(place.squares(np.array(index[:1]), np.array(index[1:]))[0])

    assert square((4, 4), (5, 1)) == 0
    # Row 5 runs back over row 4: its places 4 - p + 1 and one further lie beside place p.
    assert {square((4, 2), (5, p)) for p in (3, 4)} == {1}
    assert square((6, 1), (6, 4)) == 8
    assert square((4, 2), (6, 3)) == 4


habits = st.builds(
    Habit,
    st.just("own"),
    st.sampled_from((0.0, 1.0, 1.5, 2.0, 2.5, 3.0, 6.5, 20.0)),
    st.integers(0, 4),
    st.integers(0, 5),
)


@settings(deadline=None)
@given(charts(), habits)
def test_places_and_links_follow_the_rules(chart: Chart, habit: Habit) -> None:
    place = places(chart.runs, chart.layout)
    corners = plain_places(chart.runs, chart.layout)
    leave = list(zip(place.leave_row.tolist(), place.leave_t.tolist(), strict=True))
    assert leave == [corner[1] for corner in corners]
    enter = list(zip(place.enter_row.tolist(), place.enter_t.tolist(), strict=True))
    assert enter[1:] == [corner[0] for corner in corners[1:]]
    u, v, squares = allowed_links(chart.runs, chart.layout, habit)
    found = dict(zip(zip(u.tolist(), v.tolist(), strict=True), squares.tolist(), strict=True))
    plain = plain_links(chart.runs, chart.layout, habit)
    assert found == {pair: square for pair, (square, _) in plain.items()}


@settings(deadline=None)
@given(charts(most_side=4), habits)
def test_plan_against_brute_force(chart: Chart, habit: Habit) -> None:
    links = plain_links(chart.runs, chart.layout, habit)
    if len(links) <= 16:
        assert figures_of(chart, habit) == brute_force(links)


@pytest.mark.parametrize("habit", [*HABITS.values(), Habit("own", 6, 3, 1)], ids=lambda h: h.name)
def test_plan_against_networkx(habit: Habit) -> None:
    rng = np.random.default_rng(7)
    for width, height, yarns in ((12, 17, 3), (18, 12, 4)):
        blocks = random_blocks(rng, width, height, yarns)
        chart = chart_of("\n".join("".join(map(str, line)) for line in blocks.tolist()))
        links = plain_links(chart.runs, chart.layout, habit)
        assert figures_of(chart, habit) == by_networkx(links)


@settings(deadline=None)
@given(charts(), habits)
def test_strands_are_numbered_and_attached(chart: Chart, habit: Habit) -> None:
    plan = plan_strands(chart.runs, chart.layout, habit)
    row = chart.runs.row
    assert sorted(r for path in plan.paths for r in path) == list(range(len(chart.runs)))
    firsts = [path[0] for path in plan.paths]
    assert firsts == sorted(firsts) == plan.first_runs.tolist()
    assert [path[-1] for path in plan.paths] == plan.last_runs.tolist()
    for path in plan.paths:
        assert list(path) == sorted(path)
        assert len({int(chart.runs.color[r]) for r in path}) == 1
    for n in range(1, chart.last_row + 1):
        spans = [(int(row[p[0]]), int(row[p[-1]])) for p in plan.paths]
        assert plan.attached_by_row[n - 1] == sum(a <= n <= b for a, b in spans)
        assert plan.tails_by_row[n - 1] == sum((a == n) + (b == n) for a, b in spans)
    assert plan.tails == int(plan.tails_by_row.sum()) == 2 * len(plan.paths)


def test_cut_continues_only_over_the_turn() -> None:
    chart = chart_of("000 111 000")
    plan = plan_strands(chart.runs, chart.layout, HABITS["cut"])
    linked = np.flatnonzero(plan.preceding >= 0)
    assert (plan.preceding[linked] == linked - 1).all()
    assert plan.strands == 1 + int((chart.runs.changes_in_rows + chart.runs.changes_at_turns).sum())


def test_plain_piece_is_one_strand() -> None:
    chart = chart_of("0000 0000 0000")
    plan = plan_strands(chart.runs, chart.layout, HABITS["pickup"])
    assert (plan.strands, plan.tails, plan.floats) == (1, 2, 0)


def test_matching_prefers_links_then_first_cost_then_second() -> None:
    u = np.array([0, 0, 1, 1])
    v = np.array([2, 3, 2, 3])
    # Two links are possible either way; the cheaper pair wins, then the second cost decides.
    chosen = best_matching(u, v, np.array([1, 5, 5, 8]), np.zeros(4, dtype=int), 4)
    assert chosen.tolist() == [0, 3]
    chosen = best_matching(u, v, np.array([1, 2, 2, 3]), np.array([9, 1, 1, 9]), 4)
    assert chosen.tolist() == [1, 2]
    none = np.zeros(0, dtype=int)
    assert best_matching(none, none, none, none, 0).tolist() == []


def test_too_long_a_reach_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pix2block.craft.strands.MOST_LINKS", 3)
    chart = chart_of("0011 0011 1100")
    with pytest.raises(BadInput, match="lower one of them"):
        plan_strands(chart.runs, chart.layout, Habit("own", 50, 50, 1))
