"""The stages of a chart from a picture: a small one of three flat areas, and a soft one."""

from __future__ import annotations

import atexit
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from PIL import Image

from pix2block.ground.errors import BadInput
from pix2block.options.table import Options
from pix2block.recipes.as_asked import title_of, with_options
from pix2block.recipes.from_picture import chart_picture, see
from pix2block.study.study import Study

SHELF = "name,color\nSky,#a0c8f0\nTar,#222222\nMoss,#5c6b3c\nRose,#d08080\n"


@cache
def folder() -> Path:
    """A soft photo of a hill under a sky, the same half seen through, and a shelf."""
    kept = TemporaryDirectory()
    atexit.register(kept.cleanup)
    place = Path(kept.name)
    rng = np.random.default_rng(3)
    light = np.full((60, 72, 3), (160, 200, 240), dtype=np.float64)
    light[40:] = (92, 107, 60)
    light[20:30, 30:40] = (200, 60, 50)
    light += rng.normal(0, 6, light.shape)
    pixels = np.clip(light, 0, 255).astype(np.uint8)
    Image.fromarray(pixels).save(place / "hill_and_sky.png")
    alpha = np.full((60, 72, 1), 255, np.uint8)
    alpha[:20] = 0
    Image.fromarray(np.concatenate([pixels, alpha], axis=2)).save(place / "seen_through.png")
    (place / "shelf.csv").write_text(SHELF)
    return place


@cache
def charted(**asked: object) -> Study:
    options = {"width": 12, "height": 10, "colors": 3, "calm": 0, **asked}
    return chart_picture(folder() / "hill_and_sky.png", Options(**options))  # type: ignore[arg-type]


def test_yarns_of_a_picture_come_by_their_blocks() -> None:
    blocks = charted().chart.blocks_by_yarn.tolist()
    assert blocks == sorted(blocks, reverse=True)
    assert charted().spare is None
    assert charted().chart.title == "Hill and sky"


def test_yarns_of_a_shelf_keep_its_order_and_the_rest_is_spare() -> None:
    study = charted(shelf=str(folder() / "shelf.csv"))
    names = [yarn.name for yarn in study.chart.yarns]
    assert names == [name for name in ("Sky", "Tar", "Moss", "Rose") if name in names]
    spare = [yarn.name for yarn in study.spare or ()]
    assert len(names) == 3
    assert sorted(names + spare) == ["Moss", "Rose", "Sky", "Tar"]


def test_a_view_is_seen_anew_only_on_another_background() -> None:
    path, asked = folder() / "seen_through.png", Options(width=12, colors=3)
    view = see(path, asked).view
    assert see(view, asked).view is view
    black = see(view, Options(width=12, colors=3, background="#000000")).view
    assert black.means[0, 0].tolist() == [0, 0, 0]
    assert view.means[0, 0].tolist() == [255, 255, 255]
    assert see(path, Options(width=12, background="#000000")).view.means[0, 0].tolist() == [0, 0, 0]


def test_a_number_of_yarns_is_chosen_anew_and_a_way_is_not() -> None:
    study = charted()
    assert study.again is not None
    fewer = study.again(Options(width=12, height=10, colors=2, calm=0))
    assert len(fewer.yarns) == 2
    corner = study.again(Options(width=12, height=10, colors=3, calm=0, corner="top-left"))
    assert corner.start_corner == "top-left"
    assert (corner.blocks == study.chart.blocks).all()


def test_calming_has_something_to_trade() -> None:
    with pytest.raises(BadInput, match="most_hanging needs something to trade: raise calm above 0"):
        charted(most_hanging=2)
    assert charted(calm=5).chart.source != charted().chart.source


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("tallow_cat.jpg", "Tallow cat"),
        ("a-b__c d.png", "A b c d"),
        ("Étang.png", "Étang"),
        ("___.png", "Untitled"),
    ],
)
def test_a_title_from_a_name(name: str, title: str) -> None:
    assert title_of(name) == title


def test_what_calming_did_is_counted_as_the_piece_is_worked() -> None:
    chart = charted(calm=5).chart
    assert with_options(chart, Options()).calmed is chart.calmed
    assert with_options(chart, Options(hand="right")).calmed is chart.calmed
    for words in ({"corner": "top-left"}, {"habit": "cut"}):
        other = with_options(chart, Options.from_words(words))
        assert other.calmed is not None
        assert other.calmed.tails_after == other.plan.tails


def test_a_pace_keeps_what_a_file_says_beside_it() -> None:
    chart = charted().chart
    pace = replace(chart.pace, extra={"mine": 1})
    after = with_options(replace(chart, pace=pace), Options.from_words({"pace": "1 2 3"}))
    assert (after.pace.block, after.pace.change, after.pace.tail) == (1, 2, 3)
    assert after.pace.extra == {"mine": 1}
    rest = with_options(chart, Options.from_words({"rest": "1"})).habit
    assert (rest.reach, rest.rest, rest.edge) == (chart.habit.reach, 1, chart.habit.edge)
