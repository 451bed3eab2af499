"""The piece at the worktable: how it is seen, worked block by block, and told row by row."""

from __future__ import annotations

import base64
import io
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page
from worktables import TOKEN, Asking, picture_bytes, served

from pix2block.chart.reading import write_chart
from pix2block.color.deficiency import in_sight
from pix2block.design.view import WHOLE
from pix2block.ground.errors import BadInput
from pix2block.mending.back import undo
from pix2block.picture.blocks import Frame, block_means, frame_picture
from pix2block.picture.picture import open_picture
from pix2block.web.aside import MOST, go_on_with, laid_aside, lay_aside
from pix2block.web.changes import cost_words_of, refuse_many, without_group
from pix2block.web.jobs import Jobs
from pix2block.web.session import Session
from pix2block.web.shown import piece_json
from pix2block.web.subject import mask_png, view_of
from pix2block.web.table import Table

ON_SCREEN = """async ([column, line]) => {
  const { piece } = await import("/static/page.js"), box = piece.canvas.getBoundingClientRect();
  const [x, y] = piece.onCanvas(column, line);
  return [box.left + x, box.top + y];
}"""
INK = """(c) => {
  const all = c.getContext("2d").getImageData(0, 0, c.width, c.height).data;
  let count = 0;
  for (let i = 0; i < all.length; i += 4) if (all[i] === 34 && all[i + 1] === 37) count++;
  return count;
}"""


def _png(table: Asking, path: str) -> Any:
    status, data, _ = table.ask(path)
    assert status == 200, data
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))


def _pixel(page: Page, across: float, down: float) -> list[int]:
    """A pixel of the canvas, by its place in parts of it."""
    words = (
        "c => Array.from(c.getContext('2d').getImageData(c.width * %s, c.height * %s, 1, 1).data)"
    )
    return list(page.eval_on_selector("#piece", words % (across, down)))[:3]


def _middle(page: Page) -> tuple[float, float]:
    box = page.locator("#piece").bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_other_eyes_and_afar_are_the_packages_own(table: Asking) -> None:
    yarns = table.json("/api/piece")["yarns"]
    colors = np.array([[int(y["color"][i : i + 2], 16) for i in (1, 3, 5)] for y in yarns])
    for eyes in ("deutan", "grey"):
        seen = [[int(y["seen"][eyes][i : i + 2], 16) for i in (1, 3, 5)] for y in yarns]
        assert seen == in_sight(colors.astype(np.uint8), eyes).tolist()
    far = _png(table, "/seen/far.png?eyes=grey")
    assert (far[..., 0] == far[..., 2]).all()
    assert len(np.unique(far)) > len(yarns)  # blurred
    tiles = _png(table, "/seen/tiles.png?pixels=16")
    assert tiles.shape == (16 * len(yarns), 16 * 12, 3)
    mean = tiles[:16].reshape(-1, 3).mean(axis=0)
    assert np.abs(mean - colors[0]).max() < 12
    for wrong in ("/seen/map.png", "/seen/far.png?eyes=cat", "/seen/picture.png"):
        assert table.ask(wrong)[0] == 422


def test_the_words_under_the_piece_change_how_it_is_seen(page: Page) -> None:
    page.click("[data-seen=what]")  # the chart: plain colours
    first = _pixel(page, 0.45, 0.45)
    page.click("[data-seen=eyes]")
    page.wait_for_selector("#seen >> text=in grey")
    page.wait_for_timeout(60)
    red, green, blue = _pixel(page, 0.45, 0.45)
    assert red == green == blue
    assert first != [red, green, blue]
    page.click("[data-seen=way]")
    page.wait_for_selector("#seen >> text=as held")
    page.focus("#piece")
    page.keyboard.press("v")
    assert "as the picture lies" in page.inner_text("#seen")
    page.mouse.move(*_middle(page))
    page.mouse.wheel(0, -600)
    page.wait_for_selector("#seen >> text=very near")
    assert page.locator("#whole").is_visible()


