"""Rounds of stitches around a piece, on straight and on stepped edges.

Common practice: 3 stitches in the side of a block, 3 in each corner. The middle one of the 3 is the
corner of the next round, so each side gains a stitch at either end; at an inner corner, where two
steps meet, 3 stitches are worked together in each later round, and each side loses one. So every
round of a piece has 8 stitches more than the one before.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pix2block.craft.diagonal import Edge
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import round_half_up

SIDES: tuple[Edge, ...] = ("top", "right", "bottom", "left")
STITCHES_A_BLOCK = 3
STITCHES_A_CORNER = 3
CHAINS_TO_START = {"sc": 1, "hdc": 2, "dc": 3}
LEAST_A_BLOCK, MOST_A_BLOCK = 2.0, 5.0


@dataclass(frozen=True)
class Outline:
    """The edges of a piece. blocks: block edges that face each side; outer, inner: ends of the
    straight stretches of each side at outer and at inner corners."""

    blocks: dict[Edge, int]
    outer: dict[Edge, int]
    inner: dict[Edge, int]

    @property
    def corners(self) -> int:
        """Outer corners; each ends a stretch of two sides."""
        return sum(self.outer.values()) // 2

    @property
    def inner_corners(self) -> int:
        """Inner corners, as on stepped edges."""
        return sum(self.inner.values()) // 2


@dataclass(frozen=True)
class Round:
    """One round: stitches along each side, and those in all outer corners."""

    by_side: dict[Edge, int]
    in_corners: int

    @property
    def stitches(self) -> int:
        """All stitches of the round."""
        return sum(self.by_side.values()) + self.in_corners


def outline_of(exists: NDArray[np.bool_]) -> Outline:
    """The outline of (height, width) places that hold a block."""
    blocks: dict[Edge, int] = {}
    outer: dict[Edge, int] = {}
    inner: dict[Edge, int] = {}
    for side, turned in zip(
        SIDES, (exists, np.rot90(exists), np.rot90(exists, 2), np.rot90(exists, 3)), strict=True
    ):
        padded = np.pad(turned, 1)
        here = padded[1:-1, 1:-1]
        free = here & ~padded[:-2, 1:-1]
        padded_free = np.pad(free, ((0, 0), (1, 1)))
        ends = [(free & ~padded_free[:, :-2], padded[1:-1, :-2])]
        ends.append((free & ~padded_free[:, 2:], padded[1:-1, 2:]))
        blocks[side] = int(free.sum())
        outer[side] = sum(int((end & ~beside).sum()) for end, beside in ends)
        inner[side] = sum(int((end & beside).sum()) for end, beside in ends)
    return Outline(blocks, outer, inner)


def border_rounds(
    outline: Outline, rounds: int, a_block: float = STITCHES_A_BLOCK
) -> tuple[Round, ...]:
    """Every round of a border with `a_block` stitches a block edge in the first."""
    worked = []
    for grown in range(rounds):
        sides = {
            side: max(
                0,
                round_half_up(outline.blocks[side] * a_block)
                + grown * (outline.outer[side] - outline.inner[side]),
            )
            for side in SIDES
        }
        worked.append(Round(sides, STITCHES_A_CORNER * outline.corners))
    return tuple(worked)
