"""Pages of pattern.pdf as poppler draws them: nothing cut off, none nearly empty."""

from __future__ import annotations

import io
import re
import subprocess
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageSequence
from programs import needed
from small import small_sample

from pix2block import Options, chart_picture, stripe_plan
from pix2block.ground.settings import PAGES, Page, RowsShown
from pix2block.pages.paper import PAPERS
from pix2block.pages.pdf import set_pdf
from pix2block.study.editions import Edition, editions_of
from pix2block.study.study import Study

SAMPLES = Path(__file__).parents[1] / "sample_images"
DOTS_A_MM = 2  # as pages are drawn here
EDGE_MM = 1.5  # at every side of a page nothing may stand
LEAST_SHARE = 0.1  # of a page's lines of dots that have ink, between its head and its foot
PLANS = {"stripes": "ferry_scarf.toml", "shawl": "boathouse_shawl.toml"}
PLANS |= {"blanket": "tallow_blanket.toml"}
PIECES = ("cat", "badge", "stripes", "square")
# A piece has another edition on each paper, so that every edition is seen on every paper and of
# every piece but one, and nothing is set twice.
EDITIONS = ("right-us", "left-uk", "left-us", "right-uk")


@cache
def study(piece: str) -> Study:
    if piece == "cat":
        return chart_picture(small_sample("tallow_cat.jpg"), Options(width=18, colors=6))
    if piece == "badge":
        shelf = str(SAMPLES / "shelf_24.csv")
        asked = Options(width=18, colors=4, shelf=shelf, hand="left", terms="uk")
        return chart_picture(small_sample("club_badge.png"), asked)
    if piece == "square":
        return chart_picture(small_sample("club_badge.png"), Options(width=12, height=12, colors=2))
    made = stripe_plan(SAMPLES / PLANS[piece])
    assert isinstance(made, Study)
    return made


@cache
def editions(piece: str, rows: RowsShown) -> dict[str, Edition]:
    return editions_of(study(piece).amounts, Options(rows=rows, editions="all"))


def edition_of(piece: str, page: Page, rows: RowsShown = "drawn") -> Edition:
    at = PIECES.index(piece) if piece in PIECES else 0
    return editions(piece, rows)[EDITIONS[(at + PAGES.index(page)) % len(EDITIONS)]]


@cache
def pdf_of(piece: str, page: Page, rows: RowsShown) -> bytes:
    edition = edition_of(piece, page, rows)
    return set_pdf(edition.document, edition.pictures, PAPERS[page])


def test_every_edition_is_seen_on_every_paper() -> None:
    seen = {
        (page, edition_of(piece, page).amounts.chart.hand, edition_of(piece, page).text.count("UK"))
        for piece, page in product(PIECES, PAGES)
    }
    assert len({(page, hand, uk > 0) for page, hand, uk in seen}) == 4 * len(PAGES)


@cache
def pages_of(piece: str, page: Page, rows: RowsShown) -> list[NDArray[np.bool_]]:
    """Where ink is, a page after another."""
    program = needed("pdftoppm")
    pdf = pdf_of(piece, page, rows)
    resolution = str(round(DOTS_A_MM * 25.4))
    drawn = subprocess.run(
        [program, "-r", resolution, "-gray", "-"], input=pdf, capture_output=True, check=True
    )
    return [np.asarray(sheet) < 160 for sheet in _sheets(drawn.stdout)]


def _sheets(data: bytes) -> list[Image.Image]:
    """The pictures that stand one after another in a stream of PGM."""
    found, at = [], 0
    while at < len(data):
        picture = Image.open(io.BytesIO(data[at:]))
        head = f"P5\n{picture.width} {picture.height}\n255\n"
        at += len(head) + picture.width * picture.height
        found.append(next(iter(ImageSequence.Iterator(picture))).convert("L"))
    return found


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("piece", PIECES)
def test_no_ink_is_at_the_edge_of_a_page(piece: str, page: Page) -> None:
    edge = round(EDGE_MM * DOTS_A_MM)
    for number, ink in enumerate(pages_of(piece, page, "drawn"), 1):
        sides = {
            "top": ink[:edge],
            "bottom": ink[-edge:],
            "left": ink[:, :edge],
            "right": ink[:, -edge:],
        }
        assert [name for name, part in sides.items() if part.any()] == [], f"page {number}"


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("piece", PIECES)
def test_no_page_holds_a_heading_or_two_lines_alone(piece: str, page: Page) -> None:
    for number, ink in enumerate(pages_of(piece, page, "drawn"), 1):
        height, width = ink.shape
        body = ink[round(0.06 * height) : round(0.94 * height), round(0.08 * width) :]
        body = body[:, : round(0.84 * width)]  # without the numbers on the outer edge
        assert body.any(axis=1).mean() > LEAST_SHARE, f"page {number}"


@pytest.mark.parametrize(
    ("piece", "rows", "most"),
    [
        ("cat", "drawn", 7),
        ("badge", "drawn", 7),
        ("badge", "words", 6),
        ("stripes", "drawn", 6),
        ("stripes", "words", 6),
        ("shawl", "drawn", 5),
        ("square", "drawn", 5),
        ("square", "words", 5),
    ],
)
def test_a_pattern_takes_few_pages(piece: str, rows: RowsShown, most: int) -> None:
    assert len(pages_of(piece, "a4", rows)) <= most


@cache
def words_of(piece: str, page: Page) -> list[list[tuple[float, float, float, float, str]]]:
    """The words of every page and where they stand: left, top, right, bottom in points."""
    program = needed("pdftotext")
    pdf = pdf_of(piece, page, "drawn")
    told = subprocess.run([program, "-bbox", "-", "-"], input=pdf, capture_output=True, check=True)
    found = [
        re.findall(r'<word xMin="(.*?)" yMin="(.*?)" xMax="(.*?)" yMax="(.*?)">([^<]*)<', text)
        for text in told.stdout.decode().split("<page ")[1:]
    ]
    return [[(*map(float, word[:4]), word[4]) for word in page] for page in found]


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("piece", PIECES)
def test_no_heading_is_the_last_line_of_a_page(piece: str, page: Page) -> None:
    sections = [section.heading for section in edition_of(piece, page).document.sections]
    for number, words in enumerate(words_of(piece, page), 1):
        lines: dict[int, list[tuple[float, str]]] = {}
        for left, _, _, bottom, word in words:
            lines.setdefault(round(bottom), []).append((left, word))
        told = [" ".join(word for _, word in sorted(lines[at])) for at in sorted(lines)]
        assert not set(told[-2:]) & set(sections), f"page {number}"  # the last line is its number


@pytest.mark.parametrize(
    ("piece", "page"), [*product(PIECES, PAGES), ("blanket", "a4"), ("blanket", "letter")]
)
def test_no_word_lies_over_another(piece: str, page: Page) -> None:
    """Heads of tables are words, too. Words of drawings are left out: a count lies on its tip."""
    for number, words in enumerate(words_of(piece, page), 1):
        found = [word for word in words if re.search("[a-z]{2}", word[4])]
        boxes = np.array([word[:4] for word in found])
        if not len(boxes):
            continue
        left, top, right, bottom = boxes.T
        # Lines may be closer than their type is high; half of it is too close.
        high = (bottom - top) / 4
        wide = np.minimum.outer(right, right) - np.maximum.outer(left, left)
        deep = np.minimum.outer(bottom - high, bottom - high) - np.maximum.outer(
            top + high, top + high
        )
        over = np.argwhere(np.triu((wide > 1) & (deep > 0), 1))
        assert [(found[a][4], found[b][4]) for a, b in over] == [], f"page {number}"
