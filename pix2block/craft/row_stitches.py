"""A row stitch by stitch: every stitch in working order, its colour and where it goes.

The counts of `craft/stitches.py` are the sums of these steps; both are made from the same parts.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

from pix2block.craft.diagonal import Layout, Row
from pix2block.craft.runs import Runs
from pix2block.craft.stitches import (
    RowPart,
    climb_run,
    part_stitches,
    parts_of_row,
    stop_run,
    turn_after,
)
from pix2block.ground.settings import BlockKind, Turn

# up: up behind the new block; over: flat, as in any turned row.
Act = Literal["turn up", "turn over", "marker in", "marker out"]
# Where stitches go; chains go nowhere: they are made in the air.
Into = Literal["air", "own chains", "stitches of the last block", "chain space"]

_INTO: dict[RowPart, tuple[Into, ...]] = {
    "first": ("air", "own chains"),
    "climb": ("stitches of the last block",),
    "join": ("chain space",),
    "block": ("air", "chain space"),
    "stop": ("chain space",),
}


class Stitches(NamedTuple):
    """Equal stitches one after another.

    stitch: US name; number: how many. run: index, in the whole piece, of the run whose colour they
    have. block: the block of this row they make or lead to, from 1 in working order, 0 at a stop.
    over: the block of the row before that they go into, from 1 in that row's working order, 0 for
    none.
    """

    part: RowPart
    stitch: str
    number: int
    run: int
    into: Into
    block: int
    over: int


class Handling(NamedTuple):
    """Something done between stitches. block: the block of this row (marker in), or of the row
    before (marker out), that holds the marker; 0 at a turn."""

    act: Act
    block: int


Motion = Stitches | Handling


def row_steps(
    runs: Runs, layout: Layout, kind: BlockKind, turns: Sequence[Turn], number: int
) -> list[Motion]:
    """Everything that is done in row `number`, in order. turns: (rows,) when a colour that changes
    at the turn into each row comes in.

    A row goes back over the one before, so its stitches go into that row's blocks from the last
    one down to the first.
    """
    row = layout.rows[number - 1]
    first, last = runs.first_and_last(number)
    run_of_block = [run for run in range(first, last + 1) for _ in range(int(runs.blocks[run]))]
    over = layout.rows[number - 2].blocks if number > 1 else 0
    stitches = part_stitches(kind)

    def made(part: RowPart, run: int, block: int, over: int) -> list[Motion]:
        return [
            Stitches(part, stitch, number, run, into, block, over if into != "air" else 0)
            for (stitch, number), into in zip(stitches[part], _INTO[part], strict=True)
        ]

    steps: list[Motion] = []
    block = 0
    for part, times in parts_of_row(row.begins, row.ends, row.blocks):
        if part == "climb":
            steps.append(Handling("turn over", 0))
            steps += made(part, climb_run(first, turns[number - 1]), 1, over)
        elif part == "first":
            block = 1
            steps += made(part, first, block, 0)
            steps += _after_first(row)
        elif part == "join":  # each followed by its block
            for _ in range(times):
                block += 1
                steps += made("join", run_of_block[block - 1], block, over)
                steps += made("block", run_of_block[block - 1], block, over)
                over -= 1
                if block == 1:
                    steps += _after_first(row)
        elif part == "stop":
            turn = turn_after(turns, number)
            steps += made(part, stop_run(last, turn, number < layout.last_row), 0, over)
            steps.append(Handling("marker out", over))
    return steps


def _after_first(row: Row) -> list[Motion]:
    """What is done when a row's first block is made: in row 1 there is nothing to turn."""
    steps: list[Motion] = []
    if row.begins == "grow":
        steps.append(Handling("turn up", 0))
    if row.marker:
        steps.append(Handling("marker in", 1))
    return steps
