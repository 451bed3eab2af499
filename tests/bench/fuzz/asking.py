"""Requests as a page, or another program, may send them: to the worktable and to `send`.

An application is called in this process, on one event loop that is kept; the worktable has a tiny
piece, made once and copied when it has grown.
"""

from __future__ import annotations

import asyncio
import json
import os
import shutil
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import seeds

from pix2block.chart.reading import write_chart
from pix2block.ground import files, swap
from pix2block.ground.errors import Pix2blockError
from pix2block.recipes import outputs
from pix2block.sending.folder import Parcel
from pix2block.sending.server import application
from pix2block.web.answering import PICTURE
from pix2block.web.jobs import Job
from pix2block.web.server import worktable
from pix2block.web.session import Session
from pix2block.web.table import Table

# Nothing is drawn, and files are moved by this process: what is asked is tried, not what comes.
_SEEDS = ("chart.csv", "chart.xlsx")
_WRITTEN = ("chart.json", "rows.csv", "yarn.csv", "pattern.txt", "summary.json", *_SEEDS)
outputs.OUTPUTS = tuple(row for row in outputs.OUTPUTS if row.name in _WRITTEN)
files._swap = lambda folder, held: swap.swap(folder)  # noqa: ARG005

_EVERY, _MOST_BLOCKS = 300, 120  # requests, and blocks, after which the piece is another
_WAIT = 20.0  # seconds for a job
_CALLED = {
    "host": "127.0.0.1:1",
    "origin": "http://127.0.0.1:1",
    "cookie": "worktable-1=T",
}


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


class Laid:
    """A worktable with a tiny piece on it. number: every sixth piece is of a picture, the others
    of a grid, since a choice of theirs takes a hundredth of the time."""

    def __init__(self, place: Path, number: int) -> None:
        self.root = place / "root"
        shutil.rmtree(self.root, ignore_errors=True)
        self.root.mkdir()
        kind = "grid" if number % 6 else "picture"
        shutil.copytree(_made(place, kind), self.root / "piece")
        self.table = Table(Session(self.root / "piece"), self.root)
        self.app = worktable(self.table, "T", 1)
        self.asked = 0

    @property
    def is_used_up(self) -> bool:
        laid = self.table.session
        return self.asked >= _EVERY or laid is None or laid.chart.blocks.size > _MOST_BLOCKS

    def check(self) -> None:
        """What was answered is there for whoever opens the piece next, and nothing else is."""
        names = {path.name for path in self.root.parent.iterdir()}
        assert names <= {"root", "picture", "grid"}, f"outside the folder: {names}"
        laid = self.table.session
        assert laid is not None
        again = Session(laid.folder)
        assert write_chart(again.chart) == write_chart(laid.chart), "the log tells another piece"
        assert again.back_words == laid.back_words


def _made(place: Path, kind: str) -> Path:
    """The folder of a tiny piece, made where it is not there yet."""
    folder = place / kind
    if not folder.exists():
        work = place / "root"
        table = Table(root=work / kind)
        name, data, words = seeds.small_pieces()[kind]
        if kind == "picture":
            table.bring_yarns("shelf.csv", seeds.SHELF.encode())
        job = table.jobs.begin("", lambda job: table.make(name, data, words, job))
        job.over.wait()
        if job.error:
            raise job.error
        table.settle()
        shutil.copytree(table.piece.folder, folder)
        shutil.rmtree(work / kind)
    return folder


_kept: dict[str, Any] = {"number": 0}


def _laid() -> Laid:
    laid = _kept.get("laid")
    if laid is None or laid.is_used_up:
        if laid is not None:
            laid.check()
        place = seeds.own_place() / "table"
        place.mkdir(exist_ok=True)
        laid = _kept["laid"] = Laid(place, _kept["number"])
        status, told = _ask(laid.app, "GET", "/api/piece", _CALLED, b"")
        assert (status, json.loads(told)["height"]) == (200, 3), "the bench's own requests fail"
        _kept["number"] += 1
    laid.asked += 1
    found: Laid = laid
    return found


def of_worktable(data: bytes) -> str:
    """A request at the worktable: answered without a fault of the program's, nothing outside the
    folder, and of long work no fault either."""
    asked = _request(data)
    body = asked.get("body")
    laid = _laid()
    raw = b"" if body is None else json.dumps(body).encode("utf-8", "replace")
    headers = dict(_CALLED)
    if isinstance(asked.get("raw"), str):
        raw, headers["content-type"] = asked["raw"].encode("utf-8", "replace"), PICTURE
    elif isinstance(body, str):
        raw = body.encode("utf-8", "replace")
    given = asked.get("headers")
    headers |= {k: v for k, v in dict(given).items() if isinstance(v, str)} if given else {}
    method = "POST" if {"body", "raw"} & asked.keys() else "GET"
    try:
        status, told = _ask(laid.app, method, asked["path"], headers, raw)
        for job in laid.table.jobs.now():
            assert job.over.wait(_WAIT), "a job without end"
    except BaseException:
        _kept["laid"] = None
        raise
    known = laid.table.jobs._known
    faults = [job for job in known.values() if _is_fault(job)]
    known.clear()
    if faults:
        raise faults[0].error or AssertionError
    assert status < 500, f"status {status}"
    if status < 400:
        return "read"
    if status in (400, 422) and told.startswith(b"{"):
        lines = json.loads(told)["faults"]
        assert lines
        assert all(isinstance(one, str) and one and "\n" not in one for one in lines), lines
    return "refused"


def _is_fault(job: Job) -> bool:
    return job.error is not None and not isinstance(job.error, Pix2blockError)


@cache
def _phone() -> Any:
    parcel = Parcel("piece", {"hookside.html": b"page", "pattern.html": b"<b>x</b>"})
    return application(parcel, "T", "here")


def of_phone(data: bytes) -> None:
    """A request of somebody in the home network: without the token nothing but 404."""
    asked = _request(data)
    headers = {"host": str(asked.get("host", ""))}
    method = str(asked.get("method", "GET"))
    status, _ = _ask(_phone(), method, asked["path"], headers, b"")
    known = unquote(asked["path"].partition("?")[0]).startswith("/T/")
    assert status in (200, 400, 404), f"status {status}"
    assert status != 200 or known, "answered without the token"


@cache
def _loop(_process: int) -> asyncio.AbstractEventLoop:
    return asyncio.new_event_loop()


def _ask(
    app: Any, method: str, path: str, headers: dict[str, str], body: bytes
) -> tuple[int, bytes]:
    """The status and the answer of a request, as a server hands it to an application (ASGI)."""
    return _loop(os.getpid()).run_until_complete(_asked(app, method, path, headers, body))


async def _asked(
    app: Any, method: str, path: str, headers: dict[str, str], body: bytes
) -> tuple[int, bytes]:
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
