"""A picture read from a file: HEIC, or any format and colour mode that Pillow reads.

Pixels stay as the file has them and are turned into linear sRGB light a strip at a time, so that
a phone photo of 50 megapixels needs little more memory than its own pixels.
"""

from __future__ import annotations

import hashlib
import io
import struct
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms, UnidentifiedImageError

from pix2block.color.notation import parse_color
from pix2block.color.spaces import (
    Bytes,
    Floats,
    decode,
    decoding_table,
    encode_bytes,
    from_hex,
)
from pix2block.ground.errors import BadInput
from pix2block.ground.files import read_bytes
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import DEFAULT_BACKGROUND, MOST_PIXELS
from pix2block.picture.heif import is_heif, open_heif
from pix2block.picture.memory import MOST_HELD, held_to_decode, read_smaller
from pix2block.picture.profile import UNUSABLE, Profile, profile_of, srgb_profile

_ORIENTATION_TAG = 0x0112
_WITH_ALPHA = ("LA", "PA", "RGBA", "La", "RGBa")
_GREY_16 = ("I;16", "I;16L", "I;16B", "I;16N", "I")
# What Pillow does not decode itself: another program would be called, where there is one.
_HANDED_ON = ("EPS", "WMF", "FPX", "MIC", "GRIB", "HDF5", "BUFR")
_HOLDS_OTHERS = ("ICNS", "IPTC")  # a picture of any size in one that tells another
_PIXELS_A_STRIP = 60_000
_PIXELS_LOOKED_UP = 4_000  # at once: of more, the whole table lookup leaves the cache
_SIGNATURE = 16  # bytes by which a decoder knows its files
_NOT_OF_THIS_KIND = (SyntaxError, IndexError, TypeError, struct.error)
_READABLE = ("1", "L", "P", "RGB", "RGBX", "CMYK", "YCbCr", "HSV", "LAB", *_WITH_ALPHA, *_GREY_16)


