"""Bobbins to wind: which, how long, from which row to which."""

from __future__ import annotations

from dataclasses import dataclass

from pix2block.amounts.yarn_use import Amounts
from pix2block.craft.bobbins import NO_BOBBIN, number_bobbins


@dataclass(frozen=True)
class Bobbin:
    """One strand, as a maker winds it.

    strand: in the plan, from 0. yarn: its number. number: the bobbin's, None for a strand that
    works one run alone. first_row, last_row: from 1. metres: tails and joins included, twice where
    the yarn is held double. over_hand: longer than a butterfly wound on the hand holds.
    """

    strand: int
    yarn: int
    number: int | None
    first_row: int
    last_row: int
    metres: float
    over_hand: bool


def bobbins_of(amounts: Amounts) -> tuple[Bobbin, ...]:
    """Every strand of a piece as a bobbin, in working order of their first runs."""
    plan, runs = amounts.plan, amounts.plan.runs
    columns = zip(
        *(runs.color[plan.first_runs].tolist(), number_bobbins(plan).of_strand.tolist()),
        *(runs.row[plan.first_runs].tolist(), runs.row[plan.last_runs].tolist()),
        amounts.strand_metres.tolist(),
        strict=True,
    )
    longest = amounts.chart.butterfly_m
    return tuple(
        Bobbin(
            strand=strand,
            yarn=yarn,
            number=None if number == NO_BOBBIN else number,
            first_row=first,
            last_row=last,
            metres=metres,
            over_hand=metres > longest,
        )
        for strand, (yarn, number, first, last, metres) in enumerate(columns)
    )
