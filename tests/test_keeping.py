"""What a run does with the files it finds: never over its inputs, nothing stale, nothing lost."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path, PureWindowsPath

import numpy as np
import pytest
from page_tables import EVERY
from PIL import Image

import pix2block
from pix2block.command.cli import run
from pix2block.ground.errors import BadInput
from pix2block.recipes.keeping import folder_name, own_folder

QUICK = ("--without", "pdf,preview,proof")
Capture = pytest.CaptureFixture[str]
pytestmark = pytest.mark.usefixtures("few_files", "unset_pages")


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A current folder with pictures, a shelf, a grid and a plan."""
    monkeypatch.chdir(tmp_path)
    draw("boat.png", 1)
    Path("shelf.csv").write_text("name,color\nMoss,#5c6b3c\nTar,#222222\nSand,#d8c8a0\n")
    Path("grid.csv").write_text("Moss,Tar\nTar,Moss\n")
    Path("plan.toml").write_text(
        'width = 3\nlength = 4\nshelf = "stripes.csv"\n'
        '[[part]]\norder = ["Moss", "Tar"]\nrows = 1\nlasts = "to the end"\n'
    )
    Path("stripes.csv").write_text("name,color\nMoss,#5c6b3c\nTar,#222222\n")
    return tmp_path


def draw(name: str, seed: int) -> None:
    colors = np.array([[200, 30, 40], [20, 60, 90], [240, 230, 200]], dtype=np.uint8)
    blocks = np.random.default_rng(seed).integers(0, 3, (5, 6))
    Image.fromarray(colors[blocks].repeat(4, 0).repeat(4, 1)).save(name)


def seen(folder: str | Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in Path(folder).iterdir() if path.is_file()}


def succeeds(capsys: Capture, *words: str) -> str:
    """What a call says on standard error."""
    code = run([*words, *QUICK])
    printed = capsys.readouterr()
    assert code == 0, printed.err
    return printed.err


# Never over what was read


DRAWN_TOO = pytest.mark.every_file(".png")


@pytest.mark.parametrize(
    ("words", "taken"),
    [
        ("report grid.csv --shelf yarn.csv --out .", "yarn.csv"),
        ("report rows.csv --out .", "rows.csv"),
        pytest.param("chart preview.png --width 4 --out .", "preview.png", marks=DRAWN_TOO),
        ("chart boat.png --width 4 --shelf tails.csv --out .", "tails.csv"),
        ("chart boat.png --width 4 --out . --swatch pattern.txt", "pattern.txt"),
        ("chart boat.png --width 4 --out . --maker shopping.txt", "shopping.txt"),
        ("chart boat.png --width 4 --out . --credit summary.json", "summary.json"),
        pytest.param(
            "chart boat.png --width 4 --out . --credit credit.toml", "chart.png", marks=DRAWN_TOO
        ),
        ("report chart.json --shelf yarn.csv --done 1", "yarn.csv"),
        ("stripe rows.csv --out .", "rows.csv"),
        ("stripe plan.toml --shelf strands.csv --out .", "strands.csv"),
        ("stripe asking_stripes.toml --out .", "stripes.csv"),
        ("stripe rows.csv plans.png --out .", "plans.png"),
        ("trial boat.png trial.csv --width 4 --out .", "trial.csv"),
        ("trial trial.png shelf.csv --width 4 --out .", "trial.png"),
    ],
)
def test_what_is_read_is_never_written_over(
    words: str, taken: str, here: Path, capsys: Capture
) -> None:
    draw("boat.png", 1)
    draw("other.png", 2)
    if "chart.json" in words:
        chart = pix2block.open_chart("grid.csv", pix2block.Options(shelf="shelf.csv"))
        pix2block.save(chart, "made", only=["chart.json"])
    plan = Path("plan.toml").read_text(encoding="utf-8")
    made = {
        "yarn.csv": Path("shelf.csv"),
        "tails.csv": Path("shelf.csv"),
        "trial.csv": Path("shelf.csv"),
        "strands.csv": Path("stripes.csv"),
        "preview.png": Path("boat.png"),
        "trial.png": Path("boat.png"),
        "rows.csv": Path("plan.toml") if words.startswith("stripe") else Path("grid.csv"),
        "plans.png": Path("plan.toml"),
        "chart.json": Path("made/chart.json"),
        "chart.png": Path("other.png"),
    }
    for name in {taken, *words.split()} & set(made):
        Path(name).write_bytes(made[name].read_bytes())
    Path("asking_stripes.toml").write_text(plan, encoding="utf-8")
    Path("credit.toml").write_text('photo = "chart.png"\n', encoding="utf-8")
    Path("summary.json").write_text('designer = "A"\n', encoding="utf-8")
    Path("shopping.txt").write_text('hand = "left"\n', encoding="utf-8")
    Path("pattern.txt").write_text(
        "[[swatch]]\nblocks = [6, 6]\nsize_cm = [17, 17]\n", encoding="utf-8"
    )
    capsys.readouterr()
    before = seen(here)
    assert run(words.split()) == 2
    err = capsys.readouterr().err
    assert f"{taken} is read, and {taken} would be written over it" in err
    assert "--out" in err
    assert seen(here) == before


