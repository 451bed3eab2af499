"""Features of a chart's picture, as the chart keeps them: so they are looked for once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.chart.source import Region, Regions
from pix2block.design.features import Feature, find_features, lost_of


def features_of(chart: Chart) -> tuple[Feature, ...]:
    """The features of a chart's picture, the most important first: those that it keeps, where they
    are of these very means; none without a source."""
    means = chart.block_means
    if means is None or chart.source is None:
        return ()
    kept = chart.source.features
    if kept is None or kept.of != chart.means_fingerprint:
        return find_features(means)
    return tuple(feature_of(region, means.shape[:2]) for region in kept.regions)


def with_features(chart: Chart) -> Chart:
    """The chart that keeps the features of its picture; as it is without a picture."""
    if chart.source is None:
        return chart
    kept = Regions(chart.means_fingerprint, tuple(map(region_of, features_of(chart))))
    return replace(chart, source=replace(chart.source, features=kept))


def lost_features(chart: Chart) -> tuple[Feature, ...]:
    """The features of a chart's picture that its yarns lose; none without a source, or where the
    piece ends early."""
    if chart.block_means is None or chart.ends_early:
        return ()
    return lost_of(features_of(chart), chart.yarn_rgb[chart.blocks])


def region_of(feature: Feature) -> Region:
    """A feature as a chart keeps it."""
    return Region(runs_of(feature.mask), feature.color, feature.difference)


def feature_of(region: Region, shape: tuple[int, ...]) -> Feature:
    """A feature of a chart of (height, width) blocks that keeps it."""
    return Feature(mask_of(region.runs, shape), region.color, region.difference)


def runs_of(mask: NDArray[np.bool_]) -> NDArray[np.int64]:
    """(n, 3) line, first column and length of each stretch of a (height, width) mask."""
    edges = np.diff(np.pad(mask, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    lines, first = np.nonzero(edges == 1)
    _, last = np.nonzero(edges == -1)
    return np.stack([lines, first, last - first], axis=1)


def mask_of(runs: NDArray[np.int64], shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """(height, width) of (n, 3) stretches; what lies beyond is left out."""
    mask = np.zeros(shape, dtype=np.bool_)
    for line, first, length in runs.tolist():
        mask[line : line + 1, first : first + length] = True
    return mask
