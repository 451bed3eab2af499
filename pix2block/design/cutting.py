"""What a picture is of, cut from what is behind it, on the blocks of a chart.

A map says how surely each block is of the subject; colours say more: two histograms, one of the
subject's and one of all else's, and steps of colour where an outline may run. The least cut of a
grid (Boykov & Jolly 2001), colours counted anew after each cut (as Rother et al. 2004 do with
mixtures of Gaussians), is exact for these by SciPy's maximum flow.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pix2block.color.spaces import Bytes, Floats, to_lab

Bools = NDArray[np.bool_]

_BINS = ((0, 100, 10), (-60, 60, 12), (-60, 60, 12))  # of L*, a*, b*
_SMOOTH = 0.8  # bins
_ROUNDS = 3
_PRIOR, _STEP = 0.3, 4.0  # what the map, and a smooth place in the picture, weigh
_SURE = (0.1, 0.9)
_UNIT = 1000  # flows are whole numbers
_ISLAND, _HOLE = 0.05, 0.02  # of the subject: smaller bits go, smaller gaps are filled


def cut_out(colors: Bytes, share: Floats) -> Bools:
    """(height, width) the blocks of the subject.

    colors: (height, width, 3) block colours; share: (height, width) 0 to 1, how surely each is of
    the subject; 0 is surely not.
    """
    lab = to_lab(colors)
    outside = share <= 0
    prior = np.clip(share, *_SURE)
    inside = (share >= 0.5) & ~outside
    for _ in range(_ROUNDS):
        if not inside.any() or inside.all():
            break
        ratio = _likelier(lab, inside) + _PRIOR * np.log(prior / (1 - prior))
        inside = _least_cut(lab, np.where(outside, -20.0, ratio))
    return tidied(inside)


def tidied(inside: Bools) -> Bools:
    """Without small islands and gaps."""
    from scipy.ndimage import label

    inside = inside.copy()
    whole = int(inside.sum())
    for side, least in ((True, _ISLAND * whole), (False, _HOLE * whole)):
        parts, _ = label(inside == side)
        size = np.bincount(parts.ravel())
        small = size < least
        small[0] = False
        if small[1:].all():
            continue
        inside[small[parts]] = not side
    return inside


def _likelier(lab: Floats, inside: Bools) -> Floats:
    """(height, width) log of how much likelier each colour is inside than outside."""
    from scipy.ndimage import gaussian_filter

    at = []
    for axis, (low, high, bins) in enumerate(_BINS):
        place = (lab[..., axis] - low) / (high - low) * bins
        at.append(np.clip(place, 0, bins - 1).astype(np.int64))
    shape = tuple(bins for *_, bins in _BINS)
    bin_of = np.ravel_multi_index(tuple(at), shape)
    logs = []
    for side in (inside, ~inside):
        count = np.bincount(bin_of[side], minlength=int(np.prod(shape))).astype(np.float64)
        smooth = gaussian_filter(count.reshape(shape), _SMOOTH) + 1e-4 * side.sum()
        logs.append(np.log(smooth / smooth.sum()).ravel()[bin_of])
    return np.asarray(np.clip(logs[0] - logs[1], -4, 4))


def _least_cut(lab: Floats, ratio: Floats) -> Bools:
    """(height, width) the labelling of the least sum: what each block is likelier to be, and the
    length of the outline, which is cheap where colours step."""
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import breadth_first_order, maximum_flow

    height, width = ratio.shape
    number = np.arange(height * width).reshape(height, width)
    ends, steps = [], []
    for here, there in ((np.s_[:, 1:], np.s_[:, :-1]), (np.s_[1:], np.s_[:-1])):
        ends.append((number[here].ravel(), number[there].ravel()))
        steps.append(np.square(lab[here] - lab[there]).sum(axis=2).ravel())
    one, other = (np.concatenate(side) for side in zip(*ends, strict=True))
    step = np.concatenate(steps)
    toll = _STEP * np.exp(-step / max(2 * float(step.mean()), 1e-9)) + 0.05
    source, sink = height * width, height * width + 1
    flat = ratio.ravel()
    tail = np.concatenate([one, other, np.full(flat.size, source), number.ravel()])
    head = np.concatenate([other, one, number.ravel(), np.full(flat.size, sink)])
    room = np.concatenate([toll, toll, np.maximum(flat, 0), np.maximum(-flat, 0)])
    whole = np.floor(room * _UNIT + 0.5).astype(np.int32)
    graph = csr_array((whole, (tail, head)), shape=(sink + 1, sink + 1))
    flow = maximum_flow(graph, source, sink).flow
    left = graph - flow
    left.data = (left.data > 0).astype(np.int32)
    left.eliminate_zeros()
    reached = breadth_first_order(left, source, return_predecessors=False)
    inside = np.zeros(sink + 1, dtype=bool)
    inside[reached] = True
    return inside[: height * width].reshape(height, width)
