"""Rows on paper: number, runs that do not break, what is beside them, and the drawing."""

from __future__ import annotations

from typing import Any

from pix2block.drawing.shapes import Drawing
from pix2block.drawing.svg import svg
from pix2block.ground.frozen import dataclass
from pix2block.pages.paper import MM_PER_POINT, Paper
from pix2block.pages.pattern_pictures import PatternPictures
from pix2block.pages.row_strip import TYPE, strip_room
from pix2block.pattern.bands import bands_of, ends_in_plain_words
from pix2block.pattern.document import RowEntries, RowEntry
from pix2block.pattern.row_units import (
    RunUnit,
    Winding,
    blocks_words,
    run_units,
    turn_words,
)

_BESIDE = 0.55  # of the room: a shorter drawing stands beside its words
NUMBER_MM = 24.0  # the column of a row's tick box, number and wedge


@dataclass(frozen=True)
class RowSetting:
    """What rows are set with."""

    pictures: PatternPictures
    paper: Paper

    @property
    def strip_mm(self) -> float:
        """The width of a drawing: beside the number, or below it on a narrow page."""
        column = 0 if self.paper.narrow else NUMBER_MM
        return self.paper.inside_mm - column


def rows_data(rows: RowEntries, by: RowSetting) -> list[dict[str, Any]]:
    """Bands and rows in working order, as data for the template."""
    every = [row for entry in rows.entries for row in entry.rows]
    bands = bands_of(every)
    said: list[dict[str, Any]] = []
    told: tuple[str, ...] = ()
    at = 0
    for entry in rows.entries:
        number = entry.rows[0].row.number
        while bands[at].last < number:
            at += 1
        band = bands[at]
        data = _row(entry, rows.winding, by)
        if not band.words:
            data["ends"] = [*data["ends"], _capital(ends_in_plain_words(entry.rows[0]))]
        elif band.words != told:
            data["band"] = band.text
            told = band.words
        said.append(data)
    return said


def _row(entry: RowEntry, winding: Winding, by: RowSetting) -> dict[str, Any]:
    first, last = entry.rows[0], entry.rows[-1]
    names = [yarn.name for yarn in by.pictures.chart.yarns]
    strip, beside = None, False
    if by.pictures.rows_drawn and len(first.runs) > 1:
        grown = by.paper.small_pt / TYPE
        needed = strip_room(first) * MM_PER_POINT * grown
        beside = not by.paper.narrow and needed <= _BESIDE * by.strip_mm
        wide = needed if beside else by.strip_mm
        strip = _drawing(by.pictures.strip(first, wide / grown), wide)
    return {
        "band": None,
        "first": first.row.number,
        "last": last.row.number,
        "right": first.row.side == "RS",
        "runs": [_run(unit) for unit in run_units(entry, names, winding)],
        "blocks": blocks_words(entry),
        "ends": turn_words(first, names),
        "ticks": [row.row.number for row in entry.rows] if len(entry.rows) > 1 else [],
        "strip": strip,
        "beside": beside,
    }


def _run(unit: RunUnit) -> dict[str, str]:
    """A run as data."""
    return {"count": unit.count, "name": unit.name, "bobbin": unit.bobbin, "does": unit.does}


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _drawing(drawing: Drawing, width_mm: float) -> dict[str, Any]:
    return {"svg": svg(drawing, paper=False), "alt": drawing.label, "mm": round(width_mm, 2)}
