"""Trials: figures, order, reasons, swaps; the sheets and the command."""

from __future__ import annotations

import base64
import csv
import io
import json
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import convolve1d
from skimage.metrics import structural_similarity
from small import small_sample

from pix2block.amounts.money import Money
from pix2block.chart.chart import Chart
from pix2block.chart.reading import write_chart
from pix2block.chart.source import Source
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import Bytes, Floats, decoding_table, to_lab
from pix2block.color.vision import degrees_across, metres_away, seen_lab
from pix2block.command.cli import run
from pix2block.design.features import find_features
from pix2block.drawing.style import WARN
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import named_habit
from pix2block.options.table import Options
from pix2block.recipes.from_picture import chart_picture
from pix2block.recipes.outputs import files_of
from pix2block.trial.neighbours import TOLD_APART
from pix2block.trial.recipe import TRIAL_OUTPUTS, options_to_try, try_palettes
from pix2block.trial.trial import Candidate, Seeing, Tried, lost_in, ranked
from pix2block.trial.tried import ssim, try_palette
from pix2block.trial.words import (
    Trial,
    advice,
    cost_words,
    label,
    near_or_far,
    reasons,
    trial_lines,
)
from pix2block.yarn.shelf import read_shelf
from pix2block.yarn.yarn import Yarn

ROOT = Path(__file__).parent.parent
CAT = small_sample("tallow_cat.jpg")
SHELVES = [str(ROOT / "sample_images" / f"shelf_{n}.csv") for n in (5, 12, 24)]

SEA, SKY, LAMP = (40, 70, 100), (170, 190, 200), (230, 170, 60)
SKY_YARN, FOG_YARN = Yarn("Sky", "#aabec8"), Yarn("Fog", "#b0bfc6")
SEA_YARN, LAMP_YARN = Yarn("Sea", "#284664", price=6.0, metres=180.0), Yarn("Lamp", "#e6aa3c")


