"""What calming did to a chart's tails, as the piece is worked now; and the chart as it would have
come out, calmed for another way of working, kept with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.chart.source import Otherwise
from pix2block.craft.plan import StrandPlan
from pix2block.ground.settings import Habit, StartCorner


def calming_tails(chart: Chart, plan: StrandPlan | None = None) -> tuple[int, int] | None:
    """Tails before and after the chart was calmed, worked as it is now; where a hand has changed
    it since, as they were when it was calmed. None where it was not, or where they are not told.

    plan: of the chart, where it is made already.
    """
    calmed, uncalmed = chart.calmed, chart.uncalmed
    if uncalmed is not None:
        return uncalmed.plan.tails, (plan or chart.plan).tails
    if calmed is None or calmed.tails_before is None or calmed.tails_after is None:
        return None
    return calmed.tails_before, calmed.tails_after


def with_calming_counted(chart: Chart) -> Chart:
    """The chart that keeps what calming did to its tails, worked as it is now."""
    tails = calming_tails(chart)
    if tails is None or chart.source is None or chart.calmed is None:
        return chart
    calmed = replace(chart.calmed, tails_before=tails[0], tails_after=tails[1])
    return replace(chart, source=replace(chart.source, calmed=calmed))


def with_otherwise(chart: Chart, made: Mapping[tuple[StartCorner, Habit], Chart | None]) -> Chart:
    """The chart that keeps how it would have come out, calmed for other ways of working."""
    plain, calmed, source = chart.uncalmed, chart.calmed, chart.source
    if plain is None or calmed is None or source is None or not any(made.values()):
        return chart
    kept = []
    for (corner, habit), other in made.items():
        if other is not None:
            lines, columns = np.nonzero(other.blocks != plain.blocks)
            changed = np.stack([lines, columns, other.blocks[lines, columns]], axis=1)
            kept.append(Otherwise(corner, chart.hand, habit, changed, chart.fingerprint))
    return replace(chart, source=replace(source, calmed=replace(calmed, otherwise=tuple(kept))))
