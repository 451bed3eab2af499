"""What calming keeps to, as a chart keeps it: so it is calmed the same for another corner or habit,
whoever opens it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.chart.source import Limits
from pix2block.design.features import Feature
from pix2block.design.kept_features import feature_of, mask_of, region_of, runs_of


def with_limits(
    chart: Chart,
    still: NDArray[np.bool_] | None,
    full: Sequence[int] = (),
    parts: Sequence[Feature] = (),
) -> Chart:
    """The chart that keeps what calming is to keep to; as it is without a picture, or where that is
    nothing. still: (height, width) blocks that stay; full: numbers of yarns into which no other
    block comes; parts: small parts of the subject."""
    if chart.source is None or not (full or parts or (still is not None and still.any())):
        return chart
    none = np.zeros(chart.blocks.shape, dtype=np.bool_)
    limits = Limits(
        chart.means_fingerprint,
        runs_of(none if still is None else still),
        tuple(chart.yarns[yarn].color for yarn in full),
        tuple(map(region_of, parts)),
    )
    return replace(chart, source=replace(chart.source, limits=limits))


def still_of(chart: Chart) -> NDArray[np.bool_]:
    """(height, width) blocks that calming leaves as they are."""
    limits = _limits(chart)
    if limits is None:
        return np.zeros(chart.blocks.shape, dtype=np.bool_)
    return mask_of(limits.runs, chart.blocks.shape)


def full_of(chart: Chart) -> tuple[int, ...]:
    """Numbers of the yarns into which calming brings no other block."""
    limits = _limits(chart)
    colors = limits.yarns if limits else ()
    return tuple(i for i, yarn in enumerate(chart.yarns) if yarn.color in colors)


def parts_of(chart: Chart) -> tuple[Feature, ...]:
    """Small parts of the subject, which calming keeps in sight."""
    limits = _limits(chart)
    return tuple(feature_of(one, chart.blocks.shape) for one in (limits.parts if limits else ()))


def _limits(chart: Chart) -> Limits | None:
    """Those that hold for the chart's picture as it is now."""
    limits = chart.source.limits if chart.source else None
    return limits if limits and limits.of == chart.means_fingerprint else None
