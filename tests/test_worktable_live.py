"""Long work at the worktable: counted, stopped, and beside everything else."""

from __future__ import annotations

import json
import re
import sys
import threading
import time
import zipfile
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page
from worktables import PAINT, Asking, drop, opened_at, program, soft_picture

from pix2block.command.cli import run
from pix2block.ground.errors import BadInput
from pix2block.ground.progress import heed
from pix2block.options.table import Options
from pix2block.picture.picture import open_picture
from pix2block.web import making
from pix2block.web.files_away import STATIC
from pix2block.web.jobs import AHEAD, KEEP, LOOK, Job, Jobs
from pix2block.web.making import asked_of
from pix2block.web.session import Session

pytestmark = pytest.mark.usefixtures("few_files")

SAMPLES = Path(__file__).parent.parent / "sample_images"


def test_a_newer_wish_ends_the_one_before_and_what_is_behind_waits() -> None:
    jobs, begun, order = Jobs(), threading.Event(), []

    def long(job: Job) -> None:
        begun.set()
        for done in range(10_000):
            job(done, 10_000)
            job.over.wait(0.001)
        order.append("long")

    def short(name: str) -> Callable[[Job], None]:
        def work(job: Job) -> None:
            job.heed()
            order.append(name)

        return work

    first = jobs.begin("size", long)
    assert begun.wait(5)
    ahead = jobs.begin("calm", short("ahead"), AHEAD)
    look = jobs.begin("calm", short("look"), LOOK)
    assert not look.over.wait(0.05)
    second = jobs.begin("size", short("second"), KEEP)
    for job in (first, second, look, ahead):
        assert job.over.wait(5)
    assert order == ["second", "look", "ahead"]
    assert [job.told()["state"] for job in (first, second)] == ["stopped", "done"]
    assert jobs.now() == []


def test_what_is_counted_is_told_with_parts_and_the_best_so_far() -> None:
    jobs, go = Jobs(), threading.Event()

    def work(job: Job) -> str:
        job.counting("yarns tried")
        job(11, 18)
        job.give("a part")
        job.give("another")
        job.so_far("Thrift, 14 tails more", lambda: "Thrift")
        go.set()
        while True:
            job.heed()

    job = jobs.begin("yarns", work)
    assert go.wait(5)
    told = job.told(after=1)
    assert told["said"].startswith("11 of 18 yarns tried")
    assert (told["best"], told["parts"]) == ("Thrift, 14 tails more", ["another"])
    job.stop(take=True)
    assert job.over.wait(5)
    assert (job.told()["state"], job.told()["result"]) == ("stopped", "Thrift")


def test_a_fault_of_long_work_is_told_with_its_word() -> None:
    def work(_: Job) -> None:
        raise BadInput("no such size", about="size")

    job = Jobs().begin("size", work)
    assert job.over.wait(5)
    assert (job.told()["faults"], job.told()["about"]) == (["no such size"], "size")


def test_long_work_stands_at_its_word_and_the_piece_stays_usable(
    page: Page, table: Asking, monkeypatch: pytest.MonkeyPatch
) -> None:
    go = threading.Event()

    def slow(_: Session, __: str, ___: str, ____: str, job: Job) -> None:
        job.counting("corners tried")
        while not go.wait(0.01):
            job(11, 18)

    monkeypatch.setattr(Session, "choose", slow)
    page.evaluate(
        """() => { import('/static/api.js').then(async (api) => {
          const page = await import('/static/page.js');
          page.keep(api.choose('corner', 'top-left'), 'Kept'); }); }"""
    )
    page.wait_for_selector(".work >> text=11 of 18 corners tried")
    assert page.locator(".work .filled").count() == 11
    assert page.locator("p:has([data-word=corner]) + .work").count() == 1
    table.json("/api/mend", PAINT)
    page.click(".work >> text=Stop")
    page.wait_for_selector(".work", state="detached")
    assert len(table.json("/api/piece")["journal"]) == 2
    assert page.inner_text("#fault") == ""
    go.set()