def test_a_second_name_of_an_input_is_seen_through(here: Path, capsys: Capture) -> None:
    (here / "out").mkdir()
    (here / "out" / "yarn.csv").hardlink_to(here / "shelf.csv")
    assert run(["report", "grid.csv", "--shelf", "shelf.csv", "--out", "out"]) == 2
    assert "shelf.csv is read, and yarn.csv would be" in capsys.readouterr().err
    assert [*seen("out")] == ["yarn.csv"]


def test_python_refuses_it_too(here: Path) -> None:
    (here / "shelf.csv").rename("yarn.csv")
    study = pix2block.chart_picture("boat.png", pix2block.Options(width=4, shelf="yarn.csv"))
    with pytest.raises(BadInput, match=r"yarn\.csv is read"):
        pix2block.save(study, ".", only=["yarn.csv"])
    assert pix2block.save(study, ".", only=["rows.csv"]).paths == [Path("rows.csv")]


def test_a_report_writes_its_own_chart_anew(capsys: Capture) -> None:
    succeeds(capsys, "chart", "boat.png", "--width", "4")
    assert succeeds(capsys, "report", "output/boat/chart.json", "--hand", "left") == ""
    assert json.loads(Path("output/boat/chart.json").read_bytes())["hand"] == "left"


def test_a_grid_gets_a_folder_of_its_own(here: Path, capsys: Capture) -> None:
    before = seen(here)
    succeeds(capsys, "report", "grid.csv")
    assert seen(here) == before
    assert "chart.json" in seen("output/grid")


@pytest.mark.parametrize("name", ["...png", "....png", " . .png", "..  ..png"])
def test_no_name_leads_outside_the_folder(name: str, here: Path, capsys: Capture) -> None:
    draw("x.png", 3)
    Path("x.png").rename(name)
    succeeds(capsys, "chart", name, "--width", "3")
    assert [path.name for path in Path("output").iterdir()] == ["piece"]
    assert not (here / "chart.json").exists()
    assert own_folder(Path("a.b.png")) == Path("output/a.b")


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("con", "con_"),
        ("AUX.photo", "AUX_.photo"),
        ("lpt1", "lpt1_"),
        ("console", "console"),
        ('cat: 3/4 "new"?', "cat_ 3_4 _new__"),
        ("a\nb. .", "a_b"),
        ("...", "piece"),
    ],
)
def test_a_folder_has_a_name_that_windows_takes(words: str, name: str) -> None:
    assert folder_name(words) == name
    assert not PureWindowsPath(name).is_reserved()
    assert PureWindowsPath("output", name).name == name


def test_every_file_has_a_name_that_windows_takes() -> None:
    for row in EVERY:
        assert folder_name(row.name) == row.name


# Nothing stale


@pytest.mark.every_file
def test_summary_lists_every_file_but_itself(capsys: Capture) -> None:
    assert run(["chart", "boat.png", "--width", "4", "--json"]) == 0
    printed = capsys.readouterr().out
    files = seen("output/boat")
    assert printed.encode() == files["summary.json"]
    listed = json.loads(files.pop("summary.json"))["files"]
    assert listed == {n: hashlib.sha256(data).hexdigest() for n, data in files.items()}