def scene(side: int = 24) -> Bytes:
    """Sky over sea, with a lamp of 3 x 3 blocks."""
    means = np.zeros((side, side, 3), dtype=np.uint8)
    means[: side // 2], means[side // 2 :] = SKY, SEA
    means[4:7, 15:18] = LAMP
    return means


def seeing_of(means: Bytes) -> Seeing:
    light = decoding_table()[means].repeat(4, axis=0).repeat(4, axis=1)
    return Seeing(means, light, features=find_features(means))


def candidate(
    blocks: NDArray[np.int64], yarns: tuple[Yarn, ...], spare: tuple[Yarn, ...]
) -> Candidate:
    source = Source("scene.png", "0" * 64, scene())
    chart = Chart("Scene", blocks, yarns, sum(blocks.shape) - 1, source=source)
    return Candidate("shelf", len(yarns), chart, spare)


def whole(spare: tuple[Yarn, ...] = ()) -> Tried:
    blocks = np.zeros((24, 24), dtype=np.int64)
    blocks[12:] = 1
    blocks[4:7, 15:18] = 2
    return try_palette(
        candidate(blocks, (SKY_YARN, SEA_YARN, LAMP_YARN), spare), seeing_of(scene())
    )


def without_lamp(spare: tuple[Yarn, ...] = ()) -> Tried:
    blocks = np.zeros((24, 24), dtype=np.int64)
    blocks[12:] = 1
    return try_palette(candidate(blocks, (SKY_YARN, SEA_YARN), spare), seeing_of(scene()))


def merging(spare: tuple[Yarn, ...] = ()) -> Tried:
    """The sky in two yarns that can hardly be told apart."""
    blocks = np.zeros((24, 24), dtype=np.int64)
    blocks[12:] = 1
    blocks[4:7, 15:18] = 2
    blocks[:12, :2] = 3
    yarns = (SKY_YARN, SEA_YARN, LAMP_YARN, FOG_YARN)
    return try_palette(candidate(blocks, yarns, spare), seeing_of(scene()))


# Figures


def test_what_is_exact_has_no_error() -> None:
    tried = whole()
    assert (tried.error_mean, tried.error_p95, tried.near, tried.far) == (0, 0, 0, 0)
    assert tried.structure == pytest.approx(1)
    assert tried.lost == ()
    assert tried.clear


def test_what_is_lost_is_named_and_the_worst_region_lies_there() -> None:
    tried = without_lamp()
    assert [feature.blocks for feature in tried.lost] == [9]
    assert not tried.clear
    lamp = ciede2000(to_lab(np.array([LAMP], np.uint8)), to_lab(np.array([SKY], np.uint8)))[0]
    assert tried.error_mean == pytest.approx(9 * lamp / 576)
    assert tried.worst[0] == pytest.approx(9 * lamp / 25)  # of 5 x 5 blocks
    assert tried.worst[1] == "near the upper right"
    assert tried.structure is not None
    assert tried.structure < 0.9999  # the lamp is about as light as the sky
    assert tried.near > 0
    assert tried.far > 0


def test_merging_neighbours() -> None:
    tried = merging()
    (found,) = tried.merging
    assert {found.pair.one, found.pair.other} == {0, 3}
    assert found.difference < TOLD_APART
    assert found.seen_far <= found.difference + 0.2
    weak = tried.weakest_in("normal")
    assert weak is not None
    assert weak.color.pair == found.pair
    assert weak.color.difference == found.difference


def test_tails_by_habit_are_the_habits() -> None:
    from pix2block.amounts.yarn_use import amounts_of
    from pix2block.ground.settings import HABITS

    tried = merging()
    for name, tails in tried.tails_by_habit:
        assert amounts_of(replace(tried.chart, habit=HABITS[name])).plan.tails == tails


def test_price_is_known_only_where_all_of_it_is() -> None:
    assert whole().price is None
    priced = [replace(y, price=5.0, metres=100.0) for y in (SKY_YARN, SEA_YARN, LAMP_YARN)]
    tried = whole()
    chart = replace(tried.chart, yarns=tuple(priced))
    again = try_palette(Candidate("shelf", 3, chart), seeing_of(scene()))
    skeins = [amount.skeins for amount in again.amounts.yarns]
    assert again.skeins == sum(s for s in skeins if s)
    assert again.skeins
    assert again.price == 5.0 * again.skeins


def gaussian_ssim(one: Floats, other: Floats) -> float:
    """Wang et al. (2004), equations 13 to 16, written out: 11 x 11 Gaussian windows, sigma 1.5,
    means over windows that lie inside."""
    at = np.arange(-5, 6)
    kernel = np.exp(-(at**2) / (2 * 1.5**2))
    kernel /= kernel.sum()

    def windowed(field: Floats) -> Floats:
        for axis in (0, 1):
            field = convolve1d(field, kernel, axis=axis)
        return field

    c1, c2 = (0.01 * 100) ** 2, (0.03 * 100) ** 2
    mu, nu = windowed(one), windowed(other)
    var, war = windowed(one * one) - mu * mu, windowed(other * other) - nu * nu
    cov = windowed(one * other) - mu * nu
    index = (2 * mu * nu + c1) * (2 * cov + c2) / ((mu * mu + nu * nu + c1) * (var + war + c2))
    return float(index[5:-5, 5:-5].mean())


def test_structure_is_ssim_as_published() -> None:
    rng = np.random.default_rng(3)
    one = np.cumsum(rng.normal(0, 3, (40, 32)), axis=1) + 50
    other = one + rng.normal(0, 4, one.shape)
    assert ssim(one, other) == pytest.approx(gaussian_ssim(one, other), abs=1e-6)
    assert ssim(one, one) == pytest.approx(1)
    assert abs(ssim(one, other) - structural_similarity(one, other, data_range=100.0)) > 1e-4


def test_structure_is_of_what_is_seen_far() -> None:
    tried, seeing = without_lamp(), seeing_of(scene())
    light = decoding_table()[tried.chart.yarn_rgb][tried.chart.blocks]
    far = [seen_lab(field, 5.0)[..., 0] for field in (decoding_table()[seeing.means], light)]
    assert tried.structure == pytest.approx(gaussian_ssim(*far), abs=1e-6)


def test_distances() -> None:
    assert degrees_across(2.8, metres_away(2.8, 0.2)) == pytest.approx(0.2)
    assert metres_away(2.5, 0.75) == pytest.approx(1.91, abs=0.01)


def test_features_of_a_finer_size() -> None:
    fine = scene(24)
    coarse = fine.reshape(8, 3, 8, 3, 3).mean(axis=(1, 3)).astype(np.uint8)
    features = find_features(fine)
    assert len(features) == 1
    blocks = np.zeros((8, 8), dtype=np.int64)
    blocks[4:] = 1
    chart = Chart("Scene", blocks, (SKY_YARN, SEA_YARN, LAMP_YARN), 15)
    assert lost_in(chart, features) == features
    shown = blocks.copy()
    shown[1:3, 5] = 2
    assert lost_in(replace(chart, blocks=shown), features) == ()
    assert coarse.shape == (8, 8, 3)


# Order and words


def test_the_rule_of_the_order() -> None:
    good, lost, merged = whole(), without_lamp(), merging()
    assert ranked([merged, lost, good])[0] is good
    # Among those that are not clear: truer from far first, to a tenth, then fewer tails.
    assert ranked([lost, merged]) == (merged, lost)
    one, other = (replace(lost, far=far) for far in (4.12, 4.08))
    assert ranked([one, other]) == (one, other)  # as true to a tenth, as many tails: as given
    assert ranked([replace(lost, far=4.26), other])[0] is other
    fewer = replace(merged, far=4.14)
    tails = [t.amounts.plan.tails for t in (fewer, other)]
    assert ranked([fewer, other])[0] is (fewer if tails[0] < tails[1] else other)


def trial_of(*tried: Tried) -> Trial:
    seeing = tuple(seeing_of(scene()) for _ in tried)
    return Trial("Scene", "scene.png", tried, seeing, 2.1, 8.0, outputs=TRIAL_OUTPUTS)


def test_reasons_are_words() -> None:
    words = " ".join(reasons(trial_of(merging()), 0))
    assert re.search(r"Sky and Fog merge near the upper left: difference \d\.\d", words)
    words = " ".join(reasons(trial_of(without_lamp()), 0))
    assert "Loses 1 thing that stood out: 9 blocks of" in words
    assert "near the upper right" in words
    assert "Keeps everything that stands out" in " ".join(reasons(trial_of(whole()), 0))


def test_a_tie_is_called_one() -> None:
    one, other = without_lamp(), without_lamp()
    assert any("A tie with number 2" in line for line in reasons(trial_of(one, other), 0))
    truer = replace(other, far=one.far + 0.3)
    assert not any("A tie" in line for line in reasons(trial_of(one, truer), 0))


def test_a_price_has_its_currency() -> None:
    read = read_shelf("name,color,price\nSky,#aac0d2,£3.99\nSea,#284664,£4\n", "shelf.csv")
    assert read.currency == "£"
    assert read_shelf("name,color,price\nSky,#aac0d2,3.99\n", "shelf.csv").currency == ""
    tried = whole()
    priced = [replace(y, price=5.0, metres=100.0) for y in (SKY_YARN, SEA_YARN, LAMP_YARN)]
    chart = replace(tried.chart, yarns=tuple(priced))
    of = replace(tried.candidate, chart=chart, money=Money("£"))
    again = try_palette(of, seeing_of(scene()))
    assert again.price is not None
    assert cost_words(again).endswith(f"price {again.price:.2f} £")


def test_disagreement_of_near_and_far_is_told() -> None:
    one, other = replace(whole(), near=3.0, far=2.0), replace(whole(), near=2.5, far=2.6)
    told = near_or_far(trial_of(one, other))
    assert told is not None
    assert "error 2.5 against 3.0" in told
    assert "2.6 against 2.0" in told
    assert near_or_far(trial_of(one)) is None
    assert near_or_far(trial_of(one, replace(other, near=2.98))) is None


# Swaps and drops, really tried


def test_a_swap_that_parts_what_merges() -> None:
    spare = (Yarn("Slate", "#8fa0aa"), Yarn("Pennant", "#a63a35"))
    tried = merging(spare)
    (swap,) = tried.swaps
    assert swap.into.name == "Slate"  # Pennant would part them too, and cost far more
    assert swap.weakest[0] < TOLD_APART <= swap.weakest[1]
    yarns = list(tried.chart.yarns)
    yarns[swap.out] = swap.into
    again = try_palette(
        replace(tried.candidate, chart=replace(tried.chart, yarns=tuple(yarns)), spare=()),
        seeing_of(scene()),
    )
    weak = again.weakest_in("normal")
    assert weak is not None
    assert weak.color.difference == pytest.approx(swap.weakest[1])
    assert again.error_mean == pytest.approx(swap.error[1])
    assert swap.tails == (tried.amounts.plan.tails,) * 2
    assert "Slate for" in advice(tried)[0]


def test_no_swap_where_none_helps() -> None:
    assert merging((Yarn("Pennant", "#a63a35"),)).swaps == ()  # far too much error
    assert whole((Yarn("Slate", "#8fa0aa"),)).swaps == ()
    assert merging().swaps == ()


def test_a_swap_that_brings_back_what_is_lost() -> None:
    means = scene()
    blocks = np.zeros((24, 24), dtype=np.int64)
    blocks[12:] = 1
    blocks[:2] = 2  # a yarn that is of little use
    yarns = (SKY_YARN, SEA_YARN, Yarn("Moss", "#8a9a5b"))
    tried = try_palette(candidate(blocks, yarns, (LAMP_YARN,)), seeing_of(means))
    assert len(tried.lost) == 1
    (swap,) = tried.swaps
    assert (swap.into.name, tried.chart.yarns[swap.out].name) == ("Lamp", "Moss")
    assert swap.lost == (1, 0)
    assert swap.error[1] == pytest.approx(0)


def test_dropping_a_yarn_that_is_hardly_used() -> None:
    blocks = np.zeros((24, 24), dtype=np.int64)
    blocks[12:] = 1
    blocks[4:7, 15:18] = 2
    blocks[20, 3] = 3
    yarns = (SKY_YARN, SEA_YARN, LAMP_YARN, Yarn("Tar", "#111111"))
    tried = try_palette(candidate(blocks, yarns, ()), seeing_of(scene()))
    (drop,) = tried.dropped
    assert (drop.yarn, drop.blocks, drop.lost) == (3, 1, 0)
    assert drop.error == pytest.approx(0)
    assert drop.tails == whole().amounts.plan.tails < tried.amounts.plan.tails
    assert "Tar has 1 block. Without it" in advice(tried)[0]


# Whole trials


@cache
def cats() -> Trial:
    asked = options_to_try({"width": "16", "colors": "3,6", "calm": "0"})
    return try_palettes(CAT, SHELVES, asked)


@cache
def files_of_cats() -> dict[str, bytes]:
    return files_of(cats())


def test_shelves_and_counts_are_tried_once_each() -> None:
    trial = cats()
    names = sorted((t.candidate.shelf, t.candidate.asked) for t in trial.tried if t.candidate.asked)
    assert names == [("shelf_12", 3), ("shelf_12", 6), ("shelf_24", 3), ("shelf_24", 6)] or (
        names
        == [("shelf_12", 3), ("shelf_12", 6), ("shelf_24", 3), ("shelf_24", 6), ("shelf_5", 3)]
    )
    assert sum(t.candidate.shelf == "shelf_5" for t in trial.tried) == 2
    assert any("has 5 yarns" in line for line in trial.untold)
    assert len({label(trial, t) for t in trial.tried}) == len(trial.tried)
    assert ranked(trial.tried) == trial.tried


def test_sizes_are_compared() -> None:
    eyes = "20,40,60,20"  # of the cat
    asked = options_to_try({"width": "12,48", "colors": "6", "calm": "0", "mind": (eyes,)})
    trial = try_palettes(CAT, SHELVES[1:2], asked)
    assert [size[0] for size in trial.sizes] == [12, 48]
    by_width = {t.chart.width: t for t in trial.tried}
    assert len(by_width[12].lost) > len(by_width[48].lost)
    lines = [line for line in trial_lines(trial) if line.startswith("12 × 15 blocks show")]
    assert len(lines) == 1
    assert len(trial.features_that_matter) >= 2
    features = trial.seeing[0].features
    matter = {id(features[i]) for i in trial.features_that_matter}
    shown = [w for w, t in by_width.items() if not matter & {id(f) for f in t.lost}]
    line = trial_lines(trial)[-1]
    assert line.startswith(f"Everything shows of what was to matter from {min(shown)} × ")
    assert min(shown) > 12
    assert "× 60 blocks" in label(trial, by_width[48])


def test_the_page_is_one_file_that_shows_every_view() -> None:
    trial = cats()
    page = files_of_cats()["trial.html"].decode()
    assert "http" not in page.replace("http://www.w3.org", "")
    assert not re.search(r"<(script|link|iframe)", page)
    assert page.count("<article>") == len(trial.tried)
    for words in ("Chart", "Fabric", "From 6 m", "Grey", "Protan", "Deutan", "Tritan"):
        assert page.count(f"<figcaption>{words}") == len(trial.tried), words
    assert page.count("alt=") == page.count("<img ")
    lost = sum(bool(t.lost) for t in trial.tried)
    assert lost > 0
    assert (
        len(re.findall(r"<figcaption>Chart, \d+ lost<", page))
        == page.count(f'stroke="{WARN}"')
        == lost
    )
    (first, *_) = re.findall(r"data:image/png;base64,([^\"]+)", page)
    with Image.open(io.BytesIO(base64.b64decode(first))) as image:
        assert np.array_equal(np.asarray(image), trial.seeing[0].means)


def test_names_are_safe_on_the_page() -> None:
    odd = replace(SKY_YARN, name='<b>"Sky"</b> & co')
    tried = whole()
    chart = replace(tried.chart, yarns=(odd, *tried.chart.yarns[1:]))
    again = try_palette(Candidate("a<b", 3, chart), seeing_of(scene()))
    page = files_of(trial_of(again))["trial.html"].decode()
    assert "<b>" not in page
    assert "&lt;b&gt;" in page


def test_the_table_has_a_line_a_palette() -> None:
    trial = cats()
    lines = list(csv.DictReader(io.StringIO(files_of_cats()["trial.csv"].decode())))
    assert [line["rank"] for line in lines] == [str(i + 1) for i in range(len(trial.tried))]
    for line, tried in zip(lines, trial.tried, strict=True):
        assert None not in line
        assert None not in line.values()
        assert line["shelf"] == tried.candidate.shelf
        assert float(line["seen_far"]) == pytest.approx(tried.far, abs=5e-4)
        assert int(line["features_lost"]) == len(tried.lost)
        assert int(line[f"tails_{tried.chart.habit.name}"]) == int(line["tails"])
        shares = [float(part.rsplit(" ", 1)[1]) for part in line["shares"].split(" | ")]
        assert sum(shares) == pytest.approx(1, abs=1e-3)


def test_the_picture_of_the_sheet() -> None:
    with Image.open(io.BytesIO(files_of_cats()["trial.png"])) as image:
        assert image.width == 2200
        assert image.height > 6 * 200


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["trial", str(CAT), *SHELVES[:2], "--width", "8", "--colors", "3,4"]
    assert run([*words, "--calm", "0", "--distance", "4m", "--out", str(tmp_path / "t")]) == 0
    printed = capsys.readouterr().out
    assert "1. shelf_" in printed
    assert "as seen from 4 m" in printed
    assert {p.name for p in (tmp_path / "t").iterdir()} == {"trial.html", "trial.png", "trial.csv"}


def test_json_is_the_table(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["trial", str(CAT), SHELVES[0], "--width", "8", "--calm", "0", "--json"]
    assert run([*words, "--out", str(tmp_path)]) == 0
    palettes = json.loads(capsys.readouterr().out)
    (line,) = csv.DictReader(io.StringIO((tmp_path / "trial.csv").read_text()))
    assert [{k: "" if v is None else v for k, v in p.items()} for p in palettes] == [
        {k: type(palettes[0][k])(v) if palettes[0][k] is not None else v for k, v in line.items()}
    ]
    assert palettes[0]["structure"] is None  # too small for its windows
    assert isinstance(palettes[0]["seen_far"], float)


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["trial", str(CAT)], "nothing to compare: name shelves of yarns, or try several numbers"),
        (["trial", str(CAT), "--colors", "4"], "as --colors 4,6,8"),
        (["trial", str(CAT), "nowhere.csv"], "no such file"),
        (["trial", str(CAT), SHELVES[0], "--colors", "3,x"], '"x": write a whole number'),
        (["trial", str(CAT), SHELVES[0], "--colors", "3,"], '"": write a whole number'),
        (["trial", "nowhere.png", SHELVES[0]], "no such file"),
        (["trial", str(CAT), SHELVES[0], "--distance", "3"], "as 3m or 10ft"),
    ],
)
def test_wrong_calls(words: list[str], hint: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(words) == 2
    error = capsys.readouterr().err
    assert hint in error
    assert len(error.strip().splitlines()) == 1


def test_options_to_try() -> None:
    asked = options_to_try({"width": "40,60", "colors": "4,6,6", "hand": "left"})
    assert [(o.width, o.colors) for o in asked] == [(40, 4), (40, 6), (60, 4), (60, 6)]
    assert {o.hand for o in asked} == {"left"}
    assert options_to_try({}) == [Options()]
    with pytest.raises(BadInput, match="nothing to compare"):
        try_palettes(CAT, [], [Options()])


def test_numbers_of_colours_are_tried_without_a_shelf() -> None:
    trial = try_palettes(CAT, [], options_to_try({"width": "12", "colors": "2,5", "calm": "0"}))
    assert {t.candidate.asked for t in trial.tried} == {2, 5}
    assert {label(trial, t) for t in trial.tried} == {
        "its own colours, 2 yarns",
        "its own colours, 5 yarns",
    }
    by_count = {t.candidate.asked: t for t in trial.tried}
    assert by_count[5].error_mean < by_count[2].error_mean
    plain = chart_picture(CAT, Options(width=12, colors=5, calm=0)).chart
    assert (by_count[5].chart.blocks == plain.blocks).all()


def drawn_chart(**settings: object) -> Chart:
    yarns = (SKY_YARN, SEA_YARN, LAMP_YARN)
    blocks = np.zeros((6, 8), dtype=np.int64)
    blocks[3:] = 1
    blocks[1, 5] = 2
    return Chart("Harbour", blocks, yarns, 13, **settings)  # type: ignore[arg-type]


def test_a_chart_is_tried_as_it_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Block by block, each yarn's blocks in the nearest of the shelf, worked as the chart says."""
    chart = drawn_chart(hand="left", start_corner="bottom-left", habit=named_habit(3, 2, 3))
    (tmp_path / "chart.json").write_bytes(write_chart(chart))
    shelf = tmp_path / "shelf.csv"
    shelf.write_text("name,color\nFog,#b0bfc6\nDeep,#203c58\nAmber,#e8b040\nRed,#ff0000\n")
    trial = try_palettes(tmp_path / "chart.json", [str(shelf)], options_to_try({"tone": "keep"}))
    (one,) = trial.tried
    names = np.array([yarn.name for yarn in one.chart.yarns])
    assert (names[one.chart.blocks] == np.array(["Fog", "Deep", "Amber"])[chart.blocks]).all()
    assert (one.chart.hand, one.chart.start_corner) == ("left", "bottom-left")
    assert one.chart.habit == chart.habit
    assert trial.title == "Harbour"
    other = options_to_try({"tone": "keep", "habit": "cut"})
    (cut,) = try_palettes(tmp_path / "chart.json", [str(shelf)], other).tried
    assert cut.chart.habit.name == "cut"
    assert run(["trial", str(tmp_path / "chart.json"), str(shelf)]) == 0
    assert (tmp_path / "trial.html").exists()
    assert (tmp_path / "chart.json").read_bytes() == write_chart(chart)
    for words, hint in (
        ([str(shelf), "--width", "9"], "--width goes with a picture"),
        ([], "has its yarns"),
    ):
        assert run(["trial", str(tmp_path / "chart.json"), *words]) == 2
        assert hint in capsys.readouterr().err


def test_a_grid_is_tried_as_it_is(tmp_path: Path) -> None:
    grid = tmp_path / "harbour.csv"
    grid.write_text("Sky,Sky,Lamp\nSea,Sea,Sea\n")
    named, other = tmp_path / "named.csv", tmp_path / "other.csv"
    other.write_text("name,color\nFog,#b0bfc6\nDeep,#203c58\nAmber,#e8b040\n")
    named.write_text("name,color\nSky,#aabec8\nSea,#284664\nLamp,#e6aa3c\n")
    trial = try_palettes(grid, [str(other), str(named)], options_to_try({"tone": "keep"}))
    assert trial.title == "Harbour"
    by_shelf = {t.candidate.shelf: t for t in trial.tried}
    assert by_shelf["named"].error_mean == 0  # its names have their shelf's colours
    yarns = np.array([yarn.name for yarn in by_shelf["other"].chart.yarns])
    assert yarns[by_shelf["other"].chart.blocks].tolist() == [["Fog"] * 2 + ["Amber"], ["Deep"] * 3]
    grid.write_text("Sky,Sky,Lamp\nSea,Sea,\n")
    with pytest.raises(BadInput, match="no full rectangle"):
        try_palettes(grid, [str(named)], [Options()])
