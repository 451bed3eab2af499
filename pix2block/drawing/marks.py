"""Marks for yarns: plain geometry, told apart at 2 mm and in a photocopy.

A mark is drawn in a square from -1 to 1. The lightest yarn stays blank; the darker a yarn, the
heavier its mark, so that a black-and-white chart still shows the picture. A mark that a yarn once
got stays its own, in the chart.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import combinations, islice

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.color.spaces import from_hex, relative_luminance
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import added_up
from pix2block.yarn.yarn import name_key

Outline = tuple[tuple[float, float], ...]
_CIRCLE_STEPS = 24
_FULL = 4.0  # darkness of the whole square


@dataclass(frozen=True)
class Mark:
    """Filled outlines, which do not overlap, and holes cut out of them."""

    name: str
    outlines: tuple[Outline, ...] = ()
    holes: tuple[Outline, ...] = ()

    @cached_property
    def darkness(self) -> float:
        """Area, 0 to 4."""
        return added_up(map(_area, self.outlines)) - added_up(map(_area, self.holes))


def _area(outline: Outline) -> float:
    """Shoelace formula."""
    after = (*outline[1:], outline[0])
    return abs(
        added_up(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(outline, after, strict=True)) / 2
    )


def _disc(x: float, y: float, r: float, start: float = 0.0, end: float = 360.0) -> Outline:
    steps = max(3, round(_CIRCLE_STEPS * (end - start) / 360))
    count = steps if end - start >= 360 else steps + 1
    angles = (math.radians(start + (end - start) * i / steps) for i in range(count))
    return tuple((x + r * math.cos(a), y + r * math.sin(a)) for a in angles)


def _bar(angle: float, half_width: float, shift: float = 0.0, reach: float = 0.8) -> Outline:
    cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    low, high = shift - half_width, shift + half_width
    corners = ((-reach, low), (reach, low), (reach, high), (-reach, high))
    return tuple((x * cos - y * sin, x * sin + y * cos) for x, y in corners)


def _cross(angle: float, half: float, reach: float = 0.8) -> Outline:
    corner = [(half, half), (half, reach), (-half, reach)]
    points = []
    for quarter in range(4):
        turn = math.radians(angle + 90 * quarter)
        cos, sin = math.cos(turn), math.sin(turn)
        points += [(x * cos - y * sin, x * sin + y * cos) for x, y in corner]
    return tuple(points)


def _polygon(sides: int, angle: float, r: float = 0.8) -> Outline:
    turns = (math.radians(angle + 360 * i / sides) for i in range(sides))
    return tuple((r * math.cos(a), r * math.sin(a)) for a in turns)


BLANK = Mark("blank")

# In steps of darkness, each at least half as heavy again as the one before, so that a chart in
# black ink still shows the picture.
STEPS = (
    Mark("point", (_disc(0, 0, 0.25),)),
    Mark("short level bar", (_bar(0, 0.13, reach=0.6),)),
    Mark("long rising bar", (_bar(-45, 0.127, reach=0.95),)),
    Mark("thin ring", (_disc(0, 0, 0.74),), (_disc(0, 0, 0.55),)),
    Mark("two broad bars", (_bar(90, 0.18, -0.45), _bar(90, 0.18, 0.45))),
    Mark("broad cross", (_cross(45, 0.268, 0.95),)),
    Mark("heavy ring", (_disc(0, 0, 1.0),), (_disc(0, 0, 0.38),)),
    Mark("full square", (_polygon(4, 45, 2**0.5),)),
)

# For more yarns, in the order in which they are given out: the most distinct first.
_SINGLE = (
    Mark("full dot", (_disc(0, 0, 0.72),)),
    Mark("ring", (_disc(0, 0, 0.72),), (_disc(0, 0, 0.46),)),
    Mark("cross", (_cross(45, 0.13, 0.9),)),
    Mark("level bar", (_bar(0, 0.17),)),
    Mark("small dot", (_disc(0, 0, 0.3),)),
    Mark("wedge up", (_polygon(3, -90),)),
    Mark("upright bar", (_bar(90, 0.17),)),
    Mark("half dot left", (_disc(0, 0, 0.75, 90, 270),)),
    Mark("rising bar", (_bar(-45, 0.15, reach=0.95),)),
    Mark("square", (_polygon(4, 45, 0.9),)),
    Mark("upright cross", (_cross(0, 0.15),)),
    Mark("falling bar", (_bar(45, 0.15, reach=0.95),)),
    Mark("wedge down", (_polygon(3, 90),)),
    Mark("open square", (_polygon(4, 45, 0.95),), (_polygon(4, 45, 0.58),)),
    Mark("half dot top", (_disc(0, 0, 0.75, 180, 360),)),
    Mark("two level bars", (_bar(0, 0.13, -0.4), _bar(0, 0.13, 0.4))),
    Mark("diamond", (_polygon(4, 0, 0.85),)),
    Mark("two upright bars", (_bar(90, 0.13, -0.4), _bar(90, 0.13, 0.4))),
    Mark("open wedge up", (_polygon(3, -90, 0.9),), (_polygon(3, -90, 0.45),)),
    Mark("wedge left", (_polygon(3, 180),)),
    Mark("half dot right", (_disc(0, 0, 0.75, -90, 90),)),
    Mark("ring and dot", (_disc(0, 0, 0.8), _disc(0, 0, 0.25)), (_disc(0, 0, 0.58),)),
    Mark("wedge right", (_polygon(3, 0),)),
    Mark("half dot bottom", (_disc(0, 0, 0.75, 0, 180),)),
    Mark("open diamond", (_polygon(4, 0, 0.95),), (_polygon(4, 0, 0.58),)),
    Mark("open wedge down", (_polygon(3, 90, 0.9),), (_polygon(3, 90, 0.45),)),
    Mark("two dots", (_disc(-0.45, 0, 0.28), _disc(0.45, 0, 0.28))),
    Mark("two dots upright", (_disc(0, -0.45, 0.28), _disc(0, 0.45, 0.28))),
    Mark("heavy cross", (_cross(45, 0.27, 0.85),)),
    Mark("heavy upright cross", (_cross(0, 0.27),)),
    Mark("two rising bars", (_bar(-45, 0.12, -0.3), _bar(-45, 0.12, 0.3))),
    Mark("two falling bars", (_bar(45, 0.12, -0.3), _bar(45, 0.12, 0.3))),
)


def _pair(one: Mark, other: Mark) -> Mark:
    def shrunk(outlines: tuple[Outline, ...], shift: float) -> tuple[Outline, ...]:
        return tuple(tuple((x * 0.48 + shift, y * 0.48 + shift) for x, y in o) for o in outlines)

    return Mark(
        f"{one.name}, {other.name}",
        shrunk(one.outlines, -0.45) + shrunk(other.outlines, 0.45),
        shrunk(one.holes, -0.45) + shrunk(other.holes, 0.45),
    )


def _every_mark() -> Iterator[Mark]:
    """Every mark but the blank one, the most distinct first; for very many yarns, pairs."""
    yield from (*STEPS, *_SINGLE)
    for gap in range(1, len(_SINGLE)):
        yield from (_pair(one, _SINGLE[(i + gap) % len(_SINGLE)]) for i, one in enumerate(_SINGLE))


def marks_for(colors: list[str]) -> list[Mark]:
    """A mark for each yarn colour, in the given order: blank for the lightest, then heavier; in
    steps as long as there are enough."""
    light = [relative_luminance(from_hex(color)) for color in colors]
    light_first = sorted(range(len(colors)), key=lambda i: (-light[i], i))
    if len(colors) <= len(STEPS) + 1:
        marks = [BLANK, *_steps_for([light[i] for i in light_first[1:]])]
    else:
        heavier = islice(_every_mark(), len(colors) - 1)
        marks = [BLANK, *sorted(heavier, key=lambda mark: mark.darkness)]
    return [mark for _, mark in sorted(zip(light_first, marks, strict=True), key=lambda p: p[0])]


def _steps_for(light: Sequence[float]) -> Sequence[Mark]:
    """Rising steps, for luminances from light to dark those whose places on the way to black are
    nearest to the yarns' own, by lightness."""
    dark = [1 - (116 * _cube_root(y) - 16) / 100 for y in light]
    ways = combinations(range(len(STEPS)), len(light))

    def apart(way: tuple[int, ...]) -> float:
        return added_up(
            ((step + 1) / len(STEPS) - d) ** 2 for step, d in zip(way, dark, strict=True)
        )

    return [STEPS[step] for step in min(ways, key=apart)]