@pytest.mark.every_file(".pdf", ".html", ".png")
def test_what_is_not_made_anew_goes_and_that_is_said(capsys: Capture) -> None:
    draw("other.png", 2)
    call = ["chart", "boat.png", "--width", "4", "--out", "out"]
    assert run([*call, "--editions", "all", "--compare", "ways"]) == 0
    Path("out/mine.txt").write_text("notes")
    Path("out/pattern.left-uk.txt").write_text("mended by hand")
    assert len(seen("out")) > 20
    err = succeeds(capsys, "chart", "other.png", "--width", "3", "--out", "out")
    after = seen("out")
    assert after["mine.txt"] == b"notes"
    assert after["pattern.left-uk.before-1.txt"] == b"mended by hand"
    assert not {"pattern.pdf", "ways.csv", "pattern.left-uk.txt", "preview.png"} & set(after)
    assert "pattern.left-uk.txt was changed since a run wrote it" in err
    assert "kept as pattern.left-uk.before-1.txt" in err
    said = next(line for line in err.splitlines() if "Removed" in line)
    for name in ("pattern.pdf", "ways.csv", "preview.png", "pattern.right-us.html"):
        assert name in said
    assert "pattern.left-uk.txt" not in said


def test_a_file_that_is_read_is_not_removed(capsys: Capture) -> None:
    succeeds(capsys, "report", "grid.csv", "--shelf", "shelf.csv", "--out", "out")
    Path("out/yarns.csv").write_bytes(Path("shelf.csv").read_bytes())
    summary = json.loads(Path("out/summary.json").read_bytes())
    summary["files"]["yarns.csv"] = hashlib.sha256(Path("shelf.csv").read_bytes()).hexdigest()
    Path("out/summary.json").write_text(json.dumps(summary))
    succeeds(capsys, "report", "grid.csv", "--shelf", "out/yarns.csv", "--out", "out")
    assert "yarns.csv" in seen("out")


def test_a_list_of_files_reaches_nothing_outside_its_folder(here: Path, capsys: Capture) -> None:
    succeeds(capsys, "chart", "boat.png", "--width", "4", "--out", "out")
    secret = here / "kept.txt"
    secret.write_text("kept")
    summary = json.loads(Path("out/summary.json").read_bytes())
    sha256 = hashlib.sha256(b"kept").hexdigest()
    summary["files"] |= {"../kept.txt": sha256, str(secret): sha256, "..": sha256, "x": 3}
    Path("out/summary.json").write_text(json.dumps(summary))
    succeeds(capsys, "chart", "boat.png", "--width", "3", "--out", "out")
    assert secret.read_text() == "kept"


def test_some_files_asked_for_remove_no_others() -> None:
    study = pix2block.chart_picture("boat.png", pix2block.Options(width=4))
    pix2block.save(study, "out")
    before = set(seen("out"))
    pix2block.save(study, "out", only=["summary.json", "rows.csv"])
    assert set(seen("out")) == before


# Nothing lost


def test_an_edited_chart_and_pattern_are_kept(capsys: Capture) -> None:
    succeeds(capsys, "chart", "boat.png", "--width", "4")
    chart, pattern = Path("output/boat/chart.json"), Path("output/boat/pattern.txt")
    for number in (1, 2):
        edited = chart.read_bytes().replace(b'"title": "', b'"title": "My ') + b"\n"
        chart.write_bytes(edited)
        pattern.write_text(f"mine {number}")
        err = succeeds(capsys, "report", "output/boat/chart.json", "--hand", "left")
        assert f"chart.json was changed since a run wrote it: kept as chart.before-{number}" in err
        assert Path(f"output/boat/chart.before-{number}.json").read_bytes() == edited
        assert Path(f"output/boat/pattern.before-{number}.txt").read_text() == f"mine {number}"
    assert succeeds(capsys, "report", "output/boat/chart.json") == ""


def test_the_same_again_keeps_nothing(capsys: Capture) -> None:
    for _ in range(2):
        assert "kept as" not in succeeds(capsys, "chart", "boat.png", "--width", "4")
    assert "kept as" not in succeeds(capsys, "chart", "boat.png", "--width", "5")
    assert not [name for name in seen("output/boat") if "before" in name]


