"""Ways to work a piece: another start corner, another habit, a longer reach or rest, more calm.

A chart that was calmed was calmed for its own corner and habit; worked otherwise it leaves more
tails than it need. So another corner or habit is counted on the chart as it would come out calmed
for that, where it can be calmed again, and else, told so, on this very chart. The hand is the
maker's and stays; the picture is never mirrored.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Protocol, cast

import numpy as np

from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import Chart
from pix2block.color.difference import difference_table
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import (
    HABITS,
    START_CORNERS,
    Habit,
    HabitName,
    StartCorner,
    named_habit,
)
from pix2block.options.table import Options
from pix2block.study.worked import Worked, keeps_all

CALMS = (0.0, 3.0, 6.0, 10.0, 15.0)  # per cent
FAR = named_habit(4.0, 2, 3)  # carried farther: beyond, calming takes many times as long
REACHES = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0)
RESTS = (1, 2, 3)
MOST_BLOCKS_AGAIN = 20_000  # a larger chart is not made again for a word of advice
_WORTH_A_WORD = 0.05  # of the tails
# Where neither corner nor carrying saves so much of the tails, what costs truth is tried too.
_HELPS = 0.25
_LESS_TRUE = 1.1  # times the error seen from far, at most, for a change that is advised
_MORE_CALM = 10.0
_FELT = 4  # tails
_NEAR_SHADES = 10.0  # CIEDE2000


@dataclass(frozen=True)
class Way:
    """A way of working a palette: habit, start corner, calm in per cent; hanging: yarns that may
    hang in any row, as far as calm allows, None where that is not bounded."""

    habit: Habit
    corner: StartCorner
    calm: float
    hanging: int | None = None

    def asked(self, options: Options) -> Options:
        """Options that ask for it."""
        habit, preset = self.habit, self.habit in HABITS.values()
        return replace(
            options,
            corner=self.corner,
            calm=self.calm,
            habit=cast(HabitName, habit.name) if preset else None,
            reach=None if preset else habit.reach,
            rest=None if preset else habit.rest,
            edge=None if preset else habit.edge,
            most_hanging=self.hanging or options.most_hanging,
        )


# A piece, worked from a corner with a habit and calmed for that; None where it cannot be told.
Again = Callable[[StartCorner, Habit], Worked | None]


class Otherwise(Protocol):
    """Makes a piece from its picture with another calm or number of yarns; None where that cannot
    be made."""

    def __call__(self, *, calm: float | None = None, colors: int | None = None) -> Worked | None:
        """The piece so made, as it is seen."""


def _never(_corner: StartCorner, _habit: Habit) -> Worked | None:
    return None


def work_out(now: Worked, corner: StartCorner, habit: Habit, again: Again = _never) -> Worked:
    """A piece worked another way. again: makes the piece for that way, where it can be made."""
    chart = now.chart
    of_its_own = chart.calmed is None or (corner, habit) == (now.corner, now.habit)
    made = None if of_its_own else again(corner, habit)
    if made:
        return made
    turned = replace(chart, start_corner=corner, habit=habit)  # which is seen as it was
    return replace(now, amounts=amounts_of(turned), calmed=of_its_own)


def corners_for(chart: Chart) -> tuple[StartCorner, ...]:
    """Where a chart may start: a piece that ends early, or is begun, keeps its corner."""
    return (chart.start_corner,) if chart.ends_early or chart.done else START_CORNERS


def compare_ways(
    now: Worked, again: Again, progress: Callable[[int, int], None] | None = None
) -> list[Worked]:
    """Every start corner with every habit of an estimate, made again for each; and with reach 1 to
    6 and rest 1 to 3, on this very chart.

    again: as for `work_out`; progress: called with ways done and in all.
    """
    asked = list(_asked(now.chart))
    named = (now.habit, *HABITS.values(), FAR)
    ways = []
    for corner, habit in asked:
        if habit in named:
            way = work_out(now, corner, habit, again)
        else:
            way = replace(work_out(now, corner, habit), calmed=False)
        ways.append(way)
        if progress:
            progress(len(ways), len(asked))
    return ways


def _asked(chart: Chart) -> Iterator[tuple[StartCorner, Habit]]:
    longer = [named_habit(reach, rest, chart.habit.edge) for reach in REACHES for rest in RESTS]
    habits = list(dict.fromkeys([chart.habit, *HABITS.values(), FAR, *longer]))
    for corner in corners_for(chart):
        for habit in habits:
            yield corner, habit


@dataclass(frozen=True, eq=False)
class Better:
    """Ways worth a word: as the chart is worked; from another corner, where that saves at least 5 %
    of the tails; carrying, where the habit does not carry already: of the two, what promises less
    is not tried where the other is worth it; more calm, and a yarn fewer, where neither helps much
    and these cost little truth."""

    now: Worked
    corner: Worked | None = None
    carried: Worked | None = None
    calmer: Worked | None = None
    fewer: Worked | None = None

    @property
    def most(self) -> Worked | None:
        """The one that saves most time; None where none saves any."""
        every = (self.carried, self.corner, self.calmer, self.fewer)
        ways = [way for way in every if way and way.all_hours < self.now.all_hours]
        return min(ways, key=lambda way: (way.all_hours, way.tails), default=None)


def better_ways(amounts: Amounts, again: Again, otherwise: Otherwise | None = None) -> Better:
    """What another corner, carrying, more calm or fewer yarns would save, by trying it.

    again: as for `work_out`, which takes long; the chart as it was before calming tells which of
    the first two is worth making again first; otherwise: makes it with more calm or fewer yarns,
    None where that cannot be made.
    """
    chart, better = amounts.chart, Better(Worked(amounts=amounts))
    now = better.now
    if int(chart.blocks_by_yarn.sum()) > MOST_BLOCKS_AGAIN:
        again, otherwise = _never, None
    promised = _promised(chart)
    for name, way in sorted(promised.items(), key=lambda one: one[1].all_hours):
        found = work_out(now, way.corner, way.habit, again)
        most = 1 - _WORTH_A_WORD if name == "corner" else 1
        if found.tails <= most * now.tails and found.tails < now.tails:
            better = replace(better, **{name: found})
        if better.most:
            break
    fewest = better.most.tails if better.most else now.tails
    if otherwise is None or fewest <= (1 - _HELPS) * now.tails:
        return better
    return _for_less_truth(better, otherwise)


def _promised(chart: Chart) -> dict[str, Worked]:
    """What another corner and carrying take of the chart as it was before calming: by that the more
    promising is told."""
    plain = Worked(amounts=amounts_of(chart.uncalmed or chart))
    promised: dict[str, Worked] = {}
    by_corner = [work_out(plain, corner, chart.habit) for corner in corners_for(chart)]
    as_it_is = next(way for way in by_corner if way.corner == chart.start_corner)
    corner = min(by_corner, key=lambda way: (way.tails, way is not as_it_is))
    if corner.tails <= (1 - _WORTH_A_WORD) * as_it_is.tails:
        promised["corner"] = corner
    carry = HABITS["carry"]
    if chart.habit.reach < carry.reach or chart.habit.rest < carry.rest:
        promised["carried"] = work_out(plain, chart.start_corner, carry)
    return promised


def _for_less_truth(better: Better, otherwise: Otherwise) -> Better:
    """With more calm, and with a yarn fewer, where they save what is worth a word, lose nothing and
    cost little that one would see."""
    chart, now = better.now.chart, otherwise()
    if now is None or now.far is None:
        return better
    percent = chart.calmed.percent if chart.calmed else 0.0
    calmer = otherwise(calm=_MORE_CALM) if 0 < percent < _MORE_CALM else None
    fewer = None
    merged = merged_shades(chart)
    if merged and amounts_of(merged[2]).plan.tails <= (1 - _WORTH_A_WORD) * now.tails:
        fewer = otherwise(colors=now.yarns - 1)

    def worth(way: Worked | None) -> Worked | None:
        if way is None or way.far is None or now.far is None or not keeps_all(way, now):
            return None
        saves = now.tails - way.tails >= max(_FELT, _WORTH_A_WORD * now.tails)
        return way if saves and way.far <= _LESS_TRUE * now.far else None

    return replace(better, calmer=worth(calmer), fewer=worth(fewer))


def merged_shades(chart: Chart) -> tuple[str, str, Chart] | None:
    """The two nearest of the yarns in use as one, the one with fewer blocks going: its name, the
    name of the one that stays, the chart; None where no two are near, or of two yarns."""
    used = np.flatnonzero(chart.blocks_by_yarn)
    if len(used) < 3:
        return None
    apart = difference_table(chart.yarn_rgb[used], chart.yarn_rgb[used])
    np.fill_diagonal(apart, np.inf)
    one, other = (int(used[i]) for i in np.unravel_index(int(apart.argmin()), apart.shape))
    if float(apart.min()) > _NEAR_SHADES:
        return None
    goes, stays = sorted((one, other), key=lambda n: (int(chart.blocks_by_yarn[n]), -n))
    blocks = np.where(chart.blocks == goes, stays, chart.blocks)
    return chart.yarns[goes].name, chart.yarns[stays].name, replace(chart, blocks=blocks)
