"""Slips in a pattern's text, one at a time, as a writer or an editor might make them.

A slip is a function of the rows' lines, the piece's yarns and a source of chance; it gives other
lines, or None where it finds no place. Whether a text still means the same is judged on its lines
alone: only one whose lines of meaning are all as before does.
"""

from __future__ import annotations

import random
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from slips import (
    FIRST,
    PART,
    ROW,
    Lines,
    Slip,
    another_length,
    another_yarn,
    by_one,
    edit,
    fixed,
    named,
    rows_of,
    traded,
)
from slips_beside import (
    a_line_of_another_row,
    a_line_written_out_lost,
    a_line_written_out_twice,
    a_part_lost,
    a_phrase_written_out,
    a_range,
    a_row_written_out_lost,
    a_stray_line,
    a_word_of_a_part,
    a_word_written_out,
    a_wrong_part,
    two_rows_written_out_swapped,
)

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.pattern.text import pattern_text
from pix2block.study.editions import check_pattern


def meaning(text: str) -> Lines:
    """The lines that a maker works from: definitions, rows written out, and from the head line on
    every line up to the empty one after the last row; spaces and empty lines left out."""
    lines = [line.rstrip() for line in text.split("\n")]
    head = next((at for at, line in enumerate(lines) if line.startswith("Piece: ")), len(lines))
    last = max((at for at, line in enumerate(lines) if ROW.match(line)), default=-1)
    while last + 1 < len(lines) and lines[last + 1]:
        last += 1
    kept, under = [], False
    for at, line in enumerate(lines):
        under = bool(FIRST.match(line) or ROW.match(line)) or (under and line.startswith(" "))
        if line and (under or PART.match(line) or head <= at <= last):
            kept.append(line.strip())
    return kept


def slip(text: str, yarns: list[str], rng: random.Random) -> tuple[str, str]:
    """A text with one slip in it, and the slip's name."""
    lines = text.split("\n")
    while True:
        make = rng.choice(SLIPS)
        made = make(list(lines), yarns, rng)
        if made is not None:
            return "\n".join(made), make.__name__.strip("_")


def two_rows_swapped(lines: Lines, _: list[str], rng: random.Random) -> Lines | None:
    """Whole rows in the wrong order."""
    rows = rows_of(lines)
    if len(rows) < 2:
        return None
    (a, b), (c, d) = (rows[i] for i in sorted(rng.sample(range(len(rows)), 2)))
    return lines[:a] + lines[c:d] + lines[b:c] + lines[a:b] + lines[d:]


def neighbours_swapped(lines: Lines, _: list[str], rng: random.Random) -> Lines | None:
    """Two rows one after another in the wrong order, their numbers in the right one."""
    rows = rows_of(lines)
    if len(rows) < 2:
        return None
    i = rng.randrange(len(rows) - 1)
    (a, b), (_c, d) = rows[i], rows[i + 1]
    head, other = (re.match(r"Rows? [^,]*", lines[at]) for at in (a, b))
    assert head
    assert other
    first, second = lines[a:b], lines[b:d]
    first[0] = other[0] + first[0][head.end() :]
    second[0] = head[0] + second[0][other.end() :]
    return lines[:a] + second + first + lines[d:]


def a_row_lost(lines: Lines, _: list[str], rng: random.Random) -> Lines:
    """A row and what is under it."""
    a, b = rng.choice(rows_of(lines))
    return lines[:a] + lines[b:]


def a_row_twice(lines: Lines, _: list[str], rng: random.Random) -> Lines:
    """A row is copied."""
    a, b = rng.choice(rows_of(lines))
    return lines[:b] + lines[a:b] + lines[b:]


def a_line_lost(lines: Lines, _: list[str], rng: random.Random) -> Lines:
    """One line under a row."""
    places = [at for a, b in rows_of(lines) for at in range(a + 1, b)]
    del lines[rng.choice(places)]
    return lines


def a_yarn_line_lost(lines: Lines, _: list[str], rng: random.Random) -> Lines:
    """The yarn of a row."""
    places = [
        at for a, b in rows_of(lines) for at in range(a, b) if lines[at].startswith("  Yarn:")
    ]
    del lines[rng.choice(places)]
    return lines


def two_entries_swapped(lines: Lines, _: list[str], rng: random.Random) -> Lines | None:
    """Two neighbours in a list of runs or bobbins."""
    places = [at for a, b in rows_of(lines) for at in range(a, b) if lines[at].count(", ") > 1]
    places = [at for at in places if not lines[at].startswith("Rows ")]
    if not places:
        return None
    at = rng.choice(places)
    lead, _colon, rest = lines[at].partition(": ")
    entries = rest.removesuffix(".").split(", ")
    if len(entries) < 2:
        return None
    i = rng.randrange(len(entries) - 1)
    entries[i : i + 2] = entries[i + 1], entries[i]
    lines[at] = f"{lead}: {', '.join(entries)}."
    return lines


