"""What decoding a picture holds in memory, so that a small file cannot fill the machine's.

Bytes a pixel were measured with Pillow 13 (`tests/bench/decoding.py`); those of HEIC are added up
from its own planes, its RGB and Pillow's copy.
"""

from __future__ import annotations

from typing import Any

MOST_HELD = 720_000_000  # bytes; the rest of the program takes up to 250 MB beside them
_OF_FORMAT = {"WEBP": 16.1, "AVIF": 10.0, "JPEG2000": 20.0, "HEIF": 12.0}
_OF_MODE = {"1": 1.1, "L": 1.1, "P": 1.1, "I;16": 2.1, "I;16L": 2.1, "I;16B": 2.1, "I;16N": 2.1}
_USUAL = 4.2
_JPEG = ("JPEG", "MPO")
_SCAN = 0xDA  # the marker where a JPEG's first scan begins (ITU-T T.81, table B.1)


def held_to_decode(coded: Any, data: bytes, fewer: int = 1) -> float:
    """Bytes that decoding takes. coded: a picture of Pillow's or pi-heif's that is open, not
    decoded; data: its file; fewer: how many pixels of a JPEG are read as one, along a side."""
    width, height = coded.size
    kind = getattr(coded, "format", None) or "HEIF"
    a_pixel = _OF_FORMAT.get(kind) or _OF_MODE.get(coded.mode, _USUAL)
    held = float(width * height * a_pixel / fewer**2)
    if kind in _JPEG and not _in_one_scan(data):
        held += 2 * _samples(coded.layer) * width * height  # all coefficients, two bytes each
    return held


def read_smaller(coded: Any, data: bytes) -> int:
    """How many pixels of a JPEG that would take too much are to be read as one, along a side: 2, 4
    or 8, as its format offers; 1 where that is not needed, or would not help.

    The means of such pixels are those of coded values, not of light.
    """
    for fewer in (1, 2, 4, 8) if getattr(coded, "format", None) in _JPEG else ():
        if held_to_decode(coded, data, fewer) <= MOST_HELD:
            return fewer
    return 1


def _samples(layers: Any) -> float:
    """Samples a pixel, of the components of a JPEG as Pillow lists them."""
    shares = [across * down for _, across, down, _ in layers]
    return float(sum(shares) / max([1, *shares]))


def _in_one_scan(data: bytes) -> bool:
    """Whether a JPEG holds all its components in one scan; what is progressive does not."""
    at, components, progressive = 2, 0, False
    while at + 9 < len(data):
        if data[at] != 0xFF or data[at + 1] == 0xFF:
            at += 1
            continue
        marker, length = data[at + 1], int.from_bytes(data[at + 2 : at + 4])
        if 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):  # a frame's header
            components, progressive = data[at + 9], marker in (0xC2, 0xC6, 0xCA, 0xCE)
        if marker == _SCAN:
            return not progressive and data[at + 4] == components
        at += 2 + length
    return False
