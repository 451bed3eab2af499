"""The open palette text format of general image editors.

A first line `GIMP Palette`, lines with a colon that describe it, comments with `#`, then
`R G B name`, 0 to 255, a line a colour.
"""

from __future__ import annotations

import re

import numpy as np

from pix2block.color.spaces import to_hex
from pix2block.ground.errors import BadInput, refuse
from pix2block.yarn.yarn import amended_line, clean_name, plain_names

PALETTE_HEAD = "GIMP Palette"
_PALETTE_LINE = re.compile(r"\s*(\d{1,3})[ \t]+(\d{1,3})[ \t]+(\d{1,3})(?:[ \t]+(.*))?")
_NO_NAMES = ("", "untitled")


def is_palette(text: str) -> bool:
    """Whether a text is an image editor's palette."""
    return text.lstrip("\ufeff").partition("\n")[0].strip() == PALETTE_HEAD


def read_palette(text: str, place: str) -> tuple[list[tuple[str, str]], list[str]]:
    """Name and "#rrggbb" of each colour, and what was amended, a sentence each. A colour without a
    name has a plain one; several such of one colour are one.

    Raises BadInput naming the lines that cannot be read.
    """
    found: list[tuple[int, str, tuple[int, int, int]]] = []
    faults, warnings = [], []
    for number, line in enumerate(text.splitlines()[1:], 2):
        where = f"{place}, line {number}"
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        match = _PALETTE_LINE.fullmatch(line)
        if not match:
            if ":" in line and not found:
                continue
            faults.append(BadInput(f'{where}: "{line.strip()}": write R G B name'))
            continue
        red, green, blue = (int(match[i]) for i in (1, 2, 3))
        if max(red, green, blue) > 255:
            faults.append(BadInput(f'{where}: "{line.strip()}": write R G B from 0 to 255'))
            continue
        found.append((number, _name(match[4] or ""), (red, green, blue)))
    refuse(faults)
    colors = [to_hex(np.array(rgb)) for _, _, rgb in found]
    nameless = [color for color, (_, name, _) in zip(colors, found, strict=True) if not name]
    plain = plain_names(nameless, [name for _, name, _ in found if name])
    kept: list[tuple[str, str]] = []
    for color, (number, name, _) in zip(colors, found, strict=True):
        clean = clean_name(name) if name else plain[color]
        if name and (amended := amended_line(f"{place}, line {number}", name, clean)):
            warnings.append(amended)
        if name or (clean, color) not in kept:
            kept.append((clean, color))
        else:
            warnings.append(f"{place}, line {number}: {color} once more, without a name: left out")
    return kept, warnings


def _name(told: str) -> str:
    return "" if told.strip().casefold() in _NO_NAMES else told.strip()
