"""Will the yarn last? From what is done and what is left, what the rest takes.

What was used up, less floats, tails and joins so far, divided by the loops worked, is the length of
a loop as it really came out. That and the loop that was planned are two measurements of one thing:
their mean is weighted by the squares of how sure they are. Weighed yarn and its label are taken as
they are, since what is needed is weighed on the same scale. A yarn that was not weighed is taken to
have come out as the others did, on average.

Where a yarn's loops come out beyond the band in which hands differ, a slip of weighing or writing
is likelier than such a hand: nothing is advised, and she is asked to weigh again.

The rest is taken in working order. Enough: what is left covers the most that it may take; tight:
only the likely need; short: not even that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from pix2block.amounts.under_way import Done, Left
from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.chart.done import runs_made
from pix2block.craft.plan import NO_RUN
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.frozen import dataclass
from pix2block.yarn.guess import LENGTH_BAND
from pix2block.yarn.swatch import HAND_ERROR
from pix2block.yarn.yarn import Yarn, name_key

Verdict = Literal["enough", "tight", "short"]

WEIGHING_ERROR_G = 1.0
_SKEIN_ERROR = 0.05  # of a skein judged by eye
METRE_ERROR_M = 1.0
UNLIKE = (0.4, 2.5)  # loops so far from the planned ones are a slip of weighing or writing
CLEARLY = 3.0  # times what weighing may be out
OTHERS_ERROR = 0.05  # of a loop taken from other yarns


@dataclass(frozen=True)
class Forecast:
    """One yarn of a piece under way.

    loop_cm_planned, loop_cm: before and after; measured: from its own yarn; error: of the rest's
    lengths, as a share; used_m, left_m: metres, None where unknown; reckoned: left_m is what was on
    hand less what was likely used; need_low, need, need_high: metres of the rest, border included;
    doubtful: its loops came out beyond what hands differ by, so that it is to be weighed again;
    verdict: None where what is left is unknown or doubtful; ends_row: where it ends, short at the
    likely need, tight at the most; the row after the last is the border.
    """

    yarn: int
    loop_cm_planned: float
    loop_cm: float
    measured: bool
    doubtful: bool
    error: float
    used_m: float | None
    left_m: float | None
    reckoned: bool
    need_low: float
    need: float
    need_high: float
    verdict: Verdict | None
    ends_row: int | None


@dataclass(frozen=True, eq=False)
class RunOut:
    """A piece under way. done_runs: how many of its runs are worked; need_m: (runs,) metres of each
    run as it is now expected, joins included."""

    amounts: Amounts
    done: Done
    done_runs: int
    need_m: NDArray[np.float64]
    yarns: tuple[Forecast, ...]

    def __repr__(self) -> str:
        return f"RunOut({self.done!r}, {self.done_runs} runs worked)"


def runs_done(chart: Chart, done: Done) -> int:
    """How many runs are worked. Raises BadInput for a row or run that is not in the piece."""
    try:
        return runs_made(chart.runs, done.row, done.runs)
    except BadInput as error:
        place = f"{done.row}" if done.runs is None else f"{done.row}.{done.runs}"
        raise BadInput(Ask("done", place), f": {error}") from None


def left_metres(yarn: Yarn, left: Left) -> tuple[float, float]:
    """Metres that are left and how far they may be out.

    Raises BadInput where the yarn's label is needed and not known.
    """
    if left.unit == "m":
        return left.amount, METRE_ERROR_M
    if yarn.metres is None:
        raise BadInput(
            Ask("left", yarn.name),
            f': its metres are not in the chart: say what is left in metres, as "{yarn.name} 40 m"',
        )
    if left.unit == "skeins":
        return left.amount * yarn.metres, _SKEIN_ERROR * yarn.metres
    if yarn.grams is None:
        raise BadInput(
            Ask("left", yarn.name),
            ": the grams of a skein are not in the chart: say what is left in skeins or metres, as "
            f'"{yarn.name} 1.5 skeins"',
        )
    per_gram = yarn.metres / yarn.grams
    return left.amount * per_gram, WEIGHING_ERROR_G * per_gram


def forecast(amounts: Amounts, done: Done, left: Sequence[Left]) -> RunOut:
    """What the rest of a piece takes, yarn by yarn.

    Raises BadInput for yarns, rows or amounts that do not fit the piece.
    """
    chart = amounts.chart
    many = len(chart.yarns)
    done_runs = runs_done(chart, done)
    told = _told(chart, left)
    cut_m, to_cut_m = _cut_tails(amounts, done.row)
    loops, others_cm = _so_far(amounts, done_runs)
    others_cm = others_cm + 100 * cut_m
    planned = np.array(amounts.measures.loop_cm)
    prior = np.array([_share_out(band) for band in amounts.measures.bands])
    loop_cm, error = planned.copy(), prior.copy()
    used: list[float | None] = [None] * many
    measured, doubtful = np.zeros(many, dtype=bool), np.zeros(many, dtype=bool)
    for i, yarn in enumerate(chart.yarns):
        on_hand_m = yarn.on_hand_m
        if i not in told or on_hand_m is None or not loops[i]:
            continue
        left_m, off_m = told[i]
        used_m = on_hand_m - left_m
        own = (used_m * 100 - others_cm[i]) / (loops[i] * yarn.held)
        likely = (loops[i] * planned[i] * yarn.held + others_cm[i]) / 100
        by_weighing = math.sqrt(2) * off_m  # on hand before, and left
        unlike = not UNLIKE[0] <= own / planned[i] <= UNLIKE[1]
        if unlike and abs(used_m - likely) > CLEARLY * by_weighing:
            raise BadInput(
                Ask("left", yarn.name),
                f": {on_hand_m:.0f} m were on hand and {left_m:.0f} m are left, "
                f"but {loops[i]:,} loops are worked, likely {likely:.0f} m: weigh again, or mend "
                "skeins in the chart",
            )
        own_error = by_weighing * 100 / (planned[i] * loops[i] * yarn.held)
        doubtful[i] = _beyond(own / planned[i], amounts.measures.bands[i], own_error)
        weights = np.array([1 / own_error**2, 1 / prior[i] ** 2])
        mean = float(weights @ [own, planned[i]]) / weights.sum()
        loop_cm[i] = max(mean, UNLIKE[0] * planned[i])  # early weighings may be far out
        error[i] = math.hypot(1 / math.sqrt(weights.sum()), HAND_ERROR)
        used[i], measured[i] = used_m, True
    sure = measured & ~doubtful
    if sure.any():
        came_out = float(np.average((loop_cm / planned)[sure], weights=loops[sure]))
        loop_cm[~measured] *= came_out
        error[~measured] = np.minimum(error[~measured], math.hypot(OTHERS_ERROR, HAND_ERROR))
    need_m = _needs(amounts, loop_cm)
    yarns = []
    for i, yarn in enumerate(chart.yarns):
        rest = (chart.runs.color == i) & (np.arange(len(need_m)) >= done_runs)
        border = border_metres(amounts, i, loop_cm[i]) + float(to_cut_m[i])
        need = float(need_m[rest].sum()) + border
        stock = told[i][0] if i in told else None
        reckoned = stock is None and yarn.on_hand_m is not None
        if reckoned:
            assert yarn.on_hand_m is not None
            worked = float(need_m[(chart.runs.color == i) & ~rest].sum()) + float(cut_m[i])
            stock = max(0.0, yarn.on_hand_m - worked)
        verdict, ends = _verdict(
            chart, need_m, rest, border, None if doubtful[i] else stock, error[i]
        )
        yarns.append(
            Forecast(
                yarn=i,
                loop_cm_planned=float(planned[i]),
                loop_cm=float(loop_cm[i]),
                measured=bool(measured[i]),
                doubtful=bool(doubtful[i]),
                error=float(error[i]),
                used_m=used[i],
                left_m=stock,
                reckoned=reckoned,
                need_low=need * (1 - float(error[i])),
                need=need,
                need_high=need * (1 + float(error[i])),
                verdict=verdict,
                ends_row=ends,
            )
        )
    return RunOut(amounts, done, done_runs, need_m, tuple(yarns))


def _beyond(factor: float, band: tuple[float, float], weighing: float) -> bool:
    """Whether loops so many times the planned ones lie outside the yarn's band, and outside the one
    in which hands differ without a swatch, by more than weighing may be out."""
    low, high = min(band[0], LENGTH_BAND[0]), max(band[1], LENGTH_BAND[1])
    return not low - weighing <= factor <= high + weighing


def _told(chart: Chart, left: Sequence[Left]) -> dict[int, tuple[float, float]]:
    number = {name_key(yarn.name): i for i, yarn in enumerate(chart.yarns)}
    told: dict[int, tuple[float, float]] = {}
    for one in left:
        if name_key(one.yarn) not in number:
            known = [yarn.name for yarn in chart.yarns]
            raise BadInput(Ask("left"), f": {unknown('yarn', one.yarn, known)}")
        i = number[name_key(one.yarn)]
        if i in told:
            raise BadInput(Ask("left"), f" names {chart.yarns[i].name} twice: add the two up")
        told[i] = left_metres(chart.yarns[i], one)
    return told


def _share_out(band: tuple[float, float]) -> float:
    """How far a length may be out, as a share, where its band is uneven the mean of both sides."""
    return (band[1] - band[0]) / 2


def _so_far(amounts: Amounts, done_runs: int) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """(yarns,) loops worked, and cm of floats, tails and joins so far."""
    chart, many = amounts.chart, len(amounts.chart.yarns)
    color = chart.runs.color[:done_runs]
    held = np.array([yarn.held for yarn in chart.yarns])
    loops = np.bincount(color, weights=amounts.run_loops[:done_runs], minlength=many)
    others = np.bincount(color, weights=others_cm(amounts)[:done_runs], minlength=many) * held
    return loops.astype(np.int64), others.astype(np.float64)


def others_cm(amounts: Amounts) -> NDArray[np.float64]:
    """(runs,) cm of floats, tails and joins, held single; without tails of bobbins that hung and
    are cut."""
    plan, chart = amounts.plan, amounts.chart
    tails = (plan.preceding == NO_RUN).astype(np.int64) + plan.ends + 2 * amounts.run_joins
    return np.asarray(plan.float_sides * amounts.measures.block_cm + tails * chart.tail_cm)


def _cut_tails(amounts: Amounts, row: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(yarns,) metres of the tails of bobbins that hung and are cut: up to a row, and after it."""
    chart, plan = amounts.chart, amounts.plan
    so_far, later = (np.zeros(len(chart.yarns)) for _ in range(2))
    for at, strands in plan.cuts.items():
        for yarn in chart.runs.color[plan.first_runs[list(strands)]].tolist():
            metres = later if at > row else so_far
            metres[yarn] += chart.tail_cm * chart.yarns[yarn].held / 100
    return so_far, later


