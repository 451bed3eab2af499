"""The worktable for everyone: axe-core on every state, keys alone, narrow pages, spaced text,
targets that a finger meets, focus that nothing hides (WCAG 2.2 AA)."""

from __future__ import annotations

import json
import re
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page
from programs import axe
from worktables import Asking, opened_at, picture_bytes, served

from pix2block.web.files_away import STATIC
from pix2block.web.jobs import Job, Jobs
from pix2block.web.session import Session
from pix2block.web.table import Table

pytestmark = pytest.mark.usefixtures("few_files")

STATES = ["", "habit", "yarns", "rest", "row-3", "block-2-2", "files", "keys", "find", "subject"]
STATES += ["crop", "backdrop"]
PHONE: dict[str, Any] = {
    "viewport": {"width": 360, "height": 780},
    "has_touch": True,
    "color_scheme": "dark",
}
DESK: dict[str, Any] = {"viewport": {"width": 1366, "height": 850}}
PHOTO: Any = {"name": "skeins.png", "mimeType": "image/png", "buffer": picture_bytes()}
NO_PICTURE: Any = {"name": "notes.png", "mimeType": "image/png", "buffer": b"no picture"}
_RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
_COLOURS = r"(?:[;{ ]color|background(?:-color)?|fill|opacity): [^;}]+|--\w+: [^;}]+"
# Text as a reader may space it (WCAG 1.4.12).
_SPACED = """* { line-height: 1.5 !important; letter-spacing: 0.12em !important;
  word-spacing: 0.16em !important; } p { margin-bottom: 2em !important; }"""

_SPACES = """(css) => { const sheet = new CSSStyleSheet();
  sheet.replaceSync(css);
  document.adoptedStyleSheets = [sheet]; }"""


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where a piece from a picture lies."""
    root = tmp_path_factory.mktemp("reach")
    work = Jobs().begin("", lambda _: None)
    asked = {"width": "10", "colors": "3"}
    Table(root=root).make("lantern.png", picture_bytes(), asked, work)
    return root


@pytest.fixture(scope="module")
def laid(place: Path) -> Iterator[Asking]:
    yield from served(Table(Session(place / "lantern"), place))


# To an address, once more where the page was still going back from what was just closed.
GOES = """async (state) => {
  for (let turn = 0; turn < 5; turn += 1) {
    location.hash = state;
    await new Promise((over) => { setTimeout(over, 60); });
    if (location.hash.slice(1) === state) return;
  }
}"""


def go(page: Page, state: str) -> None:
    """Go to a state by its address."""
    page.evaluate(GOES, state)
    sign = {
        "": "#paragraph:not([hidden])",
        "files": ".files li",
        "keys": ".keys",
        "find": ".find",
        "subject": ".sentence, .instead p",
        "row-3": ".runs",
        "block-2-2": "#instead p",
        "stripe-1": "#instead p",
        "stripe-2": "#instead p",
    }
    page.wait_for_selector(sign.get(state, "#slip .slip-foot"))


# What passes is neither listed nor sent, which would take five times as long; no rule of these
# needs the style sheets to be asked for once more.
_FOUND = """async (only) => {
  const how = { runOnly: only, resultTypes: ['violations'], preload: false };
  const found = await axe.run(document, how);
  return found.violations.map((one) => [one.id, one.nodes.map((node) => node.target)]);
}"""


def no_violation(page: Page) -> None:
    """Axe-core finds nothing in the page as it stands, once nothing moves or fades in any more."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(axe())
    page.evaluate("Promise.all(document.getAnimations().map((one) => one.finished))")
    assert page.evaluate(_FOUND, _RULES) == [], page.url


def test_colours_are_the_same_at_every_width() -> None:
    """So that it is enough to look at a desk in the light, and at a phone in the dark."""
    css = (STATIC / "worktable.css").read_text()
    of_size = re.findall(r"^@media \((?:max|min)-\w+: \d+px\).*?^}", css, re.DOTALL | re.MULTILINE)
    colours = [one for part in of_size for one in re.findall(_COLOURS, part)]
    assert len(of_size) >= 4
    assert colours
    assert [one for one in colours if not one.endswith("var(--paper)")] == []


