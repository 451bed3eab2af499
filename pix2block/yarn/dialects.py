"""The ways a shelf may be written: comma, semicolon or tab; UTF-8 or Windows-1252; a palette.

The palette is the open text format of general image editors: a first line `GIMP Palette`, lines
with a colon that describe it, comments with `#`, then `R G B name`, 0 to 255, a line a colour.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass

import numpy as np

from pix2block.color.names import name_colors
from pix2block.color.spaces import to_hex
from pix2block.ground.errors import BadInput

PALETTE_HEAD = "GIMP Palette"
_SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}
_PALETTE_LINE = re.compile(r"\s*(\d{1,3})[ \t]+(\d{1,3})[ \t]+(\d{1,3})(?:[ \t]+(.*))?")
_NO_NAMES = ("", "untitled")


@dataclass(frozen=True)
class Cells:
    """Lines that hold something, each with its number from 1; separator: what parts the cells, in
    words."""

    lines: tuple[tuple[int, list[str]], ...]
    separator: str


def decode_text(data: bytes, place: str) -> str:
    """Text in UTF-8, with or without a byte order mark, or else in Windows-1252.

    Raises BadInput for bytes that are neither.
    """
    if b"\0" in data:
        raise BadInput(f"{place}: no text file: save it as CSV in UTF-8")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        pass
    try:
        return data.decode("cp1252")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise BadInput(
            f"{place}, line {line}: neither UTF-8 nor Windows-1252 text: save it as UTF-8"
        ) from None


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


def read_cells(text: str, place: str, needed: tuple[str, ...]) -> Cells:
    """The cells of a comma-, semicolon- or tab-separated text: whichever gives a first line that
    names the columns `needed`, else the one that is commonest in it.

    Raises BadInput where quotes do not close.
    """
    said = re.match(r"\s*sep=([,;\t])\s*\n", text, re.I)
    separator = said[1] if said else _separator(text, needed)
    try:
        lines = tuple(
            (number, row)
            for number, row in _numbered(text, separator)
            if any(cell.strip() for cell in row)
        )
    except csv.Error as error:
        raise BadInput(f"{place}: no {_SEPARATORS[separator]}-separated file: {error}") from None
    return Cells(lines[1:] if said else lines, _SEPARATORS[separator])


def _separator(text: str, needed: tuple[str, ...]) -> str:
    head = next((line for line in text.splitlines() if line.strip(",;\t ")), "")
    for separator in _SEPARATORS:
        cells = [cell.strip().strip('"').strip().casefold() for cell in head.split(separator)]
        if all(name in cells for name in needed):
            return separator
    return max(_SEPARATORS, key=head.count)


def _numbered(text: str, separator: str) -> list[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    numbered = []
    start = 1
    for row in reader:
        numbered.append((start, row))
        start = reader.line_num + 1
    return numbered
