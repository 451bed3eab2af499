"""Flat artwork: its own colours, every pixel's colour, and whether a picture is flat at all.

Colours come from pixels away from edges (a flat 3 x 3 neighbourhood), so that no blend of two
neighbours becomes one; thin lines, which have no such pixels, give theirs from their ridges.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import quick_table
from pix2block.color.spaces import Bytes, Floats, distinct, encode_bytes, to_lab
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.picture.blocks import Frame, block_means
from pix2block.picture.picture import Picture
from pix2block.picture.shares import (
    Shares,
    away_from_blends,
    enlarged_labels,
    meeting,
    on_segment,
    unmix,
)

Bools = NDArray[np.bool_]

FLAT_RANGE = 8  # levels that a flat neighbourhood may span: what compression leaves of flat colour
SAME_COLOR = 3.0  # CIEDE2000
MOST_ART_COLORS = 32
NEAR_PIXELS = 3  # how far the blends of an edge reach
FLAT_SHARE = 0.85  # of the picture that its own colours must explain
_CORE = 1.0  # CIEDE2000 that flat colour may stray
_WINDOW = 48
_MOST_PIXELS = 2_500_000
_MOST_A_BLOCK, _LEAST_A_BLOCK = 16, 4
_THIN = 48.0  # distance, in sRGB levels, from every blend of the colours around
_LINE_SPREAD = 34.0


@dataclass(frozen=True, eq=False)
class Artwork:
    """A picture as flat colours. a_block: pixels to a side of a block; colors: (c, 3) its own;
    labels: (h, w) each pixel's colour."""

    a_block: int
    colors: Bytes
    labels: NDArray[np.int64]


