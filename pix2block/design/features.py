"""Features: parts of a picture that stand out from what is around them, and which of them a chart
loses.

A feature is a connected region of blocks whose mean differs from that of its ring, the blocks up to
two around it, by more than 10 CIEDE2000: an eye, a nose, a button, not the grain of a coat.

Regions are proposed in many ways and then judged alike. Proposed is what differs from the median of
a disc around each block, in all or along one axis of CIELAB, for discs of four sizes and several
thresholds (such a median follows edges and ignores what fills less than half of its disc: so the
border of an area is no feature), and what hangs together by small steps. Kept is what differs by
clearly more than neighbours do thereabouts, and whose blocks are nearer to their own mean than to
the ring's, and the ring's the other way round; of what overlaps, the clearest.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import fields, replace
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import quick_differences
from pix2block.color.spaces import Bytes, Floats, decoding_table, encode_bytes, to_hex, to_lab
from pix2block.design.masks import around, opened
from pix2block.ground.frozen import dataclass

STANDS_OUT = 10.0  # CIEDE2000
_LOST_SHARE = 0.5
_AROUND = 2
_MOST = 40
_LARGEST_SHARE = 0.25
_SINGLE = 25.0  # CIEDE2000 by which one block alone must differ
_DISCS = (2, 4, 7, 11)  # radii
_DISC_SHARES = (0.07, 0.6)  # of a disc: smaller regions are left to smaller discs
_THRESHOLDS = (6.0, 9.0, 13.0, 18.0)  # from a disc's median, in CIELAB
_TOLERANCES = (4.0, 7.0, 11.0)  # CIEDE2000 between neighbours that hang together
# n blocks must differ by 1.7 + 5.4 / sqrt(n) times what neighbours differ by. Plain noise does not,
# until it is so strong that much of it is clipped.
_CHANCE = (1.7, 5.4)
_GRAIN_DISC = 10
_PURE = (0.7, 0.8)  # of a region's blocks, of its ring's
_OVERLAP = 0.25  # of the smaller of two
_NESTED = (0.33, 1.1)  # a part stays beside its whole: so much smaller, so much more different

_Proposal = tuple[NDArray[Any], float, float]


@dataclass(frozen=True, eq=False)
class Feature:
    """One feature. mask: (height, width) bool, its blocks; color: its mean light, "#rrggbb";
    difference: from its ring in the picture, CIEDE2000."""

    mask: NDArray[np.bool_]
    color: str
    difference: float

    def __post_init__(self) -> None:
        self.mask.setflags(write=False)

    def __repr__(self) -> str:
        return f"Feature({self.blocks} blocks of {self.color} {self.place})"

    @cached_property
    def blocks(self) -> int:
        """How many it has."""
        return int(self.mask.sum())

    @cached_property
    def centre(self) -> tuple[float, float]:
        """Mean line and column of its blocks, from the top left."""
        lines, columns = np.nonzero(self.mask)
        return float(lines.mean()), float(columns.mean())

    @property
    def place(self) -> str:
        """Where it lies, in words."""
        return place_words(self, self.mask.shape)

    @cached_property
    def ring(self) -> NDArray[np.bool_]:
        """(height, width) bool, the blocks up to two around it."""
        return around(self.mask, _AROUND)


def find_features(means: Bytes) -> tuple[Feature, ...]:
    """At most 40 features of (height, width, 3) 8-bit block means, by difference x sqrt(blocks)
    falling: of 2 blocks to a quarter of the picture, or of one that differs by more than 25."""
    return _found(means.tobytes(), means.shape)


@lru_cache(maxsize=4)  # calming guards them, reports judge them, trials do both for every palette
def _found(data: bytes, shape: tuple[int, ...]) -> tuple[Feature, ...]:
    from pix2block.picture.blocks import coarser, repeated, taken_as_one

    together = taken_as_one(shape)
    means = coarser(np.frombuffer(data, dtype=np.uint8).reshape(shape), together)
    lab = to_lab(means)
    regions, found = _clear(_standing_out(means, _proposals(lab)), lab), []
    for i in _clearest(regions, means.shape[1]):
        mask = regions.inside[[i]].toarray().reshape(means.shape[:2]) > 0
        mask = repeated(mask, together, shape)
        found.append(Feature(mask, to_hex(regions.color[i]), float(regions.difference[i])))
    found.sort(key=lambda feature: -feature.difference * feature.blocks**0.5)
    return tuple(found[:_MOST])


def kept_differences(features: Sequence[Feature], colors: Bytes) -> Floats:
    """(features,) CIEDE2000 of each from its ring, in (height, width, 3) 8-bit sRGB."""
    if not features:
        return np.zeros(0)
    parts = [part for feature in features for part in (feature.mask, feature.ring)]
    light = [decoding_table()[colors[part]].mean(axis=0) for part in parts]
    lab = to_lab(encode_bytes(np.stack(light)))
    return np.asarray(quick_differences(lab[::2], lab[1::2]), dtype=np.float64)


def is_lost(in_picture: float, in_chart: float) -> bool:
    """Whether a difference is lost: no longer above 10, and less than half of what it was.

    So neither one that went from 11 to 9.9 is lost, nor one from 40 to 12.
    """
    return in_chart <= STANDS_OUT and in_chart < _LOST_SHARE * in_picture


def lost_of(features: Sequence[Feature], colors: Bytes) -> tuple[Feature, ...]:
    """Those of some features that are lost, as `is_lost` has it, in the (height, width, 3) colours
    of their yarns; in the same order."""
    kept = kept_differences(features, colors)
    return tuple(f for f, k in zip(features, kept, strict=True) if is_lost(f.difference, k))


def place_words(feature: Feature, shape: tuple[int, ...]) -> str:
    """ "near the upper right", "in the middle", "near the left edge": in which ninth it lies."""
    down, across = ((at + 0.5) / side for at, side in zip(feature.centre, shape, strict=True))
    upright = "upper" if down < 1 / 3 else "lower" if down > 2 / 3 else ""
    level = "left" if across < 1 / 3 else "right" if across > 2 / 3 else ""
    if not upright and not level:
        return "in the middle"
    if not upright or not level:
        return f"near the {upright or level} {'edge' if level else 'middle'}"
    return f"near the {upright} {level}"


def _proposals(lab: Floats) -> Iterator[_Proposal]:
    """Labelled regions, 0 where there is none, with the fewest and most blocks one may have."""
    from scipy.ndimage import label
    from skimage.filters.rank import median
    from skimage.morphology import disk

    most = _LARGEST_SHARE * lab[..., 0].size
    scale, shift = np.array([2.55, 1, 1]), np.array([0, 128, 128])
    levels = np.clip(np.rint(lab * scale + shift), 0, 255).astype(np.uint8)
    for radius in _DISCS:
        disc = disk(radius)
        fewest, at_most = (share * disc.sum() for share in _DISC_SHARES)
        middle = np.stack([median(levels[..., i], disc) for i in range(3)], axis=2)
        middle = (middle - shift) / scale
        away = np.moveaxis(lab - middle, 2, 0)
        for far in (quick_differences(lab, middle), *away, *-away):
            for threshold in _THRESHOLDS:
                there = far > threshold
                if np.count_nonzero(there) < fewest:
                    break  # and no more of them differ by more
                yield label(there, np.ones((3, 3)))[0], fewest, min(most, at_most)
                if radius > _DISCS[0]:  # and without thin bridges
                    there = opened(there)
                    yield label(there)[0], fewest, min(most, at_most)
    for tolerance in _TOLERANCES:
        yield _hanging_together(lab, tolerance), 2, most


def _hanging_together(lab: Floats, tolerance: float) -> NDArray[Any]:
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import connected_components

    number = np.arange(lab.shape[0] * lab.shape[1]).reshape(lab.shape[:2])
    ends = []
    for here, there in ((np.s_[:, 1:], np.s_[:, :-1]), (np.s_[1:], np.s_[:-1])):
        near = quick_differences(lab[here], lab[there]) <= tolerance
        ends.append((number[here][near], number[there][near]))
    one, other = (np.concatenate(side) for side in zip(*ends, strict=True))
    graph = csr_array((np.ones(len(one), dtype=np.int8), (one, other)), shape=(number.size,) * 2)
    return np.asarray(connected_components(graph, directed=False)[1].reshape(number.shape) + 1)


@dataclass(frozen=True, eq=False)
class _Regions:
    """inside, ring: sparse, 1 where a region (row) or its ring has a block (column); size:
    (regions,); color, around: (regions, 3) 8-bit means of both; difference: (regions,); pure:
    (regions,) how far the blocks of both are nearer to their own mean, 1 where all are."""

    inside: Any
    ring: Any
    size: Floats
    color: Bytes
    around: Bytes
    difference: Floats
    pure: Floats

    def only(self, which: NDArray[Any]) -> _Regions:
        return _Regions(*(getattr(self, field.name)[which] for field in fields(self)))


def _standing_out(means: Bytes, proposals: Iterable[_Proposal]) -> _Regions:
    """The proposed regions that differ enough from their rings, each once."""
    from scipy.sparse import diags_array, kron

    light = decoding_table()[means].reshape(-1, 3)
    inside = _rows(proposals, len(light))
    down, across = (
        diags_array(np.ones(2 * reach + 1), offsets=range(-reach, reach + 1), shape=(side, side))
        for side, reach in ((side, min(_AROUND, side - 1)) for side in means.shape[:2])
    )
    ring = inside @ kron(down, across, format="csr")
    ring.data[:] = 1
    ring -= inside
    ring.eliminate_zeros()
    size, ring_size = inside.sum(axis=1), np.maximum(ring.sum(axis=1), 1)
    color = encode_bytes(inside @ light / size[:, None])
    around = encode_bytes(ring @ light / ring_size[:, None])
    difference = quick_differences(to_lab(color), to_lab(around))
    enough = difference > np.where(size == 1, _SINGLE, STANDS_OUT)
    return _Regions(inside, ring, size, color, around, difference, np.ones(len(size))).only(enough)


def _rows(proposals: Iterable[_Proposal], blocks: int) -> Any:
    """Sparse (regions, blocks): the labelled regions of a fitting size, each once."""
    from scipy.sparse import csr_array

    rows, columns, count = [np.zeros(0, np.int64)], [np.zeros(0, np.int64)], 0
    for labels, fewest, most in proposals:
        size = np.bincount(flat := labels.ravel())
        fits = (size >= fewest) & (size <= most)
        fits[0] = False
        if fits.any():  # most have none
            (at,) = np.nonzero(fits[flat])
            rows.append((np.cumsum(fits) - 1)[flat[at]] + count)
            columns.append(at)
            count += int(fits.sum())
    where = np.concatenate(rows), np.concatenate(columns)
    inside = csr_array((np.ones(len(where[0])), where), shape=(count, blocks))
    marks = inside @ np.random.default_rng(1).random(blocks)  # equal for equal regions only
    return inside[np.sort(np.unique(marks, return_index=True)[1])]


def _clear(regions: _Regions, lab: Floats) -> _Regions:
    """Those that chance does not explain, and whose blocks go with them, as the ring's do not."""
    grain = (regions.ring @ _grain(lab)).min(axis=1) / regions.ring.sum(axis=1)
    explained = (_CHANCE[0] + _CHANCE[1] / np.sqrt(regions.size)) * grain
    regions = regions.only(regions.difference > explained)
    inside, around = to_lab(regions.color), to_lab(regions.around)
    axis, middle = inside - around, (inside + around) / 2
    shares = []
    for part, side in ((regions.inside, axis), (regions.ring, -axis)):
        of = np.repeat(np.arange(len(axis)), np.diff(part.indptr))
        along = ((lab.reshape(-1, 3)[part.indices] - middle[of]) * side[of]).sum(axis=1)
        shares.append(np.bincount(of[along > 0], minlength=len(axis)) / np.diff(part.indptr))
    clear = (shares[0] >= _PURE[0]) & (shares[1] >= _PURE[1])
    return replace(regions, pure=shares[0] * shares[1]).only(clear)


