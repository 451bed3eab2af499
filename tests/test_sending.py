"""A folder sent to a phone: only its files, only with the token, read-only, for a while."""

from __future__ import annotations

import http.client
import io
import socket
import threading
import time
import zipfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from pix2block.command.cli import run
from pix2block.ground.errors import BadInput
from pix2block.sending import server
from pix2block.sending.folder import Parcel, pack, zipped

HERE = "127.0.0.1"
TOKEN = "a-token-of-the-test"
Answer = tuple[int, bytes, dict[str, str]]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder of a piece, with files that are nobody's business beside and in it."""
    folder = tmp_path / "tallow_cat"
    folder.mkdir()
    (tmp_path / "secret.txt").write_text("secret")
    for name in ("hookside.html", "pattern.html", "pattern.left-uk.html", "pattern.pdf"):
        (folder / name).write_bytes(f"{name}: ".encode() + b"x" * 100_000)
    (folder / "chart.json").write_text("secret")
    (folder / "pattern.txt").write_text("secret")
    (folder / "hookside.left-us.html").symlink_to(tmp_path / "secret.txt")
    return folder


@pytest.fixture
def served(folder: Path) -> Iterator[tuple[Parcel, int]]:
    parcel = pack(folder)
    with server.bound_to(HERE, None) as listening:
        port = listening.getsockname()[1]
        app = server.application(parcel, TOKEN, HERE)
        working = threading.Thread(target=server.serve, args=(app, listening, 3.0))
        working.start()
        until(lambda: ask(port, "/")[0] == 404)
        yield parcel, port
        working.join(20)
        assert not working.is_alive()  # it has stopped by itself
    with pytest.raises(OSError, match="refused"):
        ask(port, f"/{TOKEN}/")


def until(happens: object) -> None:
    for _ in range(100):
        try:
            if callable(happens) and happens():
                return
        except OSError:
            pass
        time.sleep(0.05)
    raise AssertionError("the server does not answer")


def ask(port: int, path: str, method: str = "GET", host: str = HERE) -> Answer:
    """Status, body and headers of an answer; the path goes out as it is written."""
    connection = http.client.HTTPConnection(HERE, port, timeout=20)
    try:
        connection.putrequest(method, path, skip_host=True)
        connection.putheader("Host", host)
        connection.endheaders()
        got = connection.getresponse()
        return got.status, got.read(), {k.lower(): v for k, v in got.getheaders()}
    finally:
        connection.close()


def test_only_its_files_are_packed(folder: Path, tmp_path: Path) -> None:
    parcel = pack(folder)
    assert list(parcel.contents) == [
        *("hookside.html", "pattern.html", "pattern.left-uk.html", "pattern.pdf")
    ]
    assert parcel.words_for("pattern.left-uk.html") == "The pattern (left-uk)"
    for wrong in (tmp_path / "nowhere", tmp_path, folder / "chart.json"):
        with pytest.raises(BadInput):
            pack(wrong)


def test_one_zip_instead(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["send", str(folder), "--zip"]) == 0
    path = folder.parent / "tallow_cat.zip"
    assert str(path) in capsys.readouterr().out
    parcel = pack(folder)
    with zipfile.ZipFile(io.BytesIO(path.read_bytes())) as packed:
        assert packed.namelist() == [f"tallow_cat/{name}" for name in parcel.contents]
        for name, data in parcel.contents.items():
            assert packed.read(f"tallow_cat/{name}") == data
    assert zipped(parcel) == path.read_bytes()


def test_what_is_served_and_what_is_not(served: tuple[Parcel, int]) -> None:
    parcel, port = served
    status, page, headers = ask(port, f"/{TOKEN}/")
    assert status == 200
    assert headers["cache-control"] == "no-store"
    assert headers["referrer-policy"] == "no-referrer"
    assert "server" not in headers
    for name, data in parcel.contents.items():
        assert f"/{TOKEN}/{name}".encode() in page
        status, body, headers = ask(port, f"/{TOKEN}/{name}")
        assert (status, body) == (200, data)
        assert headers["x-content-type-options"] == "nosniff"
        assert ask(port, f"/{TOKEN}/{name}", "HEAD")[:2] == (200, b"")
    nothing = ask(port, "/no/such/place")[1]
    for path in (
        *("/", "/hookside.html", f"/{TOKEN}", "/wrong/", "/wrong/hookside.html"),
        *(f"/{TOKEN[:-1]}/hookside.html", f"/{TOKEN}x/hookside.html", f"/{TOKEN.upper()}/"),
        *(f"/{TOKEN}/chart.json", f"/{TOKEN}/pattern.txt", f"/{TOKEN}/hookside.left-us.html"),
        *(f"/{TOKEN}/../secret.txt", f"/{TOKEN}/..", f"/../{TOKEN}/../../etc/passwd"),
        *(f"/{TOKEN}/%2e%2e%2fsecret.txt", f"/{TOKEN}/..%2f..%2fetc%2fpasswd"),
        *(f"/{TOKEN}/..%5c..%5csecret.txt", f"/{TOKEN}/%00", f"/{TOKEN}//etc/passwd"),
        *(f"/{TOKEN}/hookside.html/", f"/{TOKEN}/hookside.html%00.png", f"//{TOKEN}/"),
        f"/{'%C3%A9' * 50}/",
    ):
        status, body, _ = ask(port, path)
        assert (status, body) == (404, nothing), path
    for method in ("POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "PROPFIND"):
        status, body, _ = ask(port, f"/{TOKEN}/hookside.html", method)
        assert status in (400, 404, 405), method
        assert b"hookside.html:" not in body
    assert ask(port, f"/{TOKEN}/", host="elsewhere.example")[0] == 400


def test_two_hundred_at_once(served: tuple[Parcel, int]) -> None:
    parcel, port = served
    idle = [socket.create_connection((HERE, port)) for _ in range(20)]  # that ask for nothing
    together = threading.Barrier(200)

    def one(_: int) -> bool:
        together.wait()
        return ask(port, f"/{TOKEN}/hookside.html")[:2] == (200, parcel.contents["hookside.html"])

    with ThreadPoolExecutor(200) as pool:
        assert all(pool.map(one, range(200)))
    for connection in idle:
        connection.close()


def sent(folder: Path) -> int:
    """The command's exit code; in a thread, since a browser of other tests may hold this one's."""
    with ThreadPoolExecutor(1) as beside:
        return beside.submit(run, ["send", str(folder)]).result()


def test_the_command_shows_where(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(server, "home_address", lambda: HERE)
    monkeypatch.setattr(server, "HOUR", 0.2)
    assert sent(folder) == 0
    out = capsys.readouterr().out
    assert f"http://{HERE}:" in out
    assert "█" in out or "▄" in out  # the code to photograph
    assert "hookside.html, pattern.html" in out
    assert out.rstrip().endswith("Stopped.")
    links = {line for line in out.splitlines() if line.startswith("http://")}
    assert sent(folder) == 0
    assert not links & set(capsys.readouterr().out.splitlines())  # another token each time


def test_a_port_that_is_taken() -> None:
    with server.bound_to(HERE, None) as one:
        one.listen()
        port = one.getsockname()[1]
        with pytest.raises(BadInput, match=f"port {port} of {HERE} cannot be had"):
            server.bound_to(HERE, port)
