"""What a piece takes: metres, grams and skeins of each yarn, joins, hours.

A colour's length is its loops x the length of a loop + its floats x the block's side + its tails
x the tail's length; yarn held double takes twice the metres, tails too. Each join adds two tail
lengths. Grams without a shelf's figures rest on a typical yarn of the class: a guess.
"""

from __future__ import annotations

from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.amounts.bobbins import Bobbin, bobbins_of
from pix2block.amounts.border import BorderAmount, border_of
from pix2block.amounts.endings import Ending, chosen_ending, endings_of
from pix2block.amounts.measures import (
    Measures,
    finished_size_cm,
    measures_of,
    wingspan_depth_cm,
)
from pix2block.chart.chart import Chart
from pix2block.craft.diagonal import Ints
from pix2block.craft.plan import NO_RUN, StrandPlan
from pix2block.craft.stitches import loops_by_run
from pix2block.craft.tails import Tails, find_tails
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import added_up


@dataclass(frozen=True)
class YarnAmount:
    """One yarn's share of the piece. What is not known is None.

    metres: with the border's, for which border_metres; metres_high: with the reserve. skeins: whole
    ones for metres_high; to_buy: beyond what is on hand, all of them where that is unknown; cost:
    of those; worth: of the yarn that is likely used.
    """

    blocks: int
    share: float
    strands: int
    tails: int
    joins: int | None
    loops: int
    float_sides: float
    metres: float
    metres_low: float
    metres_high: float
    border_metres: float
    grams: float
    grams_guessed: bool
    skeins: int | None
    skeins_likely: float | None
    on_hand: float | None
    short_by: float | None
    leftover: float | None
    to_buy: int | None
    cost: float | None
    worth: float | None


@dataclass(frozen=True, eq=False)
class Amounts:
    """What a chart takes. Arrays are in the plan's order.

    run_joins: (runs,) joins that fall in each run; joins_known: (yarns,) whether the metres of a
    skein are known, or no joins can be; strand_metres: (strands,) tails and joins included;
    piece_cm: (runs,) yarn of each run, with the float that leads to it and its strand's tails,
    before joins.
    """

    chart: Chart
    plan: StrandPlan
    measures: Measures
    run_loops: Ints
    run_joins: Ints
    joins_known: NDArray[np.bool_]
    strand_metres: NDArray[np.float64]
    piece_cm: NDArray[np.float64]
    border: BorderAmount | None
    yarns: tuple[YarnAmount, ...]

    def __repr__(self) -> str:
        return f"Amounts({self.metres:.0f} m, {self.hours:.1f} hours, {self.plan.tails} tails)"

    @property
    def metres(self) -> float:
        """All yarn, tails, joins and border included."""
        return added_up(yarn.metres for yarn in self.yarns)

    @property
    def joins(self) -> int | None:
        """All joins, None where those of a yarn are unknown."""
        known = [yarn.joins for yarn in self.yarns]
        return None if None in known else sum(j for j in known if j is not None)

    @cached_property
    def changes_by_row(self) -> Ints:
        """(rows,) colour changes in each row, the one at its turn included."""
        return self.chart.runs.changes_in_rows + self.chart.runs.changes_at_turns

    @cached_property
    def minutes_by_row(self) -> NDArray[np.float64]:
        """(rows,) minutes of blocks and changes."""
        blocks = np.array([row.blocks for row in self.chart.layout])
        pace = self.chart.pace
        return np.asarray(blocks * pace.block + self.changes_by_row * pace.change)

    @property
    def hours(self) -> float:
        """Hours of blocks and changes, without weaving in."""
        return float(self.minutes_by_row.sum()) / 60

    @property
    def weave_in_hours(self) -> float:
        """Hours of ending tails the chosen way."""
        return self.ending.hours

    @cached_property
    def endings(self) -> tuple[Ending, ...]:
        """Every way of ending the tails, two more a join; unknown joins count as none."""
        joins = int(self.run_joins.sum())
        return endings_of(self.tails, self.chart.pace, joins)

    @property
    def ending(self) -> Ending:
        """The chosen way of ending the tails."""
        return chosen_ending(self.chart.tail_ending, self.endings)

    @cached_property
    def tails(self) -> Tails:
        """Every tail of strands, and where it lies."""
        return find_tails(self.plan, self.chart.layout)

    @cached_property
    def bobbins(self) -> tuple[Bobbin, ...]:
        """Every strand as a bobbin, in working order of their first runs."""
        skeins = [yarn.metres for yarn in self.chart.yarns]
        return bobbins_of(self.plan, self.strand_metres, self.chart.butterfly_m, skeins)

    @property
    def finished_size_cm(self) -> tuple[float, float]:
        """Width and height of the blocks that exist, without a border."""
        return finished_size_cm(self.chart, self.measures.block_cm)

    @property
    def whole_size_cm(self) -> tuple[float, float]:
        """Width and height with the border, where there is one."""
        added = self.border.added_cm if self.border else 0.0
        width, height = self.finished_size_cm
        return width + added, height + added

    @property
    def wingspan_depth_cm(self) -> tuple[float, float] | None:
        """Of a triangle its last row from tip to tip, and its depth, without a border; None of
        other pieces."""
        return wingspan_depth_cm(self.chart, self.measures.block_cm)

    def joins_of_runs(self, runs: range | tuple[int, ...]) -> int | None:
        """Joins in these runs, None where those of one's yarn are unknown."""
        index = np.array(runs)
        if not self.joins_known[self.chart.runs.color[index]].all():
            return None
        return int(self.run_joins[index].sum())


