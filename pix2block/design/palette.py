"""Which yarns: K colours from the picture, or the best K of a shelf; every block its nearest."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import difference_table
from pix2block.color.names import name_colors
from pix2block.color.spaces import Bytes, Floats, from_lab, rgb_array, to_hex, to_lab
from pix2block.ground.errors import BadInput
from pix2block.yarn.yarn import Yarn


def distinct(colors: Bytes) -> tuple[Bytes, NDArray[np.int64]]:
    """(n, 3) distinct colours in order of value, and (…,) which of them each colour is."""
    flat = colors.reshape(-1, 3).astype(np.int64)
    keys, which = np.unique(flat @ np.array([65536, 256, 1]), return_inverse=True)
    unique = np.stack([keys >> 16, (keys >> 8) & 255, keys & 255], axis=1).astype(np.uint8)
    return unique, which.reshape(colors.shape[:-1])


def nearest_yarns(means: Bytes, yarns: Bytes) -> NDArray[np.int64]:
    """(height, width) the yarn of least CIEDE2000 for each block; ties to the lowest number."""
    unique, which = distinct(means)
    nearest = np.argmin(difference_table(unique, yarns), axis=1)
    return np.asarray(nearest[which])


def palette_from_picture(means: Bytes, most: int, seed: int) -> Bytes:
    """(k, 3) at most `most` colours of the picture, by k-means in CIELAB (k-means++ start).

    means: (height, width, 3) block colours. The same seed gives the same colours.
    """
    from scipy.cluster.vq import kmeans2

    unique, which = distinct(means)
    if len(unique) <= most:
        return unique
    points = to_lab(unique)[which.ravel()]
    best, least = unique[:most], np.inf
    for start in range(4):
        centres, label = kmeans2(
            points, most, iter=30, minit="++", rng=np.random.default_rng([seed, start])
        )
        cost = float(((points - centres[label]) ** 2).sum())
        if cost < least:
            best, least = distinct(from_lab(centres))[0], cost
    return best


def yarns_from_picture(
    means: Bytes, most: int, seed: int
) -> tuple[tuple[Yarn, ...], NDArray[np.int64]]:
    """At most `most` yarns of the picture's own colours, by blocks falling, and every block's."""
    return _named_yarns(palette_from_picture(means, most, seed), means)


def yarns_taken_exactly(means: Bytes, most: int) -> tuple[tuple[Yarn, ...], NDArray[np.int64]]:
    """A yarn for every colour of a picture that already is a chart, and every block's.

    Raises BadInput where it has more than `most` colours.
    """
    colors, _ = distinct(means)
    if len(colors) > most:
        raise BadInput(
            f"as a chart the picture has {len(colors):,} colours, over {most}: "
            "use --look photo, or a picture without blends (PNG, not JPEG)"
        )
    return _named_yarns(colors, means)


def yarns_from_shelf(
    means: Bytes, shelf: tuple[Yarn, ...], most: int
) -> tuple[tuple[Yarn, ...], NDArray[np.int64]]:
    """At most `most` yarns of a shelf, in its order, and every block's."""
    rgb = rgb_array([yarn.color for yarn in shelf])
    chosen = best_of_shelf(means, rgb, most)
    return tuple(shelf[i] for i in chosen), nearest_yarns(means, rgb[chosen])


def _named_yarns(colors: Bytes, means: Bytes) -> tuple[tuple[Yarn, ...], NDArray[np.int64]]:
    blocks = nearest_yarns(means, colors)
    counts = np.bincount(blocks.ravel(), minlength=len(colors))
    order = np.argsort(-counts, kind="stable")
    order = order[counts[order] > 0]
    number = np.empty(len(colors), dtype=np.int64)
    number[order] = np.arange(len(order))
    names = name_colors(colors[order])
    yarns = tuple(Yarn(n, to_hex(c)) for n, c in zip(names, colors[order], strict=True))
    return yarns, number[blocks]


def best_of_shelf(means: Bytes, shelf: Bytes, most: int) -> list[int]:
    """Indices, rising, of at most `most` yarns that keep the mean CIEDE2000 small.

    The K-median problem by greedy choice, then swaps of one yarn in for one out while any helps
    (Teitz & Bart 1968).
    """
    if most >= len(shelf):
        return list(range(len(shelf)))
    unique, which = distinct(means)
    weight = np.bincount(which.ravel(), minlength=len(unique)).astype(np.float64)
    table = difference_table(unique, shelf)
    chosen: list[int] = []
    nearest = np.full(len(unique), np.inf)
    for _ in range(most):
        costs = weight @ np.minimum(nearest[:, None], table)
        costs[chosen] = np.inf
        chosen.append(int(np.argmin(costs)))
        nearest = np.minimum(nearest, table[:, chosen[-1]])
    while _swap_one(table, weight, chosen):
        pass
    return sorted(chosen)


def _swap_one(table: Floats, weight: Floats, chosen: list[int]) -> bool:
    """Make the best swap in place; False where none helps."""
    least = float(weight @ table[:, chosen].min(axis=1)) - 1e-9
    best: tuple[int, int] | None = None
    for place in range(len(chosen)):
        others = chosen[:place] + chosen[place + 1 :]
        rest = table[:, others].min(axis=1) if others else np.full(len(table), np.inf)
        costs = weight @ np.minimum(rest[:, None], table)
        yarn = int(np.argmin(costs))
        if costs[yarn] < least:
            least, best = float(costs[yarn]), (place, yarn)
    if best is None:
        return False
    chosen[best[0]] = best[1]
    return True
