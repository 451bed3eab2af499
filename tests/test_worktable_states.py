"""States of the worktable's page: addresses, two tabs, a server that is gone, faults at words."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Response
from worktables import PAINT, Asking

from pix2block.recipes.from_file import open_chart
from pix2block.web import address
from pix2block.web.finding import EVERYDAY, words_json
from pix2block.web.instead import instead_of
from pix2block.web.session import Session


def test_states_have_addresses(page: Page) -> None:
    page.click("[data-word=habit]")
    page.wait_for_url("**/#habit")
    page.reload()
    page.wait_for_selector("[data-word=habit][aria-expanded=true]")
    page.keyboard.press("Escape")
    page.wait_for_url("**/")
    page.click("[data-word=corner]")
    page.wait_for_url("**/#corner")
    page.go_back()
    page.wait_for_selector("[data-word=corner][aria-expanded=false]")
    page.evaluate("location.hash = '#row-3'")
    page.wait_for_selector("#instead >> text=Row 3")
    page.go_back()
    page.wait_for_selector("#paragraph", state="visible")


def test_what_is_opened_while_the_address_goes_back_stays_open(page: Page) -> None:
    page.click("[data-word=habit]")
    page.wait_for_url("**/#habit")
    page.evaluate(
        """() => {
          const escape = new KeyboardEvent("keydown", { key: "Escape", bubbles: true });
          document.querySelector("#slip").dispatchEvent(escape);
          setTimeout(() => document.querySelector("[data-word=corner]").click());
        }"""
    )
    page.wait_for_url("**/#corner")
    assert page.get_attribute("[data-word=corner]", "aria-expanded") == "true"


def test_another_piece_is_begun_where_the_first_one_was_asked_for(page: Page) -> None:
    said = page.inner_text("#paragraph")
    page.click("[data-word=title]")
    page.get_by_text("Begin another piece").click()
    page.wait_for_selector("#which")
    assert page.evaluate("location.hash") == "#start"
    assert "Or go on with Grid" in page.inner_text("#paragraph")
    page.go_back()
    page.wait_for_selector(".sentence")
    page.click("[data-word=title]")  # Back led to its slip
    assert page.inner_text("#paragraph") == said


def test_two_tabs_follow_one_another(page: Page, table: Asking) -> None:
    other = page.context.new_page()
    other.goto(f"http://127.0.0.1:{table.port}/#yarns")
    other.wait_for_selector("[data-word=yarns][aria-expanded=true]")
    page.bring_to_front()
    page.focus("#piece")
    for key in ("ArrowRight", "3", "Space"):
        page.keyboard.press(key)
    page.wait_for_selector("text=Take back:")
    other.wait_for_selector("text=Take back:")
    assert other.get_attribute("[data-word=yarns]", "aria-expanded") == "true"
    other.keyboard.press("Control+z")
    page.wait_for_selector("text=Put again:")
    assert page.query_selector("#foot .deed.place")  # what is put again keeps its own place
    page.keyboard.press("Control+Shift+z")
    other.wait_for_selector("text=Take back:")
    assert table.json("/api/piece")["back"]


def test_an_edit_is_answered_by_what_changed_and_the_page_has_it_all(
    page: Page, table: Asking
) -> None:
    """Every kind of change, also one from another tab in between, and of a state long forgotten."""
    answers: list[int] = []

    def hear(told: Response) -> None:
        if _edits(told.url):
            answers.append(len(told.body()))

    page.on("response", hear)
    for does in (
        "mend([['paint', 'column 1, line 1=Tar'], ['paint', 'columns 3 to 5, line 4=Moss']])",
        "choose('habit', 'carry')",
        "mend([['frame', '1 Tar']])",
        "back()",
        "choose('title', 'Moss path')",
    ):
        held, asked = _has(page, f"api.{does}"), table.json("/api/piece")
        assert held == asked, does
        assert table.json("/api/back", {}) != asked
        assert _has(page, "api.again()") == table.json("/api/piece") == {**asked, **_news(table)}
    page.remove_listener("response", hear)
    assert sum(answers) / len(answers) < len(table.ask("/api/piece")[1]) / 2
    assert table.json("/api/piece?since=7") == table.json("/api/piece")
    for _ in range(9):
        table.json("/api/mend", PAINT)
    assert _has(page, "api.mend([['paint', 'row 9=Tar']])") == table.json("/api/piece")


def _edits(url: str) -> bool:
    return any(f"/api/{what}?" in url for what in ("mend", "choose", "back", "again"))


def _has(page: Page, does: str) -> Any:
    """What the page has of the piece once it has asked for this."""
    state = page.evaluate(f"import('/static/api.js').then((api) => {does})")
    return {key: value for key, value in state.items() if key != "told"}  # of the choice alone


def _news(table: Asking) -> dict[str, Any]:
    return {"version": table.json("/api/news")["version"]}


def test_a_stopped_worktable_says_so_and_the_page_goes_on(page: Page, table: Asking) -> None:
    page.route("**/api/**", lambda route: route.abort())
    page.wait_for_selector("#fault >> text=/was stopped. Kept up to \\d\\d:\\d\\d; start it again/")
    page.unroute("**/api/**")
    table.json("/api/mend", PAINT)
    page.wait_for_selector("text=Take back: 2 blocks Tar")
    assert page.inner_text("#fault") == ""


def test_a_worktable_is_found_again_where_it_was(tmp_path: Path) -> None:
    listening, token = address.listen(tmp_path)
    with listening:
        port = listening.getsockname()[1]
        address.keep(tmp_path, port, token)
        second, other = address.listen(tmp_path)  # while the first one is served
        with second:
            assert other != token
            assert second.getsockname()[1] != port
    (kept,) = tmp_path.iterdir()
    assert kept.stat().st_mode & 0o077 == 0
    listening, again = address.listen(tmp_path)
    with listening:
        assert (listening.getsockname()[1], again) == (port, token)
    kept.chmod(0o644)  # as a folder that somebody sent has it
    listening, fresh = address.listen(tmp_path)
    listening.close()
    assert fresh != token
    kept.chmod(0o600)
    kept.write_text(json.dumps({"port": port, "token": "short"}))
    listening, fresh = address.listen(tmp_path)
    listening.close()
    assert fresh not in (token, "short")


def test_a_fault_stands_at_its_word_with_what_would_do(page: Page, table: Asking) -> None:
    before = table.json("/api/piece")["blocks"]
    page.evaluate(
        """() => { import('/static/api.js').then(async (api) => {
          const page = await import('/static/page.js');
          page.keep(api.choose('habit', 'knotted'), 'Kept'); }); }"""
    )
    page.wait_for_selector(".error[role=alert] >> text=knotted")
    word = page.locator("[data-word=habit]")
    assert word.get_attribute("aria-describedby") == "error"
    assert page.locator("p:has([data-word=habit]) + .error").count() == 1
    assert "The piece is as it was." in page.inner_text(".error")
    assert table.json("/api/piece")["blocks"] == before
    page.click(".error >> text=another choice")
    page.wait_for_selector(".error", state="detached")
    assert word.get_attribute("aria-describedby") is None


@pytest.mark.parametrize(
    ("word", "value", "words"),
    [
        ("size", "110x20cm", ["110 × 128 cm, all of it", "17 × 20 cm, all of it"]),
        ("width", "4000", ["6 blocks across"]),
        ("colors", "900", ["200 yarns"]),
        ("size", "huge", []),
        ("blocks", "1" * 4301, []),
    ],
)
def test_what_would_do_instead(folder: Path, word: str, value: str, words: list[str]) -> None:
    chart = open_chart(folder / "chart.json").chart
    assert [one["words"] for one in instead_of(chart, word, value)] == words


def test_any_word_is_found_by_its_names(page: Page) -> None:
    page.keyboard.press("/")
    page.wait_for_url("**/#find")
    for typed, found in (("stash", "shelf"), ("left-handed", "hand"), ("--rip-back", "rip back")):
        page.fill(".find", typed)
        assert found in page.inner_text(".found li >> nth=0")
    page.fill(".find", "ends")
    page.press(".find", "Enter")
    page.wait_for_selector(".slip")
    page.keyboard.press("?")
    page.wait_for_selector(".keys")
    page.click(":text-is('work')")
    page.keyboard.press("Escape")
    page.wait_for_url("**/")  # a reload while it goes back would be ended by that
    page.keyboard.press("/")
    assert page.locator(".find").count() == 0
    page.reload()
    page.wait_for_selector(".sentence")
    page.keyboard.press("?")
    assert page.locator(".keys").count() == 0


def test_every_everyday_name_is_of_a_word_that_there_is(folder: Path) -> None:
    state = Session(folder).state
    known = {one["word"] for one in words_json(state.study, state.wanted)}
    later = {
        "look",
        "picture",
        "crop",
        "backdrop",
        "stock",
    }  # said of a piece from a picture, or of a shelf
    assert set(EVERYDAY) - known <= later
