"""Block side and loop length without a swatch: guessed from the hook, or from a plain gauge.

Fitted to 22 published sides of C2C blocks and 10 published yarn totals
(tests/data/block_gauges.csv): in them the hook sets the stitch much more than the yarn's class
does.

    side = 0.38 cm a mm of hook (double crochet), 0.33 (half double);  loop = 0.62 cm a mm of hook

The hook is the one that C2C makers take for the class, or, where a maker names hers, the geometric
mean of both: who takes a small hook works looser. From a plain gauge, with w and h the width and
height of a double crochet:

    side = (3 w + h) / 2, or 2.55 widths of a single crochet;  loop = 1.63 sides
"""

from __future__ import annotations

import math
from typing import Annotated, Literal, get_args

from msgspec import Meta

from pix2block.ground.frozen import dataclass
from pix2block.ground.nouns import Kept
from pix2block.ground.settings import BlockKind
from pix2block.yarn.weights import GAUGE_OVER_CM, WEIGHT_CLASSES

SIDE_CM_A_MM: dict[BlockKind, float] = {"dc": 0.38, "hdc": 0.33}
LOOP_CM_A_MM = 0.62
SIDE_IN_SC_WIDTHS = 2.55
LOOP_IN_SIDES = 1.63
LOOP_IN_SC_WIDTHS = LOOP_IN_SIDES * SIDE_IN_SC_WIDTHS

LENGTH_BAND = (0.75, 1.30)  # of a length, as factors
SIZE_BAND, WIDE_SIZE_BAND, GAUGE_SIZE_BAND = 0.20, 0.30, 0.15  # of a side, as shares
WELL_KNOWN_CLASSES = (3, 4, 5, 6)
DOUBTFUL = (0.65, 1.5)  # of a guess: outside it a swatch is looked at again

GaugeStitch = Literal["sc", "dc"]
GAUGE_STITCHES: tuple[GaugeStitch, ...] = get_args(GaugeStitch)


GaugeCount = Annotated[float, Meta(ge=1, le=200)]


@dataclass(frozen=True)
class Gauge(Kept):
    """A maker's plain gauge over 10 cm (4 in): stitches of a kind (US name), and rows, which only
    double crochet needs."""

    stitch: GaugeStitch
    stitches: GaugeCount
    rows: GaugeCount | None = None

    def __str__(self) -> str:
        rows = "" if self.rows is None else f" x {self.rows:g} rows"
        return f"{self.stitches:g} {self.stitch}{rows}"

    @property
    def side_cm(self) -> float:
        """The side of a double-crochet block that it leads to."""
        width = GAUGE_OVER_CM / self.stitches
        if self.stitch == "sc" or self.rows is None:
            return SIDE_IN_SC_WIDTHS * width
        return (3 * width + GAUGE_OVER_CM / self.rows) / 2


@dataclass(frozen=True)
class Guess:
    """What is taken to hold without a swatch, in cm. hook_mm: the hook behind it, None where a
    plain gauge is; size_band: how far a side may be out, as a share; length_band: how far a length
    may, as two factors."""

    block_cm: float
    loop_cm: float
    hook_mm: float | None
    size_band: float
    length_band: tuple[float, float] = LENGTH_BAND


def guess_of(
    weight: int, kind: BlockKind = "dc", hook_mm: float | None = None, gauge: Gauge | None = None
) -> Guess:
    """The guess for a weight class (0 to 7) and a kind of block; hook_mm, gauge: the maker's own,
    where she names them; a gauge goes before a hook."""
    if gauge is not None:
        side = gauge.side_cm
        band = GAUGE_SIZE_BAND if kind == "dc" else WIDE_SIZE_BAND
        scaled = side * SIDE_CM_A_MM[kind] / SIDE_CM_A_MM["dc"]
        return Guess(scaled, LOOP_IN_SIDES * side, None, band)
    hook = WEIGHT_CLASSES[weight].c2c_hook_mm
    if hook_mm is not None:
        hook = math.sqrt(hook_mm * hook)
    known = kind == "dc" and weight in WELL_KNOWN_CLASSES
    band = SIZE_BAND if known else WIDE_SIZE_BAND
    return Guess(SIDE_CM_A_MM[kind] * hook, LOOP_CM_A_MM * hook, hook, band)
