"""Trials: what each of several palettes shows of one picture, and what it costs.

Palettes are ranked by a stated rule: first those that lose nothing that stands out and whose
touching yarns all differ by 5 CIEDE2000 or more; then by the colour error as seen far, to a tenth;
then by tails; then as they were given.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from pix2block.amounts.money import NO_MONEY, Money
from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.color.deficiency import Sight
from pix2block.color.spaces import Bytes, Floats, decoding_table
from pix2block.color.vision import FAR_DEGREES, NEAR_DEGREES, seen_lab
from pix2block.design.areas import Area
from pix2block.design.features import Feature, is_lost, kept_differences
from pix2block.design.hues import Faded
from pix2block.ground.frozen import dataclass
from pix2block.trial.neighbours import (
    Pair,
    Weakest,
)
from pix2block.yarn.yarn import Yarn


@dataclass(frozen=True, eq=False)
class Seeing:
    """A picture to be charted, as it is looked at. means: (height, width, 3) block means; light:
    (height * n, width * n, 3) linear sRGB; near, far: degrees across a block; features: what
    stands out, of the finest size tried."""

    means: Bytes
    light: Floats
    far: float = FAR_DEGREES
    near: float = NEAR_DEGREES
    features: tuple[Feature, ...] = ()

    @cached_property
    def far_lab(self) -> Floats:
        """(height, width, 3) CIELAB of the block means as seen from far."""
        return seen_lab(decoding_table()[self.means], 1 / self.far)


@dataclass(frozen=True)
class Candidate:
    """What is tried. shelf: its name; asked: at most so many yarns, None for all of them; spare:
    yarns of the shelf that were left out; money: what its prices are told in."""

    shelf: str
    asked: int | None
    chart: Chart
    spare: tuple[Yarn, ...] = ()
    money: Money = NO_MONEY


@dataclass(frozen=True)
class Merging:
    """Neighbours that can hardly be told apart. difference: CIEDE2000 of the yarns; seen_far:
    across their border as seen from far; place: in words."""

    pair: Pair
    difference: float
    seen_far: float
    place: str


@dataclass(frozen=True)
class Dropped:
    """What comes of leaving out a yarn that is hardly used, its blocks going to the nearest other:
    mean colour error, tails, features lost."""

    yarn: int
    blocks: int
    error: float
    tails: int
    lost: int


@dataclass(frozen=True)
class Swap:
    """Another yarn of the shelf in place of one, tried. weakest, error, lost, tails: before and
    after; before_calming: error and tails are those of charts that are not calmed."""

    out: int
    into: Yarn
    weakest: tuple[float, float]
    error: tuple[float, float]
    lost: tuple[int, int]
    tails: tuple[int, int]
    before_calming: bool = False


@dataclass(frozen=True, eq=False)
class Tried:
    """One palette's figures. error_mean, error_p95: CIEDE2000 of block mean and yarn; worst: the
    greatest mean of 5 x 5 blocks, and where; near, far: mean CIEDE2000 as seen; structure: SSIM of
    L* as seen far, None where the piece is too small; pairs: yarns that touch; weakest: in each
    sight, none where nothing touches; price: None where a yarn's is unknown."""

    candidate: Candidate
    amounts: Amounts
    lost: tuple[Feature, ...]
    error_mean: float
    error_p95: float
    worst: tuple[float, str]
    near: float
    far: float
    structure: float | None
    pairs: tuple[Pair, ...]
    weakest: tuple[Weakest, ...]
    merging: tuple[Merging, ...]
    dropped: tuple[Dropped, ...]
    swaps: tuple[Swap, ...]
    tails_by_habit: tuple[tuple[str, int], ...]

    @property
    def chart(self) -> Chart:
        """The chart in this palette."""
        return self.candidate.chart

    @property
    def features_lost(self) -> tuple[Feature, ...]:
        """What is lost but areas that have their surroundings' yarn, and parts that have lost their
        colour."""
        return tuple(one for one in self.lost if not isinstance(one, Area | Faded))

    @property
    def clear(self) -> bool:
        """Whether nothing is lost, and all that touches can be told apart."""
        return not self.lost and not self.merging

    @property
    def skeins(self) -> int | None:
        """Whole skeins to have, None where a yarn's are unknown."""
        needed = [yarn.skeins for yarn in self.amounts.yarns if yarn.blocks]
        return None if None in needed else sum(n for n in needed if n is not None)

    @property
    def price(self) -> float | None:
        """Of those skeins."""
        total = 0.0
        for yarn, amount in zip(self.chart.yarns, self.amounts.yarns, strict=True):
            if amount.blocks:
                if amount.skeins is None or yarn.price is None:
                    return None
                total += amount.skeins * yarn.price
        return total

    def weakest_in(self, sight: Sight) -> Weakest | None:
        """The weakest neighbours in a sight."""
        return next((w for w in self.weakest if w.sight == sight), None)


def ranked(tried: Sequence[Tried]) -> tuple[Tried, ...]:
    """In the order of the rule above."""
    return tuple(sorted(tried, key=lambda t: (not t.clear, round(t.far, 1), t.amounts.plan.tails)))


def lost_in(chart: Chart, features: Sequence[Feature]) -> tuple[Feature, ...]:
    """Which features, of a size as fine or finer, a chart loses."""
    if chart.ends_early:
        return ()
    colors = chart.yarn_rgb[chart.blocks]
    lost = []
    for feature in features:
        height, width = feature.mask.shape
        lines = (np.arange(height) * chart.height + chart.height // 2) // height
        columns = (np.arange(width) * chart.width + chart.width // 2) // width
        lines, columns = (np.minimum(lines, chart.height - 1), np.minimum(columns, chart.width - 1))
        shown = colors[lines[:, None], columns]
        if is_lost(feature.difference, float(kept_differences([feature], shown)[0])):
            lost.append(feature)
    return tuple(lost)
