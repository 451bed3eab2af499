"""Faces in a picture, proposed by scikit-image's own cascade of local binary patterns.

It proposes, it does not know: on animals and landscapes it is mostly wrong. So a second witness is
heard: skin over the middle, and eyes as dark spots where they belong. What is believed is told and
drawn, so that a wrong find is seen.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.color.spaces import Floats, to_lab
from pix2block.picture.blocks import Frame, block_means, frame_picture
from pix2block.picture.picture import Picture

Box = tuple[float, float, float, float]
Hit = tuple[int, int, int, int]  # left, top, width, height in pixels

_SIDE = 320  # the picture's longer side, in pixels, when it is searched
_OVERLAPPING = 0.3  # of the smaller of two hits
_AGREEING = 5  # hits that overlap so make a find …
_SMALL, _LARGE = 0.15, 1 / 3  # … if so large a share of the shorter side; a single hit, so large
# The second witness, in shares of a box: left, right, top, bottom.
_PATCH = 40
_MIDDLE = (0.28, 0.72, 0.45, 0.72)
_BRIDGE = (0.45, 0.55, 0.36, 0.5)
_EYES = (
    ((0.2, 0.42, 0.3, 0.5), (0.22, 0.4, 0.52, 0.66)),
    ((0.58, 0.8, 0.3, 0.5), (0.6, 0.78, 0.52, 0.66)),
)
_SKIN_HUE, _SKIN_CHROMA, _SKIN_SHARE = (10.0, 85.0), (3.0, 55.0), 0.6
_DARKER = 0.25
_AROUND = 0.15  # the cascade's box holds eyes to mouth: as much is added on every side


def find_faces(picture: Picture) -> list[Box]:
    """Boxes (left, top, width, height) in per cent of the turned picture, larger ones first."""
    from skimage.color import rgb2gray
    from skimage.data import lbp_frontal_face_cascade_filename
    from skimage.feature import Cascade

    width, height = picture.size
    scale = min(1.0, _SIDE / max(width, height))
    wide, high = (max(1, round(side * scale)) for side in (width, height))
    grey = rgb2gray(block_means(picture, frame_picture(picture.size, wide, high)))
    shorter = min(wide, high)
    smallest = max(24, round(_SMALL * shorter))
    if smallest >= shorter:
        return []
    cascade = Cascade(lbp_frontal_face_cascade_filename())
    hits = cascade.detect_multi_scale(
        img=(grey * 255).round().astype(np.uint8),
        scale_factor=1.1,
        step_ratio=1,
        min_size=(smallest, smallest),
        max_size=(shorter, shorter),
        min_neighbor_number=1,
        intersection_score_threshold=1.0,  # which none passes: each hit comes by itself
    )
    boxes = [(hit["c"], hit["r"], hit["width"], hit["height"]) for hit in hits]
    large = round(_LARGE * shorter)
    found = [
        box
        for box, agreeing in grouped_hits(boxes)
        if box[2] >= (smallest if agreeing >= _AGREEING else large)
    ]
    return [_in_per_cent(box, (wide, high)) for box in _merged(found)]


def is_face(picture: Picture, box: Box) -> bool:
    """Whether what was found in a box (left, top, width, height in per cent) has skin over its
    middle and eyes in it.

    Skin, dark or pale, has a hue from red to yellow and a middling chroma; how light it is tells
    nothing. Eyes are darker than the cheek below each and than the bridge between them, by a share
    of the cheek's own lightness. The limits are our own, wide enough for the shades of the Monk
    skin tone scale (2022; from memory).
    """
    lab = _patch(picture, box)
    middle = _part(lab, _MIDDLE).reshape(-1, 3)
    hue = np.degrees(np.arctan2(middle[:, 2], middle[:, 1]))
    chroma = np.hypot(middle[:, 1], middle[:, 2])
    skin = (hue > _SKIN_HUE[0]) & (hue < _SKIN_HUE[1])
    skin &= (chroma > _SKIN_CHROMA[0]) & (chroma < _SKIN_CHROMA[1])
    if skin.mean() < _SKIN_SHARE:
        return False
    light = _smooth(lab[..., 0])
    bridge = float(np.median(_part(light, _BRIDGE)))
    for eye, cheek in _EYES:
        darkest, below = float(_part(light, eye).min()), float(np.median(_part(light, cheek)))
        if darkest > (1 - _DARKER) * min(below, bridge + _DARKER * below / 2):
            return False
    return True


def grouped_hits(hits: list[Hit]) -> list[tuple[Hit, int]]:
    """Hits that overlap, one after the other put to those that they overlap most, as the mean of
    each such group and how many are in it."""
    groups: list[list[Hit]] = []
    means: list[Hit] = []
    for hit in hits:
        overlaps = [_overlap(hit, mean) for mean in means]
        most = max(overlaps, default=0.0)
        if most <= _OVERLAPPING:
            groups.append([hit])
            means.append(hit)
            continue
        at = overlaps.index(most)
        groups[at].append(hit)
        x, y, w, h = (sum(sides) // len(groups[at]) for sides in zip(*groups[at], strict=True))
        means[at] = (x, y, w, h)
    return [(mean, len(group)) for mean, group in zip(means, groups, strict=True)]


def _overlap(one: Hit, other: Hit) -> float:
    """What two boxes share, of the smaller one."""
    (x, y, w, h), (a, b, c, d) = one, other
    across, down = min(x + w, a + c) - max(x, a), min(y + h, b + d) - max(y, b)
    return max(0, across) * max(0, down) / min(w * h, c * d)


def _patch(picture: Picture, box: Box) -> Floats:
    """CIELAB of a box, so many samples wide."""
    x, y, w, h = (side * picture.size[i % 2] / 100 for i, side in enumerate(box))
    side = w / _PATCH
    frame = Frame(x, y, side, _PATCH, max(1, int(h / side)))
    return to_lab(block_means(picture, frame))


def _part(field: NDArray[Any], part: tuple[float, float, float, float]) -> NDArray[Any]:
    height, width = field.shape[:2]
    left, right, top, bottom = part
    return field[int(top * height) : int(bottom * height), int(left * width) : int(right * width)]


def _smooth(light: Floats) -> Floats:
    from scipy.ndimage import uniform_filter

    return np.asarray(uniform_filter(light, 3))


def _merged(boxes: list[tuple[int, int, int, int]]) -> list[tuple[int, int, int, int]]:
    """The larger of any that overlap."""
    kept: list[tuple[int, int, int, int]] = []
    for x, y, w, h in sorted(set(boxes), key=lambda b: (-b[2] * b[3], b)):
        if all(x >= a + c or a >= x + w or y >= b + d or b >= y + h for a, b, c, d in kept):
            kept.append((x, y, w, h))
    return kept


def _in_per_cent(box: tuple[int, int, int, int], size: tuple[int, int]) -> Box:
    x, y, w, h = box
    left, right = (x - _AROUND * w, x + (1 + _AROUND) * w)
    top, bottom = (y - _AROUND * h, y + (1 + _AROUND) * h)
    left, right = (min(max(edge * 100 / size[0], 0.0), 100.0) for edge in (left, right))
    top, bottom = (min(max(edge * 100 / size[1], 0.0), 100.0) for edge in (top, bottom))
    return left, top, right - left, bottom - top