def a_block_moved(lines: Lines, _: list[str], rng: random.Random) -> Lines | None:
    """A block more in one run and one less in the next, so that the row's count still fits."""
    places = [
        a for a, _ in rows_of(lines) if lines[a].startswith("Row ") and lines[a].count(", ") > 2
    ]
    if not places:
        return None
    at = rng.choice(places)
    lead, _colon, rest = lines[at].partition(": ")
    runs = [run.split(" ", 1) for run in rest.removesuffix(".").split(", ")]
    i = rng.randrange(len(runs) - 1)
    more, less = rng.choice(((i, i + 1), (i + 1, i)))
    if runs[less][0] == "1":
        return None
    runs[more][0] = str(int(runs[more][0]) + 1)
    runs[less][0] = str(int(runs[less][0]) - 1)
    lines[at] = f"{lead}: {', '.join(' '.join(run) for run in runs)}."
    return lines


def a_wrong_head(lines: Lines, _: list[str], rng: random.Random) -> Lines | None:
    """One word or number of the head line."""
    (at,) = (i for i, line in enumerate(lines) if line.startswith("Piece: "))
    other = {"top": "bottom", "bottom": "top", "US": "UK", "UK": "US", "early": "late"}
    other |= {"late": "early", "dc": "hdc", "hdc": "dc", "tr": "htr", "htr": "tr"}
    other |= {"right hand": "left hand", "left hand": "right hand"}
    other |= {"right,": "left,", "left,": "right,"}
    words = "|".join(sorted(other, key=len, reverse=True))
    m = rng.choice(list(re.finditer(rf"\b\d+\b|\b(?:{words})(?!\w)", lines[at])))
    new = other.get(m[0]) or str(int(m[0]) + 1)
    lines[at] = lines[at][: m.start()] + new + lines[at][m.end() :]
    return lines


def a_run_and_its_count(lines: Lines, _: list[str], rng: random.Random) -> Lines | None:
    """A run off by one, and the stated count alike, so that the two agree."""
    places = [a for a, _ in rows_of(lines) if lines[a].startswith("Row ")]
    at = rng.choice(places)
    m = re.match(r"(Row \d+, \w+ side, )(\d+)( blocks?: )(.*)\.$", lines[at])
    assert m
    runs = [run.split(" ", 1) for run in m[4].split(", ")]
    i, step = rng.randrange(len(runs)), rng.choice((-1, 1))
    if runs[i][0] == "1" and step < 0:
        return None
    runs[i][0] = str(int(runs[i][0]) + step)
    told = ", ".join(" ".join(run) for run in runs)
    lines[at] = f"{m[1]}{int(m[2]) + step}{m[3]}{told}."
    return lines


def a_run_and_its_bobbin(lines: Lines, yarns: list[str], rng: random.Random) -> Lines | None:
    """A run of another yarn, and its bobbin alike."""
    places = [a for a, _ in rows_of(lines) if lines[a].startswith("Row ")]
    at = rng.choice(places)
    lead, _colon, rest = lines[at].partition(": ")
    runs = [run.split(" ", 1) for run in rest.removesuffix(".").split(", ")]
    i = rng.randrange(len(runs))
    old = runs[i][1]
    near = {run[1] for run in runs[max(0, i - 1) : i + 2]}
    others = [yarn for yarn in yarns if yarn not in near]
    if not others:
        return None
    runs[i][1] = rng.choice(others)
    lines[at] = f"{lead}: {', '.join(' '.join(run) for run in runs)}."
    for under in range(at + 1, min(at + 3, len(lines))):
        if lines[under].startswith("  Yarn: "):
            told = lines[under].removeprefix("  Yarn: ").split(", ")
            told[i] = runs[i][1] + told[i].removeprefix(old)
            lines[under] = f"  Yarn: {', '.join(told)}"
    return lines


_NAME = r"[^,.:#]+?"
_SIDES = {"right side": "wrong side", "wrong side": "right side"}
_WAYS = {"Grow": "Travel", "Travel": "Grow", "Full": "Stop", "Stop": "Full", "Corner": "Grow"}
_MARKS = r" Marker in block 1\.| Remove the old marker\."

