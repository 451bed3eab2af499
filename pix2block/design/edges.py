"""Blocks on an edge: the colour of the larger side, not the blend of both.

A block that an edge runs through has the mean light of two areas, which is the colour of neither.
Drawn so it takes a third yarn: a fringe along every outline. So the picture, in some samples a
block, is smoothed within its areas but not across their edges (Kuwahara et al. 1976), and the block
takes the sample that is nearest to all the others, which is one of the larger side.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import quick_differences
from pix2block.color.spaces import (
    Bytes,
    Floats,
    decoding_table,
    from_lab,
    inner_products,
    lengths,
    to_lab,
)
from pix2block.design.features import Feature

Ints = NDArray[np.int64]

_AXES = ((0, 1), (1, 0), (1, 1), (1, -1))
_STRONG = 10.0  # CIEDE2000 between the sides of an edge
_BETWEEN = 0.04  # a side's share of a blend
_OFF = 0.3  # how far off the line between the two a blend may lie, of that line's length
# The same of what is a blend whatever else it may be: at the top of something round a block lies
# between its sides, and looks like a line's across.
_STRONGEST, _SURELY = 30.0, (0.15, 0.08)
_LINE, _ONE_WAY = 5.0, 0.5  # CIELAB to both sides of a line, and the cosine between them
_LEAST_SAMPLES = 3
_AROUND, _TEXTURE = 7, 0.5  # so many blocks around, so much of them on edges: a texture


def crisp(means: Bytes, closely: Floats, parts: Sequence[Feature] = ()) -> Bytes:
    """(height, width, 3) block means, blends on edges replaced by the larger side's colour.

    closely: (height * n, width * n, 3) CIELAB of the same part of the picture; with n below 3 there
    is nothing to vote on, and the means stay. A line or a spot of a block's width is no
    blend: what lies beside it is alike on both sides; where half the blocks thereabouts
    would vote, it is a texture, and they stay. parts: small ones, that a vote would take away, stay
    too.
    """
    from scipy.ndimage import uniform_filter

    height, width = means.shape[:2]
    samples = closely.shape[0] // height
    if samples < _LEAST_SAMPLES or min(height, width) < 3:
        return means
    voting = _on_edge(means)
    voting &= uniform_filter(voting.astype(np.float64), _AROUND) < _TEXTURE
    for part in parts:
        voting &= ~part.mask
    lines, columns = np.nonzero(voting)
    down, across = np.divmod(np.arange(samples**2), samples)
    at = lines[:, None] * samples + down, columns[:, None] * samples + across
    out = means.copy()
    out[lines, columns] = from_lab(_most_like_all(_smoothed(closely, samples, at)))
    return out


def _smoothed(lab: Floats, samples: int, at: tuple[Ints, Ints]) -> Floats:
    """Of the samples at some lines and columns each the mean of the calmest of four windows that it
    is a corner of."""
    from scipy.ndimage import uniform_filter

    side = samples // 2 + 1
    reach = side // 2
    means = np.stack([uniform_filter(lab[..., i], side, mode="nearest") for i in range(3)], axis=2)
    squares = uniform_filter(inner_products(lab, lab), side, mode="nearest")
    spread = squares - inner_products(means, means)
    best, out = np.full(at[0].shape, np.inf), means[at]
    for down in (-reach, reach):
        for across in (-reach, reach):
            corner = tuple(
                np.clip(places + way, 0, side - 1)
                for places, way, side in zip(at, (down, across), spread.shape, strict=True)
            )
            there = spread[corner]
            calmer = there < best
            out[calmer] = means[corner][calmer]
            best = np.where(calmer, there, best)
    return out


def _most_like_all(here: Floats) -> Floats:
    """(n, 3) of each of n groups of (m, 3) the one of least summed distance to the others."""
    best, chosen = np.full(len(here), np.inf), here[:, 0].copy()
    for i in range(here.shape[1]):
        far = np.sqrt(((here - here[:, i : i + 1]) ** 2).sum(axis=2)).sum(axis=1)
        nearer = far < best - 1e-9
        chosen[nearer] = here[nearer, i]
        best = np.where(nearer, far, best)
    return chosen


def _on_edge(means: Bytes) -> NDArray[np.bool_]:
    """(height, width) whether a block is a blend of what lies on two sides of it, and no line or
    spot, which differs from both sides in one direction; or is surely one."""
    light, lab = decoding_table()[means], to_lab(means)
    found, lines, surely = np.zeros((3, *means.shape[:2]), dtype=bool)
    for steps in (1, 2):
        for axis in _AXES:
            sides = [
                [shifted(field, axis, sign * steps) for field in (light, lab)] for sign in (-1, 1)
            ]
            apart = quick_differences(sides[0][1], sides[1][1])
            found |= (apart >= _STRONG) & _is_blend(light, sides[0][0], sides[1][0])
            if steps == 1:
                blend = _is_blend(light, sides[0][0], sides[1][0], *_SURELY)
                surely |= (apart >= _STRONGEST) & blend
            lines |= is_line(lab - sides[0][1], lab - sides[1][1])
    return np.asarray(surely | (found & ~lines))


def is_line(before: Floats, after: Floats) -> NDArray[np.bool_]:
    """Whether differences to both sides are clear and point one way."""
    one, other = lengths(before), lengths(after)
    alike = inner_products(before, after) > _ONE_WAY * one * other
    return np.asarray(alike & (np.minimum(one, other) >= _LINE))


def _is_blend(
    light: Floats, before: Floats, after: Floats, between: float = _BETWEEN, off_line: float = _OFF
) -> NDArray[np.bool_]:
    line = after - before
    length = np.maximum(inner_products(line, line), 1e-12)
    share = inner_products(light - before, line) / length
    beside = light - before - share[..., None] * line
    off = inner_products(beside, beside) / length
    return np.asarray((share > between) & (share < 1 - between) & (off < off_line**2))


def shifted(field: NDArray[Any], axis: tuple[int, int], steps: int) -> NDArray[Any]:
    """Each place's neighbour so many steps along an axis, the border's own beyond it."""
    lines, columns = (
        np.clip(np.arange(side) + along * steps, 0, side - 1)
        for side, along in zip(field.shape[:2], axis, strict=True)
    )
    return np.asarray(field[lines[:, None], columns[None, :]])
