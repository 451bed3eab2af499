"""Specks: pieces of one or two blocks that are no part of what is seen."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import quick_differences, quick_table
from pix2block.color.spaces import Bytes, Floats, to_lab
from pix2block.design.edges import shifted
from pix2block.design.features import Feature
from pix2block.design.outlines import Edges

_LARGEST = 2  # blocks
_SEEN = 20.0  # CIEDE2000 from what is around, of the picture: a star, a button
_AROUND = tuple((y, x) for y in (-1, 0, 1) for x in (-1, 0, 1) if (y, x) != (0, 0))
_ROUNDS = 3
_BESIDE = 2  # neighbours of a yarn that a speck may take
_BROKEN = 8.0  # CIEDE2000 missing at an outline, for which a speck stays


def without_specks(
    blocks: NDArray[np.int64],
    colors: Bytes,
    yarns: Bytes,
    features: Sequence[Feature] = (),
    edges: Edges | None = None,
) -> NDArray[np.int64]:
    """(height, width) yarn numbers, pieces of at most two blocks (corners joined) in the nearest
    yarn that two of their neighbours have; but for those in a feature, those that stand out in the
    picture, and those that an outline would break without.

    colors: (height, width, 3) what the yarns, (k, 3), were matched to; edges: what is to be seen.
    """
    spared = np.zeros(blocks.shape, dtype=bool)
    for feature in features:
        spared |= feature.mask
    lab = to_lab(colors)
    around = np.median(np.stack([shifted(lab, at, 1) for at in _AROUND]), axis=0)
    spared |= quick_differences(lab, around) > _SEEN
    error = np.asarray(quick_table(lab.reshape(-1, 3), to_lab(yarns)))
    apart = np.asarray(quick_table(to_lab(yarns), to_lab(yarns)), dtype=np.float64)
    blocks = blocks.copy()
    for _ in range(_ROUNDS):
        specks = _specks(blocks) & ~spared
        if not specks.any():
            break
        at = np.flatnonzero(specks)
        missing = np.zeros(error.shape) if edges is None else edges.missing(blocks, apart)
        taken = _nearest_around(blocks, error + missing).ravel()[at]
        breaks = missing[at, taken] - missing[at, blocks.ravel()[at]] > _BROKEN
        blocks.ravel()[at] = np.where(breaks, blocks.ravel()[at], taken)
    return blocks


def _specks(blocks: NDArray[np.int64]) -> NDArray[np.bool_]:
    from skimage.measure import label

    pieces = label(blocks + 1, background=0, connectivity=2)
    return np.asarray(np.bincount(pieces.ravel())[pieces] <= _LARGEST)


def _nearest_around(blocks: NDArray[np.int64], cost: Floats) -> NDArray[np.int64]:
    """(height, width) of the yarns that at least two of a block's eight neighbours have, not its
    own, the one of least (blocks, k) cost; where there is none, the one that most have."""
    around = np.stack([shifted(blocks, at, 1) for at in _AROUND])
    count = np.stack([(around == yarn).sum(axis=0) for yarn in range(cost.shape[1])])
    np.put_along_axis(count, blocks[None], 0, axis=0)
    costs = np.where(count >= _BESIDE, np.moveaxis(cost.reshape(*blocks.shape, -1), 2, 0), np.inf)
    most = np.where(count.max(axis=0) > 0, count.argmax(axis=0), blocks)
    return np.where(np.isfinite(costs).any(axis=0), costs.argmin(axis=0), most)
