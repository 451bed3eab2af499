"""A shelf: the yarns a maker has or may buy, from a table with a header line, or a palette."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from pix2block.ground.delimited import Cells, read_cells
from pix2block.ground.errors import BadInput, nearest, refuse
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import MOST_YARNS
from pix2block.yarn.columns import FIELDS, Header, ShelfCell, currencies, read_header
from pix2block.yarn.mixed import alike_line
from pix2block.yarn.palette_file import is_palette, read_palette
from pix2block.yarn.yarn import ColorPart, Yarn, amended_line, refuse_twins

NEEDED = ("name", "color")
_EXACT = re.compile(r"#[0-9a-f]+|(?:lab|color)\([^()]*\)|[\d.,%\s/;+]+", re.I)


@dataclass(frozen=True)
class Shelf:
    """Yarns in the file's order, and what was amended on reading, a sentence each. currency: the
    sign beside its prices, "" where none or several stand there."""

    yarns: tuple[Yarn, ...]
    warnings: tuple[str, ...] = ()
    currency: str = ""


def read_shelf(text: str, place: str) -> Shelf:
    """The shelf in a CSV text, or in an image editor's palette; `place` names the file in messages.

    Columns by header, in any order: those of `FIELDS`, each also by other names (see `columns`);
    only name and color are needed. Cells are parted by comma, semicolon or tab; numbers have a
    decimal point or comma, and may have a unit.

    Raises BadInput with the line's number and the reason for all that cannot be read.
    """
    if is_palette(text):
        named, warnings = read_palette(text, place)
        currency = ""
        yarns = [Yarn(name, color) for name, color in named]
    else:
        cells = read_cells(text, place, is_shelf_header)
        yarns, warnings, currency = _read_table(cells, place)
    if not yarns:
        raise BadInput(f"{place}: no yarn below the header: add a line a yarn")
    if len(yarns) > MOST_YARNS:
        raise BadInput(f"{place}: {len(yarns)} yarns: keep at most {MOST_YARNS}")
    try:
        refuse_twins(yarn.name for yarn in yarns)
    except BadInput as error:
        raise error.within(place) from None
    alike = alike_line(yarns)
    return Shelf(tuple(yarns), (*warnings, *([f"{place}: {alike}"] if alike else [])), currency)


def is_shelf_header(cells: Sequence[str]) -> bool:
    """Whether a line names the columns that a shelf needs."""
    try:
        header = read_header(cells)
    except BadInput:
        return True  # two columns of one name: of a shelf
    return all(map(header.named, NEEDED))


def _read_table(cells: Cells, place: str) -> tuple[list[Yarn], list[str], str]:
    if not cells.written:
        raise BadInput(f"{place}: empty; its first line names the columns, as name,color")
    (_, first), *lines = cells.written
    header = _header_of(first, place)
    faults: list[BadInput] = []
    yarns, warnings, by_word = [], _unused(header, lines, place), []
    for number, row in lines:
        where = f"{place}, line {number}"
        if any(cell.strip() for cell in row[len(first) :]):
            faults.append(
                BadInput(
                    f"{where}: {len(row)} cells, the header has {len(first)}: "
                    f"quote the {cells.separator}s"
                )
            )
            continue
        said = header.cells_of(row, points_group=cells.separator != "comma")
        try:
            yarn = yarn_of(said)
        except BadInput as error:
            faults += [
                fault.within(f"{where}, column {said[fault.about].column.header}")
                if fault.about in said
                else fault.within(where)
                for fault in error.faults
            ]
            continue
        yarns.append(yarn)
        name, color = said["name"].text, said["color"].text
        if amended := amended_line(where, name, yarn.name):
            warnings.append(amended)
        if _EXACT.sub("", color):
            by_word.append(f"{yarn.name}: {' '.join(color.split())} is {yarn.color}")
    refuse(faults)
    every = [header.cells_of(row) for _, row in lines]
    signs = currencies(cells["price"].text for cells in every if "price" in cells)
    warnings += _other_things(signs, by_word, place)
    return yarns, warnings, signs[0] if len(signs) == 1 else ""


def _header_of(first: Sequence[str], place: str) -> Header:
    try:
        header = read_header(first)
    except BadInput as error:
        raise error.within(place) from None
    faults = []
    for needed in NEEDED:
        if not header.named(needed):
            near = nearest(needed, [cell.strip() for cell in first])
            hint = f'rename "{near}"' if near else "add it to the first line"
            faults.append(BadInput(f"{place}: no column {needed}: {hint}"))
    refuse(faults)
    return header


def yarn_of(said: Mapping[str, ShelfCell]) -> Yarn:
    """The yarn that cells describe, by field.

    Raises BadInput for all cells that cannot be read, each fault about its field.
    """
    values: dict[str, Any] = {}
    faults = []
    for field in FIELDS:
        if field not in said or not (said[field].text or field in NEEDED):
            continue
        try:
            values[field] = said[field].read()
        except BadInput as error:
            faults += [BadInput(*fault.advice.parts, about=field) for fault in error.faults]
    refuse(faults)
    values["color"], parts = values["color"]
    values["parts"] = tuple(ColorPart(color, share) for color, share in parts)
    return Yarn(**values)


def _unused(header: Header, lines: Sequence[tuple[int, list[str]]], place: str) -> list[str]:
    """Columns that hold something and are not used, in a sentence."""
    held = [
        what
        for at, what in header.unused.items()
        if any(at < len(row) and row[at].strip() for _, row in lines)
    ]
    return [f"{place}: not used: {', '.join(held)}"] if held else []


def _other_things(signs: Sequence[str], by_word: Sequence[str], place: str) -> list[str]:
    told = []
    if len(signs) > 1:
        told.append(
            f"{place}: prices are in {' and '.join(signs)}: their sums mix them; keep to one"
        )
    if by_word:
        more = f" and {len(by_word) - 4} more" if len(by_word) > 4 else ""
        told.append(
            f"{place}: colours are read from words ({'; '.join(by_word[:4])}{more}): look at them "
            "in shelf.png"
        )
    return told
