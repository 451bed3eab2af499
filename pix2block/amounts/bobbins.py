"""Bobbins to wind: which, how long, from which row to which."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pix2block.craft.plan import NO_BOBBIN, StrandPlan
from pix2block.ground.frozen import dataclass


@dataclass(frozen=True)
class Bobbin:
    """One strand, as a maker winds it.

    strand: in the plan, from 0. yarn: its number. number: the bobbin's, None for a strand that
    works one run alone. first_row, last_row: from 1. metres: tails and joins included, twice where
    the yarn is held double. over_hand: longer than a butterfly wound on the hand holds; over_skein:
    longer than a skein whose metres are known. from_skein: every row of the piece is of one yarn,
    and no other length of this one hangs when it starts, so that it is not wound.
    """

    strand: int
    yarn: int
    number: int | None
    first_row: int
    last_row: int
    metres: float
    over_hand: bool
    over_skein: bool
    from_skein: bool


def bobbins_of(
    plan: StrandPlan,
    strand_metres: NDArray[np.float64],
    butterfly_m: float,
    skein_metres: Sequence[float | None],
) -> tuple[Bobbin, ...]:
    """Every strand of a plan as a bobbin, in working order of their first runs. strand_metres:
    (strands,); butterfly_m: the longest that is wound on the hand; skein_metres: of each yarn."""
    runs = plan.runs
    columns = zip(
        *(runs.color[plan.first_runs].tolist(), plan.bobbins.of_strand.tolist()),
        *(runs.row[plan.first_runs].tolist(), plan.end_rows.tolist()),
        strand_metres.tolist(),
        _from_skeins(plan).tolist(),
        strict=True,
    )
    return tuple(
        Bobbin(
            strand=strand,
            yarn=yarn,
            number=None if number == NO_BOBBIN else number,
            first_row=first,
            last_row=last,
            metres=metres,
            over_hand=metres > butterfly_m,
            over_skein=metres > (skein_metres[yarn] or math.inf),
            from_skein=from_skein,
        )
        for strand, (yarn, number, first, last, metres, from_skein) in enumerate(columns)
    )


def _from_skeins(plan: StrandPlan) -> NDArray[np.bool_]:
    """(strands,) whether a strand comes straight off its skein."""
    runs = plan.runs
    off = np.zeros(plan.strands, dtype=bool)
    if len(runs) > runs.rows:
        return off
    yarns = runs.color[plan.first_runs]
    first, last = runs.row[plan.first_runs], plan.end_rows
    for yarn in np.unique(yarns):
        mine = np.flatnonzero(yarns == yarn)
        hanging_to = np.maximum.accumulate(last[mine])
        off[mine] = first[mine] > np.append(0, hanging_to[:-1])
    return off
