"""Embedded colour profiles: how a picture's coded values become linear sRGB light.

Phone photos carry matrix profiles (ICC.1:2010, 8.3: a curve a channel, then a matrix). Light in
their own primaries adds as well as in sRGB's, so their curves are applied to pixels and their
matrix only to what was averaged: exact, and as quick as no profile. Every other kind (grey, CMYK,
tables) goes through Little CMS, pixel by pixel.
"""

from __future__ import annotations

import io
import struct
from functools import cache, cached_property
from typing import Any

import numpy as np
from PIL import Image, ImageCms

from pix2block.color.spaces import Floats, decoding_table, encode_bytes
from pix2block.ground.frozen import dataclass

GREY_MODES = ("1", "L", "LA", "La")
UNUSABLE = "its colour profile cannot be used; its colours are taken as sRGB"


@dataclass(frozen=True, eq=False)
class Profile:
    """tables: (3, 256) light of each coded value, a line a channel; matrix: (3, 3) from light in
    the picture's own primaries to linear sRGB, None where they are sRGB's; transform: what turns
    other kinds of pixels into sRGB first."""

    tables: Floats
    matrix: Floats | None = None
    transform: ImageCms.ImageCmsTransform | None = None

    @cached_property
    def same_curves(self) -> bool:
        """Whether the three channels share one curve."""
        return bool((self.tables[0] == self.tables[1:]).all())

    def to_srgb_light(self, light: Floats) -> Floats:
        """(..., 3) linear sRGB of light in the picture's own primaries."""
        return light if self.matrix is None else light @ self.matrix.T

    def from_srgb_light(self, light: Floats) -> Floats:
        """(3,) light in the picture's own primaries of linear sRGB."""
        return light if self.matrix is None else np.asarray(np.linalg.solve(self.matrix, light))


def srgb_profile() -> Profile:
    """No profile, or one that is sRGB in all but name."""
    return Profile(np.tile(decoding_table(), (3, 1)))


def profile_of(image: Image.Image) -> tuple[Profile, str | None]:
    """The profile of an image of 8-bit channels, and a warning where it cannot be used."""
    data: Any = image.info.get("icc_profile")
    if image.mode == "LAB":
        lab = ImageCms.createProfile("LAB")
        return Profile(srgb_profile().tables, None, _transform(lab, "LAB")), None
    if not data:
        return srgb_profile(), None
    if image.mode not in (*GREY_MODES, "CMYK") and (own := _matrix_profile(data)):
        return (srgb_profile() if _changes_nothing(own) else own), None
    modes = (
        ["L", "RGB"] if image.mode in GREY_MODES else ["CMYK" if image.mode == "CMYK" else "RGB"]
    )
    for mode in modes:
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(data))
            return Profile(srgb_profile().tables, None, _transform(source, mode)), None
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            continue
    return srgb_profile(), UNUSABLE


def _transform(source: Any, mode: str) -> ImageCms.ImageCmsTransform:
    return ImageCms.buildTransform(source, ImageCms.createProfile("sRGB"), mode, "RGB")


def _changes_nothing(profile: Profile) -> bool:
    """Whether no colour of a coarse grid moves by more than one level of 255."""
    levels = np.linspace(0, 255, 18).round().astype(np.int64)
    grid = np.stack(np.meshgrid(levels, levels, levels), axis=-1).reshape(-1, 3)
    light = np.stack([profile.tables[c][grid[:, c]] for c in range(3)], axis=1)
    moved = encode_bytes(profile.to_srgb_light(light)).astype(np.int64)
    return int(np.abs(moved - grid).max()) <= 1


def _matrix_profile(data: bytes) -> Profile | None:
    """The profile in ICC bytes where it is a matrix profile that can be read, else None."""
    try:
        if data[16:24] != b"RGB XYZ ":
            return None
        (count,) = struct.unpack_from(">I", data, 128)
        tags = {}
        for i in range(min(count, 100)):
            name, offset, size = struct.unpack_from(">4sII", data, 132 + 12 * i)
            tags[name] = data[offset : offset + size]
        if b"A2B0" in tags:
            return None
        tables = np.array([_curve(tags[name]) for name in (b"rTRC", b"gTRC", b"bTRC")])
        columns = [_fixed(tags[name], 8, 3) for name in (b"rXYZ", b"gXYZ", b"bXYZ")]
        matrix = np.linalg.solve(_srgb_to_pcs(), np.array(columns).T)
        usable = abs(np.linalg.det(matrix)) > 1e-3 and bool(np.isfinite(tables).all())
    except (struct.error, KeyError, ValueError, ZeroDivisionError, np.linalg.LinAlgError):
        return None
    return Profile(tables, matrix) if usable else None


def _fixed(tag: bytes, offset: int, count: int) -> list[float]:
    """s15Fixed16 numbers (ICC.1:2010, 4.6)."""
    return [value / 65536 for value in struct.unpack_from(f">{count}i", tag, offset)]


def _curve(tag: bytes) -> Floats:
    """(256,) light of each coded value (ICC.1:2010, 10.5 and 10.15). Raises ValueError."""
    coded = np.arange(256) / 255
    kind = tag[:4]
    if kind == b"curv":
        (count,) = struct.unpack_from(">I", tag, 8)
        if count == 0:
            return coded
        values = np.array(struct.unpack_from(f">{count}H", tag, 12))
        if count == 1:
            return np.asarray(coded ** (values[0] / 256))
        return np.interp(coded, np.linspace(0, 1, count), values / 65535)
    if kind != b"para":
        raise ValueError(f"no curve: {kind!r}")
    (form,) = struct.unpack_from(">H", tag, 8)
    given = _fixed(tag, 12, (1, 3, 4, 5, 7)[form] if form < 5 else 0)
    g, a, b, c, d, e, f = (*given, *(0.0,) * (7 - len(given)))
    if form == 0:
        a = 1.0
    elif form in (1, 2):  # a x + b counts from where it is positive; form 2 adds c everywhere
        d, e, f, c = -b / a, c, c, 0.0
    power = np.maximum(a * coded + b, 0.0) ** g
    return np.asarray(np.clip(np.where(coded >= d, power + e, c * coded + f), 0, 1))


@cache
def _srgb_to_pcs() -> Floats:
    """(3, 3) linear sRGB to XYZ of D50, the profile connection space.

    sRGB's primaries and white (IEC 61966-2-1), adapted by Bradford's matrix (ICC.1:2010, annex E).
    """
    bradford = np.array(
        [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
    )
    xy = np.array([[0.64, 0.33], [0.30, 0.60], [0.15, 0.06], [0.3127, 0.3290]])
    red, green, blue, white = np.stack(
        [xy[:, 0] / xy[:, 1], np.ones(4), (1 - xy.sum(axis=1)) / xy[:, 1]], axis=1
    )
    primaries = np.stack([red, green, blue], axis=1)
    to_xyz = primaries * np.linalg.solve(primaries, white)
    cones = (bradford @ np.array([0.9642, 1.0, 0.8249])) / (bradford @ white)
    adapt = np.linalg.solve(bradford, cones[:, None] * bradford)
    return np.asarray(adapt @ to_xyz)
