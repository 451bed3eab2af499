"""Names, titles and credits that would be markup, a formula, a path or a direction elsewhere: in
every file, read as its own kind is read, they are words and nothing more."""

from __future__ import annotations

import csv
import html.parser
import io
import json
import re
import unicodedata
import xml.etree.ElementTree as ET
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from PIL import Image
from pypdf import PdfReader
from worktables import opened_at, served

from pix2block.chart.chart import Chart
from pix2block.chart.reading import read_chart, write_chart
from pix2block.colorways.recipe import recolor
from pix2block.comparing.recipe import compare_charts
from pix2block.ground.errors import BadInput
from pix2block.options.table import Options
from pix2block.pattern.credit import open_credit
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.outputs import OUTPUTS, files_of, save
from pix2block.study.study import Study
from pix2block.trial.recipe import try_palettes
from pix2block.web.finding import words_json
from pix2block.web.rows import row_json
from pix2block.web.session import Session
from pix2block.web.shown import piece_json
from pix2block.web.table import Table
from pix2block.yarn.shelf import read_shelf
from pix2block.yarn.yarn import Yarn

# Each would make an element, an attribute or a call that is named zz9, where it is not a word.
MARKUP = "<zz9 onload=zz9()>"
NAMES = (
    *("<script>zz9()</script>", "]]><zz9>--></zz9>", "#zz9[x] $zz9$ *b*", '"><zz9 on="x">'),
    *("=HYPERLINK(zz9)", "+cmd|' /C zz9'!A0", "@SUM(zz9)", "../../zz9/etc", "\\u{41} ${zz9}"),
    *("\u202ezz9 right to left\u202c", "zz9\x1b[31m\x00red\r\n", "a" * 60),
)
TITLE = f"../../zz9 {MARKUP} #zz9() \u202e=1+1 %s {{{{zz9}}}} </title><script>zz9()</script>"
LONG = "&amp; #panic() <b>zz9</b> " * 150
CREDIT = {
    "designer": f"=zz9 {MARKUP}",
    "copyright": "#zz9[x] \u202e\x1b[31m",
    "version": "</title><zz9>",
    "level": "@SUM(zz9)",
    "notes": LONG[:3900],
}
GIVEN = ("chart.json", "shelf.csv", "credit.toml")
NEEDS_A_PICTURE = {"subject.png", "calm.csv", "calm.png"}


