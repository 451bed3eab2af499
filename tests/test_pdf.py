"""pattern.pdf, read back by independent readers."""

from __future__ import annotations

import io
import re
import subprocess
from dataclasses import replace
from functools import cache
from itertools import pairwise, product
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
from makers import YARNS, chart_of, random_blocks
from pdf_text import text_of
from PIL import Image
from programs import needed
from pypdf import PdfReader

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.drawing.pdf_picture import with_picture
from pix2block.drawing.typesetter import CannotSet
from pix2block.ground.settings import HABITS, PAGES, Page
from pix2block.options.table import Options
from pix2block.pages.paper import MM_PER_POINT, PAPERS
from pix2block.pages.pattern_pictures import PatternPictures, photo_of
from pix2block.pages.pdf import set_pdf
from pix2block.pattern.bands import bands_of
from pix2block.pattern.credit import Credit
from pix2block.pattern.document import Document, RowEntry
from pix2block.pattern.pattern import write_rows
from pix2block.pattern.writing import write_document
from pix2block.study.study import Study
from pix2block.yarn.yarn import Yarn


@cache
def example(width: int = 15, height: int = 17, **settings: Any) -> Chart:
    """As small as can be with rows on several pages, and with bands of rows on a phone's."""
    blocks = random_blocks(np.random.default_rng(5), width, height, len(YARNS))
    settings = {"habit": HABITS["carry"], **settings}
    return Chart("Ferry Dunlin", blocks, YARNS, width + height - 1, **settings)


@cache
def made(chart: Chart, page: Page = "a4", drawn: bool = True) -> tuple[bytes, Document]:
    document = write_document(amounts_of(chart))
    return set_pdf(document, PatternPictures(chart, rows_drawn=drawn), PAPERS[page]), document


def flow_of(pdf: bytes) -> str:
    """All words without the heads and numbers of pages: on a phone a row may go on overleaf."""
    texts = [re.sub(r"\ARows? \d+(?:\u2013\d+)?\n", "", text) for text in text_of(pdf).pages]
    texts = [re.sub(r"\n\d+ of \d+\s*\Z", "", text) for text in texts]
    return " ".join(" ".join(texts).split())


def reader(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


CHARTS = {
    "noise": example(7, 9),
    "left UK hdc early": example(7, 9, hand="left", terms="uk", block="hdc", turn="early"),
    "gathered": chart_of("\n".join(["1" * 5] * 20)),
    "ends early": chart_of("000 01. 0..", last_row=3, start_corner="top-left"),
    "one block": chart_of("0"),
}


def run_in_words(entry: RowEntry, place: int, chart: Chart) -> str:
    """What a run says on paper, worked out apart from the page; lengths are left open."""
    row = entry.rows[0]
    (blocks, yarn), use = row.runs[place], row.bobbins[place]
    said = "" if len(entry.rows) > 1 else f"{blocks} "
    said += re.escape(chart.yarns[yarn].name)
    if row.bobbins_plain:
        return said
    if use.number is None:
        return f"{said} only(, [0-9.]+ m)?"  # none is told where it comes off the skein
    said += f" #{use.number}"
    does = []
    if use.new:
        does.append("new(, wind [0-9.]+ m)?")
    if use.behind_square is not None:
        does.append(f"behind {use.behind_square**0.5:.1f}")
    return " ".join([said, ", ".join([*does, *(["last"] if use.last else [])])]).strip()


# Everything on A4 with drawings and without; on a phone, where a row may go on overleaf; Letter is
# A4 of another size.
SET = [
    *product(CHARTS, ("a4",), (True,)),
    *product(("noise", "left UK hdc early", "gathered"), ("a4",), (False,)),
    *product(("noise", "left UK hdc early", "gathered"), ("phone",), (True,)),
    ("noise", "phone", False),
    ("noise", "letter", True),
]


@pytest.mark.parametrize(("name", "page", "drawn"), SET)
def test_every_row_and_run_is_told_in_order(name: str, page: Page, drawn: bool) -> None:
    chart = CHARTS[name]
    pdf, document = made(chart, page, drawn)
    words = flow_of(pdf)
    words = words.replace("\u00a0", " ")
    place = words.index(document_piece(document))
    for entry in document.row_entries():
        runs = (run_in_words(entry, i, chart) for i in range(len(entry.rows[0].runs)))
        found = re.compile(", ".join(runs) + r"\. \d").search(words, place)
        assert found, entry.first_line
        place = found.end() - 1


def test_how_rows_begin_and_end_is_said_where_it_changes() -> None:
    chart = example()
    words = text_of(made(chart)[0]).words
    bands = [band for band in bands_of(write_rows(chart, amounts_of(chart).plan)) if band.words]
    assert [(band.first, band.last) for band in bands] == [(2, 15), (18, 30)]
    for band in bands:
        assert words.count(f"Rows {band.first} to {band.last}") == 1
    assert "Grow. Full." not in words.partition("The work, row by row")[2]


def test_pages_of_rows_say_which_in_their_head() -> None:
    pdf, _ = made(example())
    heads = [
        found.groups()
        for text in text_of(pdf).pages
        if (found := re.search(r"Rows (\d+)\u2013(\d+)\n", text))
    ]
    assert len(heads) > 2
    assert int(heads[0][0]) == 1
    assert int(heads[-1][1]) == example().last_row
    for (_, last), (first, _) in pairwise(heads):
        assert int(first) == int(last) + 1


def document_piece(document: Document) -> str:
    return document.description.partition("pattern. ")[2]


def test_it_says_what_it_is() -> None:
    chart = CHARTS["noise"]
    credit = Credit(designer="Lantern Boathouse")
    document = write_document(amounts_of(chart), credit)
    read = reader(set_pdf(document, PatternPictures(chart), PAPERS["a4"]))
    root: Any = read.trailer["/Root"]
    assert read.metadata
    assert read.metadata.title == "Ferry Dunlin"
    assert read.metadata.author == "Lantern Boathouse"
    assert root["/Lang"] == "en-GB"
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert "<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data().decode()
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]


