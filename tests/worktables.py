"""A worktable that is served for a test, who asks it, and its page in a browser: fixtures that
`conftest` hands to every test. What is heavy is imported where it is used."""

from __future__ import annotations

import base64
import http.client
import io
import json
import os
import re
import shutil
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np
import pytest
from PIL import Image

from pix2block.command.cli import run

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from pix2block.web.table import Table

TOKEN = "a-token-of-this-test"
GRID = "\n".join(
    ["Chalk,Chalk,Moss,Moss,Chalk,Tar", "Moss,Chalk,Tar,Moss,Chalk,Tar"] * 3
    + ["Chalk" + ",Moss" * 5]
)


PAINT = {"mends": [["paint", "column 1, line 1=Tar"], ["paint", "column 2, line 1=Tar"]]}


class Asking:
    """Requests to a worktable that is served on this machine."""

    def __init__(self, port: int, token: str = TOKEN) -> None:
        self.port, self.token = port, token
        self.cookie = f"worktable-{port}={token}"

    def ask(self, path: str, body: Any = None, **headers: str) -> tuple[int, bytes, dict[str, str]]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        sent = {"Cookie": self.cookie, **{k.replace("_", "-"): v for k, v in headers.items()}}
        data = None
        if body is not None:
            data = body if isinstance(body, bytes) else json.dumps(body).encode()
            sent.setdefault("Origin", f"http://127.0.0.1:{self.port}")
        connection.request("GET" if body is None else "POST", path, data, sent)
        answer = connection.getresponse()
        told = answer.read()
        connection.close()
        return answer.status, told, {k.lower(): v for k, v in answer.getheaders()}

    def json(self, path: str, body: Any = None, **headers: str) -> Any:
        """What is answered; of long work, what it gives in the end."""
        status, told = self.followed(path, body, **headers)
        assert status == 200, told
        return told

    def followed(self, path: str, body: Any = None, **headers: str) -> tuple[int, Any]:
        """The status and what is answered, of long work once it is over: 422 where it failed."""
        status, data, _ = self.ask(path, body, **headers)
        told = json.loads(data)
        while status == 202 and told["state"] == "working":
            time.sleep(0.02)
            told = json.loads(self.ask(f"/api/jobs/{told['job']}")[1])
        if status == 202:
            return (422, told) if told["state"] == "failed" else (200, told["result"])
        return status, told


@contextmanager
def program(
    *words: str, place: Path | None = None
) -> Iterator[tuple[subprocess.Popen[str], Asking]]:
    """A worktable that is opened by the command line, and ends with the block. place: where it is
    opened."""
    call = [sys.executable, "-m", "pix2block", "open", *words, "--no-browser"]
    path = {**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parents[1])}
    opened = subprocess.Popen(call, stdout=subprocess.PIPE, text=True, cwd=place, env=path)
    try:
        assert opened.stdout is not None
        found = re.search(r"http://127\.0\.0\.1:(\d+)/(\S+)", opened.stdout.readline())
        assert found
        yield opened, Asking(int(found[1]), found[2])
    finally:
        opened.kill()
        opened.wait()


REST = "/at-rest"
_HTML = (b"content-type", b"text/html")
_AT_REST = b'<!doctype html><title>At rest</title><link rel="icon" href="data:,">'


class _Door:
    """A port that this process serves to its end, with one worktable after another behind it.

    Scripts, styles and fonts of its pages, which are the same all the time, stay in the browser's
    cache: to ask for fifty files anew takes a quarter of the time that a page takes.
    """

    free: ClassVar[list[_Door]] = []

    def __init__(self) -> None:
        import uvicorn

        listening = socket.socket()
        listening.bind(("127.0.0.1", 0))
        listening.listen(16)
        self.port: int = listening.getsockname()[1]
        self.behind: Any = None
        server = uvicorn.Server(uvicorn.Config(self, log_level="critical", lifespan="off"))
        threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True).start()

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        if scope["path"] == REST:
            await send({"type": "http.response.start", "status": 200, "headers": [_HTML]})
            await send({"type": "http.response.body", "body": _AT_REST})
            return
        asked_as = dict(scope["headers"]).get(b"sec-fetch-dest")

        async def cached(message: Any) -> None:
            if message["type"] == "http.response.start" and message["status"] == 200:
                others = [one for one in message["headers"] if one[0] != b"cache-control"]
                message["headers"] = [*others, (b"cache-control", b"max-age=3600")]
            await send(message)

        is_of_page = asked_as in (b"script", b"style", b"font")
        await self.behind(scope, receive, cached if is_of_page else send)


