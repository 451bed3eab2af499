"""The written pattern of a chart as files: text, web page and PDF, in one edition or in several."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import Chart
from pix2block.color.names import name_colors
from pix2block.drawing.glyphs import missing
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.settings import DEFAULT_PAGE, HANDS, TERMS, Hand, StartCorner, Terms
from pix2block.options.table import Options
from pix2block.pages.paper import PAPERS
from pix2block.pages.pattern_pictures import PatternPictures, Raster, photo_of
from pix2block.pages.pdf import CannotSet, set_pdf
from pix2block.pages.web_page import web_page
from pix2block.pattern.credit import NO_CREDIT, Credit, open_credit
from pix2block.pattern.text import document_text
from pix2block.pattern.writing import write_document
from pix2block.yarn.yarn import Yarn, name_key

_UNTITLED = "Corner-to-corner pattern"
_LEFT_OUT = "\u2026"


@dataclass(frozen=True)
class Edition:
    """A pattern in one hand and one country's terms. name: in its files' names, empty for the
    chart's own; text: pattern.txt; files: by name; notes: what a maker should know, a sentence
    each."""

    amounts: Amounts
    name: str
    text: str
    files: dict[str, bytes]
    notes: tuple[str, ...]


def editions_of(amounts: Amounts, options: Options) -> Iterator[Edition]:
    """The chart's own edition, then where all are asked for each hand with each country's terms.

    Raises BadInput for a credit file or photo that cannot be read.
    """
    credit = open_credit(options.credit) if options.credit else NO_CREDIT
    photo = photo_of(credit.photo, amounts.chart.title) if credit.photo else None
    own = _edition(amounts, "", credit, photo, options)
    yield own
    if options.editions != "all":
        return
    chart = amounts.chart
    for hand in HANDS:
        of_hand = amounts if hand == chart.hand else amounts_of(for_hand(chart, hand))
        for terms in TERMS:
            name = f".{hand}-{terms}"
            if (hand, terms) == (chart.hand, chart.terms):
                files = {_named(file, name): data for file, data in own.files.items()}
                yield replace(own, name=name, files=files, notes=())
            else:
                yield _edition(in_terms(of_hand, terms), name, credit, photo, options)


def for_hand(chart: Chart, hand: Hand) -> Chart:
    """The same piece for the other hand. It starts at the mirrored corner; a piece that ends early
    keeps its corner, since its blocks lie there. The picture is never mirrored."""
    if hand == chart.hand:
        return chart
    corner = chart.start_corner if chart.ends_early else _MIRRORED[chart.start_corner]
    return replace(chart, hand=hand, start_corner=corner)


_MIRRORED: dict[StartCorner, StartCorner] = {
    "bottom-right": "bottom-left",
    "bottom-left": "bottom-right",
    "top-right": "top-left",
    "top-left": "top-right",
}


def in_terms(amounts: Amounts, terms: Terms) -> Amounts:
    """The same amounts, told in a country's terms."""
    return replace(amounts, chart=replace(amounts.chart, terms=terms))


def _named(file: str, edition: str) -> str:
    stem, dot, ending = file.rpartition(".")
    return f"{stem}{edition}{dot}{ending}"


def _edition(
    amounts: Amounts, name: str, credit: Credit, photo: Raster | None, options: Options
) -> Edition:
    every_row = bool(options.every_row)
    document = write_document(amounts, credit, every_row)
    text = document_text(document)
    pictures = PatternPictures(amounts.chart, photo)
    files = {"pattern.txt": text.encode(), "pattern.html": web_page(document, pictures).encode()}
    notes: tuple[str, ...] = ()
    if "pdf" not in (options.without or ()):
        files["pattern.pdf"], notes = _pdf(amounts, credit, photo, options)
    return Edition(amounts, name, text, {_named(f, name): d for f, d in files.items()}, notes)


def _pdf(
    amounts: Amounts, credit: Credit, photo: Raster | None, options: Options
) -> tuple[bytes, tuple[str, ...]]:
    """The PDF, and what it could not show as it is written."""
    paper = PAPERS[options.page or DEFAULT_PAGE]
    every_row = bool(options.every_row)

    def pdf(of: Amounts, by: Credit, system_fonts: bool) -> bytes:
        document = write_document(of, by, every_row)
        return set_pdf(document, PatternPictures(of.chart, photo), paper, system_fonts)

    plain_amounts, plain_credit, told = printable(amounts, credit)
    if not told:
        return pdf(amounts, credit, False), ()
    if options.letters == "system":
        try:
            return pdf(amounts, credit, True), ()
        except CannotSet:
            advice = Advice("no font of this machine has them all")
    else:
        advice = Advice(Ask("letters", "system"), " takes them from this machine's fonts")
    notes = tuple(Advice(f"pattern.pdf: {line}; ", *advice.parts) for line in told)
    return pdf(plain_amounts, plain_credit, False), notes


def printable(amounts: Amounts, credit: Credit) -> tuple[Amounts, Credit, tuple[str, ...]]:
    """The same with names and texts that the shipped font can show, and what was changed, a
    sentence each. A yarn is then told by its number and a plain word for its colour."""
    chart, told = amounts.chart, []
    plain = name_colors(chart.yarn_rgb)
    taken = {name_key(yarn.name) for yarn in chart.yarns}
    yarns: list[Yarn] = []
    for number, yarn in enumerate(chart.yarns, 1):
        lacking = missing(yarn.name)
        if lacking:
            name = f"Yarn {number} {plain[number - 1].lower()}"
            while name_key(name) in taken:
                name = f"{name} too"
            taken.add(name_key(name))
            told.append(f'its font lacks "{lacking}", so {yarn.name} is called "{name}"')
            yarn = replace(yarn, name=name)
        yarns.append(yarn)
    fibres = [replace(yarn, fibre=_shown(yarn.fibre)) if yarn.fibre else yarn for yarn in yarns]
    title = _shown(chart.title) or _UNTITLED
    plain_credit = replace(
        credit,
        designer=_shown(credit.designer),
        copyright=_shown(credit.copyright),
        version=_shown(credit.version),
        date=_shown(credit.date),
        level=_shown(credit.level),
        notes=tuple(note for text in credit.notes if (note := _shown(text))),
    )
    if title != chart.title:
        told.append(f'its font lacks "{missing(chart.title)}" of the title')
    if plain_credit != credit:
        told.append("its font lacks some characters of the credit file, which are left out")
    shown = replace(amounts, chart=replace(chart, title=title, yarns=tuple(fibres)))
    return shown, plain_credit, tuple(told)


def _shown(text: str | None) -> str | None:
    """A text with each stretch that the font lacks left out, and dots in its place."""
    if text is None or not missing(text):
        return text
    lacking = set(missing(text))
    kept = "".join("\0" if c in lacking else c for c in text)
    parts = [part.strip() for part in kept.split("\0") if part.strip()]
    return f" {_LEFT_OUT} ".join(parts) if parts else None
