"""Rows in the document: the first of each kind in full stitches; every row."""

from __future__ import annotations

from collections.abc import Sequence

from pix2block.chart.chart import Chart
from pix2block.pattern.document import InFull, Passage, RowEntries, RowEntry
from pix2block.pattern.pattern import PatternRow, gather_rows
from pix2block.pattern.words import in_full, piece_line, row_lines


def kind_of(row: PatternRow) -> tuple[str, str]:
    """How a row begins and ends."""
    return row.row.begins, row.row.ends


def first_of_each_kind(chart: Chart, rows: Sequence[PatternRow]) -> tuple[Passage, ...]:
    """The first row of each kind, stitch by stitch."""
    seen = set()
    parts = []
    for row in rows:
        begins, ends = kind_of(row)
        if (begins, ends) in seen:
            continue
        seen.add((begins, ends))
        side = "right side" if row.row.side == "RS" else "wrong side"
        heading = f"{begins.capitalize()}, {ends} (number {row.row.number}, {side})"
        parts.append(InFull(heading, tuple(in_full(chart, row))))
    return tuple(parts)


def row_parts(chart: Chart, rows: Sequence[PatternRow], every_row: bool) -> tuple[Passage, ...]:
    """Every row; those that repeat are gathered unless every one is asked for."""
    groups = [[row] for row in rows] if every_row else gather_rows(rows)
    entries = []
    for group in groups:
        first, *more = row_lines(chart, group)
        entries.append(RowEntry(tuple(group), first, tuple(line.strip() for line in more)))
    return (RowEntries(piece_line(chart), tuple(entries)),)