@pytest.mark.parametrize("words", [("chart", "boat.jpg", "--width", "4"), ("report", "boat.csv")])
def test_another_picture_of_the_name_does_not_replace_a_chart(
    words: tuple[str, ...], capsys: Capture
) -> None:
    succeeds(capsys, "chart", "boat.png", "--width", "4")
    first = Path("output/boat/chart.json").read_bytes()
    draw("boat.jpg", 2)
    Path("boat.csv").write_text("#112233,#445566\n")
    err = succeeds(capsys, *words)
    assert "is of another picture, boat.png: kept as chart.before-1.json" in err
    assert Path("output/boat/chart.before-1.json").read_bytes() == first


def test_a_chart_beside_another_does_not_replace_it(capsys: Capture) -> None:
    succeeds(capsys, "chart", "boat.png", "--width", "4")
    first = Path("output/boat/chart.json").read_bytes()
    Path("output/boat/wide.json").write_bytes(first.replace(b'"hand": "right"', b'"hand": "left"'))
    err = succeeds(capsys, "report", "output/boat/wide.json", "--corner", "bottom-left")
    assert "chart.json is not the chart that was reported on: kept as" in err
    assert Path("output/boat/chart.before-1.json").read_bytes() == first


@pytest.mark.every_file
@pytest.mark.parametrize("summary", [None, '{"a": 1}', "no JSON"])
def test_files_that_no_run_wrote_are_kept(summary: str | None, here: Path, capsys: Capture) -> None:
    (here / "out").mkdir()
    mine = {"chart.json": "mine", "yarn.csv": "my yarns", "preview.png": "my photo"}
    mine |= {"summary.json": summary} if summary else {}
    for name, text in mine.items():
        Path("out", name).write_text(text)
    assert run(["chart", "boat.png", "--width", "4", "--out", "out"]) == 0
    err = capsys.readouterr().err
    for name, text in mine.items():
        stem, ending = name.split(".")
        assert Path("out", f"{stem}.before-1.{ending}").read_text() == text
        assert f"{name} is not what a run wrote here: kept as {stem}.before-1.{ending}" in err


def test_in_a_folder_of_an_older_run_charts_and_patterns_are_kept(capsys: Capture) -> None:
    succeeds(capsys, "chart", "boat.png", "--width", "4")
    summary = json.loads(Path("output/boat/summary.json").read_bytes())
    del summary["files"]
    Path("output/boat/summary.json").write_text(json.dumps(summary))
    before = seen("output/boat")
    succeeds(capsys, "chart", "boat.png", "--width", "5")
    kept = {n: d for n, d in seen("output/boat").items() if "before" in n}
    assert kept == {
        "chart.before-1.json": before["chart.json"],
        "pattern.before-1.txt": before["pattern.txt"],
    }


def test_python_is_told_what_was_kept() -> None:
    study = pix2block.chart_picture("boat.png", pix2block.Options(width=4))
    assert pix2block.save(study, "out").notes == ()
    Path("out/pattern.txt").write_text("mine")
    (note,) = pix2block.save(study, "out").notes
    assert note.endswith("kept as pattern.before-1.txt")


# What was asked for is remembered


@pytest.mark.every_file(".pdf", ".html")
def test_a_report_makes_editions_that_were_asked_for_again(capsys: Capture) -> None:
    call = ["chart", "boat.png", "--width", "4", "--page", "phone", "--without", "proof,preview"]
    assert run([*call, "--editions", "all"]) == 0
    before = seen("output/boat")
    report = ["report", "output/boat/chart.json", "--without", "proof,preview"]
    assert run([*report, "--title", "Lantern"]) == 0
    after = seen("output/boat")
    assert set(after) == set(before)
    assert "pattern.left-uk.pdf" in after
    for name in after:
        if name.startswith("pattern."):
            assert after[name] != before[name], name
    capsys.readouterr()
    report[-1] = "proof,preview,pdf"
    assert run([*report, "--editions", "own"]) == 0
    assert "Removed, being of an earlier run" in capsys.readouterr().err
    assert not [name for name in seen("output/boat") if name.startswith("pattern.left")]
    assert run(report) == 0
    assert not [name for name in seen("output/boat") if name.startswith("pattern.left")]


