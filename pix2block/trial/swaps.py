"""What another yarn of the shelf would do for a palette, and what a yarn that is hardly used is
worth: each change really tried."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import difference_table
from pix2block.color.spaces import Floats, rgb_array
from pix2block.craft.strands import plan_strands
from pix2block.design.likeness import error_figures
from pix2block.trial.neighbours import TOLD_APART, Weakest, differences, touching_pairs
from pix2block.trial.trial import Dropped, Seeing, Swap, Tried, lost_in
from pix2block.yarn.yarn import Yarn

HARDLY_USED = 0.01  # of the blocks
# By how much a swap's colour error may be greater: of what it was, or in CIEDE2000.
_MORE_SHARE, _MORE = 0.1, 0.4
_CLEARER = 2.0  # CIEDE2000 that a swap must gain where it does not reach TOLD_APART


def dropped_yarns(tried: Tried, seeing: Seeing) -> tuple[Dropped, ...]:
    chart, found = tried.chart, []
    means = chart.block_means
    if means is None or chart.ends_early:
        return ()
    for number, amount in enumerate(tried.amounts.yarns):
        if not 0 < amount.share < HARDLY_USED or (chart.blocks_by_yarn > 0).sum() < 2:
            continue
        mine = chart.blocks == number
        table = difference_table(means[mine], chart.yarn_rgb)
        table[:, (chart.blocks_by_yarn == 0) | (np.arange(len(chart.yarns)) == number)] = np.inf
        blocks = chart.blocks.copy()
        blocks[mine] = np.argmin(table, axis=1)
        without = replace(chart, blocks=blocks)
        error, _ = error_figures(without)
        assert error is not None
        tails = plan_strands(without.runs, without.layout, without.habit).tails
        lost = len(lost_in(without, seeing.features))
        found.append(Dropped(number, amount.blocks, error, tails, lost))
    return tuple(found)


def helping_swaps(tried: Tried, seeing: Seeing) -> tuple[Swap, ...]:
    """The best swap, where one helps, against every yarn left on the shelf: one of the weakest
    neighbours where they merge, in the same blocks; else any, where something is lost."""
    chart, spare = tried.chart, tried.candidate.spare
    weak = tried.weakest_in("normal")
    means = chart.block_means
    if means is None or chart.ends_early or not spare or weak is None or tried.clear:
        return ()
    outs = [weak.color.pair.one, weak.color.pair.other]
    if not tried.merging:
        outs = np.flatnonzero(chart.blocks_by_yarn).tolist()
    spare_rgb = rgb_array([yarn.color for yarn in spare])
    rgb = np.concatenate([chart.yarn_rgb, spare_rgb])
    table = difference_table(means.reshape(-1, 3), rgb)
    most = tried.error_mean + max(_MORE, _MORE_SHARE * tried.error_mean)
    found = []
    for out in outs:
        for number, into in enumerate(spare, start=len(chart.yarns)):
            blocks = _with_swap(tried, table, out, number)
            error = float(table[np.arange(len(table)), blocks.ravel()].mean())
            if error <= most:
                found.append((error, out, into, np.where(blocks == number, out, blocks)))
    found.sort(key=lambda swap: swap[0])
    best = [swap for trial in found if (swap := _helps(tried, seeing, weak, *trial))]
    best.sort(key=lambda swap: (swap.lost[1], swap.weakest[1] < TOLD_APART, swap.error[1]))
    return tuple(best[:1])


def _with_swap(tried: Tried, table: Floats, out: int, into: int) -> NDArray[np.int64]:
    """(height, width) yarn numbers with another yarn in place of one. Where neighbours merge, in
    its very blocks; else it also takes blocks that it is nearer to, and those of the yarn that
    went take the nearest. table: (blocks, yarns) CIEDE2000."""
    blocks = tried.chart.blocks
    if tried.merging:
        return np.where(blocks == out, into, blocks)
    flat = blocks.ravel()
    used = [n for n in np.flatnonzero(tried.chart.blocks_by_yarn).tolist() if n != out]
    choice = np.array([*used, into])
    nearest = choice[np.argmin(table[:, choice], axis=1)]
    nearer = table[:, into] < table[np.arange(len(flat)), flat]
    moved = np.where(flat == out, nearest, np.where(nearer, into, flat))
    return np.asarray(moved.reshape(blocks.shape))


def _helps(
    tried: Tried,
    seeing: Seeing,
    weak: Weakest,
    error: float,
    out: int,
    into: Yarn,
    blocks: NDArray[np.int64],
) -> Swap | None:
    """The swap, if it parts what merged, or brings back what was lost, and costs nothing of it."""
    chart = tried.chart
    yarns = (*chart.yarns[:out], into, *chart.yarns[out + 1 :])
    swapped = replace(chart, yarns=yarns, blocks=blocks, source=None)
    pairs = touching_pairs(blocks)
    least = float(differences(pairs, swapped.yarn_rgb).min()) if pairs else math.inf
    before = weak.color.difference
    if least < TOLD_APART and (not tried.merging or least < before + _CLEARER):
        return None
    lost = len(lost_in(swapped, seeing.features))
    before_lost = len(tried.features_lost)
    if lost > before_lost or not (tried.merging or lost < before_lost):
        return None
    # Swapped blocks that take their nearest yarns are not calmed: like is set beside like.
    plain = chart if tried.merging else chart.uncalmed or chart
    plain_error, _ = error_figures(plain)
    plans = [plan_strands(one.runs, one.layout, one.habit) for one in (plain, swapped)]
    return Swap(
        *(out, into, (before, least), (plain_error or tried.error_mean, error)),
        *((before_lost, lost), (plans[0].tails, plans[1].tails)),
        before_calming=plain is not chart,
    )
