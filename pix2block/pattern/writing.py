"""The whole pattern, from a chart's amounts: which sections it has, and in which order."""

from __future__ import annotations

from collections.abc import Sequence

from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.pattern.abbreviations import (
    abbreviation_parts,
    definition_parts,
    key_parts,
    reading_parts,
)
from pix2block.pattern.care import caution_parts, finishing_parts
from pix2block.pattern.credit import NO_CREDIT, Credit
from pix2block.pattern.document import (
    Bullets,
    Document,
    InFull,
    Passage,
    Pictures,
    RowEntries,
    RowEntry,
    Section,
)
from pix2block.pattern.front import material_parts, size_parts, time_parts
from pix2block.pattern.howto import howto_parts
from pix2block.pattern.pattern import PatternRow, gather_rows, write_rows
from pix2block.pattern.winding import bobbin_parts, tail_parts
from pix2block.pattern.words import in_full, piece_line, row_lines
from pix2block.pattern.yarn_words import border_sentences


def write_document(
    amounts: Amounts,
    credit: Credit = NO_CREDIT,
    every_row: bool = False,
    rows: Sequence[PatternRow] | None = None,
) -> Document:
    """The pattern of a chart. every_row: each row has lines of its own, also where rows repeat;
    rows: as `write_rows` gives them, where they are at hand."""
    chart = amounts.chart
    rows = write_rows(chart, amounts.plan) if rows is None else rows
    front = [
        Section("size", "Finished size", size_parts(amounts)),
        Section("time", "Time and tails", time_parts(amounts)),
        Section("materials", "Materials", material_parts(amounts)),
    ]
    if credit.notes:
        front.append(Section("notes", "Notes", (Bullets(credit.notes),)))
    sections = [
        *front,
        Section("abbreviations", "Abbreviations", abbreviation_parts(chart)),
        Section("parts", "The parts of a row", definition_parts(chart)),
        Section("reading", "How to read the rows", reading_parts(chart, rows)),
        Section("key", "Key to the marks", key_parts(amounts, rows)),
        Section("how-to", "How to", howto_parts(amounts, rows)),
        Section("kinds", "The first row of each kind", first_of_each_kind(chart, rows)),
        Section("chart", "The chart", (Pictures("whole", _WHOLE), Pictures("held", _HELD))),
        Section("chart-bands", "The chart in bands of rows", (Pictures("bands", _BANDS),)),
        Section("rows", "The work, row by row", row_parts(amounts, rows, every_row)),
        Section("tails", "Tails", tail_parts(amounts)),
        Section("bobbins", "Bobbins to wind", bobbin_parts(amounts)),
        *_border(amounts),
        Section("finishing", "Finishing", finishing_parts(amounts)),
        Section("care", "Take care", caution_parts(amounts)),
    ]
    return Document(
        title=chart.title,
        description=f"Corner-to-corner crochet pattern. {piece_line(chart)}",
        authors=(credit.designer,) if credit.designer else (),
        by=credit.lines,
        sections=tuple(sections),
        front=len(front),
    )


def _border(amounts: Amounts) -> tuple[Section, ...]:
    sentences = tuple(border_sentences(amounts))
    return (Section("border", "Border", (Bullets(sentences),)),) if sentences else ()


_WHOLE = "As the picture is seen, from the right side."
_HELD = (
    "As it lies in the hands, right side facing, start corner down. On wrong-side rows left and "
    "right change places."
)
_BANDS = "Level rows, each on one page, as they lie in the hands."


def first_of_each_kind(chart: Chart, rows: Sequence[PatternRow]) -> tuple[Passage, ...]:
    """The first row of each kind, stitch by stitch."""
    seen = set()
    parts = []
    for row in rows:
        begins, ends = row.row.begins, row.row.ends
        if (begins, ends) in seen:
            continue
        seen.add((begins, ends))
        heading = f"First {begins}, {ends} (row {row.row.number})"
        parts.append(InFull(heading, tuple(in_full(chart, row))))
    return tuple(parts)


def row_parts(amounts: Amounts, rows: Sequence[PatternRow], every_row: bool) -> tuple[Passage, ...]:
    """Every row; those that repeat are gathered unless every one is asked for."""
    chart = amounts.chart
    groups = [[row] for row in rows] if every_row else gather_rows(rows)
    entries = []
    for group in groups:
        first, *more = row_lines(chart, group)
        entries.append(RowEntry(tuple(group), first, tuple(line.strip() for line in more)))
    return (RowEntries(piece_line(chart), tuple(entries), winding_of(amounts)),)


def winding_of(amounts: Amounts) -> dict[tuple[int, int], float]:
    """Metres of the bobbins that start, by row and place in it from 0; none of those that come off
    a skein."""
    runs, starts = amounts.chart.runs, amounts.plan.first_runs
    places = zip(runs.row[starts].tolist(), runs.number[starts].tolist(), strict=True)
    return {
        (row, number - 1): bobbin.metres
        for (row, number), bobbin in zip(places, amounts.bobbins, strict=True)
        if not bobbin.from_skein
    }
