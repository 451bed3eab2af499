"""Lines told to a sheet as text are the bytes that the library's own cells are."""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any

import xlsxwriter

from pix2block.reports.lines_sheet import lines_sheet, starts

Cells = list[tuple[int, Any]]  # columns and what is told there
LINES: list[Cells] = [
    [(1, "a name"), (2, 7.25)],
    *([(0, line), (2, "<a & b>")] for line in range(1, 35)),
    [(0, 1e-7), (1, "=1+1"), (2, 1234567.5)],
    [(1, "long " * 8000)],
]
LOOKS = {"a name": {"bold": True, "bottom": 1}, 7.25: {"bg_color": "#5c6b3c"}}


def book_of(told: bool) -> bytes:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    book.set_properties({"created": datetime(2000, 1, 1)})
    sheet = book.add_worksheet("lines", lines_sheet() if told else None)
    sheet.set_default_row(24)
    sheet.set_row(0, 12)
    looks: dict[Any, Any] = {text: book.add_format(look) for text, look in LOOKS.items()}
    for line, cells in enumerate(LINES):
        made = []
        for column, text in cells:
            look = looks.get(text)
            if not told:
                write = sheet.write_string if isinstance(text, str) else sheet.write_number
                write(line, column, text, look)
            elif isinstance(text, str):
                made.append((column, sheet.text_cell(text, 1, look)))
            else:
                made.append((column, sheet.number_cell(text, look)))
        if told:
            placed = [f"{starts(3)[column]}{line + 1}{cell}" for column, cell in made]
            sheet.tell(line, made[0][0], made[-1][0], placed)
    book.close()
    return out.getvalue()


def test_lines_that_are_told_are_the_bytes_of_cells() -> None:
    assert book_of(told=True) == book_of(told=False)
