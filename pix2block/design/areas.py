"""Areas of a picture that a chart shows in the yarn of what is around them: a face that has become
wall, a coat that has become hedge.

A patch of one yarn is looked at in the picture: where its blocks fall into two colours that differ
by more than 10 CIEDE2000, hang together, and meet at an edge rather than in a passage, the smaller
side is an area that is lost, if over half of its border lies within the patch. A face counts where
over half of its blocks have the yarn of what is around it, though the two differ by 5 or more.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.color.difference import quick_differences
from pix2block.color.spaces import (
    Bytes,
    Floats,
    decoding_table,
    encode_bytes,
    inner_products,
    to_hex,
    to_lab,
)
from pix2block.design.features import STANDS_OUT, Feature
from pix2block.design.masks import opened
from pix2block.ground.frozen import dataclass

Bools = NDArray[np.bool_]
Box = tuple[float, float, float, float]

HALF = 0.5
_LEAST_PATCH = 0.015  # of all blocks
_LEAST, _FEWEST = 0.004, 12  # of all blocks; blocks; smaller ones are features
_FACE_DIFFERS = 5.0  # CIEDE2000
_FACE_FEWEST = 12
_MOST = 5
_SIDES = ((np.s_[:, 1:], np.s_[:, :-1]), (np.s_[1:, :], np.s_[:-1, :]))
_CORNERS = ((np.s_[1:, 1:], np.s_[:-1, :-1]), (np.s_[1:, :-1], np.s_[:-1, 1:]))
_STEPS = ((0, 1), (0, -1), (1, 0), (-1, 0))


@dataclass(frozen=True, eq=False)
class Area(Feature):
    """An area that has its surroundings' yarn. around: the mean light of those, "#rrggbb"; yarn:
    its number; share: of its border that lies in the yarn, of a face its blocks; beside:
    (height, width) bool, blocks of the yarn around it; face: whether it is one."""

    around: str
    yarn: int
    share: float
    beside: Bools
    face: bool = False

    def parted(self, blocks: NDArray[np.int64]) -> bool:
        """Whether (height, width) blocks have it mostly in another yarn than what is beside it."""
        inside, outside = np.bincount(blocks[self.mask]), np.bincount(blocks[self.beside])
        most, other = int(inside.argmax()), int(outside.argmax())
        return most != other and inside[most] > HALF * inside.sum()


def lost_areas(
    means: Bytes, blocks: NDArray[np.int64], faces: Sequence[Box] = ()
) -> tuple[Area, ...]:
    """At most five areas that have their surroundings' yarn, faces first, then the most striking.

    means: (height, width, 3) block means; blocks: (height, width) yarn numbers, all there; faces:
    left, top, right, bottom in blocks.
    """
    lab = to_lab(means)
    found = [area for box in faces if (area := _lost_face(means, blocks, box))]
    others = sorted(
        _hidden(means, lab, blocks), key=lambda area: -area.difference * area.blocks**0.5
    )
    for area in others:
        if all(not (area.mask & one.mask).any() for one in found):
            found.append(area)
    return tuple(found[:_MOST])


def areas_of(chart: Chart) -> tuple[Area, ...]:
    """Those of a chart, with the faces that were minded; none without a picture, or where the piece
    ends early."""
    means = chart.block_means
    if means is None or chart.source is None or chart.ends_early:
        return ()
    minded = [
        (place.left, place.top, place.right, place.bottom)
        for place in chart.source.minded
        if place.what == "face"
    ]
    return lost_areas(means, chart.blocks, [*dict.fromkeys(minded)])


def in_areas(feature: Feature, areas: Sequence[Feature]) -> bool:
    """Whether most of a feature lies in one that is told already."""
    return any((feature.mask & area.mask).sum() > HALF * feature.blocks for area in areas)


def pieces_of(kind: NDArray[np.int64], there: Bools, corners: bool = False) -> NDArray[np.int64]:
    """(height, width) numbers, from 1 on in reading order, of pieces of one kind whose blocks share
    sides, or corners too, where a mask is; 0 elsewhere. By SciPy's graphs, which every command
    loads for strands: its image filters would take a report longer to load than all of this."""
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import connected_components

    number = np.cumsum(there).reshape(there.shape) - 1
    ends = []
    for one, other in (*_SIDES, *(_CORNERS if corners else ())):
        alike = there[one] & there[other] & (kind[one] == kind[other])
        ends.append((number[one][alike], number[other][alike]))
    here, beside = (np.concatenate(side) for side in zip(*ends, strict=True))
    graph = csr_array(
        (np.ones(len(here), dtype=np.int8), (here, beside)), shape=(int(there.sum()),) * 2
    )
    pieces = np.zeros(there.shape, dtype=np.int64)
    pieces[there] = connected_components(graph, directed=False)[1] + 1
    return pieces


def _hidden(means: Bytes, lab: Floats, blocks: NDArray[np.int64]) -> Iterator[Area]:
    """Areas that patches of one yarn, large enough to hide something, hide: each patch is parted
    into two colours, and what hangs together of one of them is looked at."""
    pieces = pieces_of(blocks, np.ones(blocks.shape, dtype=np.bool_))
    least = max(2 * _FEWEST, _LEAST_PATCH * blocks.size)
    patches = [pieces == n for n in np.flatnonzero(np.bincount(pieces.ravel()) >= least).tolist()]
    patches.sort(key=lambda patch: int(blocks[patch][0]))
    side = np.zeros(blocks.shape, dtype=np.int64)  # 1 and 2 of the first patch, 3 and 4 …
    for number, patch in enumerate(patches):
        side[patch] = 2 * number + np.where(_in_two(lab[patch]), 1, 2)
    parts = pieces_of(side, opened(side))
    size = np.bincount(parts.ravel())
    of = np.zeros(len(size), dtype=np.int64)
    of[parts] = side
    for number, patch in enumerate(patches):
        fits = (size >= max(_FEWEST, _LEAST * blocks.size)) & (size <= HALF * patch.sum())
        fits[0] = False
        for this in (2 * number + 1, 2 * number + 2):
            for part in np.flatnonzero(fits & (of == this)).tolist():
                area = _hidden_in(means, lab, patch, blocks, parts == part)
                if area:
                    yield area


def _hidden_in(
    means: Bytes, lab: Floats, patch: Bools, blocks: NDArray[np.int64], mask: Bools
) -> Area | None:
    """A part of a patch as an area, where it meets the rest of it at an edge and differs."""
    inner, outer = across_border(mask)
    within = patch[outer]
    if within.mean() <= HALF:
        return None
    step = quick_differences(lab[inner], lab[outer])[within]
    if float(np.median(step)) <= STANDS_OUT:
        return None
    beside = np.zeros(patch.shape, dtype=bool)
    beside[outer[0][within], outer[1][within]] = True
    area = _area(means, mask, beside, blocks, float(within.mean()))
    return area if area.difference > STANDS_OUT else None


def _area(
    means: Bytes,
    mask: Bools,
    beside: Bools,
    blocks: NDArray[np.int64],
    share: float,
    face: bool = False,
) -> Area:
    light = decoding_table()[means]
    inside, around = encode_bytes(np.stack([light[part].mean(axis=0) for part in (mask, beside)]))
    yarn = int(np.bincount(blocks[mask]).argmax())
    difference = float(quick_differences(to_lab(inside), to_lab(around)))
    return Area(mask, to_hex(inside), difference, to_hex(around), yarn, share, beside, face)


def _in_two(lab: Floats) -> Bools:
    """(n,) which side of two each colour is on: two means, from both ends of where they spread."""
    middle = lab.mean(axis=0)
    spread = np.linalg.eigh(np.cov((lab - middle).T))[1][:, -1]
    side = (lab - middle) @ spread > 0
    for _ in range(12):
        if side.all() or not side.any():
            break
        one, other = lab[side].mean(axis=0), lab[~side].mean(axis=0)
        near, far = (inner_products(lab - mean, lab - mean) for mean in (one, other))
        after = near < far
        if (after == side).all():
            break
        side = after
    return np.asarray(side)


_Places = tuple[NDArray[np.int64], NDArray[np.int64]]


def across_border(mask: Bools) -> tuple[_Places, _Places]:
    """Lines and columns of pairs of blocks on both sides of a border, each a block further off
    where there is one, since blocks right on a border are blends."""
    line, column = np.nonzero(mask)
    down, across = (np.array(way)[:, None] for way in zip(*_STEPS, strict=True))
    there = _inside(mask.shape, line + down, column + across)
    step, at = np.nonzero(there & ~mask[_within(mask.shape, line + down, column + across)])
    line, column, down, across = line[at], column[at], down[step, 0], across[step, 0]
    inner = _further(mask, line, column, (-down, -across))
    return inner, _further(~mask, line + down, column + across, (down, across))


def _inside(shape: tuple[int, ...], line: NDArray[np.int64], column: NDArray[np.int64]) -> Bools:
    return (line >= 0) & (line < shape[0]) & (column >= 0) & (column < shape[1])


def _within(shape: tuple[int, ...], line: NDArray[np.int64], column: NDArray[np.int64]) -> _Places:
    """The nearest places that there are."""
    down, across = (
        np.minimum(np.maximum(at, 0), side - 1)
        for at, side in zip((line, column), shape, strict=True)
    )
    return down, across


def _further(
    side: Bools, line: NDArray[np.int64], column: NDArray[np.int64], step: _Places
) -> _Places:
    lines, columns = _within(side.shape, line + step[0], column + step[1])
    goes = side[lines, columns]
    return np.where(goes, lines, line), np.where(goes, columns, column)


def _lost_face(means: Bytes, blocks: NDArray[np.int64], box: Box) -> Area | None:
    """A face in the yarn of what is around it."""
    left, top, right, bottom = box
    line, column = np.indices(blocks.shape)
    x = (column + 0.5 - (left + right) / 2) / max((right - left) / 2, 0.5)
    y = (line + 0.5 - (top + bottom) / 2) / max((bottom - top) / 2, 0.5)
    oval = (x / 0.75) ** 2 + (y / 0.95) ** 2 <= 1  # a found box is a square about eyes to chin
    if oval.sum() < _FACE_FEWEST:
        return None
    yarn = int(np.bincount(blocks[oval]).argmax())
    parts = pieces_of(blocks, blocks == yarn)
    inside = parts[oval & (blocks == yarn)]
    patch = parts == np.bincount(inside).argmax()
    mask = patch & oval
    around = patch & (x**2 + y**2 > 1.5) & (np.abs(x) < 3) & (np.abs(y) < 2)
    share = float(mask.sum() / oval.sum())
    if share <= HALF or around.sum() < _FACE_FEWEST:
        return None
    area = _area(means, mask, around, blocks, share, face=True)
    return area if area.difference >= _FACE_DIFFERS else None
