"""What calming may not lose: the features that a chart shows before it is calmed.

A guard keeps the contrast between a feature's blocks and those around it: along the direction that
it has, at least a share of it. Contrast is the difference of the mean CIELAB of the yarns, which
can be kept up to date block by block; whether a feature is lost is judged afterwards by its own
definition, `design.features.is_lost`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pix2block.color.spaces import Bytes, Floats, to_lab
from pix2block.design.features import (
    STANDS_OUT,
    Feature,
    find_features,
    is_lost,
    kept_differences,
)
from pix2block.ground.frozen import dataclass

KEPT_SHARE, STRICT_SHARE = 0.7, 0.98
_MARGIN = 1.15  # over what would be lost


@dataclass(frozen=True, eq=False)
class Guard:
    """A feature, its contrast along `toward`, (3,) CIELAB, and the least share of it to keep."""

    feature: Feature
    toward: Floats
    contrast: float
    share: float

    @property
    def floor(self) -> float:
        """The least contrast."""
        return self.share * self.contrast


def guards_of(
    means: Bytes,
    yarns: Bytes,
    blocks: NDArray[np.int64],
    parts: Sequence[Feature] = (),
    share: float = KEPT_SHARE,
) -> tuple[Guard, ...]:
    """Guards for the features of a picture that its chart shows, and for parts of it.

    means: (height, width, 3); yarns: (yarns, 3); blocks: (height, width) yarn numbers.
    """
    lab = to_lab(yarns)[blocks]
    guards = []
    features = (*find_features(means), *parts)
    kept_of = kept_differences(features, yarns[blocks]).tolist()
    for feature, kept in zip(features, kept_of, strict=True):
        if is_lost(feature.difference, kept):
            continue
        contrast = lab[feature.mask].mean(axis=0) - lab[feature.ring].mean(axis=0)
        size = float(np.linalg.norm(contrast))
        if size > 0:
            near_lost = _MARGIN * min(STANDS_OUT, feature.difference / 2) / max(kept, 0.1)
            strict = min(STRICT_SHARE, max(share, near_lost))
            guards.append(Guard(feature, contrast / size, size, strict))
    return tuple(guards)


def lost_guards(
    guards: tuple[Guard, ...], yarns: Bytes, blocks: NDArray[np.int64]
) -> tuple[Guard, ...]:
    """Those whose feature a chart no longer shows, by the definition of a lost feature."""
    kept = kept_differences([guard.feature for guard in guards], yarns[blocks])
    return tuple(
        guard
        for guard, now in zip(guards, kept, strict=True)
        if is_lost(guard.feature.difference, now)
    )
