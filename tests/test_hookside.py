"""hookside.html in a browser: worked by touches and keys, kept, moved, read aloud."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

import numpy as np
import pytest
from browser import opened, the_browser
from makers import YARNS, chart_of, random_blocks
from playwright.sync_api import Page
from programs import axe

from pix2block.amounts.run_out import forecast
from pix2block.amounts.under_way import Done, Left
from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.made import made_up_to
from pix2block.chart.reading import write_chart
from pix2block.command.cli import run
from pix2block.craft.diagonal import Layout
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import HABITS, HANDS, START_CORNERS
from pix2block.options.progress_file import read_progress
from pix2block.pages.chart_pages import row_spans
from pix2block.pages.hookside import hookside_page, script
from pix2block.pages.hookside_data import piece_data
from pix2block.pattern.pattern import write_rows
from pix2block.pattern.text import pattern_text

PIECE = "new Piece(JSON.parse(byId('piece-data').textContent))"  # as the page makes it
PICTURE = "01120 11200 00122 22100"  # every kind of row, 4 lines of 5


def amounts_and_page(chart: Chart) -> tuple[Amounts, str]:
    amounts = amounts_of(chart)
    return amounts, hookside_page(amounts, write_rows(chart, amounts.plan))


def saved(chart: Chart, folder: Path) -> Path:
    path = folder / "hookside.html"
    path.write_text(amounts_and_page(chart)[1], encoding="utf-8")
    return path


def step_now(page: Page) -> str:
    """What the step now says: "4 Moss", or how a row begins or ends."""
    words = [page.locator(f"#{part}").text_content() or "" for part in ("many", "name")]
    return " ".join(words).strip()


def still(page: Page) -> None:
    """From now on the page's time goes on only when it is told to."""
    page.clock.install(time=0)
    page.clock.pause_at(1000)


def go(page: Page) -> None:
    page.clock.run_for(400)
    page.locator("#go").click(position={"x": 100, "y": 20})
    if page.locator("#pause").is_visible():  # after the last row of an evening
        page.locator("#on").click()
        page.clock.run_for(100)
        page.wait_for_selector("#work:visible")


def worked(page: Page, on: Any) -> Iterator[str]:
    """Every step of the piece, one after another."""
    while not page.locator("body.finished").count():
        yield step_now(page)
        on(page)


@pytest.mark.parametrize(("hand", "way"), [("right", "touches"), ("left", "keys")])
def test_a_pattern_worked_through(tmp_path: Path, hand: Any, way: str) -> None:
    chart = chart_of(PICTURE, hand=hand, terms="us" if hand == "right" else "uk")
    keys = iter([" ", "PageDown", "ArrowRight"] * 100)

    def press(page: Page) -> None:
        page.clock.run_for(400)
        page.keyboard.press(next(keys))
        if page.locator("#pause").is_visible():
            page.locator("#on").click()
            page.wait_for_selector("#work:visible")

    with opened(saved(chart, tmp_path)) as page:
        still(page)
        page.evaluate("document.activeElement.blur()")
        steps = list(worked(page, go if way == "touches" else press))
    told = [step for step in steps if step[0].isdigit()]
    runs = chart.runs
    names = [chart.yarns[yarn].name for yarn in runs.color.tolist()]
    assert told == [f"{n} {name}" for n, name in zip(runs.blocks.tolist(), names, strict=True)]
    several = sum(len(runs.of_row(row)) > 1 for row in range(1, chart.last_row + 1))
    assert len(steps) - len(told) == 2 * several  # begin and end of every row of several yarns


