"""Yarns are swapped for what reads: small parts, their hue, edges between areas."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import skimage.data
from PIL import Image

from pix2block.color.spaces import Bytes, decoding_table
from pix2block.design.features import find_features
from pix2block.design.legible import Search, choice_of, guarded, what_should_read
from pix2block.design.likeness import error_figures
from pix2block.options.table import Options
from pix2block.recipes.from_picture import chart_picture

LOOSE = 1.2
COAT, DARK, EYE = (190, 120, 60), (120, 70, 40), (70, 150, 60)


def creature() -> Bytes:
    """Two browns in a gradient, and green eyes on it."""
    across = np.linspace(0, 1, 40)[None, :, None]
    field = np.array(COAT) * (1 - across) + np.array(DARK) * across
    means = np.broadcast_to(field, (40, 40, 3)).round().astype(np.uint8).copy()
    means[12:15, 10:13] = means[12:15, 26:29] = EYE
    return means


def test_a_feature_gets_a_yarn() -> None:
    means = creature()
    share, weights = np.ones((40, 40)), np.ones((40, 40))
    browns = [(185, 117, 60), (155, 95, 50), (125, 75, 42), (140, 85, 45)]
    candidates = np.array([*browns, EYE], dtype=np.uint8)
    legible = what_should_read(means, means, share, find_features(means))
    choice = choice_of(means, weights, candidates)
    first = [0, 1, 2, 3]
    before = choice.errors(first)
    search = Search(choice, legible, float(before[0]), LOOSE * before)
    chosen, score = search.swapped(first)
    assert 4 in chosen
    assert score == pytest.approx(search.score(chosen), abs=1e-5)
    assert score < search.score(first) - 0.01
    assert (choice.errors(range(5)) <= choice.errors(chosen)).all()
    assert (choice.errors(chosen) <= LOOSE * before).all()
    tight = Search(choice, legible, float(before[0]), before)
    assert (choice.errors(tight.swapped(first)[0]) <= before).all()


def test_areas_are_looked_at_no_longer_than_they_can_tell() -> None:
    """The best swap in each place is that of all swaps looked at wholly."""
    means = np.asarray(Image.fromarray(skimage.data.coffee()).resize((32, 24)))
    ones = np.ones((24, 32))
    rng = np.random.default_rng(5)
    candidates = np.unique(means.reshape(-1, 3)[rng.integers(0, 768, 60)], axis=0)
    legible = what_should_read(means, means, ones, find_features(means))
    choice = choice_of(means, ones, candidates)
    chosen = list(range(5))
    search = Search(choice, legible, float(choice.errors(chosen)[0]), np.full(2, np.inf))
    for place in range(5):
        rest = [c for i, c in enumerate(chosen) if i != place]
        every = [search.score([*rest, c]) for c in range(5, len(candidates))]
        found, candidate = search.best_in(chosen, place, np.inf)
        assert candidate == 5 + int(np.argmin(every))
        assert found == pytest.approx(min(every), abs=1e-5)
        assert search.best_in(chosen, place, min(every) - 0.01)[0] > min(every) - 0.01


def test_yarns_of_a_shelf_are_swapped_for_what_reads(tmp_path: Path) -> None:
    """Of more browns than may be used and a green, the green eyes get theirs; locked yarns stay,
    and whoever wants the least error has it."""
    Image.fromarray(creature().repeat(6, axis=0).repeat(6, axis=1)).save(tmp_path / "eyes.png")
    browns = {"Fawn": "#bd7640", "Bark": "#9a5f34", "Peat": "#7b4729", "Clay": "#ab6a3a"}
    lines = [f"{name},{color}" for name, color in (browns | {"Moss": "#46963c"}).items()]
    shelf = tmp_path / "shelf.csv"
    shelf.write_text("name,color\n" + "\n".join(lines), encoding="utf-8")

    def used(**more: object) -> set[str]:
        asked = Options(width=40, colors=3, look="photo", shelf=str(shelf), calm=0, tone="keep")
        chart = chart_picture(tmp_path / "eyes.png", replace(asked, **more)).chart  # type: ignore[arg-type]
        counts = zip(chart.yarns, chart.blocks_by_yarn, strict=True)
        return {yarn.name for yarn, count in counts if count}

    assert "Moss" not in used(aim="area", subject="none")
    assert "Moss" in used()
    assert {"Moss", "Clay"} <= used(lock=("Clay",))
    assert "Moss" not in used(ban=("Moss",))


def test_what_is_locked_stays() -> None:
    means = creature()
    ones = np.ones((40, 40))
    candidates = np.array([(20, 20, 200), COAT, DARK, EYE], dtype=np.uint8)
    legible = what_should_read(means, means, ones, find_features(means))
    choice = choice_of(means, ones, candidates)
    first = choice.errors([0, 1, 2])
    chosen, _ = Search(choice, legible, float(first[0]), LOOSE * first).swapped([0, 1, 2], locked=1)
    assert chosen[0] == 0


def test_nothing_to_read_changes_nothing() -> None:
    means = np.full((30, 30, 3), COAT, dtype=np.uint8)
    means[:, 15:] = (188, 119, 60)
    ones = np.ones((30, 30))
    legible = what_should_read(means, means, ones, ())
    candidates = np.array([COAT, DARK, EYE], dtype=np.uint8)
    choice = choice_of(means, ones, candidates)
    first = choice.errors([0])
    assert Search(choice, legible, float(first[0]), LOOSE * first).swapped([0])[0] == [0]


def test_what_was_seen_is_worth_more() -> None:
    means = creature()
    ones = np.ones((40, 40))
    features = find_features(means)
    legible = what_should_read(means, means, ones, features)
    candidates = np.array([COAT, DARK, EYE], dtype=np.uint8)
    choice = choice_of(means, ones, candidates)
    light = decoding_table()[candidates]
    seen = guarded(legible, choice.labels([0, 1, 2]), light)
    unseen = guarded(legible, choice.labels([0]), light)
    assert len(features) > 0
    assert (seen.worth > 2 * legible.worth).all()
    np.testing.assert_array_equal(unseen.worth, legible.worth)


def test_a_texture_is_left_as_it_is(tmp_path: Path) -> None:
    """skimage.data.grass has no subject: the error is at most a quarter more than the least."""
    pixels = np.stack([skimage.data.grass()[:240, :240]] * 3, axis=2)
    Image.fromarray(pixels).save(tmp_path / "grass.png")
    errors = []
    for more in ({}, {"subject": "none", "aim": "area"}):
        options = Options(width=40, colors=6, calm=0.0, look="photo", **more)  # type: ignore[arg-type]
        errors.append(error_figures(chart_picture(tmp_path / "grass.png", options).chart)[0] or 0.0)
    assert errors[1] <= errors[0] <= 1.25 * errors[1]
