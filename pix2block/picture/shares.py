"""Pixels as shares of a few flat colours, and these enlarged.

A pixel on a border is a blend of what lies beside it; one on a line thinner than itself is a blend
of the line with its ground, and never shows the line's own colour. Both are read as shares, in
coded sRGB, as drawing programs smooth. Shares are enlarged, not colours, so that a border stays
sharp and a line stays in its colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations_with_replacement

import numpy as np
from numpy.typing import NDArray

from pix2block.color.spaces import Floats
from pix2block.ground.frozen import dataclass
from pix2block.picture.blocks import Frame

Bools = NDArray[np.bool_]

_EXPLAINED = 14.0  # sRGB levels from a blend of two that compression may account for
_WIDEST = 5  # pixels; what is wider needs no ridge
_OF_RIDGE = 0.45  # of the most thereabouts that a line's pixels have
_FEWEST_ON_WAY = 6  # pixels from a ground towards a line
_CLEARLY = 40.0  # condition of the meeting of ways
_BEYOND = 0.5  # of the way to the nearest ground, that a line's colour may lie beyond what was seen
_FAINTEST = 0.2  # share of a pixel that a line has at least


@dataclass(frozen=True, eq=False)
class Shares:
    """(n,) numbers of pixels; (n, 3) the colours that each consists of, a colour more than once
    where they are fewer; (n, 3) how much of each, together 1."""

    pixels: NDArray[np.int64]
    colors: NDArray[np.int64]
    share: Floats


def on_segment(points: Floats, a: Floats, b: Floats) -> tuple[Floats, Floats]:
    """(n,) where the nearest place on the way from a to b lies, 0 to 1, and how far it is."""
    along = b - a
    square = float(along @ along)
    share = np.clip((points - a) @ along / square, 0, 1) if square else np.zeros(len(points))
    return share, np.asarray(np.linalg.norm(points - a - share[:, None] * along, axis=1))


def meeting(points: Floats, beside: Bools, colors: Floats, end: Floats) -> Floats:
    """(3,) the colour of a line thinner than a pixel, which no pixel has: where the ways from two
    or more grounds through their blends with it meet; `end`, the purest that was seen, where they
    do not meet clearly, or not a little beyond it.

    points: (n, 3) pixels on a line; beside: (n, c) the colours that lie beside each.
    """
    matrix, right, ways = np.zeros((3, 3)), np.zeros(3), []
    for ground in np.flatnonzero(beside.any(axis=0)).tolist():
        own = points[beside[:, ground] & (beside.sum(axis=1) == 1)] - colors[ground]
        toward = end - colors[ground]
        length = float(np.linalg.norm(toward))
        along = own @ toward / max(length, 1.0)
        near = np.linalg.norm(own - along[:, None] * toward / max(length, 1.0), axis=1)
        own = own[(along > 0.4 * length) & (near < 0.25 * along)]
        if len(own) < _FEWEST_ON_WAY:
            continue
        way = own.sum(axis=0)
        way /= np.linalg.norm(way)
        across = np.eye(3) - np.outer(way, way)
        matrix += across
        right += across @ colors[ground]
        ways.append(way)
    if len(ways) < 2 or np.linalg.cond(matrix) > _CLEARLY:
        return end
    found = np.linalg.solve(matrix, right)
    found = np.clip(found, 0, 255)
    steps = [np.linalg.norm(end - colors[g]) for g in np.flatnonzero(beside.any(axis=0))]
    return found if np.linalg.norm(found - end) < _BEYOND * min(steps) else end


def away_from_blends(coded: Floats, colors: Floats, beside: Bools) -> Floats:
    """(n,) distance in sRGB levels to the nearest blend of two colours that lie beside a pixel.

    coded: (n, 3); colors: (c, 3); beside: (n, c).
    """
    return _of_two(coded, colors, beside)[2]


def unmix(
    pixels: NDArray[np.int64], coded: Floats, colors: Floats, beside: Bools, lines: Sequence[int]
) -> Shares:
    """Shares of pixels: of the two colours beside them whose blend is nearest; where none is near,
    of one more as well, one that lines are drawn in or that lies beside too.

    pixels: (n,) their numbers; coded: (n, 3) sRGB; colors: (c, 3); beside: (n, the first of them);
    lines: numbers of colours.
    """
    found, share, away = _of_two(coded, colors, beside)
    left = np.flatnonzero(away > _EXPLAINED)
    best = away[left]
    for a, b in combinations_with_replacement(range(beside.shape[1]), 2):
        both = np.flatnonzero(beside[left, a] & beside[left, b])
        if not len(both):
            continue
        for line in range(len(colors)):
            if line in (a, b):
                continue
            here = both if line in lines else both[_has(beside, left[both], line)]
            if not len(here):
                continue
            parts, far = _of_three(coded[left[here]], colors[[a, b, line]])
            nearer = far < best[here] - 0.5
            at = left[here[nearer]]
            found[at], share[at] = (a, b, line), parts[nearer]
            best[here[nearer]] = far[nearer]
    return Shares(pixels, found, share)


def _has(beside: Bools, pixels: NDArray[np.int64], color: int) -> Bools:
    if color < beside.shape[1]:
        return np.asarray(beside[pixels, color])
    return np.zeros(len(pixels), dtype=bool)


def _of_two(
    coded: Floats, colors: Floats, beside: Bools
) -> tuple[NDArray[np.int64], Floats, Floats]:
    """The nearest blend of two colours beside each pixel: (n, 3) the two, the first twice; (n, 3)
    their shares; (n,) how far it is."""
    found = np.zeros((len(coded), 3), dtype=np.int64)
    share = np.zeros((len(coded), 3))
    away = np.full(len(coded), np.inf)
    for a, b in combinations_with_replacement(range(beside.shape[1]), 2):
        here = np.flatnonzero(beside[:, a] & beside[:, b])
        if not len(here):
            continue
        part, far = on_segment(coded[here], colors[a], colors[b])
        nearer = far < away[here]
        at, part = here[nearer], part[nearer]
        away[at] = far[nearer]
        found[at] = (a, b, a)
        share[at] = np.stack([1 - part, part, np.zeros(len(part))], axis=1)
    return found, share, away


def _of_three(points: Floats, corners: Floats) -> tuple[Floats, Floats]:
    """(n, 3) shares of the blend of three colours nearest to each point, and (n,) how far."""
    one, other = corners[0] - corners[2], corners[1] - corners[2]
    share = np.zeros((len(points), 3))
    away = np.full(len(points), np.inf)
    basis = np.stack([one, other], axis=1)
    if np.linalg.matrix_rank(basis, tol=1.0) == 2:
        first, second = np.linalg.pinv(basis) @ (points - corners[2]).T
        inside = (first >= 0) & (second >= 0) & (first + second <= 1)
        share[inside] = np.stack([first, second, 1 - first - second], axis=1)[inside]
        away[inside] = np.linalg.norm(points - share @ corners, axis=1)[inside]
    for a, b in ((0, 1), (0, 2), (1, 2)):  # else on a side
        part, far = on_segment(points, corners[a], corners[b])
        nearer = far < away
        share[nearer] = 0
        share[nearer, a], share[nearer, b] = 1 - part[nearer], part[nearer]
        away = np.minimum(away, far)
    return share, away


def enlarged_labels(
    labels: NDArray[np.int64], shares: Shares, fine: Frame, looked: Frame
) -> NDArray[np.int64]:
    """(fine height, fine width) each fine pixel's colour: of what it has the largest share, or of a
    line, which may be thinner than a pixel, wherever its share is near the most thereabouts.

    labels: (height, width) of flat pixels, -1 elsewhere; fine, looked: where fine pixels lie, and
    those that were looked at.
    """
    from scipy.ndimage import maximum_filter, minimum_filter

    down = _between(fine.top, fine.block, fine.height, looked.top, looked.block, looked.height)
    across = _between(fine.left, fine.block, fine.width, looked.left, looked.block, looked.width)
    best = np.zeros((fine.height, fine.width), dtype=np.int64)
    most = np.full(best.shape, -1.0, dtype=np.float32)
    for color in range(int(max(labels.max(), shares.colors.max(initial=0))) + 1):
        field = (labels == color).astype(np.float32).ravel()
        for i in range(3):
            own = shares.colors[:, i] == color
            field[shares.pixels[own]] += shares.share[own, i].astype(np.float32)
        field = field.reshape(labels.shape)
        ridge = field - maximum_filter(minimum_filter(field, _WIDEST), _WIDEST)
        here = _resized(field, down, across)
        line = _resized(ridge, down, across) > _FAINTEST
        line &= here > _OF_RIDGE * _resized(maximum_filter(field, 3), down, across)
        here[line] += 1  # a line goes before any area
        better = here > most
        best[better], most[better] = color, here[better]
    return best


_Places = tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float32]]


def _between(
    first: float, step: float, count: int, origin: float, pixel: float, pixels: int
) -> _Places:
    """For each fine pixel along a side the two pixels it lies between, and how near the second."""
    at = np.clip((first + (np.arange(count) + 0.5) * step - origin) / pixel - 0.5, 0, pixels - 1)
    lower = np.minimum(at.astype(np.int64), max(pixels - 2, 0))
    return lower, np.minimum(lower + 1, pixels - 1), (at - lower).astype(np.float32)


def _resized(field: NDArray[np.float32], down: _Places, across: _Places) -> NDArray[np.float32]:
    """A field between its pixels, linear."""
    if len(down[0]) == field.shape[0] and len(across[0]) == field.shape[1]:
        return field.copy()
    lower, upper, share = down
    lines = field[lower] * (1 - share)[:, None] + field[upper] * share[:, None]
    lower, upper, share = across
    return np.asarray(lines[:, lower] * (1 - share) + lines[:, upper] * share)
