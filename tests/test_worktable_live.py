"""Long work at the worktable: counted, stopped, and beside everything else."""

from __future__ import annotations

import threading
from collections.abc import Callable

import pytest
from playwright.sync_api import Page
from worktables import PAINT, Asking

from pix2block.ground.errors import BadInput
from pix2block.web.jobs import AHEAD, KEEP, LOOK, Job, Jobs
from pix2block.web.session import Session


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
