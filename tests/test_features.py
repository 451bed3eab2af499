"""Features of a picture: found, lost, brought back."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import skimage.data
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import binary_dilation, binary_opening
from small import small_sample

import pix2block
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import Bytes, decoding_table, encode_bytes, from_hex, to_hex, to_lab
from pix2block.design.features import (
    STANDS_OUT,
    Feature,
    find_features,
    is_lost,
    kept_differences,
    lost_of,
    place_words,
)
from pix2block.design.masks import around, opened
from pix2block.design.palette import nearest_yarns
from pix2block.design.remedies import (
    Remedy,
    more_yarn_words,
    one_more_yarn,
    ordinal,
)
from pix2block.picture.blocks import block_means, frame_picture
from pix2block.picture.picture import open_picture
from pix2block.reports.summary import summary
from pix2block.reports.words import lost_lines

SAMPLES = Path(__file__).parent.parent / "sample_images"
GROUND, RED = (150, 150, 140), (190, 40, 50)
Mask = NDArray[np.bool_]


def ground(noise: float = 0, gradient: int = 0, seed: int = 1) -> Bytes:
    """(40, 50, 3) a plain field, with noise and with light rising from left to right."""
    rng = np.random.default_rng(seed)
    field = np.array(GROUND) + np.linspace(-gradient, gradient, 50)[None, :, None]
    field = field + rng.normal(0, noise, (40, 50, 1)) if noise else field.repeat(40, 0)
    return np.clip(np.broadcast_to(field, (40, 50, 3)), 0, 255).astype(np.uint8)


def disc(line: float, column: float, radius: float) -> Mask:
    lines, columns = np.indices((40, 50))
    return np.asarray((lines - line) ** 2 + (columns - column) ** 2 <= radius**2)


def box(top: int, bottom: int, left: int, right: int) -> Mask:
    mask = np.zeros((40, 50), dtype=bool)
    mask[top:bottom, left:right] = True
    return mask


def in_yarns(means: Bytes, *yarns: tuple[int, int, int]) -> tuple[Bytes, Bytes]:
    """The yarns as an array, and the colour of each block's nearest."""
    rgb = np.array(yarns, dtype=np.uint8)
    return rgb, rgb[nearest_yarns(means, rgb)]


def share_alike(one: Mask, other: Mask) -> float:
    return float((one & other).sum() / (one | other).sum())


PLANTED = {
    "disc 1": (disc(8, 41, 1), "near the upper right"),
    "disc 2": (disc(20, 25, 2), "in the middle"),
    "disc 3.5": (disc(33, 7, 3.5), "near the lower left"),
    "disc 9": (disc(19, 24, 9), "in the middle"),
    "square": (box(17, 22, 42, 47), "near the right edge"),
    "line": (box(5, 6, 20, 32), "near the upper middle"),
    "corner": (box(36, 40, 46, 50), "near the lower right"),
}


@pytest.mark.parametrize(("noise", "gradient"), [(0, 0), (3, 0), (0, 40), (3, 30)])
@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_thing_is_found(name: str, noise: int, gradient: int) -> None:
    where, place = PLANTED[name]
    means = ground(noise, gradient)
    means[where] = RED
    (feature,) = find_features(means)
    assert share_alike(feature.mask, where) > 0.85
    assert feature.color == to_hex(np.array(RED))
    assert feature.place == place_words(feature, where.shape) == place
    assert feature.difference == pytest.approx(kept_differences([feature], means)[0], abs=0.5)
    np.testing.assert_allclose(feature.centre, np.argwhere(where).mean(axis=0), atol=0.6)


def test_the_difference_is_that_of_the_colors() -> None:
    means = ground()
    means[disc(20, 25, 2)] = RED
    (feature,) = find_features(means)
    red, grey = to_lab(np.array([RED, GROUND], dtype=np.uint8))
    assert feature.difference == pytest.approx(float(ciede2000(red, grey)), rel=1e-3)
    lines, columns = np.nonzero(feature.ring)
    assert (lines.min(), lines.max(), columns.min(), columns.max()) == (16, 24, 21, 29)
    assert not (feature.ring & feature.mask).any()


def test_a_pale_thing_is_found_in_noise() -> None:
    """15 CIEDE2000 from a field whose neighbours differ by 4."""
    means = ground(8)
    where = disc(12, 12, 3)
    means[where] = np.clip(means[where] + np.array([40, -12, -12]), 0, 255)
    (feature,) = find_features(means)
    assert feature.difference > 12
    assert share_alike(feature.mask, where) > 0.7


def test_an_eye_is_told_with_its_pupil() -> None:
    means = ground()
    eye, pupil = disc(20, 25, 5), disc(20, 25, 1.5)
    means[eye], means[pupil] = (120, 160, 60), (15, 15, 15)
    iris, middle = find_features(means)
    assert (iris.mask == eye & ~pupil).all()
    assert (middle.mask == pupil).all()


