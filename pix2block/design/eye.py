"""Yarns that read, put to a picture: what was chosen by least error, chosen again for the eye."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import quick_differences
from pix2block.color.spaces import (
    Bytes,
    Floats,
    decoding_table,
    distinct,
    encode_bytes,
    from_lab,
    rgb_array,
    to_lab,
)
from pix2block.design.features import Feature, find_features
from pix2block.design.legible import Search, choice_of, guarded, what_should_read
from pix2block.design.outlines import edges_near_outline, with_outlines
from pix2block.design.palette import Palette, nearest_yarns, yarns_given
from pix2block.design.refine import stand_ins
from pix2block.design.sides import on_one_side
from pix2block.design.specks import without_specks
from pix2block.ground.frozen import dataclass
from pix2block.ground.progress import heed
from pix2block.yarn.yarn import Yarn

_FINER = 60  # colours of a finer palette that may be swapped in
MOST_ERROR, MOST_EVEN_ERROR = 1.2, 1.25  # of the first; of the usual, every block alike
MORE_FOR_A_SUBJECT = 0.35  # on top, where the map is sure
_HARDLY_SEEN = 0.75  # CIEDE2000, likewise
_MOST_BLOCKS = 12_000  # that are looked at; of larger charts every second, third … line


@dataclass(frozen=True, eq=False)
class Sight:
    """What the eye looks at. means: (height, width, 3) block means; weights, share: (height, width)
    how much a block counts, and how far it is of the subject; parts: small ones of the subject;
    sure: 0 to 1, how far the subject is believed."""

    means: Bytes
    weights: Floats
    share: Floats
    parts: tuple[Feature, ...] = ()
    sure: float = 0.0

    def every(self, step: int) -> Sight:
        """Every so many lines and columns of it."""
        there = np.s_[::step, ::step]
        parts = [part for part in self.parts if part.mask[there].any()]
        return Sight(
            np.ascontiguousarray(self.means[there]),
            self.weights[there],
            self.share[there],
            tuple(replace(part, mask=part.mask[there].copy()) for part in parts),
            self.sure,
        )


def colors_that_read(palette: Palette, usual: Palette, sight: Sight, spots: Bytes) -> Palette:
    """A palette of the picture's own colours with some swapped, but for the spots' own, (s, 3).
    usual: the colours of least error, whose parts are not to be lost."""
    rgb = [rgb_array([yarn.color for yarn in one.yarns]) for one in (palette, usual)]
    kept = [bool((spots == color).all(axis=1).any()) for color in rgb[0]]
    first = rgb[0][np.argsort(np.logical_not(kept), kind="stable")]
    candidates = np.concatenate([first, rgb[1], _finer(palette.matched, sight)])
    starts = [list(range(len(first))), list(range(len(first), len(first) + len(rgb[1])))]
    chosen = _swapped(palette.matched, sight, candidates, starts, sum(kept))
    colors = candidates[chosen]
    cleaned = colors[_cleaned(palette.matched, colors, sight, spots)]
    for given in (cleaned, sight.means):
        tried = yarns_given(colors, given)
        if _mean_error(tried, sight) <= _most_error(usual, sight):
            return replace(tried, matched=sight.means)
    return usual


def yarns_that_read(
    palette: Palette, usual: Palette, sight: Sight, shelf: Sequence[Yarn], locked: Sequence[int]
) -> Palette:
    """A palette of yarns of a shelf with some swapped for others of it, but for those locked, by
    their numbers on it; in the shelf's order.

    palette: matched to the colours with edges crisp; usual: the yarns of least error, whose parts
    are not to be lost; shelf: yarns that may be used.
    """
    rgb = rgb_array([yarn.color for yarn in shelf])
    starts = [[shelf.index(yarn) for yarn in one.yarns] for one in (palette, usual)]
    first = [*locked, *(i for i in starts[0] if i not in locked)]
    if len(first) < len(shelf):
        first = _swapped(palette.matched, sight, rgb, [first, starts[1]], len(locked))
    chosen = sorted(first)
    blocks = _cleaned(palette.matched, rgb[chosen], sight, rgb[list(locked)])
    yarns = tuple(shelf[i] for i in chosen)
    plain = nearest_yarns(sight.means, rgb[chosen])
    for numbers in (blocks, plain):
        tried = Palette(yarns, numbers, sight.means)
        if _mean_error(tried, sight) <= _most_error(usual, sight):
            return tried
    return usual


def _most_error(usual: Palette, sight: Sight) -> float:
    """As much as is worth what reads, of the usual yarns' mean error."""
    times = MOST_EVEN_ERROR + MORE_FOR_A_SUBJECT * sight.sure
    return times * _mean_error(usual, sight) + _HARDLY_SEEN * sight.sure


def _mean_error(palette: Palette, sight: Sight) -> float:
    """CIEDE2000 of the blocks' means, every block alike."""
    rgb = rgb_array([yarn.color for yarn in palette.yarns])
    return float(quick_differences(to_lab(sight.means), to_lab(rgb)[palette.blocks]).mean())


def _swapped(
    colors: Bytes,
    sight: Sight,
    candidates: Bytes,
    starts: Sequence[Sequence[int]],
    locked: int,
) -> list[int]:
    """The best choice of candidates that swaps lead to. starts: where from, and last the usual
    choice; locked: so many of the first start stay."""
    step = math.ceil(math.sqrt(colors[..., 0].size / _MOST_BLOCKS))
    if step > 1:
        colors, sight = np.ascontiguousarray(colors[::step, ::step]), sight.every(step)
    features = (*find_features(sight.means), *sight.parts)
    heed()
    choice = choice_of(colors, sight.weights, candidates)
    errors = [choice.errors(start) for start in starts]
    if not errors[0][0]:
        return list(starts[0])
    heed()
    legible = what_should_read(sight.means, colors, sight.share, features)
    legible = guarded(legible, choice.labels(starts[-1]), decoding_table()[candidates])
    bounds = np.array([MOST_ERROR * errors[0][0], MOST_EVEN_ERROR * errors[-1][1]])
    bounds = np.maximum(bounds, errors[0])
    search = Search(choice, legible, errors[0][0], bounds)
    return search.swapped(starts[0], locked)[0]


def _finer(colors: Bytes, sight: Sight) -> Bytes:
    """Colours to choose from: a finer palette, and those of features."""
    flat, which = distinct(colors)
    weight = np.bincount(which.ravel(), weights=sight.weights.ravel()).astype(np.float64)
    found = [from_lab(stand_ins(to_lab(flat), weight, _FINER).lab)]
    light = decoding_table()[colors]
    features = (*find_features(sight.means), *sight.parts)
    found += [encode_bytes(light[part.mask].mean(axis=0))[None] for part in features]
    return np.unique(np.concatenate(found), axis=0)


def _cleaned(colors: Bytes, yarns: Bytes, sight: Sight, spots: Bytes) -> NDArray[np.int64]:
    """(height, width) numbers of (k, 3) yarns: outlines seen, no third yarn on edges, specks in
    a yarn around them, but for blocks in the colour of a spot."""
    heed()
    blocks = nearest_yarns(colors, yarns)
    features = (*find_features(sight.means), *sight.parts)
    outlined = with_outlines(blocks, colors, sight.share, yarns)
    one_side = on_one_side(outlined, sight.means, colors, yarns, features)
    near = edges_near_outline(sight.means, sight.share)
    clean = without_specks(one_side, colors, yarns, features, near)
    a_spot = (sight.means[..., None, :] == spots).all(axis=3).any(axis=2)
    return np.where(a_spot, blocks, clean)
