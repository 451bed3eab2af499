"""Mirror images: a drawing that is one stays one as blocks.

Where lines lie between two blocks, which one they take is a matter of a pixel, and differs from one
half to the other; so one half is taken for both, wherever their pixels are mirror images.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pix2block.picture.artwork import Artwork, Bools
from pix2block.picture.strokes import NO_STROKE

_LOOSE = 8  # a block's side over so many: how far a border may stray
_STRAYS = 0.03  # of a block's pixels, in a block that is a mirror image all the same
_MOST_OTHER = 0.1  # of the blocks that have something in them, in a drawing that is symmetric


def mirrored(
    art: Artwork, blocks: NDArray[np.int64], strokes: NDArray[np.int64]
) -> NDArray[np.int64]:
    """(height, width) blocks of art colours, the right half as the left one's mirror image and the
    lower as the upper's, as far as the drawing is symmetric so; unlike blocks stay as they are.

    strokes: (height, width) the colour of the line through each block, -1 where none is. A line
    along the middle of an even number of blocks takes both blocks beside it.
    """
    for turned in (False, True):
        labels, one, lines = art.labels, blocks, strokes
        if turned:
            labels, one, lines = labels.T, one.T, lines.T
        alike = _alike(labels, art.a_block)
        mixed = _mixed(labels, art.a_block)
        if not mixed.any() or (~alike & mixed).sum() > _MOST_OTHER * mixed.sum():
            continue
        both = one.copy()
        half = one.shape[1] // 2
        both[:, -half:] = one[:, :half][:, ::-1]
        if one.shape[1] % 2 == 0:
            _middle_line(both, lines)
        one = np.where(alike, both, one)
        blocks = one.T if turned else one
    return blocks


def _alike(labels: NDArray[np.int64], side: int) -> Bools:
    """(height, width) whether a block and its mirror image, left for right, have the same colours
    in the same places, but for a border's width."""
    from scipy.ndimage import maximum_filter

    reach = 2 * max(1, side // _LOOSE) + 1
    strays = np.ones(labels.shape, dtype=bool)
    for color in np.unique(labels).tolist():
        here = labels == color
        strays[here & maximum_filter(here[:, ::-1], reach)] = False
    alike = _blocks(strays, side).mean(axis=(1, 3)) <= _STRAYS
    return np.asarray(alike & alike[:, ::-1])


def _mixed(labels: NDArray[np.int64], side: int) -> Bools:
    """(height, width) whether a block or its mirror image has more than the commonest colour."""
    ground = int(np.bincount(labels.ravel()).argmax())
    mixed = np.asarray(_blocks(labels != ground, side).any(axis=(1, 3)))
    return np.asarray(mixed | mixed[:, ::-1])


def _blocks(pixels: Bools, side: int) -> Bools:
    height, width = (size // side for size in pixels.shape)
    return pixels.reshape(height, side, width, side)


def _middle_line(blocks: NDArray[np.int64], lines: NDArray[np.int64]) -> None:
    """Where a line runs along just right of the middle, both blocks beside the middle take it."""
    half = blocks.shape[1] // 2
    left, right = lines[:, half - 1], lines[:, half]
    goes_on = np.zeros(len(right), dtype=bool)
    goes_on[1:] |= right[1:] == right[:-1]
    goes_on[:-1] |= right[1:] == right[:-1]
    alone = goes_on & (right != NO_STROKE) & (left == NO_STROKE)
    blocks[alone, half - 1 : half + 1] = right[alone][:, None]


def widened(before: NDArray[np.int64], after: NDArray[np.int64], lines: NDArray[np.int64]) -> bool:
    """Whether a line along the middle of an even number of columns became two blocks wide."""
    width = after.shape[1]
    middle = slice(width // 2 - 1, width // 2 + 1)
    drawn = lines[:, middle]
    new = (after[:, middle] != before[:, middle]) & (drawn == NO_STROKE)
    twice = (after[:, width // 2 - 1] == after[:, width // 2]) & (drawn != NO_STROKE).any(axis=1)
    return width % 2 == 0 and int((new.any(axis=1) & twice).sum()) >= 3
