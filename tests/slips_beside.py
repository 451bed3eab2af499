"""Slips beside the rows: in definitions, in rows written out, and lines that have no place."""

from __future__ import annotations

import random
import re

from slips import FIRST, PART, Lines, another_yarn, by_one, rows_of


def a_wrong_part(lines: Lines, _: list[str], rng: random.Random) -> Lines | None:
    """A number, a stitch or the kind of turn in a definition."""
    at = rng.choice([i for i, line in enumerate(lines) if PART.match(line)])
    other = {"dc": "hdc", "hdc": "dc", "tr": "htr", "htr": "tr", "sl st": "sc", "ss": "dc"}
    other |= {"up": "over", "over": "up", "next": "last", "last": "next", "once": "twice"}
    words = "|".join(sorted(other, key=len, reverse=True))
    places = list(re.finditer(rf"\d+|\b(?:{words})\b", lines[at]))
    if not places:
        return None
    m = rng.choice(places)
    new = other.get(m[0]) or str(int(m[0]) + 1)
    lines[at] = lines[at][: m.start()] + new + lines[at][m.end() :]
    return lines


def a_word_of_a_part(lines: Lines, _: list[str], rng: random.Random) -> Lines:
    """A word lost, doubled or put before another in a definition."""
    at = rng.choice([i for i, line in enumerate(lines) if PART.match(line)])
    told = lines[at].split(" ")
    i = rng.randrange(1, len(told))
    told[i : i + 1] = rng.choice(([], [told[i]] * 2, ["not", told[i]], [told[i], "twice"]))
    lines[at] = " ".join(told)
    return lines


def written_out(lines: Lines) -> list[tuple[int, int]]:
    """Where the lines of each row written out begin and end."""
    found = []
    for at, line in enumerate(lines):
        if FIRST.match(line):
            end = at + 1
            while end < len(lines) and lines[end].startswith(" "):
                end += 1
            found.append((at, end))
    return found


def a_row_written_out_lost(lines: Lines, _: list[str], rng: random.Random) -> Lines:
    """With the lines under it."""
    a, b = rng.choice(written_out(lines))
    return lines[:a] + lines[b:]


def two_rows_written_out_swapped(lines: Lines, _: list[str], rng: random.Random) -> Lines | None:
    """Their headings change places."""
    places = written_out(lines)
    if len(places) < 2:
        return None
    (a, _end), (b, _last) = rng.sample(places, 2)
    lines[a], lines[b] = lines[b], lines[a]
    return lines


def a_line_written_out_lost(lines: Lines, _: list[str], rng: random.Random) -> Lines:
    """One line of a row written out."""
    del lines[rng.choice([at for a, b in written_out(lines) for at in range(a, b)])]
    return lines


def a_line_written_out_twice(lines: Lines, _: list[str], rng: random.Random) -> Lines:
    """One line of a row written out, copied."""
    at = rng.choice([at for a, b in written_out(lines) for at in range(a, b)])
    return [*lines[: at + 1], *lines[at:]]


def a_phrase_written_out(lines: Lines, _: list[str], rng: random.Random) -> Lines:
    """A phrase of a row written out is lost, doubled or changes places."""
    at = rng.choice([at for a, b in written_out(lines) for at in range(a + 1, b)])
    told = lines[at].removesuffix(".").split(", ")
    i = rng.randrange(len(told))
    told[i : i + 1] = rng.choice(([], [told[i]] * 2, ["skip the next space", told[i]]))
    if rng.random() < 0.3:
        told.reverse()
    lines[at] = ", ".join(told) + "."
    return lines


def a_word_written_out(lines: Lines, yarns: list[str], rng: random.Random) -> Lines | None:
    """A number, a stitch, a space or a yarn of a row written out, its heading too."""
    other = {"dc": "hdc", "hdc": "dc", "tr": "htr", "htr": "tr", "sl st": "sc", "ss": "dc"}
    other |= {"up": "over", "over": "up", "next": "last", "last": "next", "its": "the next"}
    other |= {"into": "in", "this": "the", "grow": "travel", "travel": "grow", "full": "stop"}
    words = "|".join(sorted(other, key=len, reverse=True))
    at = rng.choice([at for a, b in written_out(lines) for at in range(a, b)])
    names = "|".join(sorted(map(re.escape, yarns), key=len, reverse=True))
    places = list(re.finditer(rf"(?<=With )(?:{names})(?=:)|\d+|\b(?:{words})\b", lines[at]))
    if not places:
        return None
    m = rng.choice(places)
    new = other.get(m[0]) or (by_one(m, yarns, rng) if m[0].isdigit() else None)
    new = new or another_yarn(m, yarns, rng)
    if new is None:
        return None
    lines[at] = lines[at][: m.start()] + new + lines[at][m.end() :]
    return lines


STRAYS = (
    *("Skip the last block of this row.", "Corner. Full.", "Grow. Full.", "Travel.", "Stop."),
    *("Last loop in NAME.", "Marker in block 1.", "Remove the old marker.", "Yarn: NAME #99."),
    *("Yarn: NAME only.", "Odd: right side. Grow. Full.", "Even: wrong side. Travel. Stop."),
    *("Full", "Work one more block in NAME.", "Turn the piece twice.", "Cut: NAME #1.", "Cut it."),
    *("1 NAME.", "- and once more", "repeat", "Note: the row above is wrong.", "(Skip it.)"),
    *("rows 3 to 5 again", "\u00a0Row 2, wrong side, 2 blocks: 2 NAME.", "× 2", "Odd", "Even: "),
)


def a_stray_line(lines: Lines, yarns: list[str], rng: random.Random) -> Lines:
    """An instruction of nobody's, under a row, between rows or before them."""
    rows = rows_of(lines)
    head = next(at for at, line in enumerate(lines) if line.startswith("Piece: "))
    at = rng.randint(head + 1, rows[-1][1])
    told = rng.choice(("", " ", "  ", "\t", "      ")) + rng.choice(STRAYS)
    return [*lines[:at], told.replace("NAME", rng.choice(yarns)), *lines[at:]]


def a_line_of_another_row(lines: Lines, _: list[str], rng: random.Random) -> Lines:
    """A line that is right elsewhere, under a row."""
    places = [at for a, b in rows_of(lines) for at in range(a + 1, b)]
    told, at = lines[rng.choice(places)], rng.choice(places)
    return [*lines[: at + 1], told, *lines[at + 1 :]]


def a_range(lines: Lines, _: list[str], rng: random.Random) -> Lines | None:
    """Gathered rows that go much too far, or the other way round."""
    places = [at for at, _ in rows_of(lines) if lines[at].startswith("Rows ")]
    if not places:
        return None
    at = rng.choice(places)
    m = re.match(r"Rows (\d+) to (\d+)", lines[at])
    assert m
    new = rng.choice((f"Rows 1 to {m[2]}", f"Rows {m[1]} to 100000", f"Rows {m[2]} to {m[1]}"))
    lines[at] = new + lines[at][m.end() :]
    return lines


def a_part_lost(lines: Lines, _: list[str], rng: random.Random) -> Lines:
    """A definition."""
    del lines[rng.choice([i for i, line in enumerate(lines) if PART.match(line)])]
    return lines
