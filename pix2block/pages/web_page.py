"""pattern.html: the document as one file that needs no network."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from pix2block.drawing.shapes import Drawing
from pix2block.drawing.svg import elements
from pix2block.drawing.symbols import Symbols, plain
from pix2block.ground.units import bind
from pix2block.pages.block_symbols import Lesson
from pix2block.pages.chart_pages import Room
from pix2block.pages.pattern_pictures import PatternPictures, Raster
from pix2block.pages.shipped import style_sheet, template
from pix2block.pages.web_entries import entry_list
from pix2block.pages.web_rows import RowDrawings
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

LANGUAGE = "en-GB"
_PIXELS_PER_MM = 96 / 25.4
# Blocks of a chart on a screen, as wide as they come; the page scrolls it.
_LARGER = 1.8  # drawings that teach, whose type is 9 pt, so that it has 16 pixels
_BLOCK_MM = 16 / _PIXELS_PER_MM
_HELD_BLOCK_MM = 12 / _PIXELS_PER_MM
_ENDLESS_MM = 1e6
_FIRST = "rows"  # the section that is worked from; the others stand behind links
_CONTENTS = "<summary>How to, yarns, chart and all else</summary>"


def _is_for_paper(section: Section) -> bool:
    """Whether a section is only the chart cut for paper; a screen scrolls."""
    parts = section.parts
    return all(isinstance(part, Pictures) and part.what == "bands" for part in parts)


class _Page:
    """What the parts of a page are written with. key: under which the browser keeps ticked rows."""

    def __init__(self, pictures: PatternPictures) -> None:
        self.pictures = pictures
        self.key = _row_key(pictures)
        self.symbols = Symbols(on_screen=True)
        self.rows = RowDrawings(pictures, self.symbols)


def web_page(document: Document, pictures: PatternPictures) -> str:
    """The whole page."""
    page = _Page(pictures)
    sections = [s for s in document.sections if not _is_for_paper(s)]
    sections.sort(key=lambda section: section.key != _FIRST)
    links = "".join(f'<li><a href="#{s.key}">{escape(s.heading)}</a></li>' for s in sections)
    by = "".join(f'<p class="by">{escape(line)}</p>' for line in document.by)
    photo = _cover(pictures.photo) if pictures.photo else ""
    body = [
        f"<header><h1>{escape(document.title)}</h1>{by}</header>",
        _cover(pictures.cover),
        f'<nav aria-label="Contents"><details>{_CONTENTS}<ul>{links}</ul></details></nav>',
        *(_section(section, page) for section in sections),
        photo,
    ]
    written = "".join(f"{line}\n" for line in body)
    return "\n".join(
        (
            "<!DOCTYPE html>",
            f'<html lang="{LANGUAGE}">',
            "<head>",
            '<meta charset="utf-8"/>',
            '<meta name="viewport" content="width=device-width, initial-scale=1"/>',
            f"<title>{escape(document.title)}</title>",
            f"<style>\n{style_sheet('pattern', written)}</style>",
            "</head>",
            "<body>",
            _shared(page.symbols),  # after the body, which gathers them
            f"<main>{written}</main>",
            f"<script>\n//<![CDATA[\n{template('pattern.js')}//]]>\n</script>",
            "</body>",
            "</html>",
            "",
        )
    )


def _row_key(pictures: PatternPictures) -> str:
    """Under which the browser keeps ticked rows: another chart, hand or corner begins anew."""
    chart = pictures.chart
    return f"pix2block rows {chart.fingerprint} {chart.start_corner} {chart.hand}"


def _cover(raster: Raster) -> str:
    size = f'width="{raster.width}" height="{raster.height}"'
    image = f'<img src="{raster.link}" {size} alt="{escape(raster.alt)}"/>'
    return f'<figure class="cover">{image}</figure>'


def _section(section: Section, page: _Page) -> str:
    parts = "\n".join(_part(part, page) for part in section.parts)
    if any(isinstance(part, Topic) and part.picture for part in section.parts):
        parts = f"{_paragraphs((page.pictures.howto_note,))}\n{parts}"
    heading = f'<h2 id="{section.key}-title">{escape(section.heading)}</h2>'
    labelled = f'<section id="{section.key}" aria-labelledby="{section.key}-title">'
    return f"{labelled}\n{heading}\n{parts}\n</section>"


def _part(part: Passage, page: _Page) -> str:
    match part:
        case Paragraph(text):
            return _paragraphs((text,))
        case Bullets(texts):
            return f"<ul>{''.join(f'<li>{_said(t)}</li>' for t in texts)}</ul>"
        case YarnLines():
            return _yarns(part, page)
        case MarksKey(yarns, texts):
            bullets = "".join(f"<li>{_said(t)}</li>" for t in texts)
            return f"{_yarns(yarns, page, key=True)}\n<ul>{bullets}</ul>"
        case Topic(heading, _, picture):
            lesson = page.pictures.howto[picture] if picture else None
            figure = f"<figure>{_lesson(lesson, page)}</figure>" if lesson else ""
            words = f"<h3>{escape(heading)}</h3>{_paragraphs(part.beside)}"
            return f'<div class="topic">{words}{figure}</div>'
        case Definitions(entries):
            pairs = (f"<dt>{escape(n)}</dt><dd>{_said(t)}</dd>" for n, t in entries)
            return f"<dl>{''.join(pairs)}</dl>"
        case InFull(heading, lines):
            return f"<h3>{escape(heading)}</h3>{_paragraphs(lines)}"
        case Lengths(heading, entries):
            items = "".join(f"<li>{_said(entry)}</li>" for entry in entries)
            return f'<h3>{escape(heading)}</h3><ul class="lengths">{items}</ul>'
        case Pictures(what, note):
            return _chart(what, note, page)
        case RowEntries():
            return entry_list(part, page.rows, page.key)


def _said(text: str) -> str:
    """A text in the page, no number torn from its unit."""
    return escape(bind(text))


def _lesson(lesson: Lesson, page: _Page) -> str:
    steps = "".join(f"<li>{_said(step)}</li>" for step in lesson.steps)
    drawn = _drawn(lesson.drawing, page, _LARGER * lesson.drawing.width)
    return drawn + (f"<ol>{steps}</ol>" if steps else "")


def _paragraphs(texts: Sequence[str]) -> str:
    return "".join(f"<p>{_said(text)}</p>" for text in texts)


def _yarns(yarns: YarnLines, page: _Page, key: bool = False) -> str:
    items = []
    for yarn in yarns.lines:
        tiles = _drawn(page.pictures.tile(yarn.number), page)
        if key:
            tiles += _drawn(page.pictures.tile(yarn.number, in_color=False), page)
        figures = f" {yarn.color}" if key else f" {_said(yarn.figures)}"
        items.append(f"<li>{tiles}<span><b>{escape(yarn.name)}</b>{figures}</span></li>")
    return f'<ul class="yarns{" key" if key else ""}">{"".join(items)}</ul>'


def _drawn(drawing: Drawing, page: _Page, wide: float | None = None) -> str:
    """A drawing in the page. wide: its width in pixels, where not as many as it has units."""
    wide = wide or drawing.width
    size = f'width="{wide:.0f}" height="{wide * drawing.height / drawing.width:.0f}"'
    box = f'viewBox="0 0 {plain(drawing.width)} {plain(drawing.height)}"'
    label = f'role="img" aria-label="{escape(drawing.label)}"'
    return f"<svg {box} {size} {label}>{''.join(elements(drawing, page.symbols))}</svg>"


def _shared(symbols: Symbols) -> str:
    """What the drawings of the page share; seen only where they use it."""
    return f'<svg class="shared" aria-hidden="true">{"".join(symbols.defined())}</svg>'


def _chart(what: str, note: str, page: _Page) -> str:
    """The chart at a size that reads on a screen; the page scrolls it."""
    block_mm = _HELD_BLOCK_MM if what == "held" else _BLOCK_MM
    room = Room(_ENDLESS_MM, _ENDLESS_MM, block_mm, _BLOCK_MM, block_mm)
    (figure,) = page.pictures.figures(what, room)
    drawn = _drawn(figure.drawing, page, figure.width_mm * _PIXELS_PER_MM)
    words = f"<figcaption>{_said(note)}</figcaption>"
    return f'<figure>{words}<div class="wide chart" tabindex="0">{drawn}</div></figure>'
