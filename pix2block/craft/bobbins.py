"""Bobbins: the numbers by which a maker tells apart the lengths of one yarn that hang."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pix2block.craft.diagonal import Ints

NO_BOBBIN = 0  # a strand that works one run alone needs no number


@dataclass(frozen=True, eq=False)
class BobbinNumbers:
    """of_strand: (strands,) the number of each strand's bobbin from 1, 0 where it works one run
    alone. only_one: (runs,) whether the run's bobbin was begun before and is the only one of its
    yarn that hangs or is in hand."""

    of_strand: Ints
    only_one: NDArray[np.bool_]


def number_bobbins(color: Ints, strand: Ints, preceding: Ints, following: Ints) -> BobbinNumbers:
    """The number of every strand's bobbin: the lowest not in use among those of its yarn that
    hang, so that numbers stay small and are used again.

    color: (runs,) the yarn of each run; strand, preceding, following: (runs,) as a plan has them.
    """
    of_strand = np.full(int(np.count_nonzero(preceding < 0)), NO_BOBBIN, dtype=np.int64)
    only_one = np.zeros(len(color), dtype=bool)
    before, after, strands = preceding.tolist(), following.tolist(), strand.tolist()
    hanging: dict[int, set[int]] = {}
    for run, yarn in enumerate(color.tolist()):
        new, last = before[run] < 0, after[run] < 0
        if new and last:
            continue
        in_use = hanging.setdefault(yarn, set())
        if new:
            of_strand[strands[run]] = next(k for k in range(1, len(in_use) + 2) if k not in in_use)
        number = int(of_strand[strands[run]])
        only_one[run] = in_use == {number}
        (in_use.discard if last else in_use.add)(number)
    return BobbinNumbers(of_strand, only_one)
