"""typst in a process of its own, and work that is ended where it counts nothing."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import pytest
from worktables import soft_picture

from pix2block.drawing.apart import _BEGIN, typesetter
from pix2block.drawing.typesetter import CannotSet, typeset
from pix2block.ground.progress import heed, heeding
from pix2block.options.table import Options
from pix2block.recipes.from_picture import chart_picture
from pix2block.web.jobs import Job, Jobs

PAGE = '#set document(title: "Fog")\n#set text(font: "Noto Sans")\n#sys.inputs.words'
TOLD: Any = (PAGE, {"words": "Fog over the boathouse"}, "pdf")
HOW: Any = {"standards": ["ua-1"]}


class Ended(Exception):
    """Not wanted any more."""


def end() -> None:
    raise Ended


def test_what_is_set_apart_is_the_same() -> None:
    assert typesetter() is typeset
    with heeding(lambda: None):
        setting = typesetter()
        assert setting is not typeset
        with pytest.raises(CannotSet, match="unknown variable"):
            setting("#words", {}, "pdf")
    assert setting(*TOLD, **HOW) == typeset(*TOLD, **HOW)


def test_a_process_ends_when_it_is_not_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    begun: list[subprocess.Popen[bytes]] = []
    begin = subprocess.Popen

    def begins(*told: Any, **how: Any) -> subprocess.Popen[bytes]:
        begun.append(begin(*told, **how))
        return begun[0]

    monkeypatch.setattr("pix2block.drawing.apart.subprocess.Popen", begins)
    with heeding(end), pytest.raises(Ended):
        typesetter()(*TOLD, **HOW)
    assert begun[0].returncode == -9


@pytest.mark.parametrize("line", [b"", b'[["#set', json.dumps([TOLD, HOW]).encode() + b"\n"])
def test_no_process_is_left_by_one_that_ended(line: bytes) -> None:
    """Killed, say: what it held open is closed."""
    call = [sys.executable, "-c", _BEGIN]
    done = subprocess.run(call, input=line, capture_output=True, check=False, timeout=60)
    assert done.returncode == 1
    assert done.stdout == done.stderr == b""


@pytest.mark.usefixtures("afresh")
def test_yarns_are_searched_for_as_long_as_they_are_wanted(tmp_path: Path) -> None:
    picture, asked = soft_picture(tmp_path / "soft.png"), Options(width=12, colors=3)
    times = 0

    def heeds() -> None:
        nonlocal times
        times += 1
        if times == 100:
            end()

    with heeding(heeds), pytest.raises(Ended):
        chart_picture(picture, asked)
    heed()  # outside nobody asks
    assert times == 100


def test_a_stopped_job_ends_where_it_counts_nothing() -> None:
    begun = threading.Event()

    def work(_: Job) -> None:
        begun.set()
        while True:
            heed()

    job = Jobs().begin("yarns", work)
    assert begun.wait(5)
    job.stop()
    assert job.over.wait(5)
    assert job.told()["state"] == "stopped"
