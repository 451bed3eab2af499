"""Edges of the picture that a chart shows: what it is worth that they stay while it is calmed.

A border between two yarns costs a little, so that none creeps along a row; where it lies on an edge
of the picture it is wanted instead, and merging both sides into one yarn is what costs.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import quick_differences
from pix2block.color.spaces import Bytes, Floats, to_lab

_CLEAR, _STRONG = 6.0, 20.0  # CIEDE2000 between two blocks before and two after
_WORTH = 2.0  # of a strong edge, in steps of border that are no edge


def wanted_borders(means: Bytes, blocks: NDArray[np.int64]) -> Floats:
    """(height, width, 4) what it is worth that a block has another yarn than the ones above, below,
    left and right, where it has another now; 0 where the picture has no edge.

    means: (height, width, 3); blocks: (height, width) yarn numbers, -1 where no block is.
    """
    lab = to_lab(means)
    wanted = np.zeros((*blocks.shape, 4))
    turned = np.swapaxes(wanted, 0, 1)
    for out, light, yarn, sides in (
        (wanted, lab, blocks, (2, 3)),
        (turned, np.swapaxes(lab, 0, 1), blocks.T, (0, 1)),
    ):
        padded = np.pad(light, ((0, 0), (1, 1), (0, 0)), mode="edge")
        two = (padded[:, 1:] + padded[:, :-1]) / 2
        apart = quick_differences(two[:, :-2], two[:, 2:])
        here, there = yarn[:, :-1], yarn[:, 1:]
        edge = (apart >= _CLEAR) & (here != there) & (np.minimum(here, there) >= 0)
        worth = np.where(edge, _WORTH * np.minimum(1, apart / _STRONG), 0)
        out[:, :-1, sides[1]] = out[:, 1:, sides[0]] = worth
    return wanted
