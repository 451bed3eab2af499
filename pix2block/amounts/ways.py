"""Ways to work a piece: another start corner, another habit, a longer reach or rest.

A chart that was calmed was calmed for its own corner and habit; worked otherwise it leaves more
tails than it need. So another corner or habit is counted on the chart as it would come out calmed
for that, where it can be calmed again, and else, told so, on this very chart. The hand is the
maker's and stays; the picture is never mirrored.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from pix2block.amounts.endings import chosen_ending, endings_of
from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.chart.source import Otherwise
from pix2block.craft.plan import StrandPlan
from pix2block.craft.tails import Tails, find_tails
from pix2block.ground.settings import HABITS, START_CORNERS, Habit, StartCorner, named_habit

REACHES = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0)
RESTS = (1, 2, 3)
MOST_BLOCKS_AGAIN = 20_000  # a larger chart is not made again for a word of advice
_WORTH_A_WORD = 0.05  # of the tails


@dataclass(frozen=True)
class Way:
    """What a way of working takes. longest_float, float_sides: in block sides; hours: crochet and
    ending tails; calmed: whether it is the chart that such a corner and habit would give, not this
    very chart worked otherwise."""

    corner: StartCorner
    habit: Habit
    tails: int
    most_hanging: int
    longest_float: float
    float_sides: float
    hours: float
    calmed: bool = False


# A chart as it would come out, calmed for a start corner and a habit; None where it cannot be told.
Again = Callable[[StartCorner, Habit], Chart | None]


def _never(_corner: StartCorner, _habit: Habit) -> Chart | None:
    return None


def work_out(chart: Chart, corner: StartCorner, habit: Habit, again: Again = _never) -> Way:
    """A chart worked another way. again: makes the chart for that way, where it can be made."""
    of_its_own = chart.calmed is None or (corner, habit) == (chart.start_corner, chart.habit)
    turned = None if of_its_own else again(corner, habit)
    calmed = of_its_own or turned is not None
    turned = turned or replace(chart, start_corner=corner, habit=habit)
    plan = turned.plan
    return _way(turned, plan, find_tails(plan, turned.layout), calmed)


def _way(chart: Chart, plan: StrandPlan, tails: Tails, calmed: bool = True) -> Way:
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
        calmed=calmed,
    )


def calming_tails(chart: Chart, plan: StrandPlan | None = None) -> tuple[int, int] | None:
    """Tails before and after the chart was calmed, worked as it is now; where a hand has changed
    it since, as they were when it was calmed. None where it was not, or where they are not told.

    plan: of the chart, where it is made already.
    """
    calmed, uncalmed = chart.calmed, chart.uncalmed
    if uncalmed is not None:
        return uncalmed.plan.tails, (plan or chart.plan).tails
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


def with_otherwise(chart: Chart, made: Mapping[tuple[StartCorner, Habit], Chart | None]) -> Chart:
    """The chart that keeps how it would have come out, calmed for other ways of working."""
    plain, calmed, source = chart.uncalmed, chart.calmed, chart.source
    if plain is None or calmed is None or source is None or not any(made.values()):
        return chart
    kept = []
    for (corner, habit), other in made.items():
        if other is not None:
            lines, columns = np.nonzero(other.blocks != plain.blocks)
            changed = np.stack([lines, columns, other.blocks[lines, columns]], axis=1)
            kept.append(Otherwise(corner, chart.hand, habit, changed, chart.fingerprint))
    return replace(chart, source=replace(source, calmed=replace(calmed, otherwise=tuple(kept))))


def corners_for(chart: Chart) -> tuple[StartCorner, ...]:
    """Where a chart may start: a piece that ends early, or is begun, keeps its corner."""
    return (chart.start_corner,) if chart.ends_early or chart.done else START_CORNERS


def compare_ways(
    chart: Chart, again: Again, progress: Callable[[int, int], None] | None = None
) -> list[Way]:
    """Every start corner with every habit, made again for each; and with reach 1 to 6 and rest 1 to
    3, on this very chart.

    again: as for `work_out`; progress: called with ways done and in all.
    """
    asked = list(_asked(chart))
    named = (chart.habit, *HABITS.values())
    ways = []
    for corner, habit in asked:
        if habit in named:
            way = work_out(chart, corner, habit, again)
        else:
            way = replace(work_out(chart, corner, habit), calmed=False)
        ways.append(way)
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
    of the tails; carrying, where the habit does not carry already. Of the two, what promises less
    is not tried where the other is worth it."""

    now: Way
    corner: Way | None = None
    carried: Way | None = None

    @property
    def most(self) -> Way | None:
        """The one that saves most time; None where none saves any."""
        ways = [way for way in (self.carried, self.corner) if way and way.hours < self.now.hours]
        return min(ways, key=lambda way: (way.hours, way.tails), default=None)


def better_ways(amounts: Amounts, again: Again) -> Better:
    """What another corner, or carrying, would save. again: as for `work_out`, which takes long; the
    chart as it was before calming tells which of the two is worth making again first."""
    chart = amounts.chart
    better = Better(_way(chart, amounts.plan, amounts.tails))
    if int(chart.blocks_by_yarn.sum()) > MOST_BLOCKS_AGAIN:
        again = _never
    plain = chart.uncalmed or chart
    promised: dict[str, Way] = {}
    by_corner = [work_out(plain, corner, chart.habit) for corner in corners_for(chart)]
    as_it_is = next(way for way in by_corner if way.corner == chart.start_corner)
    corner = min(by_corner, key=lambda way: (way.tails, way is not as_it_is))
    if corner.tails <= (1 - _WORTH_A_WORD) * as_it_is.tails:
        promised["corner"] = corner
    carry = HABITS["carry"]
    if chart.habit.reach < carry.reach or chart.habit.rest < carry.rest:
        promised["carried"] = work_out(plain, chart.start_corner, carry)
    for name, way in sorted(promised.items(), key=lambda one: one[1].hours):
        found = work_out(chart, way.corner, way.habit, again)
        most = 1 - _WORTH_A_WORD if name == "corner" else 1
        if found.tails <= most * better.now.tails and found.tails < better.now.tails:
            better = replace(better, **{name: found})
        if better.most:
            break
    return better
