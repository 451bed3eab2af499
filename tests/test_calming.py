"""Calming: fewer tails within a budget of colour error, every count true."""

from __future__ import annotations

import csv
import io
import json
import re
from contextlib import redirect_stdout
from dataclasses import replace
from functools import cache
from pathlib import Path
from shutil import copytree
from typing import Any

import numpy as np
import pytest
import skimage.data
from hypothesis import given, settings
from hypothesis import strategies as st
from makers import habits, layouts
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import binary_dilation
from small import small_sample

import pix2block
from pix2block.calming.calm import calm
from pix2block.calming.edges import wanted_borders
from pix2block.calming.guards import Guard, guards_of, lost_guards
from pix2block.calming.kernel import Kernel
from pix2block.calming.links import possible_links
from pix2block.calming.search import Search
from pix2block.calming.setting_up import laid_out, piece_of
from pix2block.calming.state import BEYOND, BORDERS, LINKS, PAID, PLAIN, RUNS, Prices
from pix2block.calming.task import Calming, TradePoint, true_step
from pix2block.chart.reading import read_chart, write_chart
from pix2block.color.spaces import to_lab
from pix2block.command.cli import run
from pix2block.craft.diagonal import Layout
from pix2block.craft.runs import find_runs
from pix2block.craft.strands import allowed_links, plan_strands
from pix2block.design.areas import Area, areas_of
from pix2block.design.kept_features import lost_features
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import HABITS, Habit, HabitName
from pix2block.options.table import Options
from pix2block.pages.calm_sheet import calm_sheet
from pix2block.recipes.from_picture import chart_picture
from pix2block.reports.tables import calm_csv
from pix2block.reports.words import calm_lines

CAT = small_sample("tallow_cat.jpg")
pytestmark = pytest.mark.usefixtures("few_files")


def task_of(layout: Layout, habit: Habit, yarns: int, seed: int, percent: float) -> Calming:
    rng = np.random.default_rng(seed)
    shape = (layout.height, layout.width)
    return Calming(
        layout=layout,
        habit=habit,
        error=rng.random((*shape, yarns)) * 9,
        weights=rng.random(shape) + 0.1,
        yarns=rng.integers(0, 256, (yarns, 3), dtype=np.uint8),
        percent=percent,
        seed=seed,
    )


def strands_of(layout: Layout, habit: Habit, blocks: NDArray[np.int64]) -> int:
    return plan_strands(find_runs(blocks, layout), layout, habit).strands


@given(layouts(), habits, st.integers(0, 2**32 - 1))
def test_possible_links_are_those_allowed(layout: Layout, habit: Habit, seed: int) -> None:
    blocks = np.random.default_rng(seed).integers(0, 3, (layout.height, layout.width))
    blocks = np.where(layout.row_numbers() <= layout.last_row, blocks, -1)
    runs = find_runs(blocks, layout)
    u, v, _ = allowed_links(runs, layout, habit)
    ends = runs.starts + runs.blocks - 1
    wanted = set(zip(ends[u].tolist(), runs.starts[v].tolist(), strict=True))
    links = possible_links(layout, habit)
    starting = dict(zip(runs.starts.tolist(), runs.color.tolist(), strict=True))
    found = {
        (end, start)
        for end, color in zip(ends.tolist(), runs.color.tolist(), strict=True)
        for start in links.after[links.after_at[end] : links.after_at[end + 1]].tolist()
        if starting.get(start) == color
    }
    assert found == wanted


@settings(deadline=None)
@given(layouts(), habits, st.integers(2, 4), st.integers(0, 2**32 - 1), st.booleans())
def test_counts_stay_true(
    layout: Layout, habit: Habit, yarns: int, seed: int, capped: bool
) -> None:
    """After any moves, taken and refused, totals are those counted from the labels alone, and the
    strands those of the plan."""
    task = task_of(layout, habit, yarns, seed, 5)
    piece = piece_of(layout, habit, task.error, task.weights, np.zeros((yarns, 3)))
    lines, columns, _ = layout.order
    kernel = Kernel(piece, task.nearest[lines, columns], seed)
    kernel.count_all(2)
    for tail in (0.1, 1.0, 4.0):
        prices = Prices(tail, 0.15 * tail, tail if capped else 0.0, np.inf, np.inf, 2)
        kernel.anneal(prices, (0.3 * tail, 0.05 * tail), 200)
        kept = kernel.total
        blocks = laid_out(layout, kernel.labels)
        assert kept[RUNS] - kept[LINKS] == strands_of(layout, habit, blocks)
        kernel.count_all(2)
        for which in (PAID, PLAIN, BORDERS, RUNS, LINKS) + ((BEYOND,) if capped else ()):
            assert kept[which] == pytest.approx(kernel.total[which], abs=1e-6)


