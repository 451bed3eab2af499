"""Drawings as SVG."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from itertools import groupby

import numpy as np

from pix2block.drawing.shapes import Blocks, Curve, Dots, Drawing, Item, Lines, Shape, Stamps, Text
from pix2block.drawing.style import FONT_FAMILY, INK, PAPER
from pix2block.drawing.svg_blocks import blocks
from pix2block.drawing.symbols import Symbols, plain, use

LOOK = f'font-family="{FONT_FAMILY}, sans-serif" fill="{INK}"'  # of whatever holds elements


def svg(drawing: Drawing, paper: bool = True) -> str:
    """The drawing as an SVG document. paper: its ground is filled."""
    wide, high = plain(drawing.width), plain(drawing.height)
    symbols = Symbols()
    parts = elements(drawing, symbols)
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}" '
        f'height="{high}" role="img" {LOOK}>',
        f"<title>{escape(drawing.label, quote=False)}</title>",
        *symbols.defined(),
        *([f'<rect width="100%" height="100%" fill="{PAPER}"/>'] if paper else []),
        *parts,
        "</svg>",
    ]
    return "\n".join(lines) + "\n"


def elements(drawing: Drawing, symbols: Symbols) -> list[str]:
    """What is drawn, from the back to the front; symbols: of the document that will hold it."""
    return _elements(drawing.items, symbols)


def _elements(drawn: Iterable[Item], symbols: Symbols) -> list[str]:
    parts: list[str] = []
    for style, items in groupby(drawn, key=_text_style):
        if style:
            parts.append(_texts(style, [item for item in items if isinstance(item, Text)]))
        else:
            parts += [line for item in items for line in _item(item, symbols)]
    return parts


def _item(item: Item, symbols: Symbols) -> list[str]:
    match item:
        case Blocks():
            return blocks(item, symbols)
        case Lines():
            return [_lines(item)]
        case Dots():
            return [_dots(item)]
        case Curve():
            return [_curve(item)]
        case Shape():
            return [_shape(item)]
        case Text():
            return [_texts(_text_style(item), [item])]
        case Stamps():
            return [_stamps(item, symbols)]


def _stamps(item: Stamps, symbols: Symbols) -> str:
    name = symbols.define("g", f">{''.join(_elements(item.items, symbols))}</g>")
    return "".join(use(name, x, y) for x, y in np.asarray(item.places).tolist())


def _lines(item: Lines) -> str:
    path = "".join(
        f"M{plain(x1)} {plain(y1)}l{plain(x2 - x1)} {plain(y2 - y1)}"
        for x1, y1, x2, y2 in np.asarray(item.segments).tolist()
    )
    ends = f'stroke-linecap="{"round" if item.round else "square"}"'
    if item.dash:
        ends = f'stroke-dasharray="{plain(item.dash)}"'
    return (
        f'<path d="{path}" fill="none" stroke="{item.color}" stroke-width="{plain(item.width)}" '
        f"{ends}/>"
    )


def _dots(item: Dots) -> str:
    """Lines of hardly any length, whose round ends are the dots: short to write. (With none at
    all, a dot alone has no extent and some readers leave it out.)"""
    path = "".join(f"M{plain(x)} {plain(y)}h.01" for x, y in item.centres.tolist())
    return (
        f'<path d="{path}" stroke="{item.color}" stroke-width="{plain(2 * item.radius)}" '
        'stroke-linecap="round"/>'
    )


def _curve(item: Curve) -> str:
    points = " ".join(f"{plain(x)},{plain(y)}" for x, y in item.points)
    dash = f' stroke-dasharray="{plain(4 * item.width)}"' if item.dashed else ""
    return (
        f'<polyline points="{points}" fill="none" stroke="{item.color}" '
        f'stroke-width="{plain(item.width)}" stroke-linecap="round" stroke-linejoin="round"{dash}/>'
    )


def _shape(item: Shape) -> str:
    points = " ".join(f"{plain(x)},{plain(y)}" for x, y in item.points)
    stroke = f' stroke="{item.stroke}" stroke-width="{plain(item.stroke_width)}"'
    return (
        f'<polygon points="{points}" fill="{item.fill or "none"}"{stroke if item.stroke else ""}/>'
    )


def _text_style(item: Item) -> str:
    """The attributes that a text may share with the ones after it; none for other items."""
    if not isinstance(item, Text):
        return ""
    attributes = f'font-size="{plain(item.size)}"'
    if item.anchor != "start":
        attributes += f' text-anchor="{item.anchor}"'
    if item.bold:
        attributes += ' font-weight="bold"'
    if item.color != INK:
        attributes += f' fill="{item.color}"'
    return attributes


def _texts(style: str, items: list[Text]) -> str:
    """Texts of one style one after another say it once."""
    if len(items) == 1:
        return _text(items[0], f" {style}")
    return f"<g {style}>" + "".join(_text(item) for item in items) + "</g>"


def _text(item: Text, style: str = "") -> str:
    said = escape(item.text, quote=False)
    return f'<text x="{plain(item.x)}" y="{plain(item.y)}"{style}>{said}</text>'