def titles(outline: list[Any]) -> list[str]:
    return [item.title for item in outline if not isinstance(item, list)]


def test_the_front_promises_what_was_checked_and_nothing_else() -> None:
    chart = CHARTS["ends early"]
    document = write_document(amounts_of(chart))
    told = {
        name: "Checked stitch by stitch"
        in text_of(set_pdf(document, PatternPictures(chart), PAPERS["a4"], holds=holds)).words
        for name, holds in (("holds", lambda: True), ("fails", lambda: False), ("unasked", None))
    }
    assert told == {"holds": True, "fails": False, "unasked": False}
    edition = Study(chart).own
    assert "Checked stitch by stitch" in text_of(edition.pdf).words
    left_out = replace(edition, options=Options(without=("proof",)))
    assert "Checked" not in text_of(left_out.pdf).words


def test_skeins_are_told_where_yarns_come_from_a_picture() -> None:
    chart = replace(example(30, 30), yarns=tuple(Yarn(y.name, y.color) for y in YARNS))
    amounts = amounts_of(chart)
    pictures = PatternPictures(chart, rows_drawn=False)
    pdf = set_pdf(write_document(amounts), pictures, PAPERS["a4"])
    text = " ".join(text_of(pdf).pages[0].split())
    for yarn, amount in zip(chart.yarns, amounts.yarns, strict=True):
        most = amount.grams * amount.metres_high / amount.metres
        count = -int(-most // 100)
        assert f"about {count} skein{'s' if count > 1 else ''} of 100 g" in text, yarn.name


def test_bookmarks_and_page_numbers() -> None:
    pdf, document = made(example())
    read = reader(pdf)
    marks = titles(read.outline)
    headings = [section.heading for section in document.sections]
    assert [mark for mark in marks if mark in headings] == marks
    left_out = {"The chart in bands of rows", "Tails"}  # one page is enough; the front tells them
    assert set(headings) - set(marks) <= left_out
    below = [title for item in read.outline if isinstance(item, list) for title in titles(item)]
    assert [t for t in below if t.startswith("Rows")] == ["Rows 2 to 15", "Rows 18 to 30"]
    texts = text_of(pdf).pages
    for number, text in enumerate(texts, 1):
        assert f"{number} of {len(texts)}" in text


@pytest.mark.parametrize("page", PAGES)
def test_pages_have_their_size_and_none_is_empty(page: Page) -> None:
    paper = PAPERS[page]
    pdf, _ = made(example(), page)
    lie = 0
    for sheet, words in zip(reader(pdf).pages, text_of(pdf).pages, strict=True):
        size = (float(sheet.mediabox.width), float(sheet.mediabox.height))
        sides = (paper.width_mm / MM_PER_POINT, paper.height_mm / MM_PER_POINT)
        turned = size[0] > size[1]  # a band of rows lies on its side
        assert size == pytest.approx(sides[::-1] if turned else sides, abs=0.1)
        lie += turned
        assert re.sub(r"\d+ of \d+|Ferry Dunlin", "", words).strip()
    assert (lie > 0) == (page == "phone")


@pytest.mark.parametrize("page", PAGES)
def test_no_type_is_smaller_than_nine_points(page: Page) -> None:
    sizes = text_of(made(example(), page)[0]).sizes
    assert sizes
    assert min(sizes) >= 8.9
    assert {PAPERS[page].text_pt} <= sizes


@pytest.mark.usefixtures("afresh")
def test_the_same_bytes_every_time() -> None:
    chart = CHARTS["noise"]
    assert made(chart, "a4", True)[0] == made.__wrapped__(chart)[0]


@pytest.mark.parametrize("set_apart", [True, False])
@pytest.mark.parametrize("lines", ["0", "0120 1021"])
def test_the_front_has_the_fabric_pixel_by_pixel(
    set_apart: bool, lines: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As the PNG has it packed, and as typst packs it where it writes what is not expected."""
    chart = chart_of(lines)
    pictures = PatternPictures(chart)
    if not set_apart:
        monkeypatch.setattr("pix2block.pages.pdf.with_picture", lambda *_: None)
    made = set_pdf(write_document(amounts_of(chart)), pictures, PAPERS["a4"])
    (drawn,) = pypdfium2.PdfDocument(made)[0].get_objects([pypdfium2.raw.FPDF_PAGEOBJ_IMAGE])
    with Image.open(io.BytesIO(pictures.fabric.data)) as fabric:
        pixels = np.asarray(drawn.get_bitmap().to_pil().convert("RGB"))
        assert (pixels == np.asarray(fabric.convert("RGB"))).all()
    assert made.count(b"%%EOF") == 1 + set_apart


def test_a_picture_goes_only_where_its_stand_in_is() -> None:
    pdf = (
        b"%PDF-1.7\n1 0 obj\n<</Subtype/Image/Width 1/Height 1/ColorSpace 2 0 R>>\nendobj\n"
        b"trailer\n<</Size 2>>\nstartxref\n9\n%%EOF"
    )
    for mode, can in (("RGB", True), ("P", True), ("L", False), ("RGBA", False)):
        out = io.BytesIO()
        Image.new(mode, (3, 2)).save(out, "PNG")
        assert bool(with_picture(pdf, out.getvalue())) == can
        assert with_picture(pdf.replace(b"Width 1", b"Width 2"), out.getvalue()) is None
        assert with_picture(pdf.replace(b"trailer", b"stream"), out.getvalue()) is None


def test_a_photo_stands_on_the_front_page() -> None:
    chart = CHARTS["ends early"]
    pictures = PatternPictures(chart)
    photo = photo_of(pictures.cover.data, chart.title)
    document = write_document(amounts_of(chart))
    plain = reader(set_pdf(document, pictures, PAPERS["a4"])).pages[0].images
    more = reader(set_pdf(document, PatternPictures(chart, photo), PAPERS["a4"])).pages[0].images
    assert len(more) == len(plain) + 1 == 2


def test_a_letter_that_the_font_lacks_is_an_error_not_a_box() -> None:
    chart = chart_of("0", title="\u706f")
    with pytest.raises(CannotSet, match="cannot be set"):
        made(chart)


def test_names_are_data_and_never_markup() -> None:
    chart = chart_of("0", title='#panic("x") *Tallow* $x$ <a> \\ "q" @b // c')
    assert '#panic("x") *Tallow* $x$ <a> \\ "q" @b // c' in text_of(made(chart)[0]).words


def test_another_reader_finds_the_rows(tmp_path: Path) -> None:
    """Poppler's text of the PDF."""
    program = needed("pdftotext")
    pdf, document = made(CHARTS["left UK hdc early"], "a4", True)
    (tmp_path / "pattern.pdf").write_bytes(pdf)
    found = subprocess.run(
        [program, str(tmp_path / "pattern.pdf"), "-"], capture_output=True, check=True
    )
    words = " ".join(found.stdout.decode().split())
    for entry in document.row_entries():
        blocks, yarn = entry.rows[0].runs[-1]
        assert f"{blocks} {YARNS[yarn].name}" in words


def test_what_a_drawn_row_shows_is_told() -> None:
    words = text_of(made(example())[0]).words
    assert "A ring is a stitch marker" in words
    assert "A ring is a stitch marker" not in text_of(made(CHARTS["gathered"], "a4", True)[0]).words
