"""Other charts and grids placed on a chart, and blocks that calming leaves or goes over anew."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from makers import YARNS, chart_of, random_blocks

import pix2block
from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.made import made_up_to
from pix2block.chart.mend import Mend
from pix2block.chart.reading import read_chart, write_chart
from pix2block.chart.source import Source
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import to_lab
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import HABITS
from pix2block.mending.apply import apply_mends
from pix2block.mending.asked import Done
from pix2block.mending.back import steps_of, undo
from pix2block.mending.calming_verbs import AROUND
from pix2block.mending.journal import with_name
from pix2block.mending.made import with_made, with_made_rows
from pix2block.options.table import Options
from pix2block.pattern.text import pattern_text
from pix2block.recipes.grids import open_blocks
from pix2block.recipes.replay import shields_of
from pix2block.recipes.rest import with_rest_calmed
from pix2block.yarn.yarn import Yarn

PIECE = chart_of("0011\n0211\n3300")


def test_a_grid_lies_on_the_chart(tmp_path: Path) -> None:
    heart = tmp_path / "heart.csv"
    heart.write_text("Tar,\n#80a0ff,red\n", encoding="utf-8")
    after = pix2block.mend(PIECE, [("insert", f"{heart}@column 2, line 1")])
    assert after.blocks.tolist() == [[0, 3, 1, 1], [0, 4, 5, 1], [3, 3, 0, 0]]
    assert [yarn.color for yarn in after.yarns[4:]] == ["#80a0ff", "#c0282d"]
    assert after.mends[0].words.startswith(f"{heart}, 2 x 2 blocks, at column 2, line 1; ")
    assert after.mends[0].placed == ((0, 1), (1, 1), (1, 2))
    assert write_chart(undo(after, 1).after) == write_chart(PIECE)


def test_a_charts_yarns_go_by_name_and_its_own_colours_win(tmp_path: Path) -> None:
    other = Chart("Star", np.array([[0, 1]]), (Yarn("Moss", "#00ff00"), Yarn("Sky", "#80a0ff")), 2)
    path = tmp_path / "star.json"
    path.write_bytes(write_chart(other))
    after = pix2block.mend(PIECE, [("insert", f"{path}@column 3, line 3")])
    assert after.blocks.tolist()[2] == [3, 3, 0, 4]
    assert after.yarns[0].color == YARNS[0].color
    assert "Moss keeps the chart's #5c6b3c, not #00ff00" in after.mends[0].words
    assert "Sky, #80a0ff, comes in" in after.mends[0].words


def test_a_pattern_lies_on_the_chart(tmp_path: Path) -> None:
    """Its rows, by the names of the chart's yarns; it fits to the last column and line."""
    path = tmp_path / "pattern.txt"
    path.write_text(pattern_text(amounts_of(chart_of("31 13"))), encoding="utf-8")
    after = pix2block.mend(PIECE, [("insert", f"{path}@column 3, line 2")])
    assert after.blocks.tolist() == [[0, 0, 1, 1], [0, 2, 3, 1], [3, 3, 1, 3]]
    assert len(after.yarns) == len(PIECE.yarns)