def test_a_thing_of_many_colors_is_one() -> None:
    """A patch of stripes, none of them a thing by itself."""
    means = ground()
    patch = box(15, 24, 20, 30)
    means[patch] = (110, 60, 150)
    means[15:24:2, 20:30] = (90, 90, 190)
    feature = find_features(means)[0]
    assert share_alike(feature.mask, patch) > 0.95


def test_single_blocks_must_differ_much() -> None:
    means = ground()
    means[10, 10] = RED
    means[30, 30] = (180, 140, 130)
    (feature,) = find_features(means)
    assert (feature.blocks, feature.centre) == (1, (10, 10))


def test_plain_fields_large_areas_and_their_borders_are_no_features() -> None:
    assert find_features(ground()) == ()
    halves = ground(gradient=50)
    halves[:, :25] = RED
    halves[:, 25] = (170, 95, 95)  # the block that the border runs through
    assert find_features(halves) == ()
    lines, columns = np.indices((40, 50))
    slanting = ground(2)
    slanting[lines + columns > 50] = RED
    slanting[lines + columns == 50] = (170, 95, 95)
    assert find_features(slanting) == ()
    faint = ground()
    faint[disc(20, 20, 3)] = (158, 150, 140)
    assert find_features(faint) == ()


@pytest.mark.parametrize("noise", [2, 4, 8, 12, 16, 25])
@pytest.mark.parametrize("channels", [1, 3])
def test_noise_is_no_feature(noise: int, channels: int) -> None:
    field = 130 + np.random.default_rng(noise).normal(0, noise, (60, 50, channels))
    means = np.clip(np.broadcast_to(field, (60, 50, 3)), 0, 255).astype(np.uint8)
    assert find_features(means) == ()


@pytest.mark.parametrize("name", ["grass", "gravel"])
def test_texture_is_hardly_a_feature(name: str) -> None:
    image = Image.fromarray(getattr(skimage.data, name)()).convert("RGB")
    means = np.asarray(image.resize((60, 60), Image.Resampling.BOX))
    assert len(find_features(means)) <= 2


def sample_means(path: Path) -> Bytes:
    picture = open_picture(path)
    return block_means(picture, frame_picture(picture.size, 60))


def found_at(features: tuple[Feature, ...], top: int, bottom: int, left: int, right: int) -> float:
    """How like a box, at best, a feature's own box is."""
    return max(
        share_alike(own_box(f.mask), box_of(f.mask.shape, top, bottom, left, right))
        for f in features
    )


def box_of(shape: tuple[int, ...], top: int, bottom: int, left: int, right: int) -> Mask:
    mask = np.zeros(shape, dtype=bool)
    mask[top:bottom, left:right] = True
    return mask


def own_box(mask: Mask) -> Mask:
    lines, columns = np.nonzero(mask)
    return box_of(mask.shape, lines.min(), lines.max() + 1, columns.min(), columns.max() + 1)


def test_the_cats_eyes_and_nose_are_found() -> None:
    """Where they lie at 60 blocks across, by eye."""
    features = find_features(sample_means(SAMPLES / "tallow_cat.jpg"))
    assert len(features) <= 30
    assert found_at(features, 29, 36, 16, 26) > 0.7  # its eyes
    assert found_at(features, 28, 36, 33, 43) > 0.7
    assert found_at(features, 40, 43, 28, 33) > 0.5  # nose
    assert found_at(features, 12, 22, 11, 18) > 0.5  # the pink of an ear
    assert found_at(features, 23, 33, 51, 58) > 0.7  # the lamp


def test_features_of_open_pictures(tmp_path: Path) -> None:
    """scikit-image's cat Chelsea and astronaut at 60 blocks across, places by eye."""
    for name in ("chelsea", "astronaut"):
        Image.fromarray(getattr(skimage.data, name)()).save(tmp_path / f"{name}.png")
    cat = find_features(sample_means(tmp_path / "chelsea.png"))
    assert found_at(cat, 15, 22, 39, 46) > 0.7  # an eye
    assert found_at(cat, 15, 19, 40, 43) > 0.7  # its pupil
    assert found_at(cat, 12, 18, 21, 26) > 0.5  # the other pupil
    assert any(f.mask[31:34, 33:38].mean() > 0.8 for f in cat)  # nose, with the line beside it
    astronaut = find_features(sample_means(tmp_path / "astronaut.png"))
    assert found_at(astronaut, 41, 50, 16, 24) > 0.7  # the patch on her suit
    assert found_at(astronaut, 50, 54, 41, 43) > 0.7  # a label


