"""Which characters the shipped font has."""

from __future__ import annotations

import string

from hypothesis import given
from hypothesis import strategies as st

from pix2block.drawing.glyphs import characters, missing
from pix2block.drawing.style import font

GREEK = "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩαβγδεζηθικλμνξοπρσςτυφχψωάέήίόύώ"
CYRILLIC = "АБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯабвгдежзийклмнопрстуфхцчшщъыьэюяіїєґў"
LATIN = "ÀÉÎÕÜßçğıłńøőřšťůýžÆœÞð" + string.printable


def test_latin_greek_and_cyrillic_are_there() -> None:
    assert missing(GREEK + CYRILLIC + LATIN) == ""


def test_others_are_named_once_in_order() -> None:
    assert missing("灯 Moss 灯 م 漢") == "灯م漢"
    assert missing("") == ""


@given(st.characters(min_codepoint=33, max_codepoint=0xFFFD, exclude_categories=["Cs"]))
def test_it_agrees_with_the_font_renderer(character: str) -> None:
    """FreeType draws the same box for every character that a font lacks; a character that has a
    glyph never looks like it."""
    box = bytes(font(40, False).getmask("\U0010fffd"))
    assert box
    if ord(character) not in characters():
        drawn = bytes(font(40, False).getmask(character))
        assert drawn == box
