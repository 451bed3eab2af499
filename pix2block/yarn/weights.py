"""Yarn weight classes 0 to 7.

Craft Yarn Council, Standard Yarn Weight System (Standards & Guidelines for Crochet and Knitting,
2018): names, gauge in single crochet over 4 in (10 cm; class 0 is stated in double crochet) and
hooks. They are guidelines, not limits. Metres in 100 g are common practice, typical values from
memory.
"""

from __future__ import annotations

from dataclasses import dataclass

from pix2block.ground.settings import BlockKind

GAUGE_OVER_CM = 10.0
LOOP_IN_STITCH_WIDTHS = 5.1  # a published 5 in foundation chain took 25.5 in of yarn
BLOCK_IN_STITCH_WIDTHS: dict[BlockKind, float] = {"dc": 3.5, "hdc": 2.8}  # from memory


@dataclass(frozen=True)
class WeightClass:
    """A class of the standard. Gauge: stitches over 10 cm; hook: mm, None where it is open."""

    number: int
    name: str
    gauge: tuple[int, int]
    hook_mm: tuple[float, float | None]
    metres_in_100_g: float

    @property
    def stitch_cm(self) -> float:
        """Width of a stitch at the class's mean gauge."""
        return GAUGE_OVER_CM / (sum(self.gauge) / 2)

    @property
    def loop_cm(self) -> float:
        """Length of a loop, guessed from the gauge."""
        return LOOP_IN_STITCH_WIDTHS * self.stitch_cm

    def block_cm(self, kind: BlockKind) -> float:
        """Side of a block, guessed from the gauge."""
        return BLOCK_IN_STITCH_WIDTHS[kind] * self.stitch_cm

    @property
    def hook(self) -> str:
        """ "5.5 to 6.5 mm"."""
        low, high = self.hook_mm
        return f"{low:g} to {high:g} mm" if high else f"{low:g} mm and larger"


WEIGHT_CLASSES = tuple(
    WeightClass(*row)
    for row in (
        (0, "Lace", (32, 42), (1.4, 2.25), 700.0),
        (1, "Super Fine", (21, 32), (2.25, 3.5), 420.0),
        (2, "Fine", (16, 20), (3.5, 4.5), 320.0),
        (3, "Light", (12, 17), (4.5, 5.5), 230.0),
        (4, "Medium", (11, 14), (5.5, 6.5), 190.0),
        (5, "Bulky", (8, 11), (6.5, 9.0), 115.0),
        (6, "Super Bulky", (7, 9), (9.0, 15.0), 75.0),
        (7, "Jumbo", (6, 6), (15.0, None), 35.0),
    )
)
