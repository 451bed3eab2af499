"""Which yarn connects two colours: between them in CIELAB, and neither's double."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pix2block.color.difference import ciede2000
from pix2block.color.spaces import from_hex, to_lab
from pix2block.ground.frozen import dataclass
from pix2block.yarn.yarn import Yarn

DOUBLE = 5.0  # CIEDE2000 below which a yarn passes for the other; the formula is made for up to 5


@dataclass(frozen=True)
class Connection:
    """How a yarn stands between two colours, A and B.

    to_first, to_second: CIEDE2000; along: where it lies on the straight line from A (0) to B (1) in
    CIELAB; aside: how far from that line, in CIELAB units; between: whether it lies in the ball
    through both, where the way by the yarn bends by less than a right angle.
    """

    yarn: Yarn
    to_first: float
    to_second: float
    along: float
    aside: float
    between: bool

    @property
    def largest_step(self) -> float:
        """The larger of its two steps."""
        return max(self.to_first, self.to_second)

    @property
    def double(self) -> bool:
        """Whether it is one of the two in all but name."""
        return min(self.to_first, self.to_second) < DOUBLE


def rank_connections(first: str, second: str, yarns: Sequence[Yarn]) -> tuple[Connection, ...]:
    """The yarns by how well each connects two colours, "#rrggbb", the best first.

    First those that lie between and are no double, by the larger of their two steps; then the
    others alike.
    """
    ends = to_lab(np.array([from_hex(first), from_hex(second)], dtype=np.uint8))
    way = ends[1] - ends[0]
    length = float(way @ way)
    found = []
    for yarn in yarns:
        lab = to_lab(np.array([from_hex(yarn.color)], dtype=np.uint8))[0]
        along = float((lab - ends[0]) @ way) / length if length else 0.0
        aside = float(np.linalg.norm(lab - (ends[0] + along * way)))
        to_first, to_second = (float(ciede2000(lab, end)) for end in ends)
        between = bool((lab - ends[0]) @ (lab - ends[1]) < 0)
        found.append(Connection(yarn, to_first, to_second, along, aside, between))
    return tuple(sorted(found, key=lambda c: (not c.between, c.double, c.largest_step)))


def straight_step(first: str, second: str) -> float:
    """CIEDE2000 from one colour straight to the other."""
    labs = to_lab(np.array([from_hex(first), from_hex(second)], dtype=np.uint8))
    return float(ciede2000(labs[0], labs[1]))
