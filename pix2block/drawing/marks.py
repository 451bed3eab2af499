"""Marks for yarns: plain geometry, told apart at 2 mm and in a photocopy.

A mark is drawn in a square from -1 to 1. The lightest yarn stays blank; the darker a yarn, the
heavier its mark, so that a black-and-white chart still shows the picture.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from pix2block.color.spaces import from_hex, relative_luminance

Outline = tuple[tuple[float, float], ...]
_CIRCLE_STEPS = 24


@dataclass(frozen=True)
class Mark:
    """Filled outlines, which do not overlap, and holes cut out of them."""

    name: str
    outlines: tuple[Outline, ...] = ()
    holes: tuple[Outline, ...] = ()

    @cached_property
    def darkness(self) -> float:
        """Area, 0 to 4."""
        return sum(map(_area, self.outlines)) - sum(map(_area, self.holes))


def _area(outline: Outline) -> float:
    """Shoelace formula."""
    after = (*outline[1:], outline[0])
    return abs(
        sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(outline, after, strict=True)) / 2
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

# In the order in which they are given out: the most distinct first.
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


def marks_for(colors: list[str]) -> list[Mark]:
    """A mark for each yarn colour, in the given order: blank for the lightest, then heavier."""
    needed = len(colors) - 1
    marks = list(_SINGLE[:needed])
    for gap in range(1, len(_SINGLE)):  # with very many yarns, pairs of marks
        if len(marks) >= needed:
            break
        marks += [_pair(one, _SINGLE[(i + gap) % len(_SINGLE)]) for i, one in enumerate(_SINGLE)]
    marks = [BLANK, *sorted(marks[:needed], key=lambda m: m.darkness)]
    light_first = sorted(
        range(len(colors)), key=lambda i: (-relative_luminance(from_hex(colors[i])), i)
    )
    return [mark for _, mark in sorted(zip(light_first, marks, strict=True), key=lambda p: p[0])]
