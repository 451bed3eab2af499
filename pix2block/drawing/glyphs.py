"""Which characters the shipped font has, read from its own table of characters."""

from __future__ import annotations

import struct
from functools import cache

from pix2block.drawing.style import font_bytes


@cache
def characters() -> frozenset[int]:
    """Code points that the shipped font draws: its "cmap" table, format 4 (OpenType 1.9)."""
    data = font_bytes(bold=False)
    tables = struct.unpack(">H", data[4:6])[0]
    entries = (struct.unpack(">4sIII", data[12 + 16 * i : 28 + 16 * i]) for i in range(tables))
    start = next(offset for tag, _, offset, _ in entries if tag == b"cmap")
    count = struct.unpack(">H", data[start + 2 : start + 4])[0]
    found: set[int] = set()
    for i in range(count):
        offset = struct.unpack(">HHI", data[start + 4 + 8 * i : start + 12 + 8 * i])[2]
        table = data[start + offset :]
        kind = struct.unpack(">H", table[:2])[0]
        if kind == 4:
            found |= _segments(table)
        elif kind == 12:
            found |= _groups(table)
    return frozenset(found)


def _segments(table: bytes) -> set[int]:
    """Format 4: segments of code points, each with a shift or with glyphs of its own."""
    twice = struct.unpack(">H", table[6:8])[0]
    ends, starts, shifts, ranges = (
        struct.unpack(f">{twice // 2}H", table[at : at + twice])
        for at in (14, 16 + twice, 16 + 2 * twice, 16 + 3 * twice)
    )
    found = set()
    for i, (end, start, shift, away) in enumerate(zip(ends, starts, shifts, ranges, strict=True)):
        for code in range(start, min(end, 0xFFFE) + 1):
            if away:
                at = 16 + 3 * twice + 2 * i + away + 2 * (code - start)
                glyph = struct.unpack(">H", table[at : at + 2])[0]
            else:
                glyph = (code + shift) % 0x10000
            if glyph:
                found.add(code)
    return found


def _groups(table: bytes) -> set[int]:
    """Format 12: groups of code points beyond the first 65,536 too."""
    count = struct.unpack(">I", table[12:16])[0]
    found: set[int] = set()
    for i in range(count):
        first, last, _ = struct.unpack(">III", table[16 + 12 * i : 28 + 12 * i])
        found.update(range(first, last + 1))
    return found


def missing(text: str) -> str:
    """The characters of a text that the shipped font lacks, each once, in order; it has all that
    ASCII prints."""
    if text.isascii() and text.isprintable():
        return ""
    known = characters()
    return "".join(dict.fromkeys(c for c in text if not c.isspace() and ord(c) not in known))
