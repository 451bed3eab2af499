"""A plan of strands: how the runs of a piece hang together, and the numbers of its bobbins."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from functools import cached_property
from heapq import heappop, heappush

import numpy as np
from numpy.typing import NDArray

from pix2block.craft.diagonal import Ints
from pix2block.craft.runs import Runs

NO_BOBBIN = 0  # a strand that works one run alone needs no number


@dataclass(frozen=True, eq=False)
class BobbinNumbers:
    """of_strand: (strands,) the number of each strand's bobbin from 1, 0 where it works one run
    alone. only_one: (runs,) whether the run's bobbin was begun before and is the only one of its
    yarn that hangs or is in hand."""

    of_strand: Ints
    only_one: NDArray[np.bool_]


def number_bobbins(
    color: Ints, row: Ints, strand: Ints, preceding: Ints, following: Ints
) -> BobbinNumbers:
    """The number of every strand's bobbin: the lowest that no earlier strand of its yarn bears
    whose last row is the one before or later.

    So numbers stay small, and one rests for a row before it is used again: nobody takes up the end
    that was just cut.

    color, row: (runs,) the yarn and the row of each run; strand, preceding, following: (runs,) as
    a plan has them.
    """
    of_strand = np.full(int(np.count_nonzero(preceding < 0)), NO_BOBBIN, dtype=np.int64)
    only_one = np.zeros(len(color), dtype=bool)
    before, after, strands = preceding.tolist(), following.tolist(), strand.tolist()
    yarns = [_Numbers() for _ in range(int(color.max(initial=-1)) + 1)]
    for run, (yarn, at) in enumerate(zip(color.tolist(), row.tolist(), strict=True)):
        new, last = before[run] < 0, after[run] < 0
        if new and last:
            continue
        numbers = yarns[yarn]
        if new:
            of_strand[strands[run]] = numbers.start(at)
        else:
            only_one[run] = numbers.hanging == 1
        if last:
            numbers.end(int(of_strand[strands[run]]), at)
    return BobbinNumbers(of_strand, only_one)


class _Numbers:
    """The numbers of one yarn. hanging: how many are in use; free: a heap of those that were used
    and may be again; resting: (last row, number), in the order in which they ended."""

    def __init__(self) -> None:
        self.hanging = 0
        self.highest = 0
        self.free: list[int] = []
        self.resting: deque[tuple[int, int]] = deque()

    def start(self, row: int) -> int:
        """The number of a strand that starts in a row."""
        while self.resting and self.resting[0][0] < row - 1:
            heappush(self.free, self.resting.popleft()[1])
        self.hanging += 1
        if self.free:
            return heappop(self.free)
        self.highest += 1
        return self.highest

    def end(self, number: int, row: int) -> None:
        """A strand ends in a row."""
        self.hanging -= 1
        self.resting.append((row, number))


@dataclass(frozen=True, eq=False)
class StrandPlan:
    """How the runs hang together.

    following: (runs,) the next run on the same strand, -1 at a strand's end; preceding: the one
    before, -1 at its start; float_squares: (runs,) squared length in block sides of the float
    that leads to the run, 0 at a strand's start; strand: (runs,) its strand, numbered from 0 by
    first run.
    """

    runs: Runs
    following: Ints
    preceding: Ints
    float_squares: Ints
    strand: Ints

    def __repr__(self) -> str:
        return f"StrandPlan({self.strands} strands, {self.tails} tails)"

    @property
    def strands(self) -> int:
        """How many strands there are."""
        return int(np.count_nonzero(self.preceding < 0))

    @property
    def tails(self) -> int:
        """Two a strand."""
        return 2 * self.strands

    @property
    def floats(self) -> int:
        """Links whose yarn lies over some distance."""
        return int(np.count_nonzero(self.float_squares))

    @cached_property
    def float_sides(self) -> NDArray[np.float64]:
        """(runs,) length in block sides of the float that leads to each run."""
        return np.sqrt(self.float_squares)

    @cached_property
    def first_runs(self) -> Ints:
        """(strands,) the run each strand starts with."""
        return np.flatnonzero(self.preceding < 0)

    @cached_property
    def last_runs(self) -> Ints:
        """(strands,) the run each strand ends with."""
        ends = np.flatnonzero(self.following < 0)
        return ends[np.argsort(self.strand[ends], kind="stable")]

    @cached_property
    def paths(self) -> tuple[tuple[int, ...], ...]:
        """The runs of every strand, in working order."""
        paths: list[list[int]] = [[] for _ in range(self.strands)]
        for run, strand in enumerate(self.strand.tolist()):
            paths[strand].append(run)
        return tuple(tuple(p) for p in paths)

    @cached_property
    def bobbins(self) -> BobbinNumbers:
        """The number of each strand's bobbin."""
        runs = self.runs
        return number_bobbins(runs.color, runs.row, self.strand, self.preceding, self.following)

    @cached_property
    def tails_by_row(self) -> Ints:
        """(rows,) strand starts and strand ends in each row."""
        row = self.runs.row
        ends = np.concatenate([row[self.first_runs], row[self.last_runs]])
        return np.bincount(ends - 1, minlength=self.runs.rows)

    @cached_property
    def attached_by_row(self) -> Ints:
        """(rows,) strands with a run in this row or before and one in this row or after."""
        row = self.runs.row
        change = np.zeros(self.runs.rows + 1, dtype=np.int64)
        np.add.at(change, row[self.first_runs] - 1, 1)
        np.add.at(change, row[self.last_runs], -1)
        return np.cumsum(change)[:-1]
