"""The stages of a chart from a picture: a small one of three flat areas, and a soft one."""

from __future__ import annotations

import atexit
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from PIL import Image

from pix2block.chart.chart import Chart
from pix2block.chart.made import made_up_to
from pix2block.design.palette import Palette
from pix2block.design.tone import BETTER_BY, structure_kept
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import HABITS
from pix2block.mending.apply import apply_mends
from pix2block.options.table import Options
from pix2block.recipes.as_asked import title_of, with_options
from pix2block.recipes.from_picture import chart_picture, ready_to_work, see
from pix2block.recipes.replay import work_again
from pix2block.recipes.yarns import _moved_words
from pix2block.study.study import Study
from pix2block.yarn.yarn import Yarn

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


def test_weights_are_kept_where_blocks_count_unevenly() -> None:
    alike = charted(subject="none", aim="area").chart.source
    minded = charted(subject="none", aim="area", **vars_of({"mind": "0,0,50,50"})).chart.source
    assert alike is not None
    assert alike.weights is None
    assert minded is not None
    assert minded.weights is not None
    assert minded.weights[0, 0] > minded.weights[-1, -1]


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
    assert with_options(chart, Options(title=" Buoy  at dusk ")).title == "Buoy at dusk"


def test_a_habit_by_its_name_or_by_what_it_is() -> None:
    chart = charted().chart
    usual, cut = chart.habit, HABITS["cut"]
    assert with_options(chart, Options()).habit == usual
    mine = replace(chart, habit=replace(usual, name="mine"))
    assert with_options(mine, Options()).habit.name == "mine"
    assert with_options(chart, Options(habit="cut")).habit == cut
    for name, value in (("reach", 3.5), ("rest", 1), ("edge", 5)):
        for habit in (usual, cut):
            words = {name: str(value)} | ({"habit": "cut"} if habit is cut else {})
            now = with_options(chart, Options.from_words(words)).habit
            expected = {one: getattr(habit, one) for one in ("reach", "rest", "edge")}
            assert {one: getattr(now, one) for one in expected} == expected | {name: value}


def test_what_needs_a_shelf_or_other_looks_is_refused() -> None:
    for words in ({"lock": "Moss"}, {"ban": "Moss"}, {"tone": "keep"}):
        with pytest.raises(BadInput, match="lock, ban and tone go with the yarns of a shelf"):
            charted(**vars_of(words))
    with pytest.raises(BadInput, match="leave out tone"):
        charted(look="tones", tone="fit", shelf=str(folder() / "shelf.csv"))
    with pytest.raises(BadInput, match="within_shelf goes with the yarns of a shelf"):
        charted(within_shelf=True)
    for name in ("lock", "ban"):
        with pytest.raises(BadInput, match='unknown yarn "Mos"'):
            charted(**{name: ("Mos",)}, shelf=str(folder() / "shelf.csv"))


def vars_of(words: dict[str, str]) -> dict[str, object]:
    """The options of these words that are given."""
    asked = Options.from_words(words)
    return {name: getattr(asked, name) for name in words}


def test_tones_part_by_light_and_dark_alone() -> None:
    study = charted(look="tones")
    chart = study.chart
    assert "#c63b34" in [yarn.color for yarn in charted().chart.yarns]  # the red patch
    assert not [yarn for yarn in chart.yarns if yarn.rgb[0] > yarn.rgb[1] + 60]
    assert study.view is not None
    light = study.view.means.mean(axis=2)
    spans = [(light[chart.blocks == i].min(), light[chart.blocks == i].max()) for i in range(3)]
    spans.sort()
    assert all(one[1] <= other[0] + 6 for one, other in pairwise(spans))


def test_a_locked_yarn_comes_and_a_banned_one_does_not() -> None:
    shelf = str(folder() / "shelf.csv")
    names = [yarn.name for yarn in charted(shelf=shelf, lock=("tar",), ban=("Sky",)).chart.yarns]
    assert "Tar" in names
    assert "Sky" not in names


