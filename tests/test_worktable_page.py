"""The worktable's page in a real browser."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page
from programs import type_faults
from worktables import PAINT, Asking

from pix2block.pages.shipped import TEMPLATES
from pix2block.web.files_away import STATIC


def test_the_piece_is_painted_by_touch_and_taken_back(page: Page, table: Asking) -> None:
    before = table.json("/api/piece")["blocks"]
    page.click("[data-word=yarns]")
    page.click(".yarn >> text=Tar")
    box = page.locator("#piece").bounding_box()
    assert box
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.wait_for_selector("text=Take back:")
    assert table.json("/api/piece")["blocks"] != before
    page.reload()
    page.click("text=Take back:")
    page.wait_for_selector("text=Take back:", state="detached")
    assert table.json("/api/piece")["blocks"] == before


def test_the_keyboard_alone_works_the_piece(page: Page, table: Asking) -> None:
    before = table.json("/api/piece")["blocks"]
    page.focus("#piece")
    for key in ("ArrowRight", "ArrowDown", "3", "Space"):
        page.keyboard.press(key)
    page.wait_for_selector("text=Take back:")
    assert table.json("/api/piece")["blocks"] != before
    page.keyboard.press("Control+z")
    page.wait_for_selector("text=Take back:", state="detached")
    assert table.json("/api/piece")["blocks"] == before
    page.keyboard.press("Escape")
    page.focus("[data-word=habit]")
    page.keyboard.press("Enter")
    page.wait_for_selector(".choice")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    page.wait_for_selector("[data-word=habit].changed")
    assert table.json("/api/piece")["paragraph"][1][7]["text"] == "carried behind"


def test_a_hostile_name_stays_text(page: Page) -> None:
    page.click("[data-word=title]")
    page.fill(".slip input", "<img src=x onerror=alert(1)>")
    page.press(".slip input", "Enter")
    page.wait_for_selector("[data-word=title] >> text=<img src=x")
    assert page.locator("main img").count() == 0


def test_the_piece_goes_to_a_phone_until_it_is_stopped(
    table: Asking, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pix2block.sending.server.home_address", lambda: "127.0.0.1")
    table.json("/api/mend", PAINT)
    sent = table.json("/api/phone", {})
    assert sent["code"].startswith("data:image/svg+xml")
    assert "hookside.html" in sent["files"]
    found = re.fullmatch(r"http://127\.0\.0\.1:(\d+)(/\S+/)", sent["link"])
    assert found
    phone = Asking(int(found[1]))
    assert phone.ask(f"{found[2]}hookside.html")[0] == 200
    assert phone.ask("/wrong/hookside.html")[0] == 404
    assert phone.ask(f"{found[2]}chart.json")[0] == 404
    table.json("/api/phone/stop", {})
    with pytest.raises(ConnectionRefusedError):
        phone.ask(found[2])


def test_the_hookside_page_keeps_how_far_it_is_beside_the_worktable(page: Page) -> None:
    page.click("text=Pattern and files")
    page.wait_for_selector("text=Work from it beside the hook")
    with page.expect_popup() as found:
        page.click("text=Work from it beside the hook")
    beside = found.value
    beside.wait_for_selector("#go")
    first = beside.inner_text("#work")
    beside.wait_for_timeout(500)  # a touch at once is not meant
    beside.click("#go", position={"x": 100, "y": 20})
    step = beside.inner_text("#work")
    assert step != first
    beside.reload()
    beside.wait_for_selector("#go")
    assert beside.inner_text("#work") == step
    assert beside.url.split("/")[2] != page.url.split("/")[2]
    beside.close()


def test_the_scripts_types_hold() -> None:
    """JSDoc types of each module, also of the hookside page, checked by TypeScript's compiler."""
    assert type_faults(STATIC / "main.js", TEMPLATES / "hookside" / "start.js") == ""


def test_what_is_typed_in_vain_is_told_beside_its_field(page: Page) -> None:
    page.click("[data-word=title]")
    page.keyboard.press("Escape")
    page.click("[data-word=border]")
    page.fill(".slip .field input", "2 sc Nowhere")
    page.press(".slip .field input", "Enter")
    page.wait_for_selector(".slip .error")
    field, told = page.locator(".slip .field").bounding_box(), page.locator(".error").bounding_box()
    assert field
    assert told
    assert abs(told["y"] - (field["y"] + field["height"])) < 40
    assert 0 <= told["y"] < 850
    page.evaluate("import('/static/paragraph.js').then((of) => of.openSlip('shelf'))")
    page.fill(".slip textarea", "Chalk #efe8dd, Moss")
    page.click("text=Take these as my shelf")
    page.wait_for_selector('.slip .field + .error >> text=your list: "Moss"')


def test_each_mend_of_the_journal_is_taken_back_alone(page: Page, table: Asking) -> None:
    for row in (3, 9):
        table.json("/api/mend", {"mends": [["paint", f"row {row}=Tar"]]})
    page.reload()
    page.click("[data-word=journal]")
    page.click("#slip li:first-child >> text=take back")
    page.wait_for_selector("#slip li:nth-child(2)", state="detached")
    assert "row 9" in table.json("/api/piece")["journal"][0]["words"]


def test_escape_closes_what_is_open_wherever_the_focus_is(page: Page) -> None:
    gutter = "getComputedStyle(document.documentElement).scrollbarGutter"
    assert page.evaluate(gutter) == "stable"  # so that the piece stays where it lies
    page.click("[data-word=border]")
    page.wait_for_selector("#slip .choice")
    page.click("#piece")
    page.wait_for_selector("#instead:not([hidden])")
    for left in ("#instead:not([hidden])", "#slip"):
        page.focus("#piece")
        page.keyboard.press("Escape")
        page.wait_for_selector(left, state="detached")
