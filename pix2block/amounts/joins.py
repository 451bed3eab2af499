"""Joins: where the end of a skein falls inside a strand.

A yarn's strands, in order, come off its skeins one after another; each end of a skein strictly
inside a strand is one join.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pix2block.craft.diagonal import Ints


def joins_by_piece(pieces: NDArray[np.float64], strands: Ints, skein: float) -> Ints:
    """(pieces,) joins in each piece of a yarn.

    pieces: lengths, in working order of a yarn's strands one after another, before joins: a
    strand's first piece begins with its tail, each later one with the float that leads to it, the
    last one ends with its tail. strands: the strand of each piece, rising. skein: its length, in
    the unit of the pieces.
    """
    ends = np.cumsum(pieces)
    strand_ends = ends[np.flatnonzero(np.diff(strands, append=-1))]
    skein_ends = skein * np.arange(1, int(ends[-1] // skein) + 1)
    inside = skein_ends[~np.isin(skein_ends, strand_ends)]
    piece = np.searchsorted(ends, inside, side="left")
    return np.bincount(piece[piece < len(ends)], minlength=len(ends))
