"""Makes the parts of the shipped font that web pages hold, and the one for paper.

PYTHONPATH=tests python tests/make_web_fonts.py
"""

from __future__ import annotations

import io

from fontTools import subset
from fontTools.ttLib import TTFont

from pix2block.drawing.style import FONTS
from pix2block.drawing.web_fonts import LATIN_FONTS, PARTS, WEB_FONTS, WEIGHTS, web_font_name

_NAMES = [0, 1, 2, 13, 14]  # copyright, family, style, licence and its address


def made(part: str, weight: int) -> bytes:
    """A part as WOFF2, without hints, with kerning."""
    return _saved(subset_of(part, weight), "woff2")


def made_for_paper(weight: int) -> bytes:
    """Latin as the whole font has it, with all that shapes it."""
    options = subset.Options()
    options.layout_features = ["*"]
    options.name_IDs = ["*"]
    return _saved(_subset("latin", weight, options), None)


def subset_of(part: str, weight: int, without: tuple[str, ...] = ()) -> TTFont:
    """A part of the font without hints, with kerning; some tables may be left out before, which
    take most of the time."""
    options = subset.Options()
    options.hinting = False
    options.layout_features = ["kern"]
    options.name_IDs = _NAMES
    return _subset(part, weight, options, without)


def _subset(
    part: str, weight: int, options: subset.Options, without: tuple[str, ...] = ()
) -> TTFont:
    font = TTFont(FONTS / font_name(weight), recalcTimestamp=False)
    for table in without:
        del font[table]
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=[c for a, b in PARTS[part] for c in range(a, b + 1)])
    subsetter.subset(font)
    return font


def _saved(font: TTFont, flavor: str | None) -> bytes:
    font.flavor = flavor
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()


def font_name(weight: int) -> str:
    """The name of the whole font's file."""
    return f"NotoSans-{WEIGHTS[weight].capitalize()}.ttf"


if __name__ == "__main__":
    LATIN_FONTS.mkdir(exist_ok=True)
    for weight in WEIGHTS:
        (LATIN_FONTS / font_name(weight)).write_bytes(made_for_paper(weight))
    WEB_FONTS.mkdir(exist_ok=True)
    for part in PARTS:
        for weight in WEIGHTS:
            (WEB_FONTS / web_font_name(part, weight)).write_bytes(made(part, weight))
