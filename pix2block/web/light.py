"""Which yarns of a chart are light and which dark, for the choices that the page offers first."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart


def lightness_of(chart: Chart) -> NDArray[np.int_]:
    """(yarns,) the sRGB levels of each added up, which is enough to rank them."""
    levels: NDArray[np.int_] = chart.yarn_rgb.astype(int).sum(axis=1)
    return levels
