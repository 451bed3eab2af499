"""The proof of a pattern: its words are worked, and what comes of it is compared with the chart.

The chart gives its blocks, yarns and settings as they are kept; how it is read in rows, and how
the yarn's path was planned, is not asked for here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, pairwise, repeat, zip_longest

import numpy as np

from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.chart.terms import words
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import StartCorner, say_corner, sides_of
from pix2block.proof.bobbins import Link, Run, Strand
from pix2block.proof.definitions import Unreadable, definitions, read_steps
from pix2block.proof.fabric import Block, LaidOut, Unworkable, lay_out
from pix2block.proof.hook import Taken, Worked, work
from pix2block.proof.lines import Fault
from pix2block.proof.parts import KINDS, Counts, Kind, counts_of_row
from pix2block.proof.reader import read_words
from pix2block.proof.told import Head, InFull, RowWords, Words

Path = Sequence[Run]
_MOST_NAMED = 20
_NEARLY = 1e-9


@dataclass(frozen=True)
class Proof:
    """What came of working a pattern. faults: the first of them; more: how many there are beside;
    stitches: chains, stitches of blocks and slip stitches worked."""

    rows: int
    blocks: int
    stitches: int
    faults: tuple[Fault, ...]
    more: int = 0

    @property
    def holds(self) -> bool:
        """Whether the pattern gives the chart."""
        return not self.faults


def prove(text: str, chart: Chart, strands: Sequence[Path]) -> Proof:
    """Work a pattern's words and compare. strands: the planned runs of each length of yarn, as
    (row, run), both from 1, in order."""
    said = read_words(text, [yarn.name for yarn in chart.yarns], chart.last_row)
    kind = KINDS[chart.block]
    faults = [*said.faults, *_head_faults(said.head, chart), *_part_faults(said, kind, chart)]
    if not said.readable:
        return _proof(faults)
    watched = {first.row for first in said.firsts}
    turn = said.head.turn if said.head else chart.turn
    worked = work(said.rows, kind, lambda row: _made_turn(chart, row) or turn, watched)
    faults += [*worked.faults, *_count_faults(said.rows, worked.counts, kind)]
    faults += [*_first_faults(said, worked, kind, chart), *_cut_faults(said.rows, chart)]
    if worked.whole:
        faults += _fabric_faults(worked, chart)
        faults += _path_faults(worked.bobbins.strands, strands)
        if len(said.rows) != chart.last_row:
            faults.append(Fault(f"{len(said.rows)} rows are told, the chart has {chart.last_row}"))
    return _proof(faults, worked)


def _proof(faults: list[Fault], worked: Worked | None = None) -> Proof:
    by_row = sorted(dict.fromkeys(faults), key=lambda f: (f.row or 0, f.run or 0))
    rows, blocks = (len(worked.counts), len(worked.fabric.blocks)) if worked else (0, 0)
    stitches = sum(map(sum, worked.counts)) if worked else 0
    named = tuple(by_row[:_MOST_NAMED])
    return Proof(rows, blocks, stitches, named, len(by_row) - len(named))


def _head_faults(head: Head | None, chart: Chart) -> Iterator[Fault]:
    if head is None:
        return
    stitch = words(chart.terms)[KINDS[chart.block].name]
    corner = say_corner(chart.start_corner)
    told = {
        "width": (head.width, chart.width),
        "height": (head.height, chart.height),
        "first row": (head.first_row, 1),
        "last row": (head.last_row, chart.last_row),
        "start corner": (head.corner, corner),
        "hand": (head.hand, chart.hand),
        "blocks": (head.stitch, stitch),
        "terms": (head.terms, chart.terms.upper()),
        "turns": (head.turn, chart.turn),
    }
    for what, (said, right) in told.items():
        if said != right:
            yield Fault(f"the head line says {what} {said}, the chart {right}")


def _part_faults(said: Words, kind: Kind, chart: Chart) -> Iterator[Fault]:
    """Definitions, word for word."""
    for part, right in definitions(kind, chart.terms).items():
        if part not in said.parts:
            yield Fault(f"{part} is not told")
        elif said.parts[part] != right:
            yield Fault(f"{part} is told wrongly: {said.parts[part]} It should be: {right}")


def _first_faults(said: Words, worked: Worked, kind: Kind, chart: Chart) -> Iterator[Fault]:
    """The first row of every kind, written out in stitches, against the row as it was worked."""
    wanted: dict[tuple[str, str], int] = {}
    for row in said.rows:
        wanted.setdefault((row.begins, row.ends), row.number)
    for first in said.firsts:
        number = wanted.pop((first.begins, first.ends), None)
        if number != first.row:
            where = "there is none left to write" if number is None else f"that is row {number}"
            name = f"{first.begins}, {first.ends}".lower()
            yield Fault(f"is written out as the first {name}, but {where}", first.row)
        elif number in worked.steps:
            yield from _written_faults(first, worked.steps[number], kind, chart)
    for (begins, ends), number in wanted.items():
        yield Fault(f"the first that is {begins}, {ends} is not written out in stitches", number)


def _written_faults(
    first: InFull, worked: Sequence[Taken], kind: Kind, chart: Chart
) -> Iterator[Fault]:
    """The first step of a row written out that differs from what the row's own words gave."""
    lines: list[Iterator[Taken]] = []
    for line in first.lines:
        try:
            steps = read_steps(line.stitches, kind, chart.terms)
        except Unreadable as why:
            yield Fault(f"is written out, but {why}", first.row)
            return
        once = [(line.yarn, step) for step in steps]
        lines.append(chain.from_iterable(repeat(once, line.times)))
    for told, right in zip_longest(chain.from_iterable(lines), worked):
        if told is None or right is None or _stitch(told) != _stitch(right):
            says, is_right = (_say_step(step) for step in (told, right))
            yield Fault(f"is written out with {says} where {is_right} comes", first.row)
            return


