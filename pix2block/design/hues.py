"""Parts of a picture that lose their colour in a chart: a flame that has become sky, a gold ring
that has become disc.

A part is what hangs together in the picture in about one hue. It is lost where its yarns keep less
than a third of its chroma in that hue, and where along a third of its border it has the colour of
what lies beyond, from which it differs in the picture: what is shown in grey, but shown, is not
lost. (Contrast to what is around a part on the whole misses these: a flame between dark and light
differs from both together even where it is as light as the sky.)
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.color.difference import quick_differences
from pix2block.color.spaces import Bytes, Floats, decoding_table, encode_bytes, to_hex, to_lab
from pix2block.design.areas import across_border, pieces_of
from pix2block.design.features import STANDS_OUT, Feature, is_lost
from pix2block.ground.frozen import dataclass

_HUED = 20.0  # chroma, CIELAB, of a block that clearly has a hue
_HUES, _NEAR = 12, 30.0  # hues looked for, and degrees to either side that are one
_FEWEST, _LEAST = 4, 0.01  # blocks; of all blocks
_MOST = 40
_KEEPS = 0.35  # of its chroma
_MERGED = 1 / 3  # of its border


@dataclass(frozen=True, eq=False)
class Faded(Feature):
    """A part that has lost its colour. difference: CIEDE2000 of the part in the picture from the
    colour that it is shown in."""


@dataclass(frozen=True, eq=False)
class _Part:
    """A part in one hue. mask: (height, width); lab: (3,) its mean light; inside, outside: blocks
    on both sides of its border, numbered line by line; apart: (pairs,) CIEDE2000 across it."""

    mask: NDArray[np.bool_]
    color: Bytes
    lab: Floats
    inside: NDArray[np.int64]
    outside: NDArray[np.int64]
    apart: Floats


def faded_parts(chart: Chart) -> tuple[Faded, ...]:
    """Parts of a chart's picture that lose their colour in it, the largest and most colourful
    first; none without a picture, or where the piece ends early."""
    means = chart.block_means
    if means is None or chart.ends_early:
        return ()
    return faded_in(means, chart.yarn_rgb[chart.blocks])


def faded_in(means: Bytes, shown: Bytes) -> tuple[Faded, ...]:
    """Those of (height, width, 3) block means in the (height, width, 3) colours of their yarns."""
    found: list[Faded] = []
    for part in _parts(means.tobytes(), means.shape):
        light = decoding_table()[shown[part.mask]].mean(axis=0)
        now = to_lab(encode_bytes(light[None]))[0]
        kept = float(now[1:] @ part.lab[1:] / (part.lab[1:] @ part.lab[1:]))
        if kept < _KEEPS and _merged(part, shown) > _MERGED:
            apart = float(quick_differences(part.lab[None], now[None])[0])
            found.append(Faded(part.mask, to_hex(part.color), apart))
    return tuple(found)


def _merged(part: _Part, shown: Bytes) -> float:
    """Along how much of its border a part has the colour of what lies beyond."""
    flat = shown.reshape(-1, 3)
    apart = quick_differences(to_lab(flat[part.inside]), to_lab(flat[part.outside]))
    pairs = zip(part.apart.tolist(), apart.tolist(), strict=True)
    gone = [before > STANDS_OUT and is_lost(before, now) for before, now in pairs]
    return float(np.mean(gone)) if gone else 0.0


@lru_cache(maxsize=4)
def _parts(data: bytes, shape: tuple[int, ...]) -> tuple[_Part, ...]:
    means = np.frombuffer(data, dtype=np.uint8).reshape(shape)
    lab = to_lab(means).reshape(shape)
    hue = np.degrees(np.arctan2(lab[..., 2], lab[..., 1]))
    hued = np.hypot(lab[..., 1], lab[..., 2]) >= _HUED
    least = max(_FEWEST, _LEAST * hue.size)
    masks: list[NDArray[np.bool_]] = []
    for middle in np.arange(_HUES) * 360 / _HUES:
        near = np.abs((hue - middle + 180) % 360 - 180) <= _NEAR
        there = hued & near
        labels = pieces_of(there.astype(np.int64), there, corners=True)  # a ring is one part
        size = np.bincount(labels.ravel())
        size[0] = 0
        masks += [labels == number for number in np.flatnonzero(size >= least).tolist()]
    every = sorted((_part(means, lab, mask) for mask in masks), key=_order)
    kept: list[_Part] = []
    for part in every:
        if all(2 * (part.mask & one.mask).sum() < part.mask.sum() for one in kept):
            kept.append(part)
    return tuple(kept[:_MOST])


def _part(means: Bytes, lab: Floats, mask: NDArray[np.bool_]) -> _Part:
    color = encode_bytes(decoding_table()[means[mask]].mean(axis=0)[None])
    sides = across_border(mask)
    inside, outside = (np.ravel_multi_index(side, mask.shape) for side in sides)
    flat = lab.reshape(-1, 3)
    apart = quick_differences(flat[inside], flat[outside])
    return _Part(mask, color[0], to_lab(color)[0], inside, outside, np.asarray(apart, np.float64))


def _order(part: _Part) -> float:
    return -float(np.hypot(*part.lab[1:])) * float(part.mask.sum())
