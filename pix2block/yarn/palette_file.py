"""The open palette text format of general image editors.

A first line `GIMP Palette`, lines with a colon that describe it, comments with `#`, then
`R G B name`, 0 to 255, a line a colour.
"""

from __future__ import annotations

import re

import numpy as np

from pix2block.color.names import name_colors
from pix2block.color.spaces import to_hex
from pix2block.ground.errors import BadInput

PALETTE_HEAD = "GIMP Palette"
_PALETTE_LINE = re.compile(r"\s*(\d{1,3})[ \t]+(\d{1,3})[ \t]+(\d{1,3})(?:[ \t]+(.*))?")
_NO_NAMES = ("", "untitled")


def is_palette(text: str) -> bool:
    """Whether a text is an image editor's palette."""
    return text.lstrip("\ufeff").partition("\n")[0].strip() == PALETTE_HEAD


def read_palette(text: str, place: str) -> list[tuple[int, str, str]]:
    """Line number, name and "#rrggbb" of each colour; one without a name has a plain one.

    Raises BadInput with the line's number for one that cannot be read.
    """
    found: list[tuple[int, str, tuple[int, int, int]]] = []
    for number, line in enumerate(text.splitlines()[1:], 2):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        match = _PALETTE_LINE.fullmatch(line)
        if not match:
            if ":" in line and not found:
                continue
            raise BadInput(f'{place}, line {number}: "{line.strip()}": write R G B name')
        red, green, blue = (int(match[i]) for i in (1, 2, 3))
        if max(red, green, blue) > 255:
            raise BadInput(f'{place}, line {number}: "{line.strip()}": write R G B from 0 to 255')
        found.append((number, (match[4] or "").strip(), (red, green, blue)))
    nameless = [rgb for _, name, rgb in found if name.casefold() in _NO_NAMES]
    plain_names = name_colors(np.array(nameless, dtype=np.uint8).reshape(-1, 3))
    plain = dict(zip(nameless, plain_names, strict=True))
    return [
        (number, plain[rgb] if name.casefold() in _NO_NAMES else name, to_hex(np.array(rgb)))
        for number, name, rgb in found
    ]
