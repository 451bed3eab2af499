"""Ways of ending tails, and the time each takes.

Woven in with a needle; worked over in the blocks that come next; worked over in a border; left as
fringe, knotted and trimmed. A border and a fringe take the tails that lie at an edge; the last tail
of the piece has no block after it that could be worked over it. What a way cannot take is woven in.
"""

from __future__ import annotations

import numpy as np

from pix2block.craft.tails import Tails
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import ENDING_SHARES, TAIL_ENDINGS, Pace, TailEnding


@dataclass(frozen=True)
class Ending:
    """A way of ending the tails of a piece, joins' tails included.

    taken: tails that end this way; woven: those that it cannot take; minutes: for one that it
    takes; hours: for all.
    """

    way: TailEnding
    taken: int
    woven: int
    minutes: float
    hours: float


def endings_of(tails: Tails, pace: Pace, joins: int) -> tuple[Ending, ...]:
    """Every way of ending a piece's tails. joins: each leaves two more, inside the piece."""
    every = len(tails) + 2 * joins
    at_edges = int(np.count_nonzero(tails.at_edges))
    taken = {"woven": every, "over": every - 1, "border": at_edges, "fringe": at_edges}
    return tuple(_ending(way, taken[way], every, pace) for way in TAIL_ENDINGS)


def _ending(way: TailEnding, taken: int, every: int, pace: Pace) -> Ending:
    minutes = pace.tail * ENDING_SHARES[way]
    woven = every - taken
    return Ending(way, taken, woven, minutes, (taken * minutes + woven * pace.tail) / 60)


def chosen_ending(way: TailEnding, endings: tuple[Ending, ...]) -> Ending:
    """One of all ways of ending tails."""
    return endings[TAIL_ENDINGS.index(way)]
