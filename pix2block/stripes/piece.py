"""A piece whose rows are each of one yarn: what its rows take, and whether the yarn can reach."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from functools import cached_property

import numpy as np

from pix2block.amounts.measures import measures_of
from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.color.spaces import Floats
from pix2block.craft.diagonal import Flags, Ints, Layout
from pix2block.craft.runs import Runs
from pix2block.craft.stitches import BLOCKS, LOOPS, count_stitches, loops_by_run
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import BlockKind
from pix2block.stripes.yarn_ends import short_yarns


@dataclass(frozen=True, eq=False)
class Piece:
    """A layout to be filled with rows of yarns.

    chart: any chart that holds the yarns and the way of working; layout: the piece's own; bought:
    yarns of which more can be had.
    """

    chart: Chart
    layout: Layout
    bought: frozenset[int] = frozenset()

    @property
    def may_be(self) -> bool:
        """Whether a piece of this layout can be made at all."""
        return True

    @property
    def begun(self) -> Ints:
        """(rows made,) yarn of each row that is made already: none of a piece not yet begun."""
        return np.zeros(0, dtype=np.int64)

    def starts_with(self, rows: Ints) -> bool:
        """Whether these rows are those that are made, as far as both go."""
        both = min(len(rows), len(self.begun))
        return bool((rows[:both] == self.begun[:both]).all())

    @property
    def rows(self) -> int:
        """Rows of the piece."""
        return self.layout.last_row

    @cached_property
    def row_loops(self) -> Ints:
        """(rows,) loops of each row, whatever its yarn: a row is one run, so the stitches at a turn
        go to the one or the other whole row."""
        blocks = self.layout.row_blocks
        numbers = np.arange(1, self.rows + 1)
        ones = np.ones(self.rows, dtype=np.int64)
        starts = np.cumsum(blocks) - blocks
        runs = Runs(numbers, ones, np.zeros_like(ones), blocks, starts, self.rows)
        return loops_by_run(runs, self.layout, self.chart.block, [self.chart.turn] * self.rows)

    @cached_property
    def loop_cm(self) -> Floats:
        """(yarns,) length of a loop, held double twice."""
        held = np.array([yarn.held for yarn in self.chart.yarns])
        return np.asarray(np.array(measures_of(self.chart).loop_cm) * held)

    @cached_property
    def row_metres(self) -> Floats:
        """(yarns, rows) metres of each row in each yarn, without tails: the likely figure."""
        return np.asarray(self.loop_cm[:, None] * self.row_loops / 100)

    @cached_property
    def high(self) -> Floats:
        """(yarns,) the upper end of a length as a factor."""
        return np.array([band[1] for band in measures_of(self.chart).bands])

    @cached_property
    def stock_cm(self) -> Floats:
        """(yarns,) what is on hand, endless where that is unknown or more can be had."""
        metres = [yarn.on_hand_m for yarn in self.chart.yarns]
        return np.array(
            [np.inf if m is None or i in self.bought else 100 * m for i, m in enumerate(metres)]
        )

    @cached_property
    def tails_cm(self) -> Floats:
        """(yarns,) the two tails of a strand."""
        held = np.array([yarn.held for yarn in self.chart.yarns])
        return np.asarray(2 * self.chart.tail_cm * held, dtype=np.float64)

    @cached_property
    def loops_after(self) -> Ints:
        """(rows + 1,) loops of the rows after so many."""
        return np.append(np.cumsum(self.row_loops[::-1])[::-1], 0)

    def least_cm(self, rows: Ints) -> Floats:
        """(rows so far + 1, yarns) less than this, at the upper end, no plan of strands takes for
        so many of these rows.

        rows: (rows so far,) yarn of each. A strand cannot bridge more rows than the habit allows.
        """
        yarns = np.arange(len(self.chart.yarns))
        mine = rows[:, None] == yarns
        starts = mine & self._strand_starts(rows)[:, None]
        loops = self.row_loops[: len(rows), None] * mine
        cm = (loops * self.loop_cm + starts * self.tails_cm) * self.high
        return np.concatenate([np.zeros((1, len(yarns))), np.cumsum(cm, axis=0)])

    def _strand_starts(self, rows: Ints) -> Flags:
        """(rows,) whether the row is too far from the last one of its yarn for any strand."""
        order = np.argsort(rows, kind="stable")
        starts = np.ones(len(rows), dtype=bool)
        farthest = max(self.chart.habit.rest, self.chart.habit.edge)
        starts[order[1:]] = (np.diff(order) > farthest) | (np.diff(rows[order]) != 0)
        return starts

    def may_reach(self, least_cm: Floats) -> Flags:
        """Where the yarn may reach. least_cm: (…, yarns) as from `least_cm`."""
        return np.asarray((least_cm <= self.stock_cm * (1 + 1e-9)).all(axis=-1))

    def may_be_short(self, rows: Ints, yarn: int) -> Flags:
        """(rows so far + 1,) False where there is surely enough of a yarn for so many of these
        rows. rows: (rows so far,) yarn of each."""
        chart, mine = self.chart, rows == yarn
        starts = mine & np.diff(mine, prepend=False)
        skeins = chart.yarns[yarn].skeins or 0
        farthest = max(chart.habit.rest, chart.habit.edge) * measures_of(chart).block_cm
        a_start = self.tails_cm[yarn] + farthest * chart.yarns[yarn].held
        cm = self.row_loops[: len(rows)] * mine * self.loop_cm[yarn] + starts * a_start
        so_far = np.append(0, np.cumsum(cm)) + np.ceil(skeins) * self.tails_cm[yarn]
        high = self.high[yarn] * (1 + chart.reserve / 100)
        return np.asarray(so_far * high > self.stock_cm[yarn])

    def is_short(self, rows: Ints, yarn: int) -> bool:
        """Whether a yarn does not reach for a piece of these rows, by the figures of its
        reports."""
        return yarn in short_yarns(amounts_of(striped(self.chart, self.layout, rows)), self.bought)

    def may_be_closed(self, least_cm: Floats, after: Ints, yarns: Collection[int]) -> Flags:
        """(n,) False where these yarns together hold too little for all rows still to come.

        least_cm: (n, yarns) taken so far, after: (n,) rows so far.
        """
        with_yarns = list(yarns)
        left = (self.stock_cm - least_cm)[:, with_yarns].sum(axis=1)
        cheapest = (self.loop_cm * self.high)[with_yarns].min()
        return np.asarray(self.loops_after[after] * cheapest <= left + 1e-6)

    def least_of_ends_cm(self, after: Ints, end: Ints) -> Floats:
        """(n, yarns) less than this, at the upper end, an end takes that begins after so many rows.

        after: (n,) rows before it; end: (at least as many rows as are left,) yarn of each of its
        rows, the same wherever it begins. Its first stripe of each yarn may go on in a strand that
        is there already.
        """
        rows = self.rows - int(after.min())
        yarns = np.arange(len(self.chart.yarns))
        mine = end[:rows, None] == yarns
        starts = np.cumsum(mine & self._strand_starts(end[:rows])[:, None], axis=0)
        counted = np.maximum(np.concatenate([np.zeros((1, len(yarns))), starts - 1]), 0)
        tails = counted[self.rows - after] * self.tails_cm
        loops = _sums_from_each(self.row_loops, mine)[after]
        return np.asarray((loops * self.loop_cm + tails) * self.high)

    def reaches(self, rows: Ints) -> bool:
        """Whether no yarn is short, for the whole piece, by the figures of its reports."""
        if not self.may_reach(self.least_cm(rows)[-1]):
            return False
        return not short_yarns(amounts_of(striped(self.chart, self.layout, rows)), self.bought)


def _sums_from_each(numbers: Ints, taken: Flags) -> Floats:
    """(n + 1, kinds) what each kind takes together of the numbers from each one on; 0 after them.

    numbers: (n,); taken: (at most n, kinds) whether a kind takes the first from there, the second …
    By a cyclic correlation, whose whole numbers rounding brings back exactly.
    """
    size = 1 << (len(numbers) + len(taken)).bit_length()
    of_numbers = np.fft.rfft(numbers, size)[:, None]
    of_taken = np.fft.rfft(taken.astype(np.float64), size, axis=0)
    sums = np.fft.irfft(of_numbers * of_taken.conj(), size, axis=0)
    return np.asarray(np.rint(sums[: len(numbers) + 1]))


def striped(chart: Chart, layout: Layout, rows: Ints) -> Chart:
    """A chart whose rows each have one yarn. rows: (rows,) yarn of each."""
    numbers = layout.row_numbers()
    exists = numbers <= layout.last_row
    blocks = np.where(exists, rows[np.minimum(numbers, layout.last_row) - 1], NO_BLOCK)
    return replace(chart, blocks=blocks.astype(np.int64), last_row=layout.last_row)


def block_loops(kind: BlockKind) -> int:
    """Loops of a block on a block, its joining slip stitch included."""
    one, two = (count_stitches(kind, "travel", "full", blocks) for blocks in (1, 2))
    tall = (two.tall - one.tall) * LOOPS[BLOCKS[kind].stitch]
    return (two.ch - one.ch) * LOOPS["ch"] + tall + (two.slip - one.slip) * LOOPS["sl st"]
