"""typst, which sets words and drawings: the same bytes on every run and machine.

Fonts are the shipped ones, and there is no date.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Literal

from pix2block.drawing.style import FONTS
from pix2block.ground.errors import Pix2blockError

if TYPE_CHECKING:
    import typst

_STAMP = 0  # seconds since 1970: no date of the day


class CannotSet(Pix2blockError):
    """A page could not be set: a fault of ours, or a character that no font has."""


@cache
def _fonts(system: bool) -> typst.Fonts:
    import typst

    return typst.Fonts(
        include_system_fonts=system, include_embedded_fonts=False, font_paths=[str(FONTS)]
    )


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

    try:
        compiled, warnings = typst.compile_with_warnings(
            template.encode(),
            font_paths=_fonts(system_fonts),
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