def test_a_report_keeps_the_paper() -> None:
    study = pix2block.chart_picture("boat.png", pix2block.Options(width=4, page="phone"))
    pix2block.save(study, "out", only=["chart.json"])
    again = pix2block.open_chart("out/chart.json")
    assert again.own.pdf == study.own.pdf
    a4 = pix2block.open_chart("out/chart.json", pix2block.Options(page="a4"))
    assert a4.own.pdf != study.own.pdf


@pytest.mark.parametrize(
    ("words", "folder"),
    [
        (("chart", "boat.png", "--width", "4", "--fresh"), "boat"),
        (("report", "grid.csv"), "grid"),
        (("stripe", "plan.toml"), "plan"),
    ],
)
def test_what_a_maker_did_is_kept_where_a_chart_is_made_anew(
    words: tuple[str, ...], folder: str, capsys: Capture
) -> None:
    succeeds(capsys, *words)
    chart = Path("output", folder, "chart.json")
    plain = chart.read_bytes()
    succeeds(capsys, "mend", str(chart), "--add", "Zed #00ff00")
    mended = chart.read_bytes()
    assert "chart.json has mends that are not done again: kept" in succeeds(capsys, *words)
    assert (chart.read_bytes(), chart.with_name("chart.before-1.json").read_bytes()) == (
        plain,
        mended,
    )
    succeeds(capsys, "report", str(chart), "--done", "2")
    made = chart.read_bytes()
    assert "chart.json tells rows that are made: kept as" in succeeds(capsys, *words)
    assert chart.with_name("chart.before-2.json").read_bytes() == made
    assert "kept" not in succeeds(capsys, *words)


def test_what_is_no_piece_keeps_what_it_finds(capsys: Capture) -> None:
    succeeds(capsys, "report", "grid.csv")
    Path("zed.csv").write_text("name,color\nZed,#00ff00\nTar,#222222\n")
    Path("output/grid/pattern.html").write_text("a page")
    recolor = ("recolor", "output/grid/chart.json", "shelf.csv", "zed.csv")
    for words, name in (
        (("compare", "grid.csv", "output/grid/chart.json"), "changes.txt"),
        (("trial", "boat.png", "shelf.csv", "--width", "4"), "trial.csv"),
        (recolor, "colorways.csv"),
        (("send", "output/grid", "--zip"), "../grid.zip"),
    ):
        folder = Path("output/grid" if words[0] == "send" else f"out_{words[0]}")
        folder.mkdir(exist_ok=True)
        (folder / name).write_text("mine")
        asked = words if words[0] == "send" else (*words, "--out", str(folder))
        for _ in range(2):
            assert run([*asked]) == 0
        err = capsys.readouterr().err
        stem, ending = Path(name).name.split(".")
        kept = (folder / name).with_name(f"{stem}.before-1.{ending}")
        assert kept.read_text() == "mine"
        assert err.count("is not what a run wrote here: kept as") == 1
    (chart,) = Path("out_recolor").glob("*zed*.json")
    succeeds(capsys, "mend", str(chart), "--add", "Ink #000010")
    mended = Path("out_recolor/chart.json").read_bytes()
    chart.write_bytes(mended)
    assert run([*recolor, "--out", "out_recolor"]) == 0
    assert chart.with_name(f"{chart.stem}.before-1.json").read_bytes() == mended


def test_a_swatch_file_of_a_hand_is_kept(capsys: Capture) -> None:
    mine = "# of the long winter\n[[swatch]]\nblocks = [6, 6]\nsize_cm = [17, 17]\n"
    Path("swatch.toml").write_text(mine)
    for yarn in ("Moss", "Tar"):
        assert run(["swatch", "--yarn", yarn, "--blocks", "6x6", "--measured", "17x17cm"]) == 0
    assert capsys.readouterr().err.count("kept as swatch.before-1.toml") == 1
    assert Path("swatch.before-1.toml").read_text() == mine
    assert not Path("swatch.before-2.toml").exists()


def test_a_mend_taken_back_keeps_no_chart_beside(capsys: Capture) -> None:
    succeeds(capsys, "report", "grid.csv")
    chart = "output/grid/chart.json"
    succeeds(capsys, "mend", chart, "--add", "Zed #00ff00")
    assert "kept" not in succeeds(capsys, "mend", chart, "--undo", "1")
