"""The worktable: who may ask, what is kept as it happens, and the first start."""

from __future__ import annotations

import base64
import http.client
import io
import json
import os
import re
import shutil
import signal
import sys
import threading
import zipfile
import zlib
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from worktables import PAINT, TOKEN, Asking, picture_bytes, program, served

from pix2block.chart.reading import read_chart
from pix2block.command.cli import run
from pix2block.command.worktable import _folder as folder_of
from pix2block.ground.errors import BadInput
from pix2block.options.table import Options
from pix2block.recipes.again import chart_again
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.keeping import LOG
from pix2block.recipes.outputs import files_of, save
from pix2block.web import address
from pix2block.web.aside import all_beside, aside_state, go_on_with, lay_aside
from pix2block.web.choices import places_of
from pix2block.web.files_away import file_list
from pix2block.web.log import unpacked
from pix2block.web.session import Session
from pix2block.web.shown import blocks_text
from pix2block.web.table import Table
from pix2block.web.wanted import bring

# Who may ask


def test_the_address_gives_the_key_and_nothing_else_does(table: Asking) -> None:
    table.cookie = ""
    assert table.ask("/")[0] == 403
    assert table.ask("/api/piece")[0] == 403
    assert table.ask("/another-token")[0] == 403
    status, _, headers = table.ask(f"/{TOKEN}")
    assert (status, headers["location"]) == (303, "/")
    cookie = headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie


@pytest.mark.parametrize(
    "headers",
    [
        {"Host": "worktable.example"},
        {"Host": "127.0.0.1"},
        {"Origin": "http://elsewhere.example"},
        {"Origin": "null"},
        {"Sec_Fetch_Site": "cross-site"},
    ],
)
def test_a_page_of_another_origin_gets_nothing(table: Asking, headers: dict[str, str]) -> None:
    assert table.ask("/api/piece", **headers)[0] == 403
    before = table.json("/api/piece")
    assert table.ask("/api/mend", PAINT, **headers)[0] == 403
    assert table.json("/api/piece") == before


def test_a_post_without_an_origin_is_refused(table: Asking) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", table.port, timeout=30)
    connection.request("POST", "/api/back", b"{}", {"Cookie": table.cookie})
    assert connection.getresponse().status == 403


def test_the_page_may_run_its_own_scripts_alone(table: Asking) -> None:
    _, page, headers = table.ask("/")
    policy = headers["content-security-policy"]
    assert "script-src 'self'" in policy
    assert "unsafe" not in policy
    assert b"<script>" not in page
    assert not re.search(rb"https?://", page)


@pytest.mark.parametrize(
    "path", ["/static/..%2fserver.py", "/static/server.py", "/files/..%2f..%2fx"]
)
def test_no_path_leads_out(table: Asking, path: str) -> None:
    assert table.ask(path)[0] in (404, 422)


# What is kept


