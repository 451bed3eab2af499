"""How near a chart is to its picture: block by block, and to the eye from near and from far."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.chart.source import Seen
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import Floats, decoding_table, to_lab
from pix2block.color.vision import (
    FAR_DEGREES,
    NEAR_DEGREES,
    SAMPLES_A_BLOCK,
    seen_differences,
)

_MOST_SAMPLES = 6_000_000


def color_errors(chart: Chart) -> Floats | None:
    """(blocks,) CIEDE2000 between each block's mean and its yarn, but for blocks that
    were added by hand; None without a source."""
    if chart.source is None:
        return None
    exists = chart.blocks >= 0
    if chart.source.added is not None:
        exists &= chart.source.added == 0
    yarns = to_lab(chart.yarn_rgb)[chart.blocks[exists]]
    return ciede2000(to_lab(chart.source.means[exists]), yarns)


def error_figures(chart: Chart) -> tuple[float | None, float | None]:
    """Mean and 95th percentile (linear) of the colour errors, every block alike."""
    errors = color_errors(chart)
    if errors is None:
        return None, None
    return float(errors.mean()), float(np.percentile(errors, 95))


def samples_a_block(width: int, height: int) -> int:
    """Samples along a block's side: 8, fewer for charts so large that it takes too long."""
    samples = SAMPLES_A_BLOCK
    while samples > 1 and width * height * samples**2 > _MOST_SAMPLES:
        samples //= 2
    return samples


def with_seen(chart: Chart, picture_light: Floats) -> Chart:
    """The chart with how it differs from its picture to the eye.

    picture_light: (height * n, width * n, 3) linear sRGB of the picture's own part, n samples a
    block; a block of the chart is a flat square.
    """
    if chart.source is None:
        return chart
    near, far = seen_figures(chart, picture_light)
    seen = Seen(round(near, 4), round(far, 4), chart.fingerprint)
    return replace(chart, source=replace(chart.source, seen=seen))


def seen_figures(
    chart: Chart, picture_light: Floats, far_degrees: float = FAR_DEGREES
) -> tuple[float, float]:
    """Mean CIEDE2000 between a chart and its picture as seen from near and from far.
    picture_light: as for `with_seen`; far_degrees: across a block, from far."""
    samples = picture_light.shape[0] // chart.height
    flat = decoding_table().astype(np.float32)[chart.yarn_rgb][np.maximum(chart.blocks, 0)]
    near, far = seen_differences(
        picture_light, flat, [samples / NEAR_DEGREES, samples / far_degrees]
    )
    return near, far
