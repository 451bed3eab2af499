"""Which blocks of a row a strip shows, in how many lines: places in blocks, no drawing yet."""

from __future__ import annotations

from collections.abc import Sequence

from pix2block.ground.frozen import dataclass
from pix2block.pattern.pattern import PatternRow

SHOWN = 3  # places of a run whose middle is left out: its first block, a gap, its last block
IN_SHORT = 2  # blocks of a longer run, touching, that carry its count


@dataclass(frozen=True)
class Cell:
    """A drawn block. place: blocks from where its line begins; number: its bobbin's, told on the
    first block of a run; first, last: of the row."""

    place: int
    yarn: int
    number: int | None
    first: bool
    last: bool


@dataclass(frozen=True)
class Line:
    """A line of a strip. counts: (middle of the run, its blocks), gaps: places where blocks are
    left out, places: its length; all along the line, in blocks."""

    cells: tuple[Cell, ...]
    counts: tuple[tuple[float, int], ...]
    gaps: tuple[int, ...]
    places: int


def lay_out(row: PatternRow, room: int, last_needs: int) -> list[Line]:
    """A row in short: a block for a single one, two for a longer run. In one line where it fits,
    else in lines about as long as each other, broken between runs.

    room: blocks that a line has room for; last_needs: of them, taken by what follows the row.
    """
    lengths = [_places(blocks, IN_SHORT) for blocks, _ in row.runs]
    lengths[-1] += last_needs
    lines = _broken(lengths, room)
    while len(tighter := _broken(lengths, room - 1)) == len(lines) and room > SHOWN + last_needs:
        lines, room = tighter, room - 1
    return [_line(row, runs, IN_SHORT) for runs in lines]


def run_line(row: PatternRow, run: int) -> Line:
    """One run alone, the middle of a long one left out."""
    return _line(row, [run], SHOWN)


def _places(blocks: int, most: int) -> int:
    return min(blocks, most)


def _broken(lengths: Sequence[int], room: int) -> list[list[int]]:
    lines: list[list[int]] = [[]]
    filled = 0
    for run, length in enumerate(lengths):
        if lines[-1] and filled + length > room:
            lines.append([])
            filled = 0
        lines[-1].append(run)
        filled += length
    return lines


def _line(row: PatternRow, runs: Sequence[int], most: int) -> Line:
    cells: list[Cell] = []
    counts, gaps = [], []
    begin = 0
    for run in runs:
        blocks, yarn = row.runs[run]
        places = _places(blocks, most)
        for i in range(places):
            if SHOWN <= places < blocks and i == places - 2:
                gaps.append(begin + i)
                continue
            number = row.bobbins[run].number if i == 0 and not row.bobbins_plain else None
            first = run == 0 and i == 0
            last = run == len(row.runs) - 1 and i == places - 1
            cells.append(Cell(begin + i, yarn, number, first, last))
        counts.append((begin + places / 2, blocks))
        begin += places
    return Line(tuple(cells), tuple(counts), tuple(gaps), begin)
