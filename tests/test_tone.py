"""Tone: lightness fitted to what a shelf spans, and how much of its pattern is kept."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.metrics import structural_similarity
from small import small_sample

import pix2block
from pix2block.color.spaces import Bytes, rgb_array, to_lab
from pix2block.design.tone import fit_tone, structure_kept

SAMPLES = Path(__file__).parent.parent / "sample_images"
YARNS = rgb_array(["#141414", "#808080", "#f4f4f4", "#8e4526", "#3f6485"])


def grey_ramp(low: int, high: int) -> Bytes:
    """(20, 20, 3) greys from `low` to `high`."""
    levels = np.linspace(low, high, 400).round().astype(np.uint8).reshape(20, 20, 1)
    return levels.repeat(3, axis=2)


def test_a_dull_ramp_spans_the_shelf() -> None:
    fitted = to_lab(fit_tone(grey_ramp(120, 150), YARNS))[..., 0]
    yarns = to_lab(YARNS)[:, 0]
    assert fitted.min() < yarns.min() + 3
    assert fitted.max() > yarns.max() - 3


@given(st.integers(0, 2**31), st.integers(1, 4))
def test_fitting_keeps_the_order_of_light_and_dark(seed: int, yarns: int) -> None:
    rng = np.random.default_rng(seed)
    colors = rng.integers(60, 200, (12, 12, 1), dtype=np.uint8).repeat(3, axis=2)
    fitted = to_lab(fit_tone(colors, YARNS[: yarns + 1]))[..., 0].ravel()
    order = np.argsort(to_lab(colors)[..., 0].ravel(), kind="stable")
    assert (np.diff(fitted[order]) >= -0.5).all()  # 8-bit steps


def test_one_tone_is_left_alone() -> None:
    plain = np.full((6, 6, 3), 90, dtype=np.uint8)
    assert (fit_tone(plain, YARNS) == plain).all()


def test_structure_is_scikit_images_ssim_of_lightness() -> None:
    """Wang et al. 2004, by scikit-image, on L* stretched from its 2nd to its 98th percentile."""
    rng = np.random.default_rng(2)
    one, other = (rng.integers(0, 256, (20, 30, 3), dtype=np.uint8) for _ in range(2))

    def stretched(colors: Bytes) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        light = to_lab(colors)[..., 0]
        low, high = np.percentile(light, (2, 98))
        return np.asarray(np.clip((light - low) / (high - low), 0, 1) * 100)

    expected = structural_similarity(stretched(one), stretched(other), win_size=7, data_range=100)
    assert structure_kept(one, other) == pytest.approx(expected)
    assert structure_kept(one, one) == pytest.approx(1)
    assert structure_kept(one[:2, :2], other[:2, :2]) == 1


def test_the_rule_chooses_for_a_low_contrast_picture() -> None:
    shelf = str(SAMPLES / "shelf_24.csv")

    def made(tone: str | None) -> pix2block.Made:
        options = pix2block.Options(width=24, colors=8, shelf=shelf, tone=tone)  # type: ignore[arg-type]
        return pix2block.chart_picture(small_sample("fog_morning.png"), options)

    fit, keep, by_rule = made("fit").chart, made("keep").chart, made(None)
    assert (by_rule.chart.blocks == fit.blocks).all()
    assert any("fitted to what the shelf spans" in note for note in by_rule.decisions)
    assert fit.source is not None
    kept = [structure_kept(fit.source.means, c.yarn_rgb[c.blocks]) for c in (fit, keep)]
    assert kept[0] > kept[1] + 0.1


def test_tone_needs_a_shelf() -> None:
    with pytest.raises(pix2block.BadInput, match="add shelf"):
        pix2block.chart_picture(
            small_sample("fog_morning.png"), pix2block.Options(width=8, tone="fit")
        )
