"""What a maker waits for at the worktable: an edit, what a word opens, the first piece in stages.

In milliseconds as they passed; in brackets this program's own processor time, which other work on
the machine changes less.

Run: PYTHONPATH=tests:. python tests/bench/worktable.py [edit|first|slip]...
"""

from __future__ import annotations

import json
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from statistics import median
from typing import Any

import browser
from worktables import TOKEN, Asking, served

from pix2block.web.jobs import Job, Jobs
from pix2block.web.making import warm
from pix2block.web.session import Session
from pix2block.web.table import Table

CAT = Path(__file__).resolve().parents[2] / "sample_images" / "tallow_cat.jpg"
SIZES = ((60, 75), (100, 120), (300, 300))
EDITS = 15


def ms(seconds: float) -> str:
    return f"{1000 * seconds:,.0f} ms"


def passed(began: float, own: float) -> str:
    return f"{ms(time.perf_counter() - began)} ({ms(time.process_time() - own)})"


def made(root: Path, width: int, height: int) -> Path:
    """A piece of this size, in eight yarns."""
    table = Table(root=root)
    asked = {"size": f"{width} by {height} blocks", "yarns": "8"}
    done: list[Session] = []

    def work(job: Job) -> None:
        done.append(table.make(f"cat {width}.jpg", CAT.read_bytes(), asked, job))

    job = Jobs().begin("picture", work)
    job.over.wait()
    return done[0].folder


@contextmanager
def laid(folder: Path) -> Iterator[Asking]:
    """A piece that is served."""
    table = Table(Session(folder), folder.parent)
    yield from served(table)


def timed(work: Callable[[int], Any], times: int = EDITS) -> str:
    """The medians of some runs: as time passed, and of processor time."""
    took, worked = [], []
    for number in range(times):
        began, own = time.perf_counter(), time.process_time()
        work(number)
        took.append(time.perf_counter() - began)
        worked.append(time.process_time() - own)
    return f"{ms(median(took))} ({ms(median(worked))})"


def answered(asking: Asking, yarns: list[str], number: int) -> None:
    paint = ["paint", f"column {number + 2}, line 9={yarns[number % 2]}"]
    asking.json(f"/api/mend?since={asking.json('/api/news')['version']}", {"mends": [paint]})


def edit(root: Path) -> None:
    """One block painted: answered by the server, and drawn by the page."""
    for width, height in SIZES:
        folder = made(root, width, height)
        session = Session(folder)
        yarns = [yarn.name for yarn in session.chart.yarns[:2]]

        def mend(number: int, of: Session = session, yarns: list[str] = yarns) -> None:
            of.mend([("paint", f"column {number + 2}, line 5={yarns[number % 2]}")])

        alone = timed(mend)
        with laid(folder) as asking, page_of(asking) as page:
            page.wait_for_timeout(2000)
            one = timed(partial(answered, asking, yarns))
            page.wait_for_timeout(2500)
            seen = page.evaluate(_SEEN, [yarns, EDITS])
        print(
            f"edit, {width} x {height}: kept {alone}, answered {one}, seen {seen[0]:,.0f} ms; "
            f"{seen[1]:,} bytes of {seen[2]:,}"
        )


_SEEN = """async ([yarns, times]) => {
  const api = await import('/static/api.js'), page = await import('/static/page.js');
  const took = [], bytes = [], ask = window.fetch;
  window.fetch = async (...of) => {
    const answer = await ask(...of);
    bytes.push((await answer.clone().arrayBuffer()).byteLength);
    return answer;
  };
  for (let n = 0; n < times; n++) {
    const began = performance.now();
    page.show(await api.mend([['paint', `column ${n + 2}, line 12=${yarns[n % 2]}`]]));
    await new Promise((done) => requestAnimationFrame(done));
    took.push(performance.now() - began);
  }
  const whole = JSON.stringify(page.page.state).length;
  return [took, bytes].map((of) => of.sort((a, b) => a - b)[of.length >> 1]).concat(whole);
}"""


@contextmanager
def page_of(asking: Asking) -> Iterator[Any]:
    context = browser.the_browser().new_context(viewport={"width": 1366, "height": 850})
    page = context.new_page()
    page.goto(f"http://127.0.0.1:{asking.port}/{TOKEN}")
    page.wait_for_selector(".sentence")
    yield page
    context.close()


def first(root: Path) -> None:
    """The first piece, 60 x 75 in eight yarns: from the picture's bytes to each stage."""
    warmed = threading.Thread(target=warm)
    warmed.start()
    warmed.join()
    table = Table(root=root)
    began, own = time.perf_counter(), time.process_time()
    stages: list[str] = []

    def work(job: Job) -> None:
        give = job.give

        def noted(part: Any) -> None:
            stages.append(passed(began, own))
            give(part)

        job.give = noted  # type: ignore[method-assign]
        asked = {"size": "60 by 75 blocks", "yarns": "8"}
        table.make("first.jpg", CAT.read_bytes(), asked, job)

    job = Jobs().begin("picture", work)
    job.over.wait()
    told, whole = ", ".join(stages), passed(began, own)
    print(f"first piece, 60 x 75: nearest yarns, chosen yarns, calmed after {told}; kept {whole}")


def slip(root: Path) -> None:
    """What the words of 60 x 75 blocks open: places, the nearest choice, all of them."""
    folder = made(root, 60, 75)
    with laid(folder) as asking:
        for word in ("calm", "habit", "corner", "yarns", "size"):
            began, own = time.perf_counter(), time.process_time()
            told = asking.json(f"/api/slip/{word}")
            places = passed(began, own)
            choices = [[p["word"] or word, p["value"]] for p in told["places"] if not p["now"]]
            nearest, got = "", 0
            work = json.loads(asking.ask("/api/fill", {"word": word, "choices": choices})[1])
            while True:
                got += len(work["parts"])
                nearest = nearest or (passed(began, own) if got else "")
                if work["state"] != "working":
                    break
                time.sleep(0.02)
                work = asking.json(f"/api/jobs/{work['job']}?after={got}")
            every = f"nearest {nearest}, all {len(choices)} {passed(began, own)}"
            print(f"slip {word}, 60 x 75: places {places}, {every}")


if __name__ == "__main__":
    asked = sys.argv[1:] or ["first", "edit", "slip"]
    for name in asked:
        with tempfile.TemporaryDirectory() as place:
            globals()[name](Path(place))
