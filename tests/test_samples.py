"""The sample pictures are what the script draws, and the shelves can be read."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from PIL import Image

from pix2block.color.spaces import rgb_array, to_lab
from pix2block.options.maker import open_maker
from pix2block.recipes.supplies import open_shelf, open_swatches
from pix2block.yarn.swatch import questions

SAMPLES = Path(__file__).parent.parent / "sample_images"
PACKED = np.array([1 << 16, 1 << 8, 1])  # a colour as one whole number


def script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("draw_samples", SAMPLES / "draw_samples.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["draw_samples"] = module
    sys.path.insert(0, str(SAMPLES))  # as when it is run as a script
    spec.loader.exec_module(module)
    return module


def test_drawn_pictures_are_current() -> None:
    """The badge in every third pixel, which its script draws by themselves."""
    drawn_by = script()
    for drawn, file, every in (
        (drawn_by.draw_badge(3), "club_badge.png", 3),
        (drawn_by.draw_boathouse(), "boathouse_lines.png", 1),
    ):
        found = np.asarray(drawn.convert("RGBA"), dtype=int)
        with Image.open(SAMPLES / file) as picture:
            kept = np.asarray(picture.convert("RGBA"), dtype=int)[::every, ::every]
        assert found.shape == kept.shape
        assert (np.abs(found - kept).max(axis=2) > 8).mean() < 0.001, file


def test_samples_are_what_they_are_for() -> None:
    cutout = Image.open(SAMPLES / "lantern_cutout.png")
    assert cutout.mode == "RGBA"
    low, high = cutout.getchannel("A").getextrema()
    assert (low, high) == (0, 255)
    fog = to_lab(np.asarray(Image.open(SAMPLES / "fog_morning.png").convert("RGB").reduce(8)))
    darkest, lightest = np.percentile(fog[..., 0], [2, 98])
    assert lightest - darkest < 25
    badge = np.asarray(Image.open(SAMPLES / "club_badge.png").convert("RGB")).reshape(-1, 3)
    _, counts = np.unique(badge @ PACKED, return_counts=True)
    assert np.sort(counts)[-4:].sum() > 0.95 * len(badge)
    cat = np.asarray(Image.open(SAMPLES / "tallow_cat.jpg")).reshape(-1, 3)
    assert len(np.unique(cat @ PACKED)) > 20_000


@pytest.mark.parametrize(("file", "count"), [("24", 24), ("12", 12), ("5", 5)])
def test_shelves(file: str, count: int) -> None:
    shelf = open_shelf(SAMPLES / f"shelf_{file}.csv")
    assert not shelf.warnings
    assert len(shelf.yarns) == count
    for yarn in shelf.yarns:
        assert yarn.metres
        assert yarn.grams
        assert yarn.price
        assert yarn.weight == 4
    light = to_lab(rgb_array([yarn.color for yarn in shelf.yarns]))[:, 0]
    assert light.min() < 25
    assert light.max() > 90


def test_swatches_and_a_makers_file() -> None:
    measured = open_swatches(SAMPLES / "swatch.toml")
    assert [one.yarn for one in measured] == ["Chalk", "Deep Channel"]
    assert [question for one in measured for question in questions(one)] == []
    maker = open_maker(SAMPLES / "maker.toml")
    assert (maker.money.currency, maker.hook_mm) == ("EUR", 5.5)