def test_writing_the_files_can_be_stopped(
    page: Page, table: Asking, monkeypatch: pytest.MonkeyPatch
) -> None:
    table.json("/api/mend", PAINT)
    page.wait_for_selector("text=Take back: 2 blocks Tar")
    with monkeypatch.context() as slow:
        slow.setattr("pix2block.web.session.save", _as_long_as_wanted)
        page.click("text=Pattern and files")
        page.click("#instead >> text=Stop")
        page.wait_for_selector("#instead >> text=What is not written yet waits.")
    page.click("#instead >> text=Write it")
    page.wait_for_selector("text=Every file is written.")


def _as_long_as_wanted(*_: Any) -> None:
    while True:
        heed()
        time.sleep(0.01)


# First start


def _after_a_while(does: Callable[..., Any], *given: Any) -> Any:
    time.sleep(0.6)
    return does(*given)


@pytest.fixture
def first(empty: Asking) -> Iterator[Page]:
    """The first start's page."""
    with opened_at(empty, "#which") as page:
        yield page


def test_a_dropped_picture_comes_in_stages_and_is_the_command_lines(
    first: Page, empty: Asking, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for later in ("with_yarns_chosen", "work"):  # each stage lasts until the page has looked
        monkeypatch.setattr(making, later, partial(_after_a_while, getattr(making, later)))
    first.evaluate(
        """() => { window.stages = [];
          new MutationObserver(() => { if (document.querySelector('.becoming [data-word]'))
            window.stages.push(document.getElementById('piece').getAttribute('aria-label')); })
            .observe(document.getElementById('paragraph'), { childList: true }); }"""
    )
    picture = soft_picture(tmp_path / "soft hills.png")
    first.fill("[name=size]", "12 by 9 blocks")
    first.fill("[name=yarns]", "three yarns")
    first.select_option("select:not(.kind)", "left")
    drop(first, picture)
    first.wait_for_selector("body:not(.becoming) #foot button")
    assert first.evaluate("stages.slice(0, 2)") == ["Soft hills, 12 by 9 blocks, 3 yarns"] * 2
    with first.expect_download() as found:
        first.click("text=Pattern and files")
        first.click("text=All as one zip")
    out = tmp_path / "own"
    words = ["--width", "12", "--height", "9", "--colors", "3", "--hand", "left"]
    assert run(["chart", str(picture), *words, "--out", str(out)]) == 0
    with zipfile.ZipFile(found.value.path()) as archive:
        own = {path.name: path.read_bytes() for path in out.iterdir() if path.is_file()}
        assert sorted(archive.namelist()) == sorted(own)
        for name, data in own.items():
            assert archive.read(name) == data, name
    drop(first, soft_picture(tmp_path / "other.png"))
    first.click("text=A new piece from it")
    first.wait_for_selector("body:not(.becoming) [data-word=title] >> text=Other")
    names = {one["name"] for one in empty.json("/api/pieces")["pieces"]}
    assert names == {"soft hills", "other"}


def test_what_is_no_picture_is_told_and_what_was_filled_in_stays(
    first: Page, empty: Asking, tmp_path: Path
) -> None:
    (tmp_path / "notes.png").write_bytes(b"no picture")
    first.fill("[name=size]", "12 blocks")
    drop(first, tmp_path / "notes.png")
    first.wait_for_selector("#fault >> text=no picture that can be read")
    assert first.input_value("[name=size]") == "12 blocks"
    assert empty.json("/api/pieces")["pieces"] == []
    first.fill("[name=size]", "as large as a boat")
    drop(first, soft_picture(tmp_path / "soft.png"))
    first.wait_for_selector("#fault >> text=as large as a boat")
    first.select_option("select.kind", "striped scarf")  # which needs no picture
    first.fill("[name=size]", "5 by 9 blocks")
    first.click("text=Lay out the stripes")
    first.wait_for_selector("[data-word=part-1-rows]")
    first.wait_for_selector("[data-word=blocks] >> text=5 by 9 blocks")


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="memory is read as Linux tells it")
def test_a_picture_of_fifty_megapixels_is_dropped_after_two_that_cannot_be_read(
    tmp_path: Path,
) -> None:
    """Each that cannot be read is one line; the large one is a piece, in little more than its own
    pixels of memory (150 MB)."""
    large, broken, none = (tmp_path / name for name in ("large.png", "broken.png", "none.png"))
    image = Image.new("RGB", (8000, 6250), "#203040")
    image.paste("#f0c040", (2001, 1502, 6003, 4507))
    image.save(large, compress_level=1)
    broken.write_bytes(large.read_bytes()[:200_000])
    none.write_bytes(b"\x89PNG, they say")
    with program(place=tmp_path) as (opened, asking), opened_at(asking, "#which") as page:
        page.fill("[name=size]", "24 blocks")
        for path, told in ((broken, "damaged"), (none, "no picture that can be read")):
            drop(page, path)
            page.wait_for_selector(f"#fault >> text={told}")
            assert page.inner_text("#fault").count("\n") == 0
        drop(page, large)
        page.wait_for_selector(
            "body:not(.becoming) [data-word=title] >> text=Large", timeout=60_000
        )
        assert asking.json("/api/piece")["height"] == 19
        most = re.search(r"VmHWM:\s+(\d+) kB", Path(f"/proc/{opened.pid}/status").read_text())
        assert most
        assert int(most[1]) < 420_000


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("60", {"width": "60"}),
        ("60 blocks", {"width": "60"}),
        ("60 by 75 blocks", {"width": "60", "height": "75"}),
        ("110x90", {"size": "110x90cm"}),
        ("110 × 90 cm", {"size": "110 × 90 cm"}),
        ("43 in", {"size": "109.2x54.6cm"}),
        ("90 cm high", {"size": "180.0x90.0cm"}),
    ],
)
def test_a_size_is_read_as_people_write_it(
    text: str, asked: dict[str, str], tmp_path: Path
) -> None:
    Image.new("RGB", (200, 100)).save(tmp_path / "wide.png")
    picture = open_picture(tmp_path / "wide.png")
    words = asked_of({"size": text, "yarns": "at most six yarns"}, picture)
    assert words == {**asked, "colors": "6"}
    Options.from_words(words)


