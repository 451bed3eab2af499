"""A piece whose rows are each of one yarn: what its rows take, and whether the yarn can reach."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from pix2block.amounts.measures import measures_of
from pix2block.amounts.run_out import on_hand_m, short_yarns
from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.color.spaces import Floats
from pix2block.craft.diagonal import Ints, Layout
from pix2block.craft.runs import Runs
from pix2block.craft.stitches import BLOCKS, LOOPS, count_stitches, loops_by_run
from pix2block.ground.settings import BlockKind


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
    def rows(self) -> int:
        """Rows of the piece."""
        return self.layout.last_row

    @cached_property
    def row_loops(self) -> Ints:
        """(rows,) loops of each row, whatever its yarn: a row is one run, so the stitches at a turn
        go to the one or the other whole row."""
        blocks = np.array([row.blocks for row in self.layout], dtype=np.int64)
        numbers = np.arange(1, self.rows + 1)
        ones = np.ones(self.rows, dtype=np.int64)
        starts = np.cumsum(blocks) - blocks
        runs = Runs(numbers, ones, np.zeros_like(ones), blocks, starts, self.rows)
        return loops_by_run(runs, self.layout, self.chart.block, self.chart.turn)

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
        metres = [on_hand_m(yarn) for yarn in self.chart.yarns]
        return np.array(
            [np.inf if m is None or i in self.bought else 100 * m for i, m in enumerate(metres)]
        )

    def least_cm(self, rows: Ints) -> Floats:
        """(yarns,) less than this, at the upper end, no plan of strands takes for these rows.

        rows: (rows so far,) yarn of each. A strand cannot bridge more rows than the habit allows.
        """
        count = len(self.chart.yarns)
        loops = np.bincount(rows, weights=self.row_loops[: len(rows)], minlength=count)
        order = np.argsort(rows, kind="stable")
        apart = np.diff(order) > max(self.chart.habit.rest, self.chart.habit.edge)
        new = np.ones(len(rows), dtype=bool)
        new[1:] = apart | (np.diff(rows[order]) != 0)
        strands = np.bincount(rows[order], weights=new, minlength=count)
        held = np.array([yarn.held for yarn in self.chart.yarns])
        tails_cm = 2 * strands * self.chart.tail_cm * held
        return np.asarray((loops * self.loop_cm + tails_cm) * self.high)

    def may_reach(self, rows: Ints) -> bool:
        """False where the yarn cannot reach for these rows, whatever follows."""
        return bool((self.least_cm(rows) <= self.stock_cm * (1 + 1e-9)).all())

    def reaches(self, rows: Ints) -> bool:
        """Whether no yarn is short, for the whole piece, by the figures of its reports."""
        if not self.may_reach(rows):
            return False
        return not short_yarns(amounts_of(striped(self.chart, self.layout, rows)), self.bought)

    def cannot_be_closed(self, rows: Ints, with_yarns: Collection[int]) -> bool:
        """True where these yarns together hold too little for the rows that are still to come."""
        yarns = list(with_yarns)
        left = (self.stock_cm - self.least_cm(rows))[yarns].sum() if len(rows) else None
        left = self.stock_cm[yarns].sum() if left is None else left
        cheapest = (self.loop_cm * self.high)[yarns].min()
        return bool(self.row_loops[len(rows) :].sum() * cheapest > left * (1 + 1e-9))


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
