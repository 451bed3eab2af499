"""Programs ended with signal 9 at random moments: how many left a mixed set, lost what they had
answered, or left something hidden that the next run does not clear.

Run: PYTHONPATH=tests:. python tests/bench/killed.py [KILLS [WHAT …]]
with saving, chart, mend, stripe, compare, send, worktable, together as WHAT.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from functools import partial
from pathlib import Path

from PIL import Image
from test_swap import hidden, killed_at_random, settled

from pix2block.command.cli import run
from pix2block.ground.swap import sha256_of
from pix2block.recipes import outputs
from pix2block.web.session import Session

_MOST_MENDS = 60  # of a piece, before it is another
QUICK = ["--without", "pdf,proof,preview"]


def quietly(words: list[str]) -> int:
    """The program in this process, nothing printed."""
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        return run(words)


def ended_after(
    call: Callable[[], object], seconds: float | None, begun: Callable[[], object] = bool
) -> bool:
    """Do a call in a process of its own, ended with signal 9 so long after it has begun; whether it
    was."""
    child = os.fork()
    if child == 0:
        code = 3
        try:
            code = 0 if call() in (0, None) else 2
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(code)
    if seconds is not None:
        begun()
        time.sleep(seconds)
        os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 0, status
    return os.WIFSIGNALED(status)


def is_whole(folder: Path) -> bool:
    """Whether every file of a folder is one that its summary tells, and all of these are there."""
    told = json.loads((folder / "summary.json").read_bytes())["files"]
    there = {path.name for path in folder.iterdir() if path.name[0] != "."} - {"summary.json"}
    return there == set(told) and all(sha256_of(folder / n) == told[n] for n in told)


def runs_killed(
    kills: int,
    first: Callable[[], object],
    again: Callable[[int], object],
    folder: Path,
    whole: Callable[[Path], bool] = is_whole,
) -> tuple[int, int, int]:
    """Runs into one folder, ended at random; how many were, how many left a mixed set, and how many
    something hidden after the next whole run. whole: whether a folder's files are of one run."""
    wait = random.Random(3)
    ended_after(first, None)
    began = time.perf_counter()
    ended_after(lambda: again(0), None)
    long = time.perf_counter() - began
    ended = mixed = left = 0
    for number in range(1, kills + 1):
        ended += ended_after(partial(again, number), wait.uniform(0, 1.1 * long))
        settled(folder)
        mixed += not whole(folder)
        if number % 4 == 0:
            ended_after(lambda: again(0), None)
            left += bool(hidden(folder)) or not whole(folder)
    return ended, mixed, left


def others_killed(kills: int, base: Path, what: str) -> tuple[int, int, int]:
    """The same of runs whose files no summary.json lists: two charts compared, a folder packed for
    a phone. Each writes one of four sets, which are made first."""
    place = base / f"of-{what}"
    place.mkdir()
    charts = [str(place / f"{number}.csv") for number in range(4)]
    for number, chart in enumerate(charts):
        Path(chart).write_text("A,B,A,A\n" * number + "A,A,B,B\n" * (5 - number))
    out = place / "out"
    (out / "piece").mkdir(parents=True)

    def call(number: int) -> object:
        if what == "compare":
            return quietly(["compare", charts[0], charts[number % 4], "--out", str(out)])
        page = place / "page"
        page.write_text(f"{number % 4}" * 500_000)
        page.replace(out / "piece" / "pattern.html")
        return quietly(["send", str(out / "piece"), "--zip"])

    def files() -> dict[str, str | None]:
        return {path.name: sha256_of(path) for path in out.iterdir() if path.is_file()}

    sets = []
    for number in range(4):
        ended_after(partial(call, number), None)
        sets.append(files())
    assert len({tuple(sorted(one.items())) for one in sets}) == 4
    return runs_killed(kills, partial(call, 0), call, out, lambda _: files() in sets)


