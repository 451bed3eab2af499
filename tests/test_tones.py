"""A picture in tones: classes of lightness in the order of the yarns."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from skimage.filters import threshold_multiotsu
from small import small_sample

import pix2block
from pix2block.chart.source import Place
from pix2block.color.spaces import Bytes, rgb_array, to_lab
from pix2block.design.palette import Palette, nearest_yarns
from pix2block.design.tone import BETTER_BY, structure_kept
from pix2block.design.tones import _thresholds, on_faces, tone_yarns, toned
from pix2block.design.view import WHOLE, View, Viewing
from pix2block.options.table import Options
from pix2block.picture.blocks import Frame
from pix2block.recipes.looking import Matters
from pix2block.recipes.tones import _weights, tones_tried
from pix2block.yarn.yarn import Yarn

SAMPLES = Path(__file__).parent.parent / "sample_images"
CAT = small_sample("tallow_cat.jpg")


def ramp(hues: bool = False) -> Bytes:
    """(15, 60, 3) from dark to light, in the lower half of another hue of the same lightness."""
    levels = np.linspace(30, 220, 60).round().astype(np.uint8)
    colors = np.stack([levels] * 3, axis=1)[None].repeat(15, axis=0)
    if hues:
        colors[8:, :, 0] -= 25
        colors[8:, :, 2] += 25
    return colors


def test_thresholds_are_those_of_otsu_for_several_classes() -> None:
    rng = np.random.default_rng(4)
    parts = [rng.normal(middle, 4, 700) for middle in (20, 45, 80)]
    light = np.concatenate(parts).clip(0, 100)[None]
    ours = _thresholds(light, np.ones(light.shape), 3)
    assert ours == pytest.approx(threshold_multiotsu(light, 3, nbins=200), abs=0.6)
    heavy = np.where(light < 35, 50.0, 1.0)  # what counts more gets more of the thresholds
    assert _thresholds(light, heavy, 3)[0] < 25


def test_one_lightness_has_no_threshold() -> None:
    assert len(_thresholds(np.full((3, 3), 50.0), np.ones((3, 3)), 4)) == 0
    plain = np.full((20, 20, 3), 90, dtype=np.uint8)
    assert tone_yarns(plain, np.ones((20, 20)), 4).tolist() == [[90, 90, 90]]


def test_light_and_dark_are_in_the_order_of_the_yarns() -> None:
    """Whatever their hues: nearest colours would put a dark red beside a mid grey."""
    colors, weights = ramp(), np.ones((15, 60))
    yarns = rgb_array(["#20242c", "#8a3030", "#5f8f70", "#f0e6c8"])
    light = to_lab(yarns)[:, 0]
    order = np.argsort(light)
    blocks = nearest_yarns(toned(colors, weights, yarns), yarns)
    rank = np.argsort(order)[blocks[0]]
    assert (np.diff(rank) >= 0).all()
    assert np.unique(rank).tolist() == [0, 1, 2, 3]
    assert np.unique(nearest_yarns(colors, yarns)).size < 4


def test_yarns_of_one_lightness_are_two_voices() -> None:
    colors, weights = ramp(hues=True), np.ones((15, 60))
    yarns = rgb_array(["#202020", "#8a7a70", "#6a7fa0", "#f0f0f0"])
    blocks = nearest_yarns(toned(colors, weights, yarns), yarns)
    middle = blocks[:, 30]
    assert (middle[:8] == 1).all()
    assert (middle[8:] == 2).all()


def test_own_yarns_run_from_dark_to_light() -> None:
    yarns = tone_yarns(ramp(), np.ones((15, 60)), 4)
    assert len(yarns) == 4
    light = np.sort(to_lab(yarns)[:, 0])
    assert np.diff(light).min() > 10


def test_thresholds_are_set_on_a_face() -> None:
    faces = np.zeros((15, 60), dtype=bool)
    weights = np.ones((15, 60))
    assert (on_faces(weights, faces) == weights).all()
    faces[:, :20] = True
    dark, even = (tone_yarns(ramp(), on_faces(weights, f), 3) for f in (faces, ~faces & ~faces))
    assert to_lab(dark)[:, 0].min() < to_lab(even)[:, 0].min()


def test_tones_keep_more_of_light_and_dark_and_are_told() -> None:
    """Four yarns and the cat's face: nearest colours lose its eyes' pupils and its nose."""

    def made(**more: object) -> pix2block.Study:
        return pix2block.chart_picture(CAT, Options(width=28, colors=4, **more))  # type: ignore[arg-type]

    usual, tones = made(), made(look="tones")
    kept = []
    for study in (usual, tones):
        assert study.chart.source is not None
        kept.append(
            structure_kept(study.chart.source.means, study.chart.yarn_rgb[study.chart.blocks])
        )
    assert kept[1] > kept[0] + 0.1
    assert any("steps from dark to light" in line for line in usual.decisions)
    assert not any("steps from dark to light" in line for line in tones.decisions)
    assert tones.view is not None
    assert tones.view.look == "photo"


def test_yarns_of_a_shelf_in_tones() -> None:
    options = Options(width=20, colors=4, look="tones", shelf=str(SAMPLES / "shelf_24.csv"), calm=0)
    chart = pix2block.chart_picture(CAT, options).chart
    assert chart.source is not None
    light = to_lab(chart.source.means)[..., 0]
    order = np.argsort(to_lab(chart.yarn_rgb)[:, 0])
    middles = [float(light[chart.blocks == yarn].mean()) for yarn in order.tolist()]
    assert middles == sorted(middles)


def test_tones_go_with_neither_spots_nor_tone() -> None:
    with pytest.raises(pix2block.BadInput, match="leave out spot"):
        pix2block.chart_picture(CAT, Options(width=9, look="tones", spot=((50, 50),)))


# What is told of tones, and where their thresholds are set


def stage(look: str = "auto", read_as: str = "photo", minded: tuple[Place, ...] = ()) -> Any:
    """A ramp as a view, and what matters in it."""
    colors, weights = ramp(), np.ones((15, 60))
    viewing, frame = Viewing(60, 15, WHOLE, look, "keep"), Frame(0.0, 0.0, 1.0, 60, 15)  # type: ignore[arg-type]
    view = View(None, viewing, read_as, frame, colors, colors)  # type: ignore[arg-type]
    return view, Matters(colors, weights, minded, np.zeros((0, 3), dtype=np.uint8), weights)


def in_yarns(count: int) -> Palette:
    yarns = tuple(Yarn(f"Y{i}", f"#{20 + i:02x}3040") for i in range(count))
    return Palette(yarns, np.zeros((15, 60), dtype=np.int64), ramp())


@pytest.mark.parametrize(
    ("kept", "better", "told"),
    [(0.5, 0.8, True), (0.7, 0.9, False), (0.699, 0.9, True), (0.5, 0.5 + BETTER_BY, False)],
)
def test_tones_are_told_where_they_keep_clearly_more(
    kept: float, better: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    def tried(palette: Palette, *args: str) -> tuple[str, ...]:
        figures = iter((kept, better))
        monkeypatch.setattr(
            "pix2block.recipes.tones.structure_kept", lambda *_: next(figures, better)
        )
        view, matters = stage(*args)  # type: ignore[arg-type]
        return tones_tried(view, matters, palette)

    lines = tried(in_yarns(4))
    assert bool(lines) == told
    if told:
        assert lines[0].startswith(f"4 yarns keep {100 * kept:.0f} % of the pattern of light and")
        assert f"they keep {100 * better:.0f} %" in lines[0]
        assert [len(tried(in_yarns(count))) for count in (2, 3, 6, 7)] == [0, 1, 1, 0]
        for args in (("photo", "photo"), ("auto", "flat")):
            assert tried(in_yarns(4), *args) == ()


def test_thresholds_are_set_where_faces_are() -> None:
    """Lines 2 to 5 and columns 3 to 9; a place that was minded is none."""
    box = {"top": 2.0, "bottom": 5.0, "left": 3.5, "right": 8.5, "weight": 2.0}
    face, other = (Place(what, **box) for what in ("face", "asked"))  # type: ignore[arg-type]
    inside = np.zeros((15, 60), dtype=bool)
    inside[2:5, 3:9] = True
    weights = np.ones((15, 60))
    assert (_weights(stage(minded=(face,))[1]) == on_faces(weights, inside)).all()
    assert (_weights(stage(minded=(other,))[1]) == weights).all()
