"""The parts of a row in stitches, and how many of each a row takes.

Both are the craft's definitions, written down here once more on purpose: the proof shares nothing
with the writer of the pattern but the table of terms.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from pix2block.chart.terms import words
from pix2block.ground.settings import BlockKind, Terms

# A step of a part: ("ch", 6), ("in chains", 4, 5, 6), ("slip across", 3), ("slip into space",),
# ("in space", 3), ("turn up",), ("turn over",); and ("space", which), of the row before or its own.
Step = tuple[str | int, ...]
Counts = tuple[int, int, int]


@dataclass(frozen=True)
class Stitches:
    """A kind of block. name: its stitch in US terms; chain: chains of a block on a block, and the
    size of its chain space; first_chain: chains of a block in the air; into: the chains from the
    hook that such a block's stitches go into."""

    name: str
    chain: int
    first_chain: int
    into: tuple[int, int, int]


KINDS: dict[BlockKind, Stitches] = {
    "dc": Stitches("dc", 3, 6, (4, 5, 6)),
    "hdc": Stitches("hdc", 2, 5, (3, 4, 5)),
}


def parts_of(kind: Stitches) -> dict[str, tuple[Step, ...]]:
    """Every part of a row, step by step. A join comes before each block after the first."""
    in_the_air: tuple[Step, ...] = (("ch", kind.first_chain), ("in chains", *kind.into))
    return {
        "Corner": in_the_air,
        "Grow": (*in_the_air, ("turn up",)),
        "Travel": (("turn over",), ("slip across", 3), ("slip into space",), ("space", "its")),
        "Block": (("ch", kind.chain), ("in space", 3), ("space", "just joined")),
        "Join": (("slip into space",), ("space", "next")),
        "Full": (("space", "last"),),
        "Stop": (("slip into space",), ("space", "last")),
    }


def counts_of_row(kind: Stitches, begins: str, ends: str, blocks: int) -> Counts | None:
    """Chains, stitches and slip stitches of a row of so many blocks, from the craft's table; None
    where no row begins and ends so."""
    chain = kind.chain * blocks
    extra = kind.first_chain - kind.chain
    table = {
        ("Corner", "Full"): (kind.first_chain, 0),
        ("Grow", "Full"): (chain + extra, blocks - 1),
        ("Grow", "Stop"): (chain + extra, blocks),
        ("Travel", "Full"): (chain, blocks + 3),
        ("Travel", "Stop"): (chain, blocks + 4),
    }
    if (begins, ends) not in table or (begins == "Corner" and blocks != 1):
        return None
    chains, slips = table[begins, ends]
    return chains, 3 * blocks, slips


_ORDINALS = r"\d+(?:st|nd|rd|th)(?:(?:, | and |, and )\d+(?:st|nd|rd|th))*"


def read_steps(line: str, kind: Stitches, terms: Terms) -> tuple[Step, ...]:
    """The steps that a line of stitches names, in its order; words between them are left aside.

    A stitch of another kind, or a chain space of another size, is kept as a step of its own, so
    that it differs from every right one.
    """
    of: Mapping[str, str] = words(terms)
    slip, stitch = re.escape(of["sl st"]), re.escape(of[kind.name])
    others = sorted({*words("us").values(), *words("uk").values()} - {of[kind.name], of["sl st"]})
    other = "|".join(re.escape(o) for o in others if o in {"dc", "hdc", "tr", "htr", "sc", "ss"})
    found = re.compile(
        rf"\b{slip} in each of the (?P<across>\d+) (?P<across_of>\w+)"
        rf"|\b(?P<slip>{slip})\b"
        rf"|\b{stitch} in(?:to)? the (?P<into>{_ORDINALS}) ch\b"
        rf"|\b(?P<in_space>\d+) {stitch}\b"
        r"|\bch (?P<chain>\d+)\b"
        r"|\b(?P<which>its|next|last|)[ ]?\bch-(?P<size>\d+) space(?P<joined> just joined)?"
        r"|\bturn\b[^,;.]*\b(?P<turn>up|over)\b"
        rf"|\b(?P<other>{other})\b",
        re.IGNORECASE,
    )
    steps: list[Step] = []
    for m in found.finditer(line):
        if m["across"]:
            right = m["across_of"].lower() == of[kind.name]
            steps.append(("slip across" if right else m["across_of"], int(m["across"])))
        elif m["slip"]:
            steps.append(("slip into space",))
        elif m["into"]:
            steps.append(("in chains", *map(int, re.findall(r"\d+", m["into"]))))
        elif m["in_space"]:
            steps.append(("in space", int(m["in_space"])))
        elif m["chain"]:
            steps.append(("ch", int(m["chain"])))
        elif m["size"]:
            right = int(m["size"]) == kind.chain
            steps.append(("space", "just joined" if m["joined"] else m["which"].lower()))
            steps += [] if right else [("chain space of", int(m["size"]))]
        elif m["turn"]:
            steps.append((f"turn {m['turn'].lower()}",))
        elif m["other"]:
            steps.append((m["other"].lower(),))
    return tuple(steps)