def amounts_of(chart: Chart, plan: StrandPlan | None = None) -> Amounts:
    """What a chart takes, worked with a plan of its strands (by default the best for its habit)."""
    runs = chart.runs
    plan = plan or chart.plan
    measures = measures_of(chart)
    loops = loops_by_run(runs, chart.layout, chart.block, chart.turns)
    held = np.array([yarn.held for yarn in chart.yarns])
    loop_cm = np.array(measures.loop_cm)
    starts = plan.preceding == NO_RUN
    ends = plan.following == NO_RUN
    tail_cm = chart.tail_cm * held[runs.color]
    piece_cm = held[runs.color] * (
        loops * loop_cm[runs.color] + plan.float_sides * measures.block_cm
    ) + tail_cm * (starts.astype(np.int64) + ends)

    run_joins = np.zeros(len(runs), dtype=np.int64)
    joins_known = np.ones(len(chart.yarns), dtype=bool)
    by_strand = np.lexsort((np.arange(len(runs)), plan.strand))
    for number, yarn in enumerate(chart.yarns):
        pieces = by_strand[runs.color[by_strand] == number]
        if len(pieces) == 0:
            continue
        joins = yarn.joins(piece_cm[pieces], plan.strand[pieces])
        joins_known[number] = joins is not None
        run_joins[pieces] = 0 if joins is None else joins
    run_metres = (piece_cm + 2 * tail_cm * run_joins) / 100
    of_border = runs.color == (chart.border.yarn if chart.border else -1)
    border = border_of(chart, measures, float(piece_cm[of_border].sum()))
    return Amounts(
        chart=chart,
        plan=plan,
        measures=measures,
        run_loops=loops,
        run_joins=run_joins,
        joins_known=joins_known,
        strand_metres=np.bincount(plan.strand, weights=run_metres).astype(np.float64),
        piece_cm=piece_cm,
        border=border,
        yarns=_by_yarn(chart, plan, measures, loops, run_metres, run_joins, joins_known, border),
    )


def _by_yarn(
    chart: Chart,
    plan: StrandPlan,
    measures: Measures,
    loops: Ints,
    run_metres: NDArray[np.float64],
    run_joins: Ints,
    joins_known: NDArray[np.bool_],
    border: BorderAmount | None,
) -> tuple[YarnAmount, ...]:
    count = len(chart.yarns)
    color = chart.runs.color

    def total(of_runs: NDArray[Any]) -> list[float]:
        return [float(t) for t in np.bincount(color, weights=of_runs, minlength=count)]

    blocks = chart.blocks_by_yarn.tolist()
    all_blocks = sum(blocks)
    strands, joins = total(plan.preceding == NO_RUN), total(run_joins)
    yarn_loops, sides, metres = total(loops), total(plan.float_sides), total(run_metres)
    around = [0.0] * count
    if border:
        around[border.border.yarn] = border.metres
        metres[border.border.yarn] += border.metres
    amounts = []
    for i, yarn in enumerate(chart.yarns):
        low, high = (metres[i] * factor for factor in measures.bands[i])
        high *= 1 + chart.reserve / 100
        stock = yarn.on_hand_m
        to_buy = yarn.skeins_for(high - (stock or 0))
        priced = yarn.price is not None and yarn.metres is not None
        amounts.append(
            YarnAmount(
                blocks=blocks[i],
                share=blocks[i] / all_blocks,
                strands=int(strands[i]),
                tails=2 * int(strands[i]),
                joins=int(joins[i]) if joins_known[i] else None,
                loops=int(yarn_loops[i]),
                float_sides=sides[i],
                metres=metres[i],
                metres_low=low,
                metres_high=high,
                border_metres=around[i],
                grams=yarn.grams_of(metres[i], chart.weight),
                grams_guessed=yarn.grams is None or yarn.metres is None,
                skeins=yarn.skeins_for(high),
                skeins_likely=metres[i] / yarn.metres if yarn.metres else None,
                on_hand=yarn.skeins,
                short_by=None if stock is None else max(0.0, high - stock),
                leftover=None if stock is None else max(0.0, stock - high),
                to_buy=to_buy,
                cost=to_buy * (yarn.price or 0) if priced and to_buy is not None else None,
                worth=(yarn.price or 0) * metres[i] / (yarn.metres or 1) if priced else None,
            )
        )
    return tuple(amounts)
