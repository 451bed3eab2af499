"""Specks: pieces of one or two blocks that are no part of what is seen."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import quick_differences
from pix2block.color.spaces import Bytes, to_lab
from pix2block.design.edges import shifted
from pix2block.design.features import Feature

_LARGEST = 2  # blocks
_SEEN = 20.0  # CIEDE2000 from what is around, of the picture: a star, a button
_AROUND = tuple((y, x) for y in (-1, 0, 1) for x in (-1, 0, 1) if (y, x) != (0, 0))
_ROUNDS = 3


def without_specks(
    blocks: NDArray[np.int64], colors: Bytes, features: Sequence[Feature]
) -> NDArray[np.int64]:
    """(height, width) yarn numbers, pieces of at most two blocks (corners joined) in the yarn that
    is most around them; but for those in a feature, and those that stand out in the picture.

    colors: (height, width, 3) what the yarns were matched to.
    """
    spared = np.zeros(blocks.shape, dtype=bool)
    for feature in features:
        spared |= feature.mask
    lab = to_lab(colors)
    around = np.median(np.stack([shifted(lab, at, 1) for at in _AROUND]), axis=0)
    spared |= quick_differences(lab, around) > _SEEN
    blocks = blocks.copy()
    for _ in range(_ROUNDS):
        specks = _specks(blocks) & ~spared
        if not specks.any():
            break
        blocks[specks] = _most_around(blocks)[specks]
    return blocks


def _specks(blocks: NDArray[np.int64]) -> NDArray[np.bool_]:
    from skimage.measure import label

    pieces = label(blocks + 1, background=0, connectivity=2)
    return np.asarray(np.bincount(pieces.ravel())[pieces] <= _LARGEST)


def _most_around(blocks: NDArray[np.int64]) -> NDArray[np.int64]:
    """(height, width) the yarn that most of a block's eight neighbours have, not its own; its own
    where there is no other."""
    around = np.stack([shifted(blocks, at, 1) for at in _AROUND])
    count = np.stack([(around == yarn).sum(axis=0) for yarn in range(int(blocks.max()) + 1)])
    np.put_along_axis(count, blocks[None], 0, axis=0)
    return np.where(count.max(axis=0) > 0, count.argmax(axis=0), blocks)
