"""A sheet of a workbook whose lines are told as text, a line at once: as cells of the library, one
by one, they took most of a large chart's workbook. The bytes are those that such cells have."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any


@cache
def lines_sheet() -> Any:
    """The class of such a sheet, for `Workbook.add_worksheet`. A cell that is told is what follows
    its place, which `tell` puts before it."""
    from xlsxwriter.worksheet import Worksheet

    class Lines(Worksheet):  # type: ignore[misc]
        def __init__(self) -> None:
            super().__init__()
            self._told: dict[int, tuple[int, int, str]] = {}

        def text_cell(self, text: str, times: int, look: Any = None) -> str:
            """A cell of a text that is cut where it is too long, of which there are so many."""
            self.write_string(0, 0, text)
            index = self.table.pop(0)[0].string
            self.str_table.count += times - 1
            return f'"{_look(look)} t="s"><v>{index}</v></c>'

        def number_cell(self, number: float, look: Any = None) -> str:
            return f'"{_look(look)}><v>{number:.16G}</v></c>'

        def tell(self, line: int, first: int, last: int, cells: Iterable[str]) -> None:
            """A line from its first cell to its last, with their places. Lines come in order, and
            both count from 0."""
            self._check_dimensions(line, first)
            self._check_dimensions(line, last)
            self._told[line] = first, last, "".join(cells)

        def _write_rows(self) -> None:
            spans: dict[int, tuple[int, int]] = {}
            for line, (first, last, _) in self._told.items():
                low, high = spans.get(line // 16, (first, last))
                spans[line // 16] = min(low, first), max(high, last)
            for line, (_, _, cells) in self._told.items():
                first, last = spans[line // 16]
                self._write_row(line, f"{first + 1}:{last + 1}", self.row_info.get(line))
                self.fh.write(cells + "</row>")

    return Lines


def _look(look: Any) -> str:
    return "" if look is None else f' s="{look._get_xf_index()}"'


def starts(columns: int) -> list[str]:
    """How cells begin, a column each; the number of the line, from 1, comes next."""
    from xlsxwriter.utility import xl_col_to_name

    return [f'<c r="{xl_col_to_name(column)}' for column in range(columns)]