def test_one_back_and_touches_that_are_not_meant(tmp_path: Path) -> None:
    with opened(saved(chart_of(PICTURE), tmp_path)) as page:
        still(page)
        first = step_now(page)
        go(page)
        second = step_now(page)
        assert second != first
        page.clock.run_for(100)  # too soon
        page.locator("#go").click(position={"x": 100, "y": 20})
        assert step_now(page) == second
        page.clock.run_for(400)
        page.locator("#back").click()
        assert step_now(page) == first
        page.clock.run_for(400)
        page.locator("#back").click(force=True)  # nothing is before the first step
        assert step_now(page) == first
        boxes = [page.locator(f"#{name}").bounding_box() for name in ("back", "go")]
        assert all(box is not None and box["height"] >= 44 for box in boxes)
        high = (page.locator(".lower").bounding_box() or {"height": 0})["height"]
        assert high == pytest.approx(0.38 * 800, abs=2)


def test_by_whole_rows(tmp_path: Path) -> None:
    chart = chart_of(PICTURE)
    with opened(saved(chart, tmp_path)) as page:
        still(page)
        page.evaluate("location.hash = '#pause'")
        page.locator("#by-row").check()
        page.locator("#on").click()
        page.wait_for_selector("#work:visible")
        rows = 0
        for _ in worked(page, go):
            rows += 1
        assert rows == chart.last_row


def test_it_is_kept_and_moves_by_code_and_by_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chart = chart_of(PICTURE)
    path, other = saved(chart, tmp_path), tmp_path / "progress.json"
    with opened(path) as page:
        still(page)
        for _ in range(14):
            go(page)
        here = step_now(page)
        page.reload()
        assert step_now(page) == here
        page.evaluate("location.hash = '#pause'")
        code = page.locator("#code").text_content() or ""
        with page.expect_download() as download:
            page.locator("#save-file").click()
        download.value.save_as(other)
    with opened(path) as page:
        assert step_now(page) != here
        page.evaluate("location.hash = '#pause'")
        wrong = code[:-1] + ("0" if code[-1] != "0" else "1")
        for text in (wrong, "nonsense", f"{int(code.split()[0]) + 1} {code[-7:]}"):
            page.locator("#their-code").fill(text)
            page.get_by_role("button", name="Take it over").click()
            assert "Taken over" not in (page.locator("#moved").text_content() or "")
        page.locator("#their-code").fill(code.lower())
        page.get_by_role("button", name="Take it over").click()
        page.locator("#on").click()
        assert step_now(page) == here
    other.write_text(json.dumps(json.loads(other.read_text()) | {"mood": "calm"}))
    with opened(path) as page:
        page.evaluate("location.hash = '#pause'")
        page.locator("#their-file").set_input_files(other)
        page.wait_for_function("document.getElementById('moved').textContent")
        page.locator("#on").click()
        assert step_now(page) == here
        assert '"mood":"calm"' in page.evaluate("JSON.stringify(localStorage)").replace("\\", "")
    done = read_progress(other)
    assert done.notes == (
        f'progress file {other}: unknown key "mood": kept in the file, and without effect',
    )
    assert done.piece == piece_data(*of_chart(chart))["key"]
    assert done.runs is not None
    (tmp_path / "chart.json").write_bytes(write_chart(chart))
    words = ["report", str(tmp_path / "chart.json"), "--without", "pdf,proof,preview", "--done"]
    told = []
    for what in (str(other), f"{done.row}.{done.runs}"):
        assert run([*words, what, "--out", str(tmp_path / "out")]) == 0
        assert ('key "mood"' in capsys.readouterr().err) == (what == str(other))
        told.append((tmp_path / "out" / "forecast.txt").read_text())
    assert told[0] == told[1]


def of_chart(chart: Chart) -> tuple[Amounts, Any]:
    amounts = amounts_of(chart)
    return amounts, write_rows(chart, amounts.plan)