def _needs(amounts: Amounts, loop_cm: NDArray[np.float64]) -> NDArray[np.float64]:
    color = amounts.chart.runs.color
    held = np.array([yarn.held for yarn in amounts.chart.yarns])
    cm = held[color] * (amounts.run_loops * loop_cm[color] + others_cm(amounts))
    return np.asarray(cm / 100)


def border_metres(amounts: Amounts, yarn: int, loop_cm: float) -> float:
    """Metres that the border takes of a yarn, with loops so long; 0 where it takes none."""
    border = amounts.border
    if border is None or border.border.yarn != yarn:
        return 0.0
    return border.metres * loop_cm / amounts.measures.loop_cm[yarn]


def _verdict(
    chart: Chart,
    need_m: NDArray[np.float64],
    rest: NDArray[np.bool_],
    border: float,
    stock: float | None,
    error: float,
) -> tuple[Verdict | None, int | None]:
    if stock is None:
        return None, None
    need = float(need_m[rest].sum()) + border
    if stock >= need * (1 + error) * (1 - 1e-12):
        return "enough", None
    short = stock < need * (1 - 1e-12)
    factor = 1.0 if short else 1 + error
    ends = np.cumsum(np.where(rest, need_m, 0.0)) * factor
    beyond = np.flatnonzero(rest & (ends > stock))
    row = int(chart.runs.row[beyond[0]]) if len(beyond) else chart.last_row + 1
    return ("short" if short else "tight"), row
