"""The worktable is safe: every request is walked, so that none is forgotten; limits and names
hold."""

from __future__ import annotations

import re
import struct
import zlib
from pathlib import Path
from urllib.parse import quote

import pytest
from starlette.routing import Route
from worktables import TOKEN, Asking, picture_bytes

from pix2block.web.guard import POLICY
from pix2block.web.server import worktable
from pix2block.web.table import Table

pytestmark = pytest.mark.usefixtures("few_files")

ROUTES = [one for one in worktable(Table(), TOKEN, 1).routes if isinstance(one, Route)]
PATHS = [re.sub(r"\{[^}]*\}", "1", one.path) for one in ROUTES]
CHANGES = [one.methods is not None and "POST" in one.methods for one in ROUTES]
WALKED = list(zip(PATHS, CHANGES, strict=True))
# What needs nothing but the wish: it would make, write or send for seconds.
AT_A_WISH = ("/api/sample", "/api/settle", "/api/phone", "/api/hookside", "/api/phone/stop")
KIND = {"Content_Type": "application/octet-stream"}


def asked(table: Asking, path: str, changes: bool, **headers: str) -> int:
    body = b"[1]" if changes else None
    return table.ask(path, body, **headers)[0]


def test_every_request_asks_for_the_key_its_host_and_its_page(table: Asking) -> None:
    assert len(WALKED) > 30
    for path, changes in WALKED:
        for headers in (
            {"Cookie": ""},
            {"Cookie": f"worktable-{table.port}=another"},
            {"Host": f"elsewhere.example:{table.port}"},
            {"Origin": "http://elsewhere.example"},
            {"Sec_Fetch_Site": "cross-site"},
        ):
            assert asked(table, path, changes, **headers) == 403, (path, headers)


def test_every_answer_tells_the_browser_what_the_page_may_do(table: Asking) -> None:
    for path, changes in WALKED:
        if path in AT_A_WISH:
            continue
        status, _, headers = table.ask(path, b"[1]" if changes else None)
        assert status in (200, 202, 404, 422), (path, status)
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cache-control"] == "no-store"
        policy = headers["content-security-policy"]
        assert policy == POLICY or policy.startswith("sandbox"), path
    assert "'unsafe" not in POLICY


@pytest.mark.parametrize(
    "body", [b"", b"\xff\xfe", b"{", b"null", b'{"word": 1, "value": {}}', b"[" * 9000]
)
def test_no_body_breaks_a_request_or_changes_anything(table: Asking, body: bytes) -> None:
    before = table.json("/api/piece")
    for path, changes in WALKED:
        if changes and path not in AT_A_WISH and path not in ("/api/back", "/api/aside"):
            status = table.ask(path, body)[0]
            assert status in (200, 202, 400, 422), (path, status)
    assert table.json("/api/piece") == before


def test_a_key_that_nobody_knows_is_told_and_nothing_is_done(table: Asking) -> None:
    before = table.json("/api/piece")
    for path, changes in WALKED:
        asked = [(path, {"extra": 1})] if changes else [(f"{path}?extra=1", None)]
        for one, body in asked if path.startswith(("/api/", "/seen/")) else ():
            status, told = table.followed(one, body)
            assert status == 422, path
            assert told["faults"][0].startswith('unknown key "extra": '), path
    assert table.followed("/api/bring?name=a.csv&extra=1", b"Moss\n", **KIND)[0] == 422
    skein = {"name": "Moss", "at": [1, 1], "extra": 1}
    asked_for = {"file": "a.png", "paper": [[1, 1]], "skeins": [skein]}
    assert table.followed("/api/photo", asked_for)[0] == 422
    assert table.json("/api/piece") == before


@pytest.mark.parametrize(
    "path", ["/api/row/{}", "/api/jobs/1?after={}", "/seen/tiles.png?pixels={}", "/files/{}"]
)
def test_an_address_of_thousands_of_figures_is_refused(table: Asking, path: str) -> None:
    assert table.ask(path.format("1" * 4301))[0] == 414
    assert table.ask(path.format("1" * 3000))[0] in (200, 404, 422)


def test_a_name_longer_than_a_file_system_takes(table: Asking, folder: Path) -> None:
    for name in ("é" * 190 + ".csv", "a.csv" * 39):
        told = table.json(f"/api/bring?name={quote(name)}", b"Moss,Chalk\n", **KIND)
        assert (folder / "worktable" / told["name"]).read_bytes() == b"Moss,Chalk\n"
        again = table.json(f"/api/bring?name={quote(name)}", b"Tar\n", **KIND)
        assert (folder / "worktable" / again["name"]).read_bytes() == b"Tar\n"
        assert again["name"].endswith(".csv")
    photo = {"file": "a" * 300, "paper": [[1, 1]], "skeins": []}
    for path, body in (
        ("/api/choose", {"word": "picture", "value": "a" * 300}),
        ("/api/photo", {**photo, "file": "a" * 190}),
        ("/api/photo", {**photo, "file": "é" * 190}),
    ):
        status, told = table.followed(path, body)
        assert (status, "is no file that was brought" in told["faults"][0]) == (422, True)


def test_too_much_at_once_is_refused(table: Asking, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pix2block.web.answering.MOST_BODY", 1000)
    assert table.ask("/api/mend", b"[" + b"1" * 2000 + b"]")[0] == 413
    monkeypatch.setattr("pix2block.web.guard.MOST_BODY", 1000)
    assert table.ask("/api/make?name=x.png", b"1" * 2000, **KIND)[0] == 413
    assert table.ask("/api/piece")[0] == 200


def test_a_picture_of_too_many_pixels_is_told(empty: Asking) -> None:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    size = struct.pack(">IIBBBBB", 40_000, 40_000, 8, 2, 0, 0, 0)
    data = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", size) + chunk(b"IDAT", b"") + chunk(b"IEND", b"")
    status, told = empty.followed("/api/make?name=sky.png", data, **KIND)
    assert status == 422
    assert "million" in told["faults"][0]
    assert empty.json("/api/pieces") == {"pieces": [], "open": False}


@pytest.mark.parametrize(
    "name",
    [
        "..",
        "..\\..\\x.png",
        "a" * 300 + ".png",
        "\x00.png",
        "<img src=x onerror=alert(1)>.png",
        "\r\nSet-Cookie: a=b.png",
    ],
)
def test_hostile_names_stay_names(empty: Asking, tmp_path: Path, name: str) -> None:
    asked = f"/api/make?name={quote(name)}&size=4+blocks&yarns=2"
    assert empty.json(asked, picture_bytes(), **KIND)["width"] == 4
    (made,) = [path.parent for path in tmp_path.rglob("chart.json")]
    assert made.parent == tmp_path / "output"
    assert {path.name for path in tmp_path.iterdir()} <= {"output", "piece"}
    _, _, headers = empty.ask("/files.zip")
    assert re.fullmatch(r'attachment; filename="[^"\\\r\n]*"', headers["content-disposition"])
    assert "set-cookie" not in headers


def test_a_grid_and_a_shelf_of_one_name_are_two_files(tmp_path: Path) -> None:
    table = Table(root=tmp_path)
    table.bring_yarns("list.csv", b"name,color\nMoss,#00ff00\nTar,#222222\nname,#0000ff\n")
    job = table.jobs.begin(
        "",
        lambda job: table.make("list.csv", b"Moss,Tar,Tar\nTar,Moss,Moss\n", {"shelf": "1"}, job),
    )
    job.over.wait()
    assert job.error is None
    chart = table.piece.chart
    assert (chart.width, chart.height) == (3, 2)
    assert chart.yarns[0].color == "#00ff00"