def test_a_change_is_on_the_disk_before_it_is_answered(table: Asking, folder: Path) -> None:
    before = table.json("/api/piece")
    after = table.json("/api/mend", PAINT)
    assert after["blocks"] != before["blocks"]
    assert len(after["journal"]) == 2
    again = Session(folder)  # as after a stopped program: nothing was written but the log
    assert again.chart.yarns[again.chart.blocks[0, 0]].name == "Tar"
    assert [line.words for line in again.chart.mends] == [one["words"] for one in after["journal"]]


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="open files are told by /proc")
@pytest.mark.usefixtures("few_files")
def test_what_is_answered_was_synced_in_its_order(
    table: Asking, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the system is asked for: to sync what, to move what; and when it is answered."""
    done: list[str] = []
    fsync, replace = os.fsync, os.replace

    def synced(held: int) -> None:
        done.append(f"sync {Path(f'/proc/self/fd/{held}').readlink().name}")
        fsync(held)

    def replaced(what: Any, to: Any) -> None:
        done.append(f"move {Path(to).name}")
        replace(what, to)

    monkeypatch.setattr(os, "fsync", synced)
    monkeypatch.setattr(os, "replace", replaced)
    monkeypatch.setattr("pix2block.ground.files._is_python", lambda _: False)
    for mend in ("column 1, line 1=Tar", "column 2, line 1=Tar"):
        table.json("/api/mend", {"mends": [["paint", mend]]})
        done.append("answered")
    of_first = [f"sync {LOG}", "sync piece", "answered"]  # a new log, so its folder too
    assert done == [*of_first, f"sync {LOG}", "answered"]
    done.clear()
    table.json("/api/settle", {})
    moved = [one.removeprefix("move ") for one in done if one.startswith("move ")]
    assert {"chart.json", "summary.json", "pattern.txt"} < set(moved)
    listed = len(done) - 1 - done[::-1].index("move list.json")
    first = min(done.index(f"move {name}") for name in moved if name != "list.json")
    assert done.index(f"sync {LOG}") < listed < first
    for name in (*moved, "new", "old"):
        assert name == "list.json" or done.index(f"sync {name}") < listed, name
    assert done[listed - 1] == "sync list.json.part"
    assert done[listed + 1 : listed + 3] == ["sync .pix2block", "sync piece"]
    assert done[-1] == "sync piece"


def test_a_change_is_taken_back_also_after_a_restart(table: Asking, folder: Path) -> None:
    table.json("/api/mend", PAINT)
    table.json("/api/choose", {"word": "habit", "value": "carry"})
    again = Session(folder)
    assert again.chart.habit.name == "carry"
    again.take_back()
    again.take_back()
    assert (again.chart.blocks == open_chart(folder / "chart.json").chart.blocks).all()
    with pytest.raises(BadInput, match="nothing is to be taken back"):
        again.take_back()


@pytest.mark.usefixtures("few_files")
def test_changes_are_taken_back_beyond_what_was_written_and_put_again(folder: Path) -> None:
    session = Session(folder)
    first = session.chart.blocks
    session.choose("habit", "carry")
    session.mend([("paint", "column 1, line 1=Tar")])
    painted = session.chart.blocks
    session.settle()
    session.choose("hand", "left")
    again = Session(folder)  # as after a stopped program
    assert (again.chart.hand, again.back_words) == ("left", "my left hand")
    for _ in range(2):
        again.take_back()
    again = Session(folder)
    assert (again.chart.hand, again.chart.habit.name) == ("right", "carry")
    assert (again.chart.blocks == first).all()
    again.take_back()
    assert (again.chart.habit.name, again.back_words) == ("pickup", "")
    for _ in range(2):
        again.put_again()
    again = Session(folder)
    assert (again.chart.blocks == painted).all()
    assert (again.back_words, again.again_words) == ("1 block Tar", "my left hand")
    again.choose("terms", "uk")
    assert again.again_words == ""
    with pytest.raises(BadInput, match="nothing was taken back"):
        again.put_again()


@pytest.mark.usefixtures("few_files")
def test_a_piece_is_changed_while_its_files_are_written(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    session = Session(folder)
    session.choose("habit", "carry")

    def saved(*of: Any) -> None:
        session.mend([("paint", "column 1, line 1=Tar")])
        save(*of)

    monkeypatch.setattr("pix2block.web.session.save", saved)
    session.settle()
    again = Session(folder)
    assert (again.chart.habit.name, again.back_words) == ("carry", "1 block Tar")
    assert open_chart(folder / "chart.json").chart.mends == ()


def test_two_worktables_lose_nothing_of_each_other(folder: Path) -> None:
    one, other = Session(folder), Session(folder)
    one.mend([("paint", "column 1, line 1=Tar")])
    with pytest.raises(BadInput, match="another program has changed this piece"):
        other.mend([("paint", "column 2, line 2=Moss")])
    other = Session(folder)
    other.mend([("paint", "column 2, line 2=Moss")])
    with pytest.raises(BadInput, match="another program has changed this piece"):
        one.take_back()
    assert len(Session(folder).chart.mends) == 2


@pytest.mark.usefixtures("few_files")
def test_a_run_and_a_worktable_lose_nothing_of_each_other(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    mend = ["mend", str(folder / "chart.json"), "--recolor", "Tar=#123456", "--without", "pdf"]
    session = Session(folder)
    session.mend([("paint", "column 1, line 1=Tar")])
    before = (folder / "chart.json").read_bytes()
    assert run(mend) == 2
    assert "changes at the worktable that its files do not hold" in capsys.readouterr().err
    assert (folder / "chart.json").read_bytes() == before
    session.settle()
    session.take_back()
    session.put_again()
    session.settle()
    assert run(mend) == 0
    theirs = (folder / "chart.json").read_bytes()
    with pytest.raises(BadInput, match="another program has changed this piece"):
        session.mend([("paint", "column 2, line 2=Moss")])
    session._written = None
    session.settle()
    assert (folder / "chart.before-1.json").read_bytes() == theirs
    said = ["chart.json was changed by another program meanwhile: kept as chart.before-1.json"]
    assert file_list(session)["notes"] == said


@pytest.mark.usefixtures("few_files")
def test_a_change_while_files_change_places_outlives_the_program(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ended behind the new files, before anything else is written."""
    session = Session(folder)
    session.mend([("paint", "column 2, line 2=Moss")])

    def saved(study: Any, place: Path) -> None:
        save(study, place)
        session.mend([("paint", "column 1, line 1=Tar")])
        raise KeyboardInterrupt

    monkeypatch.setattr("pix2block.web.session.save", saved)
    with pytest.raises(KeyboardInterrupt):
        session.settle()
    again = Session(folder)
    assert [line.value for line in again.chart.mends] == [
        "column 2, line 2=Moss",
        "column 1, line 1=Tar",
    ]
    again.take_back()
    again.take_back()
    assert again.chart.mends == ()


def test_a_last_line_that_was_cut_is_left_out(table: Asking, folder: Path) -> None:
    table.json("/api/mend", PAINT)
    with (folder / LOG).open("ab") as file:
        file.write(b'{"mends": [["paint", "column 3')
    again = Session(folder)
    assert len(again.chart.mends) == 2
    again.mend([("paint", "column 3, line 1=Tar")])  # not behind half a line
    assert len(Session(folder).chart.mends) == 3


@pytest.mark.parametrize("mends", [[["paint"]], [["paint", 3.5]], [[1, "x"]], 7, None])
def test_a_log_that_makes_no_sense_is_refused(mends: Any, folder: Path) -> None:
    Session(folder).mend([("paint", "column 1, line 1=Tar")])
    first, _ = (folder / LOG).read_bytes().split(b"\n", 1)
    (folder / LOG).write_bytes(first + b"\n" + json.dumps({"mends": mends}).encode() + b"\n")
    with pytest.raises(BadInput, match="is damaged"):
        Session(folder)


def test_a_log_of_another_chart_is_not_done_again(table: Asking, folder: Path) -> None:
    table.json("/api/mend", PAINT)
    text = (folder / "chart.json").read_text().replace('"tail_cm": 15', '"tail_cm": 14')
    (folder / "chart.json").write_text(text)
    log = (folder / LOG).read_bytes()
    again = Session(folder)
    assert again.chart.mends == ()
    assert (folder / ".worktable.before-1.jsonl").read_bytes() == log
    (said,) = again.log.notes
    assert said.endswith("of another chart.json: they lie in .worktable.before-1.jsonl")
    again.mend([("paint", "column 1, line 1=Tar")])
    assert len(Session(folder).chart.mends) == 1


def test_settling_writes_what_the_command_line_writes(table: Asking, folder: Path) -> None:
    table.json("/api/mend", PAINT)
    table.json("/api/settle", {})
    assert Session(folder).back_words == "2 blocks Tar"
    kept = {p.name: p.read_bytes() for p in folder.iterdir() if p.name != "summary.json"}
    assert run(["report", str(folder / "chart.json")]) == 0
    for name, data in kept.items():
        assert (folder / name).read_bytes() == data, name
    assert run(["check", str(folder / "chart.json")]) == 0


def test_files_are_those_of_the_command_line(table: Asking, folder: Path) -> None:
    table.json("/api/mend", PAINT)
    table.json("/api/settle", {})
    made = files_of(
        open_chart(folder / "chart.json"), only=["pattern.txt", "rows.csv", "chart.svg"]
    )
    for name, data in made.items():
        assert table.ask(f"/files/{name}")[1] == data
    listed = table.json("/files")["files"]
    names = {file["name"] for file in listed}
    first = [file["name"] for file in listed if file["first"]]
    assert first == [file["name"] for file in listed[: len(first)]]
    assert (first[0], first[-1]) == ("pattern.pdf", "chart.json")
    archive = zipfile.ZipFile(io.BytesIO(table.ask("/files.zip")[1]))
    assert set(archive.namelist()) == names
    assert archive.read("pattern.txt") == made["pattern.txt"]


@pytest.mark.parametrize(
    ("body", "what"),
    [
        ({"mends": [["paint", "column 99, line 1=Tar"]]}, "column 99"),
        ({"mends": [["paint", "column 1, line 1=Nothing"]]}, "Nothing"),
        ({"mends": [["insert", "/etc/hosts@row 1"]]}, "names a file"),
        ({"mends": [["paint"]]}, "a name and a value"),
        ({"mends": []}, "no mends"),
        ([1], "no mends"),
        (b"{", "no JSON"),
        (b"[" * 5000, "no JSON"),
    ],
)
def test_what_cannot_be_is_told_and_nothing_is_changed(table: Asking, body: Any, what: str) -> None:
    before = table.json("/api/piece")
    status, told, _ = table.ask("/api/mend", body)
    assert status in (400, 422)
    assert what in json.loads(told)["faults"][0]
    assert table.json("/api/piece") == before


@pytest.mark.parametrize("word", ["habit", "corner", "hand", "block", "calm", "ending", "terms"])
def test_what_a_choice_promises_is_what_comes(folder: Path, word: str) -> None:
    session = Session(folder)
    before, (values, now) = session.state, places_of(session.chart, word)
    assert now in dict(values)
    for value, _ in values:
        tried = session.tried_on(word, value).study.chart
        assert session.state is before
        session.choose(word, value)
        assert (session.chart.blocks == tried.blocks).all()
        assert session.chart.habit == tried.habit
        assert places_of(session.chart, word)[1] == value
        session.take_back()


@pytest.mark.usefixtures("few_files")
def test_rows_that_are_made_stay(tmp_path: Path) -> None:
    y, x = np.mgrid[0:48, 0:60]
    light = np.stack([120 + x, 90 + 2 * y, 160 - x], axis=2) + 25 * np.sin(x / 5 + y / 7)[..., None]
    Image.fromarray(np.clip(light, 0, 255).astype(np.uint8)).save(tmp_path / "soft.png")
    words = ["--width", "15", "--colors", "4", "--look", "photo", "--without", "pdf"]
    out = tmp_path / "out"
    assert run(["chart", str(tmp_path / "soft.png"), *words, "--out", str(out)]) == 0
    assert run(["report", str(out / "chart.json"), "--done", "12", "--without", "pdf"]) == 0
    session = Session(out)
    before, rows = session.chart, (out / "pattern.txt").read_text().split("Row 12,")[0]
    for word in ("corner", "hand", "block", "calm"):
        assert len(places_of(before, word)[0]) == 1
        for value in ("top-left", "left", "hdc", "12"):
            with pytest.raises(BadInput):
                session.choose(word, value)
    session.choose("habit", "carry")
    assert (session.chart.blocks == before.blocks).all()
    assert session.chart.done == before.done
    assert session.files(["pattern.txt"])["pattern.txt"].decode().split("Row 12,")[0] == rows
    session.settle()
    assert run(["check", str(out / "chart.json")]) == 0


def test_a_killed_worktable_loses_nothing_that_it_answered(folder: Path) -> None:
    enough, states = threading.Event(), list[Any]()
    wishes: list[tuple[str, Any]] = [
        ("mend", {"mends": [["paint", "column 1, line 1=Tar"]]}),
        ("choose", {"word": "habit", "value": "carry"}),
        ("mend", {"mends": [["paint", "column 2, line 1=Moss"]]}),
        ("choose", {"word": "title", "value": "Moss path"}),
        ("back", {}),
        ("choose", {"word": "habit", "value": "pickup"}),
        ("back", {}),
    ]
    with program(str(folder)) as (opened, asking):

        def kill() -> None:
            enough.wait(60)
            opened.send_signal(signal.SIGKILL)

        killer = threading.Thread(target=kill)
        killer.start()
        with suppress(OSError, http.client.HTTPException):
            for number in range(200):
                what, body = wishes[number % len(wishes)]
                states.append(asking.json(f"/api/{what}", body))
                if len(states) == 20:
                    enough.set()  # it comes in the middle of what follows
        killer.join()
    answered = len(states)
    assert 20 <= answered < 200
    session = Session(folder)
    kept = len(session.log.read()) - 1  # the first says what they began with
    assert answered <= kept <= answered + 1
    if kept == answered:
        told = states[-1]
        assert (told["title"], told["back"]) == (session.chart.title, session.back_words)
        assert told["blocks"] == blocks_text(session.chart)
    read_chart((folder / "chart.json").read_bytes(), "chart.json")


# First start


@pytest.mark.usefixtures("few_files")
def test_a_sample_is_made_as_the_sentence_says(empty: Asking) -> None:
    asked = {"stripes": False, "size": "8 blocks", "yarns": "3", "hand": "left", "shelf": ""}
    made = empty.json("/api/sample", asked)
    assert (made["width"], len(made["yarns"]), made["hand"]) == (8, 3, "left")


def test_a_picture_becomes_a_piece(empty: Asking, tmp_path: Path) -> None:
    assert empty.json("/api/pieces") == {"pieces": [], "open": False}
    assert empty.ask("/api/piece")[0] == 422
    kind = {"Content_Type": "application/octet-stream"}
    query = "?name=..%2F..%2Flantern.png&size=8+blocks&yarns=two+yarns&hand=left"
    assert empty.json(f"/api/make{query}", picture_bytes(), **kind)["width"] == 8
    told = {"name": "lantern", "title": "Lantern", "row": 0}
    assert empty.json("/api/pieces") == {"pieces": [told], "open": True}
    empty.json("/api/settle", {})
    (tmp_path / "lantern.png").write_bytes(picture_bytes())
    words = ["chart", str(tmp_path / "lantern.png"), "--width", "8", "--colors", "2"]
    assert run([*words, "--hand", "left", "--out", str(tmp_path / "own")]) == 0
    made = tmp_path / "output" / "lantern"
    for path in (tmp_path / "own").iterdir():
        assert (made / path.name).read_bytes() == path.read_bytes(), path.name


@pytest.mark.parametrize(
    ("query", "body", "what"),
    [
        ("?size=8", b"no picture", "no picture that can be read"),
        ("?size=none", None, "size"),
        ("?yarns=0", None, "colors"),
    ],
)
def test_what_is_no_picture_or_size_is_told(
    empty: Asking, query: str, body: bytes | None, what: str, tmp_path: Path
) -> None:
    kind = {"Content_Type": "application/octet-stream"}
    status, told = empty.followed(f"/api/make{query}", body or picture_bytes(), **kind)
    assert status == 422
    assert what in told["faults"][0]
    assert not (tmp_path / "output").exists()


@pytest.mark.usefixtures("few_files")
@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes are Linux's")
def test_a_folder_whose_name_is_no_text(table: Asking, folder: Path) -> None:
    odd = folder.parent / os.fsdecode(b"p\xff")
    shutil.copytree(folder, odd)
    assert [one["name"] for one in table.json("/api/pieces")["pieces"]] == ["piece"]
    session = Session(odd)
    for asking in served(Table(session, odd.parent)):
        asking.json("/api/mend", PAINT)
        assert asking.json("/api/settle", {})["folder"] == "p?"


def test_no_other_folder_is_laid_on_the_table(table: Asking, folder: Path) -> None:
    (folder.parent / "aside").mkdir()
    for name in ("aside", "..", "piece/../piece", "/", ""):
        assert table.ask("/api/lay", {"name": name})[0] == 422
    assert table.json("/api/lay", {"name": "piece"})["width"] == 6


@pytest.mark.usefixtures("few_files")
def test_what_was_opened_and_worked_on_is_gone_on_with(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("moon.png").write_bytes(picture_bytes())
    Path("plan.toml").write_text(
        'width = 3\nlength = 4\n[[yarn]]\nname = "A"\ncolor = "red"\n[[yarn]]\nname = "B"\n'
        'color = "blue"\n[[part]]\norder = ["A", "B"]\nrows = 1\nlasts = "to the end"\n'
    )
    small = Options(width=5, colors=3, without=("pdf",))
    for source, options in ((Path("moon.png"), small), (Path("plan.toml"), Options())):
        folder = folder_of(source, options)
        session = Session(folder)
        session.mend([("add", "Zed #00ff00")])
        assert folder_of(source, Options()) == folder  # ended before its files were written
        session = Session(folder)
        assert len(session.chart.mends) == 1
        session.choose("corner", "top-left")
        session.settle()
        assert "worked on here" in capsys.readouterr().err
        kept = (folder / "chart.json").read_bytes()
        assert folder_of(source, Options()) == folder
        assert (folder / "chart.json").read_bytes() == kept
        assert folder_of(source, replace(options, hand="left")) == folder  # made anew
        assert (folder / "chart.before-1.json").read_bytes() == kept
        assert "kept as chart.before-1.json" in capsys.readouterr().err


@pytest.mark.skipif(os.name != "posix", reason="needs links as on posix")
def test_a_log_that_leads_elsewhere_is_not_written_through(folder: Path) -> None:
    """In a folder that somebody sent, it would have emptied the file it leads to."""
    mine = folder.parent / "mine.txt"
    mine.write_text("mine")
    (folder / LOG).symlink_to(mine)
    with pytest.raises(BadInput, match="leads to another file"):
        Session(folder).mend([("paint", "column 1, line 1=Tar")])
    assert mine.read_text() == "mine"


@pytest.mark.parametrize("kept", [{"chart": 7}, {"wanted": 7}, {"wanted": {}}, {"chart": "x"}])
def test_a_spoilt_piece_aside_is_a_line(kept: dict[str, Any], folder: Path) -> None:
    session = Session(folder)
    lay_aside(session)
    place = folder / "worktable" / "aside"
    for name in ("007.json", "٣.json"):  # none of ours
        shutil.copy(place / "1.json", place / name)
    assert [one["number"] for one in all_beside(session)] == [1]
    told = json.loads((place / "1.json").read_bytes())
    (place / "1.json").write_text(json.dumps({**told, **kept}))
    for call in (aside_state, go_on_with):
        with pytest.raises(BadInput):
            call(session, 1)


@pytest.mark.skipif(os.name != "posix", reason="needs links as on posix")
def test_a_place_that_leads_elsewhere_is_not_written_into(folder: Path) -> None:
    mine = folder.parent / "mine"
    mine.mkdir()
    (folder / "worktable").symlink_to(mine)
    session = Session(folder)
    for call in (lambda: bring(folder, "a.csv", b"1"), lambda: lay_aside(session)):
        with pytest.raises(BadInput, match="leads to another folder"):
            call()
    assert not list(mine.iterdir())


def test_a_small_log_does_not_fill_the_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pix2block.web.log._MOST_UNPACKED", 10_000)
    packed = base64.b64encode(zlib.compress(b" " * 10_001)).decode()
    with pytest.raises(BadInput, match="is damaged"):
        unpacked(packed)


@pytest.mark.skipif(os.name != "posix", reason="needs pipes as on posix")
def test_pipes_in_a_folder_are_not_waited_for(tmp_path: Path) -> None:
    """Each read would wait without end; here it is ended by a signal."""
    root, folder = tmp_path / "root", tmp_path / "root" / "piece"
    (folder / "worktable" / "aside").mkdir(parents=True)
    (folder / "grid.csv").write_text("Moss,Tar\nTar,Moss\n")
    save(open_chart(folder / "grid.csv"), folder, only=["chart.json"])
    for name in ("summary.json", "worktable/asked.json", ".worktable-address.json"):
        (folder / name).unlink(missing_ok=True)
        os.mkfifo(folder / name, 0o600)
    (root / "other").mkdir()
    os.mkfifo(root / "other" / "chart.json")
    before = signal.signal(signal.SIGALRM, lambda *_: pytest.fail("it waits for a pipe"))
    signal.alarm(20)
    try:
        address.listen(folder)[0].close()
        assert Session(folder).written == frozenset()
        assert {one["name"] for one in Table(root=root).pieces_told()} == {"piece", "other"}
        save(open_chart(folder / "chart.json"), folder, only=["summary.json"])
        chart_again(samples_picture(tmp_path), root / "other", Options(width=4, colors=2))
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)
    assert (folder / "summary.json").is_file()


def samples_picture(folder: Path) -> Path:
    (folder / "moon.png").write_bytes(picture_bytes())
    return folder / "moon.png"
