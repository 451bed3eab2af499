"""What is tried: palettes and sizes, and for each the ways of working it. It follows from picture,
shelves, sizes and numbers of yarns alone, never from a goal, so that a looser goal never gives a
worse piece."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

import numpy as np

from pix2block.ground import settings
from pix2block.ground.settings import HABITS, START_CORNERS, Habit, StartCorner
from pix2block.options.goals import EstimateOptions
from pix2block.options.table import Options
from pix2block.study.ways import CALMS, FAR, Way

COLORS = (4, 6, 8, 12)
# How much is calmed in all: a chart of 60 x 75, its yarn picked up, twenty times. A small chart
# takes more of it than its blocks, since each piece costs something whatever its size; the smallest
# are tried in every way there is.
_GROWS = 0.75
EVERY_WAY = 200  # blocks
MOST_CALMED = 20 * (60 * 75) ** _GROWS
# Of what it takes where yarn is picked up at 3 %, measured at 60 x 75: more where it is carried, at
# a higher calm, and where few are to hang, which is searched several times.
_CARRY_TAKES, _FAR_TAKES, _FEW_TAKE, _HIGH_TAKES, _HIGH = 2.0, 2.6, 1.7, 1.35, 5.0
# Which ways tell most was looked up in every way of six small pictures: there is least to weave in
# where yarn is carried; by how much each habit is put off, in corners and calms tried before it.
_PUT_OFF = {"carry": 1.5, "cut": 2.5, "pickup": 3.0}
_CALMS_CARRIED, _CALMS_NOT = (10.0, 3.0, 6.0, 15.0), (3.0, 10.0)
_FEW_HANG, _FEW_CALM = (1.0, 2 / 3), 10.0  # of the yarns; per cent
_LATER_SIZE = 1  # ways of a size before the next size is tried too
_SMALL = 2000  # blocks up to which every number of yarns between two is tried
_MOST_BETWEEN = 5
_MOST_SIZES = 4


def takes(way: Way) -> float:
    """What a way takes of calming, in parts of what a chart takes unasked."""
    if not way.calm:
        return 0.0
    needs = (_FEW_TAKE if way.hanging else 1.0) * (_HIGH_TAKES if way.calm > _HIGH else 1.0)
    if way.habit.reach > HABITS["carry"].reach:
        return needs * _FAR_TAKES
    return needs * (_CARRY_TAKES if way.habit.reach >= HABITS["carry"].reach else 1.0)


def sizes_to_try(asked: EstimateOptions) -> list[dict[str, object]]:
    """Sizes, as fields of `Options`, the first the one that would be made unasked."""
    if asked.size:
        (w1, h1), (w2, h2) = asked.size
        count = 1 if asked.size[0] == asked.size[1] else _MOST_SIZES
        parts = np.linspace(1, 0, count) if count > 1 else np.ones(1)
        return [
            {"size": (round(w1 + p * (w2 - w1), 1), round(h1 + p * (h2 - h1), 1))} for p in parts
        ]
    if asked.width is None:
        usual = settings.DEFAULT_WIDTH
        return [{"width": usual}, {"width": usual * 3 // 4}]
    least, most = asked.width
    widths = _between(least, most, _MOST_SIZES)
    return [{"width": width} for width in reversed(widths)]


def colors_to_try(asked: EstimateOptions, most: int | None, blocks: int) -> list[int]:
    """Numbers of yarns. most: on the shelf, None without one; blocks: of the piece."""
    if asked.colors is None:
        counts = list(COLORS)
    else:
        least, top = asked.colors
        counts = _between(least, top, top - least + 1 if blocks <= _SMALL else _MOST_BETWEEN)
    if most is None:
        return counts
    return sorted({min(count, most) for count in counts})


def _between(least: int, most: int, count: int) -> list[int]:
    """At most so many whole numbers from least to most, both among them, evenly apart."""
    count = max(1 if least == most else 2, min(count, most - least + 1))
    return sorted({int(n) for n in np.floor(np.linspace(least, most, count) + 0.5)})


def ways_of(
    options: Options,
    usual_corner: StartCorner,
    yarns: int,
    plain_tails: Callable[[StartCorner, Habit], int],
) -> list[Way]:
    """Every way of working a palette, the most telling first; what options say is not varied.

    yarns: of the palette; plain_tails: of the uncalmed chart, from a start corner with a habit.
    """
    corners: tuple[StartCorner, ...] = (options.corner,) if options.corner else START_CORNERS
    habits = _habits(options)
    calms = CALMS if options.calm is None else (options.calm,)
    best = {
        habit: sorted(corners, key=lambda c: (plain_tails(c, habit), c != usual_corner))
        for habit in habits
    }
    usual = usual_corner if usual_corner in corners else corners[0]

    def put_off(way: Way) -> tuple[float, ...]:
        habit, corner = way.habit, best[way.habit].index(way.corner)
        if way.hanging:  # few yarns hanging, best where they are picked up
            first = corner == 0 and way.hanging == few[0] and habit.reach <= 1
            return (-2,) if first else (few.index(way.hanging) + corner, habits.index(habit), -1)
        if (habit.name, corner, way.calm) == ("carry", 0, 10.0):
            return (-3,)  # few tails
        if (habit.name, way.corner, way.calm) == ("pickup", usual, 3.0):
            return (-1,)  # what is made unasked
        order = _CALMS_CARRIED if habit.reach > 1 else _CALMS_NOT
        calm = order.index(way.calm) if way.calm in order else 0
        return (_PUT_OFF.get(habit.name, 0.0) + corner + calm, habits.index(habit), calm)

    few = sorted({math.ceil(share * yarns) for share in _FEW_HANG if yarns > 2}, reverse=True)
    ways = [
        Way(habit, corner, calm)
        for calm in calms
        for corner in corners
        for habit in habits
        if habit.reach > 1 or 1 in (len(habits), len(calms)) or calm in (0.0, *_CALMS_NOT)
    ]
    if calm := _FEW_CALM if options.calm is None else options.calm:
        capped = [habit for habit in habits if habit.name in ("pickup", "carry")] or habits[:1]
        ways += [Way(h, corner, calm, most) for most in few for corner in corners for h in capped]
    return sorted(ways, key=lambda way: (bool(way.calm), put_off(way) if way.calm else ()))


def _habits(options: Options) -> list[Habit]:
    own = (options.habit, options.reach, options.rest, options.edge)
    if own == (None,) * 4:
        return [HABITS["pickup"], HABITS["carry"], HABITS["cut"], FAR]
    habit = HABITS[options.habit or settings.DEFAULT_HABIT]
    reach = habit.reach if options.reach is None else options.reach
    rest = habit.rest if options.rest is None else options.rest
    edge = habit.edge if options.edge is None else options.edge
    return [settings.named_habit(reach, rest, edge)]


def shared_out(groups: Sequence[tuple[int, Sequence[Way]]]) -> Iterator[tuple[int, Way]]:
    """Which ways of which palettes are tried: in turn a way of each, the last of each size first,
    which has the most yarns, and those of the largest size a way ahead of the next, as long as so
    much calming is left as they take; those that calm nothing are free, one is tried in any case,
    and of the smallest charts all are. groups: blocks of a palette's chart, and its ways in order.
    Gives the number of the group with each way."""
    free = [(i, way) for i, (_, ways) in enumerate(groups) for way in ways if not way.calm]
    yield from free
    sizes = sorted({blocks for blocks, _ in groups}, reverse=True)
    waits = [_LATER_SIZE * sizes.index(blocks) for blocks, _ in groups]
    calmed = [[way for way in ways if way.calm] for _, ways in groups]
    places = [sum(blocks == size for size, _ in groups[:i]) for i, (blocks, _) in enumerate(groups)]
    order = sorted(range(len(groups)), key=lambda i: (-places[i], waits[i]))
    left, tried = MOST_CALMED, bool(free)
    for turn in range(max(w + len(ways) for w, ways in zip(waits, calmed, strict=True))):
        for number in order:
            blocks, at = groups[number][0], turn - waits[number]
            if not 0 <= at < len(calmed[number]):
                continue
            way = calmed[number][at]
            needs = takes(way) * blocks**_GROWS
            if needs <= left + 1e-6 or not tried or blocks <= EVERY_WAY:  # left: less sums of roots
                left, tried = left - needs, True
                yield number, way
