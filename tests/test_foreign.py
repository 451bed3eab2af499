"""What comes from outside and fits nowhere: pipes, devices, odd bytes, formulas, deep brackets."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import openpyxl
import pytest
from PIL import Image

from pix2block.command.cli import run
from pix2block.command.say import MOST_CHARACTERS
from pix2block.ground import files
from pix2block.ground.delimited import table
from pix2block.ground.errors import BadInput
from pix2block.ground.files import read_bytes
from pix2block.ground.toml import NotToml, read_toml
from pix2block.picture.picture import open_picture
from pix2block.recipes.grids import open_blocks
from pix2block.stripes.toml_file import find_places
from pix2block.web.pasted import pasted_shelf
from pix2block.yarn.shelf import read_shelf

PROGRAM = [sys.executable, "-m", "pix2block"]
QUICK = ["--without", "pdf,proof,preview"]


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    path = tmp_path / "dot.png"
    image = Image.new("RGB", (6, 5), "#203040")
    image.putpixel((2, 2), (240, 220, 30))
    image.save(path)
    return path


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("a=" + "[" * 3000 + "]" * 3000, "brackets stand too deep"),
        ("width = " + "1" * 4301, "a number has too many digits"),
        ("a = 1\nb = = 2", "line 2, column 5"),
    ],
)
def test_what_is_no_toml_is_told_in_one_way(text: str, why: str) -> None:
    with pytest.raises(NotToml, match=why):
        read_toml(text)


@pytest.mark.parametrize("option", ["--maker", "--credit", "--swatch"])
def test_deep_brackets_are_a_line_at_every_door(
    option: str, picture: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    deep = picture.with_name("deep.toml")
    deep.write_text("a=" + "[" * 3000 + "]" * 3000)
    out = picture.parent / "out"
    words = ["chart", str(picture), option, str(deep), "--width", "5", "--out", str(out), *QUICK]
    assert run(words) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
    assert not out.exists()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_pipes_and_devices_are_refused_before_they_are_read(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.png"
    os.mkfifo(pipe)
    for path in (pipe, Path("/dev/zero")):
        with pytest.raises(BadInput, match="is a pipe or a device"):
            open_picture(path)


def test_a_huge_file_is_refused_unread(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "MOST_BYTES", 3)
    path = tmp_path / "shelf.csv"
    path.write_bytes(b"1234")
    with pytest.raises(BadInput, match="make it smaller first"):
        read_bytes(path, "shelf")


def test_a_name_with_a_zero_byte_is_a_line() -> None:
    with pytest.raises(BadInput, match="cannot be read"):
        read_bytes(Path("a\0b"), "shelf")


def test_another_program_is_never_called_for_a_picture(tmp_path: Path) -> None:
    path = tmp_path / "a.eps"
    Image.new("RGB", (4, 4)).save(path)
    with pytest.raises(BadInput, match="is no picture that can be read"):
        open_picture(path)


def test_no_text_of_a_table_is_a_formula() -> None:
    cells = ["=1+1", "+cmd", "-2", "-2.50", "@SUM(A1)", "\tx", "a=b"]
    guarded = ["'=1+1", "'+cmd", "-2", "-2.50", "'@SUM(A1)", "'\tx", "a=b"]
    assert table(["n"], [[cell] for cell in cells]) == "\n".join(["n", *guarded]) + "\n"


def test_a_note_is_no_formula_and_nothing_that_a_terminal_obeys() -> None:
    shelf = read_shelf('name,color,note\nMoss,#5c6b3c,"=HYPERLINK(x)\x1b[31m"\n', "shelf.csv")
    assert shelf.yarns[0].note == "HYPERLINK(x) [31m"


def test_what_a_terminal_obeys_is_not_printed(
    picture: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shelf = picture.with_name("shelf.csv")
    shelf.write_text("name,color\nA\x1b[31mred,#ff0000\nB,#" + "z" * 5000 + "\x1b[2J\n")
    assert run(["chart", str(picture), "--shelf", str(shelf)]) == 2
    said = capsys.readouterr().err
    assert "\x1b" not in said
    assert max(map(len, said.splitlines())) <= MOST_CHARACTERS + 3


def test_a_plan_of_many_lines_is_scanned_in_one_go() -> None:
    text = "width = 15\n" + '[[part]]\norder = "x"\nrows = 4\n' * 20_000
    places = find_places(text)
    assert places[("part", 19_999)] == (3 * 19_999 + 2, 1)
    assert places[("part", 19_999, "rows", "value")] == (3 * 19_999 + 4, 8)


def test_an_empty_photo_is_refused(picture: Path, capsys: pytest.CaptureFixture[str]) -> None:
    picture.with_name("none.jpg").write_bytes(b"")
    credit = picture.with_name("credit.toml")
    credit.write_text('photo = "none.jpg"\n')
    out = str(picture.parent / "out")
    words = ["chart", str(picture), "--width", "5", "--credit", str(credit), "--out", out, *QUICK]
    assert run(words) == 2
    assert "photo cannot be read" in capsys.readouterr().err


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes are Linux's")
def test_a_file_name_that_is_no_text(picture: Path) -> None:
    odd = picture.parent / os.fsdecode(b"b\xff.png")
    odd.write_bytes(picture.read_bytes())
    out = picture.parent / "out"
    words = ["chart", str(odd), "--width", "5", "--out", str(out)]
    done = subprocess.run([*PROGRAM, *words, *QUICK], capture_output=True, check=False)
    assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads((out / "chart.json").read_text())["source"]["picture"] == "b?.png"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
def test_output_that_cannot_be_printed_is_no_failed_check() -> None:
    with Path("/dev/full").open("w") as full:
        call = [*PROGRAM, "options"]
        done = subprocess.run(call, stdout=full, stderr=subprocess.PIPE, check=False, text=True)
    assert done.returncode == 2
    assert done.stderr == "pix2block: nothing more can be printed: No space left on device\n"


@pytest.mark.skipif(sys.platform == "win32", reason="needs a POSIX pipe")
def test_a_reader_that_leaves_is_no_failure() -> None:
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run([*PROGRAM, "options"], stdout=write, stderr=subprocess.PIPE, check=False)
    os.close(write)
    assert (done.returncode, done.stderr) == (0, b"")


def test_a_name_that_a_terminal_cannot_show(tmp_path: Path) -> None:
    grid = tmp_path / "grid.csv"
    grid.write_text("Мох: x,B\nB,B\n", encoding="utf-8")
    words = ["report", str(grid), "--out", str(tmp_path / "out")]
    done = subprocess.run(
        [*PROGRAM, *words, *QUICK],
        env={**os.environ, "PYTHONIOENCODING": "latin-1:strict"},
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0
    assert b"???" in done.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="needs a POSIX shell")
def test_streams_that_are_closed_are_no_failure(tmp_path: Path) -> None:
    grid, out = tmp_path / "grid.csv", tmp_path / "out"
    grid.write_text("red,blue\nblue,red\n")
    words = " ".join([*PROGRAM, "report", str(grid), *QUICK, "--out", str(out)])
    done = subprocess.run(["sh", "-c", f"{words} <&- >&- 2>&-"], capture_output=True, check=False)
    assert done.returncode == 0
    assert json.loads((out / "chart.json").read_text())["width"] == 2
    assert (out / "summary.json").is_file()


def test_a_workbook_in_letters_that_nobody_knows_is_refused(tmp_path: Path) -> None:
    book = tmp_path / "grid.xlsx"
    openpyxl.Workbook().save(book)
    with zipfile.ZipFile(book) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    part = "xl/worksheets/sheet1.xml"
    parts[part] = b'<?xml version="1.0" encoding="moss-8"?>' + parts[part]
    with zipfile.ZipFile(book, "w") as packed:
        for name, data in parts.items():
            packed.writestr(name, data)
    with pytest.raises(BadInput, match="is no workbook that can be read"):
        open_blocks(book)


def test_a_workbook_under_a_password_is_refused(tmp_path: Path) -> None:
    book = tmp_path / "grid.xlsx"
    openpyxl.Workbook().save(book)
    locked = bytearray(book.read_bytes())
    for head, flags in ((b"PK\3\4", 6), (b"PK\1\2", 8)):  # of a part; of the list of parts
        at = locked.find(head)
        while at >= 0:
            locked[at + flags] |= 1
            at = locked.find(head, at + 1)
    book.write_bytes(locked)
    with pytest.raises(BadInput, match="is no workbook that can be read"):
        open_blocks(book)


@pytest.mark.parametrize("part", ["(", "a ", "a,"])
def test_what_is_pasted_is_not_looked_through_again_and_again(part: str) -> None:
    """16 kB of words took 16 s: each end of them was tried as a colour."""
    began = time.process_time()
    with pytest.raises(BadInput, match="your list"):
        pasted_shelf(part.encode() * 20_000)
    assert time.process_time() - began < 3


def test_a_long_heading_is_no_column() -> None:
    began = time.process_time()
    shelf = read_shelf(f"name,color,{'(' * 20_000}\nA,red,1\n", "shelf.csv")
    assert [yarn.name for yarn in shelf.yarns] == ["A"]
    assert time.process_time() - began < 3
