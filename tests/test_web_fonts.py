"""The parts of the font that web pages hold."""

from __future__ import annotations

import io
from functools import cache

import pytest
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from make_web_fonts import font_name, made, made_for_paper, subset_of

from pix2block.drawing.style import FONTS
from pix2block.drawing.web_fonts import (
    LATIN_FONTS,
    PARTS,
    WEB_FONTS,
    WEIGHTS,
    font_faces,
    web_font_name,
)

EVERY = [(part, weight) for part in PARTS for weight in WEIGHTS]


@cache
def whole_font(weight: int) -> TTFont:
    return TTFont(FONTS / font_name(weight))


def outlines(font: TTFont, codes: list[int]) -> dict[int, list[object]]:
    """How wide each character is, and how it is drawn."""
    glyphs, names = font.getGlyphSet(), font.getBestCmap()
    found = {}
    for code in codes:
        pen = DecomposingRecordingPen(glyphs)
        glyphs[names[code]].draw(pen)
        found[code] = [glyphs[names[code]].width, *pen.value]
    return found


def glyphs_by_code(font: TTFont) -> tuple[int, dict[int, int]]:
    """How many glyphs there are, and the number of each character's."""
    by_code = {code: font.getGlyphID(name) for code, name in font.getBestCmap().items()}
    return len(font.getGlyphOrder()), by_code


@pytest.mark.parametrize(("part", "weight"), EVERY)
def test_a_part_draws_its_characters_as_the_whole_font_does(part: str, weight: int) -> None:
    whole = whole_font(weight)
    shipped = TTFont(WEB_FONTS / web_font_name(part, weight))
    wanted = {code for a, b in PARTS[part] for code in range(a, b + 1)} & set(whole.getBestCmap())
    assert set(shipped.getBestCmap()) == wanted
    some = sorted(wanted)[::7]
    assert outlines(shipped, some) == outlines(whole, some)
    assert "SIL Open Font License" in str(shipped["name"].getDebugName(13))
    again = subset_of(part, weight, without=("GDEF", "GPOS", "GSUB"))
    assert glyphs_by_code(again) == glyphs_by_code(shipped)


def test_a_part_is_made_anew_as_it_is_shipped() -> None:
    shipped = TTFont(WEB_FONTS / web_font_name("greek", 400))
    again = TTFont(io.BytesIO(made("greek", 400)))
    assert again.keys() == shipped.keys()
    assert again.getGlyphOrder() == shipped.getGlyphOrder()


@pytest.mark.parametrize("weight", WEIGHTS)
def test_latin_for_paper_is_drawn_and_shaped_as_the_whole_font(weight: int) -> None:
    whole, part = whole_font(weight), TTFont(LATIN_FONTS / font_name(weight))
    wanted = {code for a, b in PARTS["latin"] for code in range(a, b + 1)}
    assert set(part.getBestCmap()) == wanted & set(whole.getBestCmap())
    every = sorted(part.getBestCmap())
    assert outlines(part, every) == outlines(whole, every)
    tags = [record.FeatureTag for record in part["GSUB"].table.FeatureList.FeatureRecord]
    assert {"tnum", "liga"} & set(tags)
    assert made_for_paper(weight) == (LATIN_FONTS / font_name(weight)).read_bytes()


def test_parts_share_no_character() -> None:
    codes = [code for spans in PARTS.values() for a, b in spans for code in range(a, b + 1)]
    assert len(codes) == len(set(codes))


def test_a_page_holds_the_parts_that_it_needs() -> None:
    assert font_faces("Tea, ×2 – ½").count("@font-face") == 2
    assert font_faces("Żółty").count("@font-face") == 4
    assert font_faces("Мох και").count("@font-face") == 6
    assert "U+400-52F" in font_faces("Мох")