class Page(html.parser.HTMLParser):
    """What a browser would make of a page: its tags and attributes, and all its words."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.names: set[str] = set()
        self.said = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names |= {tag, *(name for name, _ in attrs)}

    def handle_data(self, data: str) -> None:
        self.said += data


def hostile_piece(place: Path) -> Study:
    """12 x 10 blocks in such yarns, under way, with all that words can be asked into."""
    blocks = np.arange(120).reshape(10, 12) * 7 // 10 % len(NAMES)
    yarns = [Yarn(f"Yarn {i}", f"#{20 * i:02x}{250 - 20 * i:02x}60", 4) for i in range(len(NAMES))]
    kept = json.loads(write_chart(Chart("Lantern", blocks, tuple(yarns), last_row=21)))
    for yarn, name in zip(kept["yarns"], NAMES, strict=True):
        yarn |= {"name": name, "note": f"{name} {LONG[:900]}", "lot": name, "fibre": name}
        yarn |= {"metres": 3, "grams": 2, "skeins": 1, "price": 3}
    path, shelf, credit = (place / name for name in ("chart.json", "shelf.csv", "credit.toml"))
    path.write_text(json.dumps(kept))
    with shelf.open("w", newline="") as file:
        spare: list[list[object]] = [
            ["name", "color", "metres", "skeins"],
            ["<zz9 b>", "#ff0000", 900, 9],
        ]
        csv.writer(file).writerows(spare)
    credit.write_text("\n".join(f"{key} = {json.dumps(text)}" for key, text in CREDIT.items()))
    asked = {"title": TITLE, "credit": str(credit), "done": "5", "shelf": str(shelf)}
    more = {"draw": "floats", "distance": "3m", "compare": "ways"}
    return open_chart(path, Options.from_words({**asked, **more}))


def is_plain(text: str) -> bool:
    """Whether nothing in a text is a control, or changes direction."""
    odd = ("Cc", "Cf", "Zl", "Zp", "Cs")
    return not [c for c in text if unicodedata.category(c) in odd and c not in "\n\u00ad"]


def of_html(name: str, data: bytes) -> None:
    page = Page(data.decode())
    assert not {one for one in page.names if "zz9" in one}, name
    assert "onload" not in page.names
    assert f"zz9 {MARKUP}" in page.said, name
    assert re.search(r"<script>zz9\(\)</script>", page.said), name


def of_svg(name: str, data: bytes) -> None:
    drawn = ET.fromstring(data)
    assert not [one for one in drawn.iter() if "zz9" in one.tag or "onload" in one.attrib], name
    assert MARKUP in "".join(drawn.itertext()), name


def of_csv(name: str, data: bytes) -> None:
    assert is_plain(data.decode().replace("\r\n", "\n")), name
    rows = list(csv.reader(io.StringIO(data.decode())))
    assert len({len(row) for row in rows if row}) == 1, name
    assert not [cell for row in rows for cell in row if cell[:1] in ("=", "+", "@", "\t")], name


def of_xlsx(name: str, data: bytes) -> None:
    book = openpyxl.load_workbook(io.BytesIO(data))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert not [cell.coordinate for cell in cells if cell.data_type == "f" or cell.hyperlink]
    assert "SUM(zz9)" in {cell.value for cell in cells}, name
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        assert not [one for one in packed.namelist() if ".." in one or one.startswith("/")]


def of_json(name: str, data: bytes) -> None:
    kept = json.loads(data)
    assert kept.get("title", TITLE).startswith(TITLE[:33]), name
    assert any("SUM(zz9)" in text for text in texts_of(kept)), name
    assert all(map(is_plain, texts_of(kept))), name


def texts_of(kept: Any) -> Iterator[str]:
    """Every text in a value of JSON, keys too."""
    if isinstance(kept, str):
        yield kept
    elif isinstance(kept, dict):
        for key, value in kept.items():
            yield from (key, *texts_of(value))
    elif isinstance(kept, list):
        for value in kept:
            yield from texts_of(value)


def of_txt(name: str, data: bytes) -> None:
    assert is_plain(data.decode()), name
    assert "SUM(zz9)" in data.decode(), name


def said_in(data: bytes) -> str:
    """All words of a PDF, without their spaces."""
    pages = PdfReader(io.BytesIO(data)).pages
    assert not [page for page in pages if "zz9" in str(page.get("/Annots", ""))]
    return "".join(page.extract_text() for page in pages).replace(" ", "").replace("\n", "")


def of_pdf(name: str, data: bytes) -> None:
    said = said_in(data)
    for words in (TITLE[:33], "$zz9$ *b*", "SUM(zz9)", CREDIT["copyright"][:7], LONG[:40]):
        assert words.replace(" ", "") in said, (name, words)


def of_png(name: str, data: bytes) -> None:
    image = Image.open(io.BytesIO(data))
    image.load()
    assert all(is_plain(f"{key}{value}") for key, value in image.info.items()), name


READERS = {
    ".html": of_html,
    ".svg": of_svg,
    ".csv": of_csv,
    ".xlsx": of_xlsx,
    ".json": of_json,
    ".txt": of_txt,
    ".pdf": of_pdf,
    ".png": of_png,
}


def test_every_file_of_a_hostile_piece_is_words(tmp_path: Path) -> None:
    save(hostile_piece(tmp_path), tmp_path / "out")
    made = {path.name for path in (tmp_path / "out").iterdir()}
    assert {row.name for row in OUTPUTS} - made == NEEDS_A_PICTURE
    assert {path.name for path in tmp_path.iterdir()} == {"out", *GIVEN}
    for name in sorted(made):
        READERS[Path(name).suffix](name, (tmp_path / "out" / name).read_bytes())


def beside(name: str, data: bytes) -> None:
    """What such a piece's neighbours hold."""
    if name.endswith(".html"):
        page = Page(data.decode())
        assert not {one for one in page.names if "zz9" in one or one == "on"}, name
        assert "zz9()" in page.said, name
    elif name.endswith(".pdf"):
        assert "SUM(zz9)" in said_in(data)
    elif name.endswith(".json"):
        assert all(map(is_plain, texts_of(json.loads(data)))), name
    else:
        READERS[Path(name).suffix](name, data)


