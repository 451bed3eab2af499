"""A piece made again from its picture: worked another way, calmed otherwise, in fewer yarns."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cached_property
from typing import Any

from pix2block.amounts.money import NO_MONEY, Money
from pix2block.amounts.yarn_use import amounts_of
from pix2block.calming.curve import CURVE_CALMS, Curve, CurvePoint
from pix2block.chart.chart import Chart
from pix2block.chart.yarn_order import with_yarns
from pix2block.color.spaces import Floats
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.progress import Progress
from pix2block.ground.settings import Habit, StartCorner
from pix2block.options.table import Options
from pix2block.study.ways import Way
from pix2block.study.worked import Worked, measured

Again = Callable[[Options], Chart]


@dataclass(frozen=True, eq=False)
class Remade:
    """Makes a piece another way, as `chart` would. chart: as it is; options: that it was asked for
    by; again: makes it as other options of working it, or another number of yarns, ask, None
    without its picture, or where a hand has changed it; seen_light: gives the picture's light, as
    `View.light` does."""

    chart: Chart
    options: Options
    again: Again | None = None
    seen_light: Callable[[], Floats] | None = None
    money: Money = NO_MONEY

    @cached_property
    def light(self) -> Floats | None:
        """The picture's light, None where it is not at hand."""
        return self.seen_light() if self.again and self.seen_light else None

    def worked(self, chart: Chart) -> Worked:
        """A chart, measured."""
        return measured(amounts_of(chart), self.light, self.money)

    def another_way(self, corner: StartCorner, habit: Habit) -> Chart | None:
        """The chart calmed for another way of working, its yarns numbered as they are; None where
        it was not calmed, or changed since."""
        chart = self.chart
        if chart.uncalmed is None or chart.calmed is None:
            return None
        kept = chart.calmed_otherwise(corner, habit)
        if kept is None and self.again:
            way = Way(habit, corner, chart.calmed.percent)
            kept = with_yarns(self.again(way.asked(self.options)), chart.yarns)
        if kept is None:
            from pix2block.calming.charts import calmed_for

            kept = calmed_for(chart, corner, habit)
        return kept

    def unseen_way(self, corner: StartCorner, habit: Habit) -> Worked | None:
        """What another way takes, without how it is seen, which costs time."""
        chart = self.another_way(corner, habit)
        return Worked(amounts=amounts_of(chart), money=self.money) if chart else None

    def seen_way(self, corner: StartCorner, habit: Habit) -> Worked | None:
        """What another way takes and shows."""
        chart = self.another_way(corner, habit)
        return self.worked(chart) if chart else None

    def otherwise(self, *, calm: float | None = None, colors: int | None = None) -> Worked | None:
        """The piece with another calm or number of yarns; as it is where neither is said; None
        where it cannot be made."""
        if self.again is None:
            return None
        asked: dict[str, Any] = {} if calm is None else {"calm": calm}
        asked |= {} if colors is None else {"colors": colors}
        try:
            chart = self.again(replace(self.options, **asked)) if asked else self.chart
        except BadInput:
            return None
        return self.worked(chart)

    def curve(self, progress: Progress | None = None) -> Curve | None:
        """The piece at each calm, with fewer tails from one to the next; None without its picture.
        progress: called with pieces made, and in all."""
        if self.again is None:
            return None
        calms = sorted({*CURVE_CALMS, self.options.calm or 0.0})
        points: list[CurvePoint] = []
        for number, calm in enumerate(calms, 1):
            hanging = self.options.most_hanging if calm else None
            chart = self.again(replace(self.options, calm=calm, most_hanging=hanging))
            of = self.worked(chart)
            if not points or of.tails < points[-1].tails:
                figures = (of.tails, of.most_hanging, of.weave_in_hours, of.near, of.far)
                points.append(CurvePoint(calm, chart, *figures, len(of.lost)))
            if progress:
                progress(number, len(calms))
        return Curve(tuple(points))
