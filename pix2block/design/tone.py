"""Tone: a shelf rarely spans a picture's light and dark.

Fitting maps the picture's lightness (2nd to 98th percentile of L*) onto what the yarns span, and
its chroma a little towards theirs, both rising, before yarns are matched. What it keeps of the
picture's light and dark is measured by the structural similarity of L* (Wang et al. 2004).
"""

from __future__ import annotations

import numpy as np

from pix2block.color.spaces import Bytes, Floats, from_lab, to_lab

_LOW, _HIGH = 2.0, 98.0
_GENTLE = (0.8, 1.25)  # chroma is stretched no more than this
BETTER_BY = 0.1  # of structural similarity, for fitting to be chosen by itself
_WINDOW = 7


def fit_tone(colors: Bytes, yarns: Bytes) -> Bytes:
    """(height, width, 3) block colours with lightness and chroma fitted to (k, 3) yarns."""
    lab = to_lab(colors)
    yarn_lab = to_lab(yarns)
    low, high = np.percentile(lab[..., 0], (_LOW, _HIGH))
    floor, ceiling = float(yarn_lab[:, 0].min()), float(yarn_lab[:, 0].max())
    if high - low < 1 or ceiling - floor < 1:
        return colors
    fitted = lab.copy()
    fitted[..., 0] = floor + (lab[..., 0] - low) * (ceiling - floor) / (high - low)
    fitted[..., 0] = np.clip(fitted[..., 0], 0, 100)
    own, theirs = (_strong_chroma(values) for values in (lab.reshape(-1, 3), yarn_lab))
    fitted[..., 1:] *= np.clip(theirs / own, *_GENTLE) if own > 0 else 1.0
    return from_lab(fitted)


def _strong_chroma(lab: Floats) -> float:
    return float(np.percentile(np.hypot(lab[:, 1], lab[:, 2]), 95))


def _stretched(light: Floats) -> Floats:
    low, high = np.percentile(light, (_LOW, _HIGH))
    return np.asarray(np.clip((light - low) / max(high - low, 1.0), 0, 1) * 100)


def structure_kept(picture: Bytes, chart: Bytes) -> float:
    """Structural similarity of L* of two (height, width, 3) colour fields, -1 to 1, by
    scikit-image, each stretched from its own 2nd and 98th percentile to 0 and 100, so that it is
    the pattern of light and dark that counts; 1 where they are too small for its windows."""
    from skimage.metrics import structural_similarity

    window = min(_WINDOW, *picture.shape[:2])
    window -= 1 - window % 2
    if window < 3:
        return 1.0
    light = [_stretched(to_lab(field)[..., 0]) for field in (picture, chart)]
    return float(structural_similarity(*light, win_size=window, data_range=100.0))
