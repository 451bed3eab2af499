"""Rows in the document: the first of each kind in full stitches, every row, what to wind."""

from __future__ import annotations

from collections.abc import Sequence

from pix2block.amounts.bobbins import bobbins_of
from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.ground.units import say_count, say_metres
from pix2block.pattern.document import Bullets, InFull, Lengths, Part, RowEntries, RowEntry
from pix2block.pattern.pattern import PatternRow, gather_rows
from pix2block.pattern.words import in_full, piece_line, row_lines

LONG = ", on a card"  # of a bobbin longer than the hand holds


def kind_of(row: PatternRow) -> tuple[str, str]:
    """How a row begins and ends."""
    return row.row.begins, row.row.ends


def first_of_each_kind(chart: Chart, rows: Sequence[PatternRow]) -> tuple[Part, ...]:
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


def row_parts(chart: Chart, rows: Sequence[PatternRow], every_row: bool) -> tuple[Part, ...]:
    """Every row; those that repeat are gathered unless every one is asked for."""
    groups = [[row] for row in rows] if every_row else gather_rows(rows)
    entries = []
    for group in groups:
        first, *more = row_lines(chart, group)
        entries.append(RowEntry(tuple(group), first, tuple(line.strip() for line in more)))
    return (RowEntries(piece_line(chart), tuple(entries)),)


def bobbin_parts(amounts: Amounts) -> tuple[Part, ...]:
    """What to wind of each yarn: bobbins with their length and rows, lengths for one run alone."""
    bobbins = bobbins_of(amounts)
    butterfly = amounts.chart.butterfly_m
    parts: list[Part] = [
        Bullets(
            (
                "A bobbin's length holds its tails. Wind one when its first row comes, not all at "
                "once; a number is free again after the bobbin's last row, and used for another "
                "length.",
                f"Up to {butterfly:g} m is a butterfly on the hand. What is longer says on a card: "
                "wind it on a card or a bobbin, or leave it on the skein.",
            )
        )
    ]
    for number, yarn in enumerate(amounts.chart.yarns):
        of_yarn = [b for b in bobbins if b.yarn == number]
        numbered = [b for b in of_yarn if b.number is not None]
        alone = [b for b in of_yarn if b.number is None]
        if not of_yarn:
            continue
        entries = tuple(
            f"#{b.number} rows {b.first_row} to {b.last_row}, {say_metres(b.metres)}"
            f"{LONG if b.over_hand else ''}"
            for b in numbered
        )
        more = None
        if alone:
            in_all = say_metres(sum(b.metres for b in alone))
            longest = say_metres(max(b.metres for b in alone))
            more = (
                f"and {say_count(len(alone), 'length')} for one run alone, {in_all} in all"
                f"{f', the longest {longest}' if len(alone) > 1 else ''}"
            )
        parts.append(Lengths(yarn.name, entries, more))
    return tuple(parts)
