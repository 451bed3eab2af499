"""pattern.html: one file, well-formed, that needs no network."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from browser import opened
from hypothesis import given, settings
from makers import YARNS, chart_of, charts, random_blocks
from playwright.sync_api import Page

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.made import made_up_to
from pix2block.color.spaces import contrast, from_hex
from pix2block.craft.diagonal import Layout
from pix2block.drawing.style import THEMES
from pix2block.ground.settings import HABITS, Habit, Hand, Terms
from pix2block.pages.pattern_pictures import PatternPictures
from pix2block.pages.shipped import style_sheet, template
from pix2block.pages.web_page import web_page
from pix2block.pattern.text import pattern_text
from pix2block.pattern.words import piece_line
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
    (listed,) = (e for e in root.iter("ol") if e.get("class") == "rows")
    items = list(listed)
    for item, entry in zip(items, document.row_entries(), strict=True):
        first = entry.rows[0]
        units = [text_of(e) for e in item.iter() if e.get("class") == "run"]
        counted = [f"{n} {chart.yarns[yarn].name}" for n, yarn in first.runs]
        if len(entry.rows) == 1:
            for unit, one in zip(units, counted, strict=True):
                assert re.match(f"{one}(,?$| )", unit)
        whole = text_of(item)
        for use in () if first.bobbins_plain else first.bobbins:
            assert use.number is None or f"#{use.number}" in whole
        assert ("only" in whole) == any(use.number is None for use in first.bobbins)
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


@pytest.mark.parametrize("page", ["pattern", "trial", "hookside/hookside"])
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


@pytest.mark.parametrize("name", ["page.css", "pattern.css", "trial.css", "hookside/hookside.css"])
def test_colours_of_pages_stand_in_one_place(name: str) -> None:
    assert not re.search(r"#[0-9a-fA-F]{3,8}\b", template(name))


def test_the_same_bytes_every_time() -> None:
    chart = chart_of("0110 1001 0011")
    assert page_of(chart) == page_of(replace(chart))


def saved(page: str, folder: Path) -> Path:
    path = folder / "pattern.html"
    path.write_text(page, encoding="utf-8")
    return path


# Texts that lie over others, texts cut off by what holds them, headings with nothing under them.
FAULTS = """() => {
  const found = [];
  const seen = e => e.checkVisibility({ visibilityProperty: true }) && !e.closest("svg");
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), boxes = [];
  for (let node; (node = walk.nextNode());) {
    if (!node.data.trim() || !seen(node.parentElement)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const box of range.getClientRects()) boxes.push([box, node]);
    const holder = node.parentElement.closest("li, p, td, th, div, section, body");
    if (getComputedStyle(holder).overflowX == "hidden" && holder.scrollWidth > holder.clientWidth)
      found.push("cut: " + node.data);
  }
  boxes.sort(([a], [b]) => a.top - b.top);
  boxes.forEach(([a, one], at) => {
    for (let i = at + 1; i < boxes.length && boxes[i][0].top < a.bottom - a.height / 4; i++) {
      const [b, other] = boxes[i];
      if (Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && one != other)
        found.push(one.data + " over " + other.data);
    }
  });
  for (const heading of document.querySelectorAll("h2, h3"))
    if (seen(heading) && !heading.nextElementSibling?.getBoundingClientRect().height)
      found.push("alone: " + heading.textContent);
  return found;
}"""


@pytest.mark.parametrize(
    ("wide", "hand", "terms"),
    [(320, "left", "uk"), (360, "right", "us"), (360, "left", "us"), (1200, "right", "uk")],
)
def test_nothing_sticks_out_on_a_screen(
    tmp_path: Path, wide: int, hand: Hand, terms: Terms
) -> None:
    chart = chart_of("\n".join(["0123" * 10] * 12), habit=Habit("own", 4, 3, 1))
    chart = replace(chart, hand=hand, terms=terms)
    with opened(saved(page_of(chart), tmp_path), wide) as page:
        assert page.evaluate("document.documentElement.scrollWidth") <= wide
        assert page.evaluate(FAULTS) == []
        for chart_drawn in page.locator(".chart svg").all():  # whole, until it is touched
            box = chart_drawn.bounding_box()
            assert box is not None
            assert box["width"] <= wide
            assert box["height"] <= 800
        page.locator(".chart").first.click()
        wider = page.locator(".chart svg").first.bounding_box()
        assert wider is not None
        assert wider["width"] > 600
        assert page.evaluate("document.documentElement.scrollWidth") <= wide


def rows_shown(page: Page) -> list[str]:
    """Numbers of the rows that can be seen."""
    return page.locator(".rows > li:visible .number").all_text_contents()


def test_ticked_rows_are_remembered_and_folded(tmp_path: Path) -> None:
    path = saved(page_of(chart_of("0110 1001 0011", habit=HABITS["cut"])), tmp_path)
    with opened(path, 1200) as page:
        assert rows_shown(page) == ["1", "2", "3", "4", "5", "6"]
        assert page.locator("#made").is_hidden()
        for row in (1, 2):
            page.locator(f"[data-row='{row}']").click()
        page.reload()
        assert rows_shown(page) == ["3", "4", "5", "6"]
        assert page.locator("#count").text_content() == "2 of 6 rows are made"
        assert page.locator("#made").text_content() == "Rows 1 to 2 are made: show them"
        page.locator("#made").click()
        assert rows_shown(page) == ["1", "2", "3", "4", "5", "6"]
        page.emulate_media(media="print")  # on paper all, to be ticked by hand, and no bar
        page.locator("#made").evaluate("b => b.click()")
        assert rows_shown(page) == ["1", "2", "3", "4", "5", "6"]
        assert page.locator("#place").is_hidden()
        struck = "e => getComputedStyle(e).textDecorationLine"
        assert page.locator("[data-row='1']").evaluate(struck) == "none"
        assert page.locator("#row-1 .runs").evaluate(struck) == "none"


def test_a_tick_asks_once_for_the_rows_before(tmp_path: Path) -> None:
    path = saved(page_of(chart_of("0110 1001 0011", habit=HABITS["cut"])), tmp_path)
    ticked = "[...document.querySelectorAll('[data-row]:checked')].map(b => b.dataset.row).join()"
    with opened(path, 1200) as page:
        page.locator("[data-row='3']").click()
        assert (page.locator(".ask").text_content() or "").startswith("Rows 1 to 2 are not ticked.")
        page.get_by_role("button", name="Tick them too").click()
        assert page.evaluate(ticked) == "1,2,3"
        page.locator("[data-row='5']").click()
        page.get_by_role("button", name="Only row 5").click()
        assert page.evaluate(ticked) == "1,2,3,5"
        page.locator("[data-row='6']").click()
        assert page.locator(".ask").count() == 0
        assert page.evaluate(ticked) == "1,2,3,5,6"


def test_on_a_phone_the_row_in_hand_stands_alone(tmp_path: Path) -> None:
    path = saved(page_of(chart_of("0110 1001 0011", habit=HABITS["cut"])), tmp_path)
    with opened(path, 360) as page:
        assert rows_shown(page) == ["1"]
        page.locator("#go").fill("4")
        page.get_by_role("button", name="go", exact=True).click()
        assert rows_shown(page) == ["4"]
        tops = page.locator("#row-4 .run").evaluate_all(
            "runs => runs.map(r => r.getBoundingClientRect().top)"
        )
        assert len(tops) == 2
        assert tops == sorted(set(tops))  # a run a line
        size = "e => getComputedStyle(e).fontSize"
        assert page.locator("#row-4 .runs").evaluate(size) == "28px"
        strip, words = (
            page.locator(f"#row-4 {part}").bounding_box() for part in (".strip", ".runs")
        )
        assert strip is not None
        assert words is not None
        assert strip["y"] > words["y"] + words["height"]
        assert page.locator("#row-4 .how").is_visible()
        page.get_by_role("button", name="next").click()
        assert rows_shown(page) == ["5"]
        page.get_by_role("button", name="previous").click()
        page.get_by_role("button", name="previous").click()
        assert rows_shown(page) == ["3"]


def test_rows_come_first_and_all_else_is_linked() -> None:
    root = parsed(page_of(chart_of("0110 1001 0011")))
    sections = [section.get("id") for section in root.iter("section")]
    assert sections[0] == "rows"
    (nav,) = root.iter("nav")
    assert [link.get("href") for link in nav.iter("a")] == [f"#{name}" for name in sections]


def test_no_number_is_torn_from_its_unit() -> None:
    chart = chart_of("0110 1001 0011")
    page = text_within(parsed(page_of(chart))).replace(piece_line(chart), "")  # in its own form
    assert re.search("\\d\u00a0m\\b", page)
    assert not re.search(r"\d (?:m|cm|g|h|min|in|yd|%|blocks|rows)\b", page)


def text_within(root: ET.Element) -> str:
    """What the page says in its words."""
    return "\n".join("".join(section.itertext()) for section in root.iter("section"))


def test_bobbins_that_hang_and_are_cut_are_told() -> None:
    """Rows that are made keep their bobbins; what the changed rest no longer takes up is cut."""
    blocks = random_blocks(np.random.default_rng(11), 9, 8, 3)
    kept = made_up_to(Chart("Cut", blocks, YARNS, last_row=16, habit=HABITS["carry"]), 8)
    rows = Layout(9, 8, 16, kept.start_corner, kept.hand).row_numbers()
    chart = replace(kept, blocks=np.where(rows <= 8, blocks, 1))
    (line,) = [
        line for line in pattern_text(amounts_of(chart)).splitlines() if line.startswith("  Cut: ")
    ]
    words = text_within(parsed(page_of(chart))).replace("\u00a0", " ")
    assert f"First cut {line.removeprefix('  Cut: ')}" in words
