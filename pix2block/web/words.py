"""How the page says figures, and what is typed into its fields, as an option reads it."""

from __future__ import annotations

import re

from pix2block.ground.quantities import LENGTHS_CM, parse_number

_UNIT = r"(cm|mm|m|in|yd)"
_SIDES = re.compile(rf"([\d.,]+)\s*{_UNIT}?\s*[x×]\s*([\d.,]+)\s*{_UNIT}?")
_ONE_SIDE = re.compile(rf"([\d.,]+)\s*{_UNIT}(?:\s*(wide|across|high|tall))?")
_BLOCKS = re.compile(r"(\d+)(?:\s*[x×]\s*(\d+))?\s*(blocks?)?(?:\s*(?:wide|across))?")
_WORDS = {"inches": "in", "inch": "in", "metres": "m", "meters": "m", " by ": " x ", "″": "in"}
_OF_OPTION = ("cm", "in")  # the units that --size reads


def size_asked(text: str, across: float, down: float) -> dict[str, str]:
    """The words of options that a size means, as people write it: "60", "60 blocks", "60 by 75
    blocks" are blocks; "110 x 90", "110x90cm", "43x35in", "1.1 x 0.9 m" a size, in cm where no unit
    is told; "43 in", "1.1 m", "90 cm high" one side, of which the other follows as across to down.

    What is none of these is handed on as a size. Raises BadInput for a number that may mean two.
    """
    said = text.strip().lower().replace('"', "in")
    for words, short in _WORDS.items():
        said = said.replace(words, short)
    blocks = _BLOCKS.fullmatch(said)
    if blocks and (blocks[3] or not blocks[2]):
        of_blocks = {"width": blocks[1]}
        return {**of_blocks, "height": blocks[2]} if blocks[2] else of_blocks
    if one := _ONE_SIDE.fullmatch(said):
        side, high = _cm(one[1], one[2]), one[3] in ("high", "tall")
        width, height = (side * across / down, side) if high else (side, side * down / across)
        return {"size": f"{width:.1f}x{height:.1f}cm"}
    return {"size": _with_unit(said)}


def _with_unit(said: str) -> str:
    """Width and height as an option reads them: in cm where none is told, as the page says them."""
    sides = _SIDES.fullmatch(said)
    if sides is None:
        return said
    first, second = sides[2], sides[4]
    if first is second is None:
        return f"{said}cm"
    if second is not None and {first or second, second} <= {*_OF_OPTION}:
        return said
    units = (first or second or "cm", second or first or "cm")
    width, height = (_cm(sides[at], unit) for at, unit in zip((1, 3), units, strict=True))
    return f"{width:.1f}x{height:.1f}cm"


def _cm(number: str, unit: str) -> float:
    return parse_number(number) * LENGTHS_CM[unit]


def figure(text: str) -> str:
    """Words that do not break over lines."""
    return text.replace(" ", "\u00a0")
