"""Places along a row as it lies in the hands: start corner down, the worked side facing.

Blocks stand on their tips, side by side; lengths are taken in blocks from tip to tip. `along` goes
the way the row is worked, from the right for a right-handed maker, from the left for a left-handed
one, so that one description serves both hands; `up` goes up from the middle of the row.

Block p of the row (from 0) has its tips at (p, 0), (p + 1/2, 1/2), (p + 1, 0) and (p + 1/2, -1/2).
It stands on the edge from (p, 0) to (p + 1/2, -1/2); its chains go from (p, 0) to (p + 1/2, 1/2)
and its posts lie beside them. The row below went the other way: a block with its upper tip at
(p, 0) has its chains, and so its chain space, on the edge from (p + 1/2, -1/2) to (p, 0), which is
where block p stands, and the heads of its posts on the edge from (p - 1/2, -1/2) to (p, 0).
"""

from __future__ import annotations

from pix2block.drawing.shapes import Anchor, Point
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import Hand


@dataclass(frozen=True)
class Held:
    """Where places of a row lie on a sheet.

    tip: a block's size from tip to tip; begin, middle: x and y of place (0, 0).
    """

    hand: Hand
    tip: float
    begin: float
    middle: float

    @property
    def back(self) -> int:
        """The way on the sheet from the row's end to its beginning: 1 to the right, -1 left."""
        return 1 if self.hand == "right" else -1

    def at(self, along: float, up: float) -> Point:
        """x and y on the sheet, to a tenth of its unit."""
        x = self.begin - self.back * along * self.tip
        return round(x, 1), round(self.middle - up * self.tip, 1)

    def segment(self, a: Point, b: Point) -> tuple[float, float, float, float]:
        """A straight line between two places, on the sheet."""
        return (*self.at(*a), *self.at(*b))

    def anchor(self, towards: int) -> Anchor:
        """How a text lies that goes away from its place: 1 towards the row's beginning, -1 its end,
        0 both ways."""
        return "middle" if towards == 0 else "start" if towards * self.back > 0 else "end"