def test_a_stroke_is_one_change_that_can_be_taken_back_alone(page: Page, table: Asking) -> None:
    before = table.json("/api/piece")["blocks"]
    page.focus("#piece")
    page.keyboard.press("3")
    page.wait_for_selector("text=is in hand")
    x, y = _middle(page)
    page.mouse.move(x - 100, y)
    page.mouse.down()
    page.mouse.move(x, y + 150, steps=4)
    page.mouse.up()
    page.wait_for_selector(".changes li")
    first = table.json("/api/piece")
    assert len(first["journal"]) == 1
    assert len(first["changes"][0]["blocks"]) > 1
    for key in ("Home", *["ArrowLeft"] * 6, *["ArrowUp"] * 7, "Space"):
        page.keyboard.press(key)
    page.wait_for_selector(".changes li:nth-child(2)")
    page.click(".changes li:nth-child(2) >> text=take back")
    page.wait_for_selector(".changes li:nth-child(2)", state="detached")
    left = table.json("/api/piece")
    assert len(left["journal"]) == 1
    assert left["blocks"] not in (before, first["blocks"])
    page.keyboard.press("Escape")
    page.wait_for_selector("text=is in hand", state="detached")


def test_a_line_needs_no_dragging(page: Page, table: Asking) -> None:
    page.focus("#piece")
    page.keyboard.press("3")
    page.click("#instead >> text=a line")
    x, y = _middle(page)
    page.mouse.click(x - 200, y - 200)
    page.mouse.click(x + 200, y + 200)
    page.wait_for_selector(".changes li")
    (change,) = table.json("/api/piece")["changes"]
    columns = {column for column, _ in change["blocks"]}
    assert len(columns) >= 3
    assert {column - line for column, line in change["blocks"]} != {columns.pop()}


def test_a_row_tells_its_runs_and_each_takes_another_yarn(page: Page, table: Asking) -> None:
    row = table.json("/api/row/4")
    assert [len(row["blocks"])] == [sum(run["count"] for run in row["runs"])]
    strand = table.json("/api/strand/4/1")
    assert row["blocks"][0] in strand["way"]
    assert strand["first_row"] <= 4 <= strand["last_row"]
    assert table.ask("/api/strand/4/99")[0] == table.ask("/api/row/99")[0] == 422
    page.focus("#piece")
    for key in ("g", "4", "Enter"):
        page.keyboard.press(key)
    page.wait_for_selector("h2 >> text=Row 4")
    page.wait_for_selector(".strip svg")
    before = table.json("/api/piece")["blocks"]
    page.click("[data-again=run-0]")
    page.wait_for_selector("text=Its way is drawn on the piece")
    page.wait_for_selector("#instead .slip >> text=taken up where it hangs")
    page.click(".slip .yarn")
    page.wait_for_selector("#instead .slip", state="detached")
    page.wait_for_selector("text=Take back")
    assert table.json("/api/piece")["blocks"] != before
    page.keyboard.press("PageUp")
    page.wait_for_selector("h2 >> text=Row 5")
    page.click("text=Back to the piece")
    assert page.locator("#paragraph").is_visible()
    _, x, y, entered = table.json("/api/piece")["counted"][0]
    outside = {"left": [x - 0.15, y + 0.5], "bottom": [x + 0.5, y + 1.15]}[entered]
    page.mouse.click(*page.evaluate(ON_SCREEN, outside))  # its number
    page.wait_for_selector("h2 >> text=Row 10")
    page.click("#seen >> text=row by row")  # without the canvas
    page.wait_for_selector("h2 >> text=Row 1 of 12")


def test_a_block_opens_its_sentence_by_touch(page: Page, table: Asking) -> None:
    page.mouse.click(*_middle(page))
    page.wait_for_selector("text=This block is")
    page.click("[data-again=patch]")
    asked = {"every": [[["paint", "row 4=Tar"]], [["fill", "column 9, line 1=Tar"]]]}
    cost, fault = table.json("/api/costs", asked)
    assert "column 9" in fault
    page.wait_for_selector("#instead .slip >> text=tails")
    page.click("#instead .slip .yarn")
    page.wait_for_selector("#instead .slip", state="detached")
    page.wait_for_selector("text=Take back")
    assert table.json("/api/piece")["changes"][0]["words"]
    table.json("/api/back", {})
    assert table.json("/api/mend", {"mends": asked["every"][0]})["changes"][0]["cost"] == cost
    page.keyboard.press("Escape")
    assert page.locator("#paragraph").is_visible()


