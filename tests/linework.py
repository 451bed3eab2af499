"""How well lines thinner than a block are kept."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt, label

from pix2block.picture.artwork import Artwork
from pix2block.picture.strokes import NO_STROKE, Strokes


def share_in(strokes: Strokes, blocks: NDArray[Any], art: Artwork) -> float:
    """Of the lines' length, the share that lies in blocks of their colour, 1 where there is none.

    blocks: (height, width) art colours.
    """
    side = art.a_block
    kept = sum(
        int((blocks[b.lines // side, b.columns // side] == b.color).sum()) for b in strokes.branches
    )
    return kept / strokes.length if strokes.length else 1.0


def pieces_drawn(strokes: Strokes, art: Artwork) -> int:
    """Parts of the drawn lines that hang together, by colour; those closer than a block are one."""
    pieces = 0
    for color in {branch.color for branch in strokes.branches}:
        mask = np.zeros(art.labels.shape, dtype=bool)
        for branch in strokes.branches:
            if branch.color == color:
                mask[branch.lines, branch.columns] = True
        pieces += int(label(distance_transform_edt(~mask) <= art.a_block / 2)[1])
    return pieces


def pieces_kept(strokes: Strokes) -> int:
    """Parts of the blocks of lines that hang together, by colour."""
    colors = np.unique(strokes.blocks[strokes.blocks != NO_STROKE]).tolist()
    return sum(int(label(strokes.blocks == color, np.ones((3, 3)))[1]) for color in colors)
