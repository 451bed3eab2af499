"""Outlines: where the picture's areas meet, blocks on both sides take yarns that differ.

Nearest yarns may be one and the same on both sides of an edge that the picture shows. There a block
takes another yarn, where that costs less than the edge is worth: each block in turn the one of
least error plus what is missing at the edges it lies on, a few times over (iterated conditional
modes, Besag 1986).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import quick_differences, quick_table
from pix2block.color.spaces import Bytes, Floats, to_lab
from pix2block.ground.frozen import dataclass

Ints = NDArray[np.int64]

_EDGE = 6.0  # CIEDE2000 between two blocks before and two after
_SEEN, _MOST = 0.6, 12.0  # the share of it that is to be seen, and as much as is enough
WORTH = 0.6  # of what is missing, in CIEDE2000 of a block
_ENDS, _SURELY = 0.1, 0.3  # by how much the subject's share changes at its outline
_NEAR = 0.03  # the same, near it
_SWEEPS = 3
_APART = 4  # blocks of one turn: no edge reaches so far


@dataclass(frozen=True, eq=False)
class Edges:
    """here, there: (edges,) blocks on both sides; needs: (edges,) CIEDE2000 that their yarns are to
    differ by; worth: (edges,) of a CIEDE2000 that is missing."""

    here: Ints
    there: Ints
    needs: Floats
    worth: Floats

    @cached_property
    def both_ways(self) -> Edges:
        """Each edge from either side."""
        here, there = (self.here, self.there), (self.there, self.here)
        needs, worth = (np.concatenate([each, each]) for each in (self.needs, self.worth))
        return Edges(np.concatenate(here), np.concatenate(there), needs, worth)

    def missing(self, blocks: Ints, apart: Floats) -> Floats:
        """(blocks, k) what is missing, by its worth, at the edges that a block lies on, for each
        yarn that it may take while all others stay. apart: (k, k) CIEDE2000 of the yarns."""
        two = self.both_ways
        short = np.maximum(two.needs[:, None] - apart[blocks.ravel()[two.there]], 0)
        out = np.zeros((blocks.size, len(apart)))
        np.add.at(out, two.here, two.worth[:, None] * short)
        return out


def with_outlines(blocks: Ints, colors: Bytes, share: Floats, yarns: Bytes) -> Ints:
    """(height, width) yarn numbers, some changed so that edges of the picture are seen.

    colors: (height, width, 3) what yarns are matched to; share: (height, width) 0 to 1, how far
    each block is of the subject: where that changes, an edge is its outline; yarns: (k, 3).
    """
    edges = edges_of(colors, share)
    if not len(edges.needs) or len(yarns) < 2:
        return blocks
    lab = to_lab(yarns)
    apart = np.asarray(quick_table(lab, lab), dtype=np.float64)
    line, column = np.divmod(np.arange(blocks.size), blocks.shape[1])
    turn = line % _APART * _APART + column % _APART
    now = blocks.ravel().copy()
    two = edges.both_ways
    turns = [np.flatnonzero(turn[two.here] == this) for this in range(_APART**2)]
    of_turns = [np.unique(two.here[at], return_inverse=True) for at in turns]
    flat = colors.reshape(-1, 3)
    errors = [np.asarray(quick_table(to_lab(flat[mine]), lab), float) for mine, _ in of_turns]
    for _ in range(_SWEEPS):
        for at, (mine, which), error in zip(turns, of_turns, errors, strict=True):
            missing = np.maximum(two.needs[at, None] - apart[now[two.there[at]]], 0)
            cost = error.copy()
            np.add.at(cost, which, two.worth[at, None] * missing)
            now[mine] = cost.argmin(axis=1)
    return now.reshape(blocks.shape)


def edges_of(colors: Bytes, share: Floats) -> Edges:
    """Pairs of blocks across each place of the subject's outline where two blocks in a line differ
    clearly, and most thereabouts, from the next two."""

    def at_outline(apart: Floats, ends: Floats) -> NDArray[np.bool_]:
        beside = np.pad(apart, ((0, 0), (1, 1)))
        most = (apart >= beside[:, :-2]) & (apart > beside[:, 2:])
        return np.asarray((apart >= _EDGE) & most & (ends >= _ENDS))

    return _pairs(colors, share, at_outline, lambda ends: WORTH * np.minimum(1, ends / _SURELY))


def edges_near_outline(colors: Bytes, share: Floats) -> Edges:
    """The same of all places near the outline where they differ, a CIEDE2000 counting one."""
    return _pairs(
        colors, share, lambda apart, ends: (apart >= _EDGE) & (ends >= _NEAR), np.ones_like
    )


def _pairs(
    colors: Bytes,
    share: Floats,
    taken: Callable[[Floats, Floats], NDArray[np.bool_]],
    worth_of: Callable[[Floats], Floats],
) -> Edges:
    """taken: of (lines, places) CIEDE2000 and changes of the subject's share which are edges;
    worth_of: of these changes."""
    number = np.arange(colors[..., 0].size).reshape(colors.shape[:2])
    lab = to_lab(colors)
    found = []
    for light, of, at in ((lab, share, number), (lab.swapaxes(0, 1), share.T, number.T)):
        if light.shape[1] < 4:
            continue
        two = (light[:, 1:] + light[:, :-1]) / 2
        both = (of[:, 1:] + of[:, :-1]) / 2
        ends = np.abs(both[:, :-2] - both[:, 2:])
        apart = quick_differences(two[:, :-2], two[:, 2:])
        edge = taken(apart, ends)
        lines, columns = np.nonzero(edge)
        needs = np.minimum(apart[edge] * _SEEN, _MOST)
        for one, other in ((0, 2), (1, 2), (1, 3)):
            sides = at[lines, columns + one], at[lines, columns + other]
            found.append((*sides, needs, worth_of(ends[edge])))
    if not found:
        none = np.zeros(0)
        return Edges(none.astype(np.int64), none.astype(np.int64), none, none)
    return Edges(*(np.concatenate(each) for each in zip(*found, strict=True)))
