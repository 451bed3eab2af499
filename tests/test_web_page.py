"""pattern.html: one file, well-formed, that needs no network."""

from __future__ import annotations

import re
import subprocess
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from makers import YARNS, chart_of, charts, random_blocks
from programs import needed

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.color.spaces import contrast, from_hex
from pix2block.drawing.style import THEMES
from pix2block.ground.settings import HABITS, Habit
from pix2block.pages.pattern_pictures import PatternPictures
from pix2block.pages.shipped import style_sheet, template
from pix2block.pages.web_page import web_page
from pix2block.pattern.writing import write_document


def page_of(chart: Chart, every_row: bool = False) -> str:
    document = write_document(amounts_of(chart), every_row=every_row)
    return web_page(document, PatternPictures(chart))


def parsed(page: str) -> ET.Element:
    assert page.startswith("<!DOCTYPE html>\n")
    return ET.fromstring(page.removeprefix("<!DOCTYPE html>\n"))


def text_of(element: ET.Element) -> str:
    return " ".join("".join(element.itertext()).split())


@given(charts(most_side=6))
@settings(max_examples=10)
def test_rows_are_those_of_the_pattern(chart: Chart) -> None:
    document = write_document(amounts_of(chart))
    root = parsed(web_page(document, PatternPictures(chart)))
    (listed,) = root.iter("ol")
    items = list(listed)
    for item, entry in zip(items, document.row_entries(), strict=True):
        words = text_of(item)
        assert words.startswith(entry.first_line)
        for line in entry.more_lines:
            assert line in words
        boxes = [box.get("data-row") for box in item.iter("input")]
        assert boxes == [str(row.row.number) for row in entry.rows]
        strips = [e for e in item.iter("div") if (e.get("class") or "").startswith("strip")]
        for strip, row in zip(strips, entry.rows[:2], strict=True):
            assert strip.get("aria-label") == f"Row {row.row.number} as it lies in the hands"
            assert strip.get("class") == f"strip {chart.hand}"
            start, *runs = [e for e in strip.iter("svg") if e.get("class") != "stop"]
            assert text_of(start) == str(row.row.number)
            assert len(strip.findall(".//svg[@class='stop']")) == (row.row.ends == "stop")
            for run, (blocks, _), bobbin in zip(runs, row.runs, row.bobbins, strict=True):
                assert run.get("class") == f"w{min(blocks, 3)}"
                count, *number = [text.text or "" for text in run.findall("text")]
                assert count == str(blocks)
                told = [] if row.bobbins_plain or not bobbin.number else [str(bobbin.number)]
                assert [text.removeprefix("#") for text in number] == told


def test_each_thing_is_drawn_once_and_everything_used_is_there() -> None:
    chart = chart_of("\n".join(["01230" * 8] * 30))
    page = page_of(chart)
    root = parsed(page)
    (shared,) = [e for e in root.iter("svg") if e.get("class") == "shared"]
    defined = {e.get("id"): ET.tostring(e) for e in shared.iter() if e.get("id")}
    alone = [re.sub(rb' id="m\d+"', b"", text) for text in defined.values()]
    assert len(set(alone)) == len(alone)
    used = {(e.get("href") or "")[1:] for e in root.iter("use")}
    used |= set(re.findall(r"url\(#(\w+)\)", page))
    assert used == set(defined)
    charts = [e for e in root.iter("div") if e.get("class") == "wide chart"]
    fills = [
        [use.get("href") for use in chart.iter("use") if "url" not in (use.get("fill") or "url")]
        for chart in charts
    ]
    assert len(fills) == 2  # as seen, as held: one set of paths
    assert fills[0] == fills[1] != []


def test_a_page_is_small() -> None:
    """Noise of 40 x 40 blocks, more runs than a calmed photo of 60 x 75 has. Measured: 478 kB."""
    blocks = random_blocks(np.random.default_rng(5), 40, 40, 4)
    chart = Chart("Noise", blocks, YARNS, last_row=79)
    assert len(chart.runs.blocks) > 900
    assert len(page_of(chart).encode()) < 600_000


def test_it_needs_nothing_from_elsewhere() -> None:
    page = page_of(chart_of("0110 1001 0011"))
    root = parsed(page)
    for element in root.iter():
        for name in ("src", "href", "srcset", "action", "data"):
            link = element.get(name)
            assert link is None or link.startswith(("data:image/", "#")), name
    css = page.split("</style>")[0]
    assert len(re.findall(r"url\(", css)) == len(re.findall(r"url\(data:font/woff2;", css)) == 2
    assert not list(root.iter("link"))
    assert not re.search(r"@import|fetch\(|XMLHttp|import\(", page.split("<main>")[0])
    script = template("pattern.js")
    assert not re.search(r"https?:|fetch|XMLHttp|import|WebSocket|eval", script)


