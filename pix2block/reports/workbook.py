"""chart.xlsx: the grid in its yarns' colours, and the tables, a sheet each."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime
from functools import partial
from types import MappingProxyType
from typing import Any

from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.color.spaces import to_lab
from pix2block.reports.lines_sheet import lines_sheet, starts
from pix2block.reports.tables import bobbins_csv, rows_csv, yarn_csv
from pix2block.yarn.yarn import Yarn

Looks = Mapping[str, Callable[[str], Any]]

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
    added = partial(book.add_worksheet, worksheet_class=lines_sheet())
    _write_grid(book, added("chart"), chart)
    _write_table(added("rows"), _read(rows_csv(amounts)), head)
    _write_table(added("runs"), _runs(amounts), head)
    _write_table(added("bobbins"), _read(bobbins_csv(amounts)), head)
    fills = {yarn.color: book.add_format(_fill(yarn)) for yarn in chart.yarns}
    _write_table(added("yarn"), _read(yarn_csv(amounts)), head, {"color": fills.__getitem__})
    book.close()
    return out.getvalue()


def _write_grid(book: Any, sheet: Any, chart: Chart) -> None:
    """The blocks, columns and lines counted, which stay in sight."""
    around = {"align": "center", "valign": "vcenter", "font_size": 7, "font_color": "#606060"}
    counts = book.add_format(around)
    small = {"font_size": _SMALL, "align": "center", "valign": "vcenter", "text_wrap": True}
    looks = [book.add_format({**_fill(yarn), **small, **_EDGE}) for yarn in chart.yarns]
    sheet.set_column(0, 0, _COUNTS_WIDTH)
    sheet.set_column(1, chart.width, _CELL_WIDTH)
    sheet.set_default_row(_CELL_HEIGHT)
    sheet.set_row(0, 12)
    places = starts(chart.width + 1)
    above = [f"{at}1{sheet.number_cell(i, counts)}" for i, at in enumerate(places[1:], 1)]
    sheet.tell(0, 1, chart.width, above)
    used = Counter(chart.blocks[chart.blocks != NO_BLOCK].tolist())  # in the order of their use
    kinds = {i: sheet.text_cell(chart.yarns[i].name, n, looks[i]) for i, n in used.items()}
    for line, numbers in enumerate(chart.blocks.tolist(), 1):
        ends = {number: f"{line + 1}{kind}" for number, kind in kinds.items()}
        there = [at for at, number in enumerate(numbers, 1) if number != NO_BLOCK]
        cells = [places[at] + ends[numbers[at - 1]] for at in there]
        count = f"{places[0]}{line + 1}{sheet.number_cell(line, counts)}"
        sheet.tell(line, 0, max(there, default=0), [count, *cells])
    sheet.freeze_panes(1, 1)
    sheet.hide_gridlines(2)
    sheet.set_paper(9)
    sheet.fit_to_pages(1, 1)
    if chart.width > chart.height:
        sheet.set_landscape()


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


def _write_table(
    sheet: Any, lines: Iterable[Sequence[str]], head: Any, looks: Looks = MappingProxyType({})
) -> None:
    """Columns under their names, empty texts no cells; looks: what the cells of a column look like,
    by their texts."""
    header, *body = lines
    cells = []
    for column, (name, start) in enumerate(zip(header, starts(len(header)), strict=True)):
        sheet.set_column(column, column, _WIDE.get(name, max(8, len(name) + 2)))
        first = f"{start}1{sheet.text_cell(name, 1, head)}"
        told, look = [line[column] for line in body], looks.get(name, _plain)
        ends = {
            text: sheet.text_cell(text, times, look(text))
            if name in _WORDS
            else sheet.number_cell(float(text))
            for text, times in Counter(told).items()
            if text
        }
        of_column = [f"{start}{n}{ends[text]}" if text else "" for n, text in enumerate(told, 2)]
        cells.append([first, *of_column])
    for line, told_there in enumerate(zip(*cells, strict=True)):
        there = [column for column, cell in enumerate(told_there) if cell]
        sheet.tell(line, there[0], there[-1], told_there)
    sheet.freeze_panes(1, 0)
    if body:
        sheet.autofilter(0, 0, len(body), len(header) - 1)


def _plain(_: str) -> None:
    return None
