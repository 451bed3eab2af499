"""What matters in a picture: how much each block counts when colours are chosen.

The mean that is minimised is weighted by these; figures that are reported count every block alike.
"""

from __future__ import annotations

import numpy as np

from pix2block.chart.source import Place
from pix2block.color.difference import quick_table
from pix2block.color.spaces import Bytes, Floats, distinct, to_lab
from pix2block.design.refine import StandIns, stand_ins
from pix2block.ground.settings import Aim
from pix2block.picture.blocks import Frame

EVEN_SPREAD = 6.0  # CIEDE2000 within which colours count as one crowd
_STAND_INS = 1000
_AT_ONCE = 125


def place_in_frame(
    what: str,
    box: tuple[float, float, float, float],
    weight: float,
    size: tuple[int, int],
    frame: Frame,
) -> Place | None:
    """A box (left, top, width, height in per cent of the turned picture of `size` pixels) on the
    chart, cut to its edges; a point, a box of no size, takes its whole block. None where it lies
    outside."""
    x, y, w, h = (side * size[i % 2] / 100 for i, side in enumerate(box))
    left, right = ((edge - frame.left) / frame.block for edge in (x, x + w))
    top, bottom = ((edge - frame.top) / frame.block for edge in (y, y + h))
    if left == right and top == bottom:
        if not (0 <= left <= frame.width and 0 <= top <= frame.height):
            return None
        left, top = (  # a point on the last edge is in the last block
            float(min(np.floor(at), side - 1))
            for at, side in ((left, frame.width), (top, frame.height))
        )
        return Place(what, left, top, left + 1, top + 1, weight)
    left, right = max(0.0, left), min(float(frame.width), right)
    top, bottom = max(0.0, top), min(float(frame.height), bottom)
    if left >= right or top >= bottom:
        return None
    return Place(what, left, top, right, bottom, weight)


def minded_weights(shape: tuple[int, int], places: list[Place]) -> Floats:
    """(height, width) weights: 1, and towards a place's weight by the share of the block in it.
    Where places overlap, the one that moves the weight most counts."""
    weights = np.ones(shape)
    for place in places:
        across = _cover(shape[1], place.left, place.right)
        down = _cover(shape[0], place.top, place.bottom)
        here = 1 + (place.weight - 1) * down[:, None] * across[None, :]
        weights = np.where(np.abs(here - 1) > np.abs(weights - 1), here, weights)
    return weights


def _cover(blocks: int, start: float, end: float) -> Floats:
    edges = np.arange(blocks + 1, dtype=np.float64)
    return np.asarray(np.clip(np.minimum(edges[1:], end) - np.maximum(edges[:-1], start), 0, 1))


def aimed_weights(means: Bytes, aim: Aim) -> Floats:
    """(height, width) weights of (height, width, 3) block colours.

    area: every block counts alike. even: a block counts by rho^(-1/2), rho being the sum over all
    blocks of exp(-(CIEDE2000 / 6)^2), so that small distinct colours are not drowned by large
    ones. With over 1,000 distinct colours, rho is that of the colour's stand-in.
    """
    if aim == "area":
        return np.ones(means.shape[:2])
    flat, which = distinct(means)
    count = np.bincount(which.ravel(), minlength=len(flat)).astype(np.float64)
    crowd = _crowds(stand_ins(to_lab(flat), count, _STAND_INS))
    return np.asarray(crowd[which.ravel()].reshape(means.shape[:2]) ** -0.5)


def _crowds(few: StandIns) -> Floats:
    lab = few.lab.astype(np.float32)
    crowds = np.zeros(len(lab))
    parts = [slice(at, at + _AT_ONCE) for at in range(0, len(lab), _AT_ONCE)]
    for i, one in enumerate(parts):
        for other in parts[i:]:  # the table is symmetric: half of it will do
            close = np.exp(-((quick_table(lab[one], lab[other]) / EVEN_SPREAD) ** 2))
            crowds[one] += close @ few.weight[other]
            if one != other:
                crowds[other] += close.T @ few.weight[one]
    return np.asarray(crowds[few.which])