def test_a_progress_file_that_is_none_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "progress.json"
    good = {"pix2block": "hookside", "version": 1, "row": 3, "runs": 2, "piece": "x"}
    wrong: list[Any] = [
        *("no JSON", [], {"row": 3}),
        *(good | {"version": 2}, good | {"version": "1"}, good | {"row": -1}, good | {"row": "3"}),
        *(good | {"row": True}, good | {"row": 0, "runs": None}, good | {"runs": 0}),
    ]
    path.write_text(json.dumps(good))
    assert read_progress(path) == Done(3, 2)
    for content in wrong:
        path.write_text(content if content == "no JSON" else json.dumps(content))
        with pytest.raises(BadInput, match=r"progress\.json"):
            read_progress(path)
    (tmp_path / "chart.json").write_bytes(write_chart(chart_of(PICTURE)))
    path.write_text(json.dumps(good))
    assert run(["report", str(tmp_path / "chart.json"), "--done", str(path)]) == 2


def test_an_edited_chart_keeps_what_is_made_and_tells_what_changed(tmp_path: Path) -> None:
    chart = chart_of(PICTURE)
    blocks = chart.blocks.copy()
    blocks[0, 0] = 2  # in the last row, 8, from the bottom right
    path = saved(chart, tmp_path)
    with opened(path) as page:
        still(page)
        for _ in range(9):
            go(page)
        here = step_now(page)
        path.write_text(amounts_and_page(replace(chart, blocks=blocks))[1], encoding="utf-8")
        page.reload()
        assert "row 8." in (page.locator("#changes").text_content() or "")
        page.locator("#on").click()
        assert step_now(page) == here


PIECES = {
    "carried, early": {"habit": HABITS["carry"], "turn": "early"},
    "left hand, UK": {"hand": "left", "terms": "uk"},
    "cut, small blocks": {"habit": HABITS["cut"], "block": "hdc", "start_corner": "top-left"},
}


def heard(chart: Chart, folder: Path) -> list[list[str]]:
    """What is read of each row, sentence by sentence."""
    with opened(saved(chart, folder)) as page:
        spoken = page.evaluate(
            f"(() => {{ const piece = {PIECE}, "
            "words = new Words(piece), rows = [];"
            "for (let n = 1; n <= piece.last; n++) rows.push(words.heardRow(n)); return rows; })()"
        )
    assert isinstance(spoken, list)
    return spoken


@pytest.mark.parametrize("kind", PIECES)
def test_what_is_heard_is_what_the_pattern_says(tmp_path: Path, kind: str) -> None:
    """Every row line of the text, with the lines under it, against the sentences of its row."""
    rng = np.random.default_rng(3)
    size = {"blocks": random_blocks(rng, 9, 7, 3), "last_row": 15}
    chart = Chart("Heard", yarns=YARNS, **size, **PIECES[kind])  # type: ignore[arg-type]
    amounts = amounts_of(chart)
    rows = write_rows(chart, amounts.plan)
    from pix2block.pattern.writing import write_document

    entries = list(write_document(amounts, every_row=True, rows=rows).row_entries())
    spoken = heard(chart, tmp_path)
    assert len(spoken) == len(entries) == chart.last_row
    for entry, (first, *steps) in zip(entries, spoken, strict=True):
        head, _, runs = entry.first_line.partition(": ")
        assert first == f"{head}."
        told = runs.rstrip(".").split(", ")
        ends, *yarn = entry.more_lines
        text = " ".join(steps)
        counted = re.findall(
            rf"\d+ (?:{'|'.join(sorted((y.name for y in YARNS), reverse=True))})(?=[,.])", text
        )
        assert counted == told  # each run once, in order
        assert ("Climb the edge" in text) == ("Travel" in ends)
        assert ("Add a block at the start" in text) == ("Grow" in ends)
        assert ("End at the marker" in text) == ("take the marker out" in text) == ("Stop" in ends)
        assert ("marker into block 1" in text) == ("Marker in block 1" in ends)
        for word, said in (
            ("Travel", "Climb the edge"),
            ("Stop", "with a slip stitch"),
            ("Last loop", "last loop"),
        ):
            named = re.search(rf"{word} in ([^.]+)\.", ends)
            heard_of = re.search(rf"{said} in ([^.;]+)[.;]", text)
            assert (named and named[1]) == (heard_of and heard_of[1])
        if yarn:
            uses = yarn[0].removeprefix("Yarn: ").rstrip(".").split(", ")
            of_run = [
                step
                for step in steps
                if re.search(r"\d+ \w", step) and "the start" not in step[:24]
            ]
            sentences = (
                [s for s in of_run if any(c in s for c in told)] if len(told) > 1 else [text]
            )
            for use, sentence in zip(uses, sentences, strict=True):
                number = re.search(r"#(\d+)", use)
                assert (
                    f"bobbin {number[1]}," in f"{sentence.rstrip('.')},"
                    if number
                    else "only here" in sentence
                )
                assert (" new" in use) == (", new" in sentence)
                assert (" last" in use) == ("cut it after these" in sentence)
                assert (" behind" in use) == ("carried behind" in sentence)
        assert "#" not in text
        assert not re.search(r"\d m\b", text)


