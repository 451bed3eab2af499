"""What is said, kept and refused when a chart or a grid is opened."""

from __future__ import annotations

from pathlib import Path

import pytest
from makers import chart_of

from pix2block.chart.made import made_up_to
from pix2block.chart.reading import write_chart
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import HABITS
from pix2block.options.table import Options
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.mended import open_to_mend
from pix2block.recipes.outputs import save
from pix2block.study.study import Study

GRID = "Moss,Chalk,Moss\nChalk,Moss,Chalk\nMoss,Chalk,Moss\n"


def opened(folder: Path, made: int = 0, **words: str) -> Study:
    """A piece of five rows, so many of them made, opened with options."""
    chart = chart_of("010 101 010", habit=HABITS["cut"], turn="late")
    path = folder / "chart.json"
    path.write_bytes(write_chart(made_up_to(chart, made) if made else chart))
    return open_chart(path, Options.from_words(words))


def said(study: Study, words: str) -> list[str]:
    return [str(note) for note in study.notes if words in str(note)]


@pytest.mark.parametrize(
    ("made", "done", "told"),
    [
        (4, "2", ["rows 3 to 4 are ripped back, and planned anew"]),
        (4, "3", ["row 4 is ripped back, and planned anew"]),
        (4, "4", []),
        (4, "5", []),
        (0, "1", []),
    ],
)
def test_rows_that_are_ripped_back_are_told(
    made: int, done: str, told: list[str], tmp_path: Path
) -> None:
    study = opened(tmp_path, made, done=done)
    assert said(study, "ripped back") == told
    assert study.chart.done is not None
    assert study.chart.done.row == int(done)


def test_only_rows_that_are_made_are_ripped_back(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="rip_back 4: rows 1 to 3 are made"):
        opened(tmp_path, 3, rip_back="4")
    with pytest.raises(BadInput, match="rip_back 1: no row is made yet"):
        opened(tmp_path, rip_back="1")
    assert opened(tmp_path, 3, rip_back="3").options.rip_back == 3


@pytest.mark.parametrize(
    ("made", "words", "told"),
    [
        (1, {"habit": "carry"}, "row 1 is made and stay: the new habit holds from row 2 on"),
        (2, {"turn": "early"}, "rows 1 to 2 are made and stay: the new turn holds from row 3 on"),
        (2, {"turn": "early", "habit": "carry"}, "the new habit and turn hold from row 3 on"),
        (2, {"turn": "late", "habit": "cut"}, ""),
    ],
)
def test_what_holds_from_the_next_row_on_is_told(
    made: int, words: dict[str, str], told: str, tmp_path: Path
) -> None:
    found = said(opened(tmp_path, made, **words), "made and stay")
    assert len(found) == bool(told)
    assert not told or told in found[0]


def test_a_grid_of_which_rows_are_made(tmp_path: Path) -> None:
    path = tmp_path / "grid.csv"
    path.write_text(GRID)
    shelf = tmp_path / "shelf.csv"
    shelf.write_text("name,color\nMoss,#5c6b3c\nChalk,#f1ede2\nTar,#222222\n")
    asked = Options.from_words({"done": "2", "shelf": str(shelf)})
    study = open_chart(path, asked)
    assert study.chart.done is not None
    assert (study.chart.done.row, study.chart.done.run) == (2, None)
    assert [yarn.name for yarn in study.spare or ()] == ["Tar"]
    assert study.under_way is not None
    assert study.under_way.done.row == 2
    plain = open_chart(path, Options.from_words({"shelf": str(shelf)}))
    assert plain.chart.done is None
    assert plain.under_way is None
    with pytest.raises(BadInput, match="left tells what is left at some row"):
        open_chart(path, Options.from_words({"shelf": str(shelf), "left": "Moss 3 m"}))


def test_what_a_kept_chart_refuses(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf.csv"
    shelf.write_text("name,color\nMoss,#5c6b3c\n")
    with pytest.raises(BadInput, match="shelf goes with a picture or a CSV grid"):
        opened(tmp_path, shelf=str(shelf))
    assert opened(tmp_path, shelf=str(shelf), border="1 sc Moss").chart.border is not None
    for words in ({"corner": "top-left"}, {"hand": "left"}, {"block": "hdc"}):
        with pytest.raises(BadInput, match=f"{next(iter(words))}: row 2 is done, and rows that"):
            opened(tmp_path, 2, **words)
    opened(tmp_path, 2, corner="bottom-right", hand="right", block="dc")


def test_a_shelf_goes_with_mends(tmp_path: Path) -> None:
    """Its yarns are for mends alone, and for the rest of a piece that is begun."""
    path, shelf = tmp_path / "chart.json", tmp_path / "shelf.csv"
    shelf.write_text("name,color\nRust,#a04020\n")
    chart = chart_of("010 101 010")
    path.write_bytes(write_chart(chart))
    study, yarns = open_to_mend(path, Options(shelf=str(shelf)))
    assert [yarn.name for yarn in yarns] == ["Rust"]
    assert study.options.shelf == str(shelf)
    assert shelf in study.read
    assert study.spare is None
    assert study.under_way is None
    study, _ = open_to_mend(path, Options.from_words({"shelf": str(shelf), "done": "2"}))
    assert study.under_way is not None
    assert [yarn.name for yarn in study.under_way.shelf] == ["Rust"]
    study, _ = open_to_mend(path, Options.from_words({"shelf": str(shelf), "border": "1 sc Rust"}))
    assert study.chart.border is not None
    assert open_to_mend(path)[1] == ()


def test_only_the_folders_own_chart_is_noted_as_edited(tmp_path: Path) -> None:
    only = ["chart.json", "chart.csv", "yarn.csv", "summary.json"]
    save(Study(chart_of("010 101 010")), tmp_path, only=only)
    path, other = tmp_path / "chart.json", tmp_path / "other.json"
    assert open_to_mend(path)[0].chart.mends == ()
    edited = path.read_text().replace("[0,1,0]", "[0,0,0]", 1)
    for place in (path, other):
        place.write_text(edited)
    (line,) = open_to_mend(path)[0].chart.mends
    assert (line.mend, line.cost["blocks"]) == ("edited", 1)
    assert open_to_mend(other)[0].chart.mends == ()
    assert open_chart(path).chart.mends == ()