def served(laid: Table) -> Iterator[Asking]:
    """A worktable that is served in this process while it lasts."""
    from pix2block.web.server import worktable

    door = _Door.free.pop() if _Door.free else _Door()
    door.behind = worktable(laid, TOKEN, door.port)
    yield Asking(door.port)
    door.behind = None
    _Door.free.append(door)


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small piece that was made, for tests to copy."""
    place = tmp_path_factory.mktemp("worktable")
    (place / "grid.csv").write_text(GRID)
    out = place / "piece"
    assert run(["report", str(place / "grid.csv"), "--out", str(out), "--without", "pdf"]) == 0
    return out


@pytest.fixture
def folder(made_once: Path, tmp_path: Path) -> Path:
    """A small piece in a folder of the test's own."""
    return shutil.copytree(made_once, tmp_path / "piece")


@pytest.fixture
def table(folder: Path) -> Iterator[Asking]:
    """A piece that is served."""
    from pix2block.web.session import Session
    from pix2block.web.table import Table

    yield from served(Table(Session(folder), folder.parent))


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Asking]:
    """A worktable with nothing on it yet."""
    from pix2block.web.table import Table

    yield from served(Table(root=tmp_path / "output"))


@pytest.fixture
def page(table: Asking) -> Iterator[Page]:
    """The worktable's page in a browser; any error of its scripts is a failure."""
    with opened_at(table, ".sentence") as page:
        yield page


@contextmanager
def opened_at(table: Asking, sign: str, where: str = "", **settings: Any) -> Iterator[Page]:
    """A worktable's page in a browser, once it shows what `sign` selects; any error of its scripts
    is a failure. where: added to its address; settings: those of a browser context."""
    import browser

    view = settings.pop("viewport", {"width": 1366, "height": 850})
    origin = f"http://127.0.0.1:{table.port}"
    size = view["width"], view["height"]
    rest = f"{origin}{REST}" if table.token == TOKEN else "about:blank"
    with browser.fresh_page(origin, *size, rest, **settings) as (opened, errors, told):
        opened.goto(f"{origin}/{table.token}{where}")
        opened.wait_for_selector(sign)
        yield opened
        by_itself = ("status of 422", "net::ERR_FAILED")  # what the page tells by itself
        assert not errors, str(errors)
        assert [fault for fault in told if not any(one in fault for one in by_itself)] == [], str(
            told
        )


def drop(page: Page, path: Path) -> None:
    """Drop a file on a page."""
    page.evaluate(
        """([name, bytes]) => {
          const held = new DataTransfer();
          held.items.add(new File([Uint8Array.from(atob(bytes), (c) => c.charCodeAt(0))], name));
          document.dispatchEvent(new DragEvent('drop', { dataTransfer: held, cancelable: true }));
        }""",
        [path.name, base64.b64encode(path.read_bytes()).decode()],
    )


def soft_picture(path: Path) -> Path:
    """A small picture without lines, as a photo is."""
    y, x = np.mgrid[0:48, 0:60]
    light = np.stack([120 + x, 90 + 2 * y, 160 - x], axis=2) + 25 * np.sin(x / 5 + y / 7)[..., None]
    Image.fromarray(np.clip(light, 0, 255).astype(np.uint8)).save(path)
    return path


def picture_bytes() -> bytes:
    out = io.BytesIO()
    image = Image.new("RGB", (24, 18), "#203040")
    image.paste("#f0c040", (8, 6, 16, 12))
    image.save(out, "png")
    return out.getvalue()
