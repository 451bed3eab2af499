"""Yarns that fit what is on hand: the search against every choice, and the whole way."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from scipy.optimize import linprog
from scipy.sparse import diags_array, eye_array, kron
from small import small_sample

from pix2block.amounts.yarn_use import amounts_of
from pix2block.color.difference import difference_table
from pix2block.design.k_median import KMedian
from pix2block.design.stock import Choice, solve_within
from pix2block.ground.errors import BadInput
from pix2block.options.picture_rules import Minded
from pix2block.options.table import Options
from pix2block.options.yarn_rules import BorderAsked
from pix2block.recipes import from_picture
from pix2block.recipes.from_picture import chart_picture

SAMPLES = Path(__file__).parent.parent / "sample_images"
SHELF = str(SAMPLES / "shelf_24.csv")
CAT = small_sample("tallow_cat.jpg")


@pytest.fixture(scope="module")
def quarter(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The shelf with a quarter of each yarn, for pieces half as wide."""
    return less_of_each(tmp_path_factory.mktemp("within") / "quarter.csv", 4)


def less_of_each(path: Path, part: int) -> str:
    """The shelf with so many times less of each yarn."""
    lines = [line.split(",") for line in Path(SHELF).read_text(encoding="utf-8").splitlines()]
    at = lines[0].index("skeins")
    less = [[*one[:at], str(float(one[at]) / part), *one[at + 1 :]] for one in lines[1:]]
    path.write_text("\n".join(map(",".join, [lines[0], *less])), encoding="utf-8")
    return str(path)


def best_of_all(problem: KMedian, blocks: np.ndarray, room: np.ndarray) -> Choice:
    """Every choice there is, weighed."""
    best = None
    for size in range(1, problem.most + 1):
        for chosen in itertools.combinations(range(len(problem.table)), size):
            if not set(problem.locked) <= set(chosen):
                continue
            table = problem.table[list(chosen)]
            nearest = table.argmin(axis=0)
            taken = np.bincount(nearest, weights=blocks, minlength=size)
            short = float(np.maximum(taken - room[list(chosen)], 0).sum())
            cost = float(table.min(axis=0) @ problem.weight)
            if best is None or (short, cost) < (best.short, best.cost):
                best = Choice(chosen, cost, short)
    assert best is not None
    return best