def test_a_yarn_without_a_colour_comes_last_with_a_stand_in(tmp_path: Path) -> None:
    path = tmp_path / "leaf.csv"
    path.write_text("Wexel,Tar\n", encoding="utf-8")
    after = pix2block.mend(PIECE, [("insert", f"{path}@column 1, line 1")])
    assert after.blocks.tolist()[0] == [4, 3, 1, 1]
    assert after.yarns[4].name == "Wexel"
    assert "no colour is told for some yarns" in after.mends[0].words


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ("heart.csv", 'write it as "FILE@PLACE"'),
        ("gone.csv@column 1, line 1", "no such file"),
        ("heart.csv@column 4, line 3", "reach to column 5, line 4: the chart has 4 x 3"),
        ("heart.csv@column 4, line 1", "reach to column 5, line 2: the chart has 4 x 3"),
        ("heart.csv@column 1, line 3", "reach to column 2, line 4: the chart has 4 x 3"),
        ("heart.csv@line 1", "line 1 is more than one block: name the top left one"),
        ("heart.csv@the middle", 'no place "the middle"'),
        ("odd.csv@column 1, line 1", 'line 2, column 1: unknown yarn "Mos": did you mean "Moss"?'),
    ],
)
def test_what_cannot_be_placed_is_told(
    value: str, told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("heart.csv").write_text("Tar,\nTar,Tar\n", encoding="utf-8")
    Path("odd.csv").write_text("Tar,\nMos,Tar\n", encoding="utf-8")
    with pytest.raises(BadInput) as error:
        pix2block.mend(PIECE, [("insert", value)])
    assert told in str(error.value)
    assert len(error.value.lines()) == 1


def test_every_fault_of_a_call_is_told_at_once() -> None:
    asked = [("paint", "row 90=Tar"), ("calm", "5"), ("drop", "Rust"), ("calm", "lots")]
    with pytest.raises(BadInput) as error:
        pix2block.mend(PIECE, asked)
    lines = error.value.lines()
    assert [line.partition(" ")[0] for line in lines] == ["paint", "calm", "drop", "calm"]
    assert "comes last in a call" in lines[1]
    assert "from 0 to" in lines[3]


# Calming


def noisy(seed: int = 3) -> Chart:
    """A chart of a picture whose blocks are their yarns' colours, some a little off."""
    rng = np.random.default_rng(seed)
    yarns = (Yarn("Sand", "#b0a080"), Yarn("Clay", "#b89878"), Yarn("Stone", "#a8a488"))
    blocks = random_blocks(rng, 16, 14, 3)
    colors = np.array([yarn.rgb for yarn in yarns])[blocks].astype(int)
    means = np.clip(colors + rng.integers(-12, 13, colors.shape), 0, 255).astype(np.uint8)
    return Chart("Noise", blocks, yarns, 29, source=Source("noise.png", "0" * 64, means))


def test_what_a_call_touched_is_calmed_and_nothing_else() -> None:
    chart = noisy()
    asked = [("shield", "columns 5 to 6, lines 5 to 6"), ("paint", "column 7, line 6=Clay")]
    asked[1] = ("swap", "Sand=Clay in columns 6 to 8, lines 5 to 7")
    without, after = (apply_mends(chart, [*asked, *more]).after for more in ([], [("calm", "20")]))
    tails = [pix2block.amounts_of(one).plan.tails for one in (without, after)]
    assert tails[1] < tails[0]
    changed = np.argwhere(without.blocks != after.blocks)
    assert len(changed)
    touched = np.argwhere(chart.blocks != without.blocks)
    reach = np.abs(changed[:, None] - touched[None]).max(axis=2).min(axis=1)
    assert reach.max() <= AROUND
    assert not ((changed >= 4) & (changed <= 5)).all(axis=1).any()  # shielded
    assert [line.mend for line in after.mends] == ["shield", "swap", "calm"]
    assert write_chart(undo(after, 1).after) == write_chart(without)
    again = apply_mends(undo(after, 3).after, [*asked, ("calm", "20")]).after
    assert write_chart(again) == write_chart(after)


def test_error_grows_no_more_than_is_allowed() -> None:
    chart = noisy(5)
    asked = [("swap", "Sand=Clay in columns 6 to 8, lines 5 to 7")]
    without, after = (apply_mends(chart, [*asked, *more]).after for more in ([], [("calm", "10")]))
    touched = chart.blocks != without.blocks
    assert without.source
    wanted = np.where(touched[..., None], without.yarn_rgb[without.blocks], without.source.means)
    near = np.zeros_like(touched)
    for line, column in np.argwhere(touched):
        near[max(line - 3, 0) : line + 4, max(column - 3, 0) : column + 4] = True
    before, now = (
        ciede2000(to_lab(wanted), to_lab(one.yarn_rgb[one.blocks]))[near].mean()
        for one in (without, after)
    )
    assert now <= 1.1 * before + 1e-9
    assert (without.blocks != after.blocks).any()


def test_outlines_and_letters_stay() -> None:
    chart = noisy()
    assert chart.source
    dark = replace(chart, yarns=(Yarn("Sand", "#f0e8d8"), Yarn("Clay", "#201810"), chart.yarns[2]))
    means = dark.yarn_rgb[dark.blocks]
    dark = replace(dark, source=replace(chart.source, means=means))
    asked = [("paint", "column 8, line 8=Clay"), ("calm", "50")]
    assert apply_mends(dark, asked).after.mends[1].cost["blocks"] == 0
    asked = [("text", "I at column 7, line 5 height 5 in Stone"), ("calm", "50")]
    written, calmed = (apply_mends(chart, asked[:n]).after for n in (1, 2))
    letter = apply_mends(replace(chart, blocks=0 * chart.blocks), asked[:1]).after.blocks == 2
    assert letter.sum() == 9
    assert (written.blocks != calmed.blocks).any()
    assert (calmed.blocks[letter] == 2).all()


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ([("calm", "3")], "no picture is behind the chart"),
        ([("calm", "3"), ("drop", "Tar")], "calm comes last in a call"),
    ],
)
def test_calming_that_cannot_be_is_told(asked: list[tuple[str, str]], told: str) -> None:
    with pytest.raises(BadInput, match=told):
        pix2block.mend(PIECE, asked)


