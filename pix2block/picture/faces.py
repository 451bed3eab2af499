"""Faces in a picture, proposed by scikit-image's own cascade of local binary patterns.

It proposes, it does not know: what it finds is printed and drawn, so that a wrong find is seen.
"""

from __future__ import annotations

import numpy as np

from pix2block.picture.blocks import block_means, frame_picture
from pix2block.picture.picture import Picture

Box = tuple[float, float, float, float]

_SIDE = 320  # the picture's longer side, in pixels, when it is searched
_AGREEING = 5  # hits that overlap make a find …
_SMALL, _LARGE = 0.15, 1 / 3  # … if so large a share of the shorter side; a single hit, so large
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
    found: list[tuple[int, int, int, int]] = []
    for least, smallest_side in ((_AGREEING, smallest), (1, round(_LARGE * shorter))):
        hits = cascade.detect_multi_scale(
            img=(grey * 255).round().astype(np.uint8),
            scale_factor=1.1,
            step_ratio=1,
            min_size=(smallest, smallest),
            max_size=(shorter, shorter),
            min_neighbor_number=least,
            intersection_score_threshold=0.3,
        )
        found += [
            (hit["c"], hit["r"], hit["width"], hit["height"])
            for hit in hits
            if hit["width"] >= smallest_side
        ]
    return [_in_per_cent(box, (wide, high)) for box in _merged(found)]


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