def test_blocks_lie_as_they_are_held(tmp_path: Path) -> None:
    """In any hand and from any corner: each row's blocks in working order, by the craft's table of
    edges, and the piece as the charts draw it as held."""
    call = (
        "data => { const piece = new Piece(data), rows = [];"
        "for (let n = 1; n <= piece.last; n++) rows.push(stepsAway(piece, n));"
        "return [piece.turned, rows]; }"
    )
    with opened(saved(chart_of(PICTURE), tmp_path)) as page:
        for corner in START_CORNERS:
            for hand in HANDS:
                chart = chart_of("0120 1200 2001", start_corner=corner, hand=hand)
                turned, rows = page.evaluate(call, piece_data(*of_chart(chart)))
                assert [list(map(tuple, row)) for row in rows] == [
                    steps_of(chart, row.number) for row in chart.layout
                ]
                across = [[(dx - dy) * (-1 if turned else 1) for dx, dy in row] for row in rows]
                least = min(min(row) for row in across)
                starts = [(min(row) - least) / 2 for row in across]
                assert starts == pytest.approx([a for a, _ in row_spans(chart)], abs=0.02)
                for row in across[2::2]:  # odd rows, from her side
                    assert row == sorted(row, reverse=hand == "right")


def steps_of(chart: Chart, row: int) -> list[tuple[int, int]]:
    """(dx, dy) of a row's blocks in working order, by the craft's table of edges."""
    vertical = (
        {"bottom-right", "top-left"} if chart.hand == "right" else {"bottom-left", "top-right"}
    )
    up = (chart.start_corner in vertical) == (row % 2 == 1)
    dxs = [dx for dx in range(chart.width) if 0 <= row - 1 - dx < chart.height]
    steps = [(dx, row - 1 - dx) for dx in dxs]
    return steps if up else steps[::-1]


STOCK = (
    replace(YARNS[0], skeins=1, metres=60, grams=30),
    replace(YARNS[1], skeins=1, metres=40, grams=50),
    replace(YARNS[2], skeins=0.3, metres=92.5, grams=50),
)


