"""The lines of a pattern that a maker works from, and those that have no place among them.

From the head line to the end of the last row stand rows with the lines under them, definitions,
rows written out, and nothing else: an instruction in between would be followed, whatever it says.
Only a line without a letter or a figure, an empty one or a rule, says nothing and may stand there.
"""

from __future__ import annotations

import re

from pix2block.ground.frozen import dataclass


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong. row, run: from 1, None where it lies in no row or run."""

    text: str
    row: int | None = None
    run: int | None = None

    def __str__(self) -> str:
        if self.row is None:
            return self.text
        place = f"row {self.row}" if self.run is None else f"row {self.row}, run {self.run}"
        return f"{place}: {self.text}"


@dataclass(frozen=True)
class Entry:
    """A line that begins at the edge, and the indented ones right under it that say something."""

    line: str
    under: tuple[str, ...]

    @property
    def number(self) -> int | None:
        """The first row that a row's line names, None where it names none."""
        named = re.match(r"Rows? ([0-9]{1,6})", self.line)
        return int(named[1]) if named else None


@dataclass(frozen=True)
class Lines:
    """What was found. heads: "Piece: …"; parts: definitions, name and text; firsts: rows written
    out; rows; strays: faults, one a line without a place."""

    heads: tuple[str, ...]
    parts: tuple[tuple[str, str], ...]
    firsts: tuple[Entry, ...]
    rows: tuple[Entry, ...]
    strays: tuple[Fault, ...]


PARTS = ("Corner", "Grow", "Travel", "Block", "Join", "Full", "Stop", "Turn")

_HEAD = "Piece: "
_ROW = re.compile(r"Rows?\b")
_FIRST = re.compile(r"First (?:corner|grow|travel)\b")
_DEFINITION = re.compile(rf"({'|'.join(PARTS)}): *(.*)")


def stray(line: str, row: int | None) -> Fault:
    """A line that has no place where it stands."""
    return Fault(f"“{line}” has no place here: rows and the lines that belong to them alone", row)


def find_lines(text: str) -> Lines:
    """Sort a pattern's lines; what stands before the head line and after the last row is left
    aside, but for definitions and rows written out."""
    lines = [line.rstrip() for line in text.split("\n")]
    heads: list[str] = []
    parts: list[tuple[str, str]] = []
    firsts: list[Entry] = []
    rows: list[Entry] = []
    strays: list[Fault] = []
    begin, end = _stretch(lines)
    at = 0
    while at < len(lines):
        line, after = lines[at], at + 1
        if _ROW.match(line) or _FIRST.match(line):
            while lines[after : after + 1] and lines[after][:1].isspace():
                after += 1
            under = tuple(told.strip() for told in lines[at + 1 : after] if _says(told))
            (rows if _ROW.match(line) else firsts).append(Entry(line, under))
        elif line.startswith(_HEAD):
            heads.append(line)
        elif m := _DEFINITION.fullmatch(line):
            parts.append((m[1], m[2]))
        elif begin <= at < end and _says(line):
            strays.append(stray(line.strip(), rows[-1].number if rows else None))
        at = after
    return Lines(tuple(heads), tuple(parts), tuple(firsts), tuple(rows), tuple(strays))


def _stretch(lines: list[str]) -> tuple[int, int]:
    """From the head line, or the first row without one before it, to the empty line after the last
    row; both 0 where there are no rows."""
    rows = [at for at, line in enumerate(lines) if _ROW.match(line)]
    if not rows:
        return 0, 0
    head = next((at for at in range(rows[0]) if lines[at].startswith(_HEAD)), rows[0])
    end = rows[-1]
    while end < len(lines) and lines[end]:
        end += 1
    return head, end


def _says(line: str) -> bool:
    return any(letter.isalnum() for letter in line)
