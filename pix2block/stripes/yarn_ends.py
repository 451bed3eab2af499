"""Does the yarn reach? What is on hand beside the upper end of the need, tails, joins and all."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from pix2block.amounts.yarn_use import Amounts
from pix2block.ground.frozen import dataclass

_SAME_M = 1e-9


def short_yarns(amounts: Amounts, bought: Collection[int] = ()) -> tuple[int, ...]:
    """Numbers of the yarns of which the upper end of the need is more than is on hand.

    bought: yarns of which more can be had, never short.
    """
    return tuple(
        i
        for i, amount in enumerate(amounts.yarns)
        if i not in bought and amount.short_by is not None and amount.short_by > _SAME_M
    )


@dataclass(frozen=True)
class YarnEnd:
    """Where a yarn of a piece ends, and what is left of it.

    last_row: its last row; on_hand_m, left_m, left_likely_m: metres, None where unknown; left_m is
    what is left at the upper end of the need; out_in_row: the row in which it runs out before that,
    None where it reaches.
    """

    yarn: int
    last_row: int
    on_hand_m: float | None
    left_m: float | None
    left_likely_m: float | None
    out_in_row: int | None


def yarn_ends(amounts: Amounts) -> tuple[YarnEnd, ...]:
    """Every yarn that the piece uses, by the row where it ends."""
    runs = amounts.chart.runs
    ends = []
    for number, (yarn, amount) in enumerate(zip(amounts.chart.yarns, amounts.yarns, strict=True)):
        if not amount.blocks:
            continue
        stock = yarn.on_hand_m
        ends.append(
            YarnEnd(
                yarn=number,
                last_row=int(runs.row[runs.color == number].max()),
                on_hand_m=stock,
                left_m=None if stock is None else stock - amount.metres_high,
                left_likely_m=None if stock is None else stock - amount.metres,
                out_in_row=out_in_row(amounts, number),
            )
        )
    return tuple(sorted(ends, key=lambda end: (end.last_row, end.yarn)))


def out_in_row(amounts: Amounts, number: int) -> int | None:
    """The row in which a yarn runs out at the upper end of its need, its strands coming off the
    skeins in order; None where it reaches, or where what is on hand is unknown."""
    amount, stock = amounts.yarns[number], amounts.chart.yarns[number].on_hand_m
    if stock is None or not amount.short_by or amount.short_by <= _SAME_M:
        return None
    plan, runs = amounts.plan, amounts.chart.runs
    in_order = np.lexsort((np.arange(len(runs)), plan.strand))
    mine = in_order[runs.color[in_order] == number]
    # A strand's metres are shared among its runs by their loops: all but its two tails and floats.
    loops = amounts.run_loops[mine].astype(np.float64)
    of_strand = np.bincount(plan.strand[mine], weights=loops)[plan.strand[mine]]
    high = amount.metres_high / amount.metres
    metres = amounts.strand_metres[plan.strand[mine]] * loops / of_strand * high
    first_short = int(np.searchsorted(np.cumsum(metres), stock + _SAME_M))
    return int(runs.row[mine[min(first_short, len(mine) - 1)]])


def last_corner_m(amounts: Amounts) -> dict[int, float]:
    """Metres of each yarn, at the upper end, in the stitches of the rows that close the last
    corner; those that need none are left out."""
    chart, runs = amounts.chart, amounts.chart.runs
    closing = np.array([row.phase == "decrease" for row in chart.layout])[runs.row - 1]
    needs = {}
    for number, yarn in enumerate(chart.yarns):
        loops = int(amounts.run_loops[closing & (runs.color == number)].sum())
        if loops:
            cm = loops * amounts.measures.loop_cm[number] * yarn.held
            needs[number] = cm * amounts.measures.bands[number][1] / 100
    return needs
