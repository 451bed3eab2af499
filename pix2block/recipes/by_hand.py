"""A chart.json that a hand has changed since a run wrote it: the change becomes a line of its
journal."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from pathlib import Path

import numpy as np

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.chart.drawn import drawn_csv
from pix2block.chart.grid import fit_last_row
from pix2block.drawing.marks import with_marks
from pix2block.ground.errors import BadInput
from pix2block.ground.swap import sha256_of
from pix2block.recipes.keeping import CHART, recorded
from pix2block.yarn.yarn import Yarn, name_key

_GRID, _YARNS = "chart.csv", "yarn.csv"


def with_hand_edit(chart: Chart, folder: Path) -> Chart:
    """The chart of a folder's chart.json; where its blocks or yarns are not those that a run wrote
    there, with a line for that in its journal. How they were is read in the tables that the run
    wrote beside; where these have changed too, nothing is known of it."""
    record, _ = recorded(folder)
    now = {name: sha256_of(folder / name) for name in (CHART, _GRID, _YARNS)}
    if not record or any(record.get(name) != now[name] for name in (_GRID, _YARNS)):
        return chart
    if now[CHART] is None or record.get(CHART) == now[CHART]:
        return chart
    try:
        before = _as_written(chart, folder)
    except (OSError, ValueError, LookupError, BadInput):
        return chart
    if before.blocks.shape == chart.blocks.shape:
        changed = int((before.blocks != chart.blocks).sum())
        if not changed and before.yarns == chart.yarns:
            return chart
    else:
        changed = chart.blocks.size
    from pix2block.mending.apply import entered, next_group
    from pix2block.mending.asked import Done

    done = Done(with_marks(chart), f"{CHART} was changed by hand", changed)
    asked = ("edited", CHART)
    return entered(with_marks(before), done, asked, next_group(chart), amounts_of(before))[0]


def _as_written(chart: Chart, folder: Path) -> Chart:
    """The chart with the blocks, names and colours of the tables. Raises one of several errors for
    tables that are none."""
    lines = csv.DictReader(io.StringIO((folder / _YARNS).read_text(encoding="utf-8")))
    told = [(line["yarn"], line["color"]) for line in lines]
    known = {name_key(yarn.name): yarn for yarn in chart.yarns}
    yarns = []
    for place, (name, color) in enumerate(told):
        there = chart.yarns[place] if place < len(chart.yarns) else Yarn(name, color)
        yarn = known.get(name_key(name), there)
        same = (yarn.name, yarn.color) == (name, color)
        yarns.append(yarn if same else replace(yarn, name=name, color=color))
    drawn = drawn_csv((folder / _GRID).read_text(encoding="utf-8"), _GRID)
    number = {name: i for i, (name, _) in enumerate(told)} | {"": NO_BLOCK}
    blocks = np.array([[number[cell.words] for cell in line] for line in drawn.cells])
    corner, last_row = fit_last_row(blocks, chart.start_corner, chart.start_corner, chart.hand)
    return replace(
        chart,
        blocks=blocks,
        yarns=tuple(yarns),
        last_row=last_row,
        start_corner=corner,
        source=chart.source if blocks.shape == chart.blocks.shape else None,
    )