@settings(deadline=None, max_examples=15)
@given(layouts(12), st.sampled_from(list(HABITS)), st.integers(0, 1000), st.sampled_from((2, 8)))
def test_budget_is_kept_and_tails_do_not_grow(
    layout: Layout, name: str, seed: int, percent: float
) -> None:
    task = task_of(layout, HABITS[name], 3, seed, percent)
    start, end = true_step(task, task.nearest), calm(task)
    assert end.error <= start.error * (1 + percent / 100) + 1e-9
    assert end.tails <= start.tails
    assert end.tails == 2 * strands_of(layout, task.habit, end.blocks)
    again = calm(task)
    assert (again.blocks == end.blocks).all()


def test_no_budget_changes_nothing() -> None:
    task = task_of(Layout(6, 5, 10, "bottom-right", "right"), HABITS["cut"], 3, 1, 0)
    assert (calm(task).blocks == task.nearest).all()
    exact = replace(task, percent=50.0, error=np.where(task.error < 5, 0.0, task.error))
    exact = replace(exact, error=exact.error - exact.error.min(axis=2, keepdims=True))
    assert (calm(exact).blocks == exact.nearest).all()


def test_the_order_of_yarns_changes_nothing() -> None:
    """A chart that is calmed again for another way of working has its yarns in another order."""
    task, alike = skimage_task("chelsea", "carry", 5), calmed("chelsea", "carry", 5)
    order = np.random.default_rng(1).permutation(len(task.yarns))
    other = replace(task, error=task.error[..., order], yarns=task.yarns[order])
    assert (order[calm(other).blocks] == alike.blocks).all()


def test_weights_are_respected() -> None:
    """What counts a hundredfold keeps its yarns."""
    layout = Layout(16, 16, 31, "bottom-right", "right")
    task = task_of(layout, HABITS["pickup"], 3, 7, 20)
    weights = np.ones((16, 16))
    weights[4:12, 4:12] = 100
    changed = calm(replace(task, weights=weights)).blocks != task.nearest
    assert changed[weights == 1].mean() > 0.25
    assert changed[4:12, 4:12].mean() < 0.6 * changed[weights == 1].mean()


@cache
def skimage_task(name: str, habit: str, percent: float) -> Calming:
    """An open picture that scikit-image carries (skimage.data), 40 x 50 blocks."""
    picture = Image.fromarray(getattr(skimage.data, name)()).convert("RGB")
    small = picture.resize((40, 50), Image.Resampling.BOX)
    means = np.asarray(small)
    yarns = np.asarray(small.quantize(6).convert("RGB")).reshape(-1, 3)
    yarns = np.unique(yarns, axis=0)
    from pix2block.color.difference import difference_table

    error = difference_table(means.reshape(-1, 3), yarns).reshape(50, 40, -1)
    task = Calming(
        layout=Layout(40, 50, 89, "bottom-right", "right"),
        habit=HABITS[habit],
        error=error,
        weights=np.ones((50, 40)),
        yarns=yarns,
        percent=percent,
    )
    guards = guards_of(means, yarns, task.nearest)
    return replace(task, guards=guards)


@cache
def calmed(name: str, habit: str, percent: float) -> TradePoint:
    """The same calmed, once for all that look at it."""
    return calm(skimage_task(name, habit, percent))


@pytest.mark.parametrize(("habit", "share"), [("cut", 0.85), ("pickup", 0.65), ("carry", 0.65)])
def test_tails_fall_on_open_pictures(habit: str, share: float) -> None:
    for name in ("chelsea", "coffee"):
        task = skimage_task(name, habit, 5)
        assert calmed(name, habit, 5).tails <= share * true_step(task, task.nearest).tails


def test_what_is_seen_at_edges_stays() -> None:
    """Fewer blocks merge across the picture's edges, within the same budget."""
    picture = Image.fromarray(skimage.data.chelsea()).convert("RGB")
    means = np.asarray(picture.resize((40, 50), Image.Resampling.BOX))
    task = skimage_task("chelsea", "pickup", 5)
    edges = wanted_borders(means, task.nearest)
    assert 0.05 < (edges > 0).mean() < 0.5

    def merged(blocks: NDArray[np.int64]) -> int:
        return int((edges[..., 3][:, :-1] > 0)[blocks[:, 1:] == blocks[:, :-1]].sum())

    assert merged(task.nearest) == 0
    without, within = calmed("chelsea", "pickup", 5), calm(replace(task, edges=edges))
    assert merged(within.blocks) < 0.92 * merged(without.blocks)
    assert within.error <= 1.05 * task.start.error + 1e-9


