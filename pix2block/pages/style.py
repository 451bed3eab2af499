"""One hand for every sheet: paper, ink, an accent, three sizes of type."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from PIL import ImageFont

from pix2block.color.spaces import contrast, from_hex

PAPER = "#fdfcf9"
INK = "#22252a"
NOW = "#0b6e6e"
FONT_FAMILY = "Noto Sans"
TITLE, BODY, SMALL = 34.0, 18.0, 14.0  # of a sheet, in its units
MARGIN = 24.0
LABEL_SPACE = 58.0  # around the blocks, for row numbers and their wedges

_FONTS = Path(__file__).parent / "fonts"


@cache
def ink_on(color: str) -> str:
    """Ink or paper, whichever contrasts more with a yarn's colour (WCAG 2.2)."""
    yarn = from_hex(color)
    return max((INK, PAPER), key=lambda mark: contrast(from_hex(mark), yarn))


@cache
def font(size: float, bold: bool) -> ImageFont.FreeTypeFont:
    """The shipped font; the basic layout engine, so that bytes do not depend on the machine."""
    name = "NotoSans-Bold.ttf" if bold else "NotoSans-Regular.ttf"
    return ImageFont.truetype(str(_FONTS / name), size, layout_engine=ImageFont.Layout.BASIC)


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Width of a text in the unit of its size."""
    return font(100, bold).getlength(text) * size / 100
