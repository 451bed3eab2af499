"""A shelf: the yarns a maker has or may buy, from a table with a header line, or a palette."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pix2block.color.yarn_color import parse_colors
from pix2block.ground.delimited import read_cells
from pix2block.ground.errors import BadInput, nearest
from pix2block.ground.nouns import members_of, range_of
from pix2block.ground.quantities import parse_number
from pix2block.ground.settings import MOST_YARNS
from pix2block.yarn.palette_file import is_palette, read_palette
from pix2block.yarn.yarn import ColorPart, Yarn, clean_name, refuse_twins


@dataclass(frozen=True)
class Shelf:
    """Yarns in the file's order, and what was amended on reading, a sentence each."""

    yarns: tuple[Yarn, ...]
    warnings: tuple[str, ...] = ()


def read_shelf(text: str, place: str) -> Shelf:
    """The shelf in a CSV text, or in an image editor's palette; `place` names the file in messages.

    Columns by header, in any order: name, color, weight, held, fibre, grams, metres, skeins, lot,
    price, note; only the first two are needed, columns of other names are left alone. Cells are
    parted by comma, semicolon or tab; numbers have a decimal point or comma.

    Raises BadInput with the line's number and the reason for what cannot be read.
    """
    if is_palette(text):
        head, separator = ["name", "color"], ""
        lines = [(1, head)]
        lines += [(number, [name, color]) for number, name, color in read_palette(text, place)]
    else:
        cells = read_cells(text, place, is_shelf_header)
        lines, separator = list(cells.written), cells.separator
    if not lines:
        raise BadInput(f"{place}: empty; its first line names the columns, as name,color")
    header = [cell.strip().casefold() for cell in lines[0][1]]
    for needed in ("name", "color"):
        if needed not in header:
            near = nearest(needed, header)
            hint = f'rename "{near}"' if near else "add it to the first line"
            raise BadInput(f"{place}: no column {needed}: {hint}")
    for column in _COLUMNS:
        if header.count(column) > 1:
            raise BadInput(f"{place}: two columns are named {column}: rename one of them")
    yarns, warnings = [], []
    for number, row in lines[1:]:
        yarn, amended = _read_yarn(header, row, f"{place}, line {number}", separator)
        yarns.append(yarn)
        warnings.extend(amended)
    if not yarns:
        raise BadInput(f"{place}: no yarn below the header: add a line a yarn")
    if len(yarns) > MOST_YARNS:
        raise BadInput(f"{place}: {len(yarns)} yarns: keep at most {MOST_YARNS}")
    try:
        refuse_twins(yarn.name for yarn in yarns)
    except BadInput as error:
        raise BadInput(f"{place}: {error}") from None
    return Shelf(tuple(yarns), tuple(warnings))


def is_shelf_header(cells: list[str]) -> bool:
    """Whether a line names the columns that a shelf needs."""
    return {"name", "color"} <= {cell.casefold() for cell in cells}


def _read_yarn(
    header: list[str], row: list[str], where: str, separator: str
) -> tuple[Yarn, list[str]]:
    if len(row) > len(header) and any(cell.strip() for cell in row[len(header) :]):
        raise BadInput(
            f"{where}: {len(row)} cells, the header has {len(header)}: quote the {separator}s"
        )
    cells = dict(zip(header, row, strict=False))
    values: dict[str, Any] = {}
    for column, read in _COLUMNS.items():
        cell = cells.get(column, "").strip()
        if not cell and column not in ("name", "color"):
            continue
        try:
            values[column] = read(cell)
        except BadInput as error:
            raise BadInput(f"{where}, column {column}: {error}") from None
    values["color"], parts = values["color"]
    try:
        values["parts"] = tuple(ColorPart(color, share) for color, share in parts)
        yarn = Yarn(**values)
    except BadInput as error:
        raise error.within(where) from None
    amended = []
    if values["name"] != cells["name"].strip():
        amended.append(f'{where}: the name "{cells["name"].strip()}" is read as "{values["name"]}"')
    return yarn, amended


def _reader(kind: Any) -> Callable[[str], Any]:
    """How a cell of a kind is read: a text, or a number in a range."""
    within = range_of(kind)
    if within.low is None:
        return str

    def read(cell: str) -> float:
        value = _whole(cell) if within.whole else _number(cell)
        if value not in within:
            raise BadInput(f'"{cell}": write {within}')
        return value

    return read


def _whole(cell: str) -> int:
    return int(cell) if cell.isascii() and cell.isdigit() else -1


def _number(cell: str) -> float:
    try:
        return parse_number(cell) if "," in cell else float(cell)
    except ValueError:
        raise BadInput(f'"{cell}" is no number: write it as 100 or 2.5') from None


# A column a field of a yarn, but for its parts, which stand with its colour.
_COLUMNS: dict[str, Callable[[str], Any]] = {
    **{m.name: _reader(m.kind) for m in members_of(Yarn).values() if not m.noun},
    "name": clean_name,
    "color": parse_colors,
}
