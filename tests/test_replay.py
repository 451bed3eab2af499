"""A picture charted anew where its chart was mended, and charts that a hand has changed."""

from __future__ import annotations

import json
import shutil
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from makers import chart_of
from PIL import Image

import pix2block
from pix2block.chart.chart import Chart
from pix2block.chart.reading import read_chart, write_chart
from pix2block.command.cli import run
from pix2block.mending.apply import Call, apply_mends
from pix2block.mending.asked import Done
from pix2block.mending.back import Step, done_again, steps_of
from pix2block.recipes import again
from pix2block.recipes.from_picture import chart_picture
from pix2block.recipes.replay import done_on, shields_of
from pix2block.yarn.yarn import Yarn

CHEAP = ["--without", "pdf,preview,proof"]
pytestmark = pytest.mark.usefixtures("few_files")


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    """A little photo: soft colours with a dark spot."""
    y, x = np.mgrid[0:60, 0:72]
    light = np.stack([120 + x, 90 + y, 160 - x / 2], axis=2) + 25 * np.sin(x / 5 + y / 7)[..., None]
    light[25:35, 18:28] = 20
    path = tmp_path / "buoy.png"
    Image.fromarray(np.clip(light, 0, 255).astype(np.uint8)).save(path)
    return path


def chart_in(folder: Path) -> Chart:
    return read_chart((folder / "chart.json").read_bytes(), "chart.json")[0]


def charted(picture: Path, folder: Path, *more: str) -> int:
    size = [] if "--width" in more else ["--width", "12"]
    words = ["chart", str(picture), "--look", "photo", "--colors", "5", "--out", str(folder)]
    return run([*words, *size, *more, *CHEAP])


