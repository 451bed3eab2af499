"""What a picture is of: how much each block seems to belong to its subject, as weights, never as a
cut, for a found outline is often wrong and a found ranking seldom.

Zhu, Liang, Wei & Sun (2014), "Saliency optimization from robust background detection", without
learning: superpixels (SLIC); what hangs together with much of the picture's border is likely
background; what differs from likely background stands out; both smoothed over neighbours. Equation
numbers are theirs. To what stands out are added here how sharp it is, for a photo's backdrop is
often blurred, and how near the middle.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.source import Place
from pix2block.color.spaces import Floats
from pix2block.design.features import Feature
from pix2block.ground.frozen import dataclass
from pix2block.ground.progress import heed
from pix2block.picture.blocks import Frame

_LONGER_SIDE, _MOST_SAMPLES = 300, 6  # pixels that a picture is looked at in
_INSIDE = 0.5
_HEAD = 0.6  # half axes of a head, of a face's box
_SURE_OF_FACE = 0.7
_WORTH_TELLING = 0.1
COUNTS_MORE = 1.0  # a block that is surely of the subject counts 1 + so much
_STRIKING = 25.0  # CIEDE2000 of a part from its ring
_FINE = 8  # samples to a block's side, for a polygon
_PIECES = 300
_COMPACT = 0.15  # SLIC stretches its channels to 0 to 1
_CLEAR = 10.0  # CIELAB by which colours differ clearly, eqs. 2, 9
_BORDER = 1.0  # eq. 4
_GROUND = 0.5  # the lower border: who sits for a portrait touches it
_NEAR = 0.25  # of the picture's sides, eq. 6
_TOP = 92  # per cent of the picture; what lies above is surely of the subject
_BASE = 0.1  # smoothing that holds everywhere, eq. 9
_SHARP, _MIDDLE = 0.6, 0.6  # how far what is blurred, or in a corner, may fall
_UNSURE, _SURE = 0.15, 0.3  # spread of the map where nothing, and all of it, is believed
_GRAIN, _DIFFERS = 8.0, 20.0  # CIELAB, the same of the most contrast there is
_SAME, _OTHER = 1.0, 3.0  # CIELAB, the same of the subject's mean from all else's
_CUT, _WHOLE = 0.6, 0.3  # mean at the upper three borders, of that everywhere, the same


@dataclass(frozen=True, eq=False)
class SubjectMap:
    """share: (height, width) 0 to 1, how surely each block is of the subject; sure: 0 to 1, how
    far the map as a whole is to be believed; told: whether the maker said it."""

    share: Floats
    sure: float = 1.0
    told: bool = False

    def __post_init__(self) -> None:
        self.share.setflags(write=False)

    @property
    def believed(self) -> Floats:
        """(height, width) 0 to 1, the share as far as the map is believed."""
        return self.share * self.sure

    @property
    def inside(self) -> NDArray[np.bool_]:
        """(height, width) the blocks of its outline, which are more of the subject than not."""
        return np.asarray(self.share >= _INSIDE)

    @property
    def is_clear(self) -> bool:
        """Whether there is an outline worth showing."""
        return self.sure >= _WORTH_TELLING and bool(self.inside.any())


def samples_to_see(width: int, height: int) -> int:
    """Samples along a block's side of a chart, for its picture to be looked at closely."""
    return min(_MOST_SAMPLES, max(1, round(_LONGER_SIDE / max(width, height))))


def subject_weights(share: Floats, parts: Sequence[Feature] = ()) -> Floats:
    """(height, width) 1, up to two for what is of the subject by its share, 0 to 1, and more again
    for small parts of it."""
    weights = 1 + COUNTS_MORE * share
    for part in parts:
        clear = min(1.0, part.difference / _STRIKING)
        weights[part.mask] *= 1 + clear * float(share[part.mask].mean())
    return np.asarray(weights)


