"""A picture's view, the first stage of a chart: made once, taken for every other palette."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from small import small_sample

import pix2block
from pix2block.chart.reading import write_chart
from pix2block.design import view
from pix2block.design.view import view_picture
from pix2block.ground.errors import BadInput
from pix2block.options.table import Options
from pix2block.picture.picture import open_picture
from pix2block.recipes import from_picture
from pix2block.recipes.looking import viewing_of
from pix2block.trial.recipe import try_palettes
from pix2block.yarn.swatch import Swatch

SAMPLES = Path(__file__).parent.parent / "sample_images"
CAT = small_sample("tallow_cat.jpg", 90)
SHELVES = [str(SAMPLES / f"shelf_{n}.csv") for n in (5, 12)]
SMALL = Options(width=10, colors=4)


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What is read of pictures, in order."""
    read: list[str] = []

    def watched(module: object, name: str) -> None:
        real = getattr(module, name)

        def call(*args: object, **more: object) -> object:
            read.append(name)
            return real(*args, **more)

        monkeypatch.setattr(module, name, call)

    watched(from_picture, "open_picture")
    for name in ("block_means", "flat_share", "find_faces"):
        watched(view, name)
    return read


def test_another_palette_reads_nothing_of_the_picture(read: list[str]) -> None:
    made = pix2block.chart_picture(CAT, SMALL)
    assert read == ["open_picture", "block_means", "flat_share", "find_faces"]
    assert made.view is not None
    for options in (
        replace(SMALL, colors=3, seed=2),
        replace(SMALL, colors=None, shelf=SHELVES[1], title="Tallow", hand="left"),
        replace(SMALL, calm=0.0, spot=((50.0, 50.0),), aim="area", mind=("faces",)),
    ):
        del read[:]
        again = pix2block.chart_picture(made.view, options)
        assert read == []
        fresh = pix2block.chart_picture(CAT, options)
        assert write_chart(again.chart) == write_chart(fresh.chart)
        assert (again.notes, again.decisions) == (fresh.notes, fresh.decisions)
        assert again.view is made.view


def test_another_view_is_made_where_it_is_asked_for(read: list[str]) -> None:
    made = pix2block.chart_picture(CAT, SMALL)
    assert made.view is not None
    for options in (
        replace(SMALL, width=8),
        replace(SMALL, crop=(10.0, 10.0, 60.0, 60.0)),
        replace(SMALL, look="flat"),
        replace(SMALL, width=None, size=(24.0, 30.0), weight=5),
    ):
        del read[:]
        again = pix2block.chart_picture(made.view, options)
        assert "open_picture" not in read
        assert "block_means" in read
        fresh = pix2block.chart_picture(CAT, options)
        assert write_chart(again.chart) == write_chart(fresh.chart)


def test_a_background_shines_through_a_view_too() -> None:
    cutout = small_sample("lantern_cutout.png", 80)
    plain, dark = Options(width=8, colors=4), Options(width=8, colors=4, background="#202020")
    fresh = {options: pix2block.chart_picture(cutout, options) for options in (plain, dark)}
    assert write_chart(fresh[plain].chart) != write_chart(fresh[dark].chart)
    for given in (fresh[dark].view, open_picture(cutout)):
        assert given is not None
        for options, first in fresh.items():
            again = pix2block.chart_picture(given, options)
            assert write_chart(again.chart) == write_chart(first.chart)


def test_weight_and_swatch_matter_to_a_view_only_for_a_size_in_cm() -> None:
    assert viewing_of(Options(width=9)) == viewing_of(
        Options(width=9, weight=5, block="hdc"), Swatch(7.0, 1.3)
    )
    sized = Options(size=(60.0, 70.0))
    assert viewing_of(sized) != viewing_of(replace(sized, weight=6))
    by_swatch = viewing_of(sized, Swatch(10.0, 1.3))
    assert (by_swatch.width, by_swatch.height) == (6, 7)
    with pytest.raises(BadInput, match="both sides"):
        viewing_of(replace(sized, width=9))


def test_trials_of_a_size_share_a_view(read: list[str]) -> None:
    asked = [Options(width=width, colors=colors) for width in (9, 12) for colors in (3, 4)]
    trial = try_palettes(CAT, SHELVES[1:], asked)
    assert len(trial.tried) == 4
    assert read.count("block_means") == 2
    assert read.count("flat_share") == 2


def test_a_view_that_holds_is_taken_as_it_is() -> None:
    opened = open_picture(CAT)
    one = view_picture(opened, viewing_of(Options(width=9)))
    assert view_picture(one, viewing_of(Options(width=9))) is one
    other = view_picture(one, viewing_of(Options(width=10)))
    assert other.picture is opened
    assert other.means.shape[1] == 10


@pytest.mark.parametrize(
    ("blocks", "square", "told"), [(12, 8, True), (12, 1, False), (6, 8, False)]
)
def test_a_picture_of_equal_squares_is_told_to_be_a_chart(
    blocks: int, square: int, told: bool, tmp_path: Path
) -> None:
    colors = np.array([[200, 30, 40], [20, 60, 90], [240, 230, 200]], dtype=np.uint8)
    drawn = colors[np.random.default_rng(1).integers(0, 3, (blocks, blocks))]
    image = Image.fromarray(drawn.repeat(square, 0).repeat(square, 1))
    image.save(tmp_path / "squares.png")
    words = f"squares.png is made of equal squares, a chart of {blocks} x {blocks} blocks: look blo"
    for width in (5, blocks):
        study = pix2block.chart_picture(tmp_path / "squares.png", Options(width=width, look="flat"))
        said = [note for note in study.notes if note.startswith(words)]
        assert bool(said) == (told and width == 5)
