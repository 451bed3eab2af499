"""A piece worked one way, measured: how true it is to its picture, and what it takes. An estimate,
ways compared, calming's curve and the word of advice all measure by it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from pix2block.amounts.money import NO_MONEY, Costs, Money, all_hours, costs_of
from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.color.spaces import Floats
from pix2block.color.vision import FAR_DEGREES
from pix2block.design.areas import Area, areas_of, in_areas
from pix2block.design.features import Feature
from pix2block.design.hues import faded_parts
from pix2block.design.kept_features import lost_features
from pix2block.design.likeness import seen_figures
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import Habit, StartCorner


@dataclass(frozen=True, eq=False, kw_only=True)
class Worked:
    """A piece worked one way. amounts: what it takes; near, far: mean CIEDE2000 as seen from near
    and from far, None where its picture is not at hand; money: what prices are told in; calmed:
    whether it was calmed for this way, as `chart` would, and is not another way's chart worked so.
    """

    amounts: Amounts
    near: float | None = None
    far: float | None = None
    money: Money = NO_MONEY
    calmed: bool = True

    @property
    def chart(self) -> Chart:
        """Its chart."""
        return self.amounts.chart

    @property
    def corner(self) -> StartCorner:
        """Where it starts."""
        return self.chart.start_corner

    @property
    def habit(self) -> Habit:
        """How its yarn is brought along."""
        return self.chart.habit

    @cached_property
    def lost(self) -> tuple[Feature, ...]:
        """What of the picture it no longer shows."""
        return lost_in_yarns(self.chart)

    @property
    def yarns(self) -> int:
        """How many it uses."""
        return int(np.count_nonzero(self.chart.blocks_by_yarn))

    @property
    def tails(self) -> int:
        """To end, without those of joins."""
        return self.amounts.plan.tails

    @property
    def most_hanging(self) -> int:
        """Yarns that hang at once, at most."""
        return int(self.amounts.plan.attached_by_row.max())

    @property
    def weave_in_hours(self) -> float:
        """Hours of ending its tails."""
        return self.amounts.weave_in_hours

    @property
    def all_hours(self) -> float:
        """Crochet and weaving in, with its border."""
        return all_hours(self.amounts)

    @property
    def longest_float(self) -> float:
        """In block sides."""
        return float(self.amounts.plan.float_sides.max(initial=0.0))

    @property
    def float_sides(self) -> float:
        """Of all floats together."""
        return float(self.amounts.plan.float_sides.sum())

    @cached_property
    def costs(self) -> Costs:
        """What it costs."""
        return costs_of(self.amounts, self.money)

    @property
    def price(self) -> float | None:
        """Of the skeins that are still to buy; None where no yarn has a price."""
        return self.costs.to_buy

    @cached_property
    def truth(self) -> tuple[int, float, float]:
        """What orders pieces by how true they are, the truest first: features lost; the error seen
        from far, then that from near, each to a tenth."""
        return len(self.lost), round(self.far or 0.0, 1), round(self.near or 0.0, 1)


def measured(
    amounts: Amounts,
    light: Floats | None = None,
    money: Money = NO_MONEY,
    far_degrees: float = FAR_DEGREES,
) -> Worked:
    """A piece worked one way. light: its picture's, as `View.light` gives it, None where that is
    not at hand; far_degrees: across a block as seen from far."""
    near, far = (None, None) if light is None else seen_figures(amounts.chart, light, far_degrees)
    return Worked(amounts=amounts, near=near, far=far, money=money)


def lost_in_yarns(chart: Chart) -> tuple[Feature, ...]:
    """What of the picture a chart's yarns no longer show, the most important first: areas, then
    features, then parts that lose their colour."""
    return lost_once(areas_of(chart), lost_features(chart), faded_parts(chart))


def lost_once(
    areas: Sequence[Area], features: Sequence[Feature], faded: Sequence[Feature]
) -> tuple[Feature, ...]:
    """All of them but what lies mostly in one that is told already."""
    found: list[Feature] = [*areas, *(f for f in features if not in_areas(f, areas))]
    return (*found, *(part for part in faded if not in_areas(part, found)))


def keeps_all(one: Worked, other: Worked) -> bool:
    """Whether one loses no feature that the other keeps; of charts of two sizes, no more."""
    if one.chart.blocks.shape != other.chart.blocks.shape:
        return len(one.lost) <= len(other.lost)
    return _marks(one) <= _marks(other)


def _marks(worked: Worked) -> set[bytes]:
    return {np.packbits(feature.mask).tobytes() for feature in worked.lost}
