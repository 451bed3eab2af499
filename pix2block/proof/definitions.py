"""A definition's line of stitches becomes steps, to be compared with those that are worked."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from pix2block.chart.terms import words
from pix2block.ground.settings import Terms
from pix2block.proof.parts import Kind, Step

_NUMBER = "([0-9]{1,6})"
_ORDINAL = "[0-9]{1,6}(?:st|nd|rd|th)"
_STITCHES = ("dc", "hdc", "tr", "htr", "sc", "sl st", "ss")
_Rule = tuple[re.Pattern[str], Callable[[re.Match[str]], tuple[Step, ...]]]


def read_steps(line: str, kind: Kind, terms: Terms) -> tuple[Step, ...]:
    """The steps that a line of stitches names, in its order; words between them are left aside.

    A stitch of another kind, or a chain space of another size, becomes a step that differs from
    every right one.
    """
    rules = tuple(_rules(kind, terms))
    steps: list[Step] = []
    at = 0
    while at < len(line):
        for pattern, steps_of in rules:
            if m := pattern.match(line, at):
                steps += steps_of(m)
                at = m.end()
                break
        else:
            at += 1
    return tuple(steps)


def _rules(kind: Kind, terms: Terms) -> Iterator[_Rule]:
    """In the order they are tried at each place of a line."""
    of = words(terms)
    slip, stitch = of["sl st"], of[kind.name]
    ordinals = rf"({_ORDINAL}(?:(?:, | and |, and ){_ORDINAL})*)"

    def rule(pattern: str, steps_of: Callable[[re.Match[str]], tuple[Step, ...]]) -> _Rule:
        return re.compile(rf"\b{pattern}\b", re.IGNORECASE), steps_of

    yield rule(
        rf"{slip} in each of the {_NUMBER} {stitch}", lambda m: (("slip across", int(m[1])),)
    )
    yield rule(slip, lambda _: (("slip into space",),))
    yield rule(
        rf"{stitch} in(?:to)? the {ordinals} ch",
        lambda m: (("in chains", *map(int, re.findall("[0-9]+", m[1]))),),
    )
    yield rule(rf"{_NUMBER} {stitch}", lambda m: (("in space", int(m[1])),))
    yield rule(rf"ch {_NUMBER}", lambda m: (("ch", int(m[1])),))
    yield rule(
        rf"(?:(its|next|last) )?ch-{_NUMBER} space( just joined)?",
        lambda m: (
            ("space", "just joined" if m[3] else (m[1] or "").lower()),
            *((("chains", int(m[2])),) if int(m[2]) != kind.chain else ()),
        ),
    )
    yield rule("(?:each|no) block", lambda _: ())
    yield rule(r"(\w+) block", lambda m: (("block", m[1].lower()),))
    yield rule(r"turn\b[^,;.]*\b(up|over)", lambda m: ((f"turn {m[1].lower()}",),))
    yield rule(f"({'|'.join(_STITCHES)})", lambda m: ((m[1].lower(),),))
