"""The written pattern of a chart in one hand and one country's terms, or in several."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cached_property

from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.yarn_order import renamed
from pix2block.color.names import name_colors
from pix2block.drawing.glyphs import missing
from pix2block.drawing.typesetter import CannotSet
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import (
    DEFAULT_INK,
    DEFAULT_PAGE,
    DEFAULT_ROWS,
    HANDS,
    START_CORNERS,
    TERMS,
    Hand,
    StartCorner,
    Terms,
    say_corner,
)
from pix2block.options.table import Options
from pix2block.pages.hookside import hookside_page
from pix2block.pages.paper import PAPERS, Paper
from pix2block.pages.pattern_pictures import PatternPictures, Raster, photo_of
from pix2block.pages.pdf import begin_pdf, set_pdf
from pix2block.pages.web_page import web_page
from pix2block.pattern.credit import NO_CREDIT, Credit, open_credit
from pix2block.pattern.document import Document
from pix2block.pattern.pattern import PatternRow, write_rows
from pix2block.pattern.text import document_text
from pix2block.pattern.writing import write_document
from pix2block.proof.compare import Proof, prove
from pix2block.proof.reader import read_head
from pix2block.yarn.yarn import name_key

_UNTITLED = "Corner-to-corner pattern"
_LEFT_OUT = "\u2026"


@dataclass(frozen=True, eq=False)
class Edition:
    """A pattern in one hand and one country's terms; all of it is worked out once, when it is asked
    for. options: those that shape a pattern; photo: of the piece."""

    amounts: Amounts
    options: Options
    credit: Credit = NO_CREDIT
    photo: Raster | None = None

    def __repr__(self) -> str:
        chart = self.amounts.chart
        return f"Edition({chart.title!r}, {chart.hand} hand, {chart.terms.upper()} terms)"

    @cached_property
    def rows(self) -> tuple[PatternRow, ...]:
        """What each row says, in working order."""
        return tuple(write_rows(self.amounts.chart, self.amounts.plan))

    @cached_property
    def document(self) -> Document:
        """The pattern as sections, in no format."""
        return write_document(self.amounts, self.credit, bool(self.options.every_row), self.rows)

    @cached_property
    def text(self) -> str:
        """pattern.txt."""
        return document_text(self.document)

    @cached_property
    def pictures(self) -> PatternPictures:
        """What the pages draw beside the words."""
        return self._pictures(self.amounts.chart)

    @property
    def html(self) -> str:
        """pattern.html."""
        return web_page(self.document, self.pictures)

    @property
    def hookside(self) -> str:
        """hookside.html."""
        return hookside_page(self.amounts, self.rows)

    @property
    def pdf(self) -> bytes:
        """pattern.pdf."""
        return self.begin_pdf()()

    def begin_pdf(self) -> Callable[[], bytes]:
        """pattern.pdf up to where all is ready to be set; what is returned sets it, and meanwhile
        leaves the interpreter to others."""
        if self._by_this_machine:
            return lambda: self._set[0]
        document, pictures = self._shown if self._printable[2] else (self.document, self.pictures)
        return begin_pdf(document, pictures, self._paper, holds=self._holds)

    @property
    def notes(self) -> tuple[str, ...]:
        """What pattern.pdf could not show as it is written, a sentence each."""
        if self._by_this_machine:
            return self._set[1]
        from_here = Ask("letters", "system"), " takes them from this machine's fonts"
        return _notes(self._printable[2], *from_here)

    @cached_property
    def proof(self) -> Proof:
        """What came of working the text stitch by stitch."""
        return check_pattern(self.amounts, self.text)

    @property
    def _holds(self) -> Callable[[], bool] | None:
        """Tells whether the proof holds; None where it is left out."""
        return None if "proof" in (self.options.without or ()) else lambda: self.proof.holds

    @cached_property
    def _printable(self) -> tuple[Amounts, Credit, tuple[str, ...]]:
        return printable(self.amounts, self.credit)

    def _pictures(self, chart: Chart) -> PatternPictures:
        rows_drawn = (self.options.rows or DEFAULT_ROWS) == "drawn"
        in_color = (self.options.ink or DEFAULT_INK) == "color"
        return PatternPictures(chart, self.photo, rows_drawn, in_color)

    @property
    def _paper(self) -> Paper:
        return PAPERS[self.options.page or self.amounts.chart.page or DEFAULT_PAGE]

    @property
    def _by_this_machine(self) -> bool:
        """Whether fonts of this machine are to help out."""
        return bool(self._printable[2]) and self.options.letters == "system"

    @property
    def _shown(self) -> tuple[Document, PatternPictures]:
        """The pattern in characters that the shipped font has."""
        amounts, credit, _ = self._printable
        document = write_document(amounts, credit, bool(self.options.every_row), self.rows)
        return document, self._pictures(amounts.chart)

    @cached_property
    def _set(self) -> tuple[bytes, tuple[str, ...]]:
        """The PDF with this machine's fonts, and what it could not show all the same."""
        try:
            return set_pdf(self.document, self.pictures, self._paper, True, self._holds), ()
        except CannotSet:
            told = _notes(self._printable[2], "no font of this machine has them all")
            return set_pdf(*self._shown, self._paper, False, self._holds), told


