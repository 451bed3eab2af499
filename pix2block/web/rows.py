"""A row and a strand as the worktable tells them: the words and the drawing of the row page."""

from __future__ import annotations

from typing import Any

import numpy as np

from pix2block.amounts.bobbins import Bobbin
from pix2block.chart.chart import Chart
from pix2block.drawing.marks import marks_of
from pix2block.drawing.svg import svg
from pix2block.ground.errors import BadInput
from pix2block.ground.units import say_metres
from pix2block.pages.row_strip import PHONE_MM, row_strip
from pix2block.pattern.bands import ends_in_plain_words
from pix2block.pattern.document import RowEntry
from pix2block.pattern.row_units import run_units, turn_words
from pix2block.pattern.writing import winding_of
from pix2block.study.study import Study

_STRIP_MM = 108.0
_SIDES = {"RS": "right side", "WS": "wrong side"}


def row_json(study: Study, number: int, narrow: bool = False) -> dict[str, Any]:
    """A row: its blocks, words, runs and drawing, what is wound before it and cut after it.
    narrow: the drawing is for a phone.

    Raises BadInput where there is none of this number.
    """
    chart, amounts = study.chart, study.amounts
    _check_row(chart, number)
    row = study.rows[number - 1]
    names = [yarn.name for yarn in chart.yarns]
    units = run_units(RowEntry((row,), "", ()), names, winding_of(amounts))
    first, last = chart.runs.first_and_last(number)
    yarns = chart.runs.color[first : last + 1].tolist()
    how = ends_in_plain_words(row)
    return {
        "row": number,
        "side": _SIDES[row.row.side],
        "minutes": round(float(amounts.minutes_by_row[number - 1])),
        "tails": int(amounts.plan.tails_by_row[number - 1]),
        "hanging": int(amounts.plan.attached_by_row[number - 1]),
        "how": [f"{how[:1].upper()}{how[1:]}", *turn_words(row, names)],
        "blocks": _blocks_of_row(chart, number),
        "runs": [
            {"count": blocks, "yarn": yarn, "bobbin": unit.bobbin, "does": unit.does}
            for unit, (blocks, _), yarn in zip(units, row.runs, yarns, strict=True)
        ],
        "drawing": svg(
            row_strip(chart, row, marks_of(chart), PHONE_MM if narrow else _STRIP_MM), paper=False
        ),
        "way": "right to left" if chart.hand == "right" else "left to right",
        "wind": [
            f"{_bobbin(chart, bobbin)} ({say_metres(bobbin.metres)})"
            for bobbin in amounts.bobbins
            if bobbin.first_row == number and bobbin.number is not None and not bobbin.from_skein
        ],
        "cut": [
            _bobbin(chart, bobbin)
            for bobbin in amounts.bobbins
            if bobbin.last_row == number and bobbin.number is not None
        ],
    }


def strand_json(study: Study, number: int, run: int) -> dict[str, Any]:
    """The strand that works a run of a row, both counted from 1: its length, its rows, and the
    blocks of its way, column and line from 0, in working order.

    Raises BadInput where there is no such run.
    """
    chart, amounts = study.chart, study.amounts
    _check_row(chart, number)
    of_row = chart.runs.of_row(number)
    if not 1 <= run <= len(of_row):
        raise BadInput(f"row {number} has {len(of_row)} runs, no run {run}")
    strand = int(amounts.plan.strand[of_row[run - 1]])
    bobbin = amounts.bobbins[strand]
    lines, columns, _ = chart.layout.order
    starts, blocks = chart.runs.starts, chart.runs.blocks
    at = [np.arange(starts[one], starts[one] + blocks[one]) for one in amounts.plan.paths[strand]]
    every = np.concatenate(at)
    return {
        "bobbin": _bobbin(chart, bobbin),
        "metres": say_metres(bobbin.metres),
        "first_row": bobbin.first_row,
        "last_row": bobbin.last_row,
        "way": np.stack([columns[every], lines[every]], axis=1).tolist(),
    }


def _check_row(chart: Chart, number: int) -> None:
    if not 1 <= number <= chart.last_row:
        raise BadInput(f"no row {number}: the piece has {chart.last_row}")


def _blocks_of_row(chart: Chart, number: int) -> list[list[int]]:
    """Column and line, from 0, of a row's blocks in working order."""
    lines, columns, rows = chart.layout.order
    first, last = np.searchsorted(rows, [number, number + 1]).tolist()
    both = np.stack([columns[first:last], lines[first:last]], axis=1)
    return [[column, line] for column, line in both.tolist()]


def _bobbin(chart: Chart, bobbin: Bobbin) -> str:
    name = chart.yarns[bobbin.yarn].name
    return name if bobbin.number is None else f"{name} {bobbin.number}"