def test_shown_features_are_not_lost() -> None:
    for name in ("astronaut", "chelsea", "coffee"):
        task = skimage_task(name, "pickup", 15)
        assert task.guards
        assert lost_guards(task.guards, task.yarns, task.nearest) == ()
        assert lost_guards(task.guards, task.yarns, calm(task).blocks) == ()


def test_a_lost_feature_is_given_back_and_the_search_goes_on(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Not begun anew: the chart is the one that was found, but for what the feature takes."""
    task = skimage_task("coffee", "pickup", 10)
    free = calmed("coffee", "pickup", 10)
    guard = min(task.guards, key=lambda one: _contrast(task, one, free.blocks) / one.contrast)
    assert _contrast(task, guard, free.blocks) < 0.95 * guard.contrast
    found = iter([(guard,)])
    begun = []

    class Counted(Search):
        def __init__(self, *words: Any) -> None:
            super().__init__(*words)
            begun.append(self)

    monkeypatch.setattr("pix2block.calming.calm.Search", Counted)
    monkeypatch.setattr("pix2block.calming.calm.lost_guards", lambda *_: next(found, ()))
    kept = calm(task)
    assert len(begun) == 1
    assert _contrast(task, guard, kept.blocks) >= 0.98 * guard.contrast - 1e-6
    assert kept.error <= 1.1 * task.start.error + 1e-9
    assert kept.tails < 1.1 * free.tails
    assert (kept.blocks != free.blocks).mean() < 0.5 * (kept.blocks != task.nearest).mean()


def _contrast(task: Calming, guard: Guard, blocks: NDArray[np.int64]) -> float:
    lab = to_lab(task.yarns)[blocks]
    inside, around = lab[guard.feature.mask], lab[guard.feature.ring]
    return float((inside.mean(axis=0) - around.mean(axis=0)) @ guard.toward)


def test_an_area_that_the_chart_shows_is_not_lost() -> None:
    """An area goes into its surroundings' yarn, as calming would have it: it stays as it was, and
    the rest is calmed. One that was lost before tells nothing."""
    task = skimage_task("coffee", "pickup", 10)
    free = calmed("coffee", "pickup", 10)
    mask = np.zeros(task.nearest.shape, dtype=bool)
    mask[15:30, 12:26] = True
    beside = binary_dilation(mask) & ~mask
    assert (free.blocks != task.nearest)[mask].sum() > 9
    area = Area(mask, "#804020", 12.0, "#a06030", 0, 0.6, beside)

    def changed(blocks: NDArray[np.int64]) -> tuple[Area, ...]:
        return (area,) if (blocks != task.nearest)[mask].any() else ()

    kept = calm(replace(task, areas=changed))
    assert (kept.blocks == task.nearest)[mask | beside].all()
    assert kept.tails < 0.5 * (task.start.tails + free.tails)
    always = calm(replace(task, areas=lambda _: (area,)))
    assert (always.blocks == free.blocks).all()


@cache
def cat_of_30(habit: HabitName) -> pix2block.Study:
    """The cat 30 blocks wide, calmed by 5 %."""
    return chart_picture(CAT, Options(width=30, colors=8, calm=5, habit=habit))


def test_what_calming_leaves_shows_the_areas_that_were_shown() -> None:
    made = cat_of_30("pickup").chart
    assert made.uncalmed is not None
    assert areas_of(made.uncalmed) == ()
    assert areas_of(made) == ()


def test_most_hanging_is_sought() -> None:
    task = skimage_task("coffee", "pickup", 10)
    free = calmed("coffee", "pickup", 10)
    capped = calm(replace(task, most_hanging=free.most_hanging - 2))
    assert capped.most_hanging <= free.most_hanging - 2
    assert capped.error <= true_step(task, task.nearest).error * 1.1 + 1e-9


def test_chart_keeps_what_calming_did() -> None:
    plain = pix2block.chart_picture(CAT, pix2block.Options(width=24, colors=5, calm=0.0)).chart
    chart = pix2block.chart_picture(CAT, pix2block.Options(width=24, colors=5, calm=6.0)).chart
    assert plain.calmed is None
    assert chart.calmed is not None
    assert chart.uncalmed is not None
    colors = [c.yarn_rgb[c.blocks] for c in (plain, chart.uncalmed)]
    assert (colors[0] == colors[1]).all()
    assert chart.calmed.error_before < chart.calmed.error_after
    assert chart.calmed.error_after <= chart.calmed.error_before * 1.06 + 1e-4
    counts = chart.blocks_by_yarn.tolist()
    assert counts == sorted(counts, reverse=True)
    again, _ = read_chart(write_chart(chart), "chart.json")
    assert write_chart(again) == write_chart(chart)
    assert again.calmed is not None
    edited = again.blocks.copy()
    edited[0, 0] = (edited[0, 0] + 1) % len(again.yarns)
    by_hand = replace(again, blocks=edited)
    assert by_hand.uncalmed is None
    assert by_hand.calmed is again.calmed
    shown = {(f.place, f.blocks) for f in lost_features(chart)}
    assert shown <= {(f.place, f.blocks) for f in lost_features(chart.uncalmed)}


@pytest.fixture(scope="module")
def cat_calmed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A folder of a calmed cat, and what was printed of it; made once."""
    place, out = tmp_path_factory.mktemp("cat"), io.StringIO()
    words = ["--calm", "6", "--without", "proof,pdf,preview", "--out", str(place)]
    with redirect_stdout(out):
        assert run(["chart", str(CAT), "--width", "24", "--colors", "5", *words]) == 0
    return place, out.getvalue()


def test_summary_tells_tails_before_in_the_habit_of_now(
    tmp_path: Path, cat_calmed: tuple[Path, str]
) -> None:
    copytree(cat_calmed[0], tmp_path, dirs_exist_ok=True)
    told = json.loads((tmp_path / "summary.json").read_text())["calm"]
    assert told["percent"] == 6
    assert json.loads((tmp_path / "summary.json").read_text())["tails"] < told["tails_before"]
    place = str(tmp_path / "chart.json")
    assert run(["report", place, "--habit", "cut", "--out", str(tmp_path / "cut")]) == 0
    cut = json.loads((tmp_path / "cut" / "summary.json").read_text())["calm"]
    assert cut["tails_before"] > told["tails_before"]
    assert cut["error_after"] == told["error_after"]


def test_a_block_changed_by_hand_leaves_what_calming_did(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], cat_calmed: tuple[Path, str]
) -> None:
    words = ["--without", "proof,pdf,preview", "--out", str(tmp_path)]
    copytree(cat_calmed[0], tmp_path, dirs_exist_ok=True)
    before = json.loads((tmp_path / "summary.json").read_text())
    (line,) = (one for one in cat_calmed[1].split("\n") if "Fewer tails" in one)
    place = tmp_path / "chart.json"
    kept = json.loads(place.read_text())
    # Yarns exchanged wholesale: what calming changed could no longer be told from the blocks.
    kept["blocks"] = [[0 if number == 1 else number for number in row] for row in kept["blocks"]]
    place.write_text(json.dumps(kept))
    for _ in range(2):  # also after it was saved again
        assert run(["report", str(place), *words]) == 0
        after = json.loads((tmp_path / "summary.json").read_text())
        assert after["calm"] == before["calm"]
        assert (after["seen_near"], after["seen_far"]) == (None, None)
        (told,) = (one for one in capsys.readouterr().out.split("\n") if "Fewer tails" in one)
        assert told == line.replace(" (--calm", ", when it was calmed (--calm")
    # A file that does not tell those tails still gives the errors.
    for key in ("tails_before", "tails_after"):
        del kept["source"]["calmed"][key]
    place.write_text(json.dumps(kept))
    assert run(["report", str(place), *words]) == 0
    calm = json.loads((tmp_path / "summary.json").read_text())["calm"]
    assert calm == {**before["calm"], "tails_before": None}
    assert "Fewer tails" not in capsys.readouterr().out


