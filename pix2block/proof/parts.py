"""The parts of a row in stitches, and how many of each a row takes.

Both are the craft's definitions, written down here once more on purpose: the proof shares nothing
with the writer of the pattern but the table of terms.
"""

from __future__ import annotations

from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import BlockKind

# A step: ("ch", 6), ("in chains", 4, 5, 6), ("in space", 3), ("slip across", 3), ("turn up",),
# ("turn over",), ("marker in",), ("marker out",), ("slip into space", which): "its" of the last
# block made, "next" or "last" of the row before.
Step = tuple[str | int, ...]
Counts = tuple[int, int, int]


@dataclass(frozen=True)
class Kind:
    """A kind of block. name: its stitch in US terms; chain: chains of a block on a block, and the
    size of its chain space; first_chain: chains of a block in the air; into: the chains from the
    hook that such a block's stitches go into."""

    name: str
    chain: int
    first_chain: int
    into: tuple[int, int, int]


KINDS: dict[BlockKind, Kind] = {
    "dc": Kind("dc", 3, 6, (4, 5, 6)),
    "hdc": Kind("hdc", 2, 5, (3, 4, 5)),
}


def parts_of(kind: Kind) -> dict[str, tuple[Step, ...]]:
    """Every part of a row, step by step. A join comes before each block after the first."""
    in_the_air: tuple[Step, ...] = (("ch", kind.first_chain), ("in chains", *kind.into))
    return {
        "Corner": in_the_air,
        "Grow": (*in_the_air, ("turn up",)),
        "Travel": (("turn over",), ("slip across", 3), ("slip into space", "its")),
        "Block": (("ch", kind.chain), ("in space", 3)),
        "Join": (("slip into space", "next"),),
        "Full": (),
        "Stop": (("slip into space", "last"),),
    }


def counts_of_row(kind: Kind, begins: str, ends: str, blocks: int) -> Counts | None:
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
