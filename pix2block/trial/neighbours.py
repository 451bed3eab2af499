"""Yarns that touch, and which of them an eye can least tell apart."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pix2block.color.deficiency import Sight, lab_in_sight
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import Bytes, Floats
from pix2block.design.features import Feature
from pix2block.ground.frozen import dataclass

TOUCHING_SHARE = 0.01  # of all borders between yarns
# In CIEDE2000. Mokrzycki & Tatol (2011), Colour difference dE - a survey: from 5 on (in CIELAB's
# older metric) "two different colours"; textile grey scale for change in colour, ISO 105-A02, grade
# 2-3: 4.8 (from memory). Between yarns it is the stricter, as CIEDE2000 is mostly the smaller.
TOLD_APART = 5.0


@dataclass(frozen=True)
class Pair:
    """Two yarns that touch. one < other: their numbers; share: of all borders."""

    one: int
    other: int
    share: float


@dataclass(frozen=True)
class Weak:
    """The two of a chart's neighbours that differ least, and by how much."""

    pair: Pair
    difference: float


@dataclass(frozen=True)
class Weakest:
    """The weakest neighbours in one sight. color: in CIEDE2000; light: in L*."""

    sight: Sight
    color: Weak
    light: Weak


def _sides(blocks: NDArray[np.int64]) -> NDArray[np.int64]:
    """(n, 6) line, column, yarn of either side of every border between two yarns."""
    found = []
    number = np.moveaxis(np.indices(blocks.shape), 0, -1)
    for here, there in ((np.s_[:, :-1], np.s_[:, 1:]), (np.s_[:-1], np.s_[1:])):
        one, other = blocks[here], blocks[there]
        border = (one != other) & (one >= 0) & (other >= 0)
        sides = [number[here][border], one[border][:, None]]
        found.append(np.hstack([*sides, number[there][border], other[border][:, None]]))
    return np.concatenate(found)


def touching_pairs(
    blocks: NDArray[np.int64], least_share: float = TOUCHING_SHARE
) -> tuple[Pair, ...]:
    """Pairs of yarns that touch along at least that share of all borders, in order of number.
    blocks: (height, width) yarn numbers, below 0 where no block is."""
    sides = _sides(blocks)
    if not len(sides):
        return ()
    pairs = np.sort(sides[:, [2, 5]], axis=1)
    unique, counts = np.unique(pairs, axis=0, return_counts=True)
    shares = counts / len(pairs)
    return tuple(
        Pair(one, other, share)
        for (one, other), share in zip(unique.tolist(), shares.tolist(), strict=True)
        if share >= least_share
    )


def differences(pairs: tuple[Pair, ...], yarn_rgb: Bytes, sight: Sight = "normal") -> Floats:
    """(pairs,) CIEDE2000 of each pair in a sight."""
    lab = lab_in_sight(yarn_rgb, sight)
    return ciede2000(lab[[p.one for p in pairs]], lab[[p.other for p in pairs]])


def weakest(pairs: tuple[Pair, ...], yarn_rgb: Bytes, sight: Sight) -> Weakest | None:
    """The pair of least CIEDE2000 and that of least difference in L*; ties to the lowest numbers;
    None where nothing touches."""
    if not pairs:
        return None
    color = differences(pairs, yarn_rgb, sight)
    light = lab_in_sight(yarn_rgb, sight)[:, 0]
    apart = np.array([abs(light[p.one] - light[p.other]) for p in pairs])
    least, least_light = int(color.argmin()), int(apart.argmin())
    return Weakest(
        sight,
        Weak(pairs[least], float(color[least])),
        Weak(pairs[least_light], float(apart[least_light])),
    )


def meeting_place(blocks: NDArray[np.int64], pair: Pair) -> str:
    """Where two yarns touch the most, in words: the largest stretch of blocks along their
    border."""
    from scipy.ndimage import label

    sides = _sides(blocks)
    of_pair = (np.sort(sides[:, [2, 5]], axis=1) == (pair.one, pair.other)).all(axis=1)
    mask = np.zeros(blocks.shape, dtype=bool)
    for line, column in ((0, 1), (3, 4)):
        mask[sides[of_pair, line], sides[of_pair, column]] = True
    stretches, _ = label(mask, np.ones((3, 3)))
    longest = int(np.bincount(stretches[mask]).argmax())
    return Feature(stretches == longest, "#000000", 0.0).place


def difference_along(blocks: NDArray[np.int64], lab: Floats, pair: Pair) -> float:
    """Mean CIEDE2000 across the border of two yarns of (height, width, 3) CIELAB block colours,
    as they are seen."""
    sides = _sides(blocks)
    of_pair = (np.sort(sides[:, [2, 5]], axis=1) == (pair.one, pair.other)).all(axis=1)
    line, column, _, other_line, other_column, _ = sides[of_pair].T
    return float(ciede2000(lab[line, column], lab[other_line, other_column]).mean())