def test_figures_that_are_kept_are_of_the_way_it_was_worked_last(
    tmp_path: Path, cat_calmed: tuple[Path, str]
) -> None:
    words = ["--without", "proof,pdf,preview", "--out", str(tmp_path)]
    copytree(cat_calmed[0], tmp_path, dirs_exist_ok=True)
    place = tmp_path / "chart.json"
    assert run(["report", str(place), "--habit", "cut", *words]) == 0
    cut = json.loads((tmp_path / "summary.json").read_text())
    kept = json.loads(place.read_text())
    assert kept["source"]["calmed"]["tails_after"] == cut["tails"]
    kept["blocks"][0][0] = (kept["blocks"][0][0] + 1) % 5
    place.write_text(json.dumps(kept))
    assert run(["report", str(place), *words]) == 0
    assert json.loads((tmp_path / "summary.json").read_text())["calm"] == cut["calm"]


@pytest.mark.every_file("calm.png")
def test_the_curve_is_of_pieces_as_they_are_made(tmp_path: Path) -> None:
    words = ["--width", "12", "--colors", "4", "--curve", "--without", "pdf,preview,proof"]
    assert run(["chart", str(CAT), *words, "--out", str(tmp_path)]) == 0
    rows = list(csv.DictReader(io.StringIO((tmp_path / "calm.csv").read_text())))
    assert [row["bend"] for row in rows].count("yes") == 1
    assert [int(row["tails"]) for row in rows] == sorted({int(row["tails"]) for row in rows})[::-1]
    row = rows[2]
    asked = [*words[:4], "--calm", row["calm"], *words[5:], "--out", str(tmp_path / "one")]
    assert run(["chart", str(CAT), *asked]) == 0
    made = json.loads((tmp_path / "one" / "summary.json").read_text())
    assert (made["tails"], made["most_attached"]) == (int(row["tails"]), int(row["most_hanging"]))
    for name in ("color_error_mean", "seen_near", "seen_far", "weave_in_hours"):
        assert made[name] == float(row[name])
    assert len(made["features_lost"]) == int(row["features_lost"])
    with Image.open(tmp_path / "calm.png") as sheet:
        assert sheet.width > 1000


