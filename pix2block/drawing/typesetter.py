"""typst, which sets words and drawings: the same bytes on every run and machine.

Fonts are the shipped ones, and there is no date.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from pix2block.drawing.style import FONTS
from pix2block.drawing.web_fonts import LATIN_FONTS, PARTS
from pix2block.ground.errors import Pix2blockError

if TYPE_CHECKING:
    import typst

_STAMP = 0  # seconds since 1970: no date of the day


class CannotSet(Pix2blockError):
    """A page could not be set: a fault of ours, or a character that no font has."""


@cache
def _fonts(folder: Path, system: bool = False) -> typst.Fonts:
    import typst

    return typst.Fonts(
        include_system_fonts=system, include_embedded_fonts=False, font_paths=[str(folder)]
    )


def _fonts_for(texts: Iterable[str]) -> typst.Fonts:
    """The shipped font: of texts in Latin its Latin part alone, which typst, who reads the whole
    of a font for every drawing, sets a quarter quicker."""
    latin = {code for first, last in PARTS["latin"] for code in range(first, last + 1)}
    said = {ord(letter) for text in texts for letter in set(text)} - {ord("\n")}
    return _fonts(LATIN_FONTS if said <= latin else FONTS)


def typeset(
    template: str,
    data: Mapping[str, str],
    kind: Literal["pdf", "png"],
    *,
    standards: Sequence[Literal["ua-1"]] = (),
    system_fonts: bool = False,
) -> tuple[bytes, tuple[str, ...]]:
    """A file of a template and its data, and what typst warns of. A PNG has a pixel a point.

    standards: that a PDF keeps; system_fonts: fonts of this machine help out where the shipped one
    lacks a character.

    Raises CannotSet where typst refuses.
    """
    import typst

    fonts = _fonts(FONTS, True) if system_fonts else _fonts_for([template, *data.values()])
    try:
        compiled, warnings = typst.compile_with_warnings(
            template.encode(),
            font_paths=fonts,
            format=kind,
            ppi=72,
            sys_inputs=dict(data),
            pdf_standards=list(standards),
            timestamp=_STAMP,
        )
    except typst.TypstError as error:
        raise CannotSet(error.message) from None
    if not isinstance(compiled, bytes):
        raise CannotSet("one file was wanted, not several pages")
    return compiled, tuple(warning.message for warning in warnings)
