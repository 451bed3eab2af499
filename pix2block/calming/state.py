"""What calming works on: a piece, how it stands, and what moves are weighed by, as arrays.

Blocks are numbered in working order.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from numpy.typing import NDArray

Array = NDArray[Any]


class Piece(NamedTuple):
    """What stays. cost: (blocks, yarns) energy of each yarn in each block; paid: the same, as the
    budget counts it; first, last: (blocks,) 1 at a row's first and last block; row: (blocks,) from
    0; after_at … before: `calming.links.Links`; beside: (blocks, 4) the blocks above, below, left
    and right, -1 beyond the edge; around_at, around: numbers of the guarded parts each block
    belongs to; color: (yarns, 3) what guards compare; parts: (parts,) blocks of each guarded part;
    toward: (guards, 3) direction of a guarded contrast, floor: (guards,) its least; part 2g is
    inside guard g, part 2g + 1 around it."""

    cost: Array
    paid: Array
    first: Array
    last: Array
    row: Array
    after_at: Array
    after: Array
    before_at: Array
    before: Array
    beside: Array
    around_at: Array
    around: Array
    color: Array
    parts: Array
    toward: Array
    floor: Array


class State(NamedTuple):
    """What moves. cells: (5, blocks), whose rows are the next five. label: (blocks,) yarn; end,
    start: (blocks,) 1 where a run ends, starts; to: (blocks,) the start matched to an end, of: the
    end matched to a start, -1 for none; sums: (parts, 3) colour of each guarded part; row_runs:
    (rows,) runs; total: energy, paid error, borders, runs, links, runs beyond the cap; the rest is
    room to work in. Whole numbers are all of 64 bits, so that each function is compiled once."""

    cells: Array
    label: Array
    end: Array
    start: Array
    to: Array
    of: Array
    sums: Array
    row_runs: Array
    total: Array
    seen: Array
    parent: Array
    queue: Array
    log: Array
    moved: Array
    loose: Array
    mark: Array
    row_mark: Array
    flags: Array
    random: Array


ENERGY, PAID, BORDERS, RUNS, LINKS, BEYOND = range(6)
MOST_MOVED = 64
LABEL, END, START, TO, OF = range(5)
STAMP, LOGGED, LOOSE, MARK = range(4)


class Prices(NamedTuple):
    """What a move is weighed by: a tail, a step of border between colours, a run beyond the cap of
    a row; temperature; the most paid error; the most runs in a row that cost nothing."""

    tail: float
    border: float
    beyond: float
    temperature: float
    most_paid: float
    cap: int
