"""What Windows has otherwise, played where it is not at hand: locks, files that are looked at,
names, ports, consoles and Ctrl+C."""

from __future__ import annotations

import errno
import io
import json
import socket
import subprocess
import sys
import types
from pathlib import Path
from typing import Any

import pytest

from pix2block.command import ending, say
from pix2block.drawing import apart
from pix2block.ground import files, swap
from pix2block.ground.errors import BadInput
from pix2block.ground.files import save_all
from pix2block.sending import server
from pix2block.web import wanted


def names_in(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


@pytest.mark.parametrize("refusals", [(), (errno.EDEADLK, errno.EDEADLK), (errno.EINVAL,)])
def test_a_folder_is_waited_for_and_no_lock_stays(
    refusals: tuple[int, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """EDEADLK: another run has it still after ten seconds; EINVAL: nothing can be held there."""
    left = list(refusals)

    def locking(*_: int) -> None:
        if left:
            raise OSError(left.pop(), "no lock")

    fake = types.SimpleNamespace(locking=locking, LK_LOCK=1)
    monkeypatch.setitem(sys.modules, "msvcrt", fake)
    monkeypatch.setattr("sys.platform", "win32")
    save_all(tmp_path, {"a": b"1"})
    assert not left
    assert names_in(tmp_path) == {"a"}

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(swap, "write_new", full)
    with pytest.raises(BadInput, match="cannot write into"):
        save_all(tmp_path, {"a": b"2"})
    assert names_in(tmp_path) == {"a"}


@pytest.mark.parametrize("looks", [3, 99])
def test_a_file_that_is_looked_at_is_tried_again(
    looks: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "chart.json").write_bytes(b"old")
    left, replace = [looks], Path.replace

    def looked_at(path: Path, to: Path) -> Path:
        if to == tmp_path / "chart.json" and left[0]:
            left[0] -= 1
            raise PermissionError(13, "in use")
        return replace(path, to)

    monkeypatch.setattr(swap, "ON_WINDOWS", True)
    monkeypatch.setattr("time.sleep", lambda _: None)
    monkeypatch.setattr(Path, "replace", looked_at)
    monkeypatch.setattr(files, "_is_python", lambda _: False)  # in this process
    new = {"chart.json": b"new", "rows.csv": b"new"}
    if looks == 3:
        save_all(tmp_path, new)
        assert (tmp_path / "chart.json").read_bytes() == b"new"
    else:
        with pytest.raises(BadInput, match="cannot be replaced: in use; nothing was changed"):
            save_all(tmp_path, new)
        assert (tmp_path / "chart.json").read_bytes() == b"old"
        assert names_in(tmp_path) == {"chart.json"}


@pytest.mark.parametrize(
    ("name", "kept"),
    [("C:x.png", "C_x.png"), ("C:\\a\\b?.png", "b_.png"), ("con.png", "con_.png"), ("a.", "a")],
)
def test_a_brought_files_name_leads_to_no_drive_or_device(
    name: str, kept: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(wanted, "ON_WINDOWS", True)
    assert wanted.bring(tmp_path, name, b"1") == kept
    assert names_in(tmp_path / wanted.PLACE) == {kept}
    with pytest.raises(BadInput, match="no file that was brought"):
        wanted.in_place(tmp_path, "C:x.png")


def test_no_port_is_shared(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(server, "ON_WINDOWS", True)
    with server.bound_to("127.0.0.1", None) as listening:
        assert not listening.getsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR)


@pytest.mark.parametrize("code", ["cp1252", "ascii", "utf-8"])
def test_json_is_utf_8_whatever_a_pipe_takes(code: str, monkeypatch: pytest.MonkeyPatch) -> None:
    out = io.BytesIO()
    stream = io.TextIOWrapper(out, code, errors="replace")
    monkeypatch.setattr(sys, "stdout", stream)
    told = {"title": 'Мох é 🧶 "→"'}
    say.echo_json(json.dumps(told, ensure_ascii=False))
    stream.flush()
    assert json.loads(out.getvalue().decode("utf-8")) == told


def test_a_reader_that_leaves_is_no_failure(monkeypatch: pytest.MonkeyPatch) -> None:
    def left() -> None:
        raise OSError(errno.EINVAL, "Invalid argument")

    monkeypatch.setattr(ending, "_close_quietly", lambda _: None)
    assert ending.ended(left) == 2
    monkeypatch.setattr(ending, "ON_WINDOWS", True)
    assert ending.ended(left) == 0


def test_ctrl_c_does_not_reach_the_process_that_sets_a_pdf(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []

    def popen(*_: Any, **how: Any) -> None:
        asked.append(how["creationflags"])
        raise OSError("seen")

    monkeypatch.setattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0x200, raising=False)
    monkeypatch.setattr(subprocess, "Popen", popen)
    with pytest.raises(OSError, match="seen"):
        apart._typeset_apart(lambda: None)
    assert asked == [0x200]