def test_charted_anew_a_picture_keeps_its_mends(
    picture: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "out"
    assert charted(picture, folder) == 0
    plain = (folder / "chart.json").read_bytes()
    names = [yarn.name for yarn in chart_in(folder).yarns]
    heart = tmp_path / "heart.csv"
    heart.write_text(f"{names[0]},\n{names[1]},#112233\n", encoding="utf-8")
    words = [
        *("--paint", f"row 1={names[1]}", "--rename", f"{names[0]}=Kelp", "--mirror"),
        *("--add", "Ink #000010", "--fill", "column 3, line 3=Ink"),
        *("--insert", f"{heart}@column 2, line 2", "--calm", "5"),
    ]
    assert run(["mend", str(folder / "chart.json"), *words, *CHEAP]) == 0
    more = ["--exchange", "Kelp=Ink in lines 1 to 2", "--paint", "row 2=Kelp"]
    assert run(["mend", str(folder / "chart.json"), *more, *CHEAP]) == 0
    mended = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    heart.unlink()
    capsys.readouterr()
    assert charted(picture, folder) == 0
    out = capsys.readouterr().out
    assert "Done again as chart.json has them: 9 mends; leave them out: --fresh" in out
    now = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    del mended["summary.json"]  # tells what the picture shows, too
    assert {name: now[name] for name in mended} == mended
    assert charted(picture, folder, "--fresh") == 0
    assert (folder / "chart.json").read_bytes() == plain


def test_how_it_is_seen_is_unknown_once_a_hand_was_at_it(picture: Path, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    assert charted(picture, folder) == 0
    seen = json.loads((folder / "summary.json").read_bytes())["seen_near"]
    assert seen is not None
    for words, told in ((["--add", "Ink #000010"], None), (["--undo", "1"], seen)):
        assert run(["mend", str(folder / "chart.json"), *words, *CHEAP]) == 0
        assert json.loads((folder / "summary.json").read_bytes())["seen_near"] == told


def test_what_is_gone_is_named(
    picture: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "out"
    alike = ("--aim", "area", "--subject", "none")  # so that another width has the same yarns
    assert charted(picture, folder, *alike) == 0
    names = [yarn.name for yarn in chart_in(folder).yarns]
    words = ["--paint", f"row 20={names[0]}", "--paint", f"row 2={names[0]}"]
    assert run(["mend", str(folder / "chart.json"), *words, *CHEAP]) == 0
    capsys.readouterr()
    assert charted(picture, folder, "--width", "9", *alike) == 0
    out, err = capsys.readouterr()
    assert "Done again as chart.json has them: 1 mend;" in out
    assert f'Not done again: --paint "row 20={names[0]}": row 20: the piece has 16 rows' in err
    assert [line.value for line in chart_in(folder).mends] == [f"row 2={names[0]}"]


def test_shields_come_before_calming(picture: Path, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    assert charted(picture, folder, "--calm", "0") == 0
    plain = chart_in(folder)
    assert charted(picture, folder, "--calm", "12") == 0
    calmed = chart_in(folder).blocks != plain.blocks
    line, column = np.argwhere(calmed)[0] + 1
    at = f"column {13 - column}, line {line}"
    words = ["--mirror", "--shield", at, "--mirror"]
    assert run(["mend", str(folder / "chart.json"), *words, *CHEAP]) == 0
    assert charted(picture, folder, "--calm", "12") == 0
    after = chart_in(folder)
    assert after.shielded == ((line - 1, column - 1),)
    there = (line - 1, column - 1)  # by colour: yarns are numbered by their blocks
    assert (
        after.yarn_rgb[after.blocks][there].tolist() == plain.yarn_rgb[plain.blocks][there].tolist()
    )
    assert len(after.mends) == 3


def test_shields_lie_where_their_blocks_were(monkeypatch: pytest.MonkeyPatch) -> None:
    """Before any mend; what came in with one has no place there, and nothing is calmed for them."""
    again: list[str] = []

    def noted(call: Call, step: Step, more: Sequence[Yarn]) -> Done:
        again.append(step.line.mend)
        return done_again(call, step, more)

    monkeypatch.setattr("pix2block.recipes.replay.done_again", noted)
    plain = chart_of("012 120")
    asked = [
        *(("paint", "column 1, line 1=Chalk"), ("shield", "column 3, line 1"), ("mirror", "")),
        *(("extend", "left 1 Moss"), ("shield", "columns 1 to 2, line 2"), ("drop", "Tar")),
    ]
    steps = steps_of(apply_mends(plain, asked).after)
    assert shields_of(plain, steps) == ((0, 2), (1, 2))
    assert again == [name for name, _ in asked[:5]]
    calmed = replace(steps[0], line=replace(steps[0].line, mend="calm"))
    assert shields_of(plain, [calmed, steps[1]]) == ((0, 2),)
    assert again[5:] == ["shield"]
    assert shields_of(plain, steps[:1]) == ()


def test_groups_stay_groups_on_another_chart() -> None:
    plain = chart_of("012 120")
    mended = apply_mends(apply_mends(plain, [("paint", "row 1=Tar")]).after, [("drop", "Moss")])
    narrow, left_out = done_on(chart_of("01 10"), steps_of(mended.after))
    assert [line.group for line in narrow.mends] == [1, 2]
    assert left_out == ()


def test_another_picture_keeps_no_mends(picture: Path, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    assert charted(picture, folder) == 0
    name = chart_in(folder).yarns[0].name
    assert run(["mend", str(folder / "chart.json"), "--paint", f"row 1={name}", *CHEAP]) == 0
    Image.open(picture).transpose(Image.Transpose.FLIP_LEFT_RIGHT).save(picture)
    assert charted(picture, folder) == 0
    assert chart_in(folder).mends == ()
    assert (folder / "chart.before-1.json").exists()


# A hand's edit of chart.json


def edit(folder: Path, **changed: object) -> None:
    kept = json.loads((folder / "chart.json").read_bytes())
    (folder / "chart.json").write_text(json.dumps({**kept, **changed}), encoding="utf-8")


def test_a_hand_edit_is_entered_first(picture: Path, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    assert charted(picture, folder) == 0
    before = (folder / "chart.json").read_bytes()
    plain = chart_in(folder)
    blocks = plain.blocks.tolist()
    blocks[0][:3] = [3, 3, 3]
    edit(folder, blocks=blocks)
    name = plain.yarns[0].name
    assert run(["mend", str(folder / "chart.json"), "--paint", f"row 1={name}", *CHEAP]) == 0
    after = chart_in(folder)
    assert [(line.mend, line.value) for line in after.mends] == [
        ("edited", "chart.json"),
        ("paint", f"row 1={name}"),
    ]
    assert after.blocks.tolist()[0] == blocks[0]
    assert charted(picture, folder) == 0
    assert write_chart(chart_in(folder)) == write_chart(after)
    assert run(["mend", str(folder / "chart.json"), "--undo", "2", *CHEAP]) == 0
    assert (folder / "chart.json").read_bytes() == before


def test_a_report_enters_it_too_and_yarns_follow(picture: Path, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    assert charted(picture, folder) == 0
    before = (folder / "chart.json").read_bytes()
    yarns = json.loads(before)["yarns"]
    yarns[1] |= {"name": "Kelp", "color": "#204020"}
    edit(folder, yarns=yarns, marks=None)
    assert run(["report", str(folder / "chart.json"), *CHEAP]) == 0
    after = chart_in(folder)
    assert [line.mend for line in after.mends] == ["edited"]
    assert (after.yarns[1].name, after.yarns[1].color) == ("Kelp", "#204020")
    assert charted(picture, folder) == 0
    assert chart_in(folder).yarns[1].name == "Kelp"
    back = pix2block.undo(chart_in(folder), 1)
    assert [y.name for y in back.yarns] == [y["name"] for y in json.loads(before)["yarns"]]


def test_what_is_only_spelt_otherwise_is_no_edit(picture: Path, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    assert charted(picture, folder) == 0
    edit(folder, title="Buoy at dusk")
    assert run(["report", str(folder / "chart.json"), *CHEAP]) == 0
    assert chart_in(folder).mends == ()


def test_a_folder_is_looked_at_when_its_files_stand_in_their_places(
    picture: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder without a chart, one whose mended chart a power cut left aside, and one whose
    journal does not hold."""
    options = pix2block.Options(width=8, colors=3, look="photo")
    folder, aside = tmp_path / "out", tmp_path / "aside.json"
    plain = again.chart_again(picture, folder, options)
    assert np.array_equal(plain.chart.blocks, chart_picture(picture, options).chart.blocks)
    mended = apply_mends(plain.kept, [("paint", f"row 1={plain.chart.yarns[1].name}")]).after
    aside.write_bytes(write_chart(mended))
    folder.mkdir()
    monkeypatch.setattr(again, "finish_swap", lambda at: shutil.copy(aside, at / "chart.json"))
    assert len(again.chart_again(picture, folder, options).chart.mends) == 1
    lines = json.loads(aside.read_text(encoding="utf-8"))
    lines["mends"][0]["before"]["blocks"][0][0] = 7_000
    aside.write_text(json.dumps(lines), encoding="utf-8")
    assert not again.chart_again(picture, folder, options).chart.mends
