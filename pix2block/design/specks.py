"""Specks: pieces of one or two blocks that are no part of what is seen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import quick_differences, quick_table
from pix2block.color.spaces import Bytes, Floats, to_lab
from pix2block.design.features import Feature
from pix2block.design.outlines import Edges

_LARGEST = 2  # blocks
_SEEN = 20.0  # CIEDE2000 from what is around, of the picture: a star, a button
_NEIGHBOURS = tuple((y, x) for y in (-1, 0, 1) for x in (-1, 0, 1) if (y, x) != (0, 0))
_ROUNDS = 3
_BESIDE = 2  # neighbours of a yarn that a speck may take
_BROKEN = 12.0  # CIEDE2000 missing at an outline, for which a speck stays
_Places = tuple[NDArray[Any], ...]


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
    blocks, lab, yarns_lab = blocks.copy(), to_lab(colors), to_lab(yarns)
    apart = np.asarray(quick_table(yarns_lab, yarns_lab), dtype=np.float64)
    for _ in range(_ROUNDS):
        specks = np.nonzero(_specks(blocks) & ~spared)
        seen = quick_differences(lab[specks], np.median(_around(lab, specks), axis=0)) > _SEEN
        specks = specks[0][~seen], specks[1][~seen]
        if not len(specks[0]):
            break
        at = specks[0] * blocks.shape[1] + specks[1]
        missing = np.zeros((len(at), len(yarns)))
        if edges is not None:
            missing = edges.missing(blocks, apart)[at]
        error = np.asarray(quick_table(lab[specks], yarns_lab))
        own, taken = blocks[specks], _nearest_around(blocks, specks, error + missing)
        each = np.arange(len(at))
        breaks = missing[each, taken] - missing[each, own] > _BROKEN
        blocks[specks] = np.where(breaks, own, taken)
    return blocks


def _specks(blocks: NDArray[np.int64]) -> NDArray[np.bool_]:
    from skimage.measure import label

    pieces = label(blocks + 1, background=0, connectivity=2)
    return np.asarray(np.bincount(pieces.ravel())[pieces] <= _LARGEST)


def _around(field: NDArray[Any], at: _Places) -> NDArray[Any]:
    """(8, places, …) the neighbours of places in a field, beyond its border the border's own."""
    height, width = field.shape[:2]
    return np.stack(
        [
            field[np.clip(at[0] + down, 0, height - 1), np.clip(at[1] + across, 0, width - 1)]
            for down, across in _NEIGHBOURS
        ]
    )


def _nearest_around(blocks: NDArray[np.int64], at: _Places, cost: Floats) -> NDArray[np.int64]:
    """(places,) of the yarns that at least two of a block's eight neighbours have, not its own, the
    one of least (places, k) cost; where there is none, the one that most have."""
    around, own = _around(blocks, at), blocks[at]
    count = np.stack([(around == yarn).sum(axis=0) for yarn in range(cost.shape[1])])
    np.put_along_axis(count, own[None], 0, axis=0)
    costs = np.where(count >= _BESIDE, cost.T, np.inf)
    most = np.where(count.max(axis=0) > 0, count.argmax(axis=0), own)
    return np.where(np.isfinite(costs).any(axis=0), costs.argmin(axis=0), most)