def test_yarns_of_which_it_is_not_told_how_much_is_on_hand_are_left_out() -> None:
    for moss, told in (("", True), ("200", False)):
        shelf = folder() / f"stock{moss}.csv"
        lines = [f"Sky,#a0c8f0,200,3\nMoss,#5c6b3c,{moss},3\nRose,#d08080,200,3\n"]
        shelf.write_text("name,color,metres,skeins\n" + lines[0])
        study = charted(shelf=str(shelf), within_shelf=True)
        note = "Left out, since it is not told how much is on hand: Moss."
        assert [line for line in study.decisions if "Left out" in str(line)] == [note] * told
        assert ("Moss" in [yarn.name for yarn in study.chart.yarns]) != told


@pytest.mark.parametrize(
    ("moves", "said"),
    [
        ([], ""),
        ([(0, 1)], "To keep within what is on hand, 1 block of Y0 became Y1."),
        ([(0, 1), (0, 1), (1, 2)], "2 blocks of Y0 became Y1; 1 block of Y1 became Y2."),
        ([(0, 1), (1, 2), (2, 3), (3, 4)], "1 block of Y3 became Y4."),
        ([(0, 1), (1, 2), (2, 3), (3, 4), (4, 0)], "Y3 became Y4; and 1 smaller exchange."),
    ],
)
def test_blocks_that_moved_are_told(moves: list[tuple[int, int]], said: str) -> None:
    yarns = tuple(Yarn(f"Y{i}", f"#{40 * i:02x}0000") for i in range(5))
    colors = [[(40 * old, 0, 0) for old, _ in moves] + [(0, 0, 0)]]
    blocks = np.array([[new for _, new in moves] + [0]])
    told = _moved_words(Palette(yarns, blocks, np.array(colors, dtype=np.uint8)))
    assert told.endswith(said)
    assert bool(told) == bool(said)


def structure(study: Study) -> float:
    assert study.view is not None
    return structure_kept(study.view.colors, study.chart.yarn_rgb[study.chart.blocks])


def test_light_and_dark_are_fitted_where_that_keeps_more() -> None:
    shelf = str(folder() / "shelf.csv")
    unasked, kept, fitted = (
        charted(shelf=shelf, **t) for t in ({}, {"tone": "keep"}, {"tone": "fit"})
    )
    fits = structure(fitted) > structure(kept) + BETTER_BY
    chosen, other = (fitted, kept) if fits else (kept, fitted)
    assert (unasked.chart.blocks == chosen.chart.blocks).all()
    (told,) = [str(line) for line in unasked.decisions if "Light and dark" in str(line)]
    assert told == (
        f"Light and dark {'fitted to what the shelf spans' if fits else 'kept as they are'}: "
        f"{100 * structure(chosen):.0f} % of their structure is kept, "
        f"{100 * structure(other):.0f} % the other way (tone {'keep' if fits else 'fit'})."
    )
    assert not [line for line in kept.decisions if "Light and dark" in str(line)]


def again(kept: Chart | None) -> tuple[Chart, list[str]]:
    """The picture worked again where a chart of it was kept, and what is told of that."""
    asked = Options(width=12, height=10, colors=3, calm=0)
    study = work_again(ready_to_work(folder() / "hill_and_sky.png", asked), kept, asked)
    return study.chart, [str(line) for line in study.decisions if "Done again" in str(line)]


def test_what_was_mended_and_made_is_done_again() -> None:
    plain = charted().chart
    for kept in (None, plain):
        chart, told = again(kept)
        assert (chart.blocks == plain.blocks).all()
        assert told == []
    name = plain.yarns[2].name
    painted = apply_mends(plain, [("paint", f"rows 8 to 9={name}"), ("shield", "row 10")]).after
    chart, (told_line,) = again(painted)
    assert (chart.blocks == painted.blocks).all()
    assert told_line == "Done again as chart.json has them: 2 mends; leave them out: fresh"
    chart, (told_line,) = again(made_up_to(plain, 2))
    assert told_line == "Done again as chart.json has them: rows 1 to 2; leave them out: fresh"
    assert chart.done is not None
    chart, (told_line,) = again(made_up_to(painted, 1))
    assert told_line.startswith("Done again as chart.json has them: 2 mends and row 1;")
