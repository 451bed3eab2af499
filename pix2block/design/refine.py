"""Colours of a picture's own: a K-median among stand-ins, then continuous moves among more."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import quick_table
from pix2block.color.spaces import Bytes, Floats, from_lab, to_lab
from pix2block.craft.diagonal import each_once
from pix2block.design.k_median import KMedian, greedy_start, random_start, swap_search
from pix2block.ground.frozen import dataclass
from pix2block.ground.progress import heed

# The swap search costs the square of its stand-ins, settling and polishing only their number: few
# for the first, more for the second and the third.
SEARCHED, SETTLED, POLISHED = 250, 1000, 1500
RESTARTS, FEW_RESTARTS = 8, 2
KEPT = 3  # of the restarts' ends, settled among the many
_SETTLING_ROUNDS = 12
_STEPS = (8, 4, 2, 1)
_SWEEPS = 4
# Along each channel and towards light, as sRGB levels; six more directions gained a ten-thousandth.
_DIRECTIONS = np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1], [1, 1, 1]])
_MOVES = np.concatenate([_DIRECTIONS, -_DIRECTIONS])


@dataclass(frozen=True, eq=False)
class StandIns:
    """Few weighted colours for many. lab: (m, 3); weight: (m,); which: (n,) of each colour."""

    lab: Floats
    weight: Floats
    which: NDArray[np.int64]


def stand_ins(lab: Floats, weight: Floats, most: int) -> StandIns:
    """At most `most` weighted means of (n, 3) distinct colours, one a cell of a grid in CIELAB.

    The grid is as fine as the number allows.
    """
    if len(lab) <= most:
        return StandIns(lab, weight, np.arange(len(lab)))
    low, high = 0.1, 60.0
    for _ in range(12):
        middle = (low * high) ** 0.5
        if len(each_once(_cells(lab, middle))) > most:
            low = middle
        else:
            high = middle
    _, which = np.unique(_cells(lab, high), return_inverse=True)
    total = np.bincount(which, weights=weight).astype(np.float64)
    safe = np.where(total > 0, total, 1)
    means = [np.bincount(which, weights=weight * lab[:, i]) / safe for i in range(3)]
    return StandIns(np.stack(means, axis=1), total, which)


def _cells(lab: Floats, side: float) -> NDArray[np.int64]:
    grid = np.floor(lab / side).astype(np.int64) + 4096
    return np.asarray((grid[:, 0] * 8192 + grid[:, 1]) * 8192 + grid[:, 2])


def best_colors(
    lab: Floats, weight: Floats, most: int, seed: int, fixed: Bytes, restarts: int = RESTARTS
) -> Bytes:
    """(k, 3) at most `most` 8-bit colours of least weighted mean CIEDE2000, the fixed ones first.

    lab: (n, 3) distinct colours; weight: (n,); fixed: (f, 3) colours that must be among them.
    """
    few, many = (stand_ins(lab, weight, count) for count in (SEARCHED, SETTLED))
    candidates = np.concatenate([few.lab, to_lab(fixed)])
    table = _table(candidates, few.lab)
    locked = tuple(range(len(few.lab), len(candidates)))
    problem = KMedian(table, few.weight.astype(np.float32), most, locked)
    rng = np.random.default_rng(seed)
    starts = [greedy_start(problem)]
    starts += [random_start(problem, rng) for _ in range(restarts - 1)]
    found = {tuple(sorted(swap_search(problem, start))): None for start in starts}
    ends = [_settle(few, candidates[_fixed_first(chosen, locked)], len(locked)) for chosen in found]
    ends = sorted(ends, key=lambda end: end[1])[:KEPT]
    settled = [_settle(many, centres, len(locked)) for centres, _ in ends]
    centres, _ = min(settled, key=lambda end: end[1])
    colors = np.concatenate([fixed, from_lab(centres[len(fixed) :])])
    nearly_all = stand_ins(lab, weight, POLISHED)
    return _polish(nearly_all.lab, nearly_all.weight, colors, len(fixed))


def _fixed_first(chosen: tuple[int, ...], locked: tuple[int, ...]) -> list[int]:
    return [*locked, *(i for i in chosen if i not in locked)]


def _table(lab1: NDArray[Any], lab2: NDArray[Any]) -> NDArray[np.float32]:
    """CIEDE2000 in single precision: enough to search by."""
    return quick_table(*(lab.astype(np.float32, copy=False) for lab in (lab1, lab2)))


def _settle(few: StandIns, centres: Floats, fixed: int) -> tuple[Floats, float]:
    """Centres moved to the weighted medians of their stand-ins, and the cost.

    Weiszfeld's step: a mean with weights over distances. Near a centre CIEDE2000 is a metric of
    constant shape, so the step holds for it as it does for plain distances.
    """
    best, least = centres, np.inf
    for _ in range(_SETTLING_ROUNDS):
        heed()
        table = _table(few.lab, centres)
        nearest = table.argmin(axis=1)
        distance = table[np.arange(len(table)), nearest]
        cost = float(distance @ few.weight)
        if cost >= least * (1 - 1e-5):
            break
        best, least = centres, cost
        pull = few.weight / np.maximum(distance, 0.3)
        total = np.bincount(nearest, weights=pull, minlength=len(centres))
        moved = np.stack(
            [
                np.bincount(nearest, weights=pull * few.lab[:, i], minlength=len(centres))
                / np.where(total > 0, total, 1)
                for i in range(3)
            ],
            axis=1,
        )
        keep = (total == 0) | (np.arange(len(centres)) < fixed)
        centres = np.where(keep[:, None], centres, moved)
    return best, least


def _polish(lab: Floats, weight: Floats, colors: Bytes, fixed: int) -> Bytes:
    """Pattern search: each colour by a few sRGB levels, steps from 8 down to 1."""
    colors, single = colors.copy(), lab.astype(np.float32)
    table = _table(single, to_lab(colors))
    step_of = np.zeros(len(colors), dtype=np.int64)
    for _ in range(_SWEEPS):
        moved = False
        for k in range(fixed, len(colors)):
            others = np.delete(table, k, axis=1)
            other = others.min(axis=1) if others.shape[1] else np.full(len(lab), np.inf)
            place = max(0, int(step_of[k]) - 1)
            while place < len(_STEPS):
                better = _best_move(single, weight, colors[k], table[:, k], other, _STEPS[place])
                if better is None:
                    place += 1
                    continue
                moved = True
                colors[k] = better
                table[:, k] = _table(single, to_lab(better[None]))[:, 0]
            step_of[k] = place
        if not moved:
            break
    return colors


def _best_move(
    lab: NDArray[np.float32],
    weight: Floats,
    color: Bytes,
    own: NDArray[np.floating],
    other: NDArray[np.floating],
    step: int,
) -> Bytes | None:
    """The best of the moves by a step, None where none lessens the cost.

    Only blocks that the colour has, or nearly has, are looked at: the others keep theirs.
    """
    heed()
    near = np.flatnonzero(own < other + 1.5 * step + 2)
    if len(near) == 0:
        return None
    trial = np.clip(color.astype(np.int64) + step * _MOVES, 0, 255).astype(np.uint8)
    costs = np.minimum(_table(lab[near], to_lab(trial)), other[near, None]).T @ weight[near]
    best = int(np.argmin(costs))
    now = float(np.minimum(own[near], other[near]) @ weight[near])
    return trial[best] if costs[best] < now * (1 - 1e-6) else None
