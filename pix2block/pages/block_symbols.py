"""Blocks in the symbols of crochet charts, for drawings that teach.

Stitches are drawn with the symbols of crochet charts: an oval for a chain, a T for a half double
crochet, a T with one stroke across for a double crochet, a dot for a slip stitch (the trade's own;
named with US terms here). Lengths are in points.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from pix2block.chart.terms import words
from pix2block.craft.stitches import BLOCKS, STITCHES_A_BLOCK
from pix2block.drawing.shapes import Curve, Dots, Drawing, Item, Lines, Point, Shape, Text, moved
from pix2block.drawing.style import INK, NOW, PAPER, text_width
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import BlockKind, Hand, Terms
from pix2block.ground.units import added_up
from pix2block.pages.held import Held

TIP = 48.0  # a block from tip to tip
TYPE = 9.0
FAINT = "#85868a"
OTHER_YARN = "#d3d1cb"  # a second yarn, told apart in black and white too
EDGE = 4.0  # around a drawing
BROADER_TYPE = 1.08  # where the reader has another font

Corners = tuple[Point, Point, Point, Point]


@dataclass(frozen=True)
class Maker:
    """For whom a drawing is: the hand that holds the hook, the kind of block, the terms.

    tip: a drawn block from tip to tip.
    """

    hand: Hand
    block: BlockKind
    terms: Terms
    tip: float = TIP

    @property
    def held(self) -> Held:
        return Held(self.hand, self.tip, 0, 0)

    @property
    def tall(self) -> str:
        """The block's stitch."""
        return words(self.terms)[BLOCKS[self.block].stitch]

    @property
    def slip(self) -> str:
        return words(self.terms)["sl st"]

    @property
    def space(self) -> str:
        return f"ch-{BLOCKS[self.block].chain} space"


def block_at(place: float) -> Corners:
    """A block of this row: both ends of the edge it stands on, both of the edge of its heads; the
    chains join the firsts of each."""
    return (place, 0), (place + 0.5, -0.5), (place + 0.5, 0.5), (place + 1, 0)


def block_below(place: float) -> Corners:
    """A block of the row before, by its upper tip: that row went the other way."""
    return (place + 0.5, -0.5), (place, -1), (place, 0), (place - 0.5, -0.5)


def between(a: Point, b: Point, share: float) -> Point:
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def block(
    maker: Maker,
    corners: Corners,
    ink: str = INK,
    fill: str = PAPER,
    own_chains: bool = False,
    posts: int = STITCHES_A_BLOCK,
) -> list[Item]:
    """A block in symbols. own_chains: it stands on chains of its own."""
    held = maker.held
    foot, far_foot, head, far_head = corners
    tips = tuple(held.at(*corner) for corner in (foot, far_foot, far_head, head))
    items: list[Item] = [Shape(tips, fill, FAINT, 0.6)]
    chains = BLOCKS[maker.block].chain
    items += _chains(held, foot, head, chains, ink)
    if own_chains:
        items += _chains(held, foot, far_foot, STITCHES_A_BLOCK, ink)
    inset = 0.1 if own_chains else 0.03
    for post in range(posts):
        share = (post + 1) / STITCHES_A_BLOCK - 0.1
        low, high = between(foot, far_foot, share), between(head, far_head, share)
        items += _post(held, between(low, high, inset), between(low, high, 0.93), maker, ink)
    return items


def _chains(held: Held, start: Point, end: Point, count: int, ink: str) -> list[Item]:
    """Ovals one after another."""
    items: list[Item] = []
    (x1, y1), (x2, y2) = held.at(*start), held.at(*end)
    angle = math.atan2(y2 - y1, x2 - x1)
    half = math.hypot(x2 - x1, y2 - y1) / count / 2 * 0.86
    for place in range(count):
        share = (place + 0.5) / count
        x, y = x1 + (x2 - x1) * share, y1 + (y2 - y1) * share
        points = []
        for step in range(20):
            turn = step * math.tau / 20
            a, b = half * math.cos(turn), 2.9 * math.sin(turn)
            points.append(
                (
                    x + a * math.cos(angle) - b * math.sin(angle),
                    y + a * math.sin(angle) + b * math.cos(angle),
                )
            )
        items.append(Shape(points, PAPER, ink, 1.1))
    return items


def _post(held: Held, foot: Point, head: Point, maker: Maker, ink: str) -> list[Item]:
    """A T; that of a double crochet has a stroke across."""
    (x1, y1), (x2, y2) = held.at(*foot), held.at(*head)
    length = math.hypot(x2 - x1, y2 - y1)
    across = (-(y2 - y1) / length * 3.6, (x2 - x1) / length * 3.6)
    lines = [(x1, y1, x2, y2), (x2 - across[0], y2 - across[1], x2 + across[0], y2 + across[1])]
    if maker.block == "dc":
        x, y = (x1 + x2) / 2, (y1 + y2) / 2
        slant = ((x2 - x1) / length * 2.2, (y2 - y1) / length * 2.2)
        lines.append(
            (
                x - across[0] - slant[0],
                y - across[1] - slant[1],
                x + across[0] + slant[0],
                y + across[1] + slant[1],
            )
        )
    return [Lines(np.array(lines), 1.1, ink)]


