"""S-CIELAB: colours as seen from a distance."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import skimage
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from reference import read_reference
from scipy.ndimage import convolve1d
from scipy.special import erf
from skimage.color import lab2xyz, xyz2lab
from skimage.color.colorconv import xyz_from_rgb

import pix2block
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import Bytes, Floats, decode, decoding_table, to_lab
from pix2block.color.vision import BLURS, OPPONENT, seen_differences, seen_lab, seen_light
from pix2block.design.likeness import samples_a_block
from pix2block.reports.summary import summary

PLANES = ("luminance", "red-green", "blue-yellow")


def test_constants_are_the_published_ones() -> None:
    """tests/data/scielab_1996.csv: Zhang & Wandell 1996, the matrix with its sign corrected."""
    lines = read_reference("scielab_1996.csv")
    matrix = {
        line["plane"]: tuple(float(line[v]) for v in ("v1", "v2", "v3"))
        for line in lines
        if (line["set"], line["kind"]) == ("corrected", "matrix")
    }
    assert tuple(matrix[plane] for plane in PLANES) == OPPONENT
    blurs = {
        plane: tuple(
            (float(line["v1"]), float(line["v2"]))
            for line in lines
            if (line["set"], line["kind"], line["plane"]) == ("printed", "gauss", plane)
        )
        for plane in PLANES
    }
    assert tuple(blurs[plane] for plane in PLANES) == BLURS


@settings(max_examples=25)
@given(
    st.tuples(*[st.integers(0, 255)] * 3),
    st.integers(1, 30),
    st.integers(1, 30),
    st.floats(1, 60),
)
def test_plain_areas_stay_as_they_are(
    color: tuple[int, int, int], height: int, width: int, samples: float
) -> None:
    rgb = np.array([[color]], dtype=np.uint8)
    light = decoding_table()[rgb].repeat(height, 0).repeat(width, 1)
    seen = seen_lab(light, samples)
    assert np.abs(seen - to_lab(rgb)).max() < 1e-9


def checkerboard(one: int, other: int, side: int) -> Bytes:
    pattern = np.indices((side, side)).sum(axis=0) % 2
    return np.where(pattern[..., None] == 1, one, other).repeat(3, axis=2).astype(np.uint8)


@pytest.mark.parametrize(("one", "other"), [(0, 255), (64, 192), (100, 120)])
def test_a_fine_checkerboard_seen_far_is_its_mean_light(one: int, other: int) -> None:
    light = decode(checkerboard(one, other, 64) / 255)
    mean = xyz2lab(light.mean(axis=(0, 1), keepdims=True) @ xyz_from_rgb.T)
    seen = seen_lab(light, 400.0)  # 400 squares a degree: far beyond what any eye parts
    # Not quite: mirrored borders double the outermost squares.
    assert np.abs(seen - mean).max() < 0.1
    assert np.abs(seen - mean)[20:-20, 20:-20].max() < 0.001
    near = seen_lab(light, 10.0)
    assert np.abs(near[..., 0] - mean[..., 0]).max() > 1


def test_a_checkerboard_differs_less_from_its_mean_the_farther_it_is() -> None:
    light = decode(checkerboard(64, 192, 64) / 255)
    mean = np.broadcast_to(light.mean(axis=(0, 1)), light.shape)
    near, middle, far = seen_differences(light, mean, [10.0, 40.0, 400.0])
    assert near > middle > far
    assert far == pytest.approx(0, abs=0.01)


def squares_kernel(spread: float) -> Floats:
    """A Gaussian's share of each sample, integrated; spread in samples."""
    reach = int(np.ceil(6.5 * spread)) + 1
    share = np.diff(erf((np.arange(-reach, reach + 2) - 0.5) / spread))
    return np.asarray(share / share.sum())


@pytest.mark.parametrize("samples", [2 / 0.75, 8 / 0.75, 8 / 0.2, 90.0])
def test_blurs_against_a_plain_convolution(samples: float) -> None:
    """The same Gaussians by a slow way, at every scale in use: mirrored borders, uncut."""
    light = np.random.default_rng(3).uniform(0.1, 0.9, (13, 11, 3))
    opponent = light @ (np.array(OPPONENT) @ xyz_from_rgb).T
    for plane, blurs in enumerate(BLURS):
        total = sum(weight for weight, _ in blurs)
        blurred = np.zeros(light.shape[:2])
        for weight, spread in blurs:
            kernel = squares_kernel(spread * samples)
            part: Floats = opponent[..., plane]
            for axis in (0, 1):
                part = convolve1d(part, kernel, axis=axis, mode="reflect")
            blurred += weight / total * part
        opponent[..., plane] = blurred
    expected = xyz2lab(opponent @ np.linalg.inv(np.array(OPPONENT)).T)
    np.testing.assert_allclose(seen_lab(light, samples), expected, atol=1e-8)