def instance(seed: int) -> tuple[KMedian, np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    yarns, points = int(rng.integers(4, 10)), 40
    colors, spots = rng.random((yarns, 3)) * 60, rng.random((points, 3)) * 60
    table = np.linalg.norm(colors[:, None] - spots[None], axis=2)
    blocks = rng.integers(1, 30, points).astype(float)
    most = int(rng.integers(2, min(yarns, 5) + 1))
    locked = (int(rng.integers(yarns)),) if rng.random() < 0.3 else ()
    room = rng.random(yarns) * blocks.sum() * rng.uniform(0.3, 1.5)
    return KMedian(table, blocks * rng.uniform(0.5, 2, points), most, locked), blocks, room


def test_few_choices_are_all_weighed() -> None:
    for seed in range(20):
        problem, blocks, room = instance(seed)
        assert solve_within(problem, blocks, room) == best_of_all(problem, blocks, room)


def test_the_search_against_every_choice() -> None:
    """Of 40 small cases nearly all are solved exactly, what fits is never missed, and none that
    fits is more than 5 % off."""
    exact = 0
    for seed in range(40):
        problem, blocks, room = instance(seed)
        found, best = solve_within(problem, blocks, room, few=0), best_of_all(problem, blocks, room)
        assert set(problem.locked) <= set(found.chosen)
        assert len(found.chosen) <= problem.most
        assert (found.short == 0) == (best.short == 0)
        exact += found.chosen == best.chosen
        if best.short == 0:
            assert found.cost <= best.cost * 1.05
    assert exact >= 36


def test_enough_room_changes_nothing() -> None:
    for seed in range(10):
        problem, blocks, _ = instance(seed)
        everything = np.full(len(problem.table), np.inf)
        best = best_of_all(problem, blocks, everything)
        assert solve_within(problem, blocks, everything).cost == pytest.approx(best.cost)


def test_a_chart_within_the_shelf(tmp_path: Path) -> None:
    shelf = less_of_each(tmp_path / "shelf.csv", 12)
    plain = chart_picture(CAT, Options(width=12, colors=6, shelf=shelf))
    assert any(of.short_by for of in amounts_of(plain.chart).yarns)
    made = chart_picture(CAT, Options(width=12, colors=6, shelf=shelf, within_shelf=True))
    amounts = amounts_of(made.chart)
    assert not any(of.short_by for of in amounts.yarns)
    assert all(of.to_buy == 0 for of in amounts.yarns)
    assert len(made.chart.yarns) <= 6
    assert "Every yarn fits what is on hand" in made.decisions[-1]


def test_where_all_fits_the_choice_is_the_usual_one() -> None:
    few = Options(width=9, colors=4, shelf=SHELF)
    plain = chart_picture(CAT, few).chart
    within = chart_picture(CAT, Options(width=9, colors=4, shelf=SHELF, within_shelf=True)).chart
    assert within.yarns == plain.yarns
    assert (within.blocks == plain.blocks).all()


def test_what_lacks_least_is_told(quarter: str) -> None:
    options = Options(width=30, colors=2, shelf=quarter, within_shelf=True)
    made = chart_picture(CAT, options)
    lacks = [
        (yarn.name, of.to_buy)
        for yarn, of in zip(made.chart.yarns, amounts_of(made.chart).yarns, strict=True)
        if of.short_by
    ]
    assert lacks
    assert "This one lacks least: " in made.decisions[-1]
    for name, skeins in lacks:
        assert f"of {name} ({skeins} skein" in made.decisions[-1]


def test_a_border_counts_too(tmp_path: Path) -> None:
    """Chalk would do for the blocks, but not for the border as well."""
    shelf = tmp_path / "shelf.csv"
    shelf.write_text(
        "name,color,metres,skeins\nChalk,white,100,1.5\nPaper,#f8f8f8,100,9\nTar,#222222,100,9\n",
        encoding="utf-8",
    )
    badge = small_sample("club_badge.png")
    common = {"width": 16, "colors": 2, "shelf": str(shelf), "within_shelf": True}
    asked = Options(**common, border=BorderAsked(9, "dc", "Chalk"), lock=("Chalk",))  # type: ignore[arg-type]
    lone = chart_picture(badge, Options(**common)).chart  # type: ignore[arg-type]
    bordered = chart_picture(badge, asked)
    assert not any(of.short_by for of in amounts_of(lone).yarns)
    assert "lacks least" in bordered.decisions[-1]


def test_yarns_of_unknown_stock_are_left_out(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf.csv"
    shelf.write_text(
        "name,color,metres,skeins\nChalk,white,200,5\nPaper,#f0f0f0,200,\nTar,#222222,200,5\n",
        encoding="utf-8",
    )
    options = Options(width=9, shelf=str(shelf), within_shelf=True, mind=(Minded((0, 0, 50, 50)),))
    made = chart_picture(small_sample("club_badge.png"), options)
    assert "Paper" not in [yarn.name for yarn in made.chart.yarns]
    assert any("it is not told how much is on hand: Paper" in d for d in made.decisions)
    shelf.write_text("name,color\nChalk,white\n", encoding="utf-8")
    with pytest.raises(BadInput, match="give the shelf columns skeins and metres"):
        chart_picture(small_sample("club_badge.png"), options)
    with pytest.raises(BadInput, match="within_shelf goes with the yarns of a shelf"):
        chart_picture(small_sample("club_badge.png"), Options(width=9, within_shelf=True))


def test_blocks_move_where_no_choice_of_whole_yarns_fits(tmp_path: Path) -> None:
    """Keeping every block in its nearest yarn, no eight yarns of the shelf are enough here."""
    shelf = less_of_each(tmp_path / "shelf.csv", 12)
    asked = Options(width=20, colors=8, shelf=shelf, within_shelf=True)
    made = chart_picture(CAT, asked)
    assert not any(of.short_by for of in amounts_of(made.chart).yarns)
    (told,) = [d for d in made.decisions if "became" in d]
    assert told.startswith("To keep within what is on hand, ")


def test_the_error_is_near_the_linear_bound() -> None:
    """With the yarns that were chosen and the metres that a block of each takes at the most, tails
    included: a linear program of SciPy's (HiGHS) may do no more than 2 % better. Every block alike:
    where a subject counts, blocks on its edges take a side, which costs error on purpose."""
    asked = Options(width=50, colors=8, shelf=SHELF, within_shelf=True, calm=0, aim="area")
    asked = replace(asked, subject="none")
    chart = chart_picture(CAT, asked).chart
    assert chart.source is not None
    amounts = amounts_of(chart)
    used = np.flatnonzero(chart.blocks_by_yarn)
    error = difference_table(chart.source.means.reshape(-1, 3), chart.yarn_rgb[used])
    rates = np.array([amounts.yarns[i].metres_high / amounts.yarns[i].blocks for i in used])
    stock = np.array([chart.yarns[i].on_hand_m for i in used])
    blocks, yarns = error.shape
    every = kron(eye_array(blocks), np.ones((1, yarns))).tocsr()
    full = kron(np.ones((1, blocks)), diags_array(rates)).tocsr()
    bound = linprog(*(error.ravel(), full, stock, every, np.ones(blocks)), method="highs")
    assert bound.success
    place = {int(yarn): at for at, yarn in enumerate(used)}
    found = sum(error[i, place[int(n)]] for i, n in enumerate(chart.blocks.ravel()))
    assert bound.fun <= found <= 1.02 * bound.fun


def test_a_chart_that_is_not_calmed_after_all_is_in_the_class_of_its_yarns(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(from_picture, "kept_within", lambda plain, _: (plain, ""))
    shelf = tmp_path / "shelf.csv"
    lines = ["Marmalade,#d08a3c,3,200,9", "Chalk,#f1ede2,3,200,9", "Tar,#20232a,4,200,9"]
    more = [f"Grass {n},#00{n}000,4,200,9" for n in range(4, 9)]
    shelf.write_text("name,color,weight,metres,skeins\n" + "\n".join(lines + more) + "\n")
    picture = tmp_path / "two.png"
    Image.fromarray(
        np.array([[[208, 138, 60]] * 9, [[241, 237, 226]] * 9] * 4, dtype=np.uint8)
    ).save(picture)
    options = Options(width=9, shelf=str(shelf), within_shelf=True)
    assert chart_picture(picture, options).chart.weight == 3
