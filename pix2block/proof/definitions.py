"""The words of the parts of a row, and of rows that are written out in stitches.

Definitions are compared word for word. A row written out is read phrase by phrase and becomes
steps, to be compared with those that the hook worked.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from pix2block.chart.terms import words
from pix2block.ground.settings import Terms
from pix2block.proof.parts import Kind, Step

_NUMBER = "([1-9][0-9]{0,5})"
_ORDINALS = {3: "3rd", 4: "4th", 5: "5th", 6: "6th"}
_Phrase = tuple[re.Pattern[str], Callable[[re.Match[str]], Step]]


class Unreadable(Exception):
    """Words that say nothing a maker can work."""


def definitions(kind: Kind, terms: Terms) -> dict[str, str]:
    """What the words of a row stand for, each a line."""
    slip, stitch = words(terms)["sl st"], words(terms)[kind.name]
    space = f"ch-{kind.chain} space"
    in_the_air = f"ch {kind.first_chain}; {_in_chains(kind, terms)}"
    return {
        "Corner": f"{in_the_air}.",
        "Grow": f"{in_the_air}; turn the piece up behind the new block.",
        "Travel": "turn the piece over and bring the yarn, which now lies in front, behind; "
        f"{slip} in each of the 3 {stitch} of the last block made; {slip} into its {space}; "
        "the first block goes there.",
        "Block": f"ch {kind.chain}, 3 {stitch}, all in the {space} just joined.",
        "Join": f"{slip} into the next {space} of the row before, ahead of each block after the "
        "first.",
        "Full": f"the last block sits in the last {space} of the row before.",
        "Stop": f"{slip} into the last {space} of the row before, where the marker is; no block "
        "there.",
        "Turn": "once at the beginning of every row but the first, as Grow and Travel say; never "
        "at its end.",
    }


def _in_chains(kind: Kind, terms: Terms) -> str:
    first, second, third = (_ORDINALS[chain] for chain in kind.into)
    return f"{words(terms)[kind.name]} in the {first}, {second} and {third} ch from the hook"


def read_steps(line: str, kind: Kind, terms: Terms) -> tuple[Step, ...]:
    """The steps of a line of a row written out, a comma between.

    Raises Unreadable where a phrase is none of those that such a row has.
    """
    phrases = tuple(_phrases(kind, terms))
    steps: list[Step] = []
    at = 0
    while True:
        found = ((m, step) for phrase, step in phrases if (m := phrase.match(line, at)))
        m, step = next(found, (None, None))
        if m is None or step is None:
            raise Unreadable(f"“{line[at:].partition(',')[0]}” is no stitch of a row")
        steps.append(step(m))
        at = m.end()
        if at == len(line):
            return tuple(steps)
        at += 2  # the comma and the space, which every phrase has after it


def _phrases(kind: Kind, terms: Terms) -> Iterator[_Phrase]:
    """No phrase begins as another one ends, so their order is free."""
    slip, stitch = words(terms)["sl st"], words(terms)[kind.name]
    space = f"ch-{kind.chain} space"

    def phrase(pattern: str, step: Callable[[re.Match[str]], Step]) -> _Phrase:
        return re.compile(rf"{pattern}(?=, |$)"), step

    yield phrase(f"ch {_NUMBER}", lambda m: ("ch", int(m[1])))
    yield phrase(_in_chains(kind, terms), lambda _: ("in chains", *kind.into))
    yield phrase(f"{_NUMBER} {stitch} in it", lambda m: ("in space", int(m[1])))
    yield phrase(
        f"{slip} in each of the {_NUMBER} {stitch} of the last block made",
        lambda m: ("slip across", int(m[1])),
    )
    yield phrase(f"{slip} into its {space}", lambda _: ("slip into space", "its"))
    yield phrase(f"{slip} into the next {space}", lambda _: ("slip into space", "next"))
    yield phrase(
        f"{slip} into the last {space} and make no block there",
        lambda _: ("slip into space", "last"),
    )
    yield phrase("turn the piece up behind the new block", lambda _: ("turn up",))
    yield phrase("turn the piece over and bring the yarn behind", lambda _: ("turn over",))
    yield phrase(f"put a marker into this first block's {space}", lambda _: ("marker in",))
    yield phrase("take the marker out", lambda _: ("marker out",))
