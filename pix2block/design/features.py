"""Features: parts of a picture that stand out from what is around them, and whether a chart keeps
them.

A feature is a connected region of blocks that are alike, at one of a few tolerances, whose mean
differs from that of the blocks up to two around it by more than 10 CIEDE2000, and by clearly more
than those differ among themselves: an eye, a nose, a button, not the grain of a coat. It is lost
where the same difference in the chart's yarns is no longer above 10, nor above 0.6 of what it was.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.color.difference import quick_differences
from pix2block.color.spaces import Bytes, Floats, decoding_table, encode_bytes, to_hex, to_lab
from pix2block.design.palette import nearest_yarns

STANDS_OUT = 10.0  # CIEDE2000
_KEPT_SHARE = 0.6
# A region of n blocks must differ by 1 + 2.2 / sqrt(n) times the differences among what is around,
# and by more the raggeder it is: chance makes small and ragged ones.
_CHANCE, _RAGGED = 2.2, 0.35
_TOLERANCES = (4.0, 7.0, 11.0)  # CIEDE2000 between neighbours that hang together
_SMALLEST, _LARGEST_SHARE = 2, 0.2
_SAME_PLACE = 0.5  # of a region's blocks
_AROUND = [(dy, dx) for dy in range(-2, 3) for dx in range(-2, 3) if (dy, dx) != (0, 0)]
_MOST = 60


@dataclass(frozen=True, eq=False)
class Feature:
    """One feature. lines, columns: of its blocks; color: its mean light, "#rrggbb"; in_picture,
    in_chart: its difference from what is around it, in CIEDE2000; place: in words."""

    lines: NDArray[np.int64]
    columns: NDArray[np.int64]
    color: str
    in_picture: float
    in_chart: float
    place: str

    @property
    def blocks(self) -> int:
        """How many it covers."""
        return len(self.lines)

    @property
    def lost(self) -> bool:
        """Whether the chart no longer shows it."""
        return self.in_chart <= min(STANDS_OUT, _KEPT_SHARE * self.in_picture)


def find_features(means: Bytes, chart: Bytes) -> list[Feature]:
    """The features of a picture, the most striking first.

    means, chart: (height, width, 3) 8-bit sRGB, of the picture's blocks and of their yarns.
    """
    found: list[tuple[float, Feature]] = []
    for tolerance in _TOLERANCES:
        found += _at_tolerance(means, chart, tolerance)
    found.sort(key=lambda item: -item[0])
    taken = np.zeros(means.shape[:2], dtype=bool)
    kept: list[Feature] = []
    for _, feature in found:
        if taken[feature.lines, feature.columns].mean() <= 1 - _SAME_PLACE and len(kept) < _MOST:
            taken[feature.lines, feature.columns] = True
            kept.append(feature)
    return kept


def _at_tolerance(means: Bytes, chart: Bytes, tolerance: float) -> list[tuple[float, Feature]]:
    labels = _regions(means, tolerance)
    count = int(labels.max()) + 1
    size = np.bincount(labels.ravel(), minlength=count)
    fits = (size >= _SMALLEST) & (size <= _LARGEST_SHARE * labels.size)
    picture = _Contrast(means, labels, count)
    in_picture, spread = picture.difference(), picture.spread()
    ragged = np.maximum(_border(labels, count) / size - 1, 0)
    clearly = 1 + _CHANCE / np.sqrt(size) + _RAGGED * ragged
    stands_out = fits & (in_picture > STANDS_OUT) & (in_picture > clearly * spread)
    if not stands_out.any():
        return []
    in_chart = _Contrast(chart, labels, count).difference()
    order = np.argsort(labels.ravel(), kind="stable")
    starts = np.concatenate([[0], np.cumsum(size)])
    features = []
    for region in np.flatnonzero(stands_out).tolist():
        lines, columns = np.divmod(order[starts[region] : starts[region + 1]], labels.shape[1])
        feature = Feature(
            lines,
            columns,
            to_hex(encode_bytes(picture.inside[region])),
            float(in_picture[region]),
            float(in_chart[region]),
            _place_words(lines, columns, labels.shape),
        )
        features.append((float(in_picture[region] * size[region] ** 0.5), feature))
    return features


def _regions(means: Bytes, tolerance: float) -> NDArray[np.int64]:
    """(height, width) regions of blocks that hang together by small steps."""
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import connected_components

    lab = to_lab(means)
    number = np.arange(lab.shape[0] * lab.shape[1]).reshape(lab.shape[:2])
    pairs = []
    for here, there in (
        ((slice(None), slice(None, -1)), (slice(None), slice(1, None))),
        ((slice(None, -1), slice(None)), (slice(1, None), slice(None))),
    ):
        near = quick_differences(lab[here], lab[there]) <= tolerance
        pairs.append((number[here][near], number[there][near]))
    one, other = (np.concatenate(side) for side in zip(*pairs, strict=True))
    graph = csr_array((np.ones(len(one), dtype=np.int8), (one, other)), shape=(number.size,) * 2)
    _, labels = connected_components(graph, directed=False)
    return np.asarray(labels.reshape(number.shape), dtype=np.int64)


def _border(labels: NDArray[np.int64], count: int) -> NDArray[np.int64]:
    """(regions,) sides of blocks between each region and others."""
    border = np.zeros(count, dtype=np.int64)
    for one, other in ((labels[:, 1:], labels[:, :-1]), (labels[1:], labels[:-1])):
        apart = one != other
        border += np.bincount(one[apart], minlength=count)
        border += np.bincount(other[apart], minlength=count)
    return border


class _Contrast:
    """Every region against the blocks up to two around it, all at once."""

    def __init__(self, colors: Bytes, labels: NDArray[np.int64], count: int) -> None:
        light = decoding_table()[colors]
        lab = to_lab(colors)
        self.inside = _mean_by(labels.ravel(), light.reshape(-1, 3), count)
        own, around, around_lab = [], [], []
        height, width = labels.shape
        for dy, dx in _AROUND:
            here = _shifted(height, dy), _shifted(width, dx)
            there = _shifted(height, -dy), _shifted(width, -dx)
            apart = labels[here] != labels[there]
            own.append(labels[here][apart])
            around.append(light[there][apart])
            around_lab.append(lab[there][apart])
        self._own = np.concatenate(own)
        self._around_lab = np.concatenate(around_lab)
        self._count = count
        self.outside = _mean_by(self._own, np.concatenate(around), count)

    def difference(self) -> Floats:
        """(regions,) CIEDE2000 between the means inside and around."""
        inside, outside = (to_lab(encode_bytes(m)) for m in (self.inside, self.outside))
        return np.asarray(quick_differences(inside, outside))

    def spread(self) -> Floats:
        """(regions,) mean CIEDE2000 of the blocks around from their mean."""
        middle = to_lab(encode_bytes(self.outside))[self._own]
        away = quick_differences(self._around_lab, middle)
        total = np.bincount(self._own, weights=away, minlength=self._count)
        return np.asarray(total / np.maximum(np.bincount(self._own, minlength=self._count), 1))


def _shifted(size: int, by: int) -> slice:
    return slice(max(0, -by), size - max(0, by))


def _mean_by(group: NDArray[np.int64], values: Floats, count: int) -> Floats:
    total = np.maximum(np.bincount(group, minlength=count), 1)
    sums = [np.bincount(group, weights=values[:, i], minlength=count) for i in range(3)]
    return np.stack(sums, axis=1) / total[:, None]


def _place_words(
    lines: NDArray[np.int64], columns: NDArray[np.int64], shape: tuple[int, ...]
) -> str:
    down, across = (lines.mean() + 0.5) / shape[0], (columns.mean() + 0.5) / shape[1]
    upright = "upper" if down < 1 / 3 else "lower" if down > 2 / 3 else ""
    level = "left" if across < 1 / 3 else "right" if across > 2 / 3 else ""
    if not upright and not level:
        return "in the middle"
    if not upright or not level:
        return f"near the {upright or level} {'edge' if level else 'middle'}"
    return f"near the {upright} {level}"


def lost_features(chart: Chart) -> list[Feature]:
    """The features of a chart's picture that its yarns no longer show, the most striking first;
    none without a source, or where the piece ends early."""
    if chart.source is None or chart.ends_early:
        return []
    features = find_features(chart.source.means, chart.yarn_rgb[chart.blocks])
    return [feature for feature in features if feature.lost]


_ORDINALS = (
    *("zeroth", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"),
    *("ninth", "tenth", "eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth"),
)


def what_brings_back(
    feature: Feature, means: Bytes, yarns: Bytes, spare: Bytes | None = None
) -> str | None:
    """The yarn that brings a lost feature back, tried: "a ninth yarn, #c03028: 41 blocks".

    yarns: (k, 3) of the chart; spare: (s, 3) yarns of a shelf to choose from, None for any colour.
    None where it does not help.
    """
    own = np.array([[int(feature.color[i : i + 2], 16) for i in (1, 3, 5)]], dtype=np.uint8)
    if spare is not None:
        if not len(spare):
            return None
        own = spare[nearest_yarns(own[None], spare).ravel()]
    more = np.concatenate([yarns, own])
    blocks = nearest_yarns(means, more)
    there = np.zeros(means.shape[:2], dtype=np.int64)
    there[feature.lines, feature.columns] = 1
    after = _Contrast(more[blocks], there, 2).difference()[1]
    if after <= STANDS_OUT:
        return None
    place = len(more)
    ordinal = _ORDINALS[place] if place < len(_ORDINALS) else f"{place}th"
    article = "an" if ordinal[0] in "e8" else "a"
    count = int((blocks == place - 1).sum())
    return f"{article} {ordinal} yarn, {to_hex(own[0])}: {count} blocks"