@dataclass(frozen=True, eq=False)
class Picture:
    """An open picture. image: as stored, before its turn; orientation: EXIF 1 to 8;
    background: what transparent places show; profile: what its coded values mean."""

    name: str
    sha256: str
    image: Image.Image
    orientation: int
    background: str
    profile: Profile
    warnings: tuple[str, ...] = ()

    def __repr__(self) -> str:
        width, height = self.size
        return f"Picture({self.name!r}, {width} x {height} pixels)"

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in pixels, after the EXIF turn."""
        width, height = self.image.size
        return (height, width) if self.orientation >= 5 else (width, height)

    def on(self, background: str) -> Picture:
        """The picture on another background. Raises BadInput for what is no colour."""
        background = parse_color(background)
        return self if background == self.background else replace(self, background=background)

    @cached_property
    def _background_light(self) -> Floats:
        light = decoding_table()[list(from_hex(self.background))]
        return self.profile.from_srgb_light(light)

    def stored_box(
        self, box: tuple[float, float, float, float]
    ) -> tuple[float, float, float, float]:
        """A box (left, top, right, bottom) of the turned picture, in the stored one."""
        width, height = self.size
        left, top, right, bottom = box
        if self.orientation in (2, 3, 6, 7):  # stored the other way round along the turned width
            left, right = width - right, width - left
        if self.orientation in (3, 4, 7, 8):
            top, bottom = height - bottom, height - top
        return (top, left, bottom, right) if self.orientation >= 5 else (left, top, right, bottom)

    def turned(self, stored: NDArray[Any]) -> NDArray[Any]:
        """An array (lines, columns, …) of the stored picture, turned as EXIF says."""
        if self.orientation >= 5:
            stored = stored.swapaxes(0, 1)
        if self.orientation in (3, 4, 7, 8):
            stored = stored[::-1]
        if self.orientation in (2, 3, 6, 7):
            stored = stored[:, ::-1]
        return stored

    def light(self, box: tuple[int, int, int, int]) -> Floats:
        """(lines, columns, 3) light of a box of the stored picture, in the picture's own primaries.

        It adds; `profile.to_srgb_light` makes linear sRGB of it, or of its means.
        """
        part = self.image.crop(box)
        part.info = self.image.info
        if part.mode in _GREY_16:
            return self._light_of_grey_16(np.asarray(part))
        rgb, alpha = self._rgb_and_alpha(part)
        light = self._light_of_bytes(np.asarray(rgb))
        if alpha is not None:
            cover = (np.asarray(alpha, dtype=np.float64) / 255)[..., None]
            light = light * cover + self._background_light * (1 - cover)
        return light

    def _light_of_bytes(self, coded: Bytes) -> Floats:
        tables, light = self.profile.tables, np.empty(coded.shape)
        lines = max(1, _PIXELS_LOOKED_UP // coded.shape[1])
        for top in range(0, len(coded), lines):
            here, out = coded[top : top + lines], light[top : top + lines]
            if self.profile.same_curves:
                np.take(tables[0], here, out=out, mode="clip")
                continue
            for c in range(3):
                np.take(tables[c], here[..., c], out=out[..., c], mode="clip")
        return light

    def _light_of_grey_16(self, values: NDArray[Any]) -> Floats:
        grey = decode(np.clip(values, 0, 65535) / 65535)
        light = np.repeat(grey[..., None], 3, axis=2)
        clear = self.image.info.get("transparency")
        if isinstance(clear, int):
            light[values == clear] = self._background_light
        return light

    def _rgb_and_alpha(self, part: Image.Image) -> tuple[Image.Image, Image.Image | None]:
        alpha = None
        if part.mode in _WITH_ALPHA or "transparency" in part.info:
            part = part.convert("RGBA")
            alpha = part.getchannel("A")
            part = part.convert("RGB")
        transform = self.profile.transform
        if transform is not None:
            if part.mode != transform.input_mode:
                part = part.convert(transform.input_mode)
            return ImageCms.applyTransform(part, transform) or part, alpha
        return (part if part.mode == "RGB" else part.convert("RGB")), alpha

    def strips(self) -> Iterator[Bytes]:
        """(lines, columns, 3) 8-bit sRGB of the stored picture, laid on the background, some lines
        at a time from the top; each strip begins with the last line of the one before."""
        width, height = self.image.size
        step = max(1, _PIXELS_A_STRIP // width)
        for top in range(0, height, step):
            box = (0, max(0, top - 1), width, min(height, top + step))
            yield encode_bytes(self.profile.to_srgb_light(self.light(box)))

    def pixels(self, every: int = 1) -> Bytes:
        """(height, width, 3) 8-bit sRGB of the whole turned picture, laid on the background; of so
        many pixels along both sides, which divide them evenly, the first one alone."""
        width, height = self.image.size
        kept = np.empty((-(-height // every), -(-width // every), 3), dtype=np.uint8)
        step = every if every > 1 else max(1, _PIXELS_A_STRIP // width)
        for line, top in enumerate(range(0, height, step)):
            bottom = top + 1 if every > 1 else min(height, top + step)
            light = self.light((0, top, width, bottom))[:, ::every]
            first = line if every > 1 else top
            coded = encode_bytes(self.profile.to_srgb_light(light))
            kept[first : first + len(coded)] = coded
        return self.turned(kept)


def open_picture(path: str | Path, background: str = DEFAULT_BACKGROUND) -> Picture:
    """Read and decode a picture file.

    The EXIF turn, the embedded colour profile and transparency are honoured when pixels are
    asked for; transparency is laid on `background` in linear light, as everything is averaged.

    Raises BadInput where the file is no picture, is damaged, or has over 250 megapixels.
    """
    path = Path(path)
    background = parse_color(background)
    data = read_bytes(path, "picture")
    try:
        coded = open_heif(data) if is_heif(data) else opened(data)
        width, height = coded.size  # a HEIC file may hold no picture
    except UnidentifiedImageError:
        raise BadInput(
            f"picture {path} is no picture that can be read: save it as JPEG or PNG"
        ) from None
    except Exception as error:
        raise _damaged(path, error) from None
    if width * height > MOST_PIXELS:
        raise BadInput(
            f"picture {path} has {width} x {height} pixels, over {MOST_PIXELS // 10**6} million: "
            "make it smaller first"
        )
    if coded.mode not in _READABLE:
        raise BadInput(
            f"picture {path} has pixels of the kind {coded.mode}: save it as JPEG or PNG"
        )
    fewer = read_smaller(coded, data)
    if held_to_decode(coded, data, fewer) > MOST_HELD:
        raise BadInput(
            f"picture {path} has {width} x {height} pixels of a kind that takes more memory than "
            f"{MOST_HELD // 10**6} MB to read: make it smaller first"
        )
    try:
        image = coded if isinstance(coded, Image.Image) else coded.to_pillow()
        if fewer > 1:
            image.draft(None, (width // fewer, height // fewer))
        image.load()
        orientation = int(image.getexif().get(_ORIENTATION_TAG, 1))
    except Exception as error:  # decoders raise many kinds: OSError, SyntaxError, ValueError …
        raise _damaged(path, error) from None
    if image.mode in _GREY_16:
        profile, warning = srgb_profile(), UNUSABLE if image.info.get("icc_profile") else None
    else:
        profile, warning = profile_of(image)
    said = [warning] if warning else []
    if fewer > 1:
        said.append(f"it is so large that {fewer} x {fewer} of its pixels were read as one")
    return Picture(
        # A name that is no text in UTF-8 keeps what of it is.
        name=path.name.encode(errors="replace").decode(),
        sha256=hashlib.sha256(data).hexdigest(),
        image=image,
        orientation=orientation if 1 <= orientation <= 8 else 1,
        background=background,
        profile=profile,
        warnings=tuple(f"picture {path}: {one}" for one in said),
    )


def opened(data: bytes) -> Image.Image:
    """A picture as `Image.open` gives it, without that function's limit, which is the host
    program's to set: we check our own, larger one before anything is decoded.

    Raises UnidentifiedImageError where it is no picture, or what its decoder raises.
    """
    for load_decoders in (Image.preinit, Image.init):  # the common ones, then all
        load_decoders()
        for name in Image.ID:
            if name in (*_HANDED_ON, *_HOLDS_OTHERS):
                continue
            decoder, accepts = Image.OPEN[name]
            with suppress(*_NOT_OF_THIS_KIND):
                accepted = accepts is None or accepts(data[:_SIGNATURE])
                if accepted and not isinstance(accepted, str):  # a text says what is missing
                    return decoder(io.BytesIO(data), "")
    raise UnidentifiedImageError


def _damaged(path: Path, error: Exception) -> BadInput:
    reason = " ".join(str(error).split()) or type(error).__name__
    return BadInput(f"picture {path} is damaged ({reason}): open and save it again")
