"""Stripes as they came out: their rows, their edges, and where their tails lie.

A stripe of an even number of rows ends at the edge where it began, one of an odd number at the
other (common practice; it follows from the piece turning after each row).
"""

from __future__ import annotations

import numpy as np

from pix2block.amounts.yarn_use import Amounts
from pix2block.craft.diagonal import Edge
from pix2block.craft.plan import NO_RUN
from pix2block.craft.strands import plan_strands
from pix2block.craft.tails import INSIDE, edge_begun, edge_ended
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import HABITS, Habit, named_habit

MOST_CLIMB = 9  # rows; a longer stretch along an edge is no longer climbed, it is a long float


@dataclass(frozen=True)
class StripeMade:
    """A stripe of the chart. begins_at, ends_at: the edges where its yarn comes in and goes out;
    tails_begin, tails_end: the tails it leaves there; metres: likely, tails and joins not counted.
    """

    yarn: int
    first_row: int
    last_row: int
    blocks: int
    metres: float
    begins_at: Edge
    ends_at: Edge
    tails_begin: int
    tails_end: int

    @property
    def rows(self) -> int:
        """Rows of the stripe."""
        return self.last_row - self.first_row + 1


def stripes_made(amounts: Amounts) -> tuple[StripeMade, ...]:
    """The stripes of a chart whose rows are each of one yarn, in working order."""
    chart, plan, runs = amounts.chart, amounts.plan, amounts.chart.runs
    rows = chart.layout.rows
    changed = np.flatnonzero(np.diff(runs.color, prepend=-1))
    stripes = []
    for first, after in zip(changed.tolist(), [*changed[1:].tolist(), len(runs)], strict=True):
        yarn = int(runs.color[first])
        loops = int(amounts.run_loops[first:after].sum())
        cm = loops * amounts.measures.loop_cm[yarn] * chart.yarns[yarn].held
        stripes.append(
            StripeMade(
                yarn=yarn,
                first_row=first + 1,
                last_row=after,
                blocks=int(runs.blocks[first:after].sum()),
                metres=cm / 100,
                begins_at=edge_begun(rows[first]),
                ends_at=edge_ended(rows[after - 1]),
                tails_begin=int(np.count_nonzero(plan.preceding[first:after] == NO_RUN)),
                tails_end=int(np.count_nonzero(plan.following[first:after] == NO_RUN)),
            )
        )
    return tuple(stripes)


@dataclass(frozen=True)
class Sides:
    """Tails on the two sides of a striped piece: the one where odd rows begin and even rows end,
    and the other. edges: of each side, as the chart is seen."""

    odd_begin: int
    odd_end: int
    odd_begin_edges: tuple[Edge, ...]
    odd_end_edges: tuple[Edge, ...]
    inside: int


def tails_by_side(amounts: Amounts) -> Sides:
    """How many tails lie on which side of the piece."""
    layout, tails = amounts.chart.layout, amounts.tails
    starts = amounts.plan.strands
    row = amounts.chart.runs.row[tails.run]
    begins = np.arange(len(tails)) < starts
    at_edge = tails.place != INSIDE
    first_side = at_edge & (begins == (row % 2 == 1))
    one: dict[Edge, None] = {}
    other: dict[Edge, None] = {}
    for n in layout:
        sides = (one, other) if n.number % 2 else (other, one)
        sides[0].setdefault(edge_begun(n))
        sides[1].setdefault(edge_ended(n))
    return Sides(
        odd_begin=int(np.count_nonzero(first_side)),
        odd_end=int(np.count_nonzero(at_edge & ~first_side)),
        odd_begin_edges=tuple(one),
        odd_end_edges=tuple(other),
        inside=int(np.count_nonzero(~at_edge)),
    )


@dataclass(frozen=True)
class Climb:
    """What leading yarn up the edge over so many rows at most leaves in tails."""

    edge: int
    tails: int


@dataclass(frozen=True)
class Climbs:
    """Yarn led up the edge over as many rows as is done, and other ways: more is the least number
    of rows that leaves fewer tails, fewer the next number below; None where there is none."""

    now: Climb
    more: Climb | None
    fewer: Climb | None
    cut: int


def climbs_of(amounts: Amounts) -> Climbs:
    """What leading yarn up the edge leaves, over as many rows as the habit has and otherwise. After
    an even number of rows the yarn hangs at the other edge, so odd ones alone differ."""
    edge, tails = amounts.chart.habit.edge, amounts.plan.tails
    edge -= edge % 2 == 0
    longer = (_climb(amounts, rows) for rows in range(edge + 2, MOST_CLIMB + 1, 2))
    return Climbs(
        now=Climb(edge, tails),
        more=next((climb for climb in longer if climb.tails < tails), None),
        fewer=_climb(amounts, edge - 2) if edge > 3 else None,
        cut=_tails(amounts, HABITS["cut"]),
    )


def _climb(amounts: Amounts, edge: int) -> Climb:
    habit = amounts.chart.habit
    return Climb(edge, _tails(amounts, named_habit(habit.reach, habit.rest, edge)))


def _tails(amounts: Amounts, habit: Habit) -> int:
    chart = amounts.chart
    return plan_strands(chart.runs, chart.layout, habit).tails
