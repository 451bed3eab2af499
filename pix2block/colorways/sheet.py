"""colorways.pdf: every colourway with its chart, in grey and as other eyes see it, and materials in
columns."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

import numpy as np

from pix2block.color.deficiency import in_sight
from pix2block.color.spaces import Bytes, from_hex
from pix2block.colorways.colorway import IN_SIGHT, Colorway, Colorways, materials
from pix2block.drawing.glyphs import missing
from pix2block.drawing.style import FONT_FAMILY, INK, PAPER
from pix2block.drawing.typesetter import CannotSet, typeset
from pix2block.trial.views import OTHER_SIGHTS, png_address

_PIXELS, _MOST_PIXELS = 8, 1200  # a block, a side
_COLUMNS = 3  # colourways in a table of materials


def colorways_pdf(of: Colorways) -> bytes:
    """The sheet. Raises CannotSet where typst refuses."""
    template = files("pix2block.pages") / "templates" / "colorways.typ"
    pages, warnings = typeset(
        template.read_text(encoding="utf-8"),
        {"data": json.dumps(_printable(_data(of)), ensure_ascii=False)},
        "pdf",
        standards=["ua-1"],
    )
    if warnings:
        raise CannotSet(f"colorways.pdf cannot be set: {warnings[0]}")
    return pages


def _printable(told: Any) -> Any:
    """The same with dots for characters that the shipped font lacks."""
    if isinstance(told, dict):
        return {key: _printable(value) for key, value in told.items()}
    if isinstance(told, list):
        return [_printable(value) for value in told]
    lacking = set(missing(told)) if isinstance(told, str) else set()
    return "".join("…" if c in lacking else c for c in told) if lacking else told


def _data(of: Colorways) -> dict[str, Any]:
    needed = materials(of)
    tables = [
        {
            "head": ["Role", *(c.name for c in of.colorways[first : first + _COLUMNS])],
            "rows": [
                [role, *row[first : first + _COLUMNS]]
                for role, row in zip(of.roles, needed, strict=True)
            ],
        }
        for first in range(0, len(of.colorways), _COLUMNS)
    ]
    return {
        "title": f"{of.title}: colourways",
        "fonts": [FONT_FAMILY],
        "ink": INK,
        "colorways": [_colorway(of, colorway) for colorway in of.colorways],
        "tables": tables,
    }


def _colorway(of: Colorways, colorway: Colorway) -> dict[str, Any]:
    chart = colorway.chart
    paper = np.array([from_hex(PAPER)], dtype=np.uint8)
    blocks = np.concatenate([chart.yarn_rgb, paper])[chart.blocks]
    others = [
        {
            "svg": _picture(in_sight(blocks, sight)),
            "words": IN_SIGHT[sight],
            "alt": f"{colorway.name}, {IN_SIGHT[sight]}",
        }
        for sight in OTHER_SIGHTS
    ]
    return {
        "name": colorway.name,
        "svg": _picture(blocks),
        "alt": f"The chart in {colorway.name}",
        "wide": chart.width >= chart.height,
        "others": others,
        "yarns": [
            {"color": yarn.color, "words": role if colorway.as_made else f"{role}: {yarn.name}"}
            for role, yarn in zip(of.roles, chart.yarns, strict=True)
        ],
        "said": of.said_of(colorway),
    }


def _picture(blocks: Bytes) -> str:
    """Blocks as pixels, wrapped in SVG since data is text."""
    pixels = max(1, min(_PIXELS, _MOST_PIXELS // max(blocks.shape[:2])))
    high, wide = (side * pixels for side in blocks.shape[:2])
    large = np.repeat(np.repeat(blocks, pixels, axis=0), pixels, axis=1)
    size = f'width="{wide}" height="{high}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" {size}>'
        f'<image href="{png_address(large)}" {size}/></svg>'
    )
