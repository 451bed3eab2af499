"""Masks of blocks: what lies around them, and what of them is more than a line."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Bools = NDArray[np.bool_]
_CORNERS = (np.s_[1:, 1:], np.s_[1:, :-1], np.s_[:-1, 1:], np.s_[:-1, :-1])


def around(mask: Bools, by: int) -> Bools:
    """(height, width) the blocks up to so many lines and columns from those of a mask."""
    out = np.zeros_like(mask)
    places = np.nonzero(mask)
    if len(places[0]):
        near = tuple(slice(max(0, int(at.min()) - by), int(at.max()) + by + 1) for at in places)
        part = mask[near]
        out[near] = _grown(_grown(part, by).T, by).T & ~part
    return out


def _grown(part: Bools, by: int) -> Bools:
    """With what lies up to so many lines above or below."""
    out = part.copy()
    for lines in range(1, by + 1):
        out[lines:] |= part[:-lines]
        out[:-lines] |= part[lines:]
    return out


def opened(kind: NDArray[Any]) -> Bools:
    """(height, width) what squares of two by two blocks of one kind, 1 or more, cover."""
    one, *others = (kind[at] for at in _CORNERS)
    full = (one > 0) & np.logical_and.reduce([one == other for other in others])
    out = np.zeros(kind.shape, dtype=np.bool_)
    for at in _CORNERS:
        out[at] |= full
    return out
