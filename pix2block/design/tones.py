"""A picture in tones: light and dark in as many classes as there are yarns, in the order of the
yarns, hue only as a second voice.

With few yarns the nearest colour scrambles light and dark: a cheek and its shade go to two yarns of
one lightness, eyes drown. Here lightness alone, L* with a little local contrast, is parted where
the classes are the most alike in themselves (Otsu 1979, for several thresholds at once), and every
class has a yarn, the darkest first. Yarns of about one lightness share a class; which of them a
block takes is told by its hue.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pix2block.color.spaces import Bytes, Floats, from_lab, to_lab

MOST_TONES = 5  # more yarns than these are second voices
_ONE_TONE = 5.0  # L* between yarns that share a class
_LOCAL = 0.35  # how much of the lightness is that of its surroundings stretched
_CLIP = 0.01  # of local stretching, as scikit-image has it
_LEVELS = 200  # that thresholds are looked for among
_AROUND = 0.15  # what blocks beyond a face count when thresholds are set on it


def tone_yarns(colors: Bytes, weights: Floats, most: int) -> Bytes:
    """(at most `most`, 3) colours of a picture's tones, the darkest first: each the mean of a
    class, the classes with the widest hues in two.

    colors: (height, width, 3) block colours; weights: (height, width).
    """
    light = _lightness(colors)
    cuts = _thresholds(light, weights, min(most, MOST_TONES))
    tone = np.searchsorted(cuts, light, side="right")
    lab = to_lab(colors)
    voices = [lab[tone == i] for i in np.unique(tone).tolist()]
    level = [float(voice[:, 0].mean()) for voice in voices]
    while len(voices) < most:
        spread = [float(np.var(v[:, 1:], axis=0).sum() * len(v) ** 0.5) for v in voices]
        widest = int(np.argmax(spread))
        side = _two_hues(voices[widest])
        if side.all() or not side.any():
            break
        voices[widest : widest + 1] = [voices[widest][side], voices[widest][~side]]
        level.insert(widest, level[widest])
    means = np.stack([voice.mean(axis=0) for voice in voices])
    means[:, 0] = level  # voices of a tone are equally light
    return np.unique(from_lab(means), axis=0)


def toned(colors: Bytes, weights: Floats, yarns: Bytes) -> Bytes:
    """(height, width, 3) block colours moved so that each one's nearest of (k, 3) yarns is that of
    its tone; in between where it is between two tones, so that calming knows what is near."""
    light = _lightness(colors)
    lab, yarn_lab = to_lab(colors), to_lab(yarns)
    groups = _groups(yarn_lab[:, 0])
    cuts = _thresholds(light, weights, len(groups))
    groups = groups[: len(cuts) + 1] if len(cuts) + 1 < len(groups) else groups
    tone = np.searchsorted(cuts, light, side="right")
    middles = np.stack([yarn_lab[group].mean(axis=0) for group in groups])
    knots, along = _knots(light, weights, cuts, tone, len(groups))
    at = np.interp(light, knots, along)
    moved = np.stack(
        [np.interp(at, np.arange(len(groups)), middles[:, i]) for i in range(3)], axis=2
    )
    for i, group in enumerate(groups):
        here = tone == i
        if len(group) > 1 and here.any():
            hue = lab[here][:, 1:]
            moved[here, 1:] = middles[i, 1:] + hue - hue.mean(axis=0)
    return from_lab(moved)


def on_faces(weights: Floats, faces: NDArray[np.bool_]) -> Floats:
    """(height, width) weights for thresholds: those of faces, where there are any."""
    return np.where(faces, weights, _AROUND * weights) if faces.any() else weights


def _lightness(colors: Bytes) -> Floats:
    """(height, width) L* with a little local contrast."""
    from skimage.exposure import equalize_adapthist

    light = to_lab(colors)[..., 0]
    if min(light.shape) < 16:
        return light
    part = np.clip(light / 100, 0, 1)
    kernel = [max(8, side // 4) for side in light.shape]
    near = equalize_adapthist(part, kernel_size=kernel, clip_limit=_CLIP) * 100
    return np.asarray((1 - _LOCAL) * light + _LOCAL * near)


def _thresholds(light: Floats, weights: Floats, classes: int) -> Floats:
    """(classes - 1,) lightnesses between classes, fewer where there are fewer levels: the least sum
    of squares within classes, by dynamic programming over levels (exact for these)."""
    low, high = float(light.min()), float(light.max())
    if classes < 2 or high - low < 1e-6:
        return np.zeros(0)
    level = np.minimum((light - low) / (high - low) * _LEVELS, _LEVELS - 1).astype(np.int64)
    weight = np.bincount(level.ravel(), weights=weights.ravel(), minlength=_LEVELS)
    sums = [np.concatenate([[0.0], np.cumsum(weight * np.arange(_LEVELS) ** p)]) for p in range(3)]
    start, stop = np.meshgrid(np.arange(_LEVELS + 1), np.arange(_LEVELS + 1), indexing="ij")
    count, first, second = (total[stop] - total[start] for total in sums)
    inner = second - np.divide(first**2, count, out=np.zeros_like(first), where=count > 0)
    inner = np.where((stop > start) & (count > 0), np.maximum(inner, 0), np.inf)
    best, came = inner[0], []
    for _ in range(classes - 1):
        total = best[:, None] + inner
        came.append(total.argmin(axis=0))
        best = total.min(axis=0)
    if not np.isfinite(best[_LEVELS]):
        return np.zeros(0)
    cuts, at = [], _LEVELS
    for steps in reversed(came):
        at = int(steps[at])
        cuts.append(low + at * (high - low) / _LEVELS)
    return np.array(cuts[::-1])


def _knots(
    light: Floats, weights: Floats, cuts: Floats, tone: NDArray[np.int64], classes: int
) -> tuple[Floats, Floats]:
    """Lightnesses, rising, and the place on the row of tones of each: a class's middle lies on its
    number, a threshold half-way between two."""
    knots, along = [], []
    for i in range(classes):
        here = tone == i
        if here.any():
            knots.append(float(np.average(light[here], weights=weights[here])))
            along.append(float(i))
        if i < len(cuts):
            knots.append(float(cuts[i]))
            along.append(i + 0.5)
    return np.array(knots), np.array(along)


def _groups(light: Floats) -> list[NDArray[np.int64]]:
    """Numbers of yarns of about one lightness, the darkest first."""
    order = np.argsort(light, kind="stable")
    groups: list[list[int]] = []
    for number in order.tolist():
        if groups and light[number] - light[groups[-1][0]] < _ONE_TONE:
            groups[-1].append(number)
        else:
            groups.append([number])
    return [np.array(group) for group in groups]


def _two_hues(lab: Floats) -> NDArray[np.bool_]:
    """(n,) which of two hues each colour has: means along where a* and b* spread the most."""
    hue = lab[:, 1:] - lab[:, 1:].mean(axis=0)
    if len(hue) < 2:
        return np.ones(len(hue), dtype=bool)
    along = hue @ np.linalg.eigh(np.cov(hue.T))[1][:, -1]
    return np.asarray(along > 0)
