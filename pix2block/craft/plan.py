"""A plan of strands: how the runs of a piece hang together, and the numbers of its bobbins.

Of a piece that is begun, the runs that are worked keep their strands and their bobbins' numbers;
those that hang may go on. One that hangs and does not is cut in the row after, where it ends.
"""

from __future__ import annotations

from collections import defaultdict, deque
from functools import cached_property
from heapq import heappop, heappush

import numpy as np
from numpy.typing import NDArray

from pix2block.craft.diagonal import Ints
from pix2block.craft.runs import Runs
from pix2block.ground.frozen import dataclass

NO_RUN = -1  # before a strand's first run and behind its last
NO_BOBBIN = 0  # a strand that works one run alone needs no number


@dataclass(frozen=True, eq=False)
class BobbinNumbers:
    """of_strand: (strands,) the number of each strand's bobbin from 1, 0 where it works one run
    alone. only_one: (runs,) whether the run's bobbin was begun before and is the only one of its
    yarn that hangs or is in hand."""

    of_strand: Ints
    only_one: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Begun:
    """The runs of a piece that are worked, the first ones, and the strands they lie on.

    following: (runs worked,) the next worked run on the same strand, -1 at its end; numbers:
    (strands begun,) the number of each one's bobbin; hangs: (strands begun,) whether it hangs; cut:
    (strands begun,) the row in which one that hung was cut since, 0 of the others; next_row: the
    row in which one that hangs is cut where it does not go on: the one after those that are begun,
    or the last one.
    """

    following: Ints
    numbers: Ints
    hangs: NDArray[np.bool_]
    cut: Ints
    next_row: int

    @property
    def runs(self) -> int:
        """How many runs are worked."""
        return len(self.following)

    @cached_property
    def strand(self) -> Ints:
        """(runs worked,) the strand of each, numbered from 0 by first run."""
        return number_strands(self.preceding)

    @cached_property
    def preceding(self) -> Ints:
        """(runs worked,) the run before on the same strand, -1 at its start."""
        before = np.full(self.runs, NO_RUN, dtype=np.int64)
        goes_on = np.flatnonzero(self.following != NO_RUN)
        before[self.following[goes_on]] = goes_on
        return before

    def may_lead(self, u: Ints, v: Ints) -> NDArray[np.bool_]:
        """(links,) whether yarn may still go from runs u to runs v: to one that is not worked, from
        another or from where a strand hangs."""
        hangs = (self.following == NO_RUN) & self.hangs[self.strand]
        from_here = u >= self.runs
        from_here[~from_here] = hangs[u[~from_here]]
        return from_here & (v >= self.runs)


def number_strands(preceding: Ints) -> Ints:
    """Strands numbered from 0 by first run; a run's predecessor always comes before it."""
    numbers: list[int] = []
    count = 0
    for before in preceding.tolist():
        if before == NO_RUN:
            numbers.append(count)
            count += 1
        else:
            numbers.append(numbers[before])
    return np.array(numbers, dtype=np.int64)


def number_bobbins(plan: StrandPlan) -> BobbinNumbers:
    """The number of every strand's bobbin: the one it was given, or the lowest that no earlier
    strand of its yarn bears whose last row is the one before or later.

    So numbers stay small, and one rests for a row before it is used again: nobody takes up the end
    that was just cut.
    """
    color, row = plan.runs.color.tolist(), plan.runs.row.tolist()
    of_strand = np.full(plan.strands, NO_BOBBIN, dtype=np.int64)
    given = len(plan.begun.numbers) if plan.begun else 0
    if plan.begun:
        of_strand[:given] = plan.begun.numbers
    only_one = np.zeros(len(color), dtype=bool)
    before, ends, strands = plan.preceding.tolist(), plan.ends.tolist(), plan.strand.tolist()
    yarns: defaultdict[int, _Numbers] = defaultdict(_Numbers)
    cuts = {**plan.cuts}
    for run, yarn in enumerate(color):
        at, strand, numbers = row[run], strands[run], yarns[yarn]
        for cut in cuts.pop(at, ()):
            yarns[color[plan.first_runs[cut]]].end(int(of_strand[cut]), at)
        new, last = before[run] == NO_RUN, ends[run]
        if new and last:
            continue
        if new and strand < given:
            numbers.bear(int(of_strand[strand]))
        elif new:
            of_strand[strand] = numbers.start(at)
        else:
            only_one[run] = numbers.hanging == 1
        if last:
            numbers.end(int(of_strand[strand]), at)
    return BobbinNumbers(of_strand, only_one)


