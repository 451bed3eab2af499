"""sRGB, linear light and CIELAB (D65, 2 degree observer).

sRGB: IEC 61966-2-1:1999. CIELAB: ISO/CIE 11664-4. The numbers are those of scikit-image, bit for
bit; they stand here, since its own ways take three times as long, and a report as much again to
import.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.ground.errors import BadInput

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]

XYZ_OF_RGB = np.array(
    [[0.412453, 0.35758, 0.180423], [0.212671, 0.71516, 0.072169], [0.019334, 0.119193, 0.950227]]
)
_WHITE = np.array([0.95047, 1.0, 1.08883])  # D65, 2 degree observer


def decode(coded: NDArray[Any]) -> Floats:
    """Linear light 0..1 from sRGB values 0..1, any shape."""
    coded = np.asarray(coded, dtype=np.float64)
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def encode(linear: NDArray[Any]) -> Floats:
    """sRGB values 0..1 from linear light, any shape; clipped to 0..1 first."""
    linear = np.clip(np.asarray(linear, dtype=np.float64), 0.0, 1.0)
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


def encode_bytes(linear: NDArray[Any]) -> Bytes:
    """sRGB values 0..255 from linear light, rounded half up, any shape."""
    return np.asarray(np.floor(encode(linear) * 255 + 0.5), dtype=np.uint8)


_AT_ONCE = 16_000  # few enough to stay in the processor's cache


@cache
def decoding_table() -> Floats:
    """(256,) linear light of each 8-bit sRGB value."""
    table = decode(np.arange(256) * (1 / 255))  # as scikit-image has them
    table.setflags(write=False)
    return table


def to_lab(rgb: Bytes) -> Floats:
    """(..., 3) CIELAB of (..., 3) 8-bit sRGB."""
    return lab_of_xyz(decoding_table()[rgb] @ XYZ_OF_RGB.T)


def lab_of_xyz(xyz: NDArray[Any]) -> NDArray[Any]:
    """(..., 3) CIELAB of (..., 3) XYZ, in the same precision."""
    lab = np.empty(xyz.shape, xyz.dtype)
    flat, given = lab.reshape(-1, 3), xyz.reshape(-1, 3)
    for start in range(0, len(flat), _AT_ONCE):
        lab_planes(given[start : start + _AT_ONCE].T, flat[start : start + _AT_ONCE].T)
    return lab


def lab_planes(xyz: NDArray[Any], lab: NDArray[Any]) -> None:
    """Write the CIELAB of three planes of XYZ into three others."""
    share = xyz / _WHITE.astype(xyz.dtype).reshape(3, *[1] * (xyz.ndim - 1))
    x, y, z = np.where(share > 0.008856, np.cbrt(share), 7.787 * share + 16 / 116)
    lab[0] = 116 * y - 16
    lab[1] = 500 * (x - y)
    lab[2] = 200 * (y - z)


def from_lab(lab: Floats) -> Bytes:
    """(..., 3) 8-bit sRGB nearest to (..., 3) CIELAB, clipped to the gamut."""
    y = (lab[..., 0] + 16) / 116
    share = np.stack([y + lab[..., 1] / 500, y, np.maximum(y - lab[..., 2] / 200, 0)], axis=-1)
    xyz = np.where(share > 0.2068966, share**3, (share - 16 / 116) / 7.787) * _WHITE
    return encode_bytes(xyz @ np.linalg.inv(XYZ_OF_RGB).T)


def to_hex(rgb: NDArray[Any]) -> str:
    """ "#rrggbb" of three 8-bit values."""
    return "#{:02x}{:02x}{:02x}".format(*(int(c) for c in rgb))


def from_hex(text: str) -> tuple[int, int, int]:
    """Three 8-bit values of "#rrggbb". Raises BadInput for anything else."""
    if not re.fullmatch(r"#[0-9a-fA-F]{6}", text):
        raise BadInput(f'color "{text}": write it as #rrggbb')
    return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)


def hex_of(colors: NDArray[np.uint8]) -> list[str]:
    """ "#rrggbb" of each of (n, 3) 8-bit sRGB."""
    digits = np.ascontiguousarray(colors, dtype=np.uint8).tobytes().hex()
    return [f"#{digits[at : at + 6]}" for at in range(0, len(digits), 6)]


def rgb_array(colors: list[str]) -> Bytes:
    """(n, 3) 8-bit sRGB of "#rrggbb" texts. Raises BadInput for anything else."""
    text = "".join(color + "," for color in colors)
    if not re.fullmatch(r"(?:#[0-9a-fA-F]{6},)*", text):
        for color in colors:
            from_hex(color)
    digits = bytes.fromhex(text.replace("#", "").replace(",", ""))
    return np.frombuffer(digits, dtype=np.uint8).reshape(-1, 3).copy()


def inner_products(one: Floats, other: Floats) -> Floats:
    """(…,) inner products of (…, 3) vectors, a component at a time: the same bits as a sum along
    so short an axis, in a fraction of its time."""
    ours, theirs = (np.moveaxis(vectors, -1, 0) for vectors in (one, other))
    total = ours[0] * theirs[0]
    for component in (1, 2):
        total += ours[component] * theirs[component]
    return np.asarray(total)


def lengths(vectors: Floats) -> Floats:
    """(…,) lengths of (…, 3) vectors."""
    return np.sqrt(inner_products(vectors, vectors))


def distinct(colors: Bytes) -> tuple[Bytes, NDArray[np.int64]]:
    """(n, 3) distinct colours in order of value, and (…,) which of them each colour is."""
    flat = colors.reshape(-1, 3).astype(np.int64)
    keys, which = np.unique(flat @ np.array([65536, 256, 1]), return_inverse=True)
    unique = np.stack([keys >> 16, (keys >> 8) & 255, keys & 255], axis=1).astype(np.uint8)
    return unique, which.reshape(colors.shape[:-1])


def relative_luminance(rgb: tuple[int, int, int]) -> float:
    """Relative luminance 0..1 (WCAG 2.2, definition "relative luminance")."""
    red, green, blue = decoding_table()[list(rgb)]
    return float(0.2126 * red + 0.7152 * green + 0.0722 * blue)


def contrast(one: tuple[int, int, int], other: tuple[int, int, int]) -> float:
    """Contrast ratio 1..21 (WCAG 2.2, definition "contrast ratio")."""
    dark, light = sorted((relative_luminance(one), relative_luminance(other)))
    return (light + 0.05) / (dark + 0.05)