def test_flat_squares_are_seen_alike_however_finely_sampled() -> None:
    light = np.random.default_rng(7).uniform(0.2, 0.8, (12, 10, 3))
    finer = light.repeat(3, axis=0).repeat(3, axis=1)
    centres = seen_lab(finer, 3 * 8 / 0.75)[1::3, 1::3]
    np.testing.assert_allclose(seen_lab(light, 8 / 0.75), centres, atol=1e-9)


def test_light_adds_in_what_is_seen() -> None:
    one, other = np.random.default_rng(8).uniform(0.1, 0.9, (2, 15, 14, 3))
    xyz = [lab2xyz(seen_lab(light, 20.0)) for light in (one, other, 0.3 * one + 0.7 * other)]
    np.testing.assert_allclose(0.3 * xyz[0] + 0.7 * xyz[1], xyz[2], atol=1e-9)
    assert np.abs(xyz[0] - one @ xyz_from_rgb.T).max() > 0.01  # something was blurred


def test_turning_the_picture_turns_what_is_seen() -> None:
    light = np.random.default_rng(4).uniform(0, 1, (12, 17, 3))
    turned = seen_lab(light.swapaxes(0, 1), 20).swapaxes(0, 1)
    np.testing.assert_allclose(seen_lab(light, 20), turned, atol=1e-9)


def test_differences_are_means_of_ciede2000() -> None:
    rng = np.random.default_rng(5)
    one, other = rng.uniform(0, 1, (2, 40, 50, 3))
    near, far = seen_differences(one, other, [10.0, 40.0])
    for samples, found in ((10.0, near), (40.0, far)):
        expected = ciede2000(seen_lab(one, samples), seen_lab(other, samples)).mean()
        assert found == pytest.approx(expected, abs=1e-3)
    assert near > far  # noise is seen from near
    assert seen_differences(one, one, [10.0, 40.0]) == [0, 0]


def test_seen_figures_are_kept_with_their_chart(tmp_path: Path) -> None:
    rng = np.random.default_rng(6)
    Image.fromarray(rng.integers(0, 256, (24, 32, 3), dtype=np.uint8)).save(tmp_path / "a.png")
    made = pix2block.chart_picture(tmp_path / "a.png", pix2block.Options(width=8, look="photo"))
    pix2block.save(made, tmp_path / "out", only=["chart.json"])
    figures = summary(made)
    assert figures["seen_near"] > figures["seen_far"] > 0
    path = tmp_path / "out" / "chart.json"
    assert summary(pix2block.open_chart(path)) == figures
    edited = json.loads(path.read_text())
    edited["blocks"][0][0] = 1 - min(1, edited["blocks"][0][0])
    path.write_text(json.dumps(edited))
    changed = summary(pix2block.open_chart(path))
    assert (changed["seen_near"], changed["seen_far"]) == (None, None)


def test_large_charts_have_fewer_samples() -> None:
    assert samples_a_block(60, 75) == samples_a_block(300, 300) == 8
    assert samples_a_block(1000, 1000) == 2


def test_a_view_from_afar_keeps_plain_areas_greys_and_the_mean() -> None:
    plain = np.broadcast_to(np.array([0.5, 0.2, 0.7]), (20, 20, 3))
    np.testing.assert_allclose(seen_light(plain, 20.0), plain, atol=1e-9)
    grey = np.random.default_rng(3).uniform(0, 1, (24, 20, 1)).repeat(3, axis=2)
    seen = seen_light(grey, 60.0)
    assert np.abs(seen - seen.mean(axis=2, keepdims=True)).max() < 1e-9
    assert 0 < seen.std() < 0.5 * grey.std()
    colors = np.random.default_rng(4).uniform(0, 1, (24, 20, 3))
    np.testing.assert_allclose(
        seen_light(colors, 20.0).mean(axis=(0, 1)), colors.mean(axis=(0, 1)), atol=1e-9
    )
    assert seen.min() >= 0  # nothing is darkened beyond what is there


def test_a_part_of_many_samples_tells_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """scikit-image's coffee against itself in steps: over a ninth of the samples, some 27,000,
    within 0.02 of all; the more are left, the nearer."""
    light = decoding_table()[skimage.data.coffee()]
    steps = np.round(light * 6) / 6
    every = seen_differences(light, steps, [10.0, 40.0])
    monkeypatch.setattr(
        "pix2block.color.vision._MOST_COMPARED", light.shape[0] * light.shape[1] // 9
    )
    some = seen_differences(light, steps, [10.0, 40.0])
    assert some != every
    assert some == pytest.approx(every, abs=0.02)
