"""Ways to work the same chart: another start corner, another habit, a longer reach or rest.

The hand is the maker's and stays; the picture is never mirrored.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from pix2block.amounts.endings import chosen_ending, endings_of
from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.craft.plan import StrandPlan
from pix2block.craft.strands import plan_strands
from pix2block.craft.tails import Tails, find_tails
from pix2block.ground.settings import HABITS, START_CORNERS, Habit, StartCorner, named_habit

REACHES = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0)
RESTS = (1, 2, 3)
_WORTH_A_WORD = 0.05  # of the tails


@dataclass(frozen=True)
class Way:
    """What a way of working takes. longest_float, float_sides: in block sides; hours: crochet and
    ending tails."""

    corner: StartCorner
    habit: Habit
    tails: int
    most_hanging: int
    longest_float: float
    float_sides: float
    hours: float


def work_out(chart: Chart, corner: StartCorner, habit: Habit) -> Way:
    """A chart worked another way."""
    turned = replace(chart, start_corner=corner, habit=habit)
    plan = plan_strands(turned.runs, turned.layout, habit)
    return _way(turned, plan, find_tails(plan, turned.layout))


def _way(chart: Chart, plan: StrandPlan, tails: Tails) -> Way:
    runs = chart.runs
    changes = int(runs.changes_in_rows.sum() + runs.changes_at_turns.sum())
    minutes = chart.pace.block * int(runs.blocks.sum()) + chart.pace.change * changes
    endings = endings_of(tails, chart.pace, joins=0)
    return Way(
        corner=chart.start_corner,
        habit=chart.habit,
        tails=plan.tails,
        most_hanging=int(plan.attached_by_row.max()),
        longest_float=float(plan.float_sides.max()),
        float_sides=float(plan.float_sides.sum()),
        hours=minutes / 60 + chosen_ending(chart.tail_ending, endings).hours,
    )


def calming_tails(chart: Chart, plan: StrandPlan | None = None) -> tuple[int, int] | None:
    """Tails before and after the chart was calmed, worked as it is now; where a hand has changed
    it since, as they were when it was calmed. None where it was not, or where they are not told.

    plan: of the chart, where it is made already.
    """
    calmed, uncalmed = chart.calmed, chart.uncalmed
    if uncalmed is not None:
        plan = plan or plan_strands(chart.runs, chart.layout, chart.habit)
        before = plan_strands(uncalmed.runs, uncalmed.layout, uncalmed.habit)
        return before.tails, plan.tails
    if calmed is None or calmed.tails_before is None or calmed.tails_after is None:
        return None
    return calmed.tails_before, calmed.tails_after


def with_calming_counted(chart: Chart) -> Chart:
    """The chart that keeps what calming did to its tails, worked as it is now."""
    tails = calming_tails(chart)
    if tails is None or chart.source is None or chart.calmed is None:
        return chart
    calmed = replace(chart.calmed, tails_before=tails[0], tails_after=tails[1])
    return replace(chart, source=replace(chart.source, calmed=calmed))


def corners_for(chart: Chart) -> tuple[StartCorner, ...]:
    """Where a chart may start: a piece that ends early keeps its corner."""
    return (chart.start_corner,) if chart.ends_early else START_CORNERS


def compare_ways(chart: Chart, progress: Callable[[int, int], None] | None = None) -> list[Way]:
    """Every start corner with every habit, and with reach 1 to 6 and rest 1 to 3.

    progress: called with ways done and in all.
    """
    asked = list(_asked(chart))
    ways = []
    for corner, habit in asked:
        ways.append(work_out(chart, corner, habit))
        if progress:
            progress(len(ways), len(asked))
    return ways


def _asked(chart: Chart) -> Iterator[tuple[StartCorner, Habit]]:
    longer = [named_habit(reach, rest, chart.habit.edge) for reach in REACHES for rest in RESTS]
    habits = list(dict.fromkeys([chart.habit, *HABITS.values(), *longer]))
    for corner in corners_for(chart):
        for habit in habits:
            yield corner, habit


@dataclass(frozen=True)
class Better:
    """Ways worth a word: as the chart is worked; from another corner, where that saves at least 5 %
    of the tails; carrying, where the habit does not carry already."""

    now: Way
    corner: Way | None
    carried: Way | None


def better_ways(amounts: Amounts) -> Better:
    """What another corner, or carrying, would save."""
    chart = amounts.chart
    now = _way(chart, amounts.plan, amounts.tails)
    others = [work_out(chart, c, chart.habit) for c in corners_for(chart) if c != now.corner]
    best = min(others, key=lambda way: way.tails, default=None)
    saves = best is not None and best.tails <= (1 - _WORTH_A_WORD) * now.tails
    carry = HABITS["carry"]
    carries = chart.habit.reach >= carry.reach and chart.habit.rest >= carry.rest
    carried = None if carries else work_out(chart, chart.start_corner, carry)
    if carried and carried.tails >= now.tails:
        carried = None
    return Better(now, best if saves else None, carried)