def _cube_root(luminance: float) -> float:
    """CIELAB's, with its straight part near black (CIE 15)."""
    straight = luminance <= (6 / 29) ** 3
    return luminance * (29 / 6) ** 2 / 3 + 4 / 29 if straight else luminance ** (1 / 3)


def marks_of(chart: Chart) -> dict[int, Mark]:
    """The mark of every yarn that the chart's blocks use, by yarn number: the one that it once got,
    else, where no yarn has one yet, by `marks_for`, else a free one that fits between those of the
    lighter and the darker yarns.

    Raises BadInput for a mark that is not known, or that two yarns have.
    """
    used = np.flatnonzero(chart.blocks_by_yarn).tolist()
    kept = _kept(chart)
    if not kept:
        return dict(zip(used, marks_for([chart.yarns[i].color for i in used]), strict=True))
    for number in used:
        if number not in kept:
            kept[number] = _fitting(chart, number, kept)
    return {number: kept[number] for number in used}


def with_marks(chart: Chart) -> Chart:
    """The chart that keeps the mark of every yarn: of those that its blocks use, and of those that
    once got one.

    Raises BadInput for a mark that is not known, or that two yarns have.
    """
    marks = _kept(chart) | marks_of(chart)
    named = {yarn.name: marks[i].name for i, yarn in enumerate(chart.yarns) if i in marks}
    return chart if named == chart.marks else replace(chart, marks=named)