SLIPS: tuple[Slip, ...] = (
    *(two_rows_swapped, neighbours_swapped, a_row_lost, a_row_twice, a_line_lost),
    *(a_yarn_line_lost, two_entries_swapped, a_block_moved, a_block_moved, a_wrong_head),
    *(a_wrong_part, a_part_lost, a_run_and_its_count, a_run_and_its_bobbin),
    *(a_word_of_a_part, a_row_written_out_lost, two_rows_written_out_swapped),
    *(a_line_written_out_lost, a_line_written_out_twice, a_phrase_written_out, a_word_written_out),
    *(a_stray_line, a_stray_line, a_line_of_another_row, a_range),
    edit(r"(?<=blocks, 1 )(more|fewer)", traded({"more": "fewer", "fewer": "more"}), "more, fewer"),
    edit(r"(?<=blocks, )1(?= more| fewer)", by_one, "a step of rows that grow"),
    edit(r"\d+(?= to \d+ blocks, 1)|(?<= to )\d+(?= blocks, 1)", by_one, "blocks of such rows"),
    edit(r"(?<=: )\d+(?= )|(?<=, )\d+(?= (?!blocks?\b))", by_one, "a run off by one"),
    edit(r"(?<=, )\d+(?= blocks?\b)", by_one, "a stated count off by one"),
    edit(r"(?<=Row )\d+|(?<=Rows )\d+|(?<= to )\d+(?=,)", by_one, "a row's number"),
    edit("right side|wrong side", traded(_SIDES), "a wrong side"),
    edit(r"(?<= )(Grow|Travel|Full|Stop|Corner)(?=[. ])", traded(_WAYS), "a wrong begin or end"),
    edit(r"(?<=\d )" + _NAME + r"(?=, \d|\.$)", another_yarn, "a run of another yarn"),
    edit(r"(?<=Travel in )" + _NAME + r"(?=\.)", another_yarn, "travel in another yarn"),
    edit(r"(?<=Travel) in " + _NAME + r"(?=\.)", fixed(""), "the yarn of a travel lost"),
    edit(r"(?<=Travel)(?=\.)", named(" in NAME"), "a yarn of a travel added"),
    edit(r"(?<=Stop) in " + _NAME + r"(?=\.)", fixed(""), "the yarn of a stop lost"),
    edit(r"(?<=Stop)(?=\.)", named(" in NAME"), "a yarn of a stop added"),
    edit(r" Last loop in " + _NAME + r"\.", fixed(""), "a last loop lost"),
    edit(r"(?<=Last loop in )" + _NAME + r"(?=\.)", another_yarn, "another last loop"),
    edit(r"(?<=Full\.)(?! Last)", named(" Last loop in NAME."), "a last loop added"),
    edit(_MARKS, fixed(""), "a marker's place or removal lost"),
    edit(r"(?<=Full\.)(?= *$)|(?<=Stop\.)(?= *$)", fixed(" Marker in block 1."), "a marker added"),
    edit(r"(?<=Full\.)$", fixed(" Remove the old marker."), "a removal added"),
    edit(r"(?<=#)\d+", by_one, "another bobbin"),
    edit(r"(?<=Yarn: )" + _NAME + r"(?= #)", another_yarn, "a bobbin of another yarn"),
    edit(r" new\b(?=[,. ])", fixed(""), "new lost"),
    edit(r" last(?=[,.])", fixed(""), "last lost"),
    edit(r"(?<=#)(\d+)(?= behind|, |\.)", fixed(r"\1 new"), "new added"),
    edit(r"(#\d+(?: behind [\d.]+\d)?)(?=, |\.$)", fixed(r"\1 last"), "last added"),
    edit(r" only(?=[,.])", fixed(" #1"), "a number in place of only"),
    edit(r" #\d+[^,]*?(?=, |\.$)", fixed(" only"), "only in place of a number"),
    edit(r" behind \d+\.\d\d", fixed(""), "a length behind lost"),
    edit(r"(?<=behind )\d+\.\d\d", another_length, "another length behind"),
    edit(r"(#\d+)(?=, |\.$| last)", fixed(r"\1 behind 1.41"), "a length behind added"),
)


@dataclass
class Tally:
    """Slips made: how many left the meaning as it was, how many of the others were caught, and
    those that were not, each with the first line it changed."""

    same: int = 0
    caught: int = 0
    missed: list[str] = field(default_factory=list)

    @property
    def counted(self) -> int:
        """Slips that change the meaning."""
        return self.caught + len(self.missed)


def try_slips(charts: Sequence[Chart], count: int, seed: int) -> Tally:
    """So many slips in the patterns of charts, each proved."""
    rng = random.Random(seed)
    of = [(amounts_of(chart), [yarn.name for yarn in chart.yarns]) for chart in charts]
    patterns = [(amounts, names, pattern_text(amounts)) for amounts, names in of]
    tally = Tally()
    for _ in range(count):
        amounts, names, text = rng.choice(patterns)
        slipped, what = slip(text, names, rng)
        before, after = meaning(text), meaning(slipped)
        if before == after:
            tally.same += 1
        elif check_pattern(amounts, slipped).holds:
            changed = [pair for pair in zip(before, after, strict=False) if len(set(pair)) > 1]
            tally.missed.append(f"{what}: {changed[:1]}")
        else:
            tally.caught += 1
    return tally
