"""Cells of a spreadsheet's workbook: what is written in them, and what they are filled with."""

from __future__ import annotations

import colorsys
import io
import re
import zipfile
import zlib
from typing import Any

from pix2block.chart.drawn import Cell, Drawn, Line, drawn_of, without_counts
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import MOST_BLOCKS_A_SIDE

SHEET = "chart"
_MOST_UNPACKED = 400_000_000  # bytes; a chart of 1,000 x 1,000 blocks takes a tenth
_BEYOND = MOST_BLOCKS_A_SIDE + 2  # with counts, and one more, which is refused
# What a file that is no workbook, or a spoilt one, makes its reader raise.
_SPOILT = (
    *(ValueError, LookupError, TypeError, AttributeError, OverflowError, SyntaxError),
    *(OSError, EOFError, RuntimeError, zipfile.BadZipFile, zlib.error),
)
# The theme's colours in the order in which cells number them.
_ACCENTS = [f"accent{number}" for number in range(1, 7)]
_THEME = ["lt1", "dk1", "lt2", "dk2", *_ACCENTS, "hlink", "folHlink"]


def drawn_xlsx(data: bytes, place: str) -> Drawn:
    """The cells of a workbook's sheet "chart", or of its first one.

    Raises BadInput for a file that is no workbook, for one too large, and for an empty sheet.
    """
    book = _opened(data, place)
    if not book.worksheets:
        raise BadInput(f"{place}: it has no sheet of cells: draw the grid on one")
    sheet = book[SHEET] if SHEET in book.sheetnames else book.worksheets[0]
    colors = _Colors(book.loaded_theme)
    try:
        rows = [
            [_cell(cell, colors) for cell in row]
            for row in sheet.iter_rows(max_row=_BEYOND, max_col=_BEYOND)
        ]
    except _SPOILT as error:
        raise BadInput(f'{place}: its sheet "{sheet.title}" cannot be read: {error}') from None
    return _drawn(rows, place, sheet.title)


def _opened(data: bytes, place: str) -> Any:
    import openpyxl
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(part.file_size for part in packed.infolist()) > _MOST_UNPACKED:
                raise BadInput(f"{place}: far too large for a grid: leave only its sheet in it")
        return openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    except (*_SPOILT, InvalidFileException):
        raise BadInput(
            f"{place} is no workbook that can be read: save it as .xlsx, or as CSV"
        ) from None


def _drawn(rows: list[list[Cell]], place: str, sheet: str) -> Drawn:
    """The cells from the first to the last that is not empty; where counts stand around them, all
    that are counted."""
    from openpyxl.utils import get_column_letter

    wide = max((i + 1 for row in rows for i, cell in enumerate(row) if cell), default=0)
    while rows and not any(rows[-1]):
        rows.pop()
    if not wide:
        raise BadInput(f'{place}: the sheet "{sheet}" is empty: fill its cells, or write in them')
    filled: list[Line] = [[*row, *[Cell("")] * wide][:wide] for row in rows]
    cells, counts = without_counts(filled)
    top = left = counts
    if not counts:
        top = next(i for i, row in enumerate(cells) if any(row))
        left = min(next((i for i, cell in enumerate(row) if cell), wide) for row in cells)
        cells = [row[left:] for row in cells[top:]]

    def where(line: int, column: int) -> str:
        return f"cell {get_column_letter(column + left + 1)}{line + top + 1}"

    return drawn_of(place, cells, where)


def _cell(cell: Any, colors: _Colors) -> Cell:
    return Cell(_words(cell.value), colors.of_cell(cell))


def _words(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return " ".join(str(value).split())


class _Colors:
    """What a workbook's colours are, as "#rrggbb". theme: its XML, None without one."""

    def __init__(self, theme: bytes | None) -> None:
        text = (theme or b"").decode("utf-8", "replace")
        self.theme: dict[int, str] = {}
        for number, name in enumerate(_THEME):
            told = re.search(
                rf"<a:{name}>\s*<a:(?:srgbClr val|sysClr [^>]*lastClr)=\"([0-9A-Fa-f]{{6}})\"", text
            )
            if told:
                self.theme[number] = told[1]

        self.fills: dict[int, str | None] = {}

    def of_cell(self, cell: Any) -> str | None:
        """The colour of a cell that is filled with one, None for any other."""
        style = getattr(cell, "style_array", None)  # cells that are not in the file have none
        if style is None:
            return None
        if style.fillId not in self.fills:
            self.fills[style.fillId] = self._of_fill(cell.fill)
        return self.fills[style.fillId]

    def _of_fill(self, fill: Any) -> str | None:
        if fill is None or getattr(fill, "fill_type", None) != "solid":
            return None
        color = fill.fgColor
        rgb = self._rgb(color)
        return rgb and _tinted(rgb, float(color.tint or 0.0))

    def _rgb(self, color: Any) -> str | None:
        from openpyxl.styles.colors import COLOR_INDEX

        if color.type == "theme":
            return self.theme.get(color.theme)
        told = color.rgb if color.type == "rgb" else None
        if color.type == "indexed" and 0 <= color.indexed < len(COLOR_INDEX):
            told = COLOR_INDEX[color.indexed]
        return told[-6:] if isinstance(told, str) and len(told) in (6, 8) else None


def _tinted(rgb: str, tint: float) -> str:
    """A colour made darker (down to -1) or lighter (up to 1), as ECMA-376, 18.8.19 says: by its
    lightness in HSL."""
    if not tint:
        return f"#{rgb.lower()}"
    red, green, blue = (int(rgb[i : i + 2], 16) / 255 for i in (0, 2, 4))
    hue, light, full = colorsys.rgb_to_hls(red, green, blue)
    light = light * (1 + tint) if tint < 0 else light * (1 - tint) + tint
    return "#" + "".join(f"{round(255 * c):02x}" for c in colorsys.hls_to_rgb(hue, light, full))
