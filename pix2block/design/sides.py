"""One side or the other: a block on a strong edge takes no third yarn.

Where an edge runs between two yarns, a block in between is often nearest to a third, since its
colour is that of a blend or of a shade: a fringe. It takes the yarn of one of its two sides.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import quick_differences, quick_table
from pix2block.color.spaces import Bytes, to_lab
from pix2block.design.edges import is_line, shifted
from pix2block.design.features import Feature

_STRONG, _SHARP = 20.0, 0.6  # CIEDE2000 from two blocks before to two after; of it, from one to one
_WORSE = 10.0  # CIEDE2000 by which a side may be farther off than the third yarn
_ALONG = ((0, 1), (1, 0))


def on_one_side(
    blocks: NDArray[np.int64],
    means: Bytes,
    colors: Bytes,
    yarns: Bytes,
    features: Sequence[Feature] = (),
) -> NDArray[np.int64]:
    """(height, width) yarn numbers, those of blocks on strong edges of the picture being of one of
    both sides, the nearer; but for lines, for features, and where both are far off.

    means: (height, width, 3) block means, by which edges are told; colors: (height, width, 3) what
    yarns, (k, 3), are matched to.
    """
    edge, down = _strong_edges(means)
    for feature in features:
        edge &= ~feature.mask
    lines, columns = np.nonzero(edge)
    if not len(lines):
        return blocks
    steps = np.where(down[lines, columns], 2, 0), np.where(down[lines, columns], 0, 2)
    height, width = blocks.shape
    error = np.asarray(quick_table(to_lab(colors[lines, columns]), to_lab(yarns)))
    own = blocks[lines, columns]
    here = np.arange(len(lines))
    both = np.stack(
        [
            blocks[
                np.clip(lines + sign * steps[0], 0, height - 1),
                np.clip(columns + sign * steps[1], 0, width - 1),
            ]
            for sign in (-1, 1)
        ]
    )
    far = error[here, both]
    nearer = np.where(far[0] <= far[1], both[0], both[1])
    third = (own != both).all(axis=0) & (far.min(axis=0) - error[here, own] <= _WORSE)
    blocks = blocks.copy()
    blocks[lines, columns] = np.where(third, nearer, own)
    return blocks


def _strong_edges(means: Bytes) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """(height, width) whether a block lies on a strong edge, and whether its sides lie above and
    below rather than left and right."""
    lab = to_lab(means)
    two, sharp = [], []
    for axis in _ALONG:
        before, after = ([shifted(lab, axis, sign * n) for n in (1, 2)] for sign in (-1, 1))
        two.append(np.asarray(quick_differences(before[1], after[1])))
        edge = two[-1] >= _STRONG
        own = lab[edge][None]  # the rest is seldom asked for
        ends = [(b[edge][None], a[edge][None]) for b, a in zip(before, after, strict=True)]
        a_line = np.any([is_line(own - b, own - a) for b, a in ends], axis=0)[0]
        edge[edge] = (quick_differences(*ends[0])[0] >= _SHARP * two[-1][edge]) & ~a_line
        sharp.append(edge)
    down = np.asarray(two[1] > two[0])
    return np.where(down, sharp[1], sharp[0]), down
