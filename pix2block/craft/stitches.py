"""The stitches of a row and the loops they take.

A stitch's yarn is counted in loops drawn: yarn overs and pulls (common practice; the yarn overs
are those of the Craft Yarn Council's stitch descriptions). One home measurement with worsted yarn
gives sc : hdc : dc : ch = 2.08 : 3.08 : 4.00 : 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Literal

import numpy as np

from pix2block.craft.diagonal import Begins, Ends, Ints, Layout
from pix2block.craft.runs import Runs
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import BlockKind, Turn

LOOPS = {"ch": 1, "sl st": 1, "sc": 2, "hdc": 3, "dc": 4, "tr": 6}
STITCHES_A_BLOCK = 3
TRAVEL_SLIPS = 3  # one in each stitch of the last block made; the joining one belongs to the block

# What a row is put together from. first: a block in its own chains; climb: the slip stitches over
# the last block made; join: the one into the chain space where a block follows; block: a block in
# the space just joined; stop: the slip stitch into a space where none follows.
RowPart = Literal["first", "climb", "join", "block", "stop"]


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


@cache
def part_stitches(kind: BlockKind) -> dict[RowPart, tuple[tuple[str, int], ...]]:
    """The stitches of each part, in order: US name and number. Every count comes from here."""
    block = BLOCKS[kind]
    return {
        "first": (("ch", block.chain_first), (block.stitch, STITCHES_A_BLOCK)),
        "climb": (("sl st", TRAVEL_SLIPS),),
        "join": (("sl st", 1),),
        "block": (("ch", block.chain), (block.stitch, STITCHES_A_BLOCK)),
        "stop": (("sl st", 1),),
    }


def parts_of_row(begins: Begins, ends: Ends, blocks: int) -> list[tuple[RowPart, int]]:
    """The parts of a row in working order; a join and a block together so many times."""
    parts: list[tuple[RowPart, int]] = []
    if begins == "travel":
        parts.append(("climb", 1))
    else:
        parts.append(("first", 1))
        blocks -= 1
    parts += [("join", blocks), ("block", blocks)]
    if ends == "stop":
        parts.append(("stop", 1))
    return parts


def climb_run(first: int, turn: Turn) -> int:
    """The run whose colour the slip stitches of a travel have; first: the row's first run."""
    return first if turn == "early" else first - 1


def stop_run(last: int, turn: Turn, has_next: bool) -> int:
    """The run whose colour a stop's slip stitch has; last: the row's last run."""
    return last + 1 if turn == "early" and has_next else last


@dataclass(frozen=True)
class StitchCount:
    """Chains, tall stitches (dc or hdc) and slip stitches."""

    ch: int
    tall: int
    slip: int


def count_stitches(kind: BlockKind, begins: Begins, ends: Ends, blocks: int) -> StitchCount:
    """The stitches of a whole row of `blocks` blocks, those at its turns included."""
    count = dict.fromkeys(("ch", BLOCKS[kind].stitch, "sl st"), 0)
    for part, times in parts_of_row(begins, ends, blocks):
        for stitch, number in part_stitches(kind)[part]:
            count[stitch] += times * number
    return StitchCount(*count.values())


def _loops_of_parts(kind: BlockKind) -> dict[RowPart, int]:
    return {
        part: sum(number * LOOPS[stitch] for stitch, number in stitches)
        for part, stitches in part_stitches(kind).items()
    }


def loops_of_middle_block(kind: BlockKind) -> int:
    """Loops of a block on a block and the slip stitch before it."""
    of = _loops_of_parts(kind)
    return of["join"] + of["block"]


def turn_after(turns: Sequence[Turn], number: int) -> Turn:
    """How a colour that changes comes in at the turn that follows a row. turns: (rows,) the same at
    the turn into each; after the last row none changes."""
    return turns[min(number, len(turns) - 1)]


def loops_by_run(runs: Runs, layout: Layout, kind: BlockKind, turns: Sequence[Turn]) -> Ints:
    """(runs,) loops that each run takes, stitches at the turns with the run whose colour they have.
    turns: (rows,) when a colour that changes at the turn into each row comes in.

    Early: a stop's slip stitch and the slip stitches of the travel after it go with the first run
    of the next row; late: with the last run of their own side of the turn (as in `climb_run` and
    `stop_run`, all rows at once).
    """
    of = _loops_of_parts(kind)
    joined = loops_of_middle_block(kind)
    loops = runs.blocks * joined
    firsts, lasts = runs.row_starts[:-1], runs.row_starts[1:] - 1
    early = np.array([turn == "early" for turn in turns[: layout.last_row]], dtype=bool)
    travels, stops = layout.turns_of_rows()
    loops[firsts[~travels]] += of["first"] - joined
    np.add.at(loops, (firsts - ~early)[travels], of["climb"])
    np.add.at(loops, (lasts + np.append(early[1:], False))[stops], of["stop"])
    return np.asarray(loops)
