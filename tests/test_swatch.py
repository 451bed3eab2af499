"""Swatches: from measurements to block side and loop length, and the file that keeps them."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import chart_of
from small import small_sample

from pix2block.amounts.measures import measures_of
from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.command.cli import run
from pix2block.ground.errors import BadInput
from pix2block.options.table import Options
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.from_picture import chart_picture
from pix2block.recipes.swatch import swatch_json
from pix2block.yarn.swatch import (
    Measured,
    differing_blocks,
    loops_of_swatch,
    questions,
    sizes_of,
    swatch_of,
)
from pix2block.yarn.swatch_file import read_swatches, with_swatch, write_swatches
from pix2block.yarn.yarn import Yarn

BADGE = small_sample("club_badge.png")
pytestmark = pytest.mark.usefixtures("few_files")
MOSS = Measured(
    (9, 9), (18.9, 18.45), "Moss", grams=22.0, label_metres=200.0, label_grams=100.0, weight=4
)
UNRAVELLED = Measured((8, 8), (16.8, 16.8), "Chalk", unravelled=10, unravelled_cm=524.0)


def test_loops_of_a_swatch_are_those_of_a_piece() -> None:
    """Craft, section 3: every stitch of a whole piece, counted another way."""
    for blocks in ((6, 6), (5, 3), (1, 1), (7, 12)):
        plain = np.zeros(blocks[::-1], dtype=np.int64)
        chart = Chart("x", plain, (Yarn("A", "#000000"),), sum(blocks) - 1)
        assert loops_of_swatch(blocks, "dc") == int(amounts_of(chart).run_loops.sum())
    # A 1 x 1 swatch: ch 6 and 3 dc.
    assert loops_of_swatch((1, 1), "dc") == 18
    assert loops_of_swatch((1, 1), "hdc") == 5 + 9


def test_the_last_blocks_of_a_swatch() -> None:
    """The last row of 6 x 6 is one block: 3 ch, 3 dc, its slip stitch; 3 of the travel, a stop's
    slip stitch on either side of it."""
    assert loops_of_swatch((6, 6), "dc", 1) == 3 + 12 + 1 + 3 + 1 + 1
    assert loops_of_swatch((6, 6), "dc", 36) == loops_of_swatch((6, 6), "dc")
    every = [loops_of_swatch((6, 6), "dc", n) for n in range(1, 37)]
    assert every == sorted(set(every))


def test_a_weighed_swatch_by_hand() -> None:
    loops = loops_of_swatch((9, 9), "dc")
    sizes = sizes_of(MOSS)
    assert sizes.block_cm == pytest.approx((18.9 + 18.45) / 18)
    assert sizes.block_cm_error == pytest.approx(math.hypot(0.2 / 9, 0.2 / 9) / 2)
    assert sizes.loop_cm == pytest.approx(22 * 2 * 100 / loops)
    assert sizes.by_hand == pytest.approx(sizes.loop_cm / 22)
    relative = math.sqrt((1 / 22) ** 2 + 0.03**2 + 0.03**2)
    assert sizes.loop_cm_error == pytest.approx(sizes.loop_cm * relative)


def test_an_unravelled_swatch_by_hand() -> None:
    sizes = sizes_of(UNRAVELLED)
    assert sizes.loop_cm == pytest.approx(524 / loops_of_swatch((8, 8), "dc", 10))
    relative = math.hypot(0.2 * math.sqrt(5.24) / 524, 0.03)
    assert sizes.loop_cm_error == pytest.approx(sizes.loop_cm * relative)


def test_held_double_is_half_the_yarn_a_loop() -> None:
    double = sizes_of(replace(MOSS, held=2, grams=44.0))
    assert double.loop_cm == pytest.approx(sizes_of(MOSS).loop_cm)
    # Unravelled, the doubled yarn is measured as it lies.
    assert sizes_of(replace(UNRAVELLED, held=2)).loop_cm == sizes_of(UNRAVELLED).loop_cm


def test_errors_are_those_of_a_simulation() -> None:
    """Error propagation against 20,000 swatches measured with noise of half the stated errors."""
    rng = np.random.default_rng(5)
    n = 20_000
    wide = rng.normal(18.9, 0.1, n)
    high = rng.normal(18.45, 0.1, n)
    sides = (wide / 9 + high / 9) / 2
    sizes = sizes_of(MOSS)
    assert 2 * sides.std() == pytest.approx(sizes.block_cm_error, rel=0.05)
    grams, label, hand = rng.normal(22, 0.5, n), rng.normal(2, 0.03, n), rng.normal(1, 0.015, n)
    loops = grams * label * 100 * hand / sizes.loops
    assert 2 * loops.std() == pytest.approx(sizes.loop_cm_error, rel=0.05)


def test_several_swatches() -> None:
    swatch = swatch_of((MOSS, UNRAVELLED, replace(MOSS, yarn="Tar", held=2)))
    moss, chalk = sizes_of(MOSS), sizes_of(UNRAVELLED)
    assert swatch.loop_cm == pytest.approx((moss.loop_cm + chalk.loop_cm) / 2)
    assert [own.name for own in swatch.yarns] == ["Moss", "Chalk", "Tar"]
    assert swatch.yarns[0].loop_cm == moss.loop_cm
    spread = abs(moss.loop_cm - chalk.loop_cm) / 2
    expected = max(moss.loop_cm_error, chalk.loop_cm_error, spread)
    assert swatch.loop_cm_error == pytest.approx(expected)


def test_a_chart_takes_each_yarns_own_loop_and_error() -> None:
    chart = chart_of("01 12", swatch=swatch_of((MOSS, UNRAVELLED)))
    measures = measures_of(chart)
    moss = sizes_of(MOSS)
    assert measures.loop_cm[0] == pytest.approx(moss.loop_cm)
    assert measures.loop_cm[1] == pytest.approx(sizes_of(UNRAVELLED).loop_cm)
    assert measures.loop_cm[2] == pytest.approx(chart.swatch.loop_cm)  # type: ignore[union-attr]
    off = moss.loop_cm_error / moss.loop_cm
    assert measures.bands[0] == pytest.approx((1 - off, 1 + off))
    amounts = amounts_of(chart)
    assert amounts.yarns[0].metres_high == pytest.approx(amounts.yarns[0].metres * (1 + off))
    assert measures.size_band == pytest.approx(
        chart.swatch.block_cm_error / chart.swatch.block_cm  # type: ignore[union-attr, operator]
    )
    assert not measures.guessed


# Questions


def test_a_good_swatch_is_not_questioned() -> None:
    assert questions(MOSS) == []
    assert differing_blocks((MOSS, UNRAVELLED)) is None


@pytest.mark.parametrize(
    ("swatch", "word"),
    [
        (replace(MOSS, size_cm=(18.9, 17.9)), "stretched or mismeasured"),
        (replace(MOSS, blocks=(8, 8), size_cm=(16.8, 16.5), grams=19.9), "within 5 %"),
        (replace(MOSS, blocks=(5, 9), size_cm=(10.5, 18.75), grams=20.0), "5 x 9 blocks are few"),
        (replace(MOSS, weight=7), "far from what is usual in weight class 7"),
        (replace(MOSS, grams=50.0), "far from what is usual in weight class 4"),
    ],
)
def test_what_is_questioned(swatch: Measured, word: str) -> None:
    asked = [q for q in questions(swatch) if word in q]
    assert len(asked) == 1
    assert asked[0].startswith("Moss: ")
    assert "\n" not in asked[0]


def test_where_questions_begin() -> None:
    """Sides 5 % apart are asked about, a little less not."""
    assert not questions(replace(MOSS, size_cm=(18.9, 18.9 / 1.05)))
    assert questions(replace(MOSS, size_cm=(18.9, 18.9 / 1.055)))
    few = replace(MOSS, blocks=(8, 8), size_cm=(16.8, 16.5), grams=19.9)
    assert not questions(replace(few, scale_g=0.1))


def test_blocks_of_one_piece_must_not_differ() -> None:
    other = replace(UNRAVELLED, size_cm=(15.0, 15.0))
    assert "in one piece they pull" in (differing_blocks((MOSS, other)) or "")


# The file


swatches = st.builds(
    Measured,
    blocks=st.tuples(st.integers(2, 20), st.integers(2, 20)),
    size_cm=st.tuples(st.floats(5, 60), st.floats(5, 60)),
    yarn=st.sampled_from(["", "Moss", 'Gr"ün \\ 3', "苔"]),
    grams=st.floats(5, 90),
    label_metres=st.floats(50, 400),
    label_grams=st.floats(25, 100),
    held=st.integers(1, 2),
    block=st.sampled_from(["dc", "hdc"]),
    weight=st.integers(0, 7),
    hook_mm=st.one_of(st.none(), st.floats(2, 15)),
    scale_g=st.floats(0.1, 5),
    ruler_mm=st.floats(0.5, 5),
)


@given(swatches)
def test_what_is_kept_is_read(swatch: Measured) -> None:
    assert read_swatches(write_swatches((swatch,)), "s") == (swatch,)


def test_a_second_swatch_of_a_yarn_takes_the_first_ones_place() -> None:
    again = replace(MOSS, grams=28.0)
    kept = with_swatch((MOSS, UNRAVELLED), replace(again, yarn="moss"))
    assert [s.grams for s in kept] == [28.0, None]
    assert with_swatch((MOSS,), UNRAVELLED) == (MOSS, UNRAVELLED)


GOOD = write_swatches((MOSS,))


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("grams = 22.0", "gram = 27.0", ("swatch[0]", "unknown field gram")),
        ("grams = 22.0", "grams = -1", ("swatch[0].grams", ">= 0.1")),
        ("label_grams = 100.0\n", "", ("Moss needs its grams",)),
        ("blocks = [9, 9]", "blocks = [9]", ("swatch[0].blocks",)),
        ("blocks = [9, 9]", "blocks = [9, 0]", ("swatch[0].blocks[",)),
        ("[[swatch]]", "[[swatches]]", ("unknown field swatches",)),
        ("[[swatch]]", "[swatch", ("no TOML",)),
        ('block = "dc"', 'block = "tr"', ("swatch[0].block",)),
        ("size_cm = [18.9, 18.45]", "size_cm = [0.2, 0.1]", ("no yarn makes such blocks",)),
        ("held = 1", "unravelled = 5\nunravelled_cm = 300", ("both weighed and unravelled",)),
    ],
)
def test_a_damaged_file_is_named(old: str, new: str, words: tuple[str, ...]) -> None:
    assert old in GOOD
    with pytest.raises(BadInput) as caught:
        read_swatches(GOOD.replace(old, new), "mine.toml")
    message = str(caught.value)
    assert "mine.toml" in message
    assert "\n" not in message
    for word in words:
        assert word in message


def test_swatches_of_one_yarn_or_of_two_kinds_of_block() -> None:
    with pytest.raises(BadInput, match="Moss has two swatches"):
        read_swatches(GOOD + GOOD, "s")
    other = GOOD.replace('"dc"', '"hdc"').replace('"Moss"', '"Tar"')
    with pytest.raises(BadInput, match="keep them in two files"):
        read_swatches(GOOD + other, "s")


# The command


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


MEASURES = ["--blocks", "9x9", "--measured", "25.2x24.6cm", "--grams", "27g"]
MEASURES += ["--label", "200m/100g"]


def test_the_command_keeps_and_prints(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["swatch", "--yarn", "Moss", *MEASURES]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("Moss: a block is 2.77 cm ± 0.02 (1.09 in), a loop 4.0")
    assert "blocks a skein" in printed
    inches = [*["--blocks", "8x8", "--measured"], "8.8x8.9in", "--unravelled", "10 blocks 7.2yd"]
    assert run(["swatch", "--yarn", "Chalk", *inches]) == 0
    kept = read_swatches((here / "swatch.toml").read_text(encoding="utf-8"), "s")
    assert [s.yarn for s in kept] == ["Moss", "Chalk"]
    assert kept[1].size_cm == pytest.approx((8.8 * 2.54, 8.9 * 2.54))
    assert kept[1].unravelled_cm == pytest.approx(7.2 * 91.44)
    capsys.readouterr()
    assert run(["swatch", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["loop_cm"] == round(swatch_of(kept).loop_cm, 4)


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        ([], "no swatch in swatch.toml"),
        (MEASURES[:2], "--blocks and --measured"),
        (MEASURES[:6], "--grams needs the label"),
        ([*MEASURES, "--unravelled", "5 blocks 2m"], "both weighed and unravelled"),
        ([*MEASURES[:4], "--unravelled", "500 blocks 200m"], "500 cannot be unravelled"),
        ([*MEASURES[:2], "--measured", "25cm"], "--measured"),
        ([*MEASURES, "--scale", "0"], "--scale"),
        ([*MEASURES, "--label", "200m"], "--label"),
        ([*MEASURES, "--grams", "27"], "--grams"),
    ],
)
def test_what_the_command_refuses(
    here: Path, words: list[str], reason: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["swatch", *words]) == 2
    printed = capsys.readouterr()
    assert reason in printed.err
    assert len(printed.err.splitlines()) == 1
    assert not list(here.iterdir())


@pytest.mark.usefixtures("few_files")
def test_a_chart_by_a_swatch(here: Path) -> None:
    swatch = replace(MOSS, yarn="", weight=5, hook_mm=6.5)
    (here / "swatch.toml").write_text(write_swatches((swatch,)), encoding="utf-8")
    made = chart_picture(BADGE, Options(size=(83.0, 83.0), colors=3, swatch="swatch.toml"))
    chart = made.chart
    assert chart.width == round(83.0 / sizes_of(swatch).block_cm)
    assert (chart.weight, chart.block, chart.hook_mm) == (5, "dc", 6.5)
    assert chart.swatch == swatch_of((swatch,))
    assert run(["report", "chart.json"]) == 2
    assert run(["chart", str(BADGE), "--width", "9", "--swatch", "swatch.toml", "--out", "."]) == 0
    kept = json.loads((here / "chart.json").read_text(encoding="utf-8"))
    assert kept["swatch"]["loop_cm"] == pytest.approx(sizes_of(swatch).loop_cm)
    assert open_chart("chart.json").chart.swatch == chart.swatch
    figures = json.loads((here / "summary.json").read_text(encoding="utf-8"))
    assert figures["block_cm"] == round(sizes_of(swatch).block_cm, 2)


def test_a_swatch_of_other_blocks_is_refused(here: Path) -> None:
    (here / "s.toml").write_text(GOOD, encoding="utf-8")
    with pytest.raises(BadInput, match=r"is of dc blocks, the chart of hdc blocks"):
        chart_picture(BADGE, Options(width=9, block="hdc", swatch="s.toml"))


def test_a_yarn_held_otherwise_than_its_swatch_is_refused(here: Path) -> None:
    (here / "s.toml").write_text(GOOD.replace("held = 1", "held = 2"), encoding="utf-8")
    (here / "shelf.csv").write_text("name,color\nMoss,#5c6b3c\n", encoding="utf-8")
    with pytest.raises(BadInput, match="Moss held double, the chart single"):
        chart_picture(BADGE, Options(width=9, shelf="shelf.csv", swatch="s.toml"))


def test_a_label_told_with_the_swatch_gives_skeins(here: Path) -> None:
    (here / "s.toml").write_text(GOOD, encoding="utf-8")
    (here / "shelf.csv").write_text("name,color\nMoss,#5c6b3c\nTar,#222222\n", encoding="utf-8")
    chart = chart_picture(BADGE, Options(width=9, shelf="shelf.csv", swatch="s.toml")).chart
    assert [(y.name, y.metres, y.grams) for y in chart.yarns] == [
        ("Moss", 200.0, 100.0),
        ("Tar", None, None),
    ]


def test_figures_for_programs_have_four_digits_and_keep_letters() -> None:
    one = Measured(
        (6, 6), (12.3, 12.1), yarn="Moosgrün", grams=20.3, label_metres=170.0, label_grams=50.0
    )
    text, swatch = swatch_json((one,)), swatch_of((one,))
    told = json.loads(text)
    assert text.startswith('{\n "block_cm": ')
    assert '"Moosgrün"' in text
    assert (told["block_cm"], told["loop_cm"]) == (2.0333, round(swatch.loop_cm, 4))
    assert swatch.block_cm_error
    assert swatch.loop_cm_error
    errors = round(swatch.block_cm_error, 4), round(swatch.loop_cm_error, 4)
    assert (told["block_cm_error"], told["loop_cm_error"]) == errors
