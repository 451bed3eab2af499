"""What a maker brings besides colours: classes of yarn, swatches, hook, border."""

from __future__ import annotations

from dataclasses import replace

import pytest
from makers import YARNS, chart_of

from pix2block.chart.chart import Border
from pix2block.ground.errors import BadInput
from pix2block.options.maker import Maker
from pix2block.options.table import Options
from pix2block.options.yarn_rules import NO_BORDER, BorderAsked
from pix2block.recipes.supplies import (
    fit_options,
    usual_class,
    with_border,
    with_class,
    with_supplies,
)
from pix2block.yarn.swatch import Measured, Swatch
from pix2block.yarn.yarn import Yarn

MOSS, CHALK, _, TAR = YARNS
HER = Maker(hook_mm=6.5)
SIX = Measured((6, 6), (12.0, 12.0), block="hdc", weight=3, hook_mm=5.0)


def yarns(*classes: int | None) -> list[Yarn]:
    return [Yarn(f"Yarn {i}", "#808080", weight=of) for i, of in enumerate(classes)]


def test_the_usual_class_is_that_of_most_the_lower_of_two_alike() -> None:
    assert usual_class(yarns(5, None, 5, 4)) == 5
    assert usual_class(yarns(5, 4)) == 4
    assert usual_class(yarns(None)) is None


def test_hook_block_and_class_are_the_swatches_where_none_is_told() -> None:
    fitted = fit_options(Options(), [SIX], HER)
    assert (fitted.hook, fitted.block, fitted.weight) == (5.0, "hdc", 3)
    told = Options(hook=4.0, block="dc", weight=0)
    fitted = fit_options(told, [SIX], HER)
    assert (fitted.hook, fitted.block, fitted.weight) == (4.0, "dc", 0)
    other = replace(SIX, hook_mm=5.5)
    assert fit_options(Options(), [SIX, other], HER).hook == 6.5
    assert fit_options(Options(), [SIX, replace(SIX, hook_mm=None)], HER).hook == 5.0
    assert fit_options(Options(), [], HER) == Options(hook=6.5)


def test_the_hook_of_a_chart() -> None:
    chart = chart_of("01", hook_mm=4.5)
    assert with_supplies(chart, Options(), (), Maker())[0].hook_mm == 4.5
    assert with_supplies(chart, Options(), (), HER)[0].hook_mm == 6.5
    assert with_supplies(chart, Options(hook=3.0), (), HER)[0].hook_mm == 3.0


def test_a_chart_is_of_the_class_of_its_yarn_unless_told() -> None:
    chart = chart_of("0333", weight=4)  # Tar is of class 5
    after, said = with_class(chart, told=False)
    assert (after.weight, said) == (5, ())
    after, said = with_class(chart, told=True)
    assert after.weight == 4
    (line,) = said
    assert line.startswith(
        "weight class 4 is told, but most blocks are in yarn of class 5: 8 × 2 cm"
    )
    swatch = replace(chart, swatch=Swatch(block_cm=2.0, loop_cm=3.0))
    assert with_class(swatch, told=True) == (swatch, ())
    for same in (chart_of("01"), replace(chart, weight=5)):
        assert with_class(same, told=True) == (same, ())


def test_a_swatch_fits_the_piece() -> None:
    chart = chart_of("01", block="hdc")
    after, notes = with_supplies(chart, Options(), (SIX,), Maker())
    assert after.swatch is not None
    assert after.swatch.block_cm == pytest.approx(2.0)
    assert notes == ()
    with pytest.raises(BadInput, match=r"s\.toml is of hdc blocks, the chart of dc blocks"):
        with_supplies(chart_of("01"), Options(swatch="s.toml"), (SIX,), Maker())
    twice = replace(SIX, yarn="moss", held=2)
    with pytest.raises(BadInput, match="has Moss held double, the chart single"):
        with_supplies(chart, Options(swatch="s.toml"), (twice,), Maker())


def test_swatches_tell_labels_and_whose_they_are() -> None:
    chart = chart_of("01", block="hdc")
    weighed = replace(SIX, grams=20.0, label_metres=170.0, label_grams=50.0)
    own = replace(weighed, yarn="chalk")
    after, notes = with_supplies(chart, Options(), (own,), Maker())
    assert (after.yarns[1].metres, after.yarns[1].grams) == (170.0, 50.0)
    assert after.yarns[0] == MOSS
    assert notes == ()
    moss = replace(weighed, yarn="Moss")
    assert with_supplies(chart, Options(), (moss,), Maker())[0].yarns[0] == MOSS  # it knows its own
    heavy = replace(chart_of("00", block="hdc"), yarns=(replace(CHALK, grams=90.0),))
    after, _ = with_supplies(heavy, Options(), (own,), Maker())
    assert (after.yarns[0].metres, after.yarns[0].grams) == (170.0, 90.0)
    sky, fog = replace(weighed, yarn="Sky"), replace(weighed, yarn="Fog")
    (line,) = with_supplies(chart, Options(), (sky, fog), Maker())[1]
    assert line.startswith("the swatches of Sky, Fog stand for yarns of other names")
    assert with_supplies(chart, Options(), (sky, own), Maker())[1] == ()


@pytest.mark.parametrize(
    ("shelf", "names", "number"),
    [
        ("Moss Sky Chalk", "Moss Sky Chalk", 1),
        ("Sky Moss Chalk", "Sky Moss Chalk", 0),
        ("Chalk Moss Sky", "Moss Chalk Sky", 2),
        ("Sky", "Sky Moss Chalk", 0),
    ],
)
def test_a_yarn_of_the_shelf_comes_in_at_its_place(shelf: str, names: str, number: int) -> None:
    chart = replace(chart_of("01 10"), yarns=(MOSS, CHALK))
    there = {"Moss": MOSS, "Chalk": CHALK, "Sky": Yarn("Sky", "#a0c8f0")}
    asked = BorderAsked(2, "hdc", "sky")
    after = with_border(chart, asked, [there[name] for name in shelf.split()])
    assert [yarn.name for yarn in after.yarns] == names.split()
    assert after.border == Border(2, "hdc", number)
    colors = [[yarn.color for yarn in of.yarns] for of in (chart, after)]
    told = [[c[n] for n in of.blocks.flat] for c, of in zip(colors, (chart, after), strict=True)]
    assert told[0] == told[1]
    bare = with_border(after, NO_BORDER, ())
    assert [yarn.name for yarn in bare.yarns] == ["Moss", "Chalk"]
    assert (bare.blocks == chart.blocks).all()


def test_a_border_in_a_yarn_of_the_piece() -> None:
    extra = {"mine": 1}
    chart = replace(chart_of("01 10"), yarns=(MOSS, CHALK), border=Border(1, "sc", 0, extra=extra))
    after = with_border(chart, BorderAsked(3, "dc", "CHALK"), [MOSS, CHALK])
    assert after.border == Border(3, "dc", 1, extra=extra)
    assert with_border(chart, None, ()) is chart
    bare = with_border(chart, NO_BORDER, ())
    assert bare.border is None
    assert bare.yarns == chart.yarns
    assert with_border(bare, NO_BORDER, ()) is bare
    with pytest.raises(BadInput, match="Chalc"):
        with_border(chart, BorderAsked(1, "sc", "Chalc"), [TAR])
