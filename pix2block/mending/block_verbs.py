"""Mends of blocks: a place painted, a patch filled or painted after its block."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.ground.errors import BadInput
from pix2block.ground.units import say_count
from pix2block.mending.asked import Done, Given, taken_in, two_sides
from pix2block.mending.journal import taken_back
from pix2block.mending.made import refuse_made
from pix2block.mending.places import Mask, blocks_at, place_of

_FORM = '"PLACE=YARN"'


def paint(chart: Chart, value: str, given: Given) -> Done:
    """ "PLACE=YARN": the blocks of a place get a yarn."""
    where, name = two_sides(value, _FORM)
    at = blocks_at(chart, place_of(where))
    chart, yarn = taken_in(chart, name, given.yarns)
    told = say_count(int(at.sum()), "block") if ";" in where else _tidy(where)
    return _painted(chart, at, yarn, f"{told} in {chart.yarns[yarn].name}")


def fill(chart: Chart, value: str, given: Given) -> Done:
    """ "PLACE=YARN": the patch of one yarn that holds a block gets another yarn."""
    where, name = two_sides(value, _FORM)
    line, column = _one_block(chart, where)
    at = patch_at(chart.blocks, line, column)
    chart, yarn = taken_in(chart, name, given.yarns)
    words = f"the patch at {_tidy(where)} in {chart.yarns[yarn].name}"
    return _painted(chart, at, yarn, words)


def patch_at(
    blocks: np.ndarray[tuple[int, int], np.dtype[np.int64]], line: int, column: int
) -> Mask:
    """(height, width) the patch of one yarn that holds a block; neighbours share a side."""
    from scipy.ndimage import label

    patches, _ = label(blocks == blocks[line, column])
    return np.asarray(patches == patches[line, column])


def patch(chart: Chart, value: str, _given: Given) -> Done:
    """ "PLACE": the patch that a block lay in before the last mend, in the block's yarn now."""
    if not chart.mends:
        raise BadInput("there was no mend before it: name the patch with fill")
    before = taken_back(replace(chart, done=None))
    if before.blocks.shape != chart.blocks.shape:
        raise BadInput("the last mend changed the piece's shape: name the patch with fill")
    line, column = _one_block(chart, value)
    yarn = int(chart.blocks[line, column])
    at = patch_at(before.blocks, line, column)
    return _painted(chart, at, yarn, f"the patch at {_tidy(value)} in {chart.yarns[yarn].name}")


def _one_block(chart: Chart, where: str) -> tuple[int, int]:
    """Line and column, from 0, of a place of one block."""
    at = blocks_at(chart, place_of(where))
    if at.sum() != 1:
        raise BadInput(
            f"{_tidy(where)} has {say_count(int(at.sum()), 'block')}: name one block of the patch, "
            'as "column 14, line 15"'
        )
    line, column = np.argwhere(at)[0].tolist()
    return line, column


def _painted(chart: Chart, at: Mask, yarn: int, words: str) -> Done:
    refuse_made(chart, at)
    changed = int((at & (chart.blocks != yarn)).sum())
    return Done(replace(chart, blocks=np.where(at, yarn, chart.blocks)), words, changed, at)


def _tidy(text: str) -> str:
    return " ".join(text.split())