def slips(held: Held, places: Iterable[Point], color: str = INK) -> list[Item]:
    return [Dots(np.array([held.at(*place) for place in places]), 3.2, color)]


def way(held: Held, places: Sequence[Point]) -> list[Item]:
    """The hook's way: a smooth arrow."""
    points = _smooth([held.at(*place) for place in places])
    (x1, y1), (x2, y2) = points[-3], points[-1]
    length = math.hypot(x2 - x1, y2 - y1)
    ahead = ((x2 - x1) / length, (y2 - y1) / length)
    tip = (x2 + ahead[0] * 5, y2 + ahead[1] * 5)
    wings = [
        (x2 - ahead[0] * 2 - side * ahead[1] * 4, y2 - ahead[1] * 2 + side * ahead[0] * 4)
        for side in (1, -1)
    ]
    return [Curve(points, 4.2, PAPER), Curve(points, 1.7, NOW), Shape((tip, *wings), NOW)]


def _smooth(points: Sequence[Point]) -> list[Point]:
    """A Catmull-Rom spline through the points, as short lines."""
    if len(points) == 2:
        return [between(points[0], points[1], i / 4) for i in range(5)]
    padded = [points[0], *points, points[-1]]
    curve: list[Point] = [points[0]]
    for before, a, b, after in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        for step in range(1, 9):
            t = step / 8
            weights = (
                -0.5 * t + t**2 - 0.5 * t**3,
                1 - 2.5 * t**2 + 1.5 * t**3,
                0.5 * t + 2 * t**2 - 1.5 * t**3,
                -0.5 * t**2 + 0.5 * t**3,
            )
            four = (before, a, b, after)
            x, y = (
                added_up(w * p[axis] for w, p in zip(weights, four, strict=True)) for axis in (0, 1)
            )
            curve.append((x, y))
    return curve


def outline(held: Held, corners: Corners) -> list[Item]:
    """Where a block goes next, or none goes: a dashed outline."""
    foot, far_foot, head, far_head = corners
    tips = [held.at(*corner) for corner in (foot, far_foot, far_head, head, foot)]
    return [Curve(tips, 0.9, FAINT, dashed=True)]


def ring(held: Held, place: Point) -> list[Item]:
    """A stitch marker."""
    x, y = held.at(*place)
    circle = [(x + 5.5 * math.cos(a), y + 5.5 * math.sin(a)) for a in np.linspace(0, math.tau, 25)]
    return [Curve(circle, 4.0, PAPER), Curve(circle, 2.0, INK)]


def badge(held: Held, place: Point, number: int) -> list[Item]:
    """The number of a step, where it happens."""
    return _badge_at(*held.at(*place), number)


def _badge_at(x: float, y: float, number: int) -> list[Item]:
    return [
        Dots(np.array([(x, y)]), 6.4, NOW),
        Text(x, y + TYPE * 0.36, str(number), TYPE, "middle", True, PAPER),
    ]


def yarn(held: Held, places: Sequence[Point], color: str, hidden: bool = False) -> list[Item]:
    """A length of yarn; dashed where it lies behind."""
    points = _smooth([held.at(*place) for place in places])
    if hidden:
        return [Curve(points, 1.6, INK, dashed=True)]
    return [Curve(points, 5.0, INK), Curve(points, 3.0, color)]


@dataclass(frozen=True)
class Lesson:
    """A drawing that teaches. steps: what its numbers stand for, in words, in order."""

    drawing: Drawing
    steps: tuple[str, ...]


def drawn(maker: Maker, items: Sequence[Item], steps: Sequence[str], what: str) -> Lesson:
    """The drawing cut to what is on it, with its steps in words."""
    left, top, right, bottom = _bounds(items)
    drawing = Drawing(
        right - left + 2 * EDGE,
        bottom - top + 2 * EDGE,
        f"{what}, {maker.hand}-handed",
        tuple(moved(items, EDGE - left, EDGE - top)),
    )
    return Lesson(drawing, tuple(steps))


def _bounds(items: Iterable[Item]) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of what is drawn; lines lie inside what they belong to."""
    points: list[Point] = []
    for item in items:
        match item:
            case Text():
                wide = text_width(item.text, item.size, item.bold) * BROADER_TYPE
                left = item.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * wide
                points += [(left, item.y - TYPE * 0.8), (left + wide, item.y + TYPE * 0.3)]
            case Curve() | Shape():
                points += item.points
            case Dots():
                for x, y in item.centres.tolist():
                    points += [(x - item.radius, y - item.radius)]
                    points += [(x + item.radius, y + item.radius)]
            case _:
                pass
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)
