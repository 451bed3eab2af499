"""Another chart, or a grid, placed on a chart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.chart.drawn import Drawn
from pix2block.chart.grid import grid_of
from pix2block.chart.yarn_order import with_yarns
from pix2block.ground.errors import BadInput
from pix2block.mending.asked import Done, Given
from pix2block.mending.grids import blocks_in
from pix2block.mending.places import blocks_at, place_of
from pix2block.proof.rows import Told
from pix2block.yarn.yarn import Yarn, name_key


def file_of(value: str) -> str:
    """The file of an insertion, "FILE@PLACE". Raises BadInput where it is not so written."""
    name, sign, place = (part.strip() for part in value.rpartition("@"))
    if not (sign and name and place):
        raise BadInput('write it as "FILE@PLACE", as "heart.csv@column 3, line 4"')
    return name


def insert(chart: Chart, value: str, given: Given) -> Done:
    """ "FILE@PLACE": the blocks of a chart or a grid, its top left at a block. Where it has none
    the chart's stay; its yarns go by their names, and the chart's colours win."""
    name = file_of(value)
    where = value.rpartition("@")[2]
    at = blocks_at(chart, place_of(where))
    if at.sum() != 1:
        raise BadInput(f"{where.strip()} is more than one block: name the top left one")
    blocks, yarns, told = _read(given.read(name), (*chart.yarns, *given.yarns))
    line, column = np.argwhere(at)[0].tolist()
    high, wide = blocks.shape
    if line + high > chart.height or column + wide > chart.width:
        raise BadInput(
            f"{wide} x {high} blocks from there reach to column {column + wide}, line "
            f"{line + high}: the chart has {chart.width} x {chart.height}"
        )
    over = np.full(chart.blocks.shape, NO_BLOCK)
    over[line : line + high, column : column + wide] = blocks
    after, said = with_cells(chart, over, yarns)
    named = np.asarray((over != NO_BLOCK) & (chart.blocks != NO_BLOCK))
    words = "; ".join(
        [f"{name}, {wide} x {high} blocks, at {' '.join(where.split())}", *told, *said]
    )
    changed = int((after.blocks != chart.blocks).sum())
    return Done(after, words, changed, at=named, placed=True)


def _read(
    file: Chart | Drawn | Told, known: Sequence[Yarn]
) -> tuple[NDArray[np.int64], tuple[Yarn, ...], list[str]]:
    if isinstance(file, Chart):
        return file.blocks, file.yarns, []
    if isinstance(file, Told):
        found = blocks_in(file, known)
        return found.blocks, found.yarns, []
    grid = grid_of(file, tuple(known), open_to_more=True)
    told = ["no colour is told for some yarns, which have a stand-in: recolor them"]
    return grid.blocks, grid.yarns, told if grid.warnings else []


def with_cells(
    chart: Chart, over: NDArray[np.int64], yarns: Sequence[Yarn]
) -> tuple[Chart, list[str]]:
    """The chart with the blocks that are given, (height, width) numbers of `yarns` or -1; and what
    a maker should know, a few words each: yarns that came in, and those of another colour."""
    known = {name_key(yarn.name): i for i, yarn in enumerate(chart.yarns)}
    used = np.unique(over[over != NO_BLOCK])
    new = [yarns[i] for i in used if name_key(yarns[i].name) not in known]
    differ = [
        f"{yarn.name} keeps the chart's {own.color}, not {yarn.color}"
        for yarn in (yarns[i] for i in used)
        if name_key(yarn.name) in known
        and (own := chart.yarns[known[name_key(yarn.name)]]).color != yarn.color
    ]
    known |= {name_key(yarn.name): len(known) + i for i, yarn in enumerate(new)}
    number = np.array([*(known.get(name_key(yarn.name), NO_BLOCK) for yarn in yarns), NO_BLOCK])
    grown = with_yarns(chart, (*chart.yarns, *new)) if new else chart
    there = (over != NO_BLOCK) & (chart.blocks != NO_BLOCK)
    after = replace(grown, blocks=np.where(there, number[over], grown.blocks))
    came = [f"{yarn.name}, {yarn.color}, comes in" for yarn in new]
    return after, [*came, *differ]
