"""pattern.txt: the whole written pattern in plain text."""

from __future__ import annotations

from collections.abc import Iterable
from textwrap import TextWrapper

from pix2block.amounts.measures import GUESS_SIZE_BAND
from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.chart.terms import LONG_NAMES, words
from pix2block.craft.stitches import BLOCKS
from pix2block.ground.units import (
    CM_PER_INCH,
    say_count,
    say_hours,
    say_metres,
    say_size,
)
from pix2block.pattern.care import CAUTIONS, FINISHING, fibres_of_care
from pix2block.pattern.pattern import PatternRow, gather_rows, write_rows
from pix2block.pattern.words import in_full, part_lines, piece_line, row_lines
from pix2block.pattern.yarn_words import border_sentences, hook_words, join_sentences
from pix2block.yarn.weights import GAUGE_OVER_CM, WEIGHT_CLASSES

_WIDE = 78


def pattern_text(amounts: Amounts) -> str:
    """The pattern of a chart: materials, size, terms, every row, finishing, cautions."""
    chart = amounts.chart
    rows = write_rows(chart, amounts.plan)
    sections: list[tuple[str, list[str]]] = [
        ("Finished size", _size_lines(amounts)),
        ("Materials", _material_lines(amounts)),
        ("Time and tails", _time_lines(amounts)),
        ("Abbreviations", _abbreviation_lines(chart)),
        ("The parts of a row", part_lines(chart)),
        ("How to read the rows", _paragraphs(_how_to_read(chart))),
        ("The first of each kind, stitch by stitch", _first_of_each_kind(chart, rows)),
        ("The work, row by row", _work_lines(chart, rows)),
        *([("Border", _paragraphs(border_sentences(amounts)))] if chart.border else []),
        ("Finishing", _paragraphs(FINISHING)),
        ("Take care", _paragraphs(_cautions(chart))),
    ]
    lines = [f"Corner-to-corner pattern: {chart.title}"]
    for heading, body in sections:
        lines += ["", heading.upper(), *body]
    return "\n".join(lines) + "\n"


def _paragraphs(texts: Iterable[str]) -> list[str]:
    return [line for text in texts for line in _wrap(text, "- ", "  ")]


def _wrap(text: str, first: str, others: str) -> list[str]:
    return TextWrapper(
        _WIDE, initial_indent=first, subsequent_indent=others, break_long_words=False
    ).wrap(text)


def _size_lines(amounts: Amounts) -> list[str]:
    chart, measures = amounts.chart, amounts.measures
    width, height = amounts.finished_size_cm
    across, down = chart.layout.extent
    side = f"{measures.block_cm:.1f} cm ({measures.block_cm / CM_PER_INCH:.2f} in)"
    basis = (
        f"a guess from the yarn's weight class, within {100 * GUESS_SIZE_BAND:.0f}\u00a0%: "
        "make a swatch of 6 x 6 blocks"
        if measures.guessed
        else f"measured on a swatch, within {100 * measures.size_band:.1f}\u00a0%"
    )
    return _paragraphs(
        [
            f"{say_size(width, height)} after blocking, without a border",
            f"{across} x {down} blocks, {chart.last_row} diagonal rows",
            f"a block is {side} square: {basis}",
        ]
    )


def _material_lines(amounts: Amounts) -> list[str]:
    chart = amounts.chart
    weight = WEIGHT_CLASSES[chart.weight]
    gauge_stitch = words(chart.terms)[_gauge_stitch(chart)]
    low, high = weight.gauge
    gauge = f"{low}" if low == high else f"{low} to {high}"
    texts = []
    for yarn, amount in zip(chart.yarns, amounts.yarns, strict=True):
        if not amount.blocks:
            continue
        text = (
            f"{yarn.name} ({yarn.color}): {say_metres(amount.metres)}, from "
            f"{say_metres(amount.metres_low)} to {say_metres(amount.metres_high)}; "
            f"{amount.grams:.0f} g{' (a guess)' if amount.grams_guessed else ''}"
        )
        if amount.skeins is not None:
            text += f"; {say_count(amount.skeins, 'skein')} of {yarn.metres:g} m"
        if yarn.held == 2:
            text += "; held double"
        texts.append(text)
    texts += [
        f"yarn weight class {weight.number}, {weight.name} (Craft Yarn Council); "
        f"{words(chart.terms)['gauge']} on its label about {gauge} {gauge_stitch} over "
        f"{GAUGE_OVER_CM:.0f} cm (4 in)",
        hook_words(chart),
        "three stitch markers: two for the edges, one to hold the live loop",
        "a yarn needle with a large eye, scissors, pins for blocking",
    ]
    return _paragraphs(texts)


