"""Colour difference: CIEDE2000 (Sharma, Wu & Dalal 2005), by scikit-image.

Made for differences up to about 5; larger ones rank more than they measure.
"""

from __future__ import annotations

import numpy as np

from pix2block.color.spaces import Bytes, Floats, to_lab


def ciede2000(lab1: Floats, lab2: Floats) -> Floats:
    """CIEDE2000 of CIELAB arrays that broadcast against each other, last axis 3."""
    from skimage.color import deltaE_ciede2000

    return np.asarray(deltaE_ciede2000(lab1, lab2), dtype=np.float64)


def difference_table(colors: Bytes, yarns: Bytes) -> Floats:
    """(n, k) CIEDE2000 between (n, 3) and (k, 3) 8-bit sRGB colours."""
    return ciede2000(to_lab(colors)[:, None, :], to_lab(yarns)[None, :, :])
