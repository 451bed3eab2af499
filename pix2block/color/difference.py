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
    """CIEDE2000 of CIELAB arrays that broadcast against each other, last axis 3, in double
    precision."""
    return np.asarray(quick_differences(lab1, lab2), dtype=np.float64)


def difference_table(colors: Bytes, yarns: Bytes) -> Floats:
    """(n, k) CIEDE2000 between (n, 3) and (k, 3) 8-bit sRGB colours."""
    return ciede2000(to_lab(colors)[:, None, :], to_lab(yarns)[None, :, :])


_AT_ONCE = 16_000  # few enough to stay in the processor's cache
_25_TO_7 = 25.0**7
# Python's own floats: they leave single precision single.
_COS_6, _SIN_6 = math.cos(math.radians(6)), math.sin(math.radians(6))
_COS_30, _SIN_30 = math.cos(math.radians(30)), math.sin(math.radians(30))
_TURN, _275, _60 = 2 * math.pi, math.radians(275), math.radians(60)
_TINY = 1e-30
_A_25TH = 1 / math.radians(25)
_COS_63, _SIN_63 = math.cos(math.radians(63)), math.sin(math.radians(63))


def quick_table(lab1: NDArray[Any], lab2: NDArray[Any]) -> NDArray[Any]:
    """(n, k) CIEDE2000 between (n, 3) and (k, 3) CIELAB colours, for the inside of searches."""
    found = np.empty((len(lab1), len(lab2)), dtype=np.result_type(lab1, lab2))
    lines = max(1, _AT_ONCE // max(1, len(lab2)))
    for start in range(0, len(lab1), lines):  # the long side inmost
        part = slice(start, start + lines)
        found[part] = _differences(lab1[None, part], lab2[:, None]).T
    return found


def quick_differences(lab1: NDArray[Any], lab2: NDArray[Any]) -> NDArray[Any]:
    """CIEDE2000 of CIELAB arrays that broadcast against each other, last axis 3.

    Hues are kept as unit vectors, so that the mean hue is a sum of vectors and the cosines of its
    multiples are polynomials. Where two hues lie exactly opposite, which of the two mean hues is
    meant is a matter of rounding. Single precision stays single: twice as quick again, and good to
    0.002.
    """
    shape = np.broadcast_shapes(lab1.shape, lab2.shape)[:-1]
    lines = max(1, _AT_ONCE // max(1, math.prod(shape[1:]))) if shape else 1
    if not shape or shape[0] <= lines:
        return _differences(lab1, lab2)
    found = np.empty(shape, dtype=np.result_type(lab1, lab2))
    for start in range(0, shape[0], lines):
        part = slice(start, start + lines)
        ours, theirs = (
            lab[part] if lab.ndim == len(shape) + 1 and len(lab) == shape[0] else lab
            for lab in (lab1, lab2)
        )
        found[part] = _differences(ours, theirs)
    return found


def _differences(lab1: NDArray[Any], lab2: NDArray[Any]) -> NDArray[Any]:
    """The same of few enough."""
    one, other = (np.ascontiguousarray(np.moveaxis(lab, -1, 0)) for lab in (lab1, lab2))
    return plane_differences(one, other)


def plane_differences(lab1: NDArray[Any], lab2: NDArray[Any]) -> NDArray[Any]:
    """The same of few enough to stay in the processor's cache, by planes: first axis 3. Equation
    numbers are those of Sharma, Wu & Dalal (2005)."""
    (l1, a1, b1), (l2, a2, b2) = lab1, lab2
    mean_chroma = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2  # (3)
    stretch = 1.5 - 0.5 * _seventh(mean_chroma)  # 1 + G, (4)
    a1, a2 = a1 * stretch, a2 * stretch  # (5)
    c1, c2 = np.sqrt(a1 * a1 + b1 * b1), np.sqrt(a2 * a2 + b2 * b2)  # (6)
    mean_c = (c1 + c2) / 2  # (13)
    product = c1 * c2
    cos, sin, square_h = _mean_hue((a1, b1, c1), (a2, b2, c2), product)
    dh = np.copysign(np.sqrt(square_h), a1 * b2 - a2 * b1)  # (10)
    dh = dh / (1 + 0.015 * mean_c * _hue_weight(cos, sin))  # (20)
    dc = (c2 - c1) / (1 + 0.045 * mean_c)  # (9), (19)
    light = ((l1 + l2) / 2 - 50) ** 2
    dl = (l2 - l1) / (1 + 0.015 * light / np.sqrt(20 + light))  # (18)
    rotation = -2 * _seventh(mean_c) * _turned_blue(cos, sin)  # (17), (21)
    return np.asarray(np.sqrt(np.maximum(dl * dl + dc * dc + dh * dh + rotation * dc * dh, 0)))


def _seventh(chroma: NDArray[Any]) -> NDArray[Any]:
    """The root of (4) and (17)."""
    square = chroma * chroma
    seventh = square * square * square * chroma
    return np.asarray(np.sqrt(seventh / (seventh + _25_TO_7)))


def _mean_hue(
    one: tuple[NDArray[Any], ...], other: tuple[NDArray[Any], ...], product: NDArray[Any]
) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any]]:
    """Of two colours' a, b and chroma the mean hue (14) as a unit vector, the sum of the two hues'
    vectors, or where one is grey the hue of the other; and the square of (11)."""
    (a1, b1, c1), (a2, b2, c2) = one, other
    ac1, ac2, bc1, bc2 = a1 * c2, a2 * c1, b1 * c2, b2 * c1
    square_h = (ac1 - ac2) ** 2 + (bc1 - bc2) ** 2
    x, y = ac1 + ac2, bc1 + bc2
    grey = product == 0
    if grey.any():
        square_h /= np.where(grey, product.dtype.type(1), product)
        x, y = np.where(grey, a1 + a2, x), np.where(grey, b1 + b2, y)
    else:
        square_h /= product
    length = np.sqrt(x * x + y * y)
    opposite = length <= 1e-9 * product
    scale = 1 / np.maximum(length, _TINY)
    cos, sin = x * scale, y * scale
    if opposite.any():  # a quarter turn on from the first hue, or back
        back = np.where(b1 >= 0, 1, -1).astype(b1.dtype)
        unit = 1 / np.where(c1 == 0, c1.dtype.type(1), c1)
        cos = np.where(opposite, -b1 * unit * back, cos)
        sin = np.where(opposite, a1 * unit * back, sin)
    return cos, sin, square_h


def _hue_weight(cos: NDArray[Any], sin: NDArray[Any]) -> NDArray[Any]:
    """T, (15), of the mean hue."""
    cos2, sin2 = cos * cos - sin * sin, 2 * cos * sin
    cos3, sin3 = cos2 * cos - sin2 * sin, sin2 * cos + cos2 * sin
    cos4, sin4 = cos2 * cos2 - sin2 * sin2, 2 * cos2 * sin2
    return np.asarray(
        1
        - 0.17 * (cos * _COS_30 + sin * _SIN_30)
        + 0.24 * cos2
        + 0.32 * (cos3 * _COS_6 - sin3 * _SIN_6)
        - 0.20 * (cos4 * _COS_63 + sin4 * _SIN_63)
    )


def _turned_blue(cos: NDArray[Any], sin: NDArray[Any]) -> NDArray[Any]:
    """The sine of twice (16), of the mean hue."""
    hue = np.arctan2(sin, cos)
    hue = np.where(hue < 0, hue + _TURN, hue)
    # What is less than e^-40 changes no sum, but of numbers much smaller a sine takes long.
    from_blue = np.minimum(((hue - _275) * _A_25TH) ** 2, 40)
    return np.asarray(np.sin(_60 * np.exp(-from_blue)))
