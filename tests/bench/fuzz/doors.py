"""Every way in for foreign bytes, called in process: each ends in a result or raises BadInput.

A door takes bytes and the folder that it may write into; what else it raises is a find.
"""

from __future__ import annotations

import asyncio
import json
import random
import shutil
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import changes
import seeds

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.reading import read_chart, write_chart
from pix2block.command.cli import run
from pix2block.ground.errors import BadInput, Pix2blockError
from pix2block.mending.apply import apply_mends
from pix2block.mending.back import journal_lines, undo
from pix2block.options.maker import open_maker
from pix2block.options.progress_file import read_progress
from pix2block.options.table import Options
from pix2block.pattern.credit import open_credit
from pix2block.picture.blocks import block_means, frame_picture, squares_of
from pix2block.picture.picture import open_picture
from pix2block.recipes.from_file import check_chart, open_chart
from pix2block.recipes.mended import apply_asked, report_of
from pix2block.recipes.supplies import open_shelf, open_swatches
from pix2block.sending.folder import Parcel
from pix2block.sending.server import application
from pix2block.stripes.recipe import open_plan, stripe_plan
from pix2block.web.jobs import Job
from pix2block.web.log import LOG
from pix2block.web.server import worktable
from pix2block.web.session import Session
from pix2block.web.table import Table


@dataclass(frozen=True)
class Door:
    """seeds: good inputs; change: what is done to them; ends: of the file that holds one; call:
    takes the file, or the bytes of a request."""

    seeds: Callable[[], Sequence[bytes]]
    change: changes.Change
    ends: str
    call: Callable[[Any], object]


def picture(path: Path) -> None:
    opened = open_picture(path)
    squares_of(opened)
    width, height = opened.size
    block_means(opened, frame_picture(opened.size, width=4 if width < 4 * height else 900))


def shelf(path: Path) -> None:
    for yarn in open_shelf(path).yarns:
        odd = [c for c in yarn.name if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp")]
        assert not odd, yarn.name
        assert 1 <= len(yarn.name) <= 60, yarn.name


def grid(path: Path) -> None:
    """Opened, and now and then worked out too."""
    opened = open_chart(path).chart
    if len(path.read_bytes()) % 8 == 0:
        amounts_of(opened)


def plan(path: Path) -> None:
    read = open_plan(path)
    if len(path.read_bytes()) % 16 == 0 and (read.width or 1) <= 40:
        stripe_plan(read)


def chart(path: Path) -> None:
    """Read, written and read again; its journal told and taken back; worked out."""
    opened = open_chart(path).chart
    written = write_chart(opened)
    again = write_chart(read_chart(written, "again")[0])
    assert again == written, "what is written is read otherwise"
    amounts_of(opened)
    journal_lines(opened)
    if opened.mends:
        undo(opened, 1)


def pattern(path: Path) -> None:
    """Proved against its chart, and read as a mend of it."""
    check_chart(_plain(), path)
    if len(path.read_bytes()) % 8 == 0:
        path.with_name("chart.json").write_bytes(_written())
        report_of(path)


def beside(path: Path) -> None:
    """A pattern without a chart beside it."""
    open_chart(path)


def mend(data: bytes) -> None:
    text = data.decode("utf-8", "replace")
    asked = [line.partition(" ")[::2] for line in text.split("\n") if line][:12]
    of = _mended() if len(data) % 3 == 0 else _plain()
    done = apply_mends(of, asked)
    write_chart(undo(done.after, 1).after if done.after.mends else done.after)


def inserted(path: Path) -> None:
    """A file that a mend places."""
    apply_asked(_plain(), [("insert", f"{path}@column 2, line 2")])


def progress(path: Path) -> None:
    """Read, and now and then a piece is taken to be so far."""
    read_progress(path)
    kept = path.with_name("chart.json")
    if len(path.read_bytes()) % 4 == 0:
        if not kept.exists():
            kept.write_bytes(_written())
        open_chart(kept, Options.from_words({"done": str(path)}))


_plain, _mended = cache(seeds.small_chart), cache(seeds.mended_chart)
_written = cache(lambda: write_chart(_plain()))


def log(path: Path) -> None:
    """What a stopped worktable left, done again."""
    folder = path.parent / "laid"
    if not folder.exists():
        folder.mkdir()
        (folder / "chart.json").write_bytes(_written())
    (folder / LOG).write_bytes(path.read_bytes())
    Session(folder)


class NoRequest(Exception):
    """Bytes of which this bench makes no request."""


def _request(data: bytes) -> dict[str, Any]:
    try:
        asked = json.loads(data)
    except (ValueError, RecursionError):
        raise NoRequest from None
    if not isinstance(asked, dict):
        raise NoRequest
    return {**asked, "path": str(asked.get("path", "/"))}


def requests_of_worktable(data: bytes) -> None:
    """A request as its page, or another, may send it."""
    asked = _request(data)
    body = asked.get("body")
    table, app, before = _table()
    raw = b"" if body is None else json.dumps(body).encode("utf-8", "replace")
    if isinstance(body, str):
        raw = body.encode("utf-8", "replace")
    headers = {"host": "127.0.0.1:1", "origin": "http://127.0.0.1:1", "cookie": "worktable=T"}
    headers |= {k: v for k, v in dict(asked.get("headers") or {}).items() if isinstance(v, str)}
    method = "GET" if "body" not in asked else "POST"
    status, _ = asyncio.run(_ask(app, method, asked["path"], headers, raw))
    for job in table.jobs.now():
        job.over.wait(20)
    faults = [job for job in table.jobs._known.values() if _is_fault(job)]
    table.jobs._known.clear()
    if faults:
        raise faults[0].error or AssertionError
    assert status < 500, f"status {status}"
    outside = {path.name for path in table.root.iterdir()} - before
    assert not outside, f"outside the folder: {outside}"


def _is_fault(job: Job) -> bool:
    return job.error is not None and not isinstance(job.error, Pix2blockError)


_kept: dict[str, Any] = {}
_EVERY, _MOST_BLOCKS = 400, 2000  # requests, and blocks, after which the piece is made anew


def _table() -> tuple[Table, Any, set[str]]:
    """A worktable with a small piece on it, made anew now and then, and where it has grown."""
    laid = _kept["table"][0].session if "table" in _kept else None
    if laid is None or _kept["asked"] >= _EVERY or laid.chart.blocks.size > _MOST_BLOCKS:
        root = Path("/dev/shm/pix2block-fuzz-table")
        shutil.rmtree(root, ignore_errors=True)
        root.mkdir()
        (root / "chart.csv").write_bytes(seeds.grids()[0])
        words = ["report", str(root / "chart.csv"), "--out", str(root / "piece")]
        assert run([*words, "--without", "pdf,proof,preview"]) == 0
        table = Table(Session(root / "piece"), root)
        _kept["table"] = (table, worktable(table, "T", 1), {p.name for p in root.iterdir()})
        _kept["asked"] = 0
    _kept["asked"] += 1
    found: tuple[Table, Any, set[str]] = _kept["table"]
    return found


def requests_of_phone(data: bytes) -> None:
    """A request of somebody in the home network: without the token nothing but 404."""
    asked = _request(data)
    if "phone" not in _kept:
        parcel = Parcel("piece", {"hookside.html": b"page", "pattern.html": b"<b>x</b>"})
        _kept["phone"] = application(parcel, "T", "here")
    headers = {"host": str(asked.get("host", ""))}
    method = str(asked.get("method", "GET"))
    status, _ = asyncio.run(_ask(_kept["phone"], method, asked["path"], headers, b""))
    known = unquote(asked["path"].partition("?")[0]).startswith("/T/")
    assert status in (200, 400, 404), f"status {status}"
    assert status != 200 or known, "answered without the token"


async def _ask(
    app: Any, method: str, path: str, headers: dict[str, str], body: bytes
) -> tuple[int, bytes]:
    """A request as a server hands it to an application (ASGI)."""
    parts = path.partition("?")
    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": method,
        "scheme": "http",
        "path": unquote(parts[0], errors="replace") or "/",
        "raw_path": parts[0].encode("utf-8", "replace"),
        "query_string": parts[2].encode("utf-8", "replace"),
        "root_path": "",
        "headers": [
            (k.lower().encode("latin-1", "replace"), v.encode("latin-1", "replace"))
            for k, v in headers.items()
        ],
        "client": ("127.0.0.1", 2),
        "server": ("127.0.0.1", 1),
    }
    status, told = 0, b""

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: Any) -> None:
        nonlocal status, told
        if message["type"] == "http.response.start":
            status = message["status"]
        else:
            told += message.get("body", b"")

    await app(scope, receive, send)
    return status, told