@settings(max_examples=15)
@given(st.integers(0, 2**31), st.integers(1, 30), st.integers(1, 30), st.integers(1, 60))
def test_features_lie_inside_and_are_always_the_same(
    seed: int, width: int, height: int, step: int
) -> None:
    rng = np.random.default_rng(seed)
    means = rng.integers(0, 3, (height, width, 3)).cumsum(axis=1) * step % 256
    means = means.astype(np.uint8)
    features, again = (find_features(means) for _ in range(2))
    assert len(features) == len(again) <= 40
    worth = [f.difference * f.blocks**0.5 for f in features]
    assert worth == sorted(worth, reverse=True)
    for one, other in zip(features, again, strict=True):
        assert (one.mask == other.mask).all()
        assert (one.color, one.difference) == (other.color, other.difference)
        assert one.mask.shape == (height, width)
        assert 1 <= one.blocks <= 0.25 * width * height
        assert one.difference > (25 if one.blocks == 1 else STANDS_OUT)
        light = decoding_table()[means[one.mask]].mean(axis=0)
        assert np.abs(encode_bytes(light).astype(int) - from_hex(one.color)).max() <= 1
        with pytest.raises(ValueError, match="read-only"):
            one.mask[0, 0] = True


def test_keeping_is_not_losing() -> None:
    assert is_lost(11, 3)
    assert not is_lost(11, 9.9)
    assert not is_lost(40, 12)
    assert is_lost(25, 9.9)


@settings(max_examples=12)
@given(st.integers(0, 2**31))
def test_a_merged_spot_is_lost_a_kept_one_is_not(seed: int) -> None:
    """And the numbers of the yarns change nothing."""
    rng = np.random.default_rng(seed)
    means = ground(2, 0, seed)
    where = disc(float(rng.integers(6, 34)), float(rng.integers(6, 44)), 2.5)
    means[where] = RED
    _, kept = in_yarns(means, GROUND, (40, 40, 45), (180, 60, 60))
    assert lost_of(find_features(means), kept) == ()
    yarns = [GROUND, (165, 160, 150), (235, 235, 235)]
    rgb, chart = in_yarns(means, *yarns)
    (lost,) = lost_of(find_features(means), chart)
    assert lost.color == to_hex(np.array(RED))
    words = back_words(lost, means, rgb)
    assert words == f"a fourth yarn, {lost.color}: {int(where.sum())} blocks"
    rng.shuffle(yarns)
    other, chart = in_yarns(means, *yarns)
    (again,) = lost_of(find_features(means), chart)
    assert (again.mask == lost.mask).all()
    assert back_words(again, means, other) == words


def back_words(*what: Any) -> str:
    remedy = one_more_yarn(*what)
    assert remedy
    return more_yarn_words(remedy, remedy.added)


def really_back(remedy: Remedy, feature: Feature, means: Bytes) -> None:
    """Work the remedy out again by scikit-image's formula and compare."""
    blocks = nearest_yarns(means, remedy.yarn_rgb)
    assert (remedy.yarn_rgb[blocks] == remedy.yarn_rgb[remedy.blocks]).all()
    light = decoding_table()[remedy.yarn_rgb[blocks]]
    inside, around = (light[part].mean(axis=0) for part in (feature.mask, feature.ring))
    sides = to_lab(encode_bytes(np.stack([inside, around])))
    assert float(ciede2000(sides[0], sides[1])) > STANDS_OUT
    assert remedy.difference > STANDS_OUT


@settings(max_examples=12)
@given(st.integers(0, 2**31), st.booleans())
def test_a_remedy_brings_back(seed: int, shelf: bool) -> None:
    rng = np.random.default_rng(seed)
    means = ground(3, 20, seed)
    for _ in range(4):
        where = disc(float(rng.integers(3, 37)), float(rng.integers(3, 47)), rng.uniform(1, 5))
        means[where] = rng.integers(0, 256, 3)
    rgb, chart = in_yarns(means, GROUND, (120, 120, 110))
    spare = rng.integers(0, 256, (12, 3), dtype=np.uint8) if shelf else None
    for feature in lost_of(find_features(means), chart):
        remedy = one_more_yarn(feature, means, rgb, spare)
        if remedy is None:
            continue
        really_back(remedy, feature, means)
        assert len(remedy.yarn_rgb) == 3
        assert remedy.added == to_hex(remedy.yarn_rgb[2])
        assert remedy.count == (remedy.blocks == 2).sum()
        assert spare is None or remedy.yarn_rgb[2].tolist() in spare.tolist()


