"""Calming a chart: as few tails as a given growth of its colour error buys.

Simulated annealing (Kirkpatrick, Gelatt & Vecchi 1983) on the sum of colour error, tails at a
price, and a little for borders between colours where the picture shows no line, so that no colour
creeps along a row.
"""

from __future__ import annotations

import numpy as np

from pix2block.calming.guards import lost_guards
from pix2block.calming.search import NO_CAP, SETTLING_AGAIN, Search
from pix2block.calming.task import Calming, TradePoint, true_step
from pix2block.ground.progress import Progress

_MOST_CAPS = 4


def calm(task: Calming, progress: Progress | None = None) -> TradePoint:
    """The calmest chart found whose weighted and whose plain mean error are both within the budget;
    the nearest-yarn chart where there is none.

    Runs in a row are what the search can cap, yarns that wait over a row come on top: so it is made
    again with a lower cap while more yarns hang than were asked for.
    """
    start = task.start
    if start.error <= 0 or task.percent <= 0:
        return start
    cap = NO_CAP if task.most_hanging is None else task.most_hanging
    for _ in range(_MOST_CAPS):
        step = _searched(task, cap, progress)
        beyond = 0 if task.most_hanging is None else step.most_hanging - task.most_hanging
        if beyond <= 0 or cap == 1:
            break
        cap = max(1, cap - beyond)
    return step if step.tails <= start.tails else start


def _searched(task: Calming, cap: int, progress: Progress | None) -> TradePoint:
    """No guarded feature is lost, and no area: where one is by its definition, it is given back and
    guarded more strictly, and the search goes on; at last its blocks and those around it are left
    as they were."""
    search = Search(task, cap, progress)
    search.ramp()
    search.settle()
    blocks = search.blocks
    lost, areas = lost_guards(task.guards, task.yarns, blocks), task.lost_areas(blocks)
    if not lost and not areas:
        return true_step(task, blocks)
    search.give_back(lost, areas)
    search.settle(SETTLING_AGAIN, cold=True)
    best = true_step(task, search.blocks)
    for guard in lost_guards(task.guards, task.yarns, best.blocks):
        kept = guard.feature.mask | guard.feature.ring
        best = true_step(task, np.where(kept, task.nearest, best.blocks))
    for area in task.lost_areas(best.blocks):
        best = true_step(task, np.where(area.mask | area.beside, task.nearest, best.blocks))
    return best
