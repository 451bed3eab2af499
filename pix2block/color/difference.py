"""Colour difference: CIEDE2000 (Sharma, Wu & Dalal 2005).

Made for differences up to about 5; larger ones rank more than they measure.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.color.spaces import Bytes, Floats, to_lab


def ciede2000(lab1: Floats, lab2: Floats) -> Floats:
    """CIEDE2000 of CIELAB arrays that broadcast against each other, last axis 3; scikit-image's."""
    from skimage.color import deltaE_ciede2000

    return np.asarray(deltaE_ciede2000(lab1, lab2), dtype=np.float64)


def difference_table(colors: Bytes, yarns: Bytes) -> Floats:
    """(n, k) CIEDE2000 between (n, 3) and (k, 3) 8-bit sRGB colours."""
    return ciede2000(to_lab(colors)[:, None, :], to_lab(yarns)[None, :, :])


_25_TO_7 = 25.0**7
# Python's own floats: they leave single precision single.
_COS_6, _SIN_6 = math.cos(math.radians(6)), math.sin(math.radians(6))
_COS_30, _SIN_30 = math.cos(math.radians(30)), math.sin(math.radians(30))
_COS_63, _SIN_63 = math.cos(math.radians(63)), math.sin(math.radians(63))


def quick_table(lab1: NDArray[Any], lab2: NDArray[Any]) -> NDArray[Any]:
    """(n, k) CIEDE2000 between (n, 3) and (k, 3) CIELAB colours, for the inside of searches."""
    return quick_differences(lab1[:, None, :], lab2[None, :, :])


def quick_differences(lab1: NDArray[Any], lab2: NDArray[Any]) -> NDArray[Any]:
    """CIEDE2000 of CIELAB arrays that broadcast against each other, last axis 3.

    The same formula as `ciede2000`, several times as quick: hues are kept as unit vectors, so that
    the mean hue is a sum of vectors and the cosines of its multiples are polynomials. Equation
    numbers are those of Sharma, Wu & Dalal (2005). Where two hues lie exactly opposite, which of
    the two mean hues is meant is a matter of rounding, here as there. Single precision stays
    single: twice as quick again, and good to 0.002.
    """
    l1, a1, b1 = (lab1[..., i] for i in range(3))
    l2, a2, b2 = (lab2[..., i] for i in range(3))
    mean_chroma = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2  # (3)
    seventh = mean_chroma**2
    seventh = seventh * seventh * seventh * mean_chroma
    stretch = 1.5 - 0.5 * np.sqrt(seventh / (seventh + _25_TO_7))  # 1 + G, (4)
    a1, a2 = a1 * stretch, a2 * stretch  # (5)
    c1, c2 = np.sqrt(a1 * a1 + b1 * b1), np.sqrt(a2 * a2 + b2 * b2)  # (6)
    delta_c = c2 - c1  # (9)
    product = c1 * c2
    ac1, ac2, bc1, bc2 = a1 * c2, a2 * c1, b1 * c2, b2 * c1
    grey = product == 0
    square_h = (ac1 - ac2) ** 2 + (bc1 - bc2) ** 2  # (11), squared, over the chord
    square_h /= np.where(grey, product.dtype.type(1), product)
    turn = np.where(a1 * b2 < a2 * b1, -1, 1).astype(a1.dtype)  # the sign of (10)

    # The mean hue (14) as a unit vector: the sum of the two hues' vectors.
    # Where one is grey, it is the hue of the other.
    x, y = ac1 + ac2, bc1 + bc2
    x, y = np.where(grey, a1 + a2, x), np.where(grey, b1 + b2, y)
    length = np.sqrt(x * x + y * y)
    opposite = length <= 1e-9 * product
    scale = 1 / np.where(length == 0, length.dtype.type(1), length)
    cos, sin = x * scale, y * scale
    if opposite.any():  # a quarter turn on from the first hue, or back
        back = np.where(b1 >= 0, 1, -1).astype(b1.dtype)
        unit = 1 / np.where(c1 == 0, c1.dtype.type(1), c1)
        cos = np.where(opposite, -b1 * unit * back, cos)
        sin = np.where(opposite, a1 * unit * back, sin)
    cos2, sin2 = cos * cos - sin * sin, 2 * cos * sin
    cos3, sin3 = cos2 * cos - sin2 * sin, sin2 * cos + cos2 * sin
    cos4, sin4 = cos2 * cos2 - sin2 * sin2, 2 * cos2 * sin2
    t = (  # (15)
        1
        - 0.17 * (cos * _COS_30 + sin * _SIN_30)
        + 0.24 * cos2
        + 0.32 * (cos3 * _COS_6 - sin3 * _SIN_6)
        - 0.20 * (cos4 * _COS_63 + sin4 * _SIN_63)
    )
    hue = np.degrees(np.arctan2(sin, cos)) % 360
    angle = np.radians(60 * np.exp(-(((hue - 275) / 25) ** 2)))  # twice (16)
    mean_c = (c1 + c2) / 2  # (13)
    seventh = mean_c * mean_c
    seventh = seventh * seventh * seventh * mean_c
    rotation = -2 * np.sqrt(seventh / (seventh + _25_TO_7)) * np.sin(angle)  # (17), (21)
    light = ((l1 + l2) / 2 - 50) ** 2
    s_l = 1 + 0.015 * light / np.sqrt(20 + light)  # (18)
    s_c = 1 + 0.045 * mean_c  # (19)
    s_h = 1 + 0.015 * mean_c * t  # (20)
    dl, dc = (l2 - l1) / s_l, delta_c / s_c
    dh = turn * np.sqrt(square_h) / s_h
    return np.asarray(np.sqrt(np.maximum(dl * dl + dc * dc + dh * dh + rotation * dc * dh, 0)))