def _notes(told: tuple[str, ...], *advice: str | Ask) -> tuple[str, ...]:
    return tuple(Advice(f"pattern.pdf: {line}; ", *advice) for line in told)


def check_pattern(amounts: Amounts, text: str) -> Proof:
    """Work a pattern's words stitch by stitch, and compare what comes of them with the chart and
    its strands."""
    runs = amounts.chart.runs
    places = list(zip(runs.row.tolist(), runs.number.tolist(), strict=True))
    paths = [[places[run] for run in path] for path in amounts.plan.paths]
    return prove(text, amounts.chart, paths)


def chart_as_told(chart: Chart, text: str) -> Chart:
    """The same piece in the hand, from the corner and in the terms that a pattern's head line
    tells; as it is where no head line can be read. A piece that ends early keeps its corner."""
    head = read_head(text)
    if head is None:
        return chart
    corners = {say_corner(corner): corner for corner in START_CORNERS}
    told = replace(
        replace(chart, done=None),
        hand=next(hand for hand in HANDS if hand == head.hand),
        start_corner=chart.start_corner if chart.ends_early else corners[head.corner],
        terms=next(terms for terms in TERMS if terms.upper() == head.terms),
    )
    return replace(told, done=chart.done) if told.layout == chart.layout else told


def editions_of(amounts: Amounts, options: Options) -> dict[str, Edition]:
    """The chart's own edition, under "", then with all editions each hand with each country's
    terms, as "left-uk"; the one of these that is the chart's own is not made twice.

    Raises BadInput for a credit file or photo that cannot be read.
    """
    credit = open_credit(options.credit) if options.credit else NO_CREDIT
    photo = None if credit.photo is None else photo_of(credit.photo, amounts.chart.title)
    own, chart = Edition(amounts, options, credit, photo), amounts.chart
    editions, by_hand = {"": own}, {chart.hand: amounts}
    for name, (hand, terms) in named_editions(chart, options).items():
        if (hand, terms) == (chart.hand, chart.terms):
            editions[name] = own
            continue
        if hand not in by_hand:
            by_hand[hand] = amounts_of(for_hand(chart, hand))
        editions[name] = replace(own, amounts=in_terms(by_hand[hand], terms))
    return editions


def named_editions(chart: Chart, options: Options) -> dict[str, tuple[Hand, Terms]]:
    """The editions that are asked for, or were when the chart was kept, beside its own, by name."""
    if (options.editions or chart.editions) != "all":
        return {}
    return {f"{hand}-{terms}": (hand, terms) for hand in HANDS for terms in TERMS}


def for_hand(chart: Chart, hand: Hand) -> Chart:
    """The same piece for the other hand. It starts at the mirrored corner; a piece that ends early
    keeps its corner, since its blocks lie there, and so does one in stripes, whose rows are of one
    yarn each from that corner alone. The picture is never mirrored. Rows that are made are made in
    one hand."""
    if hand == chart.hand:
        return chart
    kept = replace(chart, hand=hand, done=None)
    if chart.ends_early:
        return kept
    mirrored = replace(kept, start_corner=_MIRRORED[chart.start_corner])
    in_stripes = len(kept.runs) == kept.last_row < len(mirrored.runs)
    return kept if in_stripes else mirrored


_MIRRORED: dict[StartCorner, StartCorner] = {
    "bottom-right": "bottom-left",
    "bottom-left": "bottom-right",
    "top-right": "top-left",
    "top-left": "top-right",
}


def in_terms(amounts: Amounts, terms: Terms) -> Amounts:
    """The same amounts, told in a country's terms."""
    return replace(amounts, chart=replace(amounts.chart, terms=terms))


def printable(amounts: Amounts, credit: Credit) -> tuple[Amounts, Credit, tuple[str, ...]]:
    """The same with names and texts that the shipped font can show, and what was changed, a
    sentence each. A yarn is then told by its number and a plain word for its colour."""
    chart, told = amounts.chart, []
    plain = name_colors(chart.yarn_rgb)
    taken = {name_key(yarn.name) for yarn in chart.yarns}
    names: list[str] = []
    for number, yarn in enumerate(chart.yarns, 1):
        name = yarn.name
        lacking = missing(yarn.name)
        if lacking:
            name = f"Yarn {number} {plain[number - 1].lower()}"
            while name_key(name) in taken:
                name = f"{name} too"
            taken.add(name_key(name))
            told.append(f'its font lacks "{lacking}", so {yarn.name} is called "{name}"')
        names.append(name)
    called = renamed(chart, names)
    yarns = tuple(
        replace(yarn, fibre=_shown(yarn.fibre), note=_shown(yarn.note_line or None))
        for yarn in called.yarns
    )
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
    shown = replace(amounts, chart=replace(called, title=title, yarns=yarns))
    return shown, plain_credit, tuple(told)


def _shown(text: str | None) -> str | None:
    """A text with each stretch that the font lacks left out, and dots in its place."""
    if text is None or not missing(text):
        return text
    lacking = set(missing(text))
    kept = "".join("\0" if c in lacking else c for c in text)
    parts = [part.strip() for part in kept.split("\0") if part.strip()]
    return f" {_LEFT_OUT} ".join(parts) if parts else None