def test_the_sample_is_the_one_that_was_drawn() -> None:
    with (
        Image.open(SAMPLES / "tallow_cat.jpg") as drawn,
        Image.open(STATIC / "tallow_cat.jpg") as small,
    ):
        assert small.size == (drawn.width * 3 // 4, drawn.height * 3 // 4)
        drawn.thumbnail(small.size)
        assert np.abs(np.asarray(drawn, float) - np.asarray(small, float)).mean() < 3


def test_choices_begin_with_what_was_made_ready_ahead(
    empty: Asking, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    kind = {"Content_Type": "application/octet-stream"}
    data = soft_picture(tmp_path / "soft.png").read_bytes()
    empty.json("/api/make?name=soft.png&size=8+blocks&yarns=2", data, **kind)
    while empty.json("/api/news")["jobs"]:
        time.sleep(0.02)
    monkeypatch.setattr("pix2block.web.again.ready_to_work", None)  # nothing is made ready anew
    places = empty.json("/api/slip/calm")["places"]
    choices = [["calm", place["value"]] for place in places if not place["now"]]
    _, data, _ = empty.ask("/api/fill", {"word": "calm", "choices": choices})
    work = json.loads(data)
    while work["state"] == "working":
        time.sleep(0.02)
        work = empty.json(f"/api/jobs/{work['job']}")
    assert work["state"] == "done"
    assert len(work["parts"]) == len(choices) > 2
    assert not any("faults" in part for part in work["parts"])
