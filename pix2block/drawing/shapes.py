"""A drawing as a noun: what is on a sheet, before it becomes SVG or PNG.

Lengths are in one unit, the origin is top left, y goes down.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from pix2block.drawing.marks import Mark
from pix2block.drawing.style import INK
from pix2block.ground.frozen import dataclass

Point = tuple[float, float]
Points = Sequence[Point]
Anchor = Literal["start", "middle", "end"]


MARK_SHARE = 0.34  # of a block's side, from its middle to the edge of the mark's square
_MOST_MARKED = 0.12  # of a coloured block's area, which a mark may cover


def light_share(mark: Mark, share: float) -> float:
    """The share with which a mark covers little enough of a coloured block, at most that given."""
    return min(share, (_MOST_MARKED / mark.darkness) ** 0.5) if mark.darkness else share


@dataclass(frozen=True, eq=False)
class Blocks:
    """Equal squares of one colour, each with the same mark in its middle.

    centres: (n, 2). side: of the square. turn: of the squares, clockwise, in degrees; marks stay
    upright, whatever it is.
    mark_share: half the mark's width as a part of the side. mark_up: the mark's middle above the
    block's, as a part of the side. edge: colour of the hairline around each.
    """

    centres: NDArray[np.float64]
    side: float
    color: str
    mark: Mark
    mark_color: str
    turn: float = 0.0
    mark_share: float = MARK_SHARE
    mark_up: float = 0.0
    edge: str = INK


@dataclass(frozen=True, eq=False)
class Lines:
    """Straight lines. segments: (n, 4) x1, y1, x2, y2; dash: length of dashes and of the gaps
    between them, 0 for a line without gaps; round: its ends, where it has no gaps."""

    segments: NDArray[np.float64]
    width: float
    color: str = INK
    dash: float = 0.0
    round: bool = False


@dataclass(frozen=True, eq=False)
class Dots:
    """Equal full discs. centres: (n, 2)."""

    centres: NDArray[np.float64]
    radius: float
    color: str = INK


@dataclass(frozen=True)
class Curve:
    """An open line through points, with round ends and corners. dashed: strokes of four widths."""

    points: Points
    width: float
    color: str = INK
    dashed: bool = False


@dataclass(frozen=True)
class Shape:
    """A closed outline, filled or open."""

    points: Points
    fill: str | None
    stroke: str | None = None
    stroke_width: float = 0.0


@dataclass(frozen=True)
class Text:
    """A line of text; y is its baseline."""

    x: float
    y: float
    text: str
    size: float
    anchor: Anchor = "start"
    bold: bool = False
    color: str = INK


@dataclass(frozen=True, eq=False)
class Stamps:
    """A small drawing at many places. places: (n, 2) where its origin lies."""

    items: tuple[Item, ...]
    places: NDArray[np.float64]


Item = Blocks | Lines | Dots | Curve | Shape | Text | Stamps


def moved(items: Iterable[Item], x: float, y: float) -> list[Item]:
    """The same items elsewhere."""
    return [_moved(item, x, y) for item in items]


def _moved(item: Item, x: float, y: float) -> Item:
    match item:
        case Blocks() | Dots():
            return replace(item, centres=item.centres + np.array([x, y]))
        case Lines():
            return replace(item, segments=item.segments + np.array([x, y, x, y]))
        case Curve() | Shape():
            return replace(item, points=[(px + x, py + y) for px, py in item.points])
        case Text():
            return replace(item, x=item.x + x, y=item.y + y)
        case Stamps():
            return replace(item, places=item.places + np.array([x, y]))


@dataclass(frozen=True)
class Drawing:
    """A sheet. label: what it shows, for readers that cannot see it."""

    width: float
    height: float
    label: str
    items: tuple[Item, ...]