def edits_killed(kills: int, folder: Path) -> tuple[int, int, int]:
    """A worktable that paints a block an edit, and now and then writes its files, ended at random
    among edits: after the first that it has answered, before the last. How many were, how many
    edits it had answered in all, and how many times the piece, opened next, had not the last one
    that was answered, or files that do not belong together."""
    wait = random.Random(4)
    ended = answered = lost = 0
    first = shutil.copytree(folder, folder.with_name("first"))
    for number in range(kills):
        read, write = os.pipe()
        told = bytearray()

        def edits(number: int = number, write: int = write) -> None:
            session = Session(folder)
            start = len(session.chart.mends)
            for edit in range(2000):
                at = (start + edit) % 48
                color = "AB"[(start + edit) // 48 % 2]
                session.mend([("paint", f"column {at % 8 + 1}, line {at // 8 + 1}={color}")])
                os.write(write, b"%d\n" % (start + edit + 1))
                if edit % 5 == 4 and number % 3 == 0:
                    session.settle()

        def first_answered(read: int = read, told: bytearray = told) -> None:
            told += os.read(read, 1)

        ended += ended_after(edits, wait.uniform(0.0, 0.25), first_answered)
        os.close(write)
        with os.fdopen(read, "rb") as rest:
            lines = (told + rest.read()).split(b"\n")[:-1]
        settled(folder)
        session = Session(folder)
        answered += len(lines)
        lost += not int(lines[-1]) <= len(session.chart.mends) <= int(lines[-1]) + 1
        lost += not is_whole(folder)
        if len(session.chart.mends) > _MOST_MENDS:
            shutil.rmtree(folder)
            shutil.copytree(first, folder)
    return ended, answered, lost


def together(pairs: int, call: Callable[[str], object], folder: Path) -> int:
    """Two runs into one folder at once, so many times: how often it was neither's whole set."""
    mixed = 0
    for number in range(pairs):
        titles = [f"Title {2 * number + one}" for one in (0, 1)]
        children = []
        for title in titles:
            child = os.fork()
            if child == 0:
                os._exit(int(call(title) != 0))
            children.append(child)
        codes = [os.waitpid(child, 0)[1] for child in children]
        kept = json.loads((folder / "chart.json").read_bytes())["title"]
        mixed += any(codes) or kept not in titles or not is_whole(folder) or bool(hidden(folder))
    return mixed


def main() -> None:
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    what = sys.argv[2:] or [
        "saving",
        "chart",
        "mend",
        "stripe",
        "compare",
        "send",
        "worktable",
        "together",
    ]
    with tempfile.TemporaryDirectory() as name:
        base = Path(name)
        if "saving" in what:
            mixed, left = killed_at_random(base / "saving", kills, seed=1)
            print(f"saving: {kills} ended: {mixed} mixed sets, {left} times hidden files stayed")
        image = Image.new("RGB", (24, 18), "#203040")
        image.paste("#f0c040", (8, 6, 16, 12))
        image.save(base / "lantern.png")
        made = ["chart", str(base / "lantern.png"), "--width", "8", *QUICK, "--out"]
        if "chart" in what:
            out = base / "chart"
            call = [*made, str(out), "--title"]
            found = runs_killed(
                kills,
                lambda: quietly([*call, "A"]),
                lambda number: quietly([*call, f"Title {number}"]),
                out,
            )
            print("chart: {} ended: {} mixed sets, {} not cleared next".format(*found), flush=True)
        if "mend" in what:
            out = base / "mend"
            mend = ["mend", str(out / "chart.json"), *QUICK]
            found = runs_killed(
                kills,
                lambda: quietly([*made, str(out)]) or quietly([*mend, "--add", "A #ff0000"]),
                lambda number: quietly([*mend, "--recolor", f"A=#{number % 256:02x}4080"]),
                out,
            )
            print("mend: {} ended: {} mixed sets, {} not cleared next".format(*found), flush=True)
        if "stripe" in what:
            out = base / "stripe"
            plan = base / "plan.toml"
            plan.write_text(
                'width = 6\nlength = 9\n[[yarn]]\nname = "A"\ncolor = "red"\n[[yarn]]\n'
                'name = "B"\ncolor = "blue"\n[[part]]\norder = ["A", "B"]\nrows = 2\n'
                'lasts = "to the end"\n'
            )
            call = ["stripe", str(plan), *QUICK, "--out", str(out), "--tail"]
            found = runs_killed(
                kills,
                lambda: quietly([*call, "15"]),
                lambda number: quietly([*call, str(10 + number % 9)]),
                out,
            )
            print("stripe: {} ended: {} mixed sets, {} not cleared next".format(*found), flush=True)
        for other in ("compare", "send"):
            if other in what:
                found = others_killed(kills, base, other)
                print(f"{other}: {found[0]} ended: {found[1]} mixed sets, {found[2]} not cleared")
        if "worktable" in what:
            out = base / "table"
            rows = [row for row in outputs.OUTPUTS if not row.name.endswith((".png", ".html"))]
            outputs.OUTPUTS = tuple(row for row in rows if not row.name.endswith((".svg", ".pdf")))
            (base / "grid.csv").write_text(("A," * 7 + "A\n") * 6)
            ended_after(
                lambda: quietly(["report", str(base / "grid.csv"), *QUICK, "--out", str(out)]), None
            )
            session = Session(out)
            session.mend([("add", "B #ff0000")])
            session.settle()
            ended, answered, lost = edits_killed(kills, out)
            print(f"worktable: {ended} ended, {answered} edits answered: {lost} times one was lost")
        if "together" in what:
            out = base / "together"
            mixed = together(kills, lambda title: quietly([*made, str(out), "--title", title]), out)
            print(f"together: {kills} pairs of runs into one folder: {mixed} mixed sets")


if __name__ == "__main__":
    main()
