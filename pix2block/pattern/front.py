"""The front page: what the piece is, and what it takes."""

from __future__ import annotations

import math

from pix2block.amounts.yarn_use import Amounts, YarnAmount
from pix2block.chart.chart import Chart
from pix2block.chart.terms import words
from pix2block.ground.units import (
    CM_PER_INCH,
    say_count,
    say_hours,
    say_metres,
    say_metres_range,
    say_yards,
)
from pix2block.pattern.document import Bullets, Passage, YarnLine, YarnLines
from pix2block.pattern.winding import ENDING_WORDS
from pix2block.pattern.yarn_words import hook_words, join_sentences, size_words
from pix2block.yarn.weights import GAUGE_OVER_CM, WEIGHT_CLASSES
from pix2block.yarn.yarn import Yarn

_USUAL_SKEIN_G = 100.0  # where a skein is not known (common practice)


def size_parts(amounts: Amounts) -> tuple[Passage, ...]:
    """Finished size and what it rests on."""
    chart, measures = amounts.chart, amounts.measures
    across, down = chart.layout.extent
    side = f"{measures.block_cm:.1f} cm ({measures.block_cm / CM_PER_INCH:.2f} in)"
    basis = (
        f"a guess from the usual hook, within {100 * measures.size_band:.0f}\u00a0%: make a "
        "swatch of 6 × 6 blocks and measure it along its straight edges, never the diagonal"
        if measures.guessed
        else f"measured on a swatch, within {100 * measures.size_band:.1f}\u00a0%"
    )
    return (
        Bullets(
            (
                size_words(amounts)
                + (", after blocking" if amounts.border else " after blocking, without a border"),
                f"{across} × {down} blocks, {chart.last_row} diagonal rows",
                f"{words(chart.terms)['gauge']}: a block is {side} square, {basis}",
            )
        ),
    )


def yarn_lines(amounts: Amounts) -> YarnLines:
    """Every yarn that is used, with what it takes."""
    return YarnLines(
        tuple(
            YarnLine(number, yarn.name, yarn.color, _figures(yarn, amount))
            for number, (yarn, amount) in enumerate(
                zip(amounts.chart.yarns, amounts.yarns, strict=True)
            )
            if amount.blocks
        )
    )


def _border_yarn(amounts: Amounts) -> tuple[str, ...]:
    """The border's yarn, where no block is worked in it and so it has no mark."""
    if amounts.border is None:
        return ()
    number = amounts.border.border.yarn
    yarn, amount = amounts.chart.yarns[number], amounts.yarns[number]
    if amount.blocks:
        return ()
    return (f"for the border {yarn.name} ({yarn.color}): {_figures(yarn, amount)}",)


def _figures(yarn: Yarn, amount: YarnAmount) -> str:
    text = (
        f"{say_metres(amount.metres)} ({say_yards(amount.metres)}), from "
        f"{say_metres_range(amount.metres_low, amount.metres_high)}; "
        f"{amount.grams:.0f} g{' (a guess)' if amount.grams_guessed else ''}"
    )
    if amount.skeins is not None:
        text += f"; {say_count(amount.skeins, 'skein')} of {yarn.metres:g} m"
    else:
        skein = yarn.grams or _USUAL_SKEIN_G
        high = amount.grams * amount.metres_high / amount.metres if amount.metres else 0.0
        text += f"; about {say_count(max(1, math.ceil(high / skein)), 'skein')} of {skein:g} g"
    if yarn.held == 2:
        text += "; held double"
    return f"{text}; note: {yarn.note_line}" if yarn.note_line else text


def material_parts(amounts: Amounts) -> tuple[Passage, ...]:
    """Yarns, hook, markers, needle."""
    chart = amounts.chart
    weight = WEIGHT_CLASSES[chart.weight]
    word = words(chart.terms)
    low, high = weight.gauge
    gauge = f"{low}" if low == high else f"{low} to {high}"
    return (
        yarn_lines(amounts),
        Bullets(
            (
                *_border_yarn(amounts),
                f"yarn weight class {weight.number}, {weight.name} (Craft Yarn Council); "
                f"{word['gauge']} on its label about {gauge} {word[gauge_stitch(chart)]} over "
                f"{GAUGE_OVER_CM:.0f} cm (4 in)",
                hook_words(chart),
                "three stitch markers: two for the edges, one to hold the live loop",
                "a yarn needle with a large eye, scissors, pins for blocking",
            )
        ),
    )


def gauge_stitch(chart: Chart) -> str:
    """The US name of the stitch in which the standard gives the class's gauge."""
    return "dc" if chart.weight == 0 else "sc"


def time_parts(amounts: Amounts) -> tuple[Passage, ...]:
    """Hours, changes, tails, yarns hanging."""
    plan, ending = amounts.plan, amounts.ending
    attached = int(plan.attached_by_row.max())
    row = int(plan.attached_by_row.argmax()) + 1
    pace = amounts.chart.pace
    others = f", {ending.woven:,} of them woven in" if ending.woven else ""
    return (
        Bullets(
            (
                f"about {say_hours(amounts.hours)} of crochet at {pace.block:g} min a block and "
                f"{pace.change:g} min a colour change, and {say_hours(ending.hours)} of ending "
                f"tails ({ENDING_WORDS[ending.way]}{others}) at {ending.minutes:g} min each"
                f"{f' and {pace.tail:g} min woven in' if others else ''}",
                f"{say_count(int(amounts.changes_by_row.sum()), 'colour change')}, "
                f"{say_count(plan.tails, 'tail')}; leave "
                f"{amounts.chart.tail_cm:g} cm ({amounts.chart.tail_cm / CM_PER_INCH:.0f} in) each",
                f"most yarns hanging at once: {attached}, first in row {row}",
                *join_sentences(amounts),
            )
        ),
    )
