"""One hand for every sheet and page: paper, ink, an accent, three sizes of type."""

from __future__ import annotations

from functools import cache, lru_cache
from pathlib import Path

import numpy as np
from PIL import ImageFont

from pix2block.color.spaces import contrast, from_hex, from_lab, to_hex, to_lab

PAPER = "#fdfcf9"
INK = "#22252a"
NOW = "#0b6e6e"
WARN = "#a63d00"
# Named colours of web pages, by how they are shown. Accents are for lines and marks, their
# "-words" for text, 7 : 1; a line is 3 : 1, a rule only parts what space parts too; sheet is the
# ground of drawings, with an ink of its own: they stay as they are in the dark.
THEMES = {
    "light": {
        "paper": PAPER,
        "ink": INK,
        "line": "#8a8d92",
        "rule": "#d9d5cc",
        "now": NOW,
        "now-words": "#075656",
        "warn": WARN,
        "warn-words": "#8f3400",
        "sheet": PAPER,
        "sheet-ink": INK,
    },
    "dark": {
        "paper": INK,
        "ink": PAPER,
        "line": "#8a8d92",
        "rule": "#4a4f57",
        "now": "#58b8b4",
        "now-words": "#7fd0cf",
        "warn": "#e8884f",
        "warn-words": "#ffb48a",
        "sheet": PAPER,
        "sheet-ink": INK,
    },
    "print": {
        "paper": "#ffffff",
        "ink": "#000000",
        "line": "#777777",
        "rule": "#bbbbbb",
        "now": NOW,
        "now-words": "#075656",
        "warn": WARN,
        "warn-words": "#8f3400",
        "sheet": "#ffffff",
        "sheet-ink": INK,
    },
}
FONT_FAMILY = "Noto Sans"
TITLE, BODY, SMALL = 34.0, 18.0, 14.0  # of a sheet, in its units
HAIRLINE = 0.6  # around blocks, in the sheet's units
MARGIN = 24.0
LABEL_SPACE = 58.0  # around the blocks, for row numbers and their wedges

MARK_CONTRAST = 3.0  # of a mark against its yarn, WCAG 2.2 for graphics

FONTS = Path(__file__).parent / "fonts"
_FILES = {False: "NotoSans-Regular.ttf", True: "NotoSans-Bold.ttf"}


@cache
def ink_on(color: str) -> str:
    """Ink or paper, whichever contrasts more with a yarn's colour (WCAG 2.2)."""
    yarn = from_hex(color)
    return max((INK, PAPER), key=lambda mark: contrast(from_hex(mark), yarn))


@cache
def mark_on(color: str) -> str:
    """A yarn's own hue, moved in lightness until it can be told from the yarn: darker where that
    goes far enough, else lighter. So a mark keeps the light of its block."""
    yarn = from_hex(color)
    lightness, a, b = to_lab(np.array(yarn, dtype=np.uint8)).tolist()
    for way in (-1, 1):
        for moved in np.arange(lightness, 0 if way < 0 else 100, way):
            ends_at = 0 if way < 0 else 100
            faded = (moved - ends_at) / (lightness - ends_at)
            rgb = from_lab(np.array([moved, a * faded, b * faded]))
            if contrast(tuple(rgb.tolist()), yarn) >= MARK_CONTRAST:
                return to_hex(rgb)
    return ink_on(color)


@cache
def font(size: float, bold: bool) -> ImageFont.FreeTypeFont:
    """The shipped font; the basic layout engine, so that bytes do not depend on the machine."""
    path = str(FONTS / _FILES[bold])
    return ImageFont.truetype(path, size, layout_engine=ImageFont.Layout.BASIC)


def font_bytes(bold: bool) -> bytes:
    """The shipped font's file."""
    return (FONTS / _FILES[bold]).read_bytes()


@lru_cache(10_000)
def text_width(text: str, size: float, bold: bool = False) -> float:
    """Width of a text in the unit of its size."""
    return font(100, bold).getlength(text) * size / 100
