"""One hand for every sheet and page: paper, ink, an accent, three sizes of type."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from PIL import ImageFont

from pix2block.color.spaces import contrast, from_hex

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

FONTS = Path(__file__).parent / "fonts"
_FILES = {False: "NotoSans-Regular.ttf", True: "NotoSans-Bold.ttf"}


@cache
def ink_on(color: str) -> str:
    """Ink or paper, whichever contrasts more with a yarn's colour (WCAG 2.2)."""
    yarn = from_hex(color)
    return max((INK, PAPER), key=lambda mark: contrast(from_hex(mark), yarn))


@cache
def font(size: float, bold: bool) -> ImageFont.FreeTypeFont:
    """The shipped font; the basic layout engine, so that bytes do not depend on the machine."""
    path = str(FONTS / _FILES[bold])
    return ImageFont.truetype(path, size, layout_engine=ImageFont.Layout.BASIC)


def font_bytes(bold: bool) -> bytes:
    """The shipped font's file."""
    return (FONTS / _FILES[bold]).read_bytes()


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Width of a text in the unit of its size."""
    return font(100, bold).getlength(text) * size / 100
