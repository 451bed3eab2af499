"""Choosing yarns: K-median against brute force, proven bounds, colours against ready-made ones."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
import skimage.data
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from scipy.cluster.vq import kmeans2

import pix2block
from pix2block.color.difference import difference_table
from pix2block.color.spaces import Bytes, distinct, from_lab, rgb_array, to_lab
from pix2block.design.k_median import (
    KMedian,
    greedy_start,
    lower_bound,
    random_start,
    solve,
    swap_search,
)
from pix2block.design.palette import (
    nearest_yarns,
    yarns_from_picture,
    yarns_from_shelf,
)
from pix2block.design.refine import best_colors, stand_ins
from pix2block.ground.errors import BadInput
from pix2block.picture.blocks import block_means, frame_picture
from pix2block.picture.picture import open_picture
from pix2block.yarn.yarn import Yarn

SAMPLES = Path(__file__).parent.parent / "sample_images"


def problem_of(seed: int, candidates: int, points: int, most: int, locked: int = 0) -> KMedian:
    rng = np.random.default_rng(seed)
    table = difference_table(
        rng.integers(0, 256, (candidates, 3), dtype=np.uint8),
        rng.integers(0, 256, (points, 3), dtype=np.uint8),
    )
    weight = rng.uniform(0, 3, points)
    return KMedian(table, weight, most, tuple(range(locked)))


def brute_force(problem: KMedian) -> float:
    others = [i for i in range(len(problem.table)) if i not in problem.locked]
    return min(
        problem.cost([*problem.locked, *more])
        for more in combinations(others, problem.most - len(problem.locked))
    )


@settings(max_examples=40)
@given(st.integers(0, 10**6), st.integers(1, 9), st.integers(1, 30), st.data())
def test_k_of_n_against_brute_force(
    seed: int, candidates: int, points: int, data: st.DataObject
) -> None:
    most = data.draw(st.integers(1, candidates))
    locked = data.draw(st.integers(0, most - 1))
    problem = problem_of(seed, candidates, points, most, locked)
    best = brute_force(problem)
    chosen, gap = solve(problem)
    assert set(problem.locked) <= set(chosen)
    assert len(set(chosen)) == len(chosen) <= most
    found = problem.cost(chosen)
    assert found >= best * (1 - 1e-9)
    bound, _ = lower_bound(problem, found)
    assert bound <= best * (1 + 1e-9) + 1e-9
    assert gap >= found / max(best, 1e-12) - 1 - 1e-6 or best < 1e-9
    assert found <= best * 1.05 + 1e-9


@pytest.mark.parametrize("most", [4, 8, 12])
@pytest.mark.parametrize("name", ["tallow_cat.jpg", "fog_morning.png", "club_badge.png"])
def test_shelf_choice_is_proven(name: str, most: int) -> None:
    picture = open_picture(SAMPLES / name)
    means = block_means(picture, frame_picture(picture.size, 40))
    shelf = pix2block.open_shelf(SAMPLES / "shelf_24.csv").yarns
    palette = yarns_from_shelf(means, np.ones(means.shape[:2]), shelf, most)
    assert palette.gap is not None
    assert 0 <= palette.gap <= 0.003
    assert len(palette.yarns) == most
    # A greedy choice of the yarns that are nearest most often is no better.
    rgb = rgb_array([yarn.color for yarn in shelf])
    frequent = np.argsort(-np.bincount(nearest_yarns(means, rgb).ravel(), minlength=24))[:most]
    ours = rgb_array([yarn.color for yarn in palette.yarns])
    assert mean_error(means, ours) <= mean_error(means, rgb[frequent]) + 1e-9


def mean_error(means: Bytes, colors: Bytes) -> float:
    return float(difference_table(means.reshape(-1, 3), colors).min(axis=1).mean())


@given(st.integers(0, 10**6), st.integers(1, 6))
@settings(max_examples=25)
def test_swaps_never_make_it_worse(seed: int, most: int) -> None:
    points = np.random.default_rng(seed).integers(0, 256, (30, 3), dtype=np.uint8)
    problem = KMedian(difference_table(points, points), np.ones(30), most)
    rng = np.random.default_rng(seed)
    for start in (greedy_start(problem), random_start(problem, rng)):
        assert len(set(start)) == len(start) == most
        assert problem.cost(swap_search(problem, start)) <= problem.cost(start) * (1 + 1e-9)


@pytest.mark.parametrize("name", ["astronaut", "chelsea", "coffee", "rocket"])
@pytest.mark.parametrize("most", [4, 8])
def test_colors_beat_k_means_on_open_pictures(name: str, most: int) -> None:
    """scikit-image's pictures; the yardstick is SciPy's k-means in CIELAB on the same blocks."""
    image = Image.fromarray(getattr(skimage.data, name)()).reduce(4)
    means = np.asarray(image.resize((40, 50), Image.Resampling.BOX))
    unique, which = distinct(means)
    weight = np.bincount(which.ravel()).astype(float)
    ours = best_colors(to_lab(unique), weight, most, 1, np.zeros((0, 3), np.uint8))
    points = to_lab(means.reshape(-1, 3))
    theirs = min(
        mean_error(means, from_lab(kmeans2(points, most, minit="++", rng=seed)[0]))
        for seed in range(5)
    )
    assert mean_error(means, ours) < 0.985 * theirs


def test_same_seed_same_colors() -> None:
    rng = np.random.default_rng(4)
    lab = to_lab(rng.integers(0, 256, (1500, 3), dtype=np.uint8))
    none = np.zeros((0, 3), np.uint8)
    weight = rng.uniform(0, 2, 1500)
    one, again = (best_colors(lab, weight, 5, 3, none) for _ in range(2))
    assert (one == again).all()


def test_stand_ins_keep_weight_and_stay_near() -> None:
    rng = np.random.default_rng(5)
    lab = to_lab(rng.integers(0, 256, (3000, 3), dtype=np.uint8))
    weight = rng.uniform(0, 2, 3000)
    few = stand_ins(lab, weight, 300)
    assert len(few.lab) <= 300
    assert few.weight.sum() == pytest.approx(weight.sum())
    assert np.abs(few.lab[few.which] - lab).max() < 60
    assert stand_ins(lab[:200], weight[:200], 300).which.tolist() == list(range(200))


def two_halves() -> Bytes:
    """A large grey field with soft noise and four red blocks."""
    rng = np.random.default_rng(6)
    means = rng.integers(90, 170, (30, 30, 1), dtype=np.uint8).repeat(3, axis=2)
    means[10:12, 10:12] = (190, 20, 30)
    return means


def test_weights_bring_a_small_thing_back() -> None:
    means = two_halves()
    weights = np.ones((30, 30))
    plain = yarns_from_picture(means, weights, 3, 1)
    weights[10:12, 10:12] = 100
    minded = yarns_from_picture(means, weights, 3, 1)

    def error_there(blocks: object, yarns: tuple[Yarn, ...]) -> float:
        del blocks
        return mean_error(means[10:12, 10:12], rgb_array([y.color for y in yarns]))

    assert error_there(plain.blocks, plain.yarns) > 20
    assert error_there(minded.blocks, minded.yarns) < 1


def test_a_spot_gets_its_yarn() -> None:
    means = two_halves()
    spot = means[10, 10][None]
    palette = yarns_from_picture(means, np.ones((30, 30)), 4, 1, spot)
    assert "#be141e" in [yarn.color for yarn in palette.yarns]
    assert len({int(n) for n in palette.blocks[10:12, 10:12].ravel()}) == 1
    with pytest.raises(BadInput, match="raise colors"):
        yarns_from_picture(means, np.ones((30, 30)), 1, 1, means[[10, 0], [10, 0]])


def test_locked_and_banned_yarns() -> None:
    means = two_halves()
    shelf = pix2block.open_shelf(SAMPLES / "shelf_24.csv").yarns
    weights = np.ones((30, 30))
    free = yarns_from_shelf(means, weights, shelf, 4)
    names = [yarn.name for yarn in shelf]
    best = names.index(free.yarns[0].name)
    odd = names.index("Samphire")
    held = yarns_from_shelf(means, weights, shelf, 4, (odd,), (best,))
    chosen = [yarn.name for yarn in held.yarns]
    assert "Samphire" in chosen
    assert names[best] not in chosen
    spotted = yarns_from_shelf(means, weights, shelf, 4, spots=means[10, 10][None])
    assert "Pennant" in [yarn.name for yarn in spotted.yarns]
    with pytest.raises(BadInput, match="banned"):
        yarns_from_shelf(means, weights, shelf, 4, (), tuple(range(24)))
    with pytest.raises(BadInput, match="locked"):
        yarns_from_shelf(means, weights, shelf, 1, (0, 1))
    with pytest.raises(BadInput, match="both"):
        yarns_from_shelf(means, weights, shelf, 4, (0, 1), (1,))


def test_fewer_colors_than_asked_are_kept_as_they_are() -> None:
    means = np.array([[[1, 2, 3], [200, 100, 50]]], dtype=np.uint8)
    palette = yarns_from_picture(means, np.ones((1, 2)), 8, 1)
    assert sorted(yarn.color for yarn in palette.yarns) == ["#010203", "#c86432"]


def test_a_search_keeps_what_is_locked_where_all_is() -> None:
    """Nothing may leave: the start stands, though an exchange would be nearer."""
    table = np.array([[0.0, 0.0], [9.0, 9.0]])
    problem = KMedian(table, np.ones(2), 1, locked=(1,))
    assert swap_search(problem, [1]) == [1]
    assert solve(problem)[0] == [1]
