"""pattern.pdf: the document set by typst, tagged (PDF/UA-1), the same bytes on every run.

All words and drawings go to the template as JSON data. Fonts are the shipped ones, so that bytes
do not depend on the machine; a character that they lack is refused by PDF/UA, so names with such
characters are told by the yarn's number and colour, and a note says so.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from pix2block.drawing.apart import typesetter
from pix2block.drawing.pdf_picture import STAND_IN, with_picture
from pix2block.drawing.shapes import Drawing
from pix2block.drawing.style import FONT_FAMILY, INK, NOW, PAPER, THEMES
from pix2block.drawing.svg import svg
from pix2block.drawing.typesetter import CannotSet
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import bind
from pix2block.pages.paper import MM_PER_POINT, Paper
from pix2block.pages.pattern_pictures import PatternPictures, Raster
from pix2block.pages.pdf_rows import NUMBER_MM, RowSetting, rows_data
from pix2block.pages.pdf_stripes import stripes_data
from pix2block.pages.row_strip import TYPE
from pix2block.pages.shipped import template
from pix2block.pattern.document import (
    Bullets,
    Definitions,
    Document,
    InFull,
    Lengths,
    MarksKey,
    Paragraph,
    Passage,
    Pictures,
    RowEntries,
    Section,
    Topic,
    YarnLines,
)
from pix2block.pattern.stripe_table import is_striped
from pix2block.pattern.winding import BEFORE_ROW

_FRESH_ROWS = 40  # more rows begin a page
_FRONT = ("size", "time")  # sections side by side, under the picture
_END = ("finishing", "care")  # side by side at the end
_TEMPLATES = ("pattern_page.typ", "pattern_parts.typ", "pattern.typ")
_TWO_COLUMNS = ("abbreviations", "parts", "reading", "key", "how-to", "kinds")
_PROMISE = (
    "Checked stitch by stitch: worked as they are written, the rows of this pattern give its chart."
)
_AS_IT_IS = ("svg", "alt", "name", "title", "running", "authors", "description")
_NOT_ON_PAPER = ("tails",)  # the front tells where most yarns hang
_NOT_OF_STRIPES = ("key", "chart", "chart-bands")  # the fabric stands beside their table
_SHORT = 160  # letters of a row in full stitches, at most, on paper
_COVER_MM = (178.0, 104.0)  # at most, width and height
_LENGTH_COLUMN_MM = 56.0
_TILE_MM = 12.0


@dataclass(frozen=True)
class _Setting:
    """What the parts of a document are set with."""

    pictures: PatternPictures
    paper: Paper

    @property
    def striped(self) -> bool:
        """Whether rows are stripes, which a table tells."""
        return is_striped(self.pictures.chart)

    @property
    def grown(self) -> float:
        """How much larger drawings are than for paper, so that their type keeps the smallest."""
        return self.paper.small_pt / TYPE

    def drawn_mm(self, drawing: Drawing) -> float:
        """The width at which a drawing stands; its unit is a point where nothing is grown."""
        return min(self.paper.inside_mm, drawing.width * MM_PER_POINT * self.grown)


def set_pdf(
    document: Document,
    pictures: PatternPictures,
    paper: Paper,
    system_fonts: bool = False,
    holds: Callable[[], bool] | None = None,
) -> bytes:
    """The document as PDF.

    system_fonts: fonts of this machine help out where the shipped one lacks a character; holds:
    whether its rows, worked stitch by stitch, give the chart, which the front then promises.

    Raises CannotSet where a character has no glyph, or typst warns of anything.
    """
    return begin_pdf(document, pictures, paper, system_fonts, holds)()


def begin_pdf(
    document: Document,
    pictures: PatternPictures,
    paper: Paper,
    system_fonts: bool = False,
    holds: Callable[[], bool] | None = None,
) -> Callable[[], bytes]:
    """As `set_pdf`, up to where all words and drawings are ready; what is returned sets them, and
    meanwhile leaves the interpreter to others. What is set as if it held is set anew if not."""
    by = _Setting(pictures, paper)
    data = _bound(_data(document, by))
    listed = [s for section in document.sections for s in _section(section, by)]
    sections = json.dumps(_bound(listed), ensure_ascii=False)
    fabric = pictures.fabric
    setting = typesetter()

    def finish() -> bytes:
        pages = covered(_PROMISE if holds else "")
        return covered("") if holds and not holds() else pages

    def covered(promise: str) -> bytes:
        pages = with_picture(set_with(promise, replace(fabric, data=STAND_IN)), fabric.data)
        return pages or set_with(promise, fabric)

    def set_with(promise: str, front: Raster) -> bytes:
        cover = _raster(front, paper, beside=pictures.photo is not None)
        told = json.dumps({**data, "promise": promise, "cover": cover}, ensure_ascii=False)
        try:
            pages, warnings = setting(
                "".join(map(template, _TEMPLATES)),
                {"data": told, "sections": sections},
                "pdf",
                standards=["ua-1"],
                system_fonts=system_fonts,
            )
        except CannotSet as error:
            raise CannotSet(f"pattern.pdf cannot be set: {error}") from None
        if warnings:
            raise CannotSet(f"pattern.pdf cannot be set: {warnings[0]}")
        return pages

    return finish


def _bound(data: Any, name: str = "") -> Any:
    """Data whose texts break at no number and its unit."""
    if isinstance(data, dict):
        return {key: _bound(value, key) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_bound(value, name) for value in data]
    return bind(data) if isinstance(data, str) and name not in _AS_IT_IS else data


def _data(document: Document, by: _Setting) -> dict[str, Any]:
    paper = by.paper
    return {
        "title": document.title,
        "running": document.title,
        "authors": list(document.authors),
        "description": document.description,
        "by": list(document.by),
        "ink": INK,
        "now": NOW,
        "ground": THEMES["light"]["now-words"],
        "paper_color": PAPER,
        "hand": by.pictures.chart.hand,
        "last_row": by.pictures.chart.last_row,
        "fonts": [FONT_FAMILY],
        "paper": {
            "width": paper.width_mm,
            "height": paper.height_mm,
            "margin": paper.margin_mm,
            "inside": paper.inside_mm,
            "text": paper.text_pt,
            "small": paper.small_pt,
            "narrow": paper.narrow,
            "number": NUMBER_MM,
            "columns": max(1, int(paper.inside_mm / _LENGTH_COLUMN_MM)),
        },
        "spans": by.pictures.spans,
        "turns": _turns(by.pictures.spans),
        "photo": _raster(by.pictures.photo, paper, beside=True) if by.pictures.photo else None,
        "legend": _legend(by),
        "front": document.front,
    }


def _turns(spans: Sequence[tuple[float, float]]) -> list[int]:
    """Numbers of the rows at which a side of the piece turns, of where each row lies."""
    around = zip(spans, spans[1:], spans[2:], strict=False)
    return [
        number
        for number, (before, here, after) in enumerate(around, 2)
        if any(abs(a - 2 * b + c) > 1e-6 for a, b, c in zip(before, here, after, strict=True))
    ]


def _raster(raster: Raster, paper: Paper, beside: bool) -> dict[str, Any]:
    """A picture of pixels, wrapped in SVG since data is text; as wide as fits the front page.
    beside: another picture stands at its side."""
    most = (paper.inside_mm - 6) / 2 if beside and not paper.narrow else paper.inside_mm
    width = min(most, _COVER_MM[0], _COVER_MM[1] * raster.width / raster.height)
    size = f'width="{raster.width}" height="{raster.height}"'
    wrapped = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {raster.width} {raster.height}" '
        f'{size}><image href="{raster.link}" {size} preserveAspectRatio="none"/></svg>'
    )
    ratio = round(raster.width / raster.height, 4)
    return {"svg": wrapped, "alt": raster.alt, "mm": round(width, 2), "ratio": ratio}


def _section(section: Section, by: _Setting) -> list[dict[str, Any]]:
    """A section as data; none where nothing of it belongs on this paper."""
    parts = [part for p in section.parts if (part := _part(p, by)) is not None]
    if not parts or section.key in (*_NOT_ON_PAPER, *(_NOT_OF_STRIPES if by.striped else ())):
        return []
    if any(isinstance(part, Topic) and part.picture for part in section.parts):
        parts.insert(0, {"kind": "paragraph", "text": by.pictures.howto_note})
    heading: str | None = section.heading
    if parts[0]["kind"] == "figures":  # a chart's heading stands above its first figure
        parts[0]["heading"], heading = heading, None
    fresh = section.key == "rows" and by.pictures.chart.last_row > _FRESH_ROWS
    told = {"heading": heading, "fresh": fresh, "parts": parts}
    two = section.key in _TWO_COLUMNS and not by.paper.narrow
    end = section.key in _END
    told |= {"front": section.key in _FRONT, "end": end, "small": end or section.key == "bobbins"}
    return [{**told, "two": two, "last": section.key == _END[-1]}]


def _part(part: Passage, by: _Setting) -> dict[str, Any] | None:
    match part:
        case Paragraph(text):
            return {"kind": "paragraph", "text": text}
        case Bullets(texts):
            return {"kind": "bullets", "texts": list(texts), "wide": False}
        case YarnLines():
            return _yarns(part, by)
        case MarksKey(_, texts):  # its yarns stand above each chart
            return {"kind": "key", "texts": list(texts)}
        case Topic(heading, _, picture):
            lesson = by.pictures.howto[picture] if picture else None
            drawn = _drawing(lesson.drawing, by.drawn_mm(lesson.drawing)) if lesson else None
            told = {"heading": heading, "texts": list(part.beside), "drawing": drawn}
            return {"kind": "topic", **told, "steps": list(lesson.steps) if lesson else []}
        case Definitions(entries):
            return {"kind": "definitions", "entries": [list(entry) for entry in entries]}
        case InFull(heading, lines):
            if sum(map(len, lines)) > _SHORT:
                return None
            return {"kind": "in full", "heading": heading, "lines": list(lines)}
        case Lengths(heading, entries):
            return {"kind": "lengths", "heading": heading, "entries": _cells(entries)}
        case Pictures(what, note):
            return _figures(what, note, by)
        case RowEntries() if by.striped:
            return stripes_data(part, RowSetting(by.pictures, by.paper))
        case RowEntries():
            rows = rows_data(part, RowSetting(by.pictures, by.paper))
            return {"kind": "rows", "piece": part.piece, "entries": rows}


def _yarns(yarns: YarnLines, by: _Setting) -> dict[str, Any]:
    lines = [
        {
            "name": yarn.name,
            "figures": yarn.figures,
            "tile": _drawing(by.pictures.tile(yarn.number, marked=not by.striped), _TILE_MM),
        }
        for yarn in yarns.lines
    ]
    return {"kind": "yarns", "lines": lines}


def _legend(by: _Setting) -> list[dict[str, Any]]:
    """Every used yarn with its mark, as charts show them."""
    pictures = by.pictures
    return [
        {
            "name": pictures.chart.yarns[number].name,
            "tile": _drawing(pictures.tile(number, pictures.in_color), _TILE_MM),
        }
        for number in pictures.marks
    ]


def _cells(entries: Sequence[str]) -> list[tuple[str, str]]:
    """Each length by itself, after the row before which it is wound: "before row 4: Tan #1, 2 m;
    Grey #2, 3 m" gives two. (No name holds a colon or a semicolon.)"""
    cells = []
    for entry in entries:
        before, colon, lengths = entry.rpartition(": ")
        if before.startswith(BEFORE_ROW):
            row = before.removeprefix(BEFORE_ROW)
            cells += [(row, length) for length in lengths.split("; ")]
        else:
            cells.append(("", f"{before}{colon}{lengths}"))
    return cells


def _figures(what: str, note: str, by: _Setting) -> dict[str, Any] | None:
    """Charts. As the picture is seen it stands on the front page, as fabric."""
    figures = by.pictures.figures(what, by.paper.room) if what != "whole" else []
    if not figures:
        return None
    drawn = [
        {
            **_drawing(f.drawing, f.width_mm),
            "caption": f.caption,
            "rows": f.rows,
            "across": f.across,
        }
        for f in figures
    ]
    return {"kind": "figures", "heading": None, "note": note, "figures": drawn}


def _drawing(drawing: Drawing, width_mm: float) -> dict[str, Any]:
    return {"svg": svg(drawing, paper=False), "alt": drawing.label, "mm": round(width_mm, 2)}
