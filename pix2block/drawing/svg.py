"""Drawings as SVG."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import groupby
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from pix2block.drawing.marks import Mark
from pix2block.drawing.shapes import Blocks, Curve, Dots, Drawing, Item, Lines, Shape, Text
from pix2block.drawing.style import FONT_FAMILY, INK, PAPER

HAIRLINE = 0.6


def svg(drawing: Drawing, paper: bool = True) -> str:
    """The drawing as an SVG document. paper: its ground is filled."""
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(drawing.width)} '
        f'{_n(drawing.height)}" width="{_n(drawing.width)}" height="{_n(drawing.height)}" '
        f'role="img" font-family="{FONT_FAMILY}, sans-serif" fill="{INK}">',
        f"<title>{escape(drawing.label)}</title>",
        *([f'<rect width="100%" height="100%" fill="{PAPER}"/>'] if paper else []),
    ]
    marks: set[str] = set()
    for style, items in groupby(drawing.items, key=_text_style):
        if style:
            parts.append(_texts(style, [item for item in items if isinstance(item, Text)]))
        else:
            parts += [line for item in items for line in _item(item, marks)]
    parts.append("</svg>")
    return "\n".join(parts) + "\n"


def _item(item: Item, marks: set[str]) -> list[str]:
    match item:
        case Blocks():
            return _blocks(item, marks)
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


@lru_cache(50_000)
def _n(value: float) -> str:
    """A number with at most two decimals."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _blocks(item: Blocks, marks: set[str]) -> list[str]:
    half = item.side / 2
    if item.on_tip:
        tip = item.side * 2**0.5 / 2
        corner, outline = (0.0, -tip), f"l{_n(tip)} {_n(tip)}l{_n(-tip)} {_n(tip)}l{_n(-tip)} "
        outline += f"{_n(-tip)}z"
    else:
        corner, outline = (-half, -half), f"h{_n(item.side)}v{_n(item.side)}h{_n(-item.side)}z"
    path = "".join(
        f"M{_n(x + corner[0])} {_n(y + corner[1])}{outline}" for x, y in item.centres.tolist()
    )
    stroke = f'stroke="{item.edge}" stroke-width="{_n(HAIRLINE)}"'
    lines = [f'<path d="{path}" fill="{item.color}" {stroke}/>']
    if item.mark.outlines:
        size = item.side * item.mark_share
        name = _mark_id(item.mark, size)
        if name not in marks:
            marks.add(name)
            lines.append(_mark_definition(name, item.mark, size))
        up = item.side * item.mark_up
        uses = "".join(
            f'<use href="#{name}" x="{_n(x)}" y="{_n(y - up)}"/>' for x, y in item.centres.tolist()
        )
        lines.append(f'<g fill="{item.mark_color}">{uses}</g>')
    return lines


@lru_cache(1000)
def _mark_id(mark: Mark, size: float) -> str:
    """The same id always stands for the same outline, so that many drawings can share a page."""
    return f"{re.sub('[^a-z]+', '-', mark.name)}-{_n(size)}"


def _mark_definition(name: str, mark: Mark, size: float) -> str:
    outlines = [*mark.outlines, *mark.holes]
    path = "".join(
        "M" + "L".join(f"{_n(x * size)} {_n(y * size)}" for x, y in outline) + "z"
        for outline in outlines
    )
    return f'<defs><path id="{name}" fill-rule="evenodd" d="{path}"/></defs>'


def _lines(item: Lines) -> str:
    path = "".join(
        f"M{_n(x1)} {_n(y1)}l{_n(x2 - x1)} {_n(y2 - y1)}"
        for x1, y1, x2, y2 in np.asarray(item.segments)
    )
    ends = f'stroke-dasharray="{_n(item.dash)}"' if item.dash else 'stroke-linecap="square"'
    return (
        f'<path d="{path}" fill="none" stroke="{item.color}" stroke-width="{_n(item.width)}" '
        f"{ends}/>"
    )


def _dots(item: Dots) -> str:
    """Lines of hardly any length, whose round ends are the dots: short to write. (With none at
    all, a dot alone has no extent and some readers leave it out.)"""
    path = "".join(f"M{_n(x)} {_n(y)}h.01" for x, y in item.centres.tolist())
    return (
        f'<path d="{path}" stroke="{item.color}" stroke-width="{_n(2 * item.radius)}" '
        'stroke-linecap="round"/>'
    )


def _curve(item: Curve) -> str:
    points = " ".join(f"{_n(x)},{_n(y)}" for x, y in item.points)
    dash = f' stroke-dasharray="{_n(4 * item.width)}"' if item.dashed else ""
    return (
        f'<polyline points="{points}" fill="none" stroke="{item.color}" '
        f'stroke-width="{_n(item.width)}" stroke-linecap="round" stroke-linejoin="round"{dash}/>'
    )


def _shape(item: Shape) -> str:
    points = " ".join(f"{_n(x)},{_n(y)}" for x, y in item.points)
    stroke = f' stroke="{item.stroke}" stroke-width="{_n(item.stroke_width)}"'
    return (
        f'<polygon points="{points}" fill="{item.fill or "none"}"{stroke if item.stroke else ""}/>'
    )


def _text_style(item: Item) -> str:
    """The attributes that a text may share with the ones after it; none for other items."""
    if not isinstance(item, Text):
        return ""
    attributes = f'font-size="{_n(item.size)}"'
    if item.anchor != "start":
        attributes += f" text-anchor={quoteattr(item.anchor)}"
    if item.bold:
        attributes += ' font-weight="bold"'
    if item.color != INK:
        attributes += f' fill="{item.color}"'
    return attributes


def _texts(style: str, items: list[Text]) -> str:
    """Texts of one style one after another say it once."""
    if len(items) == 1:
        item = items[0]
        return f'<text x="{_n(item.x)}" y="{_n(item.y)}" {style}>{escape(item.text)}</text>'
    lines = [f'<text x="{_n(i.x)}" y="{_n(i.y)}">{escape(i.text)}</text>' for i in items]
    return f"<g {style}>" + "".join(lines) + "</g>"
