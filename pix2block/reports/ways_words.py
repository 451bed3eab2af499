"""Other ways to work a piece, in words: the one change that helps most, and all in a table."""

from __future__ import annotations

from collections.abc import Sequence

from pix2block.ground.advice import Advice, Ask
from pix2block.ground.settings import HABITS, Habit, say_corner
from pix2block.ground.units import say_count, say_hours
from pix2block.study.ways import Better
from pix2block.study.worked import Worked


def better_lines(better: Better) -> list[str]:
    """The one change that would help most, worked out by trying it: another start corner, carrying,
    more calm or a yarn fewer; none where none saves anything."""
    now, way = better.now, better.most
    if way is None:
        return []
    what, ask, cost = _change(better, way)
    hanging = way.most_hanging - now.most_hanging
    more = f", {say_count(hanging, 'more yarn')} hanging at most" if hanging > 0 else ""
    return [
        Advice(
            f"{what} would {_cut_down(way.tails / now.tails)}: {say_count(way.tails, 'tail')} in "
            f"place of {now.tails:,}, {say_hours(now.all_hours - way.all_hours)} less{cost}{more} "
            "(",
            ask,
            f"){_of_this_chart(way)}.",
        )
    ]


def _change(better: Better, way: Worked) -> tuple[str, Ask, str]:
    """What a change is called, the option that asks for it, and what it costs beside work."""
    if way is better.carried:
        floats = f", floats up to {way.longest_float:.1f} block sides"
        return "Carrying yarn behind", Ask("habit", "carry"), floats
    if way is better.corner:
        return f"Starting {say_corner(way.corner)}", Ask("corner", way.corner), ""
    if way is better.calmer and way.chart.calmed:
        calm = Ask("calm", f"{way.chart.calmed.percent:g}")
        return "Calming it more", calm, ", colours a little less true"
    words = ", colours a little less true" if (way.far or 0) > (better.now.far or 0) else ""
    return f"In {say_count(way.yarns, 'yarn')} it", Ask("colors", way.yarns), words


def _cut_down(left: float) -> str:
    """What leaving such a part of the tails does to the weaving in."""
    for part, words in ((0.4, "more than halve the weaving in"), (0.6, "halve the weaving in")):
        if left <= part:
            return words
    return f"save {100 * (1 - left):.0f} % of the weaving in"


def _of_this_chart(way: Worked) -> str:
    return "" if way.calmed else ", this very chart worked so"


def ways_lines(ways: Sequence[Worked]) -> list[str]:
    """Each habit from its best corner, in a table, the fewest tails first; those of this very chart
    say so where others were calmed for themselves."""
    several = len({way.calmed for way in ways}) > 1
    lines = [f"{'tails':>7} {'hanging':>7} {'longest':>7} {'hours':>6}  way, best start corner"]
    best: dict[Habit, Worked] = {}
    for way in sorted(ways, key=lambda way: (way.tails, way.longest_float)):
        best.setdefault(way.habit, way)
    presets = {_takes(way) for habit, way in best.items() if habit.name in HABITS}
    told: set[tuple[float, ...]] = set()
    for habit, way in best.items():
        if habit.name not in HABITS:
            others = presets | {_takes(other) for other in best.values()} - {_takes(way)}
            if _takes(way) in told or any(_as_good(other, way) for other in others):
                continue
            told.add(_takes(way))
        lines.append(
            f"{way.tails:>7,} {way.most_hanging:>7} {way.longest_float:>7.1f} "
            f"{way.all_hours:>6.0f}  {habit_words(habit)}, {say_corner(way.corner)}"
            f"{_of_this_chart(way) if several else ''}"
        )
    return [*lines, "Every corner with every habit is in ways.csv."]


def _takes(way: Worked) -> tuple[float, ...]:
    return way.tails, way.most_hanging, round(way.longest_float, 1)


def _as_good(other: tuple[float, ...], way: Worked) -> bool:
    """Whether what another way takes is nowhere more: then it alone is told."""
    return all(a <= b for a, b in zip(other, _takes(way), strict=True))


def habit_words(habit: Habit) -> str:
    """ "carry", or for limits of her own "carry at most 6 block sides, leave hanging at most 2
    rows, climb an edge at most 1 row"."""
    if habit.name in HABITS:
        return habit.name
    side = "block side" if habit.reach == 1 else "block sides"
    return (
        f"carry at most {habit.reach:g} {side}, leave hanging at most "
        f"{say_count(habit.rest, 'row')}, climb an edge at most {say_count(habit.edge, 'row')}"
    )
