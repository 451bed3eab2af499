"""From a chart's nouns to the arrays that the loops work on, and back."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pix2block.calming.guards import Guard
from pix2block.calming.links import possible_links
from pix2block.calming.state import Piece
from pix2block.color.spaces import Floats
from pix2block.craft.diagonal import Layout
from pix2block.ground.settings import Habit

EDGE = 5.0  # CIEDE2000 between neighbours from which a border costs nothing
_AT_ONCE = 2000  # blocks
_CLOSED = 1000.0  # CIEDE2000 that no two colours differ by


def piece_of(
    layout: Layout,
    habit: Habit,
    error: Floats,
    weight: Floats,
    yarn_lab: Floats,
    guards: Sequence[Guard] = (),
    edges: Floats | None = None,
    order: NDArray[np.int64] | None = None,
) -> Piece:
    """error: (height, width, yarns); weight: (height, width); yarn_lab: (yarns, 3); edges: as in
    `task.Calming`; order: (yarns,) in which the errors' yarns are numbered, as `yarn_lab` is."""
    lines, columns, row = layout.order
    links = possible_links(layout, habit)
    numbers = np.full((layout.height + 2, layout.width + 2), -1, dtype=np.int64)
    numbers[lines + 1, columns + 1] = np.arange(len(row))
    down, across = lines + 1, columns + 1
    beside = np.stack(
        [
            numbers[down - 1, across],
            numbers[down + 1, across],
            numbers[down, across - 1],
            numbers[down, across + 1],
        ],
        axis=1,
    )
    turn = np.flatnonzero(np.diff(row))
    first, last = np.zeros((2, len(row)), dtype=np.int64)
    first[0] = first[turn + 1] = last[-1] = last[turn] = 1
    masks = [part for g in guards for part in (g.feature.mask, g.feature.ring)]
    block, part, size = _members(numbers[1:-1, 1:-1], masks)
    order = np.arange(error.shape[2]) if order is None else order
    worked = error[lines[:, None], columns[:, None], order]  # at once: it may be large
    return Piece(
        error=worked,
        weight=weight[lines, columns],
        toll=weight[lines, columns],
        first=_whole(first),
        last=_whole(last),
        row=_whole(row - 1),
        after_at=_whole(links.after_at),
        after=_whole(links.after),
        before_at=_whole(links.before_at),
        before=_whole(links.before),
        beside=_whole(beside),
        line=_lines(worked, beside, None if edges is None else edges[lines, columns]),
        around_at=_whole(np.searchsorted(block, np.arange(len(row) + 1))),
        around=_whole(part),
        color=yarn_lab,
        parts=np.maximum(size, 1).astype(np.float64),
        toward=np.array([g.toward for g in guards]).reshape(-1, 3),
        floor=np.array([g.floor for g in guards], dtype=np.float64),
    )


def _members(
    numbers: NDArray[np.int64], masks: Sequence[NDArray[np.bool_]]
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """The blocks in (height, width) masks and which mask each is in, by blocks rising; and how many
    each mask has. numbers: (height, width) of the blocks, -1 where none is."""
    found = [of[of >= 0] for of in (numbers[mask] for mask in masks)]
    size = np.array([len(of) for of in found], dtype=np.int64)
    block = np.concatenate([np.zeros(0, dtype=np.int64), *found])
    part = np.repeat(np.arange(len(masks)), size)
    order = np.lexsort((part, block))
    return block[order], part[order], size


def _lines(error: Floats, beside: NDArray[np.int64], wanted: Floats | None) -> NDArray[np.float32]:
    """(blocks, 4) what a step of border counts: less than nothing where it is wanted."""
    smooth = np.stack([_smoothness(error, other) for other in beside.T], axis=1)
    if wanted is None:
        return smooth
    return np.where(wanted > 0, -wanted, smooth).astype(np.float32)


def _smoothness(error: Floats, other: NDArray[np.int64]) -> NDArray[np.float32]:
    """(blocks,) from 1 where a block takes yarns as the other one does, to 0 where the picture has
    an edge between them: two colours differ by at least as much as their distances from any third
    one do. Yarns that are closed to one of them tell nothing."""
    most = np.empty(len(error))
    for start in range(0, len(error), _AT_ONCE):
        part = slice(start, start + _AT_ONCE)
        apart = np.abs(error[part] - error[other[part]])
        apart[apart > _CLOSED] = 0
        most[part] = apart.max(axis=1)
    return np.asarray(np.maximum(1 - most / EDGE, 0), dtype=np.float32)


def _whole(numbers: NDArray[np.int64]) -> NDArray[np.int32]:
    return numbers.astype(np.int32)


def laid_out(layout: Layout, labels: NDArray[np.int64]) -> NDArray[np.int64]:
    """(height, width) yarn numbers of (blocks,) labels in working order, -1 where no block is."""
    blocks = np.full((layout.height, layout.width), -1, dtype=np.int64)
    lines, columns, _ = layout.order
    blocks[lines, columns] = labels
    return blocks