def test_curve_sheet_shows_the_bend() -> None:
    curve = pix2block.chart_picture(CAT, pix2block.Options(width=12, colors=4)).curve
    assert curve is not None
    assert curve.points[0].calm == curve.points[0].percent == 0
    for point in curve.points[1:]:
        assert 0 < point.percent <= point.calm + 0.01
    sheet = calm_sheet("Tallow", curve)
    texts = [item.text for item in sheet.items if hasattr(item, "text")]
    for point in curve.points:
        assert f"{point.tails:,} tails" in texts
        assert ("calm 0, the truest" if not point.calm else f"calm {point.calm:g} %") in texts
    first = curve.points[0].tails
    axis = [float(text.replace(",", "")) for text in texts if re.fullmatch(r"[\d,]+", text)]
    steps = np.diff(axis[: axis.index(max(axis)) + 1])
    assert len(set(steps.tolist())) == 1
    assert steps[0] / 10 ** np.floor(np.log10(steps[0])) in (1, 2, 2.5, 5)
    assert max(axis) >= first
    assert any(text.startswith("the bend: ") for text in texts)
    assert 0 < curve.bend < len(curve.points) - 1
    assert calm_csv(curve).count("\n") == len(curve.points) + 1


def test_refused_words() -> None:
    with pytest.raises(BadInput, match="raise calm above 0"):
        pix2block.chart_picture(CAT, pix2block.Options(width=9, calm=0.0, most_hanging=3))


def test_too_long_a_reach_is_told() -> None:
    layout = Layout(300, 300, 599, "bottom-right", "right")
    with pytest.raises(BadInput, match="calming cannot weigh"):
        possible_links(layout, Habit("own", 200.0, 300, 1))


@pytest.mark.parametrize("habit", ["pickup", "carry"])
def test_both_budgets_hold(habit: HabitName) -> None:
    """Under the usual aim blocks count unevenly: neither the weighted nor the plain mean error
    grows by more than was allowed, and most of it is used."""
    study = cat_of_30(habit)
    source, calmed = study.chart.source, study.chart.calmed
    assert source is not None
    assert calmed is not None
    assert source.weights is not None
    grown = 100 * (calmed.error_after / calmed.error_before - 1)
    plain = 100 * ((calmed.mean_after or 0) / (calmed.mean_before or 1) - 1)
    assert max(grown, plain) <= 5.001
    assert max(grown, plain) > 3.5
    mean, _ = study.color_error
    assert mean == pytest.approx(calmed.mean_after, abs=1e-3)
    (told,) = [line for line in calm_lines(study) if "Fewer tails" in line]
    before, after = study.calming_tails or (0, 0)
    assert told.startswith(f"Fewer tails: {after} in place of {before}, ")
    assert "%" not in told