@pytest.mark.parametrize("alone", [True, False])
def test_a_change_is_taken_out_and_stays_out_after_a_restart(folder: Any, alone: bool) -> None:
    session = Session(folder)
    start = session.chart.blocks
    session.mend([("paint", "column 1, line 1; columns 2 to 3, line 2=Tar")])
    session.mend([("paint", "column 5, line 5=Tar")])
    assert [line.group for line in session.chart.mends] == [1, 2]
    session.take_out(1, alone)
    assert (session.chart.blocks != start).sum() == (1 if alone else 0)
    again = Session(folder)
    assert (again.chart.blocks == session.chart.blocks).all()
    again.take_back()
    assert len(again.chart.mends) == 2


def test_lines_of_a_change_come_out_together_as_one_by_one(folder: Any) -> None:
    session = Session(folder)
    session.mend([("paint", f"row {row}=Tar") for row in (3, 5, 7)])
    session.mend([("paint", "row 9=Moss"), ("fill", "column 1, line 7=Chalk")])
    chart, steps = session.chart, []
    session.take_out(1, alone=True)
    for number in (3, 2, 1):
        chart = undo(chart, f"line:{number}").after
    assert write_chart(session.chart) == write_chart(chart)
    session.take_back()
    without_group(session.chart, 1, True, lambda done, of: steps.append((done, of)))
    assert steps == [(done, 5) for done in range(5)]


def test_costs_that_take_long_are_left_untold(folder: Any) -> None:
    chart = Session(folder).chart
    every = [[("paint", "row 3=Tar")], [("paint", "row 3=Moss")] * 2000]
    told = cost_words_of(chart, every)
    assert told[0].endswith("tails more")
    assert told[1].startswith("2000 mends at once")
    assert cost_words_of(chart, every, seconds=-1) == ["", ""]


def test_no_more_mends_at_once_than_a_maker_waits_for(folder: Any) -> None:
    session = Session(folder)
    with pytest.raises(BadInput, match="1001 mends at once: do at most 1000 on a piece of 6 x 7"):
        session.mend([("paint", "row 3=Tar")] * 1001)
    large = replace(session.chart, blocks=np.zeros((700, 800), dtype=int), last_row=1499)
    refuse_many(large, 7)
    with pytest.raises(BadInput, match="at most 7 on a piece of 800 x 700 blocks"):
        refuse_many(large, 8)


@pytest.mark.parametrize("crop", [(0, 0, 100, 100), (10, 5, 80, 70)])
def test_a_mask_holds_the_blocks_that_were_brushed(tmp_path: Path, crop: Any) -> None:
    frame = frame_picture((237, 181), 13, None, crop)
    inside = np.random.default_rng(4).random((frame.height, frame.width)) < 0.5
    path = tmp_path / "mask.png"
    path.write_bytes(mask_png((237, 181), frame, inside))
    mask = open_picture(path, "#000000")
    scale = mask.size[0] / 237
    assert abs(mask.size[1] - 181 * scale) <= 1
    block = min(frame.block * scale, mask.size[0] / frame.width, mask.size[1] / frame.height)
    on_mask = Frame(frame.left * scale, frame.top * scale, block, frame.width, frame.height)
    assert ((block_means(mask, on_mask)[..., 0] > 188) == inside).all()


def test_the_subject_is_brushed_on_the_piece_and_kept(tmp_path: Path) -> None:
    import browser

    laid = Table(root=tmp_path / "output")
    asked = {"width": "12", "colors": "3"}
    held: list[Any] = []
    laid.make("window.png", picture_bytes(), asked, Jobs().begin("", lambda _: None))
    for table in served(laid):
        before = table.json("/api/subject")
        assert not before["told"]
        assert _png(table, "/seen/picture.png").shape == (72, 96, 3)  # the picture's own
        opened = browser.the_browser().new_page(viewport={"width": 1366, "height": 850})
        opened.goto(f"http://127.0.0.1:{table.port}/{TOKEN}")
        opened.wait_for_selector(".sentence")
        opened.mouse.click(*_middle(opened))
        opened.click("text=the subject's line")
        opened.click("[data-again=brush]")  # seven blocks
        x, y = _middle(opened)
        opened.mouse.click(x, y)
        opened.route("**/api/choose*", lambda route: held.insert(0, route))
        opened.click("text=Keep this outline")
        opened.wait_for_timeout(300)
        while_made = opened.eval_on_selector("#piece", INK)
        held[0].continue_()
        opened.wait_for_selector("#foot >> text=the subject, drawn by hand")
        opened.wait_for_timeout(80)
        assert while_made > opened.eval_on_selector("#piece", INK) + 1500  # her outline is shown
        opened.close()
        told = table.json("/api/subject")
        inside = np.frombuffer(base64.b64decode(told["blocks"]), dtype=np.uint8).reshape(9, 12)
        assert told["told"]
        assert inside.sum() == 49
        assert inside[1:8, 3:10].all() or inside[1:8, 2:9].all()
        assert table.ask("/api/subject", {"blocks": base64.b64encode(bytes(9)).decode()})[0] == 422
        for word, value in (("hand", "left"), ("width", "8"), ("crop", "10,10,80,80")):
            table.json("/api/choose", {"word": word, "value": value})
            assert table.json("/api/subject")["told"], word  # the outline stays hers