class _Numbers:
    """The numbers of one yarn. hanging: how many are in use; free: a heap of those below `highest`
    that may be used; resting: (last row, number), in the order in which they ended."""

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

    def bear(self, number: int) -> None:
        """A strand starts with a number that it was given."""
        self.hanging += 1
        for skipped in range(self.highest + 1, number):
            heappush(self.free, skipped)
        self.highest = max(self.highest, number)
        self.free = sorted(one for one in self.free if one != number)
        self.resting = deque(one for one in self.resting if one[1] != number)

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
    first run; begun: what is worked already of it, None of a piece that is not begun.
    """

    runs: Runs
    following: Ints
    preceding: Ints
    float_squares: Ints
    strand: Ints
    begun: Begun | None = None

    def __repr__(self) -> str:
        return f"StrandPlan({self.strands} strands, {self.tails} tails)"

    @property
    def strands(self) -> int:
        """How many strands there are."""
        return int(np.count_nonzero(self.preceding == NO_RUN))

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
        return np.flatnonzero(self.preceding == NO_RUN)

    @cached_property
    def last_runs(self) -> Ints:
        """(strands,) the run each strand ends with."""
        ends = np.flatnonzero(self.following == NO_RUN)
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
        return number_bobbins(self)

    @cached_property
    def end_rows(self) -> Ints:
        """(strands,) the row in which each one ends: that of its last run, or where it is cut."""
        rows, begun = self.runs.row[self.last_runs], self.begun
        if begun is None:
            return rows
        of_begun = rows[: len(begun.hangs)]
        of_begun[begun.hangs & (self.last_runs[: len(of_begun)] < begun.runs)] = begun.next_row
        np.maximum(of_begun, begun.cut, out=of_begun)
        return rows

    @cached_property
    def cuts(self) -> dict[int, tuple[int, ...]]:
        """By row, the strands that hung and are cut at its beginning: by yarn, then by number."""
        if self.begun is None:
            return {}
        cut = np.flatnonzero(self.end_rows > self.runs.row[self.last_runs])
        yarns, numbers = self.runs.color[self.first_runs[cut]], self.begun.numbers[cut]
        by_row: dict[int, tuple[int, ...]] = {}
        for strand in cut[np.lexsort((numbers, yarns))].tolist():
            row = int(self.end_rows[strand])
            by_row[row] = (*by_row.get(row, ()), strand)
        return by_row

    @cached_property
    def ends(self) -> NDArray[np.bool_]:
        """(runs,) whether a strand ends as soon as the run is worked."""
        ends: NDArray[np.bool_] = self.following == NO_RUN
        ends[[self.last_runs[strand] for cut in self.cuts.values() for strand in cut]] = False
        return ends

    @cached_property
    def tails_by_row(self) -> Ints:
        """(rows,) strand starts and strand ends in each row."""
        ends = np.concatenate([self.runs.row[self.first_runs], self.end_rows])
        return np.bincount(ends - 1, minlength=self.runs.rows)

    @cached_property
    def attached_by_row(self) -> Ints:
        """(rows,) strands that start in this row or before and end in this row or after."""
        change = np.zeros(self.runs.rows + 1, dtype=np.int64)
        np.add.at(change, self.runs.row[self.first_runs] - 1, 1)
        np.add.at(change, self.end_rows, -1)
        return np.cumsum(change)[:-1]
