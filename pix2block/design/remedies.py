"""What brings a lost feature back: one more yarn, really tried."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import difference_table
from pix2block.color.spaces import (
    Bytes,
    decoding_table,
    encode_bytes,
    from_hex,
    from_lab,
    to_hex,
    to_lab,
)
from pix2block.design.areas import Area
from pix2block.design.features import STANDS_OUT, Feature, kept_differences
from pix2block.design.hues import Faded, faded_in
from pix2block.design.palette import nearest_yarns
from pix2block.design.refine import stand_ins
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import say_count

_TRIED = 24  # colours of a feature's own


@dataclass(frozen=True, eq=False)
class Remedy:
    """One more yarn that brings a feature back. added: its "#rrggbb"; count: blocks that take it;
    yarn_rgb: (k, 3) the yarns then, it last; blocks: (height, width) each block's; difference: of
    the feature then, CIEDE2000."""

    added: str
    count: int
    yarn_rgb: Bytes
    blocks: NDArray[np.int64]
    difference: float

    def __repr__(self) -> str:
        return f"Remedy({self.added or 'yarns chosen anew'}, {self.count} blocks)"

    def __post_init__(self) -> None:
        self.yarn_rgb.setflags(write=False)
        self.blocks.setflags(write=False)


def one_more_yarn(
    feature: Feature, means: Bytes, yarn_rgb: Bytes, shelf_rgb: Bytes | None = None
) -> Remedy | None:
    """The yarn that brings a lost feature back, parts an area from what has its yarn, or gives a
    part its colour; None where none of those tried does.

    Without a shelf the feature's own mean colour, or else that of its own colours which is truest
    to it; with a shelf the yarn left out that is truest to it. means: (height, width, 3) block
    means; yarn_rgb: (k, 3) yarns of the chart; shelf_rgb: (s, 3) yarns left out.
    """
    if isinstance(feature, Area):
        return _parting(feature, means, yarn_rgb, shelf_rgb)
    if isinstance(feature, Faded):
        return _colored(feature, means, yarn_rgb, shelf_rgb)
    if shelf_rgb is not None:
        added = _truest(feature, means, yarn_rgb, shelf_rgb)
    else:
        own = np.array([from_hex(feature.color)], dtype=np.uint8)
        added = _truest(feature, means, yarn_rgb, own)
        if added is None:
            added = _truest(feature, means, yarn_rgb, _own_colors(feature, means))
    if added is None:
        return None
    return _with_one_more(feature, means, yarn_rgb, added)


def _with_one_more(
    feature: Feature, means: Bytes, yarn_rgb: Bytes, added: NDArray[np.uint8]
) -> Remedy:
    more = np.concatenate([yarn_rgb, added[None]])
    blocks = nearest_yarns(means, more)
    difference = float(kept_differences([feature], more[blocks])[0])
    count = int((blocks == len(yarn_rgb)).sum())
    return Remedy(to_hex(added), count, more, blocks, difference)


def _colored(part: Faded, means: Bytes, yarn_rgb: Bytes, shelf_rgb: Bytes | None) -> Remedy | None:
    """One more yarn by which a part keeps its colour: the part's own, or of a shelf the truest."""
    own = np.array([from_hex(part.color)], dtype=np.uint8)
    candidates = own if shelf_rgb is None else shelf_rgb
    if not len(candidates):
        return None
    error = difference_table(own, candidates)[0]
    for i in np.argsort(error, kind="stable")[:_TRIED].tolist():
        remedy = _with_one_more(part, means, yarn_rgb, candidates[i])
        faded = faded_in(means, remedy.yarn_rgb[remedy.blocks])
        if not any((part.mask & one.mask).any() for one in faded):
            return remedy
    return None


def _parting(area: Area, means: Bytes, yarn_rgb: Bytes, shelf_rgb: Bytes | None) -> Remedy | None:
    """One more yarn that most of an area takes, and what is beside it does not: of the area's own
    colours or those of what is beside it, or of a shelf, the truest to the area first."""
    if shelf_rgb is None:
        own = [from_hex(area.color)]
        candidates = np.concatenate([np.array(own, dtype=np.uint8), _own_colors(area, means)])
    else:
        candidates = shelf_rgb
    if not len(candidates):
        return None
    error = difference_table(means[area.mask], candidates).mean(axis=0)
    for i in np.argsort(error, kind="stable")[:_TRIED].tolist():
        remedy = _with_one_more(area, means, yarn_rgb, candidates[i])
        if area.parted(remedy.blocks):
            return remedy
    return None


def _truest(
    feature: Feature, means: Bytes, yarn_rgb: Bytes, candidates: Bytes
) -> NDArray[np.uint8] | None:
    """Of the candidates that bring a feature back, the one of least CIEDE2000 over its blocks."""
    if not len(candidates):
        return None
    here = np.concatenate([means[feature.mask], means[feature.ring]])
    own = np.arange(len(here)) < feature.blocks
    now = difference_table(here, yarn_rgb)
    light = decoding_table()[yarn_rgb[now.argmin(axis=1)]]
    error = difference_table(here, candidates)
    takes = error < now.min(axis=1)[:, None]  # ties stay with the yarn that is there
    left = np.minimum(error, now.min(axis=1)[:, None])[own].mean(axis=0)
    for i in np.argsort(left, kind="stable"):
        after = np.where(takes[:, i, None], decoding_table()[candidates[i]], light)
        sides = encode_bytes(np.stack([after[own].mean(axis=0), after[~own].mean(axis=0)]))
        if difference_table(sides[:1], sides[1:])[0, 0] > STANDS_OUT:
            return np.asarray(candidates[i])
    return None


def _own_colors(feature: Feature, means: Bytes) -> Bytes:
    lab = to_lab(means[feature.mask])
    return np.unique(from_lab(stand_ins(lab, np.ones(len(lab)), _TRIED).lab), axis=0)


_ORDINALS = (
    *("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"),
    *("tenth", "eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth", "sixteenth"),
    *("seventeenth", "eighteenth", "nineteenth", "twentieth"),
)


def ordinal(number: int) -> str:
    """ "first" to "twentieth", then "21st"."""
    if number <= len(_ORDINALS):
        return _ORDINALS[number - 1]
    teens = 11 <= number % 100 <= 13
    return f"{number}{'th' if teens else {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th')}"


def more_yarn_words(remedy: Remedy, name: str | None = None) -> str:
    """ "a ninth yarn, #c03028: 41 blocks"; name: of the yarn, in place of its colour."""
    which = ordinal(len(remedy.yarn_rgb))
    article = "an" if which[0] in "e8" else "a"
    count = say_count(remedy.count, "block")
    return f"{article} {which} yarn, {name or remedy.added}: {count}"
