"""Small distinct parts of the subject: an eye, a nostril, a button, too small or too faint against
the grain of a coat to be found anywhere, but worth a yarn where the subject is.

Boxes of a few blocks are compared with the ring around them, in mean CIELAB over the spread of
both; of boxes that overlap the clearest stays.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.color.spaces import (
    Bytes,
    Floats,
    decoding_table,
    encode_bytes,
    inner_products,
    lengths,
    to_hex,
    to_lab,
)
from pix2block.design.features import Feature, kept_differences
from pix2block.ground.progress import heed
from pix2block.picture.blocks import coarser, repeated, taken_as_one

_BOXES = ((1, 1), (1, 2), (2, 1), (2, 2), (2, 3), (3, 2), (3, 3), (2, 4), (3, 4), (4, 4))
_DIFFERS = 9.0  # CIELAB between a part and its ring
_CLEAR = 1.5  # the same over the spread of both
_NOISE = 3.0  # CIELAB, spread that there always is
_OF_SUBJECT = 0.4
MOST = 16


def small_parts(colors: Bytes, share: Floats, most: int = MOST) -> tuple[Feature, ...]:
    """At most so many small distinct parts of (height, width, 3) block colours, where the subject's
    (height, width) share is high; the clearest first."""
    together = taken_as_one(share.shape)
    masks = _clearest(coarser(colors, together), _coarser_share(share, together), most)
    masks = [repeated(mask, together, share.shape) for mask in masks]
    heed()
    light = (decoding_table()[colors[mask]].mean(axis=0) for mask in masks)
    hexes = [to_hex(encode_bytes(of)) for of in light]
    alone = [Feature(mask, color, 0.0) for mask, color in zip(masks, hexes, strict=True)]
    differences = kept_differences(alone, colors).tolist()
    return tuple(replace(part, difference=by) for part, by in zip(alone, differences, strict=True))


def _coarser_share(share: Floats, together: int) -> Floats:
    """The mean share of so many by so many blocks, the last ones repeated."""
    lines, columns = (-side % together for side in share.shape)
    filled = np.pad(share, ((0, lines), (0, columns)), mode="edge")
    parts = filled.reshape(-1, together, filled.shape[1] // together, together)
    return np.asarray(parts.mean(axis=(1, 3)))


def _clearest(colors: Bytes, share: Floats, most: int) -> list[NDArray[np.bool_]]:
    """(height, width) the blocks of each box that is clearest where it lies."""
    lab = to_lab(colors)
    totals = [_totals(field) for field in (lab, inner_products(lab, lab), share)]
    found: list[tuple[float, int, int, tuple[int, int]]] = []
    for box in _BOXES:
        if box[0] + 4 > lab.shape[0] or box[1] + 4 > lab.shape[1]:
            continue
        inside, inner, of = (_box_sums(total, box)[1:-1, 1:-1] for total in totals)
        whole, outer = (_box_sums(total, (box[0] + 2, box[1] + 2)) for total in totals[:2])
        size, ring = box[0] * box[1], (box[0] + 2) * (box[1] + 2) - box[0] * box[1]
        mean, around = inside / size, (whole - inside) / ring
        contrast = lengths(mean - around)
        spread = inner / size - inner_products(mean, mean)
        spread += (outer - inner) / ring - inner_products(around, around)
        clear = contrast / np.sqrt(np.maximum(spread, 0) + _NOISE**2)
        of = of / size
        takes = (contrast >= _DIFFERS) & (clear >= _CLEAR) & (of >= _OF_SUBJECT)
        for line, column in np.argwhere(takes).tolist():
            worth = float(clear[line, column] * of[line, column] * size**0.25)
            found.append((worth, line + 1, column + 1, box))
    found.sort(key=lambda one: (-one[0], *one[1:]))
    taken = np.zeros(share.shape, dtype=bool)
    masks: list[NDArray[np.bool_]] = []
    for _, line, column, box in found:
        here = np.s_[line : line + box[0], column : column + box[1]]
        if len(masks) < most and not taken[here].any():
            taken[
                max(0, line - 1) : line + box[0] + 1, max(0, column - 1) : column + box[1] + 1
            ] = True
            masks.append(np.zeros(share.shape, dtype=bool))
            masks[-1][here] = True
    return masks


def _totals(field: Floats) -> Floats:
    """(height + 1, width + 1, …) sums of a field over all above and left of each corner."""
    return np.pad(
        field.cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0), *[(0, 0)] * (field.ndim - 2))
    )


def _box_sums(total: Floats, box: tuple[int, int]) -> Floats:
    """Sums of a field, by its totals, over every box that fits."""
    h, w = box
    return np.asarray(total[h:, w:] - total[:-h, w:] - total[h:, :-w] + total[:-h, :-w])
