"""A chart in no more yarn than is on hand: choose yarns, count what they take, choose again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from pix2block.amounts.measures import measures_of
from pix2block.amounts.yarn_use import Amounts, YarnAmount, amounts_of
from pix2block.chart.chart import Chart
from pix2block.color.spaces import Floats
from pix2block.craft.stitches import loops_of_middle_block
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import added_up, say_count, say_metres
from pix2block.yarn.yarn import Yarn, name_key

_ROUNDS = 8
_NO_BETTER = 3  # rounds after which it is given up
_MORE = 1.01  # room is a little less than what is on hand, since tails move with every choice


@dataclass(frozen=True)
class Within:
    """A chart; lacks: yarn, metres and whole skeins beyond what is on hand, none where all fits;
    rounds: how often yarns were chosen."""

    chart: Chart
    lacks: tuple[tuple[str, float, int], ...]
    rounds: int

    @property
    def lacking(self) -> float:
        """Metres beyond what is on hand."""
        return added_up(metres for _, metres, _ in self.lacks)


def unstocked(shelf: Sequence[Yarn]) -> tuple[int, ...]:
    """Numbers of the yarns of which it is not known how many metres are on hand.

    Raises BadInput where it is known of none.
    """
    unknown = tuple(i for i, y in enumerate(shelf) if y.on_hand_m is None)
    if len(unknown) == len(shelf):
        raise BadInput(
            Ask("within_shelf"),
            " needs to know what is on hand: give the shelf columns skeins and metres",
        )
    return unknown


def chart_within(shelf: Sequence[Yarn], charted: Callable[[Floats | None], Chart]) -> Within:
    """The chart of the best yarns whose needs, at their upper end, fit the skeins on hand, or of
    those found that lack least.

    charted: makes the chart of the best yarns for (shelf,) blocks that each has room for; None for
    any number.
    """
    best: Within | None = None
    room: Floats | None = None
    rates: Floats | None = None
    for turn in range(1, _ROUNDS + 1):
        chart = charted(room)
        amounts = amounts_of(chart)
        lacks = _lacks(amounts)
        found = Within(chart, lacks, turn)
        if not lacks:
            return found
        if best is None or found.lacking < best.lacking:
            best = found
        elif turn - best.rounds >= _NO_BETTER:
            break
        rates = _rates(rates, shelf, amounts)
        room = _room(rates, shelf, amounts)
    assert best is not None
    return best


def _lacks(amounts: Amounts) -> tuple[tuple[str, float, int], ...]:
    return tuple(
        (yarn.name, of.short_by, of.to_buy or 0)
        for yarn, of in zip(amounts.chart.yarns, amounts.yarns, strict=True)
        if of.short_by
    )


def _rates(before: Floats | None, shelf: Sequence[Yarn], amounts: Amounts) -> Floats:
    """(shelf,) metres a block takes at the most, tails included: the most that was seen of a yarn,
    else the usual of its loops and as much for tails as the middle one that was seen."""
    chart = amounts.chart
    measures = measures_of(replace(chart, yarns=tuple(shelf), border=None))
    high = np.array([band[1] for band in measures.bands]) * (1 + chart.reserve / 100)
    held = np.array([yarn.held for yarn in shelf])
    usual = loops_of_middle_block(chart.block) * np.array(measures.loop_cm) * held * high / 100
    seen = np.zeros(len(shelf))
    for i, of in _places(shelf, amounts):
        if of.blocks:
            seen[i] = (of.metres_high - _border_high(of)) / of.blocks
    tails = float(np.median((seen / usual)[seen > 0]))
    rates = np.where(seen > 0, seen, usual * tails)
    if before is None:
        return rates
    return np.asarray(np.where(seen > 0, np.maximum(before, seen), before))


def _room(rates: Floats, shelf: Sequence[Yarn], amounts: Amounts) -> Floats:
    stock = np.array([yarn.on_hand_m or 0.0 for yarn in shelf])
    for i, of in _places(shelf, amounts):
        stock[i] -= _border_high(of)
    return np.asarray(np.maximum(stock, 0.0) / (_MORE * rates))


def _places(shelf: Sequence[Yarn], amounts: Amounts) -> list[tuple[int, YarnAmount]]:
    """What each yarn of the chart takes, with its number on the shelf."""
    number = {name_key(yarn.name): i for i, yarn in enumerate(shelf)}
    pairs = zip(amounts.chart.yarns, amounts.yarns, strict=True)
    return [(number[name_key(yarn.name)], of) for yarn, of in pairs]


def _border_high(of: YarnAmount) -> float:
    return of.border_metres * of.metres_high / of.metres if of.metres else 0.0


def kept_within(plain: Chart, calmed: Chart) -> tuple[Chart, str]:
    """The chart with fewer tails, or the one before where only that fits what is on hand; and what
    came of it, in a sentence."""
    lacks, before = _lacks(amounts_of(calmed)), _lacks(amounts_of(plain))
    if lacks and not before:
        left_out = (" Fewer tails (", Ask("calm"), ") are left out: with them they would not.")
        return plain, Advice(*_FITS.parts, *left_out)
    if not lacks:
        return calmed, _FITS
    words = ", ".join(
        f"{say_metres(metres)} of {name} ({say_count(skeins, 'skein')})"
        for name, metres, skeins in lacks
    )
    return calmed, (
        f"No choice of yarns was found that fits what is on hand. This one lacks least: {words}."
    )


_FITS = Advice(
    "Every yarn fits what is on hand, even at the most it may take (", Ask("within_shelf"), ")."
)
