"""Features of a picture: found, lost, brought back."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

import pix2block
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import Bytes, decoding_table, encode_bytes, to_hex, to_lab
from pix2block.design.features import (
    STANDS_OUT,
    Feature,
    find_features,
    lost_features,
    what_brings_back,
)
from pix2block.design.palette import nearest_yarns
from pix2block.pages.summary import lost_lines, summary

SAMPLES = Path(__file__).parent.parent / "sample_images"
GROUND, RED = (150, 150, 140), (190, 40, 50)


def ground(noise: int = 0, gradient: int = 0, seed: int = 1) -> Bytes:
    """(40, 50, 3) a plain field, with noise and with light rising from left to right."""
    rng = np.random.default_rng(seed)
    field = np.array(GROUND) + np.linspace(-gradient, gradient, 50)[None, :, None]
    field = field + rng.normal(0, noise, (40, 50, 1)) if noise else field.repeat(40, 0)
    return np.clip(np.broadcast_to(field, (40, 50, 3)), 0, 255).astype(np.uint8)


def disc(line: float, column: float, radius: float) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    lines, columns = np.indices((40, 50))
    inside = (lines - line) ** 2 + (columns - column) ** 2 <= radius**2
    at = np.nonzero(inside)
    return at[0], at[1]


@pytest.mark.parametrize(("noise", "gradient"), [(0, 0), (3, 0), (0, 40), (3, 30)])
@pytest.mark.parametrize("radius", [1.0, 2.0, 3.5])
def test_a_planted_spot_is_found(noise: int, gradient: int, radius: float) -> None:
    means = ground(noise, gradient)
    where = disc(8, 41, radius)
    means[where] = RED
    features = find_features(means, means)
    spots = [f for f in features if f.color == to_hex(np.array(RED))]
    assert len(spots) == 1
    assert set(zip(spots[0].lines.tolist(), spots[0].columns.tolist(), strict=True)) == set(
        zip(where[0].tolist(), where[1].tolist(), strict=True)
    )
    assert spots[0].place == "near the upper right"
    assert not spots[0].lost
    expected = ciede2000(to_lab(np.array([RED], np.uint8)), to_lab(np.array([GROUND], np.uint8)))
    assert spots[0].in_picture == pytest.approx(float(expected[0]), rel=0.2)


def test_plain_fields_and_large_areas_are_no_features() -> None:
    assert find_features(ground(), ground()) == []
    halves = ground()
    halves[:, :25] = RED
    assert find_features(halves, halves) == []
    faint = ground()
    faint[disc(20, 20, 3)] = (158, 150, 140)
    assert find_features(faint, faint) == []


@pytest.mark.parametrize("noise", [4, 8, 25])
def test_noise_is_hardly_ever_a_feature(noise: int) -> None:
    means = ground(noise)
    assert sum(f.blocks for f in find_features(means, means)) <= 0.02 * means.shape[0] * 50


@given(st.integers(0, 2**31))
def test_a_merged_spot_is_lost_and_its_remedy_works(seed: int) -> None:
    rng = np.random.default_rng(seed)
    means = ground(2, 0, seed)
    where = disc(float(rng.integers(6, 34)), float(rng.integers(6, 44)), 2.5)
    means[where] = RED
    yarns = np.array([GROUND, (40, 40, 45)], dtype=np.uint8)
    chart = yarns[nearest_yarns(means, np.array([GROUND], np.uint8))]
    (lost,) = [f for f in find_features(means, chart) if f.lost]
    assert lost.color == to_hex(np.array(RED))
    words = what_brings_back(lost, means, yarns[:1])
    assert words == f"a second yarn, {to_hex(np.array(RED))}: {len(where[0])} blocks"
    with_it = np.concatenate([yarns[:1], np.array([RED], np.uint8)])
    back = with_it[nearest_yarns(means, with_it)]
    light = [decoding_table()[back[m]].mean(axis=0) for m in (where, disc(0, 0, 2))]
    inside, outside = to_lab(encode_bytes(np.stack(light)))
    assert float(ciede2000(inside, outside)) > STANDS_OUT


def test_a_shelf_may_hold_nothing_that_helps() -> None:
    means = ground()
    means[disc(20, 25, 2)] = RED
    yarns = np.array([GROUND], dtype=np.uint8)
    (lost,) = [f for f in find_features(means, yarns[nearest_yarns(means, yarns)]) if f.lost]
    assert lost.place == "in the middle"
    useless = np.array([[152, 150, 140]], dtype=np.uint8)
    assert what_brings_back(lost, means, yarns, useless) is None
    assert what_brings_back(lost, means, yarns, useless[:0]) is None
    helpful = np.array([[152, 150, 140], [170, 60, 60]], dtype=np.uint8)
    words = what_brings_back(lost, means, yarns, helpful)
    assert words is not None
    assert words.startswith("a second yarn, #aa3c3c: ")


def test_keeping_is_not_losing() -> None:
    def feature(picture: float, chart: float) -> Feature:
        none = np.zeros(1, dtype=np.int64)
        return Feature(none, none, "#000000", picture, chart, "")

    assert feature(11, 3).lost
    assert not feature(11, 9.9).lost
    assert not feature(40, 12).lost


def test_lost_features_are_reported() -> None:
    """The cat's ears are pink; eight colours chosen with every eye on small things lose that."""
    chart = pix2block.chart_picture(
        SAMPLES / "tallow_cat.jpg", pix2block.Options(width=60, colors=8)
    ).chart
    lost = lost_features(chart)
    assert lost
    lines = lost_lines(chart, lost)
    assert lines[0].startswith("These no longer stand out")
    assert any("brought back by a ninth yarn, #" in line for line in lines)
    listed = summary(pix2block.amounts_of(chart), lost)["features_lost"]
    assert listed[0] == {
        "place": lost[0].place,
        "blocks": lost[0].blocks,
        "color": lost[0].color,
    }
    plain = pix2block.chart_picture(
        SAMPLES / "club_badge.png", pix2block.Options(width=40, colors=4, look="flat")
    ).chart
    assert lost_lines(plain, lost_features(plain)) == []
