"""What calming works on: a piece, and what moves are weighed by.

Blocks are numbered in working order.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from numpy.typing import NDArray

Array = NDArray[Any]


class Piece(NamedTuple):
    """What stays. error: (blocks, yarns) of each yarn in each block; weight: (blocks,) by how much
    it counts for the budget; toll: (blocks,) by how much while calming; first, last: (blocks,) 1 at
    a row's first and last block; row: (blocks,) from 0; after_at … before: `calming.links.Links`;
    beside: (blocks, 4) the blocks above, below, left and right, -1 beyond the edge; line: (blocks,
    4) what a step of border towards them counts, less than 0 where it is wanted; around_at, around:
    numbers of the guarded parts each block belongs to; color: (yarns, 3) what guards compare;
    parts: (parts,) blocks of each guarded part; toward: (guards, 3) direction of a guarded
    contrast, floor: (guards,) its least;
    part 2g is inside guard g, part 2g + 1 around it. Floats are of 64 bits, those of `line` and
    whole numbers of 32."""

    error: Array
    weight: Array
    toll: Array
    first: Array
    last: Array
    row: Array
    after_at: Array
    after: Array
    before_at: Array
    before: Array
    beside: Array
    line: Array
    around_at: Array
    around: Array
    color: Array
    parts: Array
    toward: Array
    floor: Array


# What is kept of a chart as it stands.
PAID, PLAIN, BORDERS, RUNS, LINKS, BEYOND = range(6)
TOTALS = 6


class Prices(NamedTuple):
    """What a move is weighed by: a tail, a step of border between colours, a run beyond the cap of
    a row; the most error, weighted and plain; the most runs in a row that cost nothing."""

    tail: float
    border: float
    beyond: float
    most_paid: float
    most_plain: float
    cap: int
