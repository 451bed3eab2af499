"""The blocks that a pattern's rows tell: their first lines alone, as a tester corrects them."""

from __future__ import annotations

from collections.abc import Sequence

from pix2block.ground.errors import BadInput, nearest, refuse
from pix2block.ground.frozen import dataclass
from pix2block.proof.lines import Entry, find_lines
from pix2block.proof.reader import CHANGING, ROW, ROWS, RUN, read_head
from pix2block.proof.told import Head

Run = tuple[int, str]  # blocks and yarn


@dataclass(frozen=True)
class Told:
    """What a pattern tells of its piece. place: what its file is called; rows: the runs of each, in
    working order, from row 1 on."""

    place: str
    head: Head
    rows: tuple[tuple[Run, ...], ...]


def read_rows(text: str, place: str) -> Told:
    """A pattern's head line and the runs of its rows, yarns as they are written.

    Raises BadInput with every row that cannot be read, whose runs do not add up, or that is told
    twice or never.
    """
    head = read_head(text)
    if head is None:
        raise BadInput(f"{place}: no line “Piece: …” alone that can be read: leave it as it was")
    rows: dict[int, tuple[Run, ...]] = {}
    faults = []
    for entry in find_lines(text).rows:
        try:
            for number, runs in _rows_of(entry, place):
                if number in rows:
                    raise BadInput(f"{place}, row {number}: told twice: take one of them out")
                rows[number] = runs
        except BadInput as error:
            faults.append(error)
            rows |= {entry.number: ()} if entry.number else {}
    first, last = head.first_row, head.last_row
    asked = range(first, last + 1)
    faults += [
        BadInput(f"{place}, row {n}: the head line says rows {first} to {last}")
        for n in rows
        if n not in asked
    ]
    missing = next((n for n in asked if n not in rows), None)
    if missing is not None and not faults:
        raise BadInput(f"{place}, row {missing}: it is told nowhere: write its line again")
    refuse(faults)
    if first != 1 or last < 1:
        raise BadInput(f"{place}: its rows are {first} to {last}: a piece begins with 1")
    return Told(place, head, tuple(rows[n] for n in asked))


def _rows_of(entry: Entry, place: str) -> list[tuple[int, tuple[Run, ...]]]:
    """The rows of a line, each with its runs."""
    if one := ROW.fullmatch(entry.line):
        number, blocks = int(one[1]), int(one[3])
        runs = tuple(_run(told, f"{place}, row {number}") for told in one[4].split(", "))
        worked = sum(count for count, _ in runs)
        if worked != blocks:
            raise BadInput(
                f"{place}, row {number}: its runs have {worked} blocks, its line says {blocks}: "
                "let them add up"
            )
        return [(number, runs)]
    if several := ROWS.fullmatch(entry.line):
        first, last, name = int(several[1]), int(several[2]), several[4]
        count = int(several[3])
        name = _alone(name, count, f"{place}, row {first}")
        return [(n, ((count, name),)) for n in range(first, last + 1)]
    if changing := CHANGING.fullmatch(entry.line):
        first, last, name = int(changing[1]), int(changing[2]), changing[6]
        step = 1 if changing[5] == "more" else -1
        begin, end = int(changing[3]), int(changing[4])
        if begin + step * (last - first) != end:
            raise BadInput(
                f"{place}, row {first}: rows {first} to {last} do not go from {begin} to {end} "
                f"blocks with 1 {changing[5]} in each: let them add up"
            )
        return [(n, ((begin + step * (n - first), name),)) for n in range(first, last + 1)]
    row = f"row {entry.number}" if entry.number else "a row"
    raise BadInput(f"{place}, {row}: this line cannot be read: {entry.line}")


def _alone(told: str, count: int, where: str) -> str:
    """The yarn of gathered rows, which stands behind its blocks."""
    blocks, name = _run(told, where)
    if blocks != count:
        raise BadInput(
            f"{where}: its run has {blocks} blocks, its line says {count}: let them add up"
        )
    return name


def _run(told: str, where: str) -> Run:
    run = RUN.fullmatch(told)
    if not run:
        raise BadInput(f"{where}: “{told}” is no run: write blocks and yarn, as “3 Moss”")
    return int(run[1]), run[2]


def known_as(name: str, names: Sequence[str], where: str) -> int:
    """The number of the yarn that is meant, letter case and spaces aside. Raises BadInput."""
    keys = [" ".join(one.casefold().split()) for one in names]
    key = " ".join(name.casefold().split())
    if key in keys:
        return keys.index(key)
    near = nearest(name, names)
    raise BadInput(f"{where}: no yarn is called “{name}”" + (f": {near}?" if near else ""))
