"""The words of a pattern become instructions, row by row.

Only the words are read, by the rules that a pattern keeps; nothing is known here of who wrote them.
A NAME is matched against the piece's yarns, longest first.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from pix2block.ground.errors import nearest
from pix2block.proof.definitions import Unreadable
from pix2block.proof.lines import Entry, Fault, Lines, find_lines, stray
from pix2block.proof.told import Head, InFull, RowWords, Stretch, Words, WrittenBobbin

HEAD = re.compile(
    r"Piece: ([0-9]{1,6}) x ([0-9]{1,6}) blocks?, rows ([0-9]{1,6}) to ([0-9]{1,6}), "
    r"start corner ((?:bottom|top) (?:right|left)), (right|left) hand, "
    r"(\S+) blocks, (US|UK) terms, (early|late) turns\."
)
ROW = re.compile(r"Row ([0-9]{1,6}), (right|wrong) side, ([0-9]{1,6}) blocks?: (.+)\.")
ROWS = re.compile(r"Rows ([0-9]{1,6}) to ([0-9]{1,6}), ([0-9]{1,6}) blocks? each: (.+)\.")
CHANGING = re.compile(
    r"Rows ([0-9]{1,6}) to ([0-9]{1,6}), ([0-9]{1,6}) to ([0-9]{1,6}) blocks?, "
    r"1 (more|fewer) in each: (.+)\."
)
RUN = re.compile(r"([1-9][0-9]{0,5}) (.+)")
_NUMBERED = re.compile(r" #([1-9][0-9]{0,5})( new)?( behind ([0-9]{1,6}\.[0-9]{2}))?( last)?")
_FIRST = re.compile(r"First (corner|grow|travel), (full|stop) \(row ([0-9]{1,6})\):")
_WRITTEN = re.compile(r"(?:With ([^:]+): )?(?:([1-9][0-9]{0,5}) times: )?([^:]+)\.")


def read_words(text: str, names: Sequence[str], last_row: int) -> Words:
    """A pattern's head, parts and rows. names: the piece's yarns; last_row: of the piece, beyond
    which no gathered rows are read."""
    return _Reader(names, last_row).read(find_lines(text))


def read_head(text: str) -> Head | None:
    """What the head line says, None where there is not one alone that can be read."""
    return _Reader((), 0).head(find_lines(text).heads)


class _Reader:
    def __init__(self, names: Sequence[str], last_row: int) -> None:
        self.names = sorted(names, key=lambda name: (-len(name), name))
        self.known = frozenset(names)
        self.last_row = last_row
        self.faults: list[Fault] = []
        self.rows: list[RowWords] = []
        self.readable = True

    def read(self, lines: Lines) -> Words:
        self.faults += lines.strays
        head = self.head(lines.heads)
        parts: dict[str, str] = {}
        for name, told in lines.parts:
            if name in parts:
                self.faults.append(Fault(f"{name} is told twice"))
            parts.setdefault(name, told)
        firsts = [first for entry in lines.firsts if (first := self._first(entry))]
        if head is not None:
            self.last_row = min(self.last_row, head.last_row)
            for entry in lines.rows:
                self._row(entry)
            if not lines.rows:
                self.faults.append(Fault("there are no rows"))
        readable = self.readable and bool(self.rows)
        return Words(head, parts, tuple(firsts), tuple(self.rows), tuple(self.faults), readable)

    def head(self, lines: Sequence[str]) -> Head | None:
        if len(lines) != 1:
            self.faults.append(Fault(f"there are {len(lines)} lines “Piece: …”, not one"))
            return None
        m = HEAD.fullmatch(lines[0])
        if not m:
            self.faults.append(Fault(f"the head line cannot be read: {lines[0]}"))
            return None
        width, height, first, last = (int(m[i]) for i in range(1, 5))
        return Head(width, height, first, last, m[5], m[6], m[7], m[8], m[9])

    def _first(self, entry: Entry) -> InFull | None:
        """A row written out; None where it cannot be read, which is a fault."""
        m = _FIRST.fullmatch(entry.line)
        try:
            if not m:
                raise Unreadable(f"this line cannot be read: {entry.line}")
            lines: list[Stretch] = []
            for told in entry.under:
                line = _WRITTEN.fullmatch(told)
                if not line or not (line[1] or lines):
                    raise Unreadable(f"this line of a row written out cannot be read: {told}")
                yarn = self._name(line[1]) if line[1] else lines[-1].yarn
                lines.append(Stretch(yarn, int(line[2] or 1), line[3]))
            return InFull(m[1].capitalize(), m[2].capitalize(), int(m[3]), tuple(lines))
        except Unreadable as why:
            self.faults.append(Fault(str(why), int(m[3]) if m else None))
            return None

    def _row(self, entry: Entry) -> None:
        under = list(entry.under)
        try:
            if one := ROW.fullmatch(entry.line):
                self.rows.append(self._single(one, under))
            elif several := ROWS.fullmatch(entry.line):
                self.rows += self._gathered(several, under)
            elif changing := CHANGING.fullmatch(entry.line):
                self.rows += self._changing(changing, under)
            else:
                raise Unreadable(f"this line cannot be read: {entry.line}")
        except Unreadable as why:
            self.readable = False
            self.faults.append(Fault(str(why), entry.number))
        else:
            self.faults += [stray(line, entry.number) for line in under]

    def _single(self, m: re.Match[str], under: list[str]) -> RowWords:
        """Takes the lines of a row from those under it; what is left has no place."""
        row = RowWords(int(m[1]), m[2], int(m[3]), self._runs(m[4]))
        row = self._way(row, _next(under, "", "how it begins"))
        if under and under[0].startswith("Cut:"):
            cuts = tuple(map(self._bobbin, _entries(_next(under, "Cut:", ""))))
            if any(cut != WrittenBobbin(cut.name, cut.number or 1) for cut in cuts):
                raise Unreadable("a bobbin that is cut is told as “Moss #2”")
            row = replace(row, cuts=cuts)
        if not under or not under[0].startswith("Yarn:"):
            return row
        entries = _entries(_next(under, "Yarn:", ""))
        if len(entries) != len(row.runs):
            raise Unreadable(f"{len(row.runs)} runs, but {len(entries)} bobbins are told")
        return replace(row, bobbins=tuple(map(self._bobbin, entries)))

    def _gathered(self, m: re.Match[str], under: list[str]) -> list[RowWords]:
        """Rows of as many blocks each."""
        runs = self._runs(m[4])
        if len(runs) != 1:
            raise Unreadable("gathered rows are of one run")
        numbers = self._numbers(m)
        return self._of_one_run(numbers, [int(m[3])] * len(numbers), runs * len(numbers), under)

    def _changing(self, m: re.Match[str], under: list[str]) -> list[RowWords]:
        """Rows that grow or shrink by a block each."""
        first, last, name = int(m[3]), int(m[4]), self._name(m[6])
        numbers, step = self._numbers(m), 1 if m[5] == "more" else -1
        blocks = range(first, last + step, step)
        if len(blocks) != len(numbers) or min(first, last) < 1:
            raise Unreadable(
                f"rows {numbers[0]} to {numbers[-1]} do not go from {first} to {last} blocks "
                f"with 1 {m[5]} in each"
            )
        return self._of_one_run(numbers, blocks, [(count, name) for count in blocks], under)

    def _numbers(self, m: re.Match[str]) -> range:
        first, last = int(m[1]), int(m[2])
        if last <= first:
            raise Unreadable(f"rows {first} to {last} are not two or more")
        if last > self.last_row:
            raise Unreadable(f"rows {first} to {last} go beyond the last row, {self.last_row}")
        if self.rows and first <= self.rows[-1].number:
            raise Unreadable(f"rows {first} to {last} come after row {self.rows[-1].number}")
        return range(first, last + 1)

    def _of_one_run(
        self,
        numbers: range,
        blocks: Sequence[int],
        runs: Sequence[tuple[int, str]],
        under: list[str],
    ) -> list[RowWords]:
        of = {}
        for word in ("Odd", "Even"):
            line = _next(under, f"{word}:", f"the {word} rows")
            side = re.match(r"(right|wrong) side\. ", line)
            if not side:
                raise Unreadable(f"the {word} rows do not begin with their side")
            row = self._way(RowWords(0, side[1], 0, (), in_hand=True), line[side.end() :])
            if row.last_loop or row.begins_in or row.ends_in:
                raise Unreadable("gathered rows change no colour")
            of[word] = row
        return [
            replace(of["Odd" if number % 2 else "Even"], number=number, blocks=count, runs=(run,))
            for number, count, run in zip(numbers, blocks, runs, strict=True)
        ]

    def _runs(self, text: str) -> tuple[tuple[int, str], ...]:
        runs = []
        for told in text.split(", "):
            m = RUN.fullmatch(told)
            if not m:
                raise Unreadable(f"“{told}” is no run: write blocks and yarn, as “3 Moss”")
            runs.append((int(m[1]), self._name(m[2])))
        for (_, one), (_, other) in pairwise(runs):
            if one == other:
                raise Unreadable(f"two runs of {one} side by side are one run")
        return tuple(runs)

    def _name(self, text: str) -> str:
        if text not in self.known:
            near = nearest(text, self.names)
            raise Unreadable(f"no yarn is called “{text}”" + (f": {near}?" if near else ""))
        return text

    def _way(self, row: RowWords, line: str) -> RowWords:
        """How a row begins and ends, in the order that the words keep."""
        if not line.endswith("."):
            raise Unreadable(f"this line has no full stop at its end: {line}")
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
            raise Unreadable(f"“{told[0]}” is not what a row says here")
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
            raise Unreadable(f"“{text}” stands where {', '.join(words)} should")
        return word, self._name(name) if name else None

    def _bobbin(self, told: str) -> WrittenBobbin:
        for name in self.names:
            if told.startswith(name):
                rest = told[len(name) :]
                if rest == " only":
                    return WrittenBobbin(name, None, new=True, last=True)
                if m := _NUMBERED.fullmatch(rest):
                    return WrittenBobbin(name, int(m[1]), bool(m[2]), m[4], bool(m[5]))
        raise Unreadable(f"“{told}” tells no bobbin")


def _next(under: list[str], word: str, what: str) -> str:
    """Take the next line under a row, which begins with a word; what: it tells."""
    if not under or not under[0].startswith(word):
        raise Unreadable(f"{what} is not told" if not under else f"{what} is not told first")
    return under.pop(0)[len(word) :].strip()


def _entries(line: str) -> list[str]:
    """Bobbins of a line, a comma between."""
    if not line.endswith("."):
        raise Unreadable(f"the line of its yarn has no full stop at its end: {line}")
    return line[:-1].split(", ")