def _kept(chart: Chart) -> dict[int, Mark]:
    """The marks that yarns have, by yarn number."""
    by_key = {name_key(name): mark for name, mark in (chart.marks or {}).items()}
    kept: dict[int, Mark] = {}
    for number, yarn in enumerate(chart.yarns):
        name = by_key.get(name_key(yarn.name))
        if name is None:
            continue
        twin = next((i for i, mark in kept.items() if mark.name == name), None)
        if twin is not None:
            raise BadInput(
                f'{chart.yarns[twin].name} and {yarn.name} have the same mark, "{name}": '
                "give one of them another, or none",
                about="marks",
            )
        kept[number] = _named(name)
    return kept


def _named(name: str) -> Mark:
    """The mark of a name. Raises BadInput for one that is not known."""
    singles = {mark.name: mark for mark in (BLANK, *STEPS, *_SINGLE)}
    if name in singles:
        return singles[name]
    pair = name.split(", ")
    if len(pair) == 2 and all(part in singles and part != BLANK.name for part in pair):
        return _pair(singles[pair[0]], singles[pair[1]])
    raise BadInput(unknown("mark", name, list(singles)), about="marks")


def _fitting(chart: Chart, number: int, kept: Mapping[int, Mark]) -> Mark:
    """A free mark for a yarn: the most distinct of those as heavy as its darkness asks for, or
    nearest to that."""
    light = [relative_luminance(from_hex(yarn.color)) for yarn in chart.yarns]
    least = max((kept[i].darkness for i in kept if light[i] >= light[number]), default=0.0)
    most = min((kept[i].darkness for i in kept if light[i] < light[number]), default=_FULL)
    taken = {mark.name for mark in kept.values()}
    free = [mark for mark in (BLANK, *STEPS, *_SINGLE) if mark.name not in taken]
    if not free:
        free = [mark for mark in _every_mark() if mark.name not in taken]
    return min(free, key=lambda mark: max(least - mark.darkness, mark.darkness - most, 0.0))
