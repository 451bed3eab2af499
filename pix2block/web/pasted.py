"""Yarns that are pasted at the worktable: cells of a spreadsheet, or just names and colours."""

from __future__ import annotations

import re

from pix2block.color.yarn_color import parse_yarn_color
from pix2block.ground.delimited import decode_text, read_cells, table
from pix2block.ground.errors import BadInput
from pix2block.yarn.columns import read_header
from pix2block.yarn.palette_file import is_palette
from pix2block.yarn.shelf import NEEDED, is_shelf_header, read_shelf

NAME = "pasted.csv"  # what a page calls it
_PLACE = "your list"
_BETWEEN = re.compile(r"[\n;,](?![^(\n]{0,40}\))")  # but not within lab(50, 10, 10)
_LONGEST = 300  # characters of a yarn with its colour


def pasted_shelf(data: bytes) -> bytes:
    """A shelf's text of what was pasted: as it is where its first line names columns, else made of
    yarns as "Chalk #efe8dd", parted by commas, semicolons or line ends. Raises BadInput for what
    is neither, or is no shelf."""
    text = decode_text(data, _PLACE)
    if not (is_palette(text) or _has_header(text)):
        text = table(NEEDED, _yarns(text))
    read_shelf(text, _PLACE)
    return text.encode()


def _has_header(text: str) -> bool:
    written = read_cells(text, _PLACE, is_shelf_header).written
    if not written:
        return True  # the reader of shelves says that it is empty
    try:
        return bool(read_header(written[0][1]).columns)
    except BadInput:
        return True  # two columns of one name


def _yarns(text: str) -> list[tuple[str, str]]:
    """Names with their colours. Raises BadInput for the first part that is none."""
    parts = [part.strip() for part in _BETWEEN.split(text) if part.strip()]
    found = [_yarn(part) for part in parts]
    if None in found:  # a comma may stand between name and colour
        lines = [_yarn(line) for line in text.splitlines() if line.strip(" ,;\t")]
        if None in lines:
            wrong = parts[found.index(None)]
            raise BadInput(
                f'{_PLACE}: "{wrong}": write each yarn as its name and its colour, as '
                "Chalk #efe8dd, or begin with a line of headings, as name,color"
            )
        found = lines
    return [yarn for yarn in found if yarn]


def _yarn(part: str) -> tuple[str, str] | None:
    """The name, and the longest end that is a colour; None where it does not read so."""
    if len(part) > _LONGEST:
        return None
    words = part.strip(" ,;\t\r").split()
    for at in range(1, len(words)):
        name, color = " ".join(words[:at]).strip(" ,;:="), " ".join(words[at:])
        if not name or "#" in name or _BETWEEN.search(name):
            continue
        try:
            parse_yarn_color(color)
        except BadInput:
            continue
        return name, color
    return None