def _text(ends: str, of: Callable[[], Sequence[bytes]], call: Callable[[Path], object]) -> Door:
    return Door(of, changes.within(changes.of_words), ends, call)


def _json(ends: str, of: Callable[[], Sequence[bytes]], call: Callable[[Any], object]) -> Door:
    return Door(of, changes.within(changes.of_json), ends, call)


def _files_placed() -> list[bytes]:
    return [*seeds.grids(), *seeds.shelves()[:1]]


DOORS: dict[str, Door] = {
    "picture": Door(seeds.pictures, changes.of_bytes, "picture", picture),
    "shelf": _text("shelf.csv", seeds.shelves, shelf),
    "grid": _text("grid.csv", seeds.grids, grid),
    "workbook": Door(seeds.workbooks, changes.of_zip, "grid.xlsx", grid),
    "plan": _text("plan.toml", seeds.plans, plan),
    "swatch": _text("swatch.toml", seeds.swatches, open_swatches),
    "maker": _text("maker.toml", seeds.makers, open_maker),
    "credit": _text("credit.toml", seeds.credits, open_credit),
    "chart": _json("chart.json", seeds.charts, chart),
    "pattern": _text("pattern.txt", seeds.patterns, pattern),
    "pattern alone": _text("told.txt", seeds.patterns, beside),
    "mend": Door(seeds.mends, changes.within(changes.of_words), "", mend),
    "insert": _text("insert.csv", _files_placed, inserted),
    "progress": _json("progress.json", seeds.progress, progress),
    "log": Door(seeds.logs, changes.of_lines, "log.jsonl", log),
    "worktable": _json("", seeds.worktable, requests_of_worktable),
    "phone": _json("", seeds.phone, requests_of_phone),
}


def prepare(folder: Path) -> None:
    """Lay down what inputs name beside themselves."""
    for path in seeds.SAMPLES.glob("shelf_*.csv"):
        shutil.copy(path, folder)
    (folder / "p.png").write_bytes(seeds.pictures()[1])


def into(name: str, data: bytes, folder: Path) -> str:
    """What a door makes of some bytes: "read", or "refused" with one clear line a fault."""
    door = DOORS[name]
    given: Any = data
    if door.ends:
        given = folder / door.ends
        given.write_bytes(data)
    try:
        door.call(given)
    except BadInput as error:
        lines = error.lines()
        assert 1 <= len(lines) <= 21, lines
        assert all(lines), lines
        assert not any("\n" in line for line in lines), lines
        return "refused"
    except NoRequest:
        return "no request"
    return "read"


def changed(name: str, data: bytes, seed: int) -> bytes:
    """A change of an input that fits its door."""
    return DOORS[name].change(data, random.Random(seed))