def test_the_picture_is_that_of_the_part_that_is_charted(tmp_path: Path) -> None:
    """Also once parts of as many blocks were only tried on."""
    laid = Table(root=tmp_path / "output")
    laid.make("window.png", picture_bytes(), {"width": "8"}, Jobs().begin("", lambda _: None))
    session = laid.piece
    tried = session.tried_on("crop", "20,20,60,60").study.chart
    assert tried.blocks.shape == session.chart.blocks.shape
    known = session.again.known_view(session.state.wanted, tried.width, tried.height)
    assert known is None or known.viewing.crop == WHOLE
    assert view_of(session).viewing.crop == WHOLE
    session.mend([("mirror", "")])
    with pytest.raises(BadInput, match="lies otherwise than its picture"):
        view_of(session)
    for table in served(laid):  # what is shown of it is what the piece has
        means = session.chart.block_means
        assert (_png(table, "/seen/picture.png") == means).all()


def test_a_border_lies_around_the_piece(page: Page, table: Asking) -> None:
    assert table.json("/api/piece")["border"] is None
    page.click("[data-word=border]")
    page.fill(".slip .field input", "2 sc Tar")
    page.press(".slip .field input", "Enter")
    page.wait_for_selector("[data-word=border].changed")
    piece = table.json("/api/piece")
    assert piece["yarns"][piece["border"]["yarn"]]["name"] == "Tar"
    assert 0.3 < piece["border"]["blocks"] < 2
    x, y = page.evaluate(ON_SCREEN, [-piece["border"]["blocks"] / 4, 3.3])  # the first round
    box = page.locator("#piece").bounding_box()
    assert box
    pixel = _pixel(page, (x - box["x"]) / box["width"], (y - box["y"]) / box["height"])
    tar = piece["yarns"][piece["border"]["yarn"]]["color"]
    assert pixel == [int(tar[at : at + 2], 16) for at in (1, 3, 5)]
    table.json("/api/back", {})


def test_a_piece_laid_aside_survives_and_is_gone_on_with(folder: Path) -> None:
    session = Session(folder)
    start = session.chart.blocks
    assert [one["number"] for one in lay_aside(session)] == [1]
    assert len(lay_aside(session)) == 1  # it lies there already
    for line in range(1, 7):
        session.mend([("fill", f"column 1, line {line}=Tar"), ("paint", f"row {line}=Moss")])
        session.mend([("paint", f"row {line + 1}=Chalk")])
        lay_aside(session)
        session.mend([("paint", f"row {line + 1}=Tar")])
        lay_aside(session)
    kept = laid_aside(session)
    assert len(kept) == MOST
    assert kept[-1]["piece"]["tails"] == session.study.amounts.plan.tails
    again = Session(folder)
    oldest = laid_aside(again)[0]
    go_on_with(again, oldest["number"])
    assert piece_json(again)["blocks"] == oldest["piece"]["blocks"]
    assert (Session(folder).chart.blocks == again.chart.blocks).all()
    again.take_back()
    assert piece_json(again)["blocks"] == kept[-1]["piece"]["blocks"]
    assert (again.chart.blocks != start).any()
    with pytest.raises(BadInput, match="no such piece aside"):
        go_on_with(again, 1)


