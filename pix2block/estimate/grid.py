"""What is tried: palettes and sizes, and for each the ways of working it. It follows from picture,
shelves, sizes and numbers of yarns alone, never from a goal, so that a looser goal never gives a
worse piece."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from pix2block.ground import settings
from pix2block.ground.settings import HABITS, START_CORNERS, Habit, StartCorner
from pix2block.options.goals import EstimateOptions
from pix2block.options.table import Options
from pix2block.study.ways import CALMS, FAR, Way

COLORS = (4, 6, 8, 12)
# How much is calmed in all: a chart of 60 x 75 twelve times. A small chart takes more of it than
# its blocks, since each piece costs something whatever its size; for the smallest it is nearly
# every way there is. Carrying takes about twice the time of other habits.
_GROWS = 0.75
MOST_CALMED = 12 * (60 * 75) ** _GROWS
_CARRY_TAKES = 2.0
_SMALL = 2000  # blocks up to which every number of yarns between two is tried
_MOST_BETWEEN = 5
_MOST_SIZES = 4


def takes(way: Way) -> float:
    """What a way takes of calming, in parts of what a habit that does not carry takes."""
    if not way.calm:
        return 0.0
    return _CARRY_TAKES if way.habit.reach >= HABITS["carry"].reach else 1.0


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
    options: Options, usual_corner: StartCorner, plain_tails: Callable[[StartCorner], int]
) -> list[Way]:
    """Every way of working a palette, the most telling first; what options say is not varied.

    plain_tails: of the uncalmed chart, from a start corner.
    """
    corners: tuple[StartCorner, ...] = (options.corner,) if options.corner else START_CORNERS
    habits = _habits(options)
    calms = CALMS if options.calm is None else (options.calm,)
    best = min(corners, key=lambda c: (plain_tails(c), c != usual_corner))
    first = usual_corner if usual_corner in corners else best
    order = {corner: (corner != first) + (corner != best) for corner in corners}
    ways = [Way(habit, corner, calm) for calm in calms for corner in corners for habit in habits]

    def telling(way: Way) -> tuple[int, ...]:
        usual = (way.habit, way.corner, way.calm) == (habits[0], first, 3.0)
        carried = way.habit.reach > 1 and way.corner == best and way.calm == 10.0
        later = order[way.corner] + habits.index(way.habit) + calms.index(way.calm)
        return not usual, not carried, later

    return sorted(ways, key=lambda way: (bool(way.calm), *telling(way)))


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
    """Which ways of which palettes are tried: in turn a way of each, until so many blocks have been
    calmed. groups: blocks of a palette's chart, and its ways in order. Gives the number of the
    group with each way; those that calm nothing are free."""
    left = MOST_CALMED
    queues = [[way for way in ways if way.calm] for _, ways in groups]
    for number, (_, ways) in enumerate(groups):
        for way in ways:
            if not way.calm:
                yield number, way
    turn = 0
    while any(turn < len(queue) for queue in queues):
        for number, queue in enumerate(queues):
            if turn < len(queue):
                takes_now = takes(queue[turn]) * groups[number][0] ** _GROWS
                if takes_now > left + 1e-6 and turn:  # what is left is a sum of roots
                    return
                left -= takes_now
                yield number, queue[turn]
        turn += 1
