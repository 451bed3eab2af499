"""How a mend names blocks: by working order, by column and line, or along a line."""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.craft.diagonal import Ints
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.nouns import shown
from pix2block.ground.units import say_count

Mask = NDArray[np.bool_]

_FORMS = (
    '"row 57.3", "row 57", "run 57.2", "rows 40 to 60", "rows 40 on", "column 14, line 15", '
    '"columns 3 to 9, lines 20 to 30" or "from column 3, line 4 to column 9, line 12"; or several, '
    'with ";" between them'
)
_N = r"([1-9]\d{0,5})"
_ROW = re.compile(rf"row {_N}(?:\.{_N})?")
_RUN = re.compile(rf"run {_N}\.{_N}")
_ROWS = re.compile(rf"rows {_N} (?:to {_N}|on)")
_COLUMNS = rf"columns? {_N}(?: to {_N})?"
_LINES = rf"lines? {_N}(?: to {_N})?"
_BOX = re.compile(rf"(?:{_COLUMNS})?(?:, )?(?:{_LINES})?")
_LINE = re.compile(rf"from column {_N}, line {_N} to column {_N}, line {_N}")


@dataclass(frozen=True)
class Rows:
    """Diagonal rows, None as `last` for all that follow; block: one of the first, in working order
    from 1; run: one of its runs."""

    first: int
    last: int | None
    block: int | None = None
    run: int | None = None


@dataclass(frozen=True)
class Box:
    """Columns from the left and lines from the top, from 1, both ends among them; None: all."""

    columns: tuple[int, int] | None
    lines: tuple[int, int] | None


@dataclass(frozen=True)
class Line:
    """The straight run of blocks between two, each a column and a line from 1."""

    start: tuple[int, int]
    end: tuple[int, int]


@dataclass(frozen=True)
class Several:
    """Places together."""

    places: tuple[Rows | Box | Line, ...]


Place = Rows | Box | Line | Several


def place_in(text: str) -> Place | None:
    """The place that a text names, or the several; None where it is none. Raises BadInput for one
    that ends before it begins."""
    if ";" not in text:
        return _one_place_in(text)
    places = [_one_place_in(part) for part in text.split(";")]
    return None if None in places else Several(tuple(place for place in places if place))


def _one_place_in(text: str) -> Rows | Box | Line | None:
    text = " ".join(text.casefold().split())
    if found := _ROW.fullmatch(text):
        row, block = found.groups()
        return Rows(int(row), int(row), block=_whole(block))
    if found := _RUN.fullmatch(text):
        row, run = found.groups()
        return Rows(int(row), int(row), run=int(run))
    if found := _ROWS.fullmatch(text):
        first, last = found.groups()
        return Rows(*_rising("rows", first, last)) if last else Rows(int(first), None)
    if found := _LINE.fullmatch(text):
        ends = [int(number) for number in found.groups()]
        return Line((ends[0], ends[1]), (ends[2], ends[3]))
    found = _BOX.fullmatch(text)
    if not found or not text or text.startswith(",") or text.endswith(","):
        return None
    columns, lines = found.groups()[:2], found.groups()[2:]
    if all(columns[:1]) and all(lines[:1]) and ", " not in text:
        return None
    return Box(
        _rising("columns", *columns) if columns[0] else None,
        _rising("lines", *lines) if lines[0] else None,
    )


def _whole(text: str | None) -> int | None:
    return int(text) if text else None


def _rising(what: str, first: str, last: str | None) -> tuple[int, int]:
    ends = int(first), int(last or first)
    if ends[1] < ends[0]:
        raise BadInput(f"{what} {first} to {last} end before they begin: write {last} to {first}")
    return ends


def place_of(text: str) -> Place:
    """The place that a text names. Raises BadInput where it names none."""
    place = place_in(text)
    if place is None:
        raise BadInput(f"no place {shown(text)}: write {_FORMS}")
    return place


def blocks_at(chart: Chart, place: Place) -> Mask:
    """(height, width) the blocks of a place.

    Raises BadInput where none of them exists, or where it reaches beyond width or height.
    """
    if isinstance(place, Rows):
        return _of_rows(chart, place)
    if isinstance(place, Several):
        every = np.zeros(chart.blocks.shape, dtype=bool)
        for one in place.places:
            every |= blocks_at(chart, one)
        return every
    mask = np.zeros(chart.blocks.shape, dtype=bool)
    if isinstance(place, Box):
        left, right = place.columns or (1, chart.width)
        top, bottom = place.lines or (1, chart.height)
        _within(chart, right, bottom)
        mask[top - 1 : bottom, left - 1 : right] = True
    else:
        _within(chart, *np.maximum(place.start, place.end).tolist())
        columns, lines = straight(place)
        mask[lines - 1, columns - 1] = True
    mask &= chart.blocks >= 0
    if not mask.any():
        raise BadInput(f"no block is there: the piece ends after row {chart.last_row}")
    return mask


def straight(line: Line) -> tuple[Ints, Ints]:
    """Columns and lines of the 8-connected straight run of blocks between two: as many as the
    longer way has steps, and one; halves go on."""
    (left, top), (right, bottom) = line.start, line.end
    steps = max(abs(right - left), abs(bottom - top), 1)
    along = np.arange(steps + 1)
    return (
        left + (2 * along * (right - left) + steps) // (2 * steps),
        top + (2 * along * (bottom - top) + steps) // (2 * steps),
    )


def _within(chart: Chart, column: int, line: int) -> None:
    if column > chart.width:
        raise BadInput(f"column {column}: the chart has {say_count(chart.width, 'column')}")
    if line > chart.height:
        raise BadInput(f"line {line}: the chart has {say_count(chart.height, 'line')}")


def _of_rows(chart: Chart, place: Rows) -> Mask:
    lines, columns, rows = chart.layout.order
    if place.first > chart.last_row:
        raise BadInput(f"row {place.first}: the piece has {say_count(chart.last_row, 'row')}")
    last = chart.last_row if place.last is None else place.last
    chosen = np.flatnonzero((rows >= place.first) & (rows <= last))
    if place.block:
        if place.block > len(chosen):
            blocks = say_count(len(chosen), "block")
            raise BadInput(f"row {place.first} has {blocks}, no block {place.block}")
        chosen = chosen[place.block - 1 : place.block]
    if place.run:
        runs, of_row = chart.runs, chart.runs.of_row(place.first)
        if place.run > len(of_row):
            said = say_count(len(of_row), "run")
            raise BadInput(f"row {place.first} has {said}, no run {place.run}")
        run = of_row[place.run - 1]
        chosen = np.arange(runs.starts[run], runs.starts[run] + runs.blocks[run])
    mask = np.zeros(chart.blocks.shape, dtype=bool)
    mask[lines[chosen], columns[chosen]] = True
    return mask
