"""The chart as a sheet: in the picture's view, for looking, and as held, for working."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.craft.plan import StrandPlan
from pix2block.craft.strands import places
from pix2block.drawing.marks import BLANK, marks_of
from pix2block.drawing.shapes import Drawing, Item, Text, moved
from pix2block.drawing.style import (
    BODY,
    LABEL_SPACE,
    MARGIN,
    TITLE,
    text_width,
)
from pix2block.drawing.views import View, held_view, picture_view
from pix2block.ground.settings import sides_of
from pix2block.ground.units import say_count
from pix2block.pages.chart_parts import (
    COUNT_SPACE,
    block_items,
    line_items,
    row_numbers,
    side_counts,
)
from pix2block.pages.yarn_key import dashed, yarn_key
from pix2block.pattern.yarn_words import size_words

_MARKED = 50  # blocks across: a larger chart as the picture is seen is for looking, without marks


def chart_sheet(amounts: Amounts, held: bool = False, floats: bool = False) -> Drawing:
    """The whole sheet: title, blocks with row numbers where each row begins, key of yarns; with
    floats also the yarn that lies behind."""
    chart = amounts.chart
    view = held_view(chart) if held else picture_view(chart)
    marks = marks_of(chart)
    if not held and max(chart.layout.extent) > _MARKED:
        marks = dict.fromkeys(marks, BLANK)
    key = yarn_key(amounts, list(marks), marks, held, floats)
    space = LABEL_SPACE if held else LABEL_SPACE + COUNT_SPACE
    width = max(view.width + 2 * space, key.width, _title_width(amounts)) + 2 * MARGIN
    top = MARGIN + TITLE + BODY + 2 * MARGIN + space
    left = (width - view.width) / 2
    if not held:  # whole blocks from the sheet's edge, so that a PNG's lines are sharp
        left, top = (round(at / view.block) * view.block for at in (left, top))
    placed = replace(view, origin=view.origin + np.array([left, top]))
    below = top + view.height + LABEL_SPACE + MARGIN
    items = [
        Text(MARGIN, MARGIN + TITLE * 0.8, chart.title, TITLE, bold=True),
        Text(MARGIN, MARGIN + TITLE + BODY * 1.2, _subtitle(amounts), BODY),
        *block_items(chart, placed, marks),
        *line_items(chart, placed),
        *(float_items(chart, amounts.plan, placed) if floats else ()),
        *row_numbers(chart, placed),
        *([] if held else side_counts(chart, placed, LABEL_SPACE)),
        *moved(key.items, MARGIN, below),
    ]
    what = "as held, right side facing" if held else "as the picture is seen"
    label = f"{chart.title}: chart of {chart.width} x {chart.height} blocks, {what}"
    return Drawing(width, below + key.height + MARGIN, label, tuple(items))


def _subtitle(amounts: Amounts) -> str:
    chart = amounts.chart
    across, down = chart.layout.extent
    return f"{across} × {down} blocks, {say_count(chart.last_row, 'row')}, {size_words(amounts)}"


def _title_width(amounts: Amounts) -> float:
    return max(
        text_width(amounts.chart.title, TITLE, bold=True), text_width(_subtitle(amounts), BODY)
    )


def float_items(chart: Chart, plan: StrandPlan, view: View) -> list[Item]:
    """Every float that has a length, from the corner where the yarn leaves a run to the corner
    where it enters the next."""
    place = places(chart.runs, chart.layout)
    to = np.flatnonzero(plan.float_squares)
    before = plan.preceding[to]
    ends = [
        _corners(chart, place.leave_row[before], place.leave_t[before]),
        _corners(chart, place.enter_row[to], place.enter_t[to]),
    ]
    return dashed(np.concatenate([view.place(corners) for corners in ends], axis=1))


def _corners(chart: Chart, row: NDArray[np.int64], t: NDArray[np.int64]) -> NDArray[np.float64]:
    """(n, 2) column and line, from the top left, of corners given in the numbers of strands."""
    column, line = (row + t) / 2, (row - t) / 2
    start = sides_of(chart.start_corner)
    if start.right:
        column = chart.width - column
    if start.bottom:
        line = chart.height - line
    return np.stack([column, line], axis=1)
