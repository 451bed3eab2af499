"""Makes the parts of the shipped font that web pages hold.

PYTHONPATH=tests python tests/make_web_fonts.py
"""

from __future__ import annotations

import io

from fontTools import subset
from fontTools.ttLib import TTFont

from pix2block.drawing.style import FONTS
from pix2block.drawing.web_fonts import PARTS, WEB_FONTS, WEIGHTS, web_font_name

_NAMES = [0, 1, 2, 13, 14]  # copyright, family, style, licence and its address


def made(part: str, weight: int) -> bytes:
    """A part as WOFF2, without hints, with kerning."""
    font = TTFont(FONTS / f"NotoSans-{WEIGHTS[weight].capitalize()}.ttf", recalcTimestamp=False)
    options = subset.Options()
    options.hinting = False
    options.layout_features = ["kern"]
    options.name_IDs = _NAMES
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=[c for a, b in PARTS[part] for c in range(a, b + 1)])
    subsetter.subset(font)
    font.flavor = "woff2"
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()


if __name__ == "__main__":
    WEB_FONTS.mkdir(exist_ok=True)
    for part in PARTS:
        for weight in WEIGHTS:
            (WEB_FONTS / web_font_name(part, weight)).write_bytes(made(part, weight))
