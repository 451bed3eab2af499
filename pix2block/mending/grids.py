"""The blocks of a file become the chart's: a grid, or the rows of a pattern."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.chart.drawn import Drawn
from pix2block.chart.grid import grid_of
from pix2block.chart.terms import words
from pix2block.chart.yarn_order import with_yarns
from pix2block.craft.diagonal import Layout
from pix2block.ground.advice import Advice
from pix2block.ground.errors import BadInput, refuse
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import (
    BLOCK_KINDS,
    HANDS,
    MOST_BLOCKS_A_SIDE,
    START_CORNERS,
    TERMS,
    TURNS,
    say_corner,
)
from pix2block.ground.units import say_count
from pix2block.mending.asked import Done, Given
from pix2block.mending.made import refuse_made, with_made
from pix2block.proof.rows import Told, known_as
from pix2block.yarn.yarn import Yarn, name_key


@dataclass(frozen=True, eq=False)
class Blocks:
    """Blocks of a file. blocks: (height, width) numbers of `yarns`, -1 where none is; worked:
    fields of a chart that the file tells too; warnings: a sentence each."""

    blocks: NDArray[np.int64]
    yarns: tuple[Yarn, ...]
    worked: Mapping[str, Any]
    warnings: tuple[str | Advice, ...] = ()


def grid(chart: Chart, value: str, given: Given) -> Done:
    """The blocks of a chart.csv, a chart.xlsx or a pattern.txt, which is of this very chart; from a
    pattern also how it is worked. value: the file's name.

    Raises BadInput for one of another size, or of other rows.
    """
    file = given.read(value)
    if isinstance(file, Chart):
        raise BadInput(f"{value} is a chart, no grid: name it alone")
    found = blocks_in(file, (*chart.yarns, *given.yarns), chart)
    return with_blocks(chart, found, value)


def blocks_in(file: Drawn | Told, known: Sequence[Yarn], beside: Chart | None = None) -> Blocks:
    """What a file's cells, or rows, tell. known: yarns that it may name; beside: the chart that it
    is of, where it is of one."""
    if isinstance(file, Told):
        return _laid_out(file, known)
    read = grid_of(file, tuple(known), open_to_more=beside is not None, beside=beside)
    return Blocks(read.blocks, read.yarns, {}, read.warnings)


def with_blocks(chart: Chart, found: Blocks, name: str) -> Done:
    """The chart with the blocks of a file; the very same where nothing is otherwise.

    Raises BadInput for another size, or other rows.
    """
    blocks, worked = found.blocks, found.worked
    if blocks.shape != chart.blocks.shape:
        raise BadInput(
            f"{name} has {blocks.shape[1]} x {blocks.shape[0]} blocks, the chart.json beside it "
            f"{chart.width} x {chart.height}: give it the same size, or a folder of its own"
        )
    known = {name_key(yarn.name): i for i, yarn in enumerate(chart.yarns)}
    used = [found.yarns[i] for i in np.unique(blocks[blocks != NO_BLOCK])]
    more = [yarn for yarn in used if name_key(yarn.name) not in known]
    known |= {name_key(yarn.name): len(known) + i for i, yarn in enumerate(more)}
    number = np.array([*(known.get(name_key(y.name), NO_BLOCK) for y in found.yarns), NO_BLOCK])
    changed = int((number[blocks] != chart.blocks).sum())
    told = {field: value for field, value in worked.items() if getattr(chart, field) != value}
    if not changed and not told:
        return Done(chart, "", 0)
    free = replace(chart, done=None)
    try:
        refuse_made(chart, number[blocks] != chart.blocks)
        after = replace(with_yarns(free, (*chart.yarns, *more)), blocks=number[blocks], **told)
        after = with_made(chart, after)
    except BadInput as error:
        raise error.within(name) from None
    said = [f"The blocks of {name}", *(f"{yarn.name}, {yarn.color}, comes in" for yarn in more)]
    said += [f"{field.replace('_', ' ')} {value}" for field, value in told.items()]
    return Done(after, "; ".join([*said, *map(str, found.warnings)]), changed)


def _laid_out(told: Told, known: Sequence[Yarn]) -> Blocks:
    """The rows of a pattern laid out. Raises BadInput with every row that does not fit."""
    head, place = told.head, told.place
    worked = _worked(told)
    if not all(1 <= side <= MOST_BLOCKS_A_SIDE for side in (head.width, head.height)):
        raise BadInput(
            f"{place}: {head.width} x {head.height} blocks: a side has 1 to {MOST_BLOCKS_A_SIDE}"
        )
    layout = Layout(head.width, head.height, head.last_row, worked["start_corner"], worked["hand"])
    if head.last_row > layout.all_rows:
        raise BadInput(f"{place}: a piece of that size has {layout.all_rows} rows")
    names = [yarn.name for yarn in known]
    blocks = np.full((head.height, head.width), NO_BLOCK)
    lines, columns, of_row = layout.order
    faults = []
    for number, runs in enumerate(told.rows, 1):
        at = of_row == number
        count = sum(blocks for blocks, _ in runs)
        if count != at.sum():
            faults.append(
                BadInput(
                    f"{place}, row {number}: {say_count(count, 'block')} told, it has {at.sum()}"
                )
            )
            continue
        try:
            numbers = [known_as(name, names, f"{place}, row {number}") for _, name in runs]
        except BadInput as error:
            faults.append(error)
            continue
        blocks[lines[at], columns[at]] = np.repeat(numbers, [blocks for blocks, _ in runs])
    refuse(faults)
    return Blocks(blocks, tuple(known), worked)


def _worked(told: Told) -> dict[str, Any]:
    """How the head line says that the piece is worked. Raises BadInput for a word that it does not
    know."""
    head = told.head
    terms = next(terms for terms in TERMS if terms.upper() == head.terms)
    kinds = {words(terms)[kind]: kind for kind in BLOCK_KINDS}
    if head.stitch not in kinds:
        raise BadInput(
            f"{told.place}: {head.stitch} blocks: in {head.terms} terms write {' or '.join(kinds)}"
        )
    return {
        "last_row": head.last_row,
        "start_corner": next(one for one in START_CORNERS if say_corner(one) == head.corner),
        "hand": next(one for one in HANDS if one == head.hand),
        "block": kinds[head.stitch],
        "terms": terms,
        "turn": next(one for one in TURNS if one == head.turn),
    }
