"""The whole picture about a piece that shows a part of it, for a frame on the piece."""

from __future__ import annotations

import numpy as np

from pix2block.color.spaces import Bytes, encode_bytes
from pix2block.design.view import WHOLE, View
from pix2block.picture.blocks import Frame, block_light

_PIXELS = 480  # of the longer side

Box = tuple[float, float, float, float]


def crop_json(view: View, keeps: bool) -> dict[str, Box | bool]:
    """Left, top, right and bottom in blocks of the piece, of the whole picture and of what
    `whole_picture` shows of it; the part that is charted, as the option has it; keeps: whether both
    sides are asked, so that the piece keeps its shape whatever part is charted."""
    width, height = view.picture.size
    return {
        "picture": _in_blocks(view, (0, 0, width, height)),
        "seen": _in_blocks(view, _frame(view).box),
        "crop": view.viewing.crop or WHOLE,
        "keeps": keeps,
    }


def whole_picture(view: View) -> Bytes:
    """(h, w, 3) 8-bit sRGB: the whole picture, small."""
    return encode_bytes(block_light(view.picture, _frame(view), kind=np.float32))


def _frame(view: View) -> Frame:
    width, height = view.picture.size
    pixel = max(1.0, max(width, height) / _PIXELS)
    return Frame(0, 0, pixel, max(1, int(width / pixel)), max(1, int(height / pixel)))


def _in_blocks(view: View, box: Box) -> Box:
    frame = view.frame
    left, top, right, bottom = box
    across, down = (
        [(side - first) / frame.block for side in sides]
        for sides, first in (((left, right), frame.left), ((top, bottom), frame.top))
    )
    return across[0], down[0], across[1], down[1]
