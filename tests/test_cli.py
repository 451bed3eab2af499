"""The command line: wrong calls, what is printed, what is written, interruption."""

from __future__ import annotations

import csv
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

import pix2block
from pix2block.command.cli import run
from pix2block.ground import files, swap
from pix2block.ground.files import save_all

FILES = {
    *("chart.json", "chart.csv", "chart.xlsx", "chart.svg", "chart.png", "held.svg", "preview.png"),
    *("pattern.txt", "pattern.html", "pattern.pdf", "hookside.html"),
    *("rows.csv", "strands.csv", "yarn.csv", "bobbins.csv", "tails.csv", "shopping.txt"),
    "summary.json",
}
Capture = pytest.CaptureFixture[str]
ALIKE = ("--subject", "none")  # every block: no picture of what is found, which a report has not
BLOCKS = ("--look", "blocks")  # taken as the chart that it is, which costs least
IS_PYTHON = files._is_python  # which is not asked in most tests (conftest)
pytestmark = pytest.mark.usefixtures("few_files")


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty current folder with a few things to work on."""
    monkeypatch.chdir(tmp_path)
    y, x = np.mgrid[0:30, 0:40]
    soft = np.stack([x * 6, y * 8, (x + y) * 3], axis=-1).astype(np.uint8)
    Image.fromarray(soft).save("small_boat.png")
    blocks = np.array([[0, 1, 1], [1, 0, 2]])
    colors = np.array([[200, 30, 40], [20, 60, 90], [240, 230, 200]], dtype=np.uint8)
    Image.fromarray(colors[blocks].repeat(4, 0).repeat(4, 1)).save("badge.png")
    Path("shelf.csv").write_text("name,color,metres\nMoss,#5c6b3c,200\nTar,#222222,\n")
    Path("bad_shelf.csv").write_text("name,color\nMoss,#5c6b3c\nTar,#22\n")
    Path("grid.csv").write_text("Moss,Tar\nTar,Moss\n")
    Path("shawl.csv").write_text(",,Moss\n,Moss,Tar\nMoss,Tar,Moss\n")
    Path("text.txt").write_text("no picture")
    Path("folder").mkdir()
    return tmp_path


@pytest.fixture
def by_program(monkeypatch: pytest.MonkeyPatch) -> None:
    """Files are moved to their places by the program that an interruption does not reach."""
    monkeypatch.setattr(files, "_is_python", IS_PYTHON)


def tree(folder: Path) -> dict[str, bytes | None]:
    """Every file below a folder with its bytes, and every folder."""
    found = {}
    for path in sorted(folder.rglob("*")):
        found[str(path.relative_to(folder))] = path.read_bytes() if path.is_file() else None
    return found


def made(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def succeeds(capsys: Capture, *words: str) -> tuple[str, str]:
    """What a call prints on standard output and on standard error."""
    code = run(list(words))
    printed = capsys.readouterr()
    assert code == 0, printed.err
    return printed.out, printed.err


# Wrong calls

CALLS: dict[str, tuple[list[str], tuple[str, ...]]] = {
    "unknown command": (["knit"], ('command or file "knit"', "known: chart, stripe")),
    "near command": (["chrat", "badge.png"], ("chrat", 'did you mean "chart"?')),
    "unknown option of the program": (["--versoin"], ("--versoin", "did you mean --version?")),
    "no picture": (["chart"], ("Missing argument 'PICTURE'", "see pix2block chart --help")),
    "no chart": (["report"], ("Missing argument 'CHART'", "see pix2block report --help")),
    "two pictures": (["chart", "badge.png", "text.txt"], ("text.txt", "--help")),
    "missing picture": (["chart", "bagde.png"], ("picture bagde.png: no such", '"badge.png"')),
    "missing folder": (["chart", "nowhere/x.png"], ("nor a folder nowhere",)),
    "folder": (["chart", "folder"], ("picture folder is a folder: name a file in it",)),
    "no picture at all": (["chart", "text.txt"], ("text.txt is no picture",)),
    "unknown option": (["chart", "badge.png", "--colours", "4"], ("did you mean --colors?",)),
    "far option": (
        ["chart", "badge.png", "--qqqqqq"],
        ("no option --qqqqqq", "see pix2block chart --help"),
    ),
    "option of another command": (
        ["report", "grid.csv", "--width", "4"],
        ("no option --width for pix2block report",),
    ),
    "option without value": (["chart", "badge.png", "--width"], ("--width",)),
    "flag with value": (["chart", "badge.png", "--json=yes"], ("--json",)),
    "width 0": (["chart", "badge.png", "--width", "0"], ("--width", "from 1 to 1000")),
    "width word": (["chart", "badge.png", "--width", "wide"], ('--width "wide"',)),
    "height 1001": (["chart", "badge.png", "--height", "1001"], ("--height",)),
    "height that follows": (
        ["chart", "small_boat.png", "--height", "1000"],
        ("1333 x 1000 blocks: choose a width",),
    ),
    "size": (["chart", "badge.png", "--size", "120"], ('--size "120"', "as 120x150cm")),
    "size and width": (
        ["chart", "badge.png", "--size", "20x20cm", "--width", "4"],
        ("--size sets both sides: leave out --width and --height",),
    ),
    "size too large": (["chart", "badge.png", "--size", "9000x20cm"], ("from 1 to 1000",)),
    "crop": (["chart", "badge.png", "--crop", "50,50,60,50"], ("--crop", "inside the picture")),
    "colors": (["chart", "badge.png", "--colors", "0"], ("--colors", "from 1 to 200")),
    "missing shelf": (["chart", "badge.png", "--shelf", "shlf.csv"], ("shelf shlf.csv", '"shelf.')),
    "bad shelf": (
        ["chart", "badge.png", "--shelf", "bad_shelf.csv"],
        ("bad_shelf.csv, line 3, column color",),
    ),
    "shelf is no text": (
        ["chart", "badge.png", "--shelf", "badge.png"],
        ("badge.png: no text file",),
    ),
    "hand": (["chart", "badge.png", "--hand", "lft"], ("--hand", 'did you mean "left"?')),
    "background": (["chart", "badge.png", "--background", "gren"], ('did you mean "green"?',)),
    "title": (["chart", "badge.png", *BLOCKS, "--title", " "], ("the title is empty",)),
    "blocks with size": (
        ["chart", "badge.png", "--look", "blocks", "--size", "9x9cm"],
        ("--look blocks takes the whole picture",),
    ),
    "blocks of another width": (
        ["chart", "badge.png", "--look", "blocks", "--width", "4"],
        ("badge.png is 3 x 2 blocks as a chart",),
    ),
    "blocks of a photo": (
        ["chart", "small_boat.png", "--look", "blocks"],
        ("1,200 colours, over 200: use --look photo",),
    ),
    "out is a file": (
        ["chart", "badge.png", *BLOCKS, "--out", "text.txt"],
        ("cannot write into text.txt",),
    ),
    "out is in a file": (
        ["chart", "badge.png", *BLOCKS, "--out", "text.txt/x"],
        ("cannot write into text.txt/x", "choose another --out"),
    ),
    "missing chart": (["report", "chart.json"], ("chart chart.json: no such file",)),
    "chart is a folder": (["report", "folder"], ("chart folder is a folder",)),
    "no chart.json": (["report", "text.txt"], ("text.txt: no line “Piece: …”",)),
    "binary chart": (["report", "badge.png"], ("chart badge.png is no JSON file",)),
    "binary grid": (["report", "folder/../grid.CSV"], ("grid.CSV", "no such file")),
    "grid of unknown yarns": (
        ["report", "shawl.csv", "--shelf", "bad_shelf.csv"],
        ("bad_shelf.csv, line 3",),
    ),
    "corner of an early end": (
        ["report", "shawl.csv", "--corner", "top-left"],
        ("not the end of a piece from start corner top-left",),
    ),
    "line end in a path": (["chart", "no\nsuch.png"], ("such.png",)),
    "line end in a word": (["chart", "badge.png", "--hand", "le\nft"], ("--hand",)),
    "line end in a color": (["chart", "badge.png", "--background", "gr\neen"], ("--background",)),
    "line end in an option": (["chart", "badge.png", "--wi\ndth", "5"], ("dth",)),
    "line end in a command": (["cha\nrt", "badge.png"], ("rt",)),
}


@pytest.mark.parametrize("name", CALLS)
def test_wrong_calls(name: str, here: Path, capsys: Capture) -> None:
    words, hints = CALLS[name]
    before = tree(here)
    for more in ([], ["--json"]) if len(words) > 1 else ([],):
        code = run([*words, *more])
        printed = capsys.readouterr()
        assert code == 2
        assert printed.out == ""
        assert printed.err.startswith("pix2block: ")
        assert printed.err.endswith("\n")
        assert len(printed.err.splitlines()) == 1
        for hint in hints:
            assert hint in printed.err
        assert tree(here) == before


def test_a_bad_cell_with_a_line_end_is_told_in_one_line(here: Path, capsys: Capture) -> None:
    (here / "shelf.csv").write_text('name,color\nMoss,"#5c\n6b3c"\n')
    assert run(["chart", "badge.png", "--shelf", "shelf.csv"]) == 2
    err = capsys.readouterr().err
    assert "shelf.csv, line 2, column color" in err
    assert len(err.splitlines()) == 1


def test_a_chart_that_ends_early_keeps_its_corner(here: Path, capsys: Capture) -> None:
    succeeds(capsys, "report", "shawl.csv", "--out", "shawl")
    before = tree(here)
    assert run(["report", "shawl/chart.json", "--corner", "top-left"]) == 2
    err = capsys.readouterr().err
    assert err.startswith("pix2block: chart shawl/chart.json ends after row 3")
    assert "leave out --corner" in err
    assert tree(here) == before
    succeeds(capsys, "report", "shawl/chart.json", "--corner", "bottom-right")
    assert tree(here) == before


def test_a_chart_has_its_yarns(here: Path, capsys: Capture) -> None:
    succeeds(capsys, "report", "grid.csv", "--out", "grid")
    before = tree(here)
    assert run(["report", "grid/chart.json", "--shelf", "shelf.csv"]) == 2
    assert "this chart has its yarns" in capsys.readouterr().err
    assert tree(here) == before


def test_a_wrong_call_leaves_an_earlier_chart_alone(here: Path, capsys: Capture) -> None:
    succeeds(capsys, "chart", "badge.png", *BLOCKS)
    before = tree(here)
    assert run(["chart", "badge.png", *BLOCKS, "--title", " "]) == 2
    assert tree(here) == before


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="needs a folder without rights")
def test_a_folder_without_rights(here: Path, capsys: Capture) -> None:
    (here / "folder").chmod(0o500)
    assert run(["chart", "badge.png", "--out", "folder"]) == 2
    assert "cannot write into folder" in capsys.readouterr().err


# What is printed


@pytest.mark.usefixtures("here")
def test_the_summary_for_people(capsys: Capture) -> None:
    out, err = succeeds(capsys, "chart", "badge.png", "--look", "blocks")
    assert err == ""
    assert out.startswith("Badge: ")
    assert "3 × 2 blocks" in out
    assert "4 diagonal rows, 6 blocks" in out
    assert "Everything is in output/badge/" in out


def test_json_prints_the_summary_and_nothing_else(here: Path, capsys: Capture) -> None:
    out, err = succeeds(capsys, "chart", "small_boat.png", "--width", "12", *ALIKE, "--json")
    assert err == ""
    assert out == (here / "output" / "small_boat" / "summary.json").read_text()
    figures = json.loads(out)
    assert (figures["rows"], figures["blocks"]) == (20, 108)
    chart = here / "output" / "small_boat" / "chart.json"
    out_again, _ = succeeds(capsys, "report", str(chart), "--json")
    assert json.loads(out_again) == figures


@pytest.mark.usefixtures("here")
def test_json_stays_json_beside_notes(capsys: Capture) -> None:
    out, err = succeeds(capsys, "report", "grid.csv", "--out", "o", "--json")
    assert json.loads(out)["blocks"] == 4
    assert err.startswith("Note: grid.csv gives no colour for Tar: stand-in colours")


def test_version_and_help_write_nothing(here: Path, capsys: Capture) -> None:
    before = tree(here)
    out, _ = succeeds(capsys, "--version")
    assert out == f"pix2block {pix2block.__version__}\n"
    out, _ = succeeds(capsys, "chart", "--help")
    assert "--width" in out
    assert tree(here) == before


@pytest.mark.usefixtures("here")
def test_what_is_cut_off_is_told(capsys: Capture) -> None:
    call = ("chart", "small_boat.png", *ALIKE, "--calm", "0")
    _, err = succeeds(capsys, *call, "--width", "10", "--height", "10")
    assert err == (
        "Note: 10 x 10 blocks leave out 25 % of the picture, as much on either side; "
        "nothing is stretched.\n"
    )
    _, err = succeeds(capsys, *call, "--width", "8", "--height", "6")
    assert err == ""


@pytest.mark.usefixtures("here")
@pytest.mark.parametrize("wide", [True, False])
def test_a_side_of_over_2_metres_is_told(wide: bool, capsys: Capture) -> None:
    side = "--width" if wide else "--height"
    large = ("--weight", "7", "--hook", "50")  # few blocks are wide then
    quick = ("--look", "photo", "--calm", "0", "--aim", "area", "--without", "proof")
    call = ("chart", "badge.png", *large, *quick, *ALIKE, "--json")
    if not wide:
        Image.new("RGB", (8, 12), "teal").save("badge.png")
    out, err = succeeds(capsys, *call, side, "20")
    longest = max(json.loads(out)["finished_size_cm"])
    assert longest > 200
    (line,) = err.splitlines()
    assert line.startswith(f"Note: The longer side would be {longest / 100:.1f} m: --width ")
    assert line.endswith(" gives about 1.5 m.")
    advised = line.split("--width ")[1].split()[0]
    out, err = succeeds(capsys, *call, "--width", advised)
    assert err == ""
    block_cm = json.loads(out)["block_cm"]
    assert abs(max(json.loads(out)["finished_size_cm"]) - 150) <= block_cm * 1.5
    out, err = succeeds(capsys, *call, side, "19")
    assert 195 < max(json.loads(out)["finished_size_cm"]) <= 200
    assert err == ""


# What is written


@pytest.mark.every_file
def test_the_default_folder_is_below_the_current_one(here: Path, capsys: Capture) -> None:
    pictures = here / "folder" / "pictures"
    pictures.mkdir()
    (here / "badge.png").rename(pictures / "my.badge.png")
    out, _ = succeeds(capsys, "chart", "folder/pictures/my.badge.png", *BLOCKS)
    assert {path.name for path in (here / "output" / "my.badge").iterdir()} == FILES
    assert list(pictures.iterdir()) == [pictures / "my.badge.png"]
    assert "output/my.badge/" in out


@pytest.mark.every_file
@pytest.mark.usefixtures("unset_pages")
def test_out_names_the_folder(here: Path, capsys: Capture) -> None:
    succeeds(capsys, "chart", "badge.png", *BLOCKS, "--out", "a/b c")
    assert {path.name for path in (here / "a" / "b c").iterdir()} == FILES
    assert not (here / "output").exists()


@pytest.mark.every_file
@pytest.mark.usefixtures("unset_pages")
def test_other_files_of_the_folder_stay(here: Path, capsys: Capture) -> None:
    (here / "folder" / "notes.txt").write_text("mine")
    succeeds(capsys, "chart", "badge.png", *BLOCKS, "--out", "folder")
    assert set(made(here / "folder")) == FILES | {"notes.txt"}
    assert (here / "folder" / "notes.txt").read_text() == "mine"


@pytest.mark.every_file
@pytest.mark.usefixtures("afresh")
def test_two_runs_and_two_processes_give_the_same_bytes(here: Path, capsys: Capture) -> None:
    """The search of colours too, by its seed: whatever was there before and is still known,
    whatever order sets have, and however many threads linear algebra takes: two runs of this
    process into one folder, and another's that shares nothing with it."""
    call = ("chart", "small_boat.png", "--width", "8", "--colors", "5", "--seed", "7")
    succeeds(capsys, *call, "--out", "this")
    first = made(here / "this")
    assert set(first) == FILES | {"subject.png"}
    succeeds(capsys, *call, "--out", "this")
    assert made(here / "this") == first
    assert os.environ["OPENBLAS_NUM_THREADS"] != "4"
    hashes = "1" if os.environ.get("PYTHONHASHSEED") != "1" else "2"
    done = subprocess.run(
        [sys.executable, "-m", "pix2block", *call, "--out", "other"],
        env={**os.environ, "PYTHONHASHSEED": hashes, "OPENBLAS_NUM_THREADS": "4"},
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == b""
    assert made(here / "other") == first


@pytest.mark.every_file
@pytest.mark.usefixtures("unset_pages")
def test_a_report_keeps_the_charts_folder(here: Path, capsys: Capture) -> None:
    succeeds(capsys, "chart", "small_boat.png", "--width", "8", *ALIKE, "--out", "mine")
    first = made(here / "mine")
    before = tree(here)
    (here / "mine" / "rows.csv").unlink()
    (here / "mine" / "yarn.csv").write_text("damaged")
    out, _ = succeeds(capsys, "report", "mine/chart.json")
    assert "Everything is in mine/" in out
    assert made(here / "mine") == first
    assert tree(here) == before
    (here / "small_boat.png").unlink()
    succeeds(capsys, "report", "mine/chart.json", "--out", "other")
    assert made(here / "other") == first
    assert made(here / "mine") == first


def test_a_report_of_a_chart_in_the_current_folder(
    here: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    succeeds(capsys, "chart", "badge.png", *BLOCKS, "--out", "mine")
    first = made(here / "mine")
    monkeypatch.chdir(here / "mine")
    succeeds(capsys, "report", "chart.json")
    assert made(here / "mine") == first


def test_a_report_holds_the_settings_used(here: Path, capsys: Capture) -> None:
    succeeds(capsys, "chart", "badge.png", *BLOCKS, "--tail", "12", "--out", "mine")
    options = ["--hand", "left", "--habit", "carry", "--rest", "1", "--terms", "uk"]
    succeeds(capsys, "report", "mine/chart.json", *options, "--pace", "1,2,3", "--title", "New")
    data = json.loads((here / "mine" / "chart.json").read_bytes())
    assert data["hand"] == "left"
    assert data["start_corner"] == "bottom-right"
    assert data["habit"] == {"name": "own", "reach": 3.0, "rest": 1, "edge": 3}
    assert data["terms"] == "uk"
    assert data["pace"] == {"block": 1.0, "change": 2.0, "tail": 3.0}
    assert data["title"] == "New"
    assert data["tail_cm"] == 12.0


def test_a_report_ends_tails_as_the_chart_says(here: Path, capsys: Capture) -> None:
    succeeds(capsys, "chart", "small_boat.png", "--width", "12", "--out", "woven")
    options = ["--tails", "border", "--butterfly", "0.5"]
    succeeds(capsys, "report", "woven/chart.json", *options, "--out", "mine")
    data = json.loads(made(here / "mine")["chart.json"])
    assert (data["tail_ending"], data["butterfly_m"]) == ("border", 0.5)
    out, _ = succeeds(capsys, "report", "mine/chart.json", "--out", "again")
    assert "in the border" in out
    assert "longer than a hand's butterfly (0.5 m)" in out
    assert made(here / "again") == made(here / "mine")
    hours = [
        json.loads(made(here / folder)["summary.json"])["weave_in_hours"]
        for folder in ("woven", "mine")
    ]
    assert hours[1] < hours[0]


@pytest.mark.every_file
@pytest.mark.usefixtures("unset_pages")
def test_floats_are_drawn_where_asked(here: Path, capsys: Capture) -> None:
    small = ("--width", "8", "--without", "preview")
    succeeds(capsys, "chart", "small_boat.png", *small, *ALIKE, "--out", "plain")
    succeeds(capsys, "report", "plain/chart.json", *small[2:], "--draw", "floats", "--out", "drawn")
    plain, drawn = made(here / "plain"), made(here / "drawn")
    both = plain.keys() & drawn.keys()  # what a picture is of is shown where it is at hand
    assert {name for name in both if plain[name] != drawn[name]} == {"held.svg", "summary.json"}


def test_a_chart_of_a_shelf(here: Path, capsys: Capture) -> None:
    succeeds(capsys, "chart", "badge.png", "--width", "3", "--shelf", "shelf.csv", "--out", "mine")
    with (here / "mine" / "yarn.csv").open(newline="", encoding="utf-8") as file:
        lines = list(csv.DictReader(file))
    assert [line["yarn"] for line in lines] == ["Moss", "Tar"]
    assert sum(int(line["blocks"]) for line in lines) == 6


@pytest.mark.every_file
@pytest.mark.usefixtures("unset_pages")
def test_files_are_utf_8_with_plain_line_ends(here: Path, capsys: Capture) -> None:
    succeeds(capsys, "chart", "badge.png", *BLOCKS, "--title", "Grün", "--out", "mine")
    for name, data in made(here / "mine").items():
        if not name.endswith((".png", ".pdf", ".xlsx")):
            text = data.decode("utf-8")
            assert text.endswith("\n"), name
            assert "\r" not in text, name
    assert json.loads(made(here / "mine")["chart.json"])["title"] == "Grün"


# Interruption


def interrupt(*_: Any, **__: Any) -> None:
    raise KeyboardInterrupt


@pytest.mark.every_file
@pytest.mark.usefixtures("by_program")
@pytest.mark.parametrize(
    "where",
    [
        "pix2block.recipes.from_picture.open_picture",
        "pix2block.design.view.block_means",
        "pix2block.recipes.yarns.yarns_from_picture",
        "pix2block.study.study.amounts_of",
        "pix2block.recipes.making.chart_sheet",
        "pix2block.ground.swap.write_new",
        "pix2block.ground.swap.sync_folder",
    ],
)
def test_ctrl_c_leaves_no_files(
    where: str, here: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = tree(here)
    monkeypatch.setattr(where, interrupt)
    call = ["chart", "small_boat.png", "--width", "6", "--without", "pdf,preview", "--out", "new"]
    assert run(call) == 130
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.strip() == "Interrupted; nothing was written."
    assert tree(here) == before


def after_calls(count: int, real: Callable[..., Any], then: Callable[[], None]) -> Any:
    """The function, doing something else first on its count-th call."""
    calls = 0

    def changed(*words: Any, **more: Any) -> Any:
        nonlocal calls
        calls += 1
        if calls == count:
            then()
        return real(*words, **more)

    return changed


@pytest.mark.usefixtures("by_program")
@pytest.mark.parametrize("count", [1, 2, 5, 9])
def test_ctrl_c_while_files_are_written_leaves_what_was_there(
    count: int, here: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    succeeds(capsys, "chart", "badge.png", *BLOCKS)
    before = tree(here)
    monkeypatch.setattr(
        "pix2block.ground.swap.write_new", after_calls(count, swap.write_new, interrupt)
    )
    assert run(["chart", "badge.png", *BLOCKS, "--title", "Another"]) == 130
    assert tree(here) == before


@pytest.mark.usefixtures("by_program")
def test_a_full_disk_leaves_what_was_there(
    here: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full() -> None:
        raise OSError(28, "No space left on device")

    succeeds(capsys, "chart", "badge.png", *BLOCKS)
    before = tree(here)
    monkeypatch.setattr("pix2block.ground.swap.write_new", after_calls(4, swap.write_new, full))
    assert run(["chart", "badge.png", *BLOCKS, "--title", "Another"]) == 2
    assert "cannot write into output/badge: No space left on device" in capsys.readouterr().err
    assert tree(here) == before


@pytest.fixture
def pressed(
    by_program: None,  # noqa: ARG001
    here: Path,
    capsys: Capture,
    monkeypatch: pytest.MonkeyPatch,
) -> tuple[int, str]:
    """Exit code and standard error of a chart into folder "new", where Ctrl-C is pressed as its
    files begin to move to their places; the same undisturbed into folder "whole"."""
    if os.name != "posix":
        pytest.skip("needs a signal sent to the own process")
    call = ("chart", "badge.png", *BLOCKS, "--out")
    succeeds(capsys, *call, "whole")
    press = lambda: os.kill(os.getpid(), signal.SIGINT)  # noqa: E731
    monkeypatch.setattr("pix2block.ground.swap.begin", after_calls(1, swap.begin, press))
    handler = signal.default_int_handler  # a shell's background jobs begin with it ignored
    before = signal.signal(signal.SIGINT, handler)
    try:
        code = run([*call, "new"])
        assert signal.getsignal(signal.SIGINT) is handler
    finally:
        signal.signal(signal.SIGINT, before)
    assert (here / "new").exists()
    return code, capsys.readouterr().err


def test_ctrl_c_while_files_move_waits_until_all_have(here: Path, pressed: tuple[int, str]) -> None:
    assert pressed[0] == 130
    assert made(here / "new") == made(here / "whole")


def test_ctrl_c_while_files_move_does_not_say_that_nothing_was_written(
    pressed: tuple[int, str],
) -> None:
    assert "nterrupted" in pressed[1]
    assert "nothing was written" not in pressed[1]


def test_saving_is_whole_or_not_at_all(here: Path) -> None:
    with pytest.raises(pix2block.BadInput, match="cannot write into"):
        save_all(here / "text.txt", {"a": b"1"})
    with pytest.raises(TypeError):
        save_all(here / "new", {"a": b"1", "b": "no bytes"})  # type: ignore[dict-item]
    assert not (here / "new").exists()
    assert save_all(here / "new", {"a": b"1", "b": b"2"}) == [here / "new/a", here / "new/b"]
    assert made(here / "new") == {"a": b"1", "b": b"2"}


@pytest.mark.skipif(os.name != "posix", reason="file rights as on posix")
def test_files_have_the_usual_rights(here: Path) -> None:
    (here / "plain").write_text("")
    (path,) = save_all(here / "new", {"a": b"1"})
    assert path.stat().st_mode == (here / "plain").stat().st_mode
    path.chmod(0o600)  # for her eyes alone
    save_all(here / "new", {"a": b"2"})
    assert (path.read_bytes(), path.stat().st_mode & 0o777) == (b"2", 0o600)


def test_a_file_that_was_made_to_be_read_only_is_not_replaced(here: Path) -> None:
    paths = save_all(here / "new", {"a": b"1", "b": b"2"})
    paths[1].chmod(0o444)
    refused = "b cannot be replaced: it is for reading only; nothing was changed"
    with pytest.raises(pix2block.BadInput, match=refused):
        save_all(here / "new", {"a": b"3", "b": b"4"})
    assert made(here / "new") == {"a": b"1", "b": b"2"}
