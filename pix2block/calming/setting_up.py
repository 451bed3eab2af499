"""From a chart's nouns to the arrays that the compiled loops work on, and back."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pix2block.calming.guards import Guard
from pix2block.calming.links import possible_links
from pix2block.calming.state import MOST_MOVED, Piece, State
from pix2block.color.spaces import Floats
from pix2block.craft.diagonal import Layout
from pix2block.ground.settings import Habit

_PORTS_A_BLOCK = 16  # room for what a move may loosen


def piece_of(
    layout: Layout,
    habit: Habit,
    cost: Floats,
    paid: Floats,
    yarn_lab: Floats,
    guards: Sequence[Guard] = (),
) -> Piece:
    """cost, paid: (height, width, yarns), as `state.Piece` has them; yarn_lab: (yarns, 3)."""
    lines, columns, row = layout.order
    links = possible_links(layout, habit)
    numbers = np.full((layout.height + 2, layout.width + 2), -1, dtype=np.int64)
    numbers[lines + 1, columns + 1] = np.arange(len(row))
    down, across = lines + 1, columns + 1
    beside = [
        numbers[down - 1, across],
        numbers[down + 1, across],
        numbers[down, across - 1],
        numbers[down, across + 1],
    ]
    turn = np.flatnonzero(np.diff(row))
    first, last = np.zeros((2, len(row)), dtype=np.int64)
    first[0] = first[turn + 1] = last[-1] = last[turn] = 1
    masks = [part for g in guards for part in (g.feature.mask, g.feature.ring)]
    inside = np.array([mask[lines, columns] for mask in masks], dtype=bool).reshape(-1, len(row))
    block, part = np.nonzero(inside.T)
    return Piece(
        cost=np.ascontiguousarray(cost[lines, columns]),
        paid=np.ascontiguousarray(paid[lines, columns]),
        first=first,
        last=last,
        row=row - 1,
        after_at=links.after_at,
        after=links.after,
        before_at=links.before_at,
        before=links.before,
        beside=np.ascontiguousarray(np.stack(beside, axis=1)),
        around_at=np.searchsorted(block, np.arange(len(row) + 1)),
        around=part,
        color=np.ascontiguousarray(yarn_lab),
        parts=np.maximum(inside.sum(axis=1), 1).astype(np.float64),
        toward=np.array([g.toward for g in guards]).reshape(-1, 3),
        floor=np.array([g.floor for g in guards], dtype=np.float64),
    )


def state_of(piece: Piece, labels: NDArray[np.int64], seed: int) -> State:
    """labels: (blocks,) yarn of each block in working order. Nothing is counted yet."""
    blocks, rows = len(labels), int(piece.row[-1]) + 1
    cells = np.full((5, blocks), -1, dtype=np.int64)
    cells[0] = labels

    def room(*shape: int) -> NDArray[np.int64]:
        return np.zeros(shape, dtype=np.int64)

    random = np.random.default_rng(seed).integers(1, 2**63, 1, dtype=np.uint64)
    label, end, start, to, of = cells
    return State(
        cells=cells,
        label=label,
        end=end,
        start=start,
        to=to,
        of=of,
        sums=np.zeros((len(piece.parts), 3)),
        row_runs=room(rows),
        total=np.zeros(6),
        seen=room(blocks),
        parent=room(blocks),
        queue=room(blocks),
        log=room(8 * blocks + 64 * MOST_MOVED, 3),
        moved=room(MOST_MOVED),
        loose=room(_PORTS_A_BLOCK * MOST_MOVED, 2),
        mark=room(blocks),
        row_mark=room(rows),
        flags=room(4),
        random=random,
    )


def laid_out(layout: Layout, labels: NDArray[np.int64]) -> NDArray[np.int64]:
    """(height, width) yarn numbers of (blocks,) labels in working order, -1 where no block is."""
    blocks = np.full((layout.height, layout.width), -1, dtype=np.int64)
    lines, columns, _ = layout.order
    blocks[lines, columns] = labels
    return blocks
