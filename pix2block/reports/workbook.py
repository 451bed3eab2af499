"""chart.xlsx: the grid in its yarns' colours, and the tables, a sheet each."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from datetime import datetime
from functools import cache
from typing import Any

from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.color.spaces import to_lab
from pix2block.reports.tables import bobbins_csv, rows_csv, yarn_csv
from pix2block.yarn.yarn import Yarn

_DATE = datetime(2000, 1, 1)  # the same bytes on every day
_CELL_WIDTH, _CELL_HEIGHT = 3.9, 24.0  # characters, points: a square
_COUNTS_WIDTH = 4.5
_SMALL = 5  # points
_DARK = 55.0  # CIELAB lightness below which white is written on it
# Columns that hold words, whatever they look like; the others are numbers where they can be.
_WORDS = {"side", "begins", "ends", "phase", "runs", "strands", "marker", "yarn", "color"}
_WORDS |= {"over_hand", "from_skein"}
_WIDE = {"runs": 60, "strands": 24, "yarn": 22}


def chart_xlsx(amounts: Amounts) -> bytes:
    """The workbook: sheets chart, rows, runs, bobbins and yarn. What is written is text or a
    number, never a formula."""
    import xlsxwriter

    chart, out = amounts.chart, io.BytesIO()
    options = dict.fromkeys(("strings_to_formulas", "strings_to_urls", "strings_to_numbers"), False)
    book = xlsxwriter.Workbook(out, {"in_memory": True, **options})
    book.set_properties({"title": chart.title, "created": _DATE, "comments": ""})
    head = book.add_format({"bold": True, "bottom": 1})
    _write_grid(book, book.add_worksheet("chart", _grid_class()), chart)
    _write_table(book.add_worksheet("rows"), _read(rows_csv(amounts)), head)
    _write_table(book.add_worksheet("runs"), _runs(amounts), head)
    _write_table(book.add_worksheet("bobbins"), _read(bobbins_csv(amounts)), head)
    sheet = book.add_worksheet("yarn")
    lines = _read(yarn_csv(amounts))
    _write_table(sheet, lines, head)
    column = lines[0].index("color")
    for line, yarn in enumerate(chart.yarns, 1):
        sheet.write_string(line, column, yarn.color, book.add_format(_fill(yarn)))
    book.close()
    return out.getvalue()


def _write_grid(book: Any, sheet: Any, chart: Chart) -> None:
    """The blocks, columns and lines counted, which stay in sight."""
    around = {"align": "center", "valign": "vcenter", "font_size": 7, "font_color": "#606060"}
    counts = book.add_format(around)
    small = {"font_size": _SMALL, "align": "center", "valign": "vcenter", "text_wrap": True}
    formats = [book.add_format({**_fill(yarn), **small, **_EDGE}) for yarn in chart.yarns]
    sheet.set_column(0, 0, _COUNTS_WIDTH)
    sheet.set_column(1, chart.width, _CELL_WIDTH)
    sheet.set_default_row(_CELL_HEIGHT)
    sheet.set_row(0, 12)
    for column in range(1, chart.width + 1):
        sheet.write_number(0, column, column, counts)
    names, places = [yarn.name for yarn in chart.yarns], _columns(chart.width + 1)
    for line, numbers in enumerate(chart.blocks.tolist(), 1):
        sheet.write_number(line, 0, line, counts)
        there = [column for column, number in enumerate(numbers, 1) if number != NO_BLOCK]
        for number in dict.fromkeys(numbers[column - 1] for column in there):
            sheet.know(number, names[number], formats[number])
        if there:
            last = numbers[there[-1] - 1]
            sheet.write_string(line, there[-1], names[last], formats[last])
            sheet.fill(line, [(places[at], numbers[at - 1]) for at in there[:-1]])
    sheet.freeze_panes(1, 1)
    sheet.hide_gridlines(2)
    sheet.set_paper(9)
    sheet.fit_to_pages(1, 1)
    if chart.width > chart.height:
        sheet.set_landscape()


@cache
def _grid_class() -> Any:
    """A sheet that is told only the first and the last cell of a line: those between, of a few
    kinds, are written as text at once. Cell by cell they took most of a large chart's workbook."""
    from xlsxwriter.worksheet import Worksheet

    class Grid(Worksheet):  # type: ignore[misc]
        def __init__(self) -> None:
            super().__init__()
            self._between: dict[int, list[tuple[str, int]]] = {}
            self._kinds: dict[int, tuple[Any, int]] = {}

        def know(self, kind: int, text: str, look: Any) -> None:
            """A kind of cell, before it is first used."""
            if kind not in self._kinds:
                self._kinds[kind] = look, self.str_table._get_shared_string_index(text)
                self.str_table.count -= 1  # of cells

        def fill(self, line: int, cells: list[tuple[str, int]]) -> None:
            """Columns and kinds of the cells between the first and the last of a line."""
            self._between[line] = cells
            self.str_table.count += len(cells)

        def _write_cell(self, row: int, col: int, cell: Any) -> None:
            super()._write_cell(row, col, cell)
            if col == 0 and row in self._between:
                ends = {
                    kind: f'{row + 1}" s="{look._get_xf_index()}" t="s"><v>{text}</v></c>'
                    for kind, (look, text) in self._kinds.items()
                }
                cells = self._between.pop(row)
                self.fh.write("".join([f'<c r="{at}{ends[kind]}' for at, kind in cells]))

    return Grid


def _columns(count: int) -> list[str]:
    """The letters of so many columns."""
    from xlsxwriter.utility import xl_col_to_name

    return [xl_col_to_name(column) for column in range(count)]


_EDGE = {"border": 4, "border_color": "#a0a0a0"}


def _fill(yarn: Yarn) -> dict[str, Any]:
    dark = float(to_lab(_rgb(yarn))[0, 0]) < _DARK
    return {"bg_color": yarn.color, "font_color": "#ffffff" if dark else "#000000"}


def _rgb(yarn: Yarn) -> Any:
    from pix2block.color.spaces import rgb_array

    return rgb_array([yarn.color])


def _runs(amounts: Amounts) -> list[list[str]]:
    """A line a run: where it begins, column and line from the top left and 1, and what it takes."""
    chart, plan, runs = amounts.chart, amounts.plan, amounts.chart.runs
    lines, columns, _ = chart.layout.order
    first = runs.starts
    strands = [str(strand + 1) for strand in plan.strand.tolist()]
    told = zip(
        *(runs.row.tolist(), runs.number.tolist(), runs.blocks.tolist(), runs.color.tolist()),
        *((columns[first] + 1).tolist(), (lines[first] + 1).tolist(), strands),
        strict=True,
    )
    header = ["row", "run", "side", "blocks", "yarn", "column", "line", "strand"]
    sides = [row.side for row in chart.layout]
    body = [
        [str(row), str(run), sides[row - 1], str(n), chart.yarns[yarn].name, str(x), str(y), strand]
        for row, run, n, yarn, x, y, strand in told
    ]
    return [header, *body]


def _read(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text)))


def _write_table(sheet: Any, lines: Iterable[Sequence[str]], head: Any) -> None:
    header, *body = lines
    for column, name in enumerate(header):
        sheet.write_string(0, column, name, head)
        sheet.set_column(column, column, _WIDE.get(name, max(8, len(name) + 2)))
        for line, cells in enumerate(body, 1):
            told = cells[column]
            if told and name not in _WORDS:
                sheet.write_number(line, column, float(told))
            elif told:
                sheet.write_string(line, column, told)
    sheet.freeze_panes(1, 0)
    if body:
        sheet.autofilter(0, 0, len(body), len(header) - 1)