@pytest.mark.parametrize(
    ("row", "runs", "came_out"),
    [
        (4, None, {}),
        (6, 2, {"Moss": 1.1}),
        (9, None, {"Moss": 0.8, "Chalk": 1.2}),
        (9, 1, {"Moss": 1.25, "Moss 2": 1.02}),
        (15, None, {"Moss": 1.9, "Chalk": 0.95}),
    ],
)
def test_whether_the_yarn_lasts_is_the_reports(
    tmp_path: Path, row: int, runs: int | None, came_out: dict[str, float]
) -> None:
    """The page's figures against those of the forecast that a report makes. came_out: yarn that
    was used, in times of the planned."""
    blocks = random_blocks(np.random.default_rng(8), 12, 9, 3)
    chart = Chart("Lasts", blocks, STOCK, last_row=20)
    planned = forecast(amounts_of(chart), Done(row, runs), ())
    color, done_runs = chart.runs.color, planned.done_runs
    told = []
    for number, yarn in enumerate(STOCK):
        if yarn.name in came_out:
            used = planned.need_m[:done_runs][color[:done_runs] == number].sum()
            metres = (yarn.on_hand_m or 0) - float(used) * came_out[yarn.name]
            told.append(Left(yarn.name, metres * (yarn.grams or 0) / (yarn.metres or 1), "g"))
    by_tool = forecast(amounts_of(chart), Done(row, runs), told)
    left = {
        one.yarn: {"amount": one.amount, "unit": one.unit, "runs": by_tool.done_runs}
        for one in told
    }
    with opened(saved(chart, tmp_path)) as page:
        by_page = page.evaluate(
            f"([made, told]) => lasting({PIECE}, made, told)",
            [by_tool.done_runs, left],
        )
    assert {one.verdict for one in by_tool.yarns} - {None}
    for one, its in zip(by_tool.yarns, by_page, strict=True):
        assert its["need"] == pytest.approx(one.need, abs=0.02)
        assert its["error"] == pytest.approx(one.error, abs=1e-4)
        assert its["left"] == pytest.approx(one.left_m, abs=0.02)
        assert its["doubtful"] == one.doubtful
        if one.need > 0:
            assert (its["verdict"], its["endsRow"]) == (one.verdict, one.ends_row)


def test_what_hangs_and_what_ripping_back_does(tmp_path: Path) -> None:
    blocks = random_blocks(np.random.default_rng(4), 8, 8, 3)
    chart = Chart("Hangs", blocks, YARNS, last_row=15, habit=HABITS["carry"])
    plan = amounts_of(chart).plan
    firsts, lasts = np.array(plan.first_runs), np.array(plan.last_runs)
    call = (
        f"made => {{ const piece = {PIECE};"
        "return [hanging(piece, made), ripping(piece, piece.runRow[made - 1], made)]; }"
    )
    with opened(saved(chart, tmp_path)) as page:
        for made in range(1, len(chart.runs.blocks)):
            hang, rip = page.evaluate(call, made)
            assert sorted(hang) == np.flatnonzero((firsts < made) & (lasts >= made)).tolist()
            begin = int(np.flatnonzero(chart.runs.row == chart.runs.row[made - 1])[0])
            of_row = set(plan.strand[begin:made].tolist())
            assert set(rip["whole"]) == {s for s in of_row if firsts[s] >= begin}
            assert set(rip["join"]) == {s for s in of_row if firsts[s] < begin and lasts[s] < made}
            assert set(rip["hang"]) == of_row - set(rip["whole"]) - set(rip["join"])
        still(page)
        for _ in range(12):
            go(page)
        row = int(page.locator("#row").text_content() or 0)
        page.evaluate("location.hash = '#pause'")
        page.locator("#rip-row").click()
        assert (page.locator("#rip-row").text_content() or "") == f"Rip back row {row}"
        page.locator("#rip-now").click()
        page.locator("#on").click()
        assert page.locator("#counted").text_content() == f"0 of {row} blocks"


def test_pace_is_learned_and_pauses_are_none(tmp_path: Path) -> None:
    with opened(saved(chart_of(PICTURE), tmp_path)) as page:
        pace = page.evaluate(
            "() => { const taps = [];"
            "for (let i = 0; i < 30; i++) taps.push([60 * 1.5 * 0.7, 0.7]);"
            "const few = paceOf(taps.slice(0, 5)), plain = paceOf(taps);"
            "for (let i = 0; i < 10; i++) { taps.push([3000, 0.7]); taps.push([1, 0.7]); }"
            "return [few, plain, paceOf(taps)]; }"
        )
    assert pace == pytest.approx([1, 1.5, 1.5])


