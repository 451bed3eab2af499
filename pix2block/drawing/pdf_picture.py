"""A picture of pixels put into a PDF as its PNG file holds it.

typst unpacks a PNG and packs its pixels anew, as three bytes each: that takes its time, and twice
the room of one with a palette. The packed lines of a PNG may stand in a PDF as they are (ISO
32000-1, 7.4.4.4: the predictors of PNG; 8.6.6.3: colours by their numbers). So typst sets
`STAND_IN`, one pixel, and its object is written anew at the end of the file, which is how changes
are added to one (7.5.6).
"""

from __future__ import annotations

import re
import struct
from base64 import b64decode

STAND_IN = b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAIAAACQd1PeAAAADElEQVR4nGM4MS0FAAPsAcMKNRFCAAAAAElFTkSuQmCC"
)
_RGB, _PALETTE = 2, 3  # kinds of a PNG's colours
_OBJECT = re.compile(
    rb"\n(\d+) 0 obj\n<<[^<>]*/Subtype/Image[^<>]*/Width 1/Height 1/ColorSpace (\d+ 0 R)[^<>]*>>"
)
_END = re.compile(rb"trailer\n<<(.*)>>\nstartxref\n(\d+)\n%%EOF\s*", re.DOTALL)


def with_picture(pdf: bytes, png: bytes) -> bytes | None:
    """The PDF with a PNG in place of the stand-in; None where one or the other is not as typst and
    Pillow write them today."""
    found = _OBJECT.search(pdf)
    end = _END.fullmatch(pdf, pdf.rfind(b"trailer\n"))
    if not found or not end:
        return None
    object_number, color_space = (part.decode() for part in found.groups())
    drawn = _image(png, color_space)
    if drawn is None:
        return None
    trailer, before = end.groups()
    added = f"{object_number} 0 obj\n".encode() + drawn + b"\nendobj\n"
    start = len(pdf) + 1
    return b"".join(
        [
            *(pdf, b"\n", added),
            f"xref\n{object_number} 1\n{start:010} 00000 n\r\n".encode(),
            b"trailer\n<<%b/Prev %b>>\n" % (trailer, before),
            b"startxref\n%d\n%%%%EOF\n" % (start + len(added)),
        ]
    )


def _image(png: bytes, color_space: str) -> bytes | None:
    """A PNG as an image of a PDF. color_space: that of its three colours."""
    parts: dict[bytes, bytes] = {}
    at = 8  # after the signature
    while at < len(png):
        length, name = struct.unpack_from(">I4s", png, at)
        parts[name] = parts.get(name, b"") + png[at + 8 : at + 8 + length]
        at += length + 12
    width, height, bits, kind, _, _, interlaced = struct.unpack(">IIBBBBB", parts[b"IHDR"])
    if kind not in (_RGB, _PALETTE) or interlaced or b"tRNS" in parts:
        return None
    if kind == _PALETTE:
        palette = parts[b"PLTE"]
        color_space = f"[/Indexed {color_space} {len(palette) // 3 - 1} <{palette.hex()}>]"
    lines = f"/Predictor 15/Colors {3 if kind == _RGB else 1}/BitsPerComponent {bits}"
    packed = parts[b"IDAT"]
    told = (
        f"<</Length {len(packed)}/Type/XObject/Subtype/Image/Width {width}/Height {height}"
        f"/ColorSpace {color_space}/BitsPerComponent {bits}"
        f"/Filter/FlateDecode/DecodeParms<<{lines}/Columns {width}>>>>"
    )
    return told.encode() + b"\nstream\n" + packed + b"\nendstream"