def test_a_thing_of_two_colors_comes_back_in_one_of_them() -> None:
    """The mean of green and red is near the ground; one of the two is not."""
    means = np.full((40, 50, 3), (118, 110, 60), dtype=np.uint8)
    where = box(18, 22, 20, 26)
    means[where] = (30, 120, 50)
    means[box(18, 22, 23, 26)] = (150, 20, 60)
    color = to_hex(np.array((112, 92, 58)))
    feature = Feature(where, color, 20.0)
    rgb, _ = in_yarns(means, (118, 110, 60))
    own = np.array([from_hex(color)], dtype=np.uint8)
    more = np.concatenate([rgb, own])
    assert kept_differences([feature], more[nearest_yarns(means, more)])[0] < STANDS_OUT
    remedy = one_more_yarn(feature, means, rgb)
    assert remedy is not None
    assert remedy.added != color
    really_back(remedy, feature, means)


def test_a_shelf_may_hold_nothing_that_helps() -> None:
    means = ground()
    means[disc(20, 25, 2)] = RED
    rgb, chart = in_yarns(means, GROUND)
    (lost,) = lost_of(find_features(means), chart)
    assert lost.place == "in the middle"
    useless = np.array([[152, 150, 140]], dtype=np.uint8)
    assert one_more_yarn(lost, means, rgb, useless) is None
    assert one_more_yarn(lost, means, rgb, useless[:0]) is None
    helpful = np.array([[152, 150, 140], [255, 0, 255], [170, 60, 60]], dtype=np.uint8)
    remedy = one_more_yarn(lost, means, rgb, helpful)
    assert remedy is not None
    assert more_yarn_words(remedy, "Rose") == "a second yarn, Rose: 13 blocks"
    assert back_words(lost, means, rgb, helpful) == "a second yarn, #aa3c3c: 13 blocks"


@pytest.mark.parametrize("shelf", [True, False])
def test_one_yarn_more_may_not_do(shelf: bool) -> None:
    """One yarn lies between the ground and the spot: one more for either leaves half the step."""
    dark, pale, between, corner = (120,) * 3, (158,) * 3, (138,) * 3, (20, 20, 60)
    means = np.broadcast_to(np.array(dark, dtype=np.uint8), (40, 50, 3)).copy()
    where = disc(20, 8, 3)
    means[where], means[:3, :4] = pale, corner
    rgb, chart = in_yarns(means, between, corner)
    lost = next(f for f in lost_of(find_features(means), chart) if (f.mask == where).all())
    spare = np.array([dark, pale], dtype=np.uint8) if shelf else None
    assert one_more_yarn(lost, means, rgb, spare) is None


def test_ordinals() -> None:
    assert [ordinal(n) for n in (1, 2, 8, 9, 12, 20)] == [
        *("first", "second", "eighth", "ninth", "twelfth", "twentieth")
    ]
    assert [ordinal(n) for n in (21, 22, 23, 24, 30, 61)] == [
        *("21st", "22nd", "23rd", "24th", "30th", "61st")
    ]


def test_lost_features_are_reported() -> None:
    """The cat's ears are pink; six colours chosen with every eye on small things lose that."""
    study = pix2block.chart_picture(
        small_sample("tallow_cat.jpg"),
        pix2block.Options(width=40, colors=6, calm=0.0, aim="area", subject="none"),
    )
    lost = study.lost
    assert lost
    lines = lost_lines(study)
    assert any(line.startswith("These no longer stand out") for line in lines)
    assert any(" would need a seventh yarn, " in line for line in lines)
    listed = summary(study)["features_lost"]
    assert listed[0] == {
        "place": lost[0].place,
        "blocks": lost[0].blocks,
        "color": lost[0].color,
    }
    plain = pix2block.chart_picture(
        small_sample("club_badge.png"), pix2block.Options(width=40, colors=4, look="flat")
    )
    assert lost_lines(plain) == []


def test_parts_of_a_very_large_chart_are_found_too() -> None:
    """Blocks are then taken three by three; where they do not come out even nothing shifts."""
    means = np.full((601, 803, 3), 200, dtype=np.uint8)
    means[100:140, 700:760] = (30, 90, 40)
    (feature,) = find_features(means)
    lines, columns = np.nonzero(feature.mask)
    assert feature.mask.shape == (601, 803)
    for found, drawn in ((lines, (100, 140)), (columns, (700, 760))):
        assert abs(int(found.min()) - drawn[0]) <= 3
        assert abs(int(found.max()) + 1 - drawn[1]) <= 3


def test_masks_grow_and_open_as_scipys_do() -> None:
    rng = np.random.default_rng(1)
    for share in (0.0, 0.2, 0.7, 1.0):
        mask = rng.random((9, 7)) < share
        grown = binary_dilation(mask, np.ones((5, 5))) if mask.any() else mask
        assert (around(mask, 2) == (grown & ~mask)).all()
        assert (opened(mask) == binary_opening(mask, np.ones((2, 2)))).all()