def test_a_count_is_checked(tmp_path: Path) -> None:
    with opened(saved(chart_of("000000 000000 012012 120120"), tmp_path)) as page:
        still(page)
        while (page.locator("#row").text_content() or "") != "3":
            go(page)
        go(page)
        go(page)
        page.evaluate("location.hash = '#pause'")
        page.locator("#count").fill("2")
        assert "1 too many" in (page.locator("#count-says").text_content() or "")
        page.locator("#count").fill("1")
        assert "as told here; the row has 3" in (page.locator("#count-says").text_content() or "")


SIZES = ((320, 568), (360, 740), (740, 360), (1200, 800))


def test_all_that_matters_is_in_sight(tmp_path: Path) -> None:
    chart = chart_of("\n".join(["0123" * 5] * 12), habit=HABITS["cut"])
    with opened(saved(chart, tmp_path)) as page:

        def at_every_size() -> Iterator[tuple[int, int]]:
            for wide, high in SIZES:
                page.set_viewport_size({"width": wide, "height": high})
                assert page.evaluate("[innerWidth, innerHeight]") == [wide, high]
                assert page.evaluate("document.documentElement.scrollWidth") <= wide, (wide, high)
                yield wide, high

        still(page)
        assert len([*at_every_size()]) == 4
        for _ in range(8):
            go(page)
        for size in at_every_size():
            upper = page.locator("#upper").bounding_box()
            now = page.locator("#now").bounding_box()
            assert upper is not None
            assert now is not None
            assert now["y"] + now["height"] <= upper["y"] + upper["height"], size
            pixels = "e => parseFloat(getComputedStyle(e).fontSize)"
            for name in ("many", "name", "ahead"):
                assert page.locator(f"#{name}").evaluate(pixels) >= 28, (name, size)
        page.evaluate("location.hash = '#pause'")
        page.wait_for_selector("#pause:visible")
        assert len([*at_every_size()]) == 4


def test_it_asks_nobody_and_is_small() -> None:
    """Noise of 40 x 40 blocks has more runs than a calmed photo of 60 x 75."""
    chart = Chart("Noise", random_blocks(np.random.default_rng(5), 40, 40, 4), YARNS, last_row=79)
    page = amounts_and_page(chart)[1]
    assert len(page.encode()) < 300_000
    assert not re.search(r"https?:|fetch\(|XMLHttp|WebSocket|EventSource|sendBeacon|eval\(", page)
    assert not re.search(r"^(import|export)\b", script(), re.M)
    assert "SpeechRecognition" not in page
    assert page == amounts_and_page(replace(chart))[1]


def test_a_name_cannot_end_the_data(tmp_path: Path) -> None:
    with opened(saved(chart_of(PICTURE, title="</script><b>x"), tmp_path)) as page:
        assert page.locator("b").first.text_content() != "x"
        assert step_now(page)


def test_a_preview_without_scripts_says_what_to_do(tmp_path: Path) -> None:
    path = saved(chart_of(PICTURE), tmp_path)
    context = the_browser().new_context(java_script_enabled=False)
    try:
        page = context.new_page()
        page.goto(path.as_uri())
        assert "This preview runs no script." in page.locator("body").inner_text()
    finally:
        context.close()


AXE_LOOKS = """async (runOnly) => (
  await axe.run({ runOnly, resultTypes: ["violations"], preload: false })
  ).violations.map((v) => [v.id, ...v.nodes.map((n) => n.target[0] + n.failureSummary)])"""


def no_violation(page: Page) -> None:
    """By WCAG 2.2 A to AAA; in the other light only colours are otherwise."""
    looks: list[tuple[Literal["light", "dark"], str, list[str]]] = [
        ("light", "tag", ["wcag2a", "wcag2aa", "wcag2aaa", "wcag22aa"]),
        ("dark", "rule", ["color-contrast", "color-contrast-enhanced", "link-in-text-block"]),
    ]
    for light, kind, names in looks:
        page.emulate_media(color_scheme=light)
        assert page.evaluate(AXE_LOOKS, {"type": kind, "values": names}) == [], light


