"""The recipe end to end, on open pictures, and as the README shows it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import skimage.data
from conftest import DRAWN
from PIL import Image
from small import small_sample

import pix2block
from pix2block.chart.reading import read_chart
from pix2block.color.difference import difference_table
from pix2block.design.likeness import error_figures
from pix2block.ground.errors import BadInput

ROOT = Path(__file__).parent.parent
FILES = {
    *("chart.json", "chart.csv", "chart.xlsx", "chart.svg", "chart.png", "held.svg", "preview.png"),
    *("pattern.txt", "pattern.html", "pattern.pdf", "hookside.html"),
    *("rows.csv", "strands.csv", "yarn.csv", "bobbins.csv", "tails.csv", "shopping.txt"),
    "summary.json",
}


@pytest.mark.usefixtures("few_files", "unset_pages")
@pytest.mark.parametrize(
    "name",
    [
        pytest.param("astronaut", marks=pytest.mark.every_file),
        *("camera", "chelsea", "coffee", "rocket", "logo"),
    ],
)
def test_pictures_of_scikit_image(
    name: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    """Open pictures that scikit-image carries (skimage.data), as files of several kinds."""
    pixels = getattr(skimage.data, name)()[::4, ::4]
    path = tmp_path / f"{name}.png"
    Image.fromarray(pixels).save(path)
    made = pix2block.chart_picture(
        path,
        pix2block.Options(width=12, colors=6, look="photo", calm=0.0, aim="area", subject="none"),
    )
    chart = made.chart
    height, width = pixels.shape[:2]
    assert chart.blocks.shape == (max(1, int(12 * height / width + 0.5)), 12)
    assert len(chart.yarns) <= 6
    assert chart.source is not None
    nearest = difference_table(chart.source.means.reshape(-1, 3), chart.yarn_rgb).min(axis=1)
    assert error_figures(chart)[0] == pytest.approx(nearest.mean())
    counts = chart.blocks_by_yarn.tolist()
    assert counts == sorted(counts, reverse=True)
    assert min(counts) > 0
    study = pix2block.Study(chart)
    pix2block.save(study, tmp_path / "out")
    saved = {p.name: p.read_bytes() for p in (tmp_path / "out").iterdir()}
    drawn = request.node.get_closest_marker("every_file")
    assert set(saved) == {file for file in FILES if drawn or not file.endswith(DRAWN)}
    again, _ = read_chart((tmp_path / "out" / "chart.json").read_bytes(), "chart.json")
    assert pix2block.files_of(again) == saved


def test_shelf_gives_the_best_few() -> None:
    shelf = str(ROOT / "sample_images" / "shelf_24.csv")
    picture = small_sample("club_badge.png")
    chart = pix2block.chart_picture(
        picture, pix2block.Options(width=20, colors=4, shelf=shelf)
    ).chart
    names = [yarn.name for yarn in pix2block.open_shelf(shelf).yarns]
    chosen = [names.index(yarn.name) for yarn in chart.yarns]
    assert chosen == sorted(chosen)
    assert len(chosen) == 4
    whole = pix2block.chart_picture(picture, pix2block.Options(width=20, shelf=shelf)).chart
    assert [yarn.name for yarn in whole.yarns] == names
    error, whole_error = error_figures(chart)[0], error_figures(whole)[0]
    assert error is not None
    assert whole_error is not None
    assert error >= whole_error


def test_a_picture_that_is_a_chart_is_taken_exactly(tmp_path: Path) -> None:
    rng = np.random.default_rng(3)
    colors = np.array([[200, 30, 40], [20, 60, 90], [240, 230, 200]], dtype=np.uint8)
    numbers = rng.integers(0, 3, (9, 7))
    Image.fromarray(colors[numbers].repeat(5, 0).repeat(5, 1)).save(tmp_path / "grid.png")
    chart = pix2block.chart_picture(tmp_path / "grid.png", pix2block.Options(look="blocks")).chart
    assert (chart.yarn_rgb[chart.blocks] == colors[numbers]).all()
    assert error_figures(chart) == (0, 0)
    with pytest.raises(BadInput, match="3 colours, over 2"):
        pix2block.chart_picture(tmp_path / "grid.png", pix2block.Options(look="blocks", colors=2))


def test_report_overrides_and_keeps(tmp_path: Path) -> None:
    picture = small_sample("fog_morning.png")
    options = pix2block.Options(width=12, colors=3, hand="left", tail=12.5)
    chart = pix2block.chart_picture(picture, options).chart
    pix2block.save(chart, tmp_path, only=["chart.json"])
    again = pix2block.open_chart(
        tmp_path / "chart.json", pix2block.Options(habit="carry", rest=1, terms="uk")
    ).chart
    assert (again.hand, again.start_corner, again.tail_cm) == ("left", "bottom-left", 12.5)
    assert (again.terms, again.habit.reach, again.habit.rest, again.habit.edge) == ("uk", 3, 1, 3)
    assert again.habit.name == "own"
    assert pix2block.with_options(again, pix2block.Options(habit="cut")).habit.name == "cut"


def test_start_corner_of_a_piece_that_ends_early_is_kept(tmp_path: Path) -> None:
    grid = tmp_path / "shawl.csv"
    grid.write_text(",,Moss\n,Moss,Chalk\nMoss,Chalk,Moss\n")
    chart = pix2block.open_chart(grid).chart
    assert (chart.last_row, chart.start_corner) == (3, "bottom-right")
    pix2block.save(chart, tmp_path / "out", only=["chart.json"])
    with pytest.raises(BadInput, match="leave out corner"):
        pix2block.open_chart(tmp_path / "out" / "chart.json", pix2block.Options(corner="top-left"))


def test_public_names_are_all_there() -> None:
    for name in pix2block.__all__:
        assert getattr(getattr(pix2block, name), "__name__", name) == name
    assert set(pix2block.__all__) == set(pix2block._MODULE_OF)
    with pytest.raises(AttributeError):
        _ = pix2block.nothing_of_this_name
