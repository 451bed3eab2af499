"""Outlines: where the picture's areas meet, blocks on both sides take yarns that differ.

Nearest yarns may be one and the same on both sides of an edge that the picture shows. There a block
takes another yarn, where that costs less than the edge is worth: each block in turn the one of
least error plus what is missing at the edges it lies on, a few times over (iterated conditional
modes, Besag 1986).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import quick_differences, quick_table
from pix2block.color.spaces import Bytes, Floats, to_lab

Ints = NDArray[np.int64]

_EDGE = 6.0  # CIEDE2000 between two blocks before and two after
_SEEN, _MOST = 0.6, 12.0  # the share of it that is to be seen, and as much as is enough
WORTH = 0.6  # of what is missing, in CIEDE2000 of a block
_ENDS, _SURELY = 0.1, 0.3  # by how much the subject's share changes at its outline
_SWEEPS = 3
_APART = 4  # blocks of one turn: no edge reaches so far


@dataclass(frozen=True, eq=False)
class _Edges:
    """here, there: (edges,) blocks on both sides; needs: (edges,) CIEDE2000 that their yarns are to
    differ by; worth: (edges,) of a CIEDE2000 that is missing."""

    here: Ints
    there: Ints
    needs: Floats
    worth: Floats


def with_outlines(blocks: Ints, colors: Bytes, share: Floats, yarns: Bytes) -> Ints:
    """(height, width) yarn numbers, some changed so that edges of the picture are seen.

    colors: (height, width, 3) what yarns are matched to; share: (height, width) 0 to 1, how far
    each block is of the subject: where that changes, an edge is its outline; yarns: (k, 3).
    """
    edges = _edges_of(colors, share)
    if not len(edges.needs) or len(yarns) < 2:
        return blocks
    lab = to_lab(yarns)
    apart = np.asarray(quick_table(lab, lab), dtype=np.float64)
    error = np.asarray(quick_table(to_lab(colors.reshape(-1, 3)), lab), dtype=np.float64)
    line, column = np.divmod(np.arange(blocks.size), blocks.shape[1])
    turn = line % _APART * _APART + column % _APART
    now = blocks.ravel().copy()
    first = np.concatenate([edges.here, edges.there])
    second = np.concatenate([edges.there, edges.here])
    needs, worth = (np.concatenate([each, each]) for each in (edges.needs, edges.worth))
    for _ in range(_SWEEPS):
        for this in range(_APART**2):
            at = turn[first] == this
            missing = np.maximum(needs[at, None] - apart[now[second[at]]], 0)
            cost = error.copy()
            np.add.at(cost, first[at], worth[at, None] * missing)
            mine = np.unique(first[at])
            now[mine] = cost[mine].argmin(axis=1)
    return now.reshape(blocks.shape)


def _edges_of(colors: Bytes, share: Floats) -> _Edges:
    """Pairs of blocks across each place where two blocks in a line differ clearly, and most
    thereabouts, from the next two."""
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
        beside = np.pad(apart, ((0, 0), (1, 1)))
        edge = (
            (apart >= _EDGE) & (apart >= beside[:, :-2]) & (apart > beside[:, 2:]) & (ends >= _ENDS)
        )
        lines, columns = np.nonzero(edge)
        needs = np.minimum(apart[edge] * _SEEN, _MOST)
        for one, other in ((0, 2), (1, 2), (1, 3)):
            worth = WORTH * np.minimum(1, ends[edge] / _SURELY)
            found.append((at[lines, columns + one], at[lines, columns + other], needs, worth))
    if not found:
        none = np.zeros(0)
        return _Edges(none.astype(np.int64), none.astype(np.int64), none, none)
    return _Edges(*(np.concatenate(each) for each in zip(*found, strict=True)))