def test_a_call_that_touched_nothing_is_told() -> None:
    with pytest.raises(BadInput, match="touched no block"):
        pix2block.mend(noisy(), [("add", "Rust #a04020"), ("calm", "3")])


def test_shields_move_with_the_piece() -> None:
    shielded = pix2block.mend(PIECE, [("shield", "column 1, line 1")])
    assert shielded.shielded == ((0, 0),)
    for mends, where in (
        ([("mirror", "")], ((0, 3),)),
        ([("rotate", "left")], ((3, 0),)),
        ([("frame", "2 Moss")], ((2, 2),)),
        ([("cut", "1,0,2,2")], ()),
        ([("repeat", "2x1")], ((0, 0), (0, 4))),
    ):
        after = pix2block.mend(shielded, mends)
        assert after.shielded == where
        again, _ = read_chart(write_chart(after), "again")
        assert again.shielded == where
        assert write_chart(undo(after, 1).after) == write_chart(shielded)


def test_a_file_that_is_placed_can_be_opened(tmp_path: Path) -> None:
    (tmp_path / "piece.json").write_bytes(write_chart(PIECE))
    placed = open_blocks(str(tmp_path / "piece.json"))
    assert isinstance(placed, Chart)
    assert (placed.blocks == PIECE.blocks).all()


def test_what_a_mend_touched() -> None:
    """Blocks of another yarn, though it has the same colour; of another colour; and new ones."""
    twins = (YARNS[0], replace(YARNS[0], name="Twin"), YARNS[1])
    before = replace(chart_of("010 002 020"), yarns=twins)
    none, first = np.zeros((3, 3), dtype=bool), np.zeros((3, 3), dtype=bool)
    first[2, 2] = True
    other = replace(before, blocks=np.where(before.blocks == 1, 0, before.blocks))
    assert Done(other, "", 0).touched(before, none).tolist() == [[0, 1, 0], [0, 0, 0], [0, 0, 0]]
    assert Done(other, "", 0).touched(before, first).tolist() == [[0, 1, 0], [0, 0, 0], [0, 0, 1]]
    fewer = replace(before, blocks=np.where(before.blocks == 2, 1, 0), yarns=(twins[0], twins[2]))
    assert Done(fewer, "", 0).touched(before, none).tolist() == [[0, 0, 0]] * 3
    dyed = replace(before, yarns=(*twins[:2], replace(YARNS[1], color="#123456")))
    assert Done(dyed, "", 0).touched(before, none).tolist() == [[0, 0, 0], [0, 0, 1], [0, 1, 0]]
    wide = apply_mends(before, [("extend", "left 1 Chalk")]).after
    grown = Done(
        wide,
        "",
        0,
        move=lambda array: np.pad(array, [(0, 0), (1, 0)] + [(0, 0)] * (array.ndim - 2)),
    )
    assert grown.touched(before, first).tolist() == [[1, 0, 0, 0], [1, 0, 0, 0], [1, 0, 0, 1]]
    early = chart_of("..0 .00 000", last_row=3)
    assert Done(early, "", 0, new=np.ones((3, 3), dtype=bool)).touched(early, none).tolist() == [
        *([0, 0, 1], [0, 1, 1], [1, 1, 1])
    ]