def _stitch(taken: Taken) -> Taken:
    """A step with its yarn, where it takes any."""
    yarn, step = taken
    return ("" if str(step[0]).startswith(("turn", "marker")) else yarn), step


def _say_step(taken: Taken | None) -> str:
    if taken is None:
        return "nothing"
    yarn, step = _stitch(taken)
    return f"“{' '.join(map(str, step))}”{f' in {yarn}' if yarn else ''}"


def _made_turn(chart: Chart, row: int) -> str | None:
    """How colours came in at the turn into a row that is made; None of any other."""
    if chart.done is None or row > chart.done.row:
        return None
    return next((one.turn for one in reversed(chart.done.turns) if one.row <= row), None)


def _cut_faults(rows: Sequence[RowWords], chart: Chart) -> Iterator[Fault]:
    """Bobbins that hung where rows were made are cut in the first row after, or were in an earlier
    one; nowhere else."""
    done = chart.done
    told = {strand.cut for strand in done.strands} if done else set()
    if done:
        told.add(min(done.row + 1, chart.last_row))
    for row in rows:
        for cut in row.cuts if row.number not in told else ():
            yield Fault(
                f"{cut.name} #{cut.number} is cut, but the row is not the first one that "
                "comes after rows that are made",
                row.number,
            )


def _count_faults(
    rows: Sequence[RowWords], counts: Sequence[Counts], kind: Kind
) -> Iterator[Fault]:
    for row, worked in zip(rows, counts, strict=False):
        blocks = sum(count for count, _ in row.runs)
        table = counts_of_row(kind, row.begins, row.ends, blocks)
        if worked != table:
            takes, should = (_say_counts(c, kind) if c else "no such row" for c in (worked, table))
            yield Fault(f"takes {takes}; by the craft's table {should}", row.number)


def _say_counts(counts: Counts, kind: Kind) -> str:
    ch, st, sl = counts
    return f"{ch} ch, {st} {kind.name}, {sl} sl st"


def _fabric_faults(worked: Worked, chart: Chart) -> list[Fault]:
    blocks = worked.fabric.blocks
    try:
        flat = lay_out(blocks, chart.hand)
    except Unworkable as why:
        return [Fault(str(why))]
    faults = list(_block_faults(blocks, flat, chart))
    ends = {(b.row, b.run) for b, after in pairwise(blocks) if b.row != after.row}
    ends.add((blocks[-1].row, blocks[-1].run))
    for link in worked.bobbins.links:
        faults += _link_faults(link, flat, chart, ends)
    return faults


