"""Rows that are made, as a chart keeps them: how far it is worked, and the strands at it.

What is made stays: its blocks, its strands and its bobbins' numbers. The strands that hang are
where the plan of the rest begins.
"""

from __future__ import annotations

import hashlib
from itertools import pairwise
from typing import Annotated

import numpy as np
from msgspec import Meta

from pix2block.craft.diagonal import Ints
from pix2block.craft.plan import NO_BOBBIN, NO_RUN, Begun
from pix2block.craft.runs import Runs
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.nouns import Kept, when_any, when_known
from pix2block.ground.settings import MOST_BLOCKS_A_SIDE, RowNumber, Turn, YarnNumber
from pix2block.ground.units import say_count

RunNumber = Annotated[int, Meta(ge=1, le=MOST_BLOCKS_A_SIDE)]
BobbinNumber = Annotated[int, Meta(ge=1)]
Path = Annotated[
    str,
    Meta(
        pattern=r"^[1-9]\d{0,5}\.[1-9]\d{0,5}( [1-9]\d{0,5}\.[1-9]\d{0,5})*(?!\n)$",
        extra={"write": 'runs as row and run, as "4.2 5.1"'},
    ),
]


@dataclass(frozen=True)
class MadeStrand(Kept):
    """A strand of rows that are made. number: its bobbin's, null where it works one run alone;
    path: its runs that are made, as "row.run", a space between; hangs: it may go on; cut: the row
    that told to cut it, where it hung and did not go on."""

    yarn: YarnNumber
    number: BobbinNumber | None
    path: Path
    hangs: bool
    cut: RowNumber | None = when_known()


@dataclass(frozen=True)
class TurnFrom(Kept):
    """When a colour that changes at a turn comes in, at the turn into this row and those after."""

    row: RowNumber
    turn: Turn


@dataclass(frozen=True)
class MadeRows(Kept):
    """How far a piece is: `row` is made, or only its first `run` runs, null for all of them.
    strands: by first run; ends: rows at which gathered rows end, since each was the last that was
    made, or the one before where that stood alone; turns: how the colour came in at the turns so
    far; of: tells whether the blocks that are made are still the same."""

    row: RowNumber
    run: RunNumber | None
    strands: tuple[MadeStrand, ...]
    ends: tuple[RowNumber, ...] = when_any()
    turns: tuple[TurnFrom, ...] = when_any()
    of: str | None = when_known()

    def turns_to(self, last_row: int, turn: Turn) -> tuple[Turn, ...]:
        """(rows,) when a colour that changes at the turn into each row comes in. turn: of those
        that are not made."""
        turns = [turn] * last_row
        for stretch in self.turns:
            turns[stretch.row - 1 : self.row] = [stretch.turn] * (self.row - stretch.row + 1)
        return tuple(turns)

    @property
    def words(self) -> str:
        """ "rows 1 to 40", "rows 1 to 56 and 3 runs of row 57"."""
        whole = self.row if self.run is None else self.row - 1
        rows = "row 1" if whole == 1 else f"rows 1 to {whole}"
        if self.run is None:
            return rows
        runs = f"{say_count(self.run, 'run')} of row {self.row}"
        return f"{rows} and {runs}" if whole else runs

    @property
    def are_made(self) -> str:
        """ "row 1 is made", "rows 1 to 40 are made"."""
        alone = (self.row, self.run) == (1, None) or (self.row == 1 and self.run == 1)
        return f"{self.words} {'is' if alone else 'are'} made"


def runs_made(runs: Runs, row: int, run: int | None) -> int:
    """How many runs are worked. Raises BadInput for a row or run that is not in the piece."""
    if row > runs.rows:
        raise BadInput(f"the piece has {say_count(runs.rows, 'row')}")
    first, last = runs.first_and_last(row)
    if run is None:
        return last + 1
    if run > last - first + 1:
        raise BadInput(f"row {row} has {say_count(last - first + 1, 'run')}")
    return first + run


def print_of(runs: Runs, worked: int) -> str:
    """Tells whether the first runs of a piece are still the same, whatever numbers yarns have."""
    _, first, which = np.unique(runs.color[:worked], return_index=True, return_inverse=True)
    by_use = first[which.ravel()]
    both = np.stack([by_use, runs.row[:worked], runs.blocks[:worked]])
    return hashlib.sha256(both.astype("<i8").tobytes()).hexdigest()[:16]


def begun_of(done: MadeRows, runs: Runs) -> Begun:
    """The runs that are worked and the strands they lie on.

    Raises BadInput where these are not of this piece.
    """
    try:
        worked = runs_made(runs, done.row, done.run)
    except BadInput as error:
        raise error.within("done") from None
    if done.of is not None and done.of != print_of(runs, worked):
        raise BadInput(f"{done.are_made} and stay as they are: change later blocks alone")
    following = np.full(worked, NO_RUN, dtype=np.int64)
    firsts = []
    met = np.zeros(worked, dtype=np.int64)
    for strand in done.strands:
        path = _runs_of(strand, runs, worked)
        following[path[:-1]] = path[1:]
        met[path] += 1
        firsts.append(int(path[0]))
    if (met != 1).any():
        run = int(np.flatnonzero(met != 1)[0])
        place = f"{runs.row[run]}.{runs.number[run]}"
        raise BadInput(f"done: run {place} lies on {met[run]} strands, not on one")
    order = sorted(range(len(firsts)), key=firsts.__getitem__)
    strands = [done.strands[i] for i in order]
    return Begun(
        following=following,
        numbers=np.array([strand.number or NO_BOBBIN for strand in strands], dtype=np.int64),
        hangs=np.array([strand.hangs for strand in strands], dtype=bool),
        cut=np.array([strand.cut or 0 for strand in strands], dtype=np.int64),
        next_row=min(done.row + 1, runs.rows),
    )


def _runs_of(strand: MadeStrand, runs: Runs, worked: int) -> Ints:
    """The runs of a strand, from 0. Raises BadInput where they are not the piece's."""
    path = []
    for place in strand.path.split():
        row, number = map(int, place.split("."))
        run = int(runs.row_starts[row - 1]) + number - 1 if row <= runs.rows else worked
        if run >= worked or number > len(runs.of_row(row)) or runs.color[run] != strand.yarn:
            raise BadInput(
                f"done: a strand of yarn {strand.yarn} works run {place}, which is none of its "
                "yarn that is made"
            )
        path.append(run)
    ended = strand.cut is not None or not strand.hangs
    alone = len(path) == 1 and strand.cut is None and not strand.hangs
    if any(one >= other for one, other in pairwise(path)) or (
        (strand.number is None) != alone or (strand.cut is not None and strand.hangs)
    ):
        what = "ends" if ended else "hangs"
        raise BadInput(f"done: the strand {strand.path} {what} with no number that fits it")
    return np.array(path, dtype=np.int64)
