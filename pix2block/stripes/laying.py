"""Stripes of a part, one after another, before it is known how many of them there is yarn for."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from itertools import count, cycle

import numpy as np

from pix2block.color.spaces import Floats, rgb_array
from pix2block.craft.diagonal import Ints
from pix2block.ground.frozen import dataclass
from pix2block.stripes.plan import Part
from pix2block.stripes.steps import Order, gentlest_order
from pix2block.yarn.yarn import Yarn

_THRESHOLDS = (0.125, 0.625, 0.375, 0.875)  # spread as evenly over time as over the range


@dataclass(frozen=True)
class Stripe:
    """Rows of one yarn, one after another."""

    yarn: int
    rows: int


def stripes_of(
    part: Part,
    order: Sequence[int],
    before: int | None,
    first_row: int,
    last_row: int,
    row_metres: Floats,
    yarns: Sequence[Yarn],
) -> Iterator[Stripe]:
    """The stripes of a part from its first row on, until they reach the last; the one that reaches
    it may reach further.

    order: its yarns; before: the yarn of the row before it; row_metres: (yarns, rows) what a row
    takes of a yarn.
    """
    if part.gradient:
        yield from _gradient(part, first_row, last_row, yarns)
        return
    row = first_row
    turns = _in_turn(order) if part.seed is None else _by_chance(order, part.seed, before)
    for number, yarn in zip(count(), turns):
        if row > last_row:
            return
        if part.metres is None:
            rows = width_of(part, number)
        else:
            rows = _rows_of_metres(row_metres[yarn, row - 1 :], part.metres)
        yield Stripe(yarn, rows)
        row += rows


def width_of(part: Part, number: int) -> int:
    """Rows of a part's stripe, numbered from 0: the next of its widths, and what it has grown."""
    return max(1, part.widths[number % len(part.widths)] + math.floor(number * part.grow + 1e-9))


def steady_rows(part: Part, order: Sequence[int], rows: int) -> Ints:
    """(at least so many rows,) the yarn of each, as `stripes_of` lays a part whose stripes follow
    from their numbers alone: no gradient, none by chance or by metres."""
    numbers = np.arange(rows)
    widths = np.array(part.widths)[numbers % len(part.widths)]
    widths = np.maximum(1, widths + np.floor(numbers * part.grow + 1e-9).astype(np.int64))
    stripes = int(np.searchsorted(np.cumsum(widths), rows)) + 1
    return np.repeat(np.array(order)[numbers[:stripes] % len(order)], widths[:stripes])


def _in_turn(order: Sequence[int]) -> Iterator[int]:
    return cycle(order)


def _by_chance(order: Sequence[int], seed: int, before: int | None) -> Iterator[int]:
    """Yarns at random, never the same twice in a row.

    `Random.random` is what Python promises to give the same numbers in every version.
    """
    numbers = random.Random(seed)
    yarns = sorted(set(order))
    while True:
        others = [yarn for yarn in yarns if yarn != before]
        before = others[int(numbers.random() * len(others))]
        yield before


def _rows_of_metres(metres: Floats, asked: float) -> int:
    """As many rows as come nearest to so much yarn, at least one."""
    so_far = np.cumsum(metres)
    return int(np.argmin(np.abs(so_far - asked))) + 1


def gradient_path(part: Part, yarns: Sequence[Yarn]) -> Order:
    """The yarns of a gradient from its first to its last, those between in the order of the
    gentlest steps; numbers as in `yarns`."""
    given = part.yarns
    order = gentlest_order(rgb_array([yarns[y].color for y in given]), (0, len(given) - 1))
    return Order(tuple(given[i] for i in order.yarns), order.steps)


def _gradient(part: Part, first_row: int, last_row: int, yarns: Sequence[Yarn]) -> Iterator[Stripe]:
    """Stripes in which one yarn gives way to the next bit by bit.

    From end to end the mixture moves by equal CIEDE2000. Each stripe takes one of the two yarns
    that it lies between, the further one where its share is over a threshold that changes from
    stripe to stripe (ordered dithering in one dimension), so that four stripes on end mix about
    as they should. Neighbours are never more than one step of the path apart.
    """
    path = gradient_path(part, yarns)
    at_step = np.concatenate([[0.0], np.cumsum(path.steps)])
    width = part.widths[0]
    stripes = max(1, -(-(last_row - first_row + 1) // width))
    wanted = np.interp(
        np.linspace(0, at_step[-1], stripes), at_step, np.arange(len(at_step), dtype=np.float64)
    )
    last = 0
    for number, place in enumerate(wanted.tolist()):
        low = int(np.floor(place + 1e-9))
        chosen = low + (place - low > _THRESHOLDS[number % len(_THRESHOLDS)])
        last = min(max(chosen, last - 1), last + 1)
        yield Stripe(path.yarns[last], width)
