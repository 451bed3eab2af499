"""HEIC and HEIF files, as phones take pictures: told by their first bytes, opened by pi-heif.

Nothing is registered with Pillow, whose readers are the host program's.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pi_heif import HeifFile

_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")


def is_heif(data: bytes) -> bool:
    """Whether a file's bytes begin as HEIF does (ISO/IEC 23008-12): a box `ftyp` with its brand."""
    return data[4:8] == b"ftyp" and data[8:12] in _BRANDS


def open_heif(data: bytes) -> HeifFile:
    """The file, its size known, nothing decoded; `to_pillow` decodes its main picture, turned
    upright, 8 bits a channel. Raises what pi-heif does for a damaged file."""
    from pi_heif import open_heif as opened  # loaded only where such a file occurs

    return opened(io.BytesIO(data))
