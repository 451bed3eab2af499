"""A yarn that steps in for one that runs out: which, from which row, and what the picture loses.

Only rows that are not begun change. A stand-in is of the same weight class and held alike, and its
own rest and what it takes over fit what there is of it, both at the most they may take; of these
the one nearest in CIEDE2000 to what the blocks show in the picture, or else to the yarn itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from pix2block.amounts.run_out import Forecast, RunOut
from pix2block.chart.chart import Chart
from pix2block.color.difference import difference_table
from pix2block.color.spaces import rgb_array
from pix2block.design.likeness import error_figures
from pix2block.ground.frozen import dataclass
from pix2block.yarn.yarn import Yarn, name_key


@dataclass(frozen=True)
class StandIn:
    """for_yarn: number of the yarn that runs out; yarn: the one that steps in; from_row; blocks it
    takes over; metres: at the most; difference: CIEDE2000 between the two; error_before,
    error_after: mean error of the whole picture, None where the picture is not known."""

    for_yarn: int
    yarn: Yarn
    from_row: int
    blocks: int
    metres: float
    difference: float
    error_before: float | None
    error_after: float | None


@dataclass(frozen=True, eq=False)
class Rescue:
    """stand_ins: those found; left_alone: numbers of yarns for which none was; chart: with them."""

    stand_ins: tuple[StandIn, ...]
    left_alone: tuple[int, ...]
    chart: Chart


def find_stand_ins(run_out: RunOut, shelf: Sequence[Yarn]) -> Rescue:
    """A stand-in for each short yarn, one after another, from the chart's and the shelf's yarns."""
    chart = run_out.amounts.chart
    room = _room(run_out, shelf)
    found, alone = [], []
    for one in run_out.yarns:
        if one.verdict != "short":
            continue
        stand_in, chart = _stand_in(run_out, one, chart, room)
        if stand_in is None:
            alone.append(one.yarn)
        else:
            found.append(stand_in)
            room[name_key(stand_in.yarn.name)] = (
                stand_in.yarn,
                room[name_key(stand_in.yarn.name)][1] - stand_in.metres,
            )
    return Rescue(tuple(found), tuple(alone), chart)


def _room(run_out: RunOut, shelf: Sequence[Yarn]) -> dict[str, tuple[Yarn, float]]:
    """Metres of each yarn that the piece does not need, by its name."""
    room: dict[str, tuple[Yarn, float]] = {}
    for yarn, one in zip(run_out.amounts.chart.yarns, run_out.yarns, strict=True):
        spare = 0.0 if one.left_m is None else one.left_m - one.need_high
        room[name_key(yarn.name)] = (yarn, spare)
    for yarn in shelf:
        if yarn.on_hand_m is not None:
            room.setdefault(name_key(yarn.name), (yarn, yarn.on_hand_m))
    return room


def first_row_for(run_out: RunOut, one: Forecast) -> int:
    """The row from which another yarn must step in, so that what is left of this one lasts, at the
    most it may take, for every row before and the border; never a row that is begun."""
    chart = run_out.amounts.chart
    rest = (chart.runs.color == one.yarn) & (np.arange(len(run_out.need_m)) >= run_out.done_runs)
    by_row = np.bincount(
        chart.runs.row, weights=np.where(rest, run_out.need_m, 0.0), minlength=chart.last_row + 1
    )
    border = max(0.0, one.need - float(by_row.sum()))
    needed = (np.cumsum(by_row) + border) * (1 + one.error)
    beyond = np.flatnonzero(needed > (one.left_m or 0.0))
    row = int(beyond[0]) if len(beyond) else chart.last_row + 1
    return max(row, run_out.done.row + 1)


def _stand_in(
    run_out: RunOut, one: Forecast, chart: Chart, room: dict[str, tuple[Yarn, float]]
) -> tuple[StandIn | None, Chart]:
    plan_chart = run_out.amounts.chart
    runs = plan_chart.runs
    from_row = first_row_for(run_out, one)
    taken = (runs.color == one.yarn) & (runs.row >= from_row)
    metres = float(run_out.need_m[taken].sum()) * (1 + one.error)
    blocks = int(runs.blocks[taken].sum())
    if not blocks:
        return None, chart
    short = plan_chart.yarns[one.yarn]
    fit = [
        yarn
        for key, (yarn, spare) in room.items()
        if key != name_key(short.name)
        and spare >= metres
        and yarn.held == short.held
        and yarn.class_in(chart.weight) == short.class_in(chart.weight)
    ]
    if not fit:
        return None, chart
    colors = rgb_array([yarn.color for yarn in fit])
    rows = chart.layout.row_numbers()
    changed = (plan_chart.blocks == one.yarn) & (rows >= from_row)
    means = chart.block_means
    seen = rgb_array([short.color]) if means is None else means[changed]
    best = int(np.argmin(difference_table(colors, seen).mean(axis=1)))
    yarn = fit[best]
    names = [name_key(y.name) for y in chart.yarns]
    yarns = chart.yarns
    if name_key(yarn.name) not in names:
        names.append(name_key(yarn.name))
        yarns = (*yarns, yarn)
    number = names.index(name_key(yarn.name))
    after = replace(chart, yarns=yarns, blocks=np.where(changed, number, chart.blocks))
    return (
        StandIn(
            for_yarn=one.yarn,
            yarn=yarn,
            from_row=from_row,
            blocks=blocks,
            metres=metres,
            difference=float(difference_table(colors, rgb_array([short.color]))[best, 0]),
            error_before=error_figures(chart)[0],
            error_after=error_figures(after)[0],
        ),
        after,
    )