@pytest.mark.parametrize(
    ("mends", "shielded"),
    [
        ([("shield", "row 2")], ((1, 3), (2, 2))),
        ([("mirror", ""), ("shield", "column 1, line 1")], ((0, 3),)),
        ([("shield", "column 1, line 1"), ("paint", "row 1=Tar")], ((0, 0),)),
        ([("extend", "left 1 Chalk"), ("shield", "column 1, line 1")], ()),
        ([("extend", "left 1 Chalk"), ("shield", "column 2, line 1")], ((0, 0),)),
        ([("cut", "1,1,3,2"), ("shield", "column 1, line 1")], ((1, 1),)),
        ([("shield", "row 1"), ("shield", "column 1, line 2")], ((1, 0), (2, 3))),
        ([("paint", "row 1=Tar")], ()),
    ],
)
def test_shields_are_found_before_any_mend(
    mends: list[tuple[str, str]], shielded: tuple[tuple[int, int], ...]
) -> None:
    """Row 1 is the bottom right block of four columns and three lines."""
    assert shields_of(PIECE, steps_of(pix2block.mend(PIECE, mends))) == shielded


@pytest.mark.parametrize(
    ("asked", "value", "over"),
    [
        ({"calm": "20"}, "20", False),
        ({"calm": "20", "most_hanging": "1"}, "20, 1 hanging", True),
        ({"calm": "20", "most_hanging": "6"}, "20, 6 hanging", False),
        ({"most_hanging": "4"}, "3, 4 hanging", True),
        ({"calm": "0"}, "", False),
        ({}, "", False),
    ],
)
def test_the_rest_is_calmed_as_it_is_asked(asked: dict[str, str], value: str, over: bool) -> None:
    chart = made_up_to(replace(noisy(), habit=HABITS["carry"]), 8)
    after, told = with_rest_calmed(chart, Options.from_words(asked))
    assert [(line.mend, line.value, line.group) for line in after.mends] == (
        [("rest", value, 1)] if value else []
    )
    assert after is chart or value
    most = after.plan.attached_by_row[8:].max()
    wanted = f"{most} yarns still hang in a row after those that are made, over the "
    assert [str(line).startswith(wanted) for line in told] == [True] * over
    assert over == (most > int(asked.get("most_hanging", "99")))


def test_the_rest_of_what_is_not_begun_is_not_calmed() -> None:
    for asked in ({"calm": "3"}, {"most_hanging": "3"}):
        name = next(iter(asked))
        with pytest.raises(BadInput, match=f"{name} is for a picture when it is charted"):
            with_rest_calmed(noisy(), Options.from_words(asked))
    with pytest.raises(BadInput, match=r"^calm: "):
        with_rest_calmed(made_up_to(PIECE, 2), Options.from_words({"calm": "3"}))


@pytest.mark.parametrize(
    ("mend", "value", "then"),
    [
        ("text", "HI at line 1 height 5 in Moss", "HI at line 1 height 5 in Fern"),
        ("text", "Moss at line 1 height 5 in Tar", "Moss at line 1 height 5 in Tar"),
        ("insert", "Moss@column 1, line 1", "Moss@column 1, line 1"),
        ("grid", "Moss", "Moss"),
        ("edited", "Moss", "Moss"),
        ("frame", "2 Moss", "2 Fern"),
        ("extend", "left 1 moss", "left 1 Fern"),
        ("add", "Moss #123456", "Fern #123456"),
        ("exchange", "Chalk=Moss in rows 1 to 2", "Chalk=Fern in rows 1 to 2"),
        ("exchange", "moss=Chalk", "Fern=Chalk"),
        ("paint", "row 1=Mossy", "row 1=Mossy"),
    ],
)
def test_a_new_name_stands_wherever_the_yarn_was_named(mend: str, value: str, then: str) -> None:
    line = Mend(mend, value, 1, "the Moss, not Mossy", {}, {}, ())
    (renamed,) = with_name((line,), "Moss", "Fern")
    assert (renamed.value, renamed.words) == (then, "the Fern, not Mossy")


def test_rows_that_are_made_bring_their_yarns() -> None:
    """Those that have blocks; a piece that is worked otherwise has none of these rows."""
    before = made_up_to(chart_of("01 10"), 2)
    after = with_made_rows(before, replace(chart_of("00 00"), yarns=(YARNS[0], YARNS[3])))
    assert [yarn.name for yarn in after.yarns] == ["Moss", "Tar", "Chalk"]
    assert after.blocks.tolist() == [[0, 2], [2, 0]]
    other = chart_of("01 10", start_corner="top-left")
    for brought in (with_made, with_made_rows):
        with pytest.raises(BadInput, match="are made, and the piece keeps its start corner"):
            brought(before, other)
        assert brought(other, before) is before