def test_two_lie_beside_one_another(page: Page, table: Asking) -> None:
    page.click("text=Lay beside")
    page.wait_for_selector("#laid-words >> text=Laid aside")
    page.click("text=Only this piece again")
    page.wait_for_url("**/")  # a reload while the address goes back would be as if nothing closed
    for row in (5, 6):
        table.json("/api/mend", {"mends": [["paint", f"row {row}=Tar"]]})
    before = table.json("/api/aside")[0]
    page.reload()
    page.click("text=Lay beside: before and now")
    page.wait_for_selector("#instead >> text=outlined in the second")
    assert page.inner_text("#laid-words").startswith("Laid aside at")
    page.click("text=Before the last change")
    page.wait_for_selector("#laid-words >> text=Before the last change")
    assert before["number"] == 0
    assert before["piece"]["blocks"] != table.json("/api/piece")["blocks"]
    was = table.ask("/seen/far.png?aside=0")[1]
    assert was != table.ask("/seen/far.png")[1]
    page.click("#foot >> text=Take back")
    page.wait_for_selector("#instead >> text=Nothing differs")
    assert "The same" in page.inner_text("#laid-words")
    page.click("#foot >> text=Put again")
    page.wait_for_selector("#instead >> text=outlined in the second")
    page.wait_for_timeout(250)  # blocks cross over
    lines = page.eval_on_selector("#piece", INK)
    page.click("[data-again=outlined]")
    page.wait_for_selector("#instead >> text=not outlined in the second")
    page.wait_for_timeout(80)
    assert page.eval_on_selector("#piece", INK) < lines
    page.click("text=Laid aside at")
    page.click("[data-seen=what]")
    one, other = (
        page.eval_on_selector(f"#{name}", "c => c.width") for name in ("piece", "laid-piece")
    )
    assert one == other
    page.click("text=Go on with this one")
    page.wait_for_selector("text=Take back: another that lay aside")
    assert page.locator("#laid").is_hidden()


STRIPES = {
    "mends": [
        ["paint", "rows 1 to 3=Chalk"],
        ["paint", "rows 4 to 8=Tar"],
        ["paint", "rows 9 to 12=Moss"],
    ]
}


def _stripes(table: Asking) -> list[list[int]]:
    striped = table.json("/api/piece")["striped"]
    return [stripe[:2] for stripe in striped["stripes"]]


def test_stripes_are_dragged_and_typed(page: Page, table: Asking) -> None:
    assert table.json("/api/piece")["striped"] is None
    balls = table.json("/api/mend", STRIPES)["striped"]["balls"]
    assert [ball["last_row"] for ball in balls] == [3, 8, 12]
    assert all(sorted(ball["left"], reverse=True) == ball["left"] for ball in balls)
    page.reload()
    page.wait_for_selector("#balls circle")
    page.mouse.click(*page.evaluate(ON_SCREEN, [3.5, 3.5]))  # row 6
    page.wait_for_selector("text=The stripe you hold")
    page.mouse.move(*page.evaluate(ON_SCREEN, [3.5, 1.5]))  # row 8, the last of it
    page.mouse.down()
    page.mouse.move(*page.evaluate(ON_SCREEN, [2.5, 0.5]))  # row 10
    page.wait_for_selector("text=Let go to keep it")
    page.mouse.up()
    page.wait_for_selector("text=Let go to keep it", state="detached")
    page.wait_for_selector("#instead >> text=7 rows")
    assert _stripes(table) == [[1, 3], [4, 10], [11, 12]]
    page.fill("[data-again=first]", "3")
    page.press("[data-again=first]", "Enter")
    page.wait_for_selector("text=Let go to keep it", state="detached")
    assert _stripes(table) == [[1, 2], [3, 9], [10, 12]]
    assert len(table.json("/api/piece")["changes"]) == 3
    page.keyboard.press("Escape")
    page.mouse.click(*page.evaluate(ON_SCREEN, [3.5, 3.5]))
    page.wait_for_selector("text=The stripe you hold")


def test_two_fingers_move_the_piece_and_work_nothing(page: Page, table: Asking) -> None:
    before = table.json("/api/piece")["blocks"]
    page.focus("#piece")
    page.keyboard.press("3")
    x, y = _middle(page)
    fingers = page.context.new_cdp_session(page)

    def touch(kind: str, apart: float) -> None:
        at = (
            [{"x": x + by * apart, "y": y, "id": n} for n, by in ((0, -1), (1, 1))] if apart else []
        )
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": at})

    touch("touchStart", 40)
    for apart in (60, 80, 100):
        touch("touchMove", apart)
    touch("touchEnd", 0)
    page.wait_for_selector("#seen >> text=very near")
    assert page.evaluate("import('/static/page.js').then(({ piece }) => piece.near)") > 2
    page.wait_for_timeout(100)
    assert table.json("/api/piece")["blocks"] == before
