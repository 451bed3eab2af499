"""Drawings as PNG: our own SVG, set by typst; and pictures of pixels, packed by Pillow."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import numpy as np
from PIL import Image

from pix2block.color.spaces import Bytes
from pix2block.drawing.marks import BLANK
from pix2block.drawing.shapes import Blocks, Drawing, Item
from pix2block.drawing.style import PAPER
from pix2block.drawing.svg import LOOK, elements
from pix2block.drawing.symbols import Symbols
from pix2block.drawing.typesetter import typeset

MOST_PIXELS = 25_000_000
LONGEST = 8000  # pixels of a chart's longer side
SMALLEST_MARKED_BLOCK = 9  # pixels; a mark in a smaller block is only a smudge
_COLORS = 256  # of a palette
_LEVEL = 6  # of packing; the most, 9, takes a quarter longer to save one byte in 130
_LINES_AT_ONCE = 64  # so few stay in the processor's cache
# typst draws a picture's width at the next whole number of pixels, then its height in proportion,
# and by the rounding of single precision stretches what is a whole number already by one more.
_HAIR = 0.01
_PAGE = """
#set page(
  width: float(sys.inputs.wide) * 1pt,
  height: float(sys.inputs.high) * 1pt,
  margin: 0pt,
  fill: rgb(sys.inputs.paper),
)
#image(bytes(sys.inputs.svg), format: "svg", width: 100%, height: 100%, fit: "stretch")
"""


def png(drawing: Drawing, scale: float) -> bytes:
    """The drawing as PNG bytes, of at most 25 megapixels. scale: pixels a unit, less where the
    drawing would have more of them.

    What lies at whole pixels of the drawing lies in the middle of pixels: thin lines are sharp.
    """
    scale = min(scale, (MOST_PIXELS / (drawing.width * drawing.height)) ** 0.5)
    wide, high = (max(1, int(side * scale + 1e-6)) for side in (drawing.width, drawing.height))
    told_wide, told_high = wide - _HAIR, high * (1 - _HAIR / wide) - _HAIR
    symbols = Symbols()
    parts = elements(replace(drawing, items=_readable(drawing, scale)), symbols)
    drawn = "".join([*symbols.defined(), *parts])
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" '
        f'width="{told_wide}" height="{told_high}" preserveAspectRatio="none">'
        f'<g transform="translate(0.5 0.5) scale({scale:.12g})" {LOOK}>{drawn}</g></svg>'
    )
    size = {"wide": str(told_wide), "high": str(told_high)}
    return typeset(_PAGE, {"svg": text, "paper": PAPER, **size}, "png")[0]


def _readable(drawing: Drawing, scale: float) -> tuple[Item, ...]:
    """What is drawn, without marks that are too small."""
    return tuple(
        replace(item, mark=BLANK)
        if isinstance(item, Blocks) and item.side * scale < SMALLEST_MARKED_BLOCK
        else item
        for item in drawing.items
    )


def packed(image: Image.Image) -> bytes:
    """A picture in RGB as the bytes of a small PNG file, without loss: with a palette where it
    has few colours."""
    out = io.BytesIO()
    counted: Any = image.getcolors(_COLORS)
    if counted:
        palette = np.array(sorted(color for _, color in counted), dtype=np.uint8)
        _with_palette(image, palette).save(out, "PNG", compress_level=_LEVEL)
    else:
        image.save(out, "PNG", compress_level=_LEVEL)
    return out.getvalue()


def _with_palette(image: Image.Image, palette: Bytes) -> Image.Image:
    """The same picture, each pixel the number of its colour. palette: (colours, 3), all it has."""
    number = np.zeros(1 << 24, dtype=np.uint8)
    number[palette @ np.array([1, 1 << 8, 1 << 16], dtype=np.uint32)] = np.arange(len(palette))
    coded = np.empty((image.height, image.width), dtype=np.uint8)
    for top in range(0, image.height, _LINES_AT_ONCE):
        lines = image.crop((0, top, image.width, min(top + _LINES_AT_ONCE, image.height)))
        # Red, green, blue and 255 are a number of four bytes, the lowest first.
        pixels = np.frombuffer(lines.convert("RGBX").tobytes(), dtype="<u4") & 0xFFFFFF
        coded[top : top + _LINES_AT_ONCE] = number[pixels].reshape(-1, image.width)
    drawn = Image.fromarray(coded)
    drawn.putpalette(palette.tobytes())
    return drawn
