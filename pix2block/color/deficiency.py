"""Colours as seen by other eyes: without one kind of cone, and in grey.

Machado, Oliveira & Fernandes (2009), "A physiologically-based model for simulation of color vision
deficiency", IEEE Trans. Visualization and Computer Graphics 15(6), 1291-1298: the matrices of full
severity, applied to linear sRGB. The authors call the tritan case less certain (from memory).
"""

from __future__ import annotations

from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import NDArray

from pix2block.color.spaces import (
    XYZ_OF_RGB,
    Bytes,
    Floats,
    decoding_table,
    encode_bytes,
    lab_of_xyz,
    to_lab,
)

Sight = Literal["normal", "protan", "deutan", "tritan", "grey"]
SIGHTS: tuple[Sight, ...] = get_args(Sight)

# Each row sums to 1: greys stay as they are.
MATRICES: dict[Sight, tuple[tuple[float, float, float], ...]] = {
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
_LUMINANCE = (0.2126, 0.7152, 0.0722)  # of linear sRGB, IEC 61966-2-1


def light_in_sight(light: NDArray[Any], sight: Sight) -> Floats:
    """(..., 3) linear sRGB 0..1 as seen, clipped to 0..1; in grey: its luminance three times."""
    light = np.asarray(light, dtype=np.float64)
    if sight == "normal":
        return light
    matrix = np.array([_LUMINANCE] * 3 if sight == "grey" else MATRICES[sight])
    return np.asarray(np.clip(light @ matrix.T, 0.0, 1.0))


def in_sight(rgb: Bytes, sight: Sight) -> Bytes:
    """(..., 3) 8-bit sRGB as seen."""
    return rgb if sight == "normal" else encode_bytes(light_in_sight(decoding_table()[rgb], sight))


def lab_in_sight(rgb: Bytes, sight: Sight) -> Floats:
    """(..., 3) CIELAB of (..., 3) 8-bit sRGB as seen, nothing rounded to bytes on the way: what is
    seen is no colour of a file."""
    if sight == "normal":
        return to_lab(rgb)
    return lab_of_xyz(light_in_sight(decoding_table()[rgb], sight) @ XYZ_OF_RGB.T)
