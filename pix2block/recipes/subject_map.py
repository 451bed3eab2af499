"""What a picture is of: found, or said by the maker; and how it is told."""

from __future__ import annotations

import math
from collections import Counter

import numpy as np

from pix2block.color.names import nearest_names
from pix2block.color.spaces import Floats
from pix2block.design.features import Feature, place_words
from pix2block.design.subject import SubjectMap, cover
from pix2block.design.view import View
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput
from pix2block.options.picture_rules import NO_SUBJECT
from pix2block.options.table import Options
from pix2block.picture.blocks import Frame, block_light
from pix2block.picture.picture import open_picture

_MOST_LOOKED_UP = 10_000  # blocks; of more a part that is spread evenly tells as well
_NAMED, _MOST_NAMED = 0.2, 2  # a share of the subject whose colour is named, and how many are


def subject_of(view: View, options: Options) -> SubjectMap | None:
    """What a photo is of; None where every block is to count alike, and for what is no photo unless
    the maker says it.

    Raises BadInput for a mask of another proportion than the picture, or no picture.
    """
    asked = options.subject
    if asked == NO_SUBJECT or view.look == "blocks" or (asked is None and view.look != "photo"):
        return None
    if asked is None:
        return view.subject
    if isinstance(asked, str):
        return SubjectMap(_share_of_mask(view, asked), told=True)
    if len(asked) == 4:
        x, y, w, h = asked
        asked = (x, y, x + w, y, x + w, y + h, x, y + h)
    return SubjectMap(cover(asked, view.picture.size, view.frame), told=True)


def subject_note(subject: SubjectMap | None) -> str:
    """What a maker should know of a subject that she said: that it lies outside."""
    if subject is None or not subject.told or subject.share.any():
        return ""
    return Advice(
        "the subject lies outside the part of the picture that is charted: every block counts "
        "alike; use ",
        Ask("subject", "X,Y,W,H"),
        " inside it.",
    )


def subject_words(view: View, subject: SubjectMap | None) -> str:
    """What was found, in colours and places, so that a wrong find is seen; "" where the maker said
    it."""
    if subject is None or subject.told:
        return ""
    if not subject.is_clear:
        return Advice(
            "Nothing in the picture stands out as what it is of, so every block counts alike (",
            Ask("subject", "X,Y,W,H"),
            " says what counts more).",
        )
    inside = subject.inside
    colors = view.means[inside]
    named = colors[:: math.ceil(len(colors) / _MOST_LOOKED_UP)]
    names = Counter(nearest_names(named))
    most = [
        name.lower()
        for name, count in names.most_common(_MOST_NAMED)
        if count >= _NAMED * len(named)
    ]
    what = " and ".join(most) or names.most_common(1)[0][0].lower()
    return Advice(
        f"What the picture is of, as it was found: {what} "
        f"{place_words(Feature(inside, '', 0.0), inside.shape)}, {100 * inside.mean():.0f} % of "
        "the blocks, outlined in subject.png; they count for more (",
        Ask("subject", _box_around(view, inside)),
        " or a polygon says it otherwise, ",
        Ask("subject", NO_SUBJECT),
        " counts every block alike).",
    )


def _box_around(view: View, inside: np.ndarray) -> str:
    """Left, top, width, height in whole per cent of the picture."""
    frame, (across, down) = view.frame, view.picture.size
    lines, columns = np.flatnonzero(inside.any(axis=1)), np.flatnonzero(inside.any(axis=0))
    left, right = (frame.left + frame.block * at for at in (columns[0], columns[-1] + 1))
    top, bottom = (frame.top + frame.block * at for at in (lines[0], lines[-1] + 1))
    x, y = round(100 * left / across), round(100 * top / down)
    w, h = round(100 * right / across) - x, round(100 * bottom / down) - y
    return ",".join(map(str, (x, y, min(w, 100 - x), min(h, 100 - y))))


def _share_of_mask(view: View, path: str) -> Floats:
    mask = open_picture(path, "#000000")
    scale = mask.size[0] / view.picture.size[0]
    if abs(mask.size[1] - scale * view.picture.size[1]) > max(1.0, 0.01 * mask.size[1]):
        raise BadInput(
            f"mask {path} is {mask.size[0]} x {mask.size[1]} pixels, the picture "
            f"{view.picture.size[0]} x {view.picture.size[1]}: give it the picture's proportion"
        )
    frame = view.frame
    block = min(frame.block * scale, mask.size[0] / frame.width, mask.size[1] / frame.height)
    on_mask = Frame(frame.left * scale, frame.top * scale, block, frame.width, frame.height)
    return np.asarray(block_light(mask, on_mask).mean(axis=2))
