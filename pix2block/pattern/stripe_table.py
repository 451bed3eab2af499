"""A striped piece as a table: a line a stripe, in the words of the rows."""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import replace

from pix2block.chart.chart import Chart
from pix2block.craft.tails import edge_begun, edge_ended
from pix2block.ground.frozen import dataclass
from pix2block.pattern.bands import bands_of, ends_in_plain_words
from pix2block.pattern.document import RowEntries
from pix2block.pattern.pattern import PatternRow
from pix2block.pattern.row_units import Winding, use_words
from pix2block.pattern.words import cut_words

_EARLY = (
    "The next yarn comes in early: the last loop of a stripe, and every slip stitch after it along "
    "the edge or at the marker, are of the next stripe's yarn."
)
_LATE = (
    "The next yarn comes in late: where a row begins with a block, at the last loop of the stripe; "
    "where it climbs the edge, at the slip stitch into the chain space."
)


@dataclass(frozen=True)
class StripeLine:
    """Rows in one length of yarn. rows: first and last; yarn: its number in the chart; bobbin: "#2"
    or "" where none need be named; begins: "new", "behind 2.0", "" where the yarn in hand goes on;
    ends: "last", "" where it is left hanging; blocks: "15", "3 to 4"; way: the edges from which and
    to which it leads; band: how rows from here on begin and end, "" where that is said."""

    rows: tuple[int, int]
    yarn: int
    bobbin: str
    begins: str
    ends: str
    blocks: str
    way: tuple[str, str]
    band: str


def is_striped(chart: Chart) -> bool:
    """Whether every row is of one yarn, and not all of the same."""
    return len(chart.runs.color) == chart.last_row and len(set(chart.runs.color.tolist())) > 1


def turn_note(chart: Chart) -> str:
    """Where a stripe's yarn comes in, in a sentence."""
    return _EARLY if chart.turn == "early" else _LATE


def stripe_table(entries: RowEntries, names: Sequence[str]) -> list[StripeLine]:
    """The stripes of a piece whose rows are each of one yarn, in working order. names: of its
    yarns, by number."""
    rows = [row for entry in entries.entries for row in entry.rows]
    starts = [at for at, row in enumerate(rows) if row.cuts or not row.goes_on]
    bands = _said_bands(rows)
    numbers = {(row.runs[0][1], row.bobbins[0].number) for row in rows}
    several = {yarn for yarn, number in numbers if (number or 1) > 1}
    lines = []
    for start, after in zip(starts, [*starts[1:], len(rows)], strict=True):
        group = rows[start:after]
        first, last = group[0].row.number, group[-1].row.number
        said = [text for at, text in bands if first <= at <= last]
        line = _line(group, entries.winding, " ".join(said), several)
        cut = cut_words(group[0], names)
        begins = ", ".join(part for part in (cut and f"cut {cut}", line.begins) if part)
        lines.append(replace(line, begins=begins))
    return lines


def _line(
    rows: Sequence[PatternRow], winding: Winding, band: str, several: Container[int]
) -> StripeLine:
    first, last = rows[0], rows[-1]
    use = first.bobbins[0]
    wound = winding.get((first.row.number, 0))
    begins = use_words(use, wound, ends=False)
    low, high = first.row.blocks, last.row.blocks
    most = max(row.row.blocks for row in rows)
    shown = str(low) if low == high else f"{low} to {high}"
    if most > max(low, high):
        shown = f"{low} to {most} to {high}"
    return StripeLine(
        rows=(first.row.number, last.row.number),
        yarn=first.runs[0][1],
        bobbin=f"#{use.number}" if use.number and use.yarn in several else "",
        begins=begins,
        ends="last" if use.number is not None and last.bobbins[0].last else "",
        blocks=shown,
        way=(edge_begun(first.row), edge_ended(last.row)),
        band=band,
    )


def _said_bands(rows: Sequence[PatternRow]) -> list[tuple[int, str]]:
    """How rows begin and end, by the row from which on it holds, each said where it changes."""
    said: list[tuple[int, str]] = []
    told: tuple[str, ...] = ()
    by_number = {row.row.number: row for row in rows}
    for band in bands_of(rows):
        if not band.words:
            numbers = range(band.first, band.last + 1)
            said += [(n, f"Row {n}: {ends_in_plain_words(by_number[n])}") for n in numbers]
        elif band.words != told:
            said.append((band.first, band.text))
            told = band.words
    return said