def cover(corners: Sequence[float], size: tuple[int, int], frame: Frame) -> Floats:
    """(height, width) the share of each block inside a polygon of x, y, x, y … in per cent of a
    picture of `size` pixels."""
    from skimage.draw import polygon2mask

    pixels = np.reshape(np.asarray(corners, dtype=np.float64), (-1, 2)) * np.array(size) / 100
    fine = (pixels - (frame.left, frame.top)) / frame.block * _FINE - 0.5  # to middles
    inside = polygon2mask((frame.height * _FINE, frame.width * _FINE), fine[:, ::-1])
    shares = inside.reshape(frame.height, _FINE, frame.width, _FINE).mean(axis=(1, 3))
    return np.asarray(shares)


def find_subject(lab: Floats, samples: int) -> SubjectMap:
    """The subject of a picture of (height * samples, width * samples, 3) CIELAB."""
    height, width = (side // samples for side in lab.shape[:2])
    if min(lab.shape[:2]) < 24:
        return SubjectMap(np.zeros((height, width)), 0.0)
    pieces = _pieces_of(lab)
    heed()
    apart = np.linalg.norm(pieces.color[:, None] - pieces.color[None], axis=2)
    background = _background(pieces, apart)
    contrast = _contrast(pieces, apart, background)
    most = float(contrast.max())
    found = _smoothed(pieces, apart, background, contrast / max(most, 1e-9))
    share = found[pieces.labels].reshape(height, samples, width, samples).mean(axis=(1, 3))
    return SubjectMap(share, _believed(share, most, pieces, found))


def with_heads(found: SubjectMap, faces: Sequence[Place]) -> SubjectMap:
    """The map with the heads of faces that are believed, ellipses a little larger than their
    boxes."""
    if not faces:
        return found
    share = found.share.copy()
    lines, columns = np.indices(share.shape) + 0.5
    for face in faces:
        across, down = (face.right - face.left) * _HEAD, (face.bottom - face.top) * _HEAD
        x, y = (face.left + face.right) / 2, (face.top + face.bottom) / 2
        inside = ((columns - x) / across) ** 2 + ((lines - y) / down) ** 2 <= 1
        share[inside] = 1.0
    return SubjectMap(share, max(found.sure, _SURE_OF_FACE))


@dataclass(frozen=True, eq=False)
class _Pieces:
    """Superpixels. labels: (lines, columns); color: (n, 3) CIELAB; place: (n, 2) down and across,
    0 to 1; at_border: (n,) how far each counts as touching the picture's border; touching: (n, n)
    bool, share a side; sharp: (n,) 0 to 1; size: (n,) samples."""

    labels: NDArray[np.int64]
    color: Floats
    place: Floats
    at_border: Floats
    touching: NDArray[np.bool_]
    sharp: Floats
    size: Floats


def _pieces_of(lab: Floats) -> _Pieces:
    from scipy.ndimage import gaussian_filter
    from skimage.segmentation import slic

    # In CIELAB already; single precision is as good and quicker.
    labels = slic(
        lab.astype(np.float32),
        n_segments=_PIECES,
        compactness=_COMPACT,
        max_num_iter=5,
        convert2lab=False,
        start_label=0,
    )
    flat = labels.ravel()
    count = np.bincount(flat)
    n = len(count)

    def means(values: Floats) -> Floats:
        return np.asarray(np.bincount(flat, weights=values.ravel(), minlength=n) / count)

    lines, columns = np.indices(labels.shape)
    place = [means(lines / labels.shape[0]), means(columns / labels.shape[1])]
    at_border = np.zeros(n)
    at_border[labels[-1]] = _GROUND
    for edge in (labels[0], labels[:-1, 0], labels[:-1, -1]):
        at_border[edge] = 1
    touching = np.zeros((n, n), dtype=bool)
    for one, other in ((labels[:, 1:], labels[:, :-1]), (labels[1:], labels[:-1])):
        touching[one, other] = touching[other, one] = True
    np.fill_diagonal(touching, False)
    detail = np.abs(lab[..., 0] - gaussian_filter(lab[..., 0], 1.5))
    sharp = means(gaussian_filter(np.minimum(detail, 8), 4))
    sharp = sharp / max(float(np.percentile(sharp, 95)), 1e-6)
    return _Pieces(
        labels,
        np.stack([means(lab[..., i]) for i in range(3)], axis=1),
        np.stack(place, axis=1),
        at_border,
        touching,
        np.asarray(np.clip(sharp, 0, 1)),
        count.astype(np.float64),
    )


def _background(pieces: _Pieces, apart: Floats) -> Floats:
    """(n,) 0 to 1: length of the picture's border over the root of the area that hangs together
    with each superpixel, eqs. 1 to 4."""
    from scipy.sparse.csgraph import shortest_path

    border = pieces.at_border == 1
    linked = pieces.touching | (border[:, None] & border[None])
    np.fill_diagonal(linked, False)
    nearest = np.where(pieces.touching, apart, np.inf).min(axis=1)
    grain = float(nearest[np.isfinite(nearest)].mean())  # steps as small as any mean nothing
    step = np.where(linked, np.maximum(apart - grain, 0) + 1e-6, 0)
    far = shortest_path(step)  # the same both ways
    together = np.exp(-((far / _CLEAR) ** 2) / 2)
    area = together.sum(axis=1)
    length = together @ pieces.at_border
    return np.asarray(1 - np.exp(-((length / np.sqrt(area)) ** 2) / (2 * _BORDER**2)))


def _contrast(pieces: _Pieces, apart: Floats, background: Floats) -> Floats:
    """(n,) mean difference from what is likely background thereabouts, in CIELAB, eq. 5 as a mean;
    less for what is blurred or far from the middle."""
    distance = np.linalg.norm(pieces.place[:, None] - pieces.place[None], axis=2)
    near = np.exp(-((distance / _NEAR) ** 2) / 2)
    out = (apart * near) @ background / np.maximum(near @ background, 1e-9)
    out *= 1 - _SHARP + _SHARP * pieces.sharp
    middle = np.exp(-(((pieces.place - 0.5) / 0.35) ** 2).sum(axis=1) / 2)
    out *= 1 - _MIDDLE + _MIDDLE * middle
    return np.asarray(out)


def _smoothed(pieces: _Pieces, apart: Floats, background: Floats, stands_out: Floats) -> Floats:
    """(n,) 0 to 1: least squares between background at 0, what stands out at 1 and neighbours of
    like colour alike, eqs. 8 and 9."""
    pull = np.where(pieces.touching, np.exp(-((apart / _CLEAR) ** 2) / 2) + _BASE, 0)
    matrix: NDArray[Any] = np.diag(pull.sum(axis=1) + background + stands_out) - pull
    found = np.linalg.solve(matrix + 1e-9 * np.eye(len(matrix)), stands_out)
    low, high = np.percentile(found[pieces.labels], (5, _TOP))
    return np.asarray(np.clip((found - low) / max(float(high - low), 1e-9), 0, 1))


def _believed(share: Floats, contrast: float, pieces: _Pieces, found: Floats) -> float:
    """How far a map is to be believed: a clear one has much near 0 and something near 1; what
    stands out most differs from the background by more than grain does; the subject on the whole
    has another colour than all else, as a texture's has not; and it is not mostly cut off by the
    picture's border."""
    parts = [found * pieces.size, (1 - found) * pieces.size]
    of, rest = (part @ pieces.color / max(float(part.sum()), 1e-9) for part in parts)
    edge = pieces.at_border == 1
    at_edge = float(np.average(found[edge], weights=pieces.size[edge]))
    cut = at_edge / max(float(np.average(found, weights=pieces.size)), 1e-9)
    tests = (
        (float(share.std()) - _UNSURE) / (_SURE - _UNSURE),
        (contrast - _GRAIN) / (_DIFFERS - _GRAIN),
        (float(np.linalg.norm(of - rest)) - _SAME) / (_OTHER - _SAME),
        (_CUT - cut) / (_CUT - _WHOLE),
    )
    return float(np.clip(min(tests), 0, 1))