def flat_share(picture: Picture) -> float:
    """How much of a picture its own few colours explain, 0 to 1: flat art or a photo?

    The measure, on a grid of small windows at the picture's own resolution: the share of pixels
    that lie within 3 of a flat pixel whose colour is within 1 CIEDE2000 of one of at most 32
    colours; 0 where there are more.
    """
    windows = _windows(picture)
    flat = _flat_pixels(windows)
    colors, few = _flat_colors(windows[flat], max(8, windows.size // 3 // 4000))
    if not few or not len(colors):
        return 0.0
    labels = _label_flat(windows, flat, colors, _CORE)
    return float(_grow(labels >= 0).mean())


def _windows(picture: Picture) -> Bytes:
    """(windows, h, w, 3) 8-bit sRGB, spread evenly over the stored picture."""
    width, height = picture.image.size
    w, h = min(_WINDOW, width), min(_WINDOW, height)
    lefts = np.linspace(0, width - w, 7 if width > w else 1).astype(int)
    tops = np.linspace(0, height - h, 7 if height > h else 1).astype(int)
    parts = [
        picture.profile.to_srgb_light(picture.light((x, y, x + w, y + h)))
        for y in tops.tolist()
        for x in lefts.tolist()
    ]
    return encode_bytes(np.stack(parts))


def read_artwork(picture: Picture, frame: Frame) -> Artwork:
    """The framed picture as artwork, at up to 16 pixels a block; of a picture that has fewer, each
    pixel is first read as shares of the colours around it, and these are enlarged, so that borders
    stay sharp and no blend is taken for a colour.

    Raises BadInput where it has no flat colours at all.
    """
    fit = int((_MOST_PIXELS / (frame.width * frame.height)) ** 0.5)
    a_block = max(_LEAST_A_BLOCK, min(_MOST_A_BLOCK, fit))
    looked = frame.finer(a_block) if frame.block >= a_block else _own_pixels(frame)
    pixels = block_means(picture, looked)
    a_block_has = frame.block / looked.block
    flat = _flat_pixels(pixels[None])[0]
    colors, _ = _flat_colors(pixels[flat], max(4, int(a_block_has**2) // 2))
    if not len(colors):  # drawn pixel by pixel: each of its few colours is flat
        flat = np.ones_like(flat)
        colors, few = _flat_colors(pixels.reshape(-1, 3), 1)
        if not few:
            raise BadInput(
                f"picture {picture.name} has no flat colours: use ", Ask("look", "photo")
            )
    labels = _label_flat(pixels, flat, colors, 2 * SAME_COLOR)
    near = np.stack([_grow((labels == c)[None])[0] for c in range(len(colors))])
    colors, shares = _unmixed(pixels, colors, labels, near, a_block_has)
    return Artwork(a_block, colors, enlarged_labels(labels, shares, frame.finer(a_block), looked))


def _own_pixels(frame: Frame) -> Frame:
    """The picture's own pixels that a frame lies on."""
    left, top, right, bottom = frame.box
    first = math.floor(left + 1e-9), math.floor(top + 1e-9)
    last = math.ceil(right - 1e-9), math.ceil(bottom - 1e-9)
    return Frame(*first, 1.0, last[0] - first[0], last[1] - first[1])


def most_covering(art: Artwork) -> NDArray[np.int64]:
    """(height, width) the colour that covers most of each block; ties to the lowest number."""
    height, width = (size // art.a_block for size in art.labels.shape)
    squares = art.labels.reshape(height, art.a_block, width, art.a_block)
    cover = np.stack([(squares == color).sum(axis=(1, 3)) for color in range(len(art.colors))])
    return np.asarray(cover.argmax(axis=0))


def _flat_pixels(windows: Bytes) -> Bools:
    """(n, h, w) whether the 3 x 3 neighbourhood is flat."""
    span = _around(windows, 1, np.maximum).astype(np.int16) - _around(windows, 1, np.minimum)
    return np.asarray(span.max(axis=-1) <= FLAT_RANGE)


def _grow(mask: Bools) -> Bools:
    """(n, h, w) what lies within 3 pixels."""
    return _around(mask, NEAR_PIXELS, np.logical_or)


def _around(values: NDArray[Any], reach: int, combine: np.ufunc) -> NDArray[Any]:
    """(n, h, w, …) each value combined with all within reach along lines and columns. Plain
    slices: for so small a reach as quick as a filter, whose import would cost more."""
    for axis in (1, 2):
        combined = values.copy()
        size = values.shape[axis]
        for shift in range(1, min(reach, size - 1) + 1):
            low = (slice(None),) * axis + (slice(None, size - shift),)
            high = (slice(None),) * axis + (slice(shift, None),)
            combine(combined[low], values[high], out=combined[low])
            combine(combined[high], values[low], out=combined[high])
        values = combined
    return values


def _flat_colors(pixels: Bytes, least: int) -> tuple[Bytes, bool]:
    """(c, 3) colours of flat pixels, the largest first, each at least `least` pixels, and whether
    these are all that many pixels have."""
    cells = pixels.astype(np.int64) >> 2
    keys = (cells[:, 0] << 12) | (cells[:, 1] << 6) | cells[:, 2]
    values, which, counts = np.unique(keys, return_inverse=True, return_counts=True)
    sums = np.stack(
        [np.bincount(which, weights=pixels[:, c], minlength=len(values)) for c in range(3)], axis=1
    )
    order = np.argsort(-counts, kind="stable")[:2000]
    counts, sums = counts[order].astype(np.float64), sums[order]
    lab = to_lab(np.floor(sums / counts[:, None] + 0.5).astype(np.uint8))
    left = np.ones(len(counts), dtype=bool)
    colors: list[Bytes] = []
    while left.any() and len(colors) <= MOST_ART_COLORS:
        first = int(np.flatnonzero(left)[0])
        # What is lighter or darker by so much cannot be alike: (18) of CIEDE2000 is less than 1.75.
        near = np.flatnonzero(left & (np.abs(lab[:, 0] - lab[first, 0]) <= 1.75 * SAME_COLOR))
        alike = near[quick_table(lab[near], lab[first][None])[:, 0] <= SAME_COLOR]
        left[alike] = False
        if counts[alike].sum() < least:
            continue
        core = alike[counts[alike] >= counts[first] * 0.5]
        colors.append(np.floor(sums[core].sum(0) / counts[core].sum() + 0.5).astype(np.uint8))
    few = len(colors) <= MOST_ART_COLORS
    return np.array(colors[:MOST_ART_COLORS], dtype=np.uint8).reshape(-1, 3), few


def _label_flat(pixels: Bytes, flat: Bools, colors: Bytes, within: float) -> NDArray[np.int64]:
    """Labels of flat pixels whose colour is near, -1 elsewhere, in the shape of `flat`."""
    unique, which = distinct(pixels[flat])
    nearest = np.full(len(unique), -1, dtype=np.int64)
    if len(unique):
        table = quick_table(to_lab(unique), to_lab(colors))
        nearest = np.where(table.min(axis=1) <= within, table.argmin(axis=1), -1)
    labels = np.full(flat.shape, -1, dtype=np.int64)
    labels[flat] = nearest[which.ravel()]
    return labels


def _unmixed(
    pixels: Bytes, colors: Bytes, labels: NDArray[np.int64], near: Bools, a_block: float
) -> tuple[Bytes, Shares]:
    """The colours, those of thin lines too, and every other pixel's shares of them: it is a blend
    of those beside it, and what no blend explains has part of a thin line in it."""
    from scipy.ndimage import distance_transform_edt

    edge = np.flatnonzero(labels.ravel() < 0)
    coded = pixels.reshape(-1, 3)[edge].astype(np.float64)
    beside = near.reshape(len(colors), -1)[:, edge].T.copy()
    alone = np.flatnonzero(~beside.any(axis=1))
    if len(alone):  # too far from anything flat: what is nearest
        at = distance_transform_edt(labels < 0, return_distances=False, return_indices=True)
        lines, columns = at.reshape(2, -1)[:, edge[alone]]
        beside[alone, labels[lines, columns]] = True
    away = away_from_blends(coded, colors.astype(np.float64), beside)
    thin = away > _THIN
    farness = np.zeros(labels.size)
    farness[edge] = np.where(thin & np.isfinite(away), away, 0)
    top = _ridge(farness.reshape(labels.shape))
    grounds = beside[np.searchsorted(edge, top)]
    found = _with_line_colors(pixels.reshape(-1, 3)[top], farness[top], grounds, colors, a_block)
    lines = _drawn_in(pixels.reshape(-1, 3)[top], found)
    return found, unmix(edge, coded, found.astype(np.float64), beside, lines)


def _ridge(farness: Floats) -> NDArray[np.int64]:
    """Which pixels are about the farthest from every blend thereabouts: the middles of lines."""
    from scipy.ndimage import maximum_filter

    highest = maximum_filter(farness, 5)
    return np.flatnonzero((farness > 0) & (farness >= 0.8 * highest))


def _drawn_in(coded: Bytes, colors: Bytes) -> list[int]:
    """Which colours pixels on ridges are near: those that lines are drawn in."""
    if not len(coded):
        return []
    apart = np.linalg.norm(coded[:, None].astype(np.float64) - colors, axis=2)
    near = apart.argmin(axis=1)[apart.min(axis=1) <= 2 * _LINE_SPREAD]
    found: list[int] = np.unique(near).tolist()
    return found


def _with_line_colors(
    top: Bytes, far: Floats, beside: Bools, colors: Bytes, a_block: float
) -> Bytes:
    """The colours, and those of thin lines: the far ends of what no blend explains.

    top: (n, 3) pixels on ridges; far: (n,) how far from every blend; beside: (n, c) colours that
    lie beside each.
    """
    coded = top.astype(np.float64)
    found = colors.astype(np.float64)
    left = np.ones(len(top), dtype=bool)
    for _ in range(8):
        if np.count_nonzero(left) < max(a_block, 0.02 * len(top)):
            break
        ends = np.flatnonzero(left)[np.argsort(-far[left], kind="stable")]
        seed = coded[ends[: max(3, len(ends) // 50)]].mean(axis=0)
        close = ends[np.linalg.norm(coded[ends] - seed, axis=1) <= _LINE_SPREAD]
        purest = close[: max(3, len(close) // 10)]
        seed = np.median(coded[purest], axis=0) if len(close) else seed
        seed = meeting(coded[ends], beside[ends], colors.astype(np.float64), seed)
        on_way = np.min([on_segment(coded, c, seed)[1] for c in found], axis=0) <= _LINE_SPREAD
        enough = np.count_nonzero(left & on_way) >= a_block
        left &= ~on_way
        left[ends[:3]] = False
        known = quick_table(to_lab(_bytes(seed[None])), to_lab(_bytes(found)))
        if enough and known.min() > 2 * SAME_COLOR:
            found = np.concatenate([found, seed[None]])
    own = np.ones(len(found), dtype=bool)
    for i in range(len(colors), len(found)):  # paler stretches of a line are no colour of its own
        own[i] = not _is_blend(found[i], np.delete(found, i, axis=0)[np.delete(own, i)])
    return _bytes(found[own])


def _is_blend(color: Floats, colors: Floats) -> bool:
    """Whether a colour lies between two others."""
    return any(
        on_segment(color[None], a, b)[1][0] < _THIN / 2
        for i, a in enumerate(colors)
        for b in colors[:i]
    )


def _bytes(colors: Floats) -> Bytes:
    return np.floor(colors + 0.5).astype(np.uint8)
