"""How far a chart's yarns are from its picture."""

from __future__ import annotations

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import Floats, to_lab


def color_errors(chart: Chart) -> Floats | None:
    """(blocks,) CIEDE2000 between each block's mean and its yarn, None without a source."""
    if chart.source is None:
        return None
    exists = chart.blocks >= 0
    yarns = to_lab(chart.yarn_rgb)[chart.blocks[exists]]
    return ciede2000(to_lab(chart.source.means[exists]), yarns)


def error_figures(chart: Chart) -> tuple[float | None, float | None]:
    """Mean and 95th percentile (linear) of the colour errors, every block alike."""
    errors = color_errors(chart)
    if errors is None:
        return None, None
    return float(errors.mean()), float(np.percentile(errors, 95))
