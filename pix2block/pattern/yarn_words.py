"""Sentences of a pattern about its yarn: the hook, where skeins end, the border."""

from __future__ import annotations

import numpy as np

from pix2block.amounts.measures import say_finished
from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.chart.terms import words
from pix2block.craft.border import CHAINS_TO_START, SIDES, STITCHES_A_BLOCK
from pix2block.ground.units import CM_PER_INCH, say_count, say_metres_yards, say_size
from pix2block.yarn.weights import WEIGHT_CLASSES

_MOST_ROWS_NAMED = 12


def hook_words(chart: Chart) -> str:
    """ "hook 5 to 5.5 mm, usual for corner to corner in this yarn, or the size of your swatch"."""
    usual = WEIGHT_CLASSES[chart.weight].usual_hook
    if chart.hook_mm is None:
        return f"hook {usual}, usual for corner to corner in this yarn, or the one of your swatch"
    return f"hook {chart.hook_mm:g} mm (usual for corner to corner in this yarn: {usual})"


def join_rows(amounts: Amounts, yarn: int) -> list[int]:
    """The rows in which a skein of a yarn ends inside a bobbin, a row a join."""
    runs = amounts.chart.runs
    joins = np.where(runs.color == yarn, amounts.run_joins, 0)
    return np.repeat(runs.row, joins).tolist()


def join_sentences(amounts: Amounts) -> list[str]:
    """Where skeins end, a sentence a yarn; none where no skein ends or its metres are unknown."""
    sentences = []
    for number, yarn in enumerate(amounts.chart.yarns):
        rows = join_rows(amounts, number)
        if not rows:
            continue
        named = ", ".join(map(str, rows[:_MOST_ROWS_NAMED]))
        more = len(rows) - _MOST_ROWS_NAMED
        sentences.append(
            f"a skein of {yarn.name} ends about row{'s' if len(rows) > 1 else ''} {named}"
            f"{f' and {more} more' if more > 0 else ''}: {_join_advice(amounts, number)}"
        )
    return sentences


def _join_advice(amounts: Amounts, yarn: int) -> str:
    """What to do where a skein ends: with many bobbins no join is needed, but in one that is
    longer than a skein."""
    of = [bobbin for bobbin in amounts.bobbins if bobbin.yarn == yarn]
    longer = sum(bobbin.over_skein for bobbin in of)
    if len(of) - longer <= 1:
        return "join the next one there"
    if not longer:
        return (
            "never start a bobbin that the skein cannot finish; what is left of it makes a "
            "shorter one"
        )
    return (
        "join the next one there in a bobbin longer than a skein, and never start another that "
        "the skein cannot finish"
    )


def size_words(amounts: Amounts) -> str:
    """The finished size, of a triangle wingspan and depth; with a border the size with it first."""
    blocks = say_finished(amounts.chart, amounts.measures.block_cm)
    if amounts.border is None:
        return blocks
    return f"{say_size(*amounts.whole_size_cm)} with its border, {blocks} without"


def border_sentences(amounts: Amounts) -> list[str]:
    """How the border is worked; nothing without one."""
    border = amounts.border
    if border is None:
        return []
    chart = amounts.chart
    word, yarn = words(chart.terms), chart.yarns[border.border.yarn].name
    stitch, slip = word[border.border.stitch], word["sl st"]
    first, outline = border.rounds[0], border.outline
    stepped = outline.inner_corners > 0
    width, height = amounts.finished_size_cm
    sides = ", ".join(f"{first.by_side[side]} along the {side}" for side in SIDES)
    flat = ""
    if border.a_block != STITCHES_A_BLOCK:
        flat = f", on average {border.a_block:.1f} by your swatch"
    chains = CHAINS_TO_START[border.border.stitch]
    sentences = [
        f"{say_count(border.border.rounds, 'round')} of {stitch} in {yarn}, "
        f"{say_metres_yards(border.metres)}, right side facing, without turning; work over the "
        "tails at the edge where you can",
        f"round 1: join {yarn} in the side of an edge block, ch {chains}; {STITCHES_A_BLOCK} "
        f"{stitch} in the side of each block{flat}, 3 in each corner; {slip} into the first "
        f"stitch: {sides}, {first.in_corners} in the corners, {first.stitches} in all",
    ]
    if stepped:
        sentences.append(
            f"the stepped edge has {outline.corners} outer and {outline.inner_corners} inner "
            "corners: 3 in each outer one, nothing extra in an inner one"
        )
    if len(border.rounds) > 1:
        inner = f", work 3 {stitch} together in each inner corner" if stepped else ""
        counts = ", ".join(f"{r.stitches:,}" for r in border.rounds[1:])
        number = "round 2" if len(border.rounds) == 2 else f"rounds 2 to {len(border.rounds)}"
        sentences.append(
            f"{number}: ch {chains}; {stitch} in each stitch, 3 in the middle one of each "
            f"corner{inner}; {slip} into the first: {counts} in all"
        )
    sentences.append(
        "where the edge ruffles leave stitches out, where it draws in add some, the same on "
        "opposite sides"
    )
    size = (width + border.added_cm, height + border.added_cm)
    sentences.append(
        f"the border adds about {border.added_cm:.1f} cm ({border.added_cm / CM_PER_INCH:.1f} in) "
        f"to width and height: {say_size(*size)} in all"
    )
    return sentences
