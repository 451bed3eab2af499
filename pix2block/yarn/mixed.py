"""What yarns of one piece do not share: weight class, care, dye lot."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from pix2block.color.difference import difference_table
from pix2block.color.spaces import rgb_array
from pix2block.yarn.fibres import care_of
from pix2block.yarn.yarn import Yarn

ALIKE = 2.3  # CIEDE2000: the just noticeable step of CIELAB (Mahy et al. 1994), side by side


def lots_of(yarn: Yarn) -> list[str]:
    """The dye lots in a yarn's lot cell: "A12, A13", "A12 + A13", "A12 and A13"."""
    parts = re.split(r"\s*(?:[,;+&/]|\band\b)\s*", yarn.lot or "")
    return list(dict.fromkeys(part for part in parts if part))


def mixed_lines(yarns: Sequence[Yarn], weight: int) -> list[str]:
    """What the yarns of a piece do not share, a sentence each. weight: the chart's class."""
    lines = []
    by_class: dict[int, list[str]] = {}
    for yarn in yarns:
        by_class.setdefault(yarn.class_in(weight), []).append(yarn.name)
    if len(by_class) > 1:
        words = "; ".join(f"{c}: {_few(names)}" for c, names in sorted(by_class.items()))
        lines.append(
            f"weight classes are mixed ({words}): blocks come out of different sizes, so make a "
            "swatch of each, or hold a thin yarn double."
        )
    fibres = mixed_fibres_line(yarns)
    return lines + ([fibres] if fibres else []) + _lot_lines(yarns)


def mixed_fibres_line(yarns: Sequence[Yarn]) -> str | None:
    """Says which yarns are washed differently, where there are such."""
    by_care: dict[str, list[str]] = {}
    for yarn in yarns:
        if yarn.fibre and yarn.fibre.strip():
            by_care.setdefault(care_of(yarn.fibre).washed, []).append(yarn.name)
    if len(by_care) < 2:
        return None
    words = "; ".join(f"{care}: {_few(names)}" for care, names in by_care.items())
    return (
        f"fibres that are washed differently are mixed ({words}): wash and block the piece as the "
        "most delicate label allows, and try it on the swatch."
    )


def _lot_lines(yarns: Sequence[Yarn]) -> list[str]:
    lines = []
    for yarn in yarns:
        lots = lots_of(yarn)
        if len(lots) > 1:
            lines.append(
                f"{yarn.name} is of {len(lots)} dye lots ({', '.join(lots)}), which may differ to "
                "the eye: use one for whole areas, or change between them every other row."
            )
    by_color: dict[str, list[Yarn]] = {}
    for yarn in yarns:
        by_color.setdefault(yarn.color, []).append(yarn)
    for alike in by_color.values():
        lots = list(dict.fromkeys(lot for yarn in alike for lot in lots_of(yarn)))
        if len(alike) > 1 and len(lots) > 1:
            names = " and ".join(yarn.name for yarn in alike)
            lines.append(
                f"{names} have one colour and dye lots {', '.join(lots)}, which may differ to the "
                "eye: look at them side by side in daylight."
            )
    return lines


def alike_line(yarns: Sequence[Yarn]) -> str | None:
    """Says which yarns are nearly alike to the eye, where there are such, the most alike first."""
    if len(yarns) < 2:
        return None
    colors = rgb_array([yarn.color for yarn in yarns])
    difference = difference_table(colors, colors)
    pairs = [
        (float(difference[i, j]), yarns[i].name, yarns[j].name)
        for i, j in np.argwhere(np.triu(difference < ALIKE, 1)).tolist()
    ]
    if not pairs:
        return None
    pairs.sort(key=lambda pair: pair[0])
    words = ", ".join(f"{one} and {other}" for _, one, other in pairs[:3])
    more = f" and {len(pairs) - 3} pairs more" if len(pairs) > 3 else ""
    return (
        f"nearly alike, so hard to tell apart in the piece and at the hook: {words}{more}; leave "
        "one of each out, or tie a label to it"
    )


def several_colors_line(yarns: Sequence[Yarn]) -> str | None:
    """Says how yarns of several colours were matched, where there are any."""
    names = [yarn.name for yarn in yarns if yarn.parts]
    if not names:
        return None
    one = len(names) == 1
    return (
        f"{_few(names)} {'has' if one else 'have'} several colours: matched by "
        f"{'its' if one else 'their'} mean in linear light, as seen from afar."
    )


def _few(names: Sequence[str]) -> str:
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
