"""A row on a screen as it lies in the hands, run by run: lines break where the screen ends.

Every run is a small drawing of its own; what it shows, apart from its figures, is a symbol that
all runs like it share. Lengths inside symbols are points, as on paper; on the screen pixels.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field
from html import escape

import numpy as np

from pix2block.drawing.shapes import Dots, Drawing, Item, Lines, Text
from pix2block.drawing.style import PAPER
from pix2block.drawing.svg import elements
from pix2block.drawing.symbols import Symbols, plain, use
from pix2block.ground.frozen import dataclass
from pix2block.pages.held import Held
from pix2block.pages.pattern_pictures import PatternPictures
from pix2block.pages.row_strip import (
    DOT,
    FAINT,
    HINT,
    LABEL,
    LEAD,
    MARKER_ROOM,
    TYPE,
    bobbin_number,
    drawn_blocks,
    gap_dots,
    marker,
    slip_stitches,
    wedge,
)
from pix2block.pages.strip_lines import Line, run_line
from pix2block.pattern.pattern import PatternRow

_TIP = 22.5  # a block from tip to tip; 40 pixels
_SCALE = 16 / TYPE  # pixels a point: the smallest type on a phone
_MIDDLE = LABEL + _TIP / 2


@dataclass(frozen=True)
class RowDrawings:
    """Draws rows with the symbols of their page."""

    pictures: PatternPictures
    symbols: Symbols
    _known: dict[tuple[object, ...], str] = field(default_factory=dict)
    _within: dict[tuple[object, ...], str] = field(default_factory=dict)

    def row(self, row: PatternRow) -> str:
        """The whole row as an element."""
        runs = range(len(row.runs))
        drawn = [self._start(row), *(self._run(row, run) for run in runs)]
        if row.row.ends == "stop":  # a line does not begin with the marker alone
            drawn[-1:] = [f'<span class="held">{drawn[-1]}{self._stop()}</span>']
        label = escape(f"Row {row.row.number} as it lies in the hands")
        way = self.pictures.chart.hand
        return f'<div class="strip {way}" role="img" aria-label="{label}">{"".join(drawn)}</div>'

    def _frame(self, places: int) -> Held:
        """Of a drawing so many blocks wide."""
        hand = self.pictures.chart.hand
        return Held(hand, _TIP, places * _TIP if hand == "right" else 0, _MIDDLE)

    def _color(self, yarn: int) -> str:
        return self.pictures.chart.yarns[yarn].color

    def _start(self, row: PatternRow) -> str:
        """The wedge and the row's number."""
        hand = self.pictures.chart.hand
        frame = Held(hand, _TIP, 0 if hand == "right" else LEAD, _MIDDLE)
        *drawn, number = wedge(row, frame, with_number=True)
        name = self._symbol(("start", row.row.side), drawn)
        return _small("start", name, [number] if isinstance(number, Text) else [])

    def _run(self, row: PatternRow, run: int) -> str:
        if not 0 < run < len(row.runs) - 1:
            return self._drawn_run(row, run)
        number = None if row.bobbins_plain else row.bobbins[run].number
        key = (*row.runs[run], number)  # all that is to be seen of a run within a row
        if key not in self._within:
            self._within[key] = self._drawn_run(row, run)
        return self._within[key]

    def _drawn_run(self, row: PatternRow, run: int) -> str:
        line = run_line(row, run)
        (middle, blocks), frame = line.counts[0], self._frame(line.places)
        first, last = line.cells[0], line.cells[-1]
        figures = [Text(*frame.at(middle, 0.5 + 3 / _TIP), str(blocks), TYPE)]
        if first.number is not None:
            figures.append(bobbin_number(first, frame, self._color(first.yarn)))
        key = (
            *(first.yarn, line.places, bool(line.gaps), first.number is None),
            *((row.row.begins, row.travel_in, row.row.marker) if first.first else ()),
            *(("ends", row.row.ends) if last.last else ()),
            row.row.number == 1,
        )
        if key not in self._known:
            self._known[key] = self._symbol(key, self._drawn(row, line, frame))
        return _small(f"w{line.places}", self._known[key], figures)

    def _drawn(self, row: PatternRow, line: Line, frame: Held) -> list[Item]:
        """A run without its figures."""
        chart, marks = self.pictures.chart, self.pictures.marks
        items: list[Item] = _below(row, line, frame)
        blocks = drawn_blocks(chart, line, frame, marks, True, True)
        items += [item for item in blocks if not isinstance(item, Text)]
        if row.row.ends != "stop" or not line.cells[-1].last:
            items += slip_stitches(chart, row, line, frame, True)
        items += gap_dots(line, frame)
        if row.row.marker and line.cells[0].first:
            items += marker(frame, 0.25, 0.25, 1, "marker in")
        return items

    def _stop(self) -> str:
        """Where a row ends at a marker."""
        hand = self.pictures.chart.hand
        frame = Held(hand, _TIP, MARKER_ROOM if hand == "right" else 0, _MIDDLE)
        joined = Dots(np.array([frame.at(0, 0)]), DOT)
        ring = marker(frame, 0.25, -0.25, -1, "marker out")
        return _small("stop", self._symbol(("stop",), [joined, *ring]))

    def _symbol(self, key: tuple[object, ...], items: list[Item]) -> str:
        if key not in self._known:
            drawn = "".join(elements(Drawing(0, 0, "", tuple(items)), self.symbols))
            scale = f' transform="scale({plain(_SCALE, 3)})"'
            self._known[key] = self.symbols.define("g", f"{scale}>{drawn}</g>")
        return self._known[key]


def _small(kind: str, symbol: str, figures: Sequence[Text] = ()) -> str:
    """A small drawing of a symbol and figures; kind: its class, which has its width."""
    said = "".join(
        f'<text x="{item.x * _SCALE:.0f}" y="{item.y * _SCALE:.0f}"{_look(item)}>{item.text}</text>'
        for item in figures
    )
    return f'<svg class="{kind}">{use(symbol, 0, 0)}{said}</svg>'


def _look(item: Text) -> str:
    """The class of figures that are not as most are."""
    if not item.bold:
        return ""
    return ' class="p"' if item.color == PAPER else ' class="n"'


def _below(row: PatternRow, line: Line, frame: Held) -> list[Item]:
    """The blocks of the row before, in outline, below each drawn block: those that it stands on
    or joins."""
    if row.row.number == 1:
        return []
    segments = []
    for cell in line.cells:
        p = cell.place
        near = not (cell.first and row.row.begins == "grow")
        far = not (cell.last and row.row.ends == "full")
        down = -0.5 - 0.5 * HINT
        for stands, at, way in ((near, p, 1), (far, p + 1, -1)):
            if not stands:
                continue
            beside = (at + way * 0.5, -0.5)
            segments.append(frame.segment((at, 0), beside))
            # Below its side corner the block goes back; a neighbour's edge goes straight on.
            segments.append(frame.segment(beside, (at + way * 0.5 * (1 - HINT), down)))
        outer = [(p, -1)] if cell.first and near else []
        outer += [(p + 1, 1)] if cell.last and far else []
        for at, way in outer:
            beside = (at + way * 0.5, -0.5)
            segments.append(frame.segment((at, 0), beside))
            segments.append(frame.segment(beside, (at + way * 0.5 * (1 - HINT), down)))
    return [Lines(np.array(segments), 0.8, FAINT)] if segments else []