def test_it_is_told_to_those_who_cannot_see_it() -> None:
    root = parsed(page_of(chart_of("0110 1001 0011", title='Tea <& "cake"')))
    assert root.get("lang") == "en-GB"
    title = root.find("head/title")
    assert title is not None
    assert title.text == 'Tea <& "cake"'
    assert [text_of(h) for h in root.iter("h1")] == ['Tea <& "cake"']
    for image in root.iter("img"):
        assert image.get("alt")
        assert image.get("width")
        assert image.get("height")
    for drawing in root.iter("svg"):
        if drawing.get("role") == "img":
            assert drawing.get("aria-label")
    names = {element.get("id") for element in root.iter() if element.get("id")}
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(names)
    for link in root.iter("a"):
        assert (link.get("href") or "").removeprefix("#") in names
    for label in root.iter("label"):
        assert label.get("for") is None or label.get("for") in names
    assert list(root.iter("main"))
    assert list(root.iter("nav"))


def test_ticks_are_kept_apart_for_each_piece_and_hand() -> None:
    chart = chart_of("0110 1001")
    charts = [
        chart,
        replace(chart, hand="left"),
        replace(chart, start_corner="top-left"),
        chart_of("0110 1000"),
    ]
    keys = {next(parsed(page_of(c)).iter("ol")).get("data-key") for c in charts}
    assert len(keys) == len(charts)
    assert next(parsed(page_of(replace(chart, terms="uk"))).iter("ol")).get("data-key") in keys


@pytest.mark.parametrize("page", ["pattern", "trial"])
def test_words_contrast_seven_to_one_in_light_and_dark(page: str) -> None:
    """WCAG 2.2, success criteria 1.4.6 (text) and 1.4.11 (parts of graphics)."""
    css = style_sheet(page)
    themes = [dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", t)) for t in css.split(":root")[1:]]
    assert themes == list(THEMES.values())
    for colors in themes:
        paper = from_hex(colors["paper"])
        for name in ("ink", "now-words", "warn-words"):
            assert contrast(from_hex(colors[name]), paper) >= 7, name
        for name in ("now", "warn", "line"):
            assert contrast(from_hex(colors[name]), paper) >= 3, name
    words = re.findall(r"[^-]color: ([^;]+);", css)
    assert words[0] == "var(--ink)"
    assert set(words) <= {"inherit", "var(--ink)", "var(--now-words)", "var(--warn-words)"}
    assert "opacity: 0" not in css
    named = re.findall(r"var\(--([\w-]+)\)", css)
    assert set(named) <= {"family", *THEMES["light"]}


@pytest.mark.parametrize("name", ["page.css", "pattern.css", "trial.css"])
def test_colours_of_pages_stand_in_one_place(name: str) -> None:
    assert not re.search(r"#[0-9a-fA-F]{3,8}\b", template(name))


def test_the_same_bytes_every_time() -> None:
    chart = chart_of("0110 1001 0011")
    assert page_of(chart) == page_of(replace(chart))


@pytest.mark.parametrize("wide", [320, 360, 1200])
def test_nothing_sticks_out_on_a_screen(tmp_path: Path, wide: int) -> None:
    """A browser lays the page out in a frame of that width, and says how wide it came."""
    program = needed("chromium", "chromium-browser", "google-chrome")
    chart = chart_of("\n".join(["0123" * 10] * 12), habit=Habit("own", 4, 3, 1))
    tell = '<script>parent.postMessage(document.documentElement.scrollWidth, "*")</script></body>'
    page = page_of(chart).replace("</body>", tell)
    (tmp_path / "pattern.html").write_text(page, encoding="utf-8")
    frame = tmp_path / "frame.html"
    frame.write_text(
        "<body><script>onmessage = (event) => { document.title = `wide ${event.data}`; }</script>"
        f'<iframe src="pattern.html" width="{wide}" height="800" style="border:0"></iframe></body>',
        encoding="utf-8",
    )
    arguments = ["--headless", "--no-sandbox", "--disable-gpu", "--virtual-time-budget=5000"]
    found = subprocess.run(
        [program, *arguments, "--dump-dom", frame.as_uri()], capture_output=True, check=True
    )
    title = re.search(r"<title>wide (\d+)</title>", found.stdout.decode())
    assert title, found.stdout[:300]
    assert int(title[1]) <= wide


def test_ticked_rows_are_remembered(tmp_path: Path) -> None:
    """A browser ticks a row, forgets the page, opens it again and tells what is ticked."""
    program = needed("chromium", "chromium-browser", "google-chrome")
    page = page_of(chart_of("01 10", habit=HABITS["cut"]))
    key = next(parsed(page).iter("ol")).get("data-key")
    before = f'<script>localStorage.setItem("{key}", "[2]")</script><main>'
    after = (
        "<script>document.querySelector('[data-row=\"3\"]').click();"
        "document.title = [...document.querySelectorAll('input:checked')].map(b => b.dataset.row)"
        f" + ' ' + localStorage.getItem('{key}') + ' '"
        " + document.getElementById('place').textContent</script></body>"
    )
    path = tmp_path / "pattern.html"
    page = page.replace("<main>", before).replace("</body>", after)
    path.write_text(page, encoding="utf-8")
    found = subprocess.run(
        [program, "--headless", "--no-sandbox", "--disable-gpu", "--dump-dom", path.as_uri()],
        capture_output=True,
        check=True,
    )
    title = re.search(r"<title>(.*?)</title>", found.stdout.decode())
    assert title
    assert title[1] == "2,3 [2,3] 2 of 3 rows ticked. Go to row 1"
