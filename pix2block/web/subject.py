"""What a picture is of, in blocks, as the worktable outlines it, and a mask of what was brushed."""

from __future__ import annotations

import base64
import binascii
import io
import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.design.subject import SubjectMap
from pix2block.design.view import View
from pix2block.ground.errors import BadInput
from pix2block.picture.blocks import Frame
from pix2block.recipes.backdrop import subject_blocks
from pix2block.recipes.subject_map import subject_of
from pix2block.web.session import Session
from pix2block.web.wanted import bring

MASK = "subject.png"
_PIXELS_A_BLOCK = 6  # of a mask
_MOVE_BLOCKS = ("rotate", "cut", "extend", "repeat")  # mends

Inside = NDArray[np.bool_]


def subject_json(session: Session) -> dict[str, Any]:
    """The blocks of the subject, a byte each from the top left, in base64; told: whether the maker
    said what it is; clear: whether there is an outline worth showing.

    Raises BadInput where the picture is not at hand, or the piece has another shape since.
    """
    state = session.state
    view = view_of(session)
    options = state.wanted.options(session.folder)
    subject = subject_of(view, options)
    if subject is None:
        subject = SubjectMap(np.zeros(state.study.chart.blocks.shape), 0.0)
    clear = subject.told or subject.is_clear
    inside = np.zeros(subject.share.shape, dtype=bool)
    if clear:
        inside = subject_blocks(view, subject, options)
    return {"blocks": _text(inside), "told": subject.told, "clear": clear}


def bring_subject(session: Session, text: str) -> str:
    """Keep brushed blocks, a byte each in base64, as a mask of the picture's proportion; its name,
    as the option takes it.

    Raises BadInput where they do not fit, or are none or all.
    """
    view = view_of(session)
    frame = view.frame
    try:
        data = base64.b64decode(text, validate=True)
    except (ValueError, binascii.Error):
        raise BadInput("the blocks of the subject are no base64") from None
    if len(data) != frame.width * frame.height:
        raise BadInput("the subject has another shape than the picture: open it again")
    inside = np.frombuffer(data, dtype=np.uint8).reshape(frame.height, frame.width) > 0
    if not inside.any() or inside.all():
        raise BadInput("this leaves nothing before a backdrop, or nothing behind: brush otherwise")
    return bring(session.folder, MASK, mask_png(view.picture.size, frame, inside))


def view_of(session: Session) -> View:
    """The picture in the piece's blocks. Raises BadInput where it is not at hand, or the piece
    lies otherwise since."""
    state = session.state
    height, width = state.study.chart.blocks.shape
    view = session.again.view(state.wanted, width, height)
    moved = not lies_as_pictured(state.study.chart)
    if moved or (view.frame.height, view.frame.width) != (height, width):
        raise BadInput("the piece lies otherwise than its picture now: take that back first")
    return view


def lies_as_pictured(chart: Chart) -> bool:
    """Whether no mend has moved blocks to where the picture has others."""
    mends = [line.mend for line in chart.mends]
    return mends.count("mirror") % 2 == 0 and not any(one in _MOVE_BLOCKS for one in mends)


def mask_png(size: tuple[int, int], frame: Frame, inside: Inside) -> bytes:
    """A PNG of a picture's proportion, white where these blocks of it are. size: of the picture in
    pixels, width and height; inside: (height, width) of the frame."""
    from PIL import Image

    scale = max(_PIXELS_A_BLOCK / frame.block, 1 / min(size))
    across, down = (max(1, math.ceil(side * scale)) for side in size)
    scale = across / size[0]  # as the mask will be read
    columns = np.floor(((np.arange(across) + 0.5) / scale - frame.left) / frame.block)
    lines = np.floor(((np.arange(down) + 0.5) / scale - frame.top) / frame.block)
    known_column = (columns >= 0) & (columns < frame.width)
    known_line = (lines >= 0) & (lines < frame.height)
    at = np.ix_(
        np.clip(lines, 0, frame.height - 1).astype(np.int64),
        np.clip(columns, 0, frame.width - 1).astype(np.int64),
    )
    white = inside[at] & known_line[:, None] & known_column[None, :]
    out = io.BytesIO()
    Image.fromarray(white.astype(np.uint8) * 255).save(out, "PNG", optimize=True)
    return out.getvalue()


def _text(inside: Inside) -> str:
    return base64.b64encode(inside.astype(np.uint8).tobytes()).decode("ascii")