def test_what_stands_beside_a_hostile_piece_is_words_too(tmp_path: Path) -> None:
    """Compared, recoloured, on trial; by names of files too. (Estimates take longer.)"""
    hostile_piece(tmp_path)
    old, new = tmp_path / "chart.json", tmp_path / f"{NAMES[2]}.json"
    kept = json.loads(old.read_text()) | {"title": TITLE[:40], "start_corner": "top-left"}
    new.write_text(json.dumps(kept))
    shelf, picture = tmp_path / "<zz9 on=x>.csv", tmp_path / "=zz9()<zz9 on=x>.png"
    rows = [[f"{name} {i}", f"#{20 * i:02x}9930", LONG] for i, name in enumerate(NAMES[:10])]
    rows += [["name", "color", "note"], ["Moss", "#5c6b3c", ""], ["Tar", "#202428", "x"]]
    with shelf.open("w", newline="") as file:
        csv.writer(file).writerows([*rows[10:11], *rows[:10], *rows[11:]])
    Image.new("RGB", (24, 20), "#305030").save(picture)
    asked = [Options(width=6, colors=number) for number in (2, 3)]
    made = {
        **files_of(compare_charts(old, new, tmp_path / "credit.toml")),
        **files_of(recolor(old, [shelf])),
        **files_of(try_palettes(picture, [str(shelf)], asked)),
    }
    for name, data in made.items():
        assert not set(name) & set("<>/\\ ="), name
        beside(name, data)


def test_ten_thousand_characters_are_refused_in_a_line(tmp_path: Path) -> None:
    hostile_piece(tmp_path)
    kept = json.loads((tmp_path / "chart.json").read_text())
    long = "zz9 " * 2500
    for change in ({"title": long}, {"yarns": [{**kept["yarns"][0], "name": long}]}):
        with pytest.raises(BadInput) as caught:
            read_chart(json.dumps(kept | change).encode(), "chart.json")
        assert len(str(caught.value)) < 300
    (tmp_path / "credit.toml").write_text(f'designer = "{long}"\n')
    for call in (
        lambda: open_chart(tmp_path / "chart.json", Options(title=long)),
        lambda: open_credit(tmp_path / "credit.toml"),
        lambda: read_shelf(f"name,color\n{long},#ff0000\n", "shelf.csv"),
    ):
        with pytest.raises(BadInput) as caught:
            call()
        assert len(str(caught.value)) < 300


def test_the_worktable_shows_a_hostile_piece_in_words(tmp_path: Path) -> None:
    save(hostile_piece(tmp_path), tmp_path / "out", only=["chart.json", "summary.json"])
    laid = Session(tmp_path / "out")
    told = [piece_json(laid), words_json(laid.study, laid.state.wanted), row_json(laid.study, 7)]
    assert all(is_plain(text) for one in told for text in texts_of(one))
    for asking in served(Table(laid, tmp_path)):
        with opened_at(asking, ".sentence") as page:
            page.keyboard.press("/")
            page.fill(".find", "title")
            page.wait_for_selector(".found li")
            assert page.locator("zz9, [onload], [on]").count() == 0
            assert MARKUP in page.inner_text("body")
            assert page.evaluate("typeof zz9") == "undefined"
