"""The shipped font in small parts: for web pages, as WOFF2, of which a page holds those that it
needs; and Latin once more for paper.

`tests/make_web_fonts.py` makes them out of the whole font.
"""

from __future__ import annotations

from base64 import b64encode
from functools import cache

from pix2block.drawing.style import FONT_FAMILY, FONTS

WEB_FONTS = FONTS / "web"
LATIN_FONTS = FONTS.parent / "latin_fonts"  # the first part as the whole font has it, for paper
WEIGHTS = {400: "regular", 700: "bold"}
Span = tuple[int, int]  # the first and the last code point
PARTS: dict[str, tuple[Span, ...]] = {
    "latin": (
        *((0x20, 0x7E), (0xA0, 0xFF), (0x131, 0x131), (0x152, 0x153), (0x2010, 0x2027)),
        *((0x2032, 0x2033), (0x2039, 0x203A), (0x20AC, 0x20AC), (0x2122, 0x2122)),
        *((0x2192, 0x2192), (0x2212, 0x2212), (0x2248, 0x2248), (0x2260, 0x2265)),
    ),
    "latin-more": ((0x100, 0x130), (0x132, 0x151), (0x154, 0x24F), (0x1E00, 0x1EFF)),
    "greek": ((0x370, 0x3FF),),
    "cyrillic": ((0x400, 0x52F),),
}


def web_font_name(part: str, weight: int) -> str:
    """The name of a part's file."""
    return f"noto-sans-{WEIGHTS[weight]}-{part}.woff2"


def font_faces(text: str) -> str:
    """The style rules of the font for a page that says a text: Latin, and what else it needs."""
    beyond = text.encode().translate(None, bytes(range(128))).decode()  # all of ASCII is Latin
    needed = {ord(c) for c in set(beyond)}
    parts = [
        part
        for part, spans in PARTS.items()
        if part == "latin" or any(a <= code <= b for a, b in spans for code in needed)
    ]
    return "".join(_face(part, weight) for part in parts for weight in WEIGHTS)


@cache
def _face(part: str, weight: int) -> str:
    data = b64encode((WEB_FONTS / web_font_name(part, weight)).read_bytes()).decode("ascii")
    spans = ", ".join(f"U+{a:X}" if a == b else f"U+{a:X}-{b:X}" for a, b in PARTS[part])
    return (
        f'@font-face {{ font-family: "{FONT_FAMILY}"; font-weight: {weight}; '
        f'src: url(data:font/woff2;base64,{data}) format("woff2"); unicode-range: {spans}; }}\n'
    )
