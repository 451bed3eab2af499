"""Abbreviations, the words of the rows, and the key to the marks: only what this pattern uses."""

from __future__ import annotations

from collections.abc import Sequence

from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.chart.terms import LONG_NAMES, words
from pix2block.craft.stitches import BLOCKS
from pix2block.pattern.document import Bullets, Definitions, MarksKey, Passage
from pix2block.pattern.front import gauge_stitch, yarn_lines
from pix2block.pattern.pattern import PatternRow
from pix2block.pattern.words import stitch_parts


def abbreviation_parts(chart: Chart) -> tuple[Passage, ...]:
    """The stitches that the pattern names, in the chart's terms."""
    word = words(chart.terms)
    used = ["ch", "sl st", BLOCKS[chart.block].stitch]
    if gauge_stitch(chart) not in used:
        used.append(gauge_stitch(chart))
    terms = f"{chart.terms.upper()} terms: "
    space = BLOCKS[chart.block].chain
    return (
        Bullets(
            (
                terms + "; ".join(f"{word[u]} = {word[LONG_NAMES[u]]}" for u in used),
                f"ch-{space} space = the space under the {space} chains of a block",
            )
        ),
    )


def definition_parts(chart: Chart) -> tuple[Passage, ...]:
    """What the words that begin and end a row stand for, in stitches."""
    return (Definitions(tuple((name, f"{text}.") for name, text in stitch_parts(chart).items())),)


_TURNS = {
    "late": "Late turns: where the colour changes and the next row climbs the edge, the slip "
    "stitches there keep the old colour; the new one comes in after them, at the slip stitch into "
    "the space.",
    "early": "Early turns: where the colour changes and the next row climbs the edge, the new "
    "colour comes in at the last stitch of the row; the slip stitches of the climb have it "
    "already.",
}


def reading_parts(chart: Chart, rows: Sequence[PatternRow]) -> tuple[Passage, ...]:
    """How to read the rows."""
    to_left = chart.hand == "right"
    hand = f"{'right' if to_left else 'left'}-handed"
    way = "from right to left" if to_left else "from left to right"
    texts = [
        f"Hold the piece with the start corner down. Written for a {hand} maker: every row runs "
        f"{way} as it faces you, and the piece turns after each row. Odd-numbered ones show the "
        "right side.",
        "Runs are named in working order. A run of one colour is worked block by block; the slip "
        "stitch that joins a block has the colour of that block.",
        "Count the blocks of each row: a count that differs from what it says is a slip in this "
        "row, found while it is small.",
    ]
    if any(len(row.runs) > 1 for row in rows) or len({row.runs[0][1] for row in rows}) > 1:
        texts.append(_TURNS[chart.turn])
        if chart.done and {*chart.turns[: chart.done.row]} - {chart.turn}:
            texts.append("Rows that are made keep the turns that they were worked with.")
    if any(row.cuts or not row.bobbins_plain for row in rows):
        texts.append(_bobbin_words(rows))
    return (Bullets(tuple(texts)),)


def _bobbin_words(rows: Sequence[PatternRow]) -> str:
    """What the words of the yarn lines mean: those that occur."""
    uses = [use for row in rows if not row.bobbins_plain for use in row.bobbins]
    said = []
    if any(use.number is not None for use in uses):
        said.append("#1, #2 \u2026 is the bobbin of that colour to use")
    if any(use.new and use.number is not None for use in uses):
        said.append("new: start it, leaving a tail")
    if any(use.behind_square is not None for use in uses):
        said.append(
            "behind: carry the yarn behind over so many block sides, loosely, and catch it or "
            "work over it when that is longer than about a block"
        )
    if any(use.last and use.number is not None for use in uses):
        said.append("last: end it after this run, leaving a tail")
    if any(use.number is None for use in uses):
        said.append("only: a short length for this run alone")
    if any(row.cuts for row in rows):
        said.append("Cut: end these, which hang and are taken up no more, leaving a tail")
    return "; ".join(said) + ". Where none is named, take the one that hangs."


def key_parts(amounts: Amounts, rows: Sequence[PatternRow]) -> tuple[Passage, ...]:
    """The marks on charts and row strips."""
    several = len({color for row in rows for _, color in row.runs}) > 1
    texts = []
    if several:
        texts.append(
            "Each yarn has its mark, heavier the darker the yarn; the lightest has none. So the "
            "chart also reads in black and white."
        )
    texts += [
        "A row's number stands where the row begins; its wedge points the way the hook goes, full "
        "for right-side rows, open for wrong-side ones.",
        "Heavier lines mark every tenth column and line, counted from the start corner.",
    ]
    if several:
        texts.append(
            "In a drawn row the figure inside is how many blocks a run has, the one below the "
            "number of its bobbin. A ring is a stitch marker: where the row begins put one in, "
            "where it ends take it out."
        )
    return (MarksKey(yarn_lines(amounts), tuple(texts)),)