def _block_faults(blocks: Sequence[Block], flat: LaidOut, chart: Chart) -> Iterator[Fault]:
    """The finished fabric against the chart, block by block, each way."""
    (column, line), left, right = directions(chart.start_corner, chart.width, chart.height)
    numbers = {yarn.name: number for number, yarn in enumerate(chart.yarns)}
    yarns = np.array([numbers[block.yarn] for block in blocks], dtype=np.int64)
    laid = np.array(flat.places, dtype=np.complex128)
    steps = np.stack([laid.real, laid.imag], axis=1).astype(np.int64)
    places = np.array([(column, line)]) + steps @ np.array([left, right])
    within = ((places >= 0) & (places < (chart.width, chart.height))).all(axis=1)
    x, y = np.where(within[:, None], places, 0).T
    wanted = chart.blocks[y, x]
    for n in np.flatnonzero(~within | (wanted != yarns)).tolist():
        block = blocks[n]
        if not within[n]:
            yield Fault(f"a block of {block.yarn} lies beyond the chart", block.row, block.run)
            continue
        what = chart.yarns[wanted[n]].name if wanted[n] != NO_BLOCK else "nothing"
        where = f"column {x[n] + 1}, line {y[n] + 1}"
        yield Fault(f"{block.yarn} at {where}, the chart has {what}", block.row, block.run)
    made = np.zeros(chart.blocks.shape, dtype=np.bool_)
    made[y[within], x[within]] = True
    missing = int(((chart.blocks != NO_BLOCK) & ~made).sum())
    if missing:
        yield Fault(f"blocks of the chart that are never made: {missing}")


def directions(
    corner: StartCorner, width: int, height: int
) -> tuple[tuple[int, int], tuple[int, int], tuple[int, int]]:
    """Of a chart held with its start corner down: that corner's (column, line), and the steps on
    the chart that go up to the left and up to the right."""
    bottom, at_right = sides_of(corner)
    along = (-1 if at_right else 1, 0)
    up = (0, -1 if bottom else 1)
    place = (width - 1 if at_right else 0, height - 1 if bottom else 0)
    # Turning a chart does not mirror it: as seen from the corner, the right comes first clockwise.
    return (place, along, up) if bottom == at_right else (place, up, along)


def _link_faults(link: Link, flat: LaidOut, chart: Chart, ends: set[Run]) -> Iterator[Fault]:
    """A strand that goes on: its float as told, and whether the habit allows it."""
    sides = abs(flat.entered_at[link.entered] - flat.left_at[link.left])
    row, run = link.run
    told = link.behind
    right = f"{sides:.2f}" if sides > 1 else None
    if told != right:
        says = f"is told {told} behind" if told else "has no length behind told"
        yield Fault(f"{link.strand} {says}, but lies {sides:.2f} block sides away", row, run)
    if chart.done and (row, run) <= (chart.done.row, chart.done.run or run):
        return  # made, by the habit of then
    habit, rows = chart.habit, row - link.before[0]
    inside = sides <= habit.reach + _NEARLY and rows <= habit.rest
    climbs = link.before in ends and run == 1 and rows % 2 == 1 and rows <= habit.edge
    if not inside and not climbs:
        way = f"reach {habit.reach:g}, rest {habit.rest}, edge {habit.edge}"
        far = f"{sides:.2f} block sides and {rows} rows"
        yield Fault(f"{link.strand} comes over {far}, beyond the habit ({way})", row, run)


def _path_faults(found: Sequence[Strand], planned: Sequence[Path]) -> Iterator[Fault]:
    """Every strand's runs, in order, against those planned."""
    ours = {tuple(strand.path): strand for strand in found}
    theirs = {tuple(path) for path in planned}
    for path, strand in ours.items():
        if path not in theirs:
            row, run = path[0]
            yield Fault(f"{strand} goes {_say(path)}, as no planned strand does", row, run)
    for path in sorted(theirs - set(ours)):
        yield Fault(f"no strand goes {_say(path)}, as planned", *path[0])
    if len(found) != len(planned):
        yield Fault(f"strands worked: {len(found)}, planned: {len(planned)}")


def _say(path: Path) -> str:
    shown = " ".join(f"{row}.{run}" for row, run in path[:6])
    return f"{shown} …" if len(path) > 6 else shown