def _grain(lab: Floats) -> Floats:
    """(blocks, 2) by how much neighbours differ: the median of a block's eight, and of those
    medians in a disc around it."""
    from skimage.filters.rank import median
    from skimage.morphology import disk

    padded = np.pad(lab, ((1, 1), (1, 1), (0, 0)), mode="reflect")
    height, width = lab.shape[:2]
    shifts = [(y, x) for y in range(3) for x in range(3) if (y, x) != (1, 1)]
    around = np.stack([padded[y : y + height, x : x + width] for y, x in shifts])
    here = np.median(quick_differences(lab, around), axis=0)
    wide = median(np.minimum(here * 8, 255).astype(np.uint8), disk(_GRAIN_DISC)) / 8
    return np.stack([here.ravel(), wide.ravel()], axis=1)


def _clearest(regions: _Regions, width: int) -> list[int]:
    """Which regions to keep, none overlapping another but as a clearly different part of it."""
    size, difference = regions.size, regions.difference
    score = difference * size**0.5 * _solid(regions, width) ** 2 * regions.pure**2
    common = (regions.inside @ regions.inside.T).toarray()
    part = (common > 0.9 * size[:, None]) & (size[:, None] < _NESTED[0] * size)
    part &= difference[:, None] > _NESTED[1] * difference
    apart = (common <= _OVERLAP * np.minimum(size[:, None], size)) | part | part.T
    kept: list[int] = []
    for i in np.argsort(-score, kind="stable").tolist():
        if apart[i, kept].all():
            kept.append(i)
    return kept


def _solid(regions: _Regions, width: int) -> Floats:
    """(regions,) blocks over those of the rectangle, turned as may be, with the same moments: 1 for
    lines, squares and discs, less for what is crooked, forked or hollow; at most 1."""
    line, column = np.divmod(np.arange(regions.inside.shape[1]), width)
    sums = np.stack([line, column, line * line, column * column, line * column], axis=1)
    y, x, yy, xx, xy = (regions.inside @ sums / regions.size[:, None]).T
    yy, xx, xy = yy - y * y + 1 / 12, xx - x * x + 1 / 12, xy - x * y
    return np.asarray(np.minimum(1, 1.2 * regions.size / (12 * np.sqrt(yy * xx - xy * xy))))
