"""What slips in a pattern's text are made with: where lines lie, and changes at a place."""

from __future__ import annotations

import random
import re
from collections.abc import Callable

Lines = list[str]
Slip = Callable[[Lines, list[str], random.Random], Lines | None]

ROW = re.compile(r"Rows? \d")
PART = re.compile(r"(Corner|Grow|Travel|Block|Join|Full|Stop|Turn): ")
FIRST = re.compile(r"First (corner|grow|travel), ")


def rows_of(lines: Lines) -> list[tuple[int, int]]:
    """Where each row's lines begin and end."""
    found = []
    for at, line in enumerate(lines):
        if ROW.match(line):
            end = at + 1
            while end < len(lines) and lines[end].startswith(" "):
                end += 1
            found.append((at, end))
    return found


def edit(
    pattern: str, new: Callable[[re.Match[str], list[str], random.Random], str | None], name: str
) -> Slip:
    """A slip at one of the places where a pattern is found in a row's lines."""

    def make(lines: Lines, yarns: list[str], rng: random.Random) -> Lines | None:
        places = [
            (at, m)
            for begin, end in rows_of(lines)
            for at in range(begin, end)
            for m in re.finditer(pattern, lines[at])
        ]
        if not places:
            return None
        at, m = rng.choice(places)
        text = new(m, yarns, rng)
        if text is None:
            return None
        lines[at] = lines[at][: m.start()] + text + lines[at][m.end() :]
        return lines

    make.__name__ = name
    return make


def by_one(m: re.Match[str], _: list[str], rng: random.Random) -> str:
    return str(int(m[0]) + (rng.choice((-1, 1)) if int(m[0]) > 1 else 1))


def another_yarn(m: re.Match[str], yarns: list[str], rng: random.Random) -> str | None:
    return rng.choice([y for y in yarns if y != m[0]]) if len(yarns) > 1 else None


def another_length(m: re.Match[str], _: list[str], rng: random.Random) -> str:
    return f"{max(0.01, float(m[0]) + rng.choice((-1, -0.01, 0.01, 0.5))):.2f}"


def traded(words: dict[str, str]) -> Callable[[re.Match[str], list[str], random.Random], str]:
    return lambda m, _, __: words[m[0]]


def fixed(text: str) -> Callable[[re.Match[str], list[str], random.Random], str]:
    return lambda m, _, __: m.expand(text)


def named(text: str) -> Callable[[re.Match[str], list[str], random.Random], str]:
    return lambda _, yarns, rng: text.replace("NAME", rng.choice(yarns))
