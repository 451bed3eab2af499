"""Every figure of a palette on trial."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.color.deficiency import SIGHTS
from pix2block.color.spaces import Floats, decoding_table
from pix2block.color.vision import seen_differences, seen_lab
from pix2block.craft.strands import plan_strands
from pix2block.design.areas import areas_of, in_areas
from pix2block.design.features import Feature
from pix2block.design.hues import faded_parts
from pix2block.design.likeness import color_errors, error_figures
from pix2block.ground.settings import HABITS
from pix2block.trial.neighbours import (
    TOLD_APART,
    Pair,
    difference_along,
    differences,
    meeting_place,
    touching_pairs,
    weakest,
)
from pix2block.trial.swaps import dropped_yarns, helping_swaps
from pix2block.trial.trial import Candidate, Merging, Seeing, Tried, lost_in

_REGION = 5  # blocks to a side of the region of worst error
_WINDOW_SIGMA, _WINDOW = 1.5, 11  # Wang et al. (2004), section III B


def try_palette(candidate: Candidate, seeing: Seeing) -> Tried:
    """Every figure of one palette."""
    chart = candidate.chart
    amounts = amounts_of(chart)
    mean, p95 = error_figures(chart)
    assert mean is not None
    assert p95 is not None
    near, far = _seen(chart, seeing)
    pairs = touching_pairs(chart.blocks)
    in_each = [weakest(pairs, chart.yarn_rgb, sight) for sight in SIGHTS]
    features = lost_in(chart, seeing.features)
    alike = [f for f in features if f.mask.shape == chart.blocks.shape]
    areas = [a for a in areas_of(chart) if not any(in_areas(f, [a]) for f in alike)]
    told = [*areas, *alike]
    faded = (part for part in faded_parts(chart) if not in_areas(part, told))
    lost = (*areas, *features, *faded)
    tried = Tried(
        candidate=candidate,
        amounts=amounts,
        lost=lost,
        error_mean=mean,
        error_p95=p95,
        worst=_worst(chart),
        near=near,
        far=far,
        structure=_structure(chart, seeing),
        pairs=pairs,
        weakest=tuple(w for w in in_each if w),
        merging=_merging(chart, pairs, seeing),
        dropped=(),
        swaps=(),
        tails_by_habit=tuple(
            (name, plan_strands(chart.runs, chart.layout, habit).tails)
            for name, habit in HABITS.items()
        ),
    )
    return replace(tried, dropped=dropped_yarns(tried, seeing), swaps=helping_swaps(tried, seeing))


def _flat_light(chart: Chart) -> Floats:
    """(height, width, 3) linear sRGB of the yarns; of the first yarn where no block is."""
    return decoding_table()[chart.yarn_rgb][np.maximum(chart.blocks, 0)]


def _seen(chart: Chart, seeing: Seeing) -> tuple[float, float]:
    samples = seeing.light.shape[0] // chart.height
    degrees = [samples / seeing.near, samples / seeing.far]
    near, far = seen_differences(seeing.light, _flat_light(chart), degrees)
    return near, far


def _far_lab(chart: Chart, seeing: Seeing) -> Floats:
    return seen_lab(_flat_light(chart), 1 / seeing.far)


def _structure(chart: Chart, seeing: Seeing) -> float | None:
    """SSIM of L* as seen far (Wang et al. 2004, by scikit-image)."""
    if min(chart.width, chart.height) < _WINDOW:
        return None
    return ssim(seeing.far_lab[..., 0], _far_lab(chart, seeing)[..., 0])


def ssim(one: Floats, other: Floats) -> float:
    """Structural similarity of two (h, w) fields of L*, 0 to 100, as Wang et al. (2004) have it:
    Gaussian windows of 11 x 11, K1 = 0.01, K2 = 0.03."""
    from skimage.metrics import structural_similarity

    return float(
        structural_similarity(
            *(one, other),
            data_range=100.0,
            gaussian_weights=True,
            sigma=_WINDOW_SIGMA,
            use_sample_covariance=False,
        )
    )


def _worst(chart: Chart) -> tuple[float, str]:
    """The greatest mean error of a square of blocks that exist, and where its middle lies."""
    from scipy.ndimage import label, uniform_filter

    errors = color_errors(chart)
    assert errors is not None
    exists = chart.blocks >= 0
    field = np.zeros(chart.blocks.shape)
    field[exists] = errors
    share = uniform_filter(exists.astype(np.float64), _REGION, mode="constant")
    total = uniform_filter(field, _REGION, mode="constant")
    means = np.where(exists, total / np.maximum(share, 1e-9), -1)
    alike, _ = label(means >= means.max() - 1e-9)  # the middle of places that are as bad
    mask = alike == alike.flat[int(means.argmax())]
    return float(means.max()), Feature(mask, "#000000", 0.0).place


def _merging(chart: Chart, pairs: tuple[Pair, ...], seeing: Seeing) -> tuple[Merging, ...]:
    if not pairs:
        return ()
    apart = differences(pairs, chart.yarn_rgb)
    lab = _far_lab(chart, seeing)
    found = [
        Merging(
            *(pair, float(difference), difference_along(chart.blocks, lab, pair)),
            meeting_place(chart.blocks, pair),
        )
        for pair, difference in zip(pairs, apart, strict=True)
        if difference < TOLD_APART
    ]
    return tuple(sorted(found, key=lambda merging: merging.difference))