@pytest.mark.parametrize("settings", [DESK, PHONE], ids=["desk", "phone"])
def test_axe_finds_no_violation_on_any_state(
    laid: Asking, empty: Asking, settings: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    with opened_at(empty, "#which", **settings) as page:
        no_violation(page)
        page.set_input_files("input[aria-label='which picture?']", NO_PICTURE)
        page.wait_for_selector("#fault:not(:empty)")
        no_violation(page)
    with opened_at(laid, ".sentence", **settings) as page:
        for state in STATES:
            go(page, state)
            no_violation(page)
        go(page, "shelf")
        page.set_input_files(".slip .field input[type=file] >> nth=-1", PHOTO)
        page.wait_for_selector(".photo:focus")
        for _ in ("the paper", "a skein"):
            page.keyboard.press("Enter")
        page.wait_for_selector(".skein input")
        no_violation(page)
        go(page, "")
        page.focus("#piece")
        for key in ("ArrowRight", "2", "Space"):
            page.keyboard.press(key)
        page.wait_for_selector(".changes li")
        no_violation(page)
        page.keyboard.press("Escape")
        page.click("#foot button:has-text('beside')")
        page.wait_for_selector("#laid-words p")
        no_violation(page)
        go(page, "")
        keep(page, "api.choose('width', 'none')")
        page.wait_for_selector(".error")
        no_violation(page)
        keep(page, "api.mend([['paint', 'rows 1 to 3=' + name], ['paint', 'rows 4 on=' + other]])")
        page.wait_for_selector("#balls circle")
        go(page, "stripe-2")
        no_violation(page)
        keep(page, "api.back()")
        page.wait_for_selector("#balls circle", state="hidden")
        over = threading.Event()
        monkeypatch.setattr(Session, "choose", lambda *given: _long(given[-1], over))
        go(page, "")
        keep(page, "api.choose('corner', 'top-left')")
        page.wait_for_selector(".work .filled")
        no_violation(page)
        over.set()
        page.wait_for_selector(".work", state="detached")


def _long(job: Job, over: threading.Event) -> None:
    job.counting("corners tried")
    while not over.wait(0.01):
        job(11, 18)


def keep(page: Page, does: str) -> None:
    """Do something by the page's own modules; name, other: of two yarns."""
    page.evaluate(
        f"""Promise.all([import('/static/api.js'), import('/static/page.js')])
          .then(([api, page]) => {{
            const [name, other] = page.page.state.yarns.map((yarn) => yarn.name);
            page.keep({does}, '');
          }})"""
    )


def test_nothing_scrolls_sideways_and_spaced_text_breaks_nothing(laid: Asking) -> None:
    narrow: dict[str, Any] = {"viewport": {"width": 320, "height": 640}}
    with opened_at(laid, ".sentence", **narrow) as page:
        for state in STATES:
            go(page, state)
            assert page.evaluate("document.documentElement.scrollWidth") <= 320, state
        go(page, "")
        for width in (360, 900, 1366, 320):
            page.set_viewport_size({"width": width, "height": 640})
            assert page.evaluate("document.documentElement.scrollWidth") <= width
        page.evaluate(_SPACES, _SPACED)
        for state in STATES:
            go(page, state)
            assert page.evaluate("document.documentElement.scrollWidth") <= 320, state
            cut = page.evaluate(
                """() => [...document.querySelectorAll('button, .word, p, li, td, th')]
                  .filter((e) => e.checkVisibility() && !e.closest('.unseen'))
                  .filter((e) => getComputedStyle(e).overflow !== 'visible')
                  .filter((e) => e.scrollHeight > e.clientHeight + 1).map((e) => e.outerHTML)"""
            )
            assert cut == [], state


def test_targets_are_met_by_a_finger(laid: Asking) -> None:
    with opened_at(laid, ".sentence", **PHONE) as page:
        for state in ("", "habit", "yarns", "files"):
            go(page, state)
            small = page.evaluate(
                """() => [...document.querySelectorAll('button, a.deed, input, select')]
                  .filter((e) => e.checkVisibility() && e.tabIndex >= 0)
                  .filter((e) => !e.closest('.unseen, .jump'))
                  .map((e) => [e.outerHTML, e.getBoundingClientRect()])
                  .filter(([, box]) => box.width > 1 && (box.height < 43.5 || box.width < 24))"""
            )
            assert small == [], state
            lines = page.evaluate(
                """() => [...document.querySelectorAll('p.sentence:not(.last) > .word')]
                  .map((e) => parseFloat(getComputedStyle(e).lineHeight))
                  .filter((high) => high < 24)"""
            )
            assert lines == [], state


def test_focus_is_never_hidden(laid: Asking) -> None:
    """Tab through a phone's page: what has the focus is seen, behind no bar (WCAG 2.4.11)."""
    with opened_at(laid, ".sentence", **PHONE) as page:
        go(page, "")
        stops = set()
        for _ in range(45):
            page.keyboard.press("Tab")
            hidden, what = page.evaluate(
                """() => {
                  const held = document.activeElement, box = held.getClientRects()[0];
                  if (!box || held === document.body) return [false, ''];
                  const x = Math.min(innerWidth - 2, Math.max(2, box.x + box.width / 2));
                  const y = box.y + box.height / 2;
                  const top = document.elementFromPoint(x, y);
                  const seen = top && (held.contains(top) || top.contains(held));
                  return [!seen, held.textContent + ' ' + JSON.stringify(box)];
                }"""
            )
            assert not hidden, what
            stops.add(what.split("{")[0])
        assert len(stops) > 15


@pytest.mark.every_file("pattern.html")
def test_keys_alone_lead_from_a_picture_to_the_pattern(empty: Asking, tmp_path: Path) -> None:
    path = tmp_path / "lantern.png"
    path.write_bytes(picture_bytes())
    with opened_at(empty, "#which:focus") as page:
        chooser = "input[aria-label='which picture?']"
        page.eval_on_selector(
            chooser,
            """(input) => input.addEventListener('click', (event) => {
              event.preventDefault();
              window.asked = true; })""",
        )
        page.keyboard.press("Enter")  # the focus lies on "which picture?"
        page.wait_for_function("window.asked")
        page.set_input_files(chooser, path)  # the system's own dialog
        page.wait_for_selector("body:not(.becoming) [data-word=habit]")
        for _ in range(2):  # the second stop leads to the paragraph
            page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        while page.evaluate("document.activeElement.dataset.word") != "habit":
            page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.wait_for_selector("#slip [role=radio][aria-checked=true]:focus")
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Enter")
        page.wait_for_selector("[data-word=habit].changed")
        page.keyboard.press("Escape")
        page.keyboard.press("Control+z")
        page.wait_for_selector("text=Put again:")
        while page.evaluate("document.activeElement.textContent") != "Pattern and filesPattern":
            page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.wait_for_selector("text=Every file is written.")
        while page.evaluate("document.activeElement.textContent") != "pattern.html":
            page.keyboard.press("Tab")
        with page.expect_popup() as pattern:
            page.keyboard.press("Enter")
        pattern.value.wait_for_selector("text=Row 1")
        assert json.loads(empty.ask("/api/pieces")[1])["pieces"][0]["name"] == "lantern"


def test_single_keys_work_only_where_they_belong(laid: Asking) -> None:
    """Letters typed into a field, or beside the piece, do nothing else (WCAG 2.1.4)."""
    with opened_at(laid, ".sentence") as page:
        before = laid.json("/api/piece")
        page.focus("[data-word=title]")
        for key in "fevg2 ":
            page.keyboard.press(key if key != " " else "x")
        page.focus("[data-word=title]")
        page.keyboard.press("Enter")
        page.wait_for_selector("#slip input")
        page.fill("#slip input", "")
        page.keyboard.type("Fee /? vg12")
        assert page.input_value("#slip input") == "Fee /? vg12"
        page.keyboard.press("Escape")
        assert laid.json("/api/piece")["blocks"] == before["blocks"]
        assert page.locator(".in-hand").count() == 0


def on_screen(page: Page, column: float, line: float) -> list[float]:
    """Where a place of the piece lies on the screen; column and line with their parts."""
    place: list[float] = page.evaluate(
        """(at) => import('/static/page.js').then(({ piece }) => {
          const box = piece.canvas.getBoundingClientRect(), [x, y] = piece.onCanvas(...at);
          return [box.left + x, box.top + y]; })""",
        [column, line],
    )
    return place


def test_a_crop_is_a_frame_that_is_dragged(laid: Asking) -> None:
    """By its corner, at an edge, as a whole; the picture beyond it stays in sight."""
    with opened_at(laid, ".sentence") as page:
        go(page, "crop")
        page.wait_for_selector("text=Drag the frame on the piece")
        first, top, last, low = laid.json("/api/crop")["picture"]
        wide, high = last - first, low - top
        for begin, end in (
            ((first, top), (first + wide / 4, top + high / 4)),  # the corner
            ((last, low - high / 2), (last - wide / 4, low)),  # an edge: only across
            ((first + wide / 2, low - high / 2), (first + wide / 4, low - high / 2)),  # all of it
        ):
            page.mouse.move(*on_screen(page, *begin))
            page.mouse.down()
            page.mouse.move(*on_screen(page, *end), steps=3)
            page.mouse.up()
        left, top, wide, high = map(float, page.input_value(".slip .field input").split(","))
        assert [left, wide] == pytest.approx([0, 50], abs=3)
        assert [top, high] == pytest.approx([25, 75], abs=3)
        page.click("text=Keep the part in the frame")
        page.wait_for_selector("[data-word=crop] >> text=a part of it")
        page.wait_for_selector("text=Drag the frame on the piece")
        told = laid.json("/api/crop")
        assert told["crop"] == [left, top, wide, high]
        width, height = (laid.json("/api/piece")[side] for side in ("width", "height"))
        assert told["picture"] == pytest.approx([0, -height / 3, 2 * width, height], abs=1.5)
        right, low = on_screen(page, told["picture"][2], told["picture"][3])
        box = page.locator("#piece").bounding_box()
        assert box
        assert right < box["x"] + box["width"]
        assert low < box["y"] + box["height"]
        go(page, "row-3")
        whole = "import('/static/page.js').then(({ piece }) => !piece.beyond.some(Boolean))"
        page.wait_for_function(whole)  # the frame is put away with its word
    laid.json("/api/back", {})


def test_what_the_shape_leaves_of_a_crop_is_said_and_the_height_follows(laid: Asking) -> None:
    width, height = (laid.json("/api/piece")[side] for side in ("width", "height"))
    laid.json("/api/choose", {"word": "blocks", "value": f"{width}x{height}"})
    with opened_at(laid, ".sentence") as page:
        go(page, "crop")
        page.wait_for_selector("text=Drag the frame on the piece")
        page.fill(".slip .field input", "10,30,80,40")
        page.wait_for_selector("text=% of the width of the frame, outside the dashed lines")
        page.click("text=Let the height follow")
        page.wait_for_selector("[data-word=crop] >> text=a part of it")
    told = laid.json("/api/piece")
    assert told["width"] == width
    assert abs(told["height"] - height / 2) <= 1
    assert "a part of it" in told["back"]
    laid.json("/api/back", {})
    laid.json("/api/back", {})


def test_all_that_is_dragged_is_done_without_dragging(laid: Asking) -> None:
    """Touches at single places and typed numbers alone (WCAG 2.5.7): a crop, a line of blocks, the
    subject's line, what is in sight, a stripe."""
    begun = laid.json("/api/piece")
    with opened_at(laid, ".sentence") as page:
        go(page, "crop")
        page.wait_for_selector("text=Drag the frame on the piece")
        page.fill(".slip .field input", "10,10,80,80")
        page.click("text=Keep the part in the frame")
        page.wait_for_selector("[data-word=crop] >> text=a part of it")
        page.click("#foot >> text=Take back")
        page.wait_for_selector("[data-word=crop] >> text=all of it")
        go(page, "")
        page.focus("#piece")
        page.keyboard.press("2")
        page.click("#instead >> text=a line")
        page.mouse.click(*on_screen(page, 0.5, 0.5))
        page.mouse.click(*on_screen(page, 5.5, 4.5))
        page.wait_for_function(
            """(was) => import('/static/page.js').then(({ page }) => page.state.blocks !== was)""",
            arg=begun["blocks"],
        )
        page.click("#foot >> text=Take back")
        page.wait_for_selector("#foot >> text=Put again")
        page.click("#foot >> text=Lay the yarn down")
        go(page, "subject")
        page.wait_for_selector("text=The line runs around")
        page.mouse.click(*on_screen(page, 0.5, 0.5))
        page.wait_for_selector("text=otherwise than when you began")
        page.click("text=Back to the piece")
        page.focus("#piece")
        for _ in range(6):
            page.keyboard.press("+")
        box = page.locator("#whole").bounding_box()
        assert box
        page.mouse.click(box["x"] + box["width"] - 2, box["y"] + 2)
        right, top = on_screen(page, begun["width"], 0)
        canvas = page.locator("#piece").bounding_box()
        assert canvas
        assert (right, top) == pytest.approx(
            (canvas["x"] + canvas["width"] / 2, canvas["y"] + canvas["height"] / 2), abs=60
        )
        keep(page, "api.mend([['paint', 'rows 1 to 3=' + name], ['paint', 'rows 4 on=' + other]])")
        page.wait_for_selector("#balls circle")
        go(page, "stripe-1")
        page.fill("[data-again=last]", "5")
        page.press("[data-again=last]", "Enter")
        page.wait_for_selector("#instead >> text=5 rows")
    for _ in range(2):
        laid.json("/api/back", {})
    assert laid.json("/api/piece")["blocks"] == begun["blocks"]


def test_what_a_stroke_encloses_follows_it(laid: Asking) -> None:
    with opened_at(laid, ".sentence") as page:

        def follows(before: str, now: str, added: int) -> list[int]:
            """Of five lines of figures, 1 where a block is of the subject."""
            shape = {"width": 5, "height": 5}
            blocks = [[int(one) for one in text if one in "01"] for text in (before, now)]
            found: list[int] = page.evaluate(
                """([shape, before, now, added]) => import('/static/enclosed.js').then((of) =>
                  of.enclosed(shape, Uint8Array.from(before), Uint8Array.from(now), added))""",
                [shape, *blocks, added],
            )
            return sorted(found)

        ring, none = "00000 01110 01010 01110 00000", "00000 00000 00000 00000 00000"
        assert follows(none, ring, 1) == [12]
        assert follows(ring, ring, 1) == []  # that hole was there
        assert follows(none, "00000 00000 01110 01010 01010", 1) == [17, 22]  # to the piece's edge
        assert follows(none, "00100 00100 00100 00100 00100", 1) == []  # from edge to edge
        arm = "00000 11110 11000 11111 00000"
        assert follows(arm, arm.replace("11110", "11010"), 0) == [8]  # what is cut off


def test_a_line_that_was_drawn_is_kept_for_who_comes_back(laid: Asking) -> None:
    with opened_at(laid, ".sentence") as page:
        go(page, "subject")
        page.wait_for_selector("text=The line runs around")
        page.mouse.click(*on_screen(page, 0.5, 0.5))
        page.wait_for_selector("text=otherwise than when you began")
        page.click("text=Back to the piece")
        go(page, "subject")
        page.wait_for_selector("text=otherwise than when you began")
        page.click("text=Take back the last stroke")
        page.wait_for_selector("text=otherwise than when you began", state="detached")
