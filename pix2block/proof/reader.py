"""The words of a pattern become instructions, row by row.

Only the words are read, by the rules that a pattern keeps; nothing is known here of who wrote them.
A NAME is matched against the piece's yarns, longest first.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from pix2block.ground.errors import nearest


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
class Head:
    """What the head line says is worked, in its own words."""

    width: int
    height: int
    first_row: int
    last_row: int
    corner: str
    hand: str
    stitch: str
    terms: str
    turn: str


@dataclass(frozen=True)
class WrittenBobbin:
    """What is told of a run's yarn. number: None for a strand that works this run alone; behind:
    its float as it is written, None where none is told."""

    name: str
    number: int | None
    new: bool = False
    behind: str | None = None
    last: bool = False


@dataclass(frozen=True)
class RowWords:
    """One row as it is told. runs: blocks and yarn of each; begins: Corner, Grow or Travel; ends:
    Full or Stop; slips_in: the yarn of the slip stitches at each, where one is named; bobbins: one
    a run, None where none are told; in_hand: it goes on in the bobbin in hand (gathered rows)."""

    number: int
    side: str
    blocks: int
    runs: tuple[tuple[int, str], ...]
    begins: str = ""
    begins_in: str | None = None
    ends: str = ""
    ends_in: str | None = None
    last_loop: str | None = None
    marker: bool = False
    unmark: bool = False
    bobbins: tuple[WrittenBobbin, ...] | None = None
    in_hand: bool = False


@dataclass(frozen=True)
class Words:
    """A pattern as it was read. parts: the definition of each part; readable: every row was."""

    head: Head | None
    parts: Mapping[str, str]
    rows: tuple[RowWords, ...]
    faults: tuple[Fault, ...]
    readable: bool


PARTS = ("Corner", "Grow", "Travel", "Block", "Join", "Full", "Stop", "Turn")

_HEAD = re.compile(
    r"Piece: ([0-9]{1,6}) x ([0-9]{1,6}) blocks?, rows ([0-9]{1,6}) to ([0-9]{1,6}), "
    r"start corner ((?:bottom|top) (?:right|left)), (right|left) hand, "
    r"(\S+) blocks, (US|UK) terms, (early|late) turns\."
)
_ROW = re.compile(r"Row ([0-9]{1,6}), (right|wrong) side, ([0-9]{1,6}) blocks?: (.+)\.")
_ROWS = re.compile(r"Rows ([0-9]{1,6}) to ([0-9]{1,6}), ([0-9]{1,6}) blocks? each: (.+)\.")
_RUN = re.compile(r"([1-9][0-9]{0,5}) (.+)")
_NUMBERED = re.compile(r" #([1-9][0-9]{0,5})( new)?( behind ([0-9]{1,6}\.[0-9]{2}))?( last)?")
_WAY = re.compile(r"(Corner|Grow|Travel)\b")
_DEFINITION = re.compile(rf"({'|'.join(PARTS)}): *(.*)")


class _Unreadable(Exception):
    pass


def read_words(text: str, names: Sequence[str]) -> Words:
    """A pattern's head, parts and rows. names: the piece's yarns."""
    return _Reader(names).read(text)


class _Reader:
    def __init__(self, names: Sequence[str]) -> None:
        self.names = sorted(names, key=lambda name: (-len(name), name))
        self.known = frozenset(names)
        self.faults: list[Fault] = []
        self.heads: list[Head] = []
        self.parts: dict[str, str] = {}
        self.rows: list[RowWords] = []
        self.readable = True

    def read(self, text: str) -> Words:
        lines = [line.rstrip() for line in text.split("\n")]
        at = 0
        while at < len(lines):
            line, under = lines[at], at + 1
            if line.startswith(("Row ", "Rows ")):
                while under < len(lines) and lines[under].startswith((" ", "\t")):
                    under += 1
                self._row(line, [told.strip() for told in lines[at + 1 : under]])
            elif line.startswith("Piece: "):
                self._head(line)
            else:
                self._part(line)
            at = under
        if len(self.heads) != 1:
            self.faults.append(Fault(f"there are {len(self.heads)} lines “Piece: …”, not one"))
        if not self.rows and self.readable:
            self.readable = False
            self.faults.append(Fault("there are no rows"))
        head = self.heads[0] if self.heads else None
        return Words(head, self.parts, tuple(self.rows), tuple(self.faults), self.readable)

    def _head(self, line: str) -> None:
        m = _HEAD.fullmatch(line)
        if not m:
            self.faults.append(Fault(f"the head line cannot be read: {line}"))
            return
        width, height, first, last = (int(m[i]) for i in range(1, 5))
        self.heads.append(Head(width, height, first, last, m[5], m[6], m[7], m[8], m[9]))

    def _part(self, line: str) -> None:
        m = _DEFINITION.fullmatch(line)
        if m and m[1] in self.parts:
            self.faults.append(Fault(f"{m[1]} is told twice"))
        elif m:
            self.parts[m[1]] = m[2]

    def _row(self, line: str, under: list[str]) -> None:
        number = re.match(r"Rows? ([0-9]{1,6})", line)
        try:
            if one := _ROW.fullmatch(line):
                self.rows.append(self._single(one, under))
            elif several := _ROWS.fullmatch(line):
                self.rows += self._gathered(several, under)
            else:
                raise _Unreadable(f"this line cannot be read: {line}")
        except _Unreadable as why:
            self.readable = False
            self.faults.append(Fault(str(why), int(number[1]) if number else None))

    def _single(self, m: re.Match[str], under: list[str]) -> RowWords:
        row = RowWords(int(m[1]), m[2], int(m[3]), self._runs(m[4]))
        row = self._way(row, _the_one([t for t in under if _WAY.match(t)], "how it begins"))
        yarn = [told for told in under if told.startswith("Yarn:")]
        if not yarn:
            return row
        line = _the_one(yarn, "its yarn")
        if not line.endswith("."):
            raise _Unreadable(f"the line of its yarn has no full stop at its end: {line}")
        entries = line[len("Yarn:") : -1].strip().split(", ")
        if len(entries) != len(row.runs):
            raise _Unreadable(f"{len(row.runs)} runs, but {len(entries)} bobbins are told")
        return replace(row, bobbins=tuple(self._bobbin(entry) for entry in entries))

    def _gathered(self, m: re.Match[str], under: list[str]) -> list[RowWords]:
        first, last, blocks, runs = int(m[1]), int(m[2]), int(m[3]), self._runs(m[4])
        if last <= first:
            raise _Unreadable(f"rows {first} to {last} are not two or more")
        if last - first > 100_000:
            raise _Unreadable(f"rows {first} to {last} are more than a piece has")
        if len(runs) != 1:
            raise _Unreadable("gathered rows are of one run")
        of = {}
        for word in ("Odd", "Even"):
            line = _the_one([t for t in under if t.startswith(f"{word}:")], f"the {word} rows")
            side = re.match(r"(right|wrong) side\. ", line[len(word) + 1 :].strip())
            if not side:
                raise _Unreadable(f"the {word} rows do not begin with their side")
            way = line[len(word) + 1 :].strip()[side.end() :]
            row = self._way(RowWords(0, side[1], blocks, runs, in_hand=True), way)
            if row.last_loop or row.begins_in or row.ends_in:
                raise _Unreadable("gathered rows change no colour")
            of[word] = row
        return [
            replace(of["Odd" if number % 2 else "Even"], number=number)
            for number in range(first, last + 1)
        ]

    def _runs(self, text: str) -> tuple[tuple[int, str], ...]:
        runs = []
        for told in text.split(", "):
            m = _RUN.fullmatch(told)
            if not m:
                raise _Unreadable(f"“{told}” is no run: write blocks and yarn, as “3 Moss”")
            runs.append((int(m[1]), self._name(m[2])))
        for (_, one), (_, other) in pairwise(runs):
            if one == other:
                raise _Unreadable(f"two runs of {one} side by side are one run")
        return tuple(runs)

    def _name(self, text: str) -> str:
        if text not in self.known:
            near = nearest(text, self.names)
            raise _Unreadable(f"no yarn is called “{text}”" + (f": {near}?" if near else ""))
        return text

    def _way(self, row: RowWords, line: str) -> RowWords:
        """How a row begins and ends, in the order that the words keep."""
        if not line.endswith("."):
            raise _Unreadable(f"this line has no full stop at its end: {line}")
        told = [word.strip() for word in line[:-1].split(".")]
        begins, begins_in = self._with_name(told.pop(0), ("Corner", "Grow", "Travel"), ("Travel",))
        ends, ends_in = self._with_name(told.pop(0) if told else "", ("Full", "Stop"), ("Stop",))
        last_loop = None
        if told and told[0].startswith("Last loop in "):
            last_loop = self._name(told.pop(0)[len("Last loop in ") :])
        marker = bool(told) and told[0] == "Marker in block 1"
        del told[:marker]
        unmark = bool(told) and told[0] == "Remove the old marker"
        del told[:unmark]
        if told:
            raise _Unreadable(f"“{told[0]}” is not what a row says here")
        return replace(
            row,
            begins=begins,
            begins_in=begins_in,
            ends=ends,
            ends_in=ends_in,
            last_loop=last_loop,
            marker=marker,
            unmark=unmark,
        )

    def _with_name(
        self, text: str, words: Sequence[str], named: Sequence[str]
    ) -> tuple[str, str | None]:
        word, _, name = text.partition(" in ")
        if word not in words or (name and word not in named):
            raise _Unreadable(f"“{text}” stands where {', '.join(words)} should")
        return word, self._name(name) if name else None

    def _bobbin(self, told: str) -> WrittenBobbin:
        for name in self.names:
            if told.startswith(name):
                rest = told[len(name) :]
                if rest == " only":
                    return WrittenBobbin(name, None, new=True, last=True)
                if m := _NUMBERED.fullmatch(rest):
                    return WrittenBobbin(name, int(m[1]), bool(m[2]), m[4], bool(m[5]))
        raise _Unreadable(f"“{told}” tells no bobbin")


def _the_one(lines: list[str], what: str) -> str:
    if len(lines) != 1:
        raise _Unreadable(f"{what} is told {len(lines)} times, not once")
    return lines[0]
