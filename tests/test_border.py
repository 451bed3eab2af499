"""Borders: stitches by side on straight and stepped edges, yarn, size, words."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import YARNS, chart_of, charts
from small import SAMPLES, small_sample

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Border, Chart
from pix2block.craft.border import SIDES, border_rounds, outline_of
from pix2block.ground.errors import BadInput
from pix2block.ground.units import say_size
from pix2block.options.table import Options
from pix2block.options.yarn_rules import BorderAsked
from pix2block.pattern.text import pattern_text
from pix2block.pattern.yarn_words import border_sentences
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.from_picture import chart_picture
from pix2block.recipes.outputs import files_of, save
from pix2block.recipes.supplies import open_shelf
from pix2block.reports.tables import strands_csv, yarn_csv
from pix2block.reports.words import size_advice, study_lines
from pix2block.yarn.swatch import Swatch

BADGE = small_sample("club_badge.png")
PLAIN = "000 000"


def test_a_rectangle() -> None:
    """3 a block edge, 3 in each corner; 8 more each round."""
    outline = outline_of(np.ones((2, 5), dtype=bool))
    assert outline.blocks == {"top": 5, "right": 2, "bottom": 5, "left": 2}
    assert (outline.corners, outline.inner_corners) == (4, 0)
    first, second = border_rounds(outline, 2)
    assert first.by_side == {"top": 15, "right": 6, "bottom": 15, "left": 6}
    assert first.in_corners == 12
    assert first.stitches == 3 * 14 + 12
    assert second.by_side == {"top": 17, "right": 8, "bottom": 17, "left": 8}
    assert second.stitches == first.stitches + 8


def test_a_triangle_by_hand() -> None:
    """Rows 1 to 3 of 3 x 3 from the bottom right: two straight sides and three steps."""
    chart = chart_of("..0 .00 000", last_row=3)
    outline = outline_of(chart.blocks >= 0)
    assert outline.blocks == {"top": 3, "right": 3, "bottom": 3, "left": 3}
    # Outer corners: two ends of each straight side, shared, and the three tips; two inner ones.
    assert (outline.corners, outline.inner_corners) == (6, 2)
    first, second = border_rounds(outline, 2)
    assert first.by_side == dict.fromkeys(SIDES, 9)
    assert first.stitches == 36 + 18
    # Straight sides gain a stitch at each end; of each step one end gains and one loses.
    assert second.by_side["bottom"] == second.by_side["right"] == 11
    assert second.by_side["top"] == 9 + 4 - 2
    assert second.stitches == first.stitches + 8


@given(charts())
def test_every_outline_closes(chart: Chart) -> None:
    exists = chart.blocks >= 0
    outline = outline_of(exists)
    assert outline.corners - outline.inner_corners == 4
    assert outline.blocks["top"] == outline.blocks["bottom"]
    assert outline.blocks["left"] == outline.blocks["right"]
    # Counted another way: neighbours that are missing, place by place.
    padded = np.pad(exists, 1)
    shifts = {"top": (-1, 0), "right": (0, 1), "bottom": (1, 0), "left": (0, -1)}
    for side in SIDES:
        down, right = shifts[side]
        beside = np.roll(padded, (-down, -right), axis=(0, 1))
        assert outline.blocks[side] == int((padded & ~beside).sum())
    stitches = [r.stitches for r in border_rounds(outline, 4)]
    assert np.diff(stitches).tolist() == [8, 8, 8]


@given(charts(), st.sampled_from(["sc", "hdc", "dc"]), st.integers(1, 5), st.integers(0, 3))
def test_metres_add_up_with_a_border(chart: Chart, stitch: str, rounds: int, yarn: int) -> None:
    """yarn.csv = strands.csv + border, before rounding; strands.csv holds tails and joins."""
    plain = amounts_of(chart)
    amounts = amounts_of(replace(chart, border=Border(rounds, stitch, yarn)))  # type: ignore[arg-type]
    assert amounts.border is not None
    assert amounts.metres == pytest.approx(sum(amounts.strand_metres) + amounts.border.metres)
    for number, (of, before) in enumerate(zip(amounts.yarns, plain.yarns, strict=True)):
        added = amounts.border.metres if number == yarn else 0
        assert of.border_metres == added
        assert of.metres == pytest.approx(before.metres + added)
        assert of.joins == before.joins
    assert amounts.plan.tails == plain.plan.tails
    assert amounts.finished_size_cm == plain.finished_size_cm


def test_yarn_of_a_border_by_hand() -> None:
    chart = chart_of(PLAIN, border=Border(1, "sc", 1))
    amounts = amounts_of(chart)
    border = amounts.border
    assert border is not None
    stitches = 3 * 10 + 12
    assert border.loops == stitches * 2 + 1 + 1
    assert border.metres == pytest.approx((border.loops * 3.255 + 2 * 15) / 100)
    assert border.joins is None
    assert border.added_cm == pytest.approx(2 * 1.1 * 3.255 / (1.63 * 2.55))
    both = zip(amounts.whole_size_cm, amounts.finished_size_cm, strict=True)
    assert [whole - bare for whole, bare in both] == pytest.approx([border.added_cm] * 2)
    assert border.hours == pytest.approx(border.loops * 0.7 / 16 / 60)


@pytest.mark.parametrize(("stitch", "loops", "chains"), [("sc", 2, 1), ("hdc", 3, 2), ("dc", 4, 3)])
def test_chains_that_start_a_round(stitch: str, loops: int, chains: int) -> None:
    """Common practice: as many as the stitch is high; a slip stitch closes the round."""
    border = amounts_of(chart_of(PLAIN, border=Border(1, stitch, 1))).border  # type: ignore[arg-type]
    assert border is not None
    assert border.loops == (3 * 10 + 12) * loops + chains + 1


def test_joins_of_a_border_follow_the_strands() -> None:
    """A walk along the yarn: strands first, then the border, over skeins of one metre."""
    short = replace(YARNS[0], metres=1.0)
    chart = replace(chart_of(PLAIN), yarns=(short, *YARNS[1:]), border=Border(2, "hdc", 0))
    amounts = amounts_of(chart)
    assert amounts.border is not None
    start = float(amounts.piece_cm.sum())
    length = amounts.border.loops * 3.255 + 30
    expected = sum(start < 100 * k < start + length for k in range(1, 1000))
    assert expected > 5
    assert amounts.border.joins == expected
    assert amounts.border.metres == pytest.approx((length + 30 * expected) / 100)


def test_a_swatch_says_how_many_stitches_lie_flat() -> None:
    """A block as its loop would be guessed to give takes 3; a seventh wider one as much more."""
    usual = Swatch(block_cm=1.9, loop_cm=3.1)
    for block_cm, a_block in ((1.9, 3.0), (2.2, 3 * 2.2 / 1.9)):
        chart = chart_of(PLAIN, swatch=replace(usual, block_cm=block_cm), border=Border(1, "sc", 1))
        border = amounts_of(chart).border
        assert border is not None
        assert border.a_block == pytest.approx(a_block)
        assert border.rounds[0].by_side["top"] == round(3 * a_block)
    assert "on average 3.5 by your swatch" in border_sentences(amounts_of(chart))[1]
    for block_cm, most in ((0.9, 2.0), (5.0, 5.0)):  # no swatch gives fewer or more
        border = amounts_of(replace(chart, swatch=replace(usual, block_cm=block_cm))).border
        assert border is not None
        assert border.a_block == most


def test_held_double_takes_twice() -> None:
    chart = chart_of(PLAIN, border=Border(1, "sc", 3))
    single = replace(chart, yarns=(*YARNS[:3], replace(YARNS[3], held=1, metres=1e4)))
    double = replace(chart, yarns=(*YARNS[:3], replace(YARNS[3], metres=1e4)))
    one, two = amounts_of(single).border, amounts_of(double).border
    assert one is not None
    assert two is not None
    assert two.metres == pytest.approx(2 * one.metres)


# Options, files, words


def test_the_pattern_tells_the_border() -> None:
    chart = chart_of("..0 .01 011", last_row=3, terms="uk", border=Border(2, "sc", 1))
    text = " ".join(pattern_text(amounts_of(chart)).split())
    assert "BORDER" in text
    assert "2 rounds of dc in Chalk" in text
    assert "9 along the top, 9 along the right, 9 along the bottom, 9 along the left, 18" in text
    assert "6 outer and 2 inner corners" in text
    assert "work 3 dc together in each inner corner" in text
    assert "62 in all" in text
    assert "BORDER" not in pattern_text(amounts_of(replace(chart, border=None)))


def test_a_border_is_kept_and_changed(tmp_path: Path) -> None:
    options = Options(
        width=9, shelf=str(_shelf(tmp_path)), colors=2, border=BorderAsked(2, "sc", "moss")
    )
    made = chart_picture(BADGE, options)
    names = [yarn.name for yarn in made.chart.yarns]
    assert names.index("Moss") == 1  # the shelf's order, though no block is in Moss
    assert made.chart.blocks_by_yarn.tolist()[1] == 0
    plain = chart_picture(BADGE, replace(options, border=None)).chart
    colors = made.chart.yarn_rgb[made.chart.blocks]
    assert (colors == plain.yarn_rgb[plain.blocks]).all()
    from pix2block.chart.reading import write_chart

    (tmp_path / "chart.json").write_bytes(write_chart(made.chart))
    assert open_chart(tmp_path / "chart.json").chart.border == Border(2, "sc", 1)
    other = open_chart(tmp_path / "chart.json", Options(border=BorderAsked(1, "hdc", "Tar")))
    assert other.chart.border == Border(1, "hdc", names.index("Tar"))
    with pytest.raises(BadInput, match=r'^border: unknown yarn "Mose": did you mean "Moss"'):
        open_chart(tmp_path / "chart.json", Options(border=BorderAsked(1, "hdc", "Mose")))


def _shelf(folder: Path) -> Path:
    path = folder / "shelf.csv"
    text = "name,color\nChalk,white\nMoss,#ff00ff\nTar,#111111\n"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_tables_hold_the_border() -> None:
    chart = chart_of(PLAIN, border=Border(1, "sc", 1))
    amounts = amounts_of(chart)
    lines = yarn_csv(amounts).splitlines()
    assert lines[0].endswith("to_buy,cost,border_metres")
    assert lines[2].endswith(f",{amounts.yarns[1].metres:.2f}")
    assert strands_csv(amounts) == strands_csv(amounts_of(replace(chart, border=None)))


def test_a_border_of_an_unknown_yarn_number_is_refused() -> None:
    with pytest.raises(BadInput, match="the border names yarn 9"):
        chart_of(PLAIN, border=Border(1, "sc", 9))


# The size with it comes first

SHELF = str(SAMPLES / "shelf_24.csv")


@pytest.mark.parametrize("border", ["1 sc Chalk", "3 hdc Chalk", "9 dc Chalk"])
@pytest.mark.parametrize("size", [(50.0, 50.0), (83.0, 90.0)])
@pytest.mark.parametrize("swatch", [None, str(SAMPLES / "swatch.toml")])
def test_a_size_is_the_size_with_its_border(
    border: str, size: tuple[float, float], swatch: str | None
) -> None:
    """The nearest: half a block at most."""
    quick = Options(look="photo", calm=0.0, aim="area", subject="none", size=size, colors=3)
    asked = Options.from_words({"border": border}).border
    options = replace(quick, border=asked, shelf=SHELF, swatch=swatch)
    amounts = chart_picture(BADGE, options).amounts
    assert amounts.border
    for wanted, found in zip(size, amounts.whole_size_cm, strict=True):
        assert abs(wanted - found) <= amounts.measures.block_cm / 2 + 1e-9


def test_the_size_with_a_border_is_said_first_everywhere() -> None:
    options = Options(width=12, shelf=SHELF, colors=3)
    bare = chart_picture(BADGE, options)
    study = chart_picture(BADGE, replace(options, border=BorderAsked(4, "dc", "Chalk")))
    border = study.amounts.border
    assert border
    without = study.amounts.finished_size_cm
    whole = say_size(*(side + border.added_cm for side in without))
    words = f"{whole} with its border, {say_size(*without)} without"
    files = files_of(study, only=["pattern.txt", "chart.svg", "summary.json"])
    assert words in study_lines(study)[0]
    text = " ".join(files["pattern.txt"].decode().split())
    assert f"{words}, after blocking" in text
    assert "without a border" not in text
    assert words in files["chart.svg"].decode()
    told = json.loads(files["summary.json"])
    assert told["border"]["added_cm"] == round(border.added_cm, 2)
    assert told["border"]["yarn"] == "Chalk"
    assert told["finished_size_cm"] == [round(side, 2) for side in without]
    plain = files_of(bare, only=["pattern.txt", "summary.json"])
    assert json.loads(plain["summary.json"])["border"] is None
    assert "after blocking, without a border" in plain["pattern.txt"].decode()


def test_a_border_is_taken_off(tmp_path: Path) -> None:
    options = Options(width=12, shelf=SHELF, colors=2)
    bare = chart_picture(BADGE, options).chart
    other = next(yarn.name for yarn in open_shelf(SHELF).yarns if yarn not in bare.yarns)
    for yarn in (bare.yarns[0].name, other):
        border = BorderAsked(2, "sc", yarn)
        study = chart_picture(BADGE, replace(options, border=border))
        save(study, tmp_path, only=["chart.json"])
        none = Options.from_words({"border": "none"})
        chart = open_chart(tmp_path / "chart.json", none).chart
        assert chart.border is None
        assert chart.yarns == bare.yarns
        assert (chart.blocks == bare.blocks).all()
    assert chart_picture(BADGE, replace(options, border=none.border)).chart.border is None


def test_advice_on_a_large_piece_counts_its_border() -> None:
    options = Options(width=120, height=20, shelf=SHELF, colors=2)
    study = chart_picture(BADGE, replace(options, border=BorderAsked(10, "dc", "Chalk")))
    advice = size_advice(study)
    assert advice
    (ask,) = advice.asks
    border = study.amounts.border
    assert border
    side = int(ask.value or 0) * study.amounts.measures.block_cm + border.added_cm
    assert abs(side - 150) <= study.amounts.measures.block_cm / 2 + 1e-9
