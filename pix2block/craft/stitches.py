"""The stitches of a row and the loops they take.

A stitch's yarn is counted in loops drawn: yarn overs and pulls (common practice; the yarn overs
are those of the Craft Yarn Council's stitch descriptions). One home measurement with worsted yarn
gives sc : hdc : dc : ch = 2.08 : 3.08 : 4.00 : 1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pix2block.craft.diagonal import Begins, Ends, Ints, Layout
from pix2block.craft.runs import Runs
from pix2block.ground.settings import BlockKind, Turn

LOOPS = {"ch": 1, "sl st": 1, "sc": 2, "hdc": 3, "dc": 4, "tr": 6}
STITCHES_A_BLOCK = 3
TRAVEL_SLIPS = 3  # one in each stitch of the last block made; the joining one belongs to the block


@dataclass(frozen=True)
class BlockStitches:
    """What a block is made of. `stitch` is the US name.

    chain: chains of a block on a block, also the size of its chain space; chain_first: chains of
    a block that grows out of the edge; first_into: the chain, from the hook, of its first stitch.
    """

    stitch: str
    chain: int
    chain_first: int
    first_into: int


BLOCKS: dict[BlockKind, BlockStitches] = {
    "dc": BlockStitches("dc", chain=3, chain_first=6, first_into=4),
    "hdc": BlockStitches("hdc", chain=2, chain_first=5, first_into=3),
}


@dataclass(frozen=True)
class StitchCount:
    """Chains, tall stitches (dc or hdc) and slip stitches."""

    ch: int
    tall: int
    slip: int


def count_stitches(kind: BlockKind, begins: Begins, ends: Ends, blocks: int) -> StitchCount:
    """The stitches of a whole row of `blocks` blocks, those at its turns included."""
    block = BLOCKS[kind]
    first_grows = begins in ("corner", "grow")
    extra = block.chain_first - block.chain if first_grows else 0
    joins = blocks - 1 if first_grows else blocks
    slip = joins + (TRAVEL_SLIPS if begins == "travel" else 0) + (1 if ends == "stop" else 0)
    return StitchCount(block.chain * blocks + extra, STITCHES_A_BLOCK * blocks, slip)


def loops_of_middle_block(kind: BlockKind) -> int:
    """Loops of a block on a block and the slip stitch before it."""
    block = BLOCKS[kind]
    return block.chain * LOOPS["ch"] + STITCHES_A_BLOCK * LOOPS[block.stitch] + LOOPS["sl st"]


def loops_by_run(runs: Runs, layout: Layout, kind: BlockKind, turn: Turn) -> Ints:
    """(runs,) loops that each run takes, stitches at the turns with the run whose colour they have.

    Early: a stop's slip stitch and the slip stitches of the travel after it go with the first run
    of the next row; late: with the last run of their own side of the turn.
    """
    block = BLOCKS[kind]
    loops = runs.blocks * loops_of_middle_block(kind)
    grown = (block.chain_first - block.chain) * LOOPS["ch"] - LOOPS["sl st"]
    for row in layout:
        first, last = runs.first_and_last(row.number)
        if row.begins == "travel":
            payer = first if turn == "early" else first - 1
            loops[payer] += TRAVEL_SLIPS * LOOPS["sl st"]
        else:
            loops[first] += grown
        if row.ends == "stop":
            has_next = row.number < layout.last_row
            loops[last + 1 if turn == "early" and has_next else last] += LOOPS["sl st"]
    return np.asarray(loops)