def _time_lines(amounts: Amounts) -> list[str]:
    plan = amounts.plan
    attached = int(plan.attached_by_row.max())
    row = int(plan.attached_by_row.argmax()) + 1
    pace = amounts.chart.pace
    return _paragraphs(
        [
            f"about {say_hours(amounts.hours)} of crochet at {pace.block:g} min a block and "
            f"{pace.change:g} min a colour change, and {say_hours(amounts.weave_in_hours)} of "
            f"weaving in at {pace.tail:g} min a tail",
            f"{say_count(int(amounts.changes_by_row.sum()), 'colour change')}, "
            f"{say_count(plan.tails, 'tail')} to weave in; leave "
            f"{amounts.chart.tail_cm:g} cm ({amounts.chart.tail_cm / CM_PER_INCH:.0f} in) each",
            f"most yarns hanging at once: {attached}, first in row {row}",
            *join_sentences(amounts),
        ]
    )


def _gauge_stitch(chart: Chart) -> str:
    """The US name of the stitch in which the standard gives the class's gauge."""
    return "dc" if chart.weight == 0 else "sc"


def _abbreviation_lines(chart: Chart) -> list[str]:
    word = words(chart.terms)
    used = ["ch", "sl st", BLOCKS[chart.block].stitch]
    if _gauge_stitch(chart) not in used:
        used.append(_gauge_stitch(chart))
    terms = f"{chart.terms.upper()} terms: "
    texts = [terms + "; ".join(f"{word[u]} = {word[LONG_NAMES[u]]}" for u in used)]
    space = BLOCKS[chart.block].chain
    texts.append(f"ch-{space} space = the space under the {space} chains of a block")
    return _paragraphs(texts)


def _how_to_read(chart: Chart) -> list[str]:
    to_left = chart.hand == "right"
    hand = f"{'right' if to_left else 'left'}-handed"
    way = "from right to left" if to_left else "from left to right"
    turn = (
        "the new colour comes in at the last stitch of the row, so the slip stitches at the turn "
        "have the next row's colour"
        if chart.turn == "early"
        else "the slip stitches at the turn keep the colour of the row before, and the new one "
        "comes in at the slip stitch into the chain space"
    )
    return [
        f"Hold the piece with the start corner down. Written for a {hand} maker: every row runs "
        f"{way} as it faces you, and the piece turns after each row. Odd-numbered ones show the "
        "right side.",
        "Runs are named in working order. A run of one colour is worked block by block; the slip "
        "stitch that joins a block has the colour of that block.",
        f"A new colour is drawn through at the last {words(chart.terms)['yarn over']} of the last "
        "stitch before it is needed. Drawing it through in the joining slip stitch is as common "
        "and changes no count. "
        f"Where the colour changes at a turn along the edge, {turn}.",
        "#1, #2 … is the bobbin of that colour to use; new: start it, leaving a tail; behind: "
        "carry the yarn behind over so many block sides, loosely, and catch it or work over it "
        "when that is longer than about a block; last: end it after this run, leaving a tail; "
        "only: a short length for this run alone. Where no yarn is named, take the one that hangs.",
    ]


def _first_of_each_kind(chart: Chart, rows: list[PatternRow]) -> list[str]:
    lines = []
    seen = set()
    for row in rows:
        kind = (row.row.begins, row.row.ends)
        if kind in seen:
            continue
        seen.add(kind)
        side = "right side" if row.row.side == "RS" else "wrong side"
        lines.append(f"  {kind[0].capitalize()}, {kind[1]} (number {row.row.number}, {side}):")
        for line in in_full(chart, row):
            lines += _wrap(line, "    ", "      ")
    return lines


def _work_lines(chart: Chart, rows: list[PatternRow]) -> list[str]:
    lines = [piece_line(chart), ""]
    for group in gather_rows(rows):
        lines += row_lines(chart, group)
    return lines


def _cautions(chart: Chart) -> list[str]:
    used = chart.blocks_by_yarn > 0
    fibres = [y.fibre for y, u in zip(chart.yarns, used, strict=True) if u and y.fibre]
    mixed = fibres_of_care(fibres)
    return [*CAUTIONS, *([mixed] if mixed else [])]
