"""Yarns that read: the few colours by which a picture's parts are still seen.

Least mean error spends yarns on large areas. Here yarns are swapped for others while the error over
the first error, and a price for what no longer reads, fall: small parts whose contrast to their
ring is lost or turned to another colour, parts that lose their hue, and edges with the same yarn on
both sides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import quick_differences, quick_table
from pix2block.color.spaces import Bytes, Floats, decoding_table, encode_bytes, to_lab
from pix2block.design.features import Feature
from pix2block.ground.frozen import dataclass
from pix2block.ground.progress import heed

Ints = NDArray[np.int64]

# Prices, of the first error.
_PART, _HUE, _EDGES, _AREAS = 0.03, 0.1, 1.5, 12.0
_AREA, _AREA_BLOCKS = 7.0, 16  # CIEDE2000 between areas, and their size
_SHOWN, _GUARD = 0.5, 4.0  # lost by less than half is shown; what is worth keeping then
_KEPT = 0.6  # of a part's contrast that is surely seen
_ASIDE = 0.9  # how far a contrast may turn aside, of what is kept of it: within 45 degrees
_HUED = 12.0  # chroma that is a hue
_EDGE = 10.0  # CIEDE2000 across an edge
_ROUNDS, _LEAST = 4, 1e-4
_AT_ONCE = 16  # sets whose areas are looked at together
_SIDES = (np.s_[:, 1:], np.s_[:, :-1]), (np.s_[1:], np.s_[:-1])


@dataclass(frozen=True, eq=False)
class Legible:
    """What should read in a chart. of_parts: (m,) the blocks of all parts and rings; parts: sparse
    (2 x n, m), the mean over each part, then over each ring; seen, own: (n, 3) CIELAB of a part
    less its ring, and of itself; worth: (n,); one, other: (edges,) the blocks on both sides of
    each; across: (edges,) CIEDE2000 that it needs; edge_worth: (edges,), in all 1."""

    of_parts: Ints
    parts: Any
    seen: Floats
    own: Floats
    worth: Floats
    one: Ints
    other: Ints
    across: Floats
    edge_worth: Floats
    areas: Any
    pairs: Ints
    parted: Floats
    pair_worth: Floats


def what_should_read(
    means: Bytes, colors: Bytes, share: Floats, features: Sequence[Feature]
) -> Legible:
    """means: (height, width, 3) block means, by which parts are judged; colors: the same with
    edges crisp, by which edges are; share: (height, width) 0 to 1, how far each block is of the
    subject."""
    from scipy.sparse import csr_array

    masks = [f.mask for f in features] + [f.ring for f in features]
    rows = np.array([mask.ravel() / max(int(mask.sum()), 1) for mask in masks])
    rows = rows.reshape(-1, share.size)
    of_parts = np.flatnonzero(rows.any(axis=0))
    parts = csr_array(rows[:, of_parts])
    light = decoding_table()[means].reshape(-1, 3)[of_parts]
    inside, around = _two(parts @ light)
    stands_out = np.array([min(1.0, f.difference / 20) for f in features])
    of_subject = (parts @ share.ravel()[of_parts])[: len(features)]
    one, other, apart = _edges_of(colors)
    edge_worth = 0.1 + (share.ravel()[one] + share.ravel()[other]) / 2
    return Legible(
        of_parts,
        parts,
        inside - around,
        inside,
        np.asarray((0.4 + 0.6 * of_subject) * stands_out),
        one,
        other,
        np.minimum(apart / 2, 10.0),
        edge_worth / max(float(edge_worth.sum()), 1e-9),
        *_areas_of(colors, share),
    )


def _areas_of(colors: Bytes, share: Floats) -> tuple[Any, Ints, Floats, Floats]:
    """Areas (superpixels), pairs that touch and differ, the difference they need, its worth."""
    from scipy.sparse import csr_array
    from skimage.segmentation import slic

    lab = to_lab(colors)
    labels = slic(
        lab.astype(np.float32),
        n_segments=max(4, share.size // _AREA_BLOCKS),
        compactness=0.1,  # channels go from 0 to 1
        max_num_iter=5,
        convert2lab=False,
        start_label=0,
    )
    flat = labels.ravel()
    size = np.bincount(flat)
    which = np.arange(len(flat))
    areas = csr_array((1 / size[flat], (flat, which)), shape=(len(size), len(flat)))
    n = len(size)
    touch = [(labels[here].ravel(), labels[there].ravel()) for here, there in _SIDES]
    one, other = (np.concatenate(side) for side in zip(*touch, strict=True))
    both = np.minimum(one, other) * n + np.maximum(one, other)
    pair, length = np.unique(both, return_counts=True)
    pairs = np.stack([pair // n, pair % n], axis=1)
    color = to_lab(encode_bytes(areas @ decoding_table()[colors].reshape(-1, 3)))
    apart = quick_differences(color[pairs[:, 0]], color[pairs[:, 1]])
    clear = (pairs[:, 0] != pairs[:, 1]) & (apart >= _AREA)
    pairs, apart, length = pairs[clear], apart[clear], length[clear]
    of = areas @ share.ravel()
    ends = of[pairs]
    worth = length * (0.1 + ends.mean(axis=1) + 2 * np.abs(ends[:, 0] - ends[:, 1]))
    return areas, pairs, np.minimum(apart * 0.6, 10.0), worth / max(float(worth.sum()), 1e-9)


def _two(light: Floats) -> tuple[Floats, Floats]:
    """CIELAB of parts and of their rings, of the mean light of both."""
    inside, around = np.split(to_lab(encode_bytes(light)), 2, axis=-2)
    return inside, around


def _edges_of(colors: Bytes) -> tuple[Ints, Ints, Floats]:
    """Blocks side by side that differ clearly, and by how much."""
    lab, number = to_lab(colors), np.arange(colors[..., 0].size).reshape(colors.shape[:2])
    found = []
    for here, there in _SIDES:
        apart = quick_differences(lab[here], lab[there])
        edge = apart >= _EDGE
        found.append((number[here][edge], number[there][edge], apart[edge]))
    one, other, apart = (np.concatenate(side) for side in zip(*found, strict=True))
    return one, other, apart


@dataclass(frozen=True, eq=False)
class Choice:
    """Candidates and what they do. table: (candidates, blocks) CIEDE2000; weights: (blocks, 2),
    each column in all 1: as blocks count, and all alike; rgb: (candidates, 3)."""

    table: NDArray[np.float32]
    weights: NDArray[np.float32]
    rgb: Bytes

    def errors(self, chosen: Sequence[int]) -> Floats:
        """(2,) of some candidates, as blocks count, and all alike."""
        return np.asarray(self.table[list(chosen)].min(axis=0) @ self.weights, dtype=np.float64)

    def labels(self, chosen: Sequence[int]) -> Ints:
        """(blocks,) the nearest of some candidates."""
        return np.asarray(np.array(chosen)[self.table[list(chosen)].argmin(axis=0)])


def choice_of(colors: Bytes, weights: Floats, candidates: Bytes) -> Choice:
    """colors: (height, width, 3); weights: (height, width); candidates: (c, 3)."""
    lab = [to_lab(c.reshape(-1, 3)).astype(np.float32) for c in (candidates, colors)]
    both = np.stack([weights.ravel() / weights.sum(), np.full(weights.size, 1 / weights.size)], 1)
    return Choice(quick_table(*lab), both.astype(np.float32), candidates)


@dataclass(frozen=True, eq=False)
class Search:
    """A choice that is changed while what counts falls: the error over a first error, and prices of
    what does not read; at most so large that neither error passes its bound.

    first: the error, as blocks count, that is 1; bounds: (2,) on both errors.
    """

    choice: Choice
    legible: Legible
    first: float
    bounds: Floats

    @cached_property
    def _light(self) -> Floats:
        return decoding_table()[self.choice.rgb]

    @cached_property
    def _apart(self) -> Floats:
        lab = to_lab(self.choice.rgb)
        return np.asarray(quick_table(lab, lab))

    def scores(self, labels: Ints, errors: NDArray[Any], below: float = np.inf) -> Floats:
        """(sets,) of (sets, blocks) candidates and (sets, 2) errors; infinite where they are not
        below a score, or not the least: areas, which cost most to look at, are looked at last, and
        no longer where the least is surely found."""
        within = (errors <= self.bounds).all(axis=1)
        others = unread_but_areas(self.legible, labels, self._light, self._apart)
        others = np.where(within, errors[:, 0] / self.first + others, np.inf)
        out = np.full(len(labels), np.inf)
        order = np.argsort(others, kind="stable")
        for at in range(0, len(order), _AT_ONCE):
            some = order[at : at + _AT_ONCE]
            some = some[others[some] < below]
            if not len(some):
                break
            out[some] = others[some] + unread_areas(self.legible, labels[some], self._light)
            below = min(below, float(out[some].min()))
        return out

    def score(self, chosen: Sequence[int]) -> float:
        """Of one choice."""
        labels, errors = self.choice.labels(chosen), self.choice.errors(chosen)
        return float(self.scores(labels[None], errors[None])[0])

    def swapped(self, chosen: Sequence[int], locked: int = 0) -> tuple[list[int], float]:
        """Swaps of one chosen candidate after the other for the best in its place, while the score
        falls; and the score. locked: so many of the chosen, from the first on, stay. Counted
        rounds; ties to the lowest."""
        chosen, now, settled = list(chosen), self.score(chosen), 0
        places = range(locked, len(chosen))
        for place in [*places] * _ROUNDS:
            found, candidate = self.best_in(chosen, place, now - _LEAST)
            settled += 1
            if found < now - _LEAST:
                chosen[place], now, settled = candidate, found, 1
            if settled == len(places):
                break
        return chosen, now

    def best_in(self, chosen: list[int], place: int, below: float) -> tuple[float, int]:
        """The best candidate in the place of a chosen one, and its score; infinite where none is
        below one."""
        heed()
        table = self.choice.table
        left = _left(self.choice, chosen[:place] + chosen[place + 1 :])
        takes = table < left[1]
        errors = np.minimum(table, left[1]) @ self.choice.weights
        tried = np.flatnonzero((errors <= self.bounds).all(axis=1))
        tried = tried[~np.isin(tried, chosen)]
        if not len(tried):
            return np.inf, -1
        labels = np.where(takes[tried], tried[:, None], left[0])
        found = self.scores(labels, errors[tried], below)
        return float(found.min()), int(tried[found.argmin()])


def _left(choice: Choice, rest: list[int]) -> tuple[Ints, NDArray[np.float32]]:
    if not rest:
        blocks = choice.table.shape[1]
        return np.zeros(blocks, dtype=np.int64), np.full(blocks, np.inf, dtype=np.float32)
    nearest = choice.table[rest].argmin(axis=0)
    return np.array(rest)[nearest], choice.table[rest].min(axis=0)


def unread_areas(legible: Legible, labels: Ints, light: Floats) -> Floats:
    """(sets,) the prices of areas that no longer differ in each of (sets, blocks) candidates.

    light: (candidates, 3) linear sRGB.
    """
    if not len(legible.pairs):
        return np.zeros(len(labels))
    lab = to_lab(encode_bytes(_means_over(legible.areas, labels, light))).astype(np.float32)
    now = quick_differences(lab[:, legible.pairs[:, 0]], lab[:, legible.pairs[:, 1]])
    return np.asarray(_AREAS * (np.clip(1 - now / legible.parted, 0, 1) @ legible.pair_worth))


def unread_but_areas(legible: Legible, labels: Ints, light: Floats, apart: Floats) -> Floats:
    """(sets,) the prices of all else that does not read.

    apart: (candidates, candidates) CIEDE2000.
    """
    price = np.zeros(len(labels))
    if len(legible.worth):
        inside, around = _two(_means_over(legible.parts, labels[:, legible.of_parts], light))
        price += (_lost(legible.seen, inside - around) * _PART) @ legible.worth
        price += (_hue_lost(legible.own, inside) * _HUE) @ legible.worth
    if len(legible.one):
        fall = apart.take(labels[:, legible.one] * len(apart) + labels[:, legible.other])
        fallen = np.clip(1 - fall / legible.across, 0, 1)
        price += _EDGES * (fallen @ legible.edge_worth)
    return price


def _means_over(places: Any, labels: Ints, light: Floats) -> Floats:
    """(sets, places, 3) linear sRGB of (places, blocks) shares of (sets, blocks) candidates."""
    count, blocks = labels.shape
    there = np.take(light, np.ascontiguousarray(labels.T), axis=0).reshape(blocks, count * 3)
    return np.asarray((places @ there).reshape(-1, count, 3).swapaxes(0, 1))


def guarded(legible: Legible, labels: Ints, light: Floats) -> Legible:
    """The same with parts that (blocks,) candidates show worth more: they are not to be lost.

    light: (candidates, 3) linear sRGB.
    """
    if not len(legible.worth):
        return legible
    inside, around = _two(legible.parts @ light[labels[legible.of_parts]])
    hue = _hue_lost(legible.own, inside[None])
    lost = np.maximum(_lost(legible.seen, (inside - around)[None]), hue)[0]
    return replace(legible, worth=legible.worth * np.where(lost < _SHOWN, _GUARD, 1.0))


def _lost(seen: Floats, now: Floats) -> Floats:
    """(sets, n) 0 to 1: how far (sets, n, 3) contrasts fall short of (n, 3), or turn aside."""
    size = np.maximum((seen**2).sum(axis=1), 1e-9)
    along = (now * seen).sum(axis=2) / size
    aside = np.sqrt(((now - along[..., None] * seen) ** 2).sum(axis=2) / size)
    short = np.clip((_KEPT - along) / _KEPT, 0, 1)
    turned = np.clip((aside - _ASIDE * np.maximum(along, 0)) / 0.5, 0, 1)
    return np.asarray(np.maximum(short, turned))


def _hue_lost(own: Floats, now: Floats) -> Floats:
    """(sets, n) 0 to 1: how far parts that have a hue lose it."""
    chroma = np.hypot(own[:, 1], own[:, 2])
    off = np.linalg.norm(now[..., 1:] - own[:, 1:], axis=2) / np.maximum(chroma, _HUED)
    return np.where(chroma >= _HUED, np.clip((off - 0.4) / 0.5, 0, 1), 0)