def test_axe_finds_nothing(tmp_path: Path) -> None:
    """At each kind of step, between rows and at the end."""
    path, text = saved(chart_of(PICTURE), tmp_path), axe()
    with opened(path, color_scheme="light") as page:  # a profile where time goes on
        page.evaluate(text)
        for _ in range(5):
            no_violation(page)
            page.wait_for_timeout(300)
            page.locator("#go").click(position={"x": 100, "y": 20})
        page.evaluate("location.hash = '#pause'")
        page.wait_for_selector("#pause:visible")
        for details in page.locator("#pause details:visible").all():
            details.locator("summary").click()
        no_violation(page)
        page.evaluate(
            "(() => { const [key] = Object.keys(localStorage);"
            "const kept = JSON.parse(localStorage[key]);"
            "localStorage[key] = JSON.stringify({...kept, next: kept.rows + 1, step: 0}); })()"
        )
        page.evaluate("location.hash = ''")
        page.reload()
        assert page.locator("body.finished").count() == 1
        page.evaluate(text)
        no_violation(page)


def test_bobbins_that_hang_and_are_cut(tmp_path: Path) -> None:
    """Rows that are made keep their bobbins; what the changed rest no longer takes up is cut."""
    blocks = random_blocks(np.random.default_rng(11), 9, 8, 3)
    kept = made_up_to(Chart("Cut", blocks, STOCK, last_row=16, habit=HABITS["carry"]), 8, None)
    rows = Layout(9, 8, 16, kept.start_corner, kept.hand).row_numbers()
    chart = replace(kept, blocks=np.where(rows <= 8, blocks, 1))
    amounts = amounts_of(chart)
    ((row, strands),) = amounts.plan.cuts.items()
    (line,) = [line for line in pattern_text(amounts).splitlines() if line.startswith("  Cut: ")]
    by_tool = forecast(amounts, Done(8), ())
    with opened(saved(chart, tmp_path)) as page:
        said, hang, gone, by_page = page.evaluate(
            f"([row, made]) => {{ const piece = {PIECE}, words = new Words(piece);"
            "return [words.heardRow(row)[1], hanging(piece, made), hanging(piece, made + 1),"
            "lasting(piece, made, {})]; }",
            [row, by_tool.done_runs],
        )
    assert said == line.strip().replace(", ", "; ").replace(" #", ", bobbin ")
    assert set(strands) <= set(hang)
    assert not set(strands) & set(gone)
    for one, its in zip(by_tool.yarns, by_page, strict=True):
        assert its["need"] == pytest.approx(one.need, abs=0.02)


def test_it_begins_where_the_chart_is_made(tmp_path: Path) -> None:
    chart = chart_of(PICTURE)
    for runs, said in ((None, "0 of 4 blocks"), (2, "2 of 4 blocks")):
        kept = made_up_to(chart, 3 if runs is None else 4, runs)
        folder = tmp_path / f"{runs}"
        folder.mkdir()
        with opened(saved(kept, folder)) as page:
            assert page.locator("#row").text_content() == "4"
            assert (page.locator("#counted").text_content() or "").endswith(said)


def test_stripes_worked_row_by_row(tmp_path: Path) -> None:
    """A narrow piece in stripes of two rows: every row one step, told with its turn."""
    rows = Layout(4, 12, 15, "bottom-right", "right").row_numbers()
    chart = Chart("Scarf", (rows - 1) // 2 % 3, YARNS, last_row=15, turn="early")
    steps, above = [], []
    with opened(saved(chart, tmp_path)) as page:
        still(page)
        for step in worked(page, go):
            steps.append(step)
            above.append(page.locator("#made").text_content() or "")
    names = [YARNS[row // 2 % 3].name for row in range(15)]
    assert steps == [f"{row.blocks} {name}" for row, name in zip(chart.layout, names, strict=True)]
    for row, said in zip(chart.layout, above, strict=True):
        assert ("Climb the edge" in said) == (row.begins == "travel")
        assert ("marker into block 1" in said) == row.marker
