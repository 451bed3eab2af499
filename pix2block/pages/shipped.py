"""Texts shipped beside the package: templates, and the style sheet of web pages."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from pix2block.drawing.style import FONT_FAMILY, THEMES
from pix2block.drawing.web_fonts import font_faces

TEMPLATES = Path(__file__).parent / "templates"
_MEDIA = {"dark": "(prefers-color-scheme: dark)", "print": "print"}


@cache
def template(name: str) -> str:
    """A text that is shipped beside this module."""
    return (TEMPLATES / name).read_text(encoding="utf-8")


def style_sheet(page: str, text: str = "") -> str:
    """The style sheet of a web page: named colours and type, what all pages share, its own.
    text: what the page says, for the parts of the font that it holds."""
    themes = "".join(map(_theme, THEMES))
    return f"{font_faces(text)}{themes}{template('page.css')}{template(f'{page}.css')}"


def _theme(shown: str) -> str:
    """Named colours as custom properties, in the dark and in print others."""
    named = "".join(f" --{name}: {color};" for name, color in THEMES[shown].items())
    if shown == "light":
        family = f'--family: "{FONT_FAMILY}", system-ui, sans-serif;'
        return f":root {{ color-scheme: light dark; {family}{named} }}\n"
    scheme = " color-scheme: light;" if shown == "print" else ""
    return f"@media {_MEDIA[shown]} {{ :root {{{scheme}{named} }} }}\n"
