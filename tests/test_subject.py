"""What a picture is of: found as a ranking, said by a box, a polygon or a mask."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import skimage.data
from PIL import Image

import pix2block
from pix2block.color.names import nearest_names
from pix2block.color.spaces import Bytes, Floats, to_lab
from pix2block.design.likeness import error_figures
from pix2block.design.parts import small_parts
from pix2block.design.subject import cover, find_subject, subject_weights
from pix2block.design.view import WHOLE, Viewing, view_picture
from pix2block.ground import settings
from pix2block.ground.errors import BadInput
from pix2block.picture.blocks import frame_picture
from pix2block.picture.picture import open_picture
from pix2block.recipes.subject_map import subject_words

CAT = Path(__file__).parents[1] / "sample_images" / "tallow_cat.jpg"


def lab_of(pixels: np.ndarray, width: int, samples: int) -> tuple[Floats, int]:
    height = round(width * pixels.shape[0] / pixels.shape[1])
    size = (width * samples, height * samples)
    return to_lab(np.asarray(Image.fromarray(pixels).resize(size))), samples


def test_what_stands_on_a_plain_ground_is_the_subject() -> None:
    pixels = np.full((400, 400, 3), (60, 90, 120), dtype=np.uint8)
    pixels[120:300, 140:280] = (220, 140, 60)
    found = find_subject(*lab_of(pixels, 40, 5))
    inside = np.zeros((40, 40), dtype=bool)
    inside[13:29, 15:27] = True
    assert found.share[inside].mean() > 0.8
    assert found.share[~inside].mean() < 0.2
    assert found.sure > 0.8


def test_an_even_texture_has_no_subject() -> None:
    for pixels in (skimage.data.grass(), skimage.data.gravel()):
        found = find_subject(*lab_of(np.stack([pixels] * 3, axis=2), 60, 5))
        assert found.sure < 0.1


def test_the_flower_is_ranked_before_what_is_behind_it() -> None:
    """skimage.data.coffee: the cup and its saucer against the table."""
    found = find_subject(*lab_of(skimage.data.coffee(), 60, 5))
    on_cup, on_table = found.share[8:28, 22:40], found.share[:, 52:]
    assert on_cup.mean() > 3 * on_table.mean()


def test_small_pictures_have_none() -> None:
    found = find_subject(np.full((6, 6, 3), 50.0), 1)
    assert found.sure == 0
    assert (subject_weights(found.share * found.sure, ()) == 1).all()


def test_small_parts_of_the_subject_alone() -> None:
    colors = np.full((30, 30, 3), (200, 160, 120), dtype=np.uint8)
    colors[10, 10] = colors[10, 16] = (30, 30, 30)
    colors[25, 4] = (30, 30, 30)
    share = np.zeros((30, 30))
    share[5:20, 5:22] = 1.0
    places = [tuple(np.argwhere(p.mask)[0].tolist()) for p in small_parts(colors, share)]
    assert sorted(places) == [(10, 10), (10, 16)]
    assert small_parts(colors, np.zeros((30, 30))) == ()
    weights = subject_weights(share, small_parts(colors, share))
    assert weights[10, 10] > weights[12, 12] > weights[25, 4] == 1


def test_small_parts_of_a_large_chart_are_those_of_its_blocks_taken_together(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    colors = np.full((21, 31, 3), (200, 160, 120), dtype=np.uint8)
    colors[10, 10] = colors[9, 20] = (30, 30, 30)
    every = np.ones((21, 31))
    small = small_parts(colors, every)
    monkeypatch.setattr("pix2block.picture.blocks._MOST_FOR_PARTS", 21 * 31)
    larger = colors.repeat(2, axis=0).repeat(2, axis=1)[:-1, :-1]
    large = small_parts(larger, np.ones(larger.shape[:2]))
    assert [part.color for part in large] == [part.color for part in small]
    assert [part.mask.shape for part in large] == [(41, 61)] * 2
    for one, other in zip(large, small, strict=True):
        assert (one.mask == other.mask.repeat(2, axis=0).repeat(2, axis=1)[:-1, :-1]).all()


def test_a_polygon_covers_shares_of_blocks() -> None:
    frame = frame_picture((200, 100), 20, 10)
    shares = cover((25, 0, 52.5, 0, 52.5, 100, 25, 100), (200, 100), frame)
    assert (shares[:, 5:10] == 1).all()
    assert (shares[:, :5] == 0).all()
    assert np.allclose(shares[:, 10], 0.5, atol=0.13)


def ball(path: Path) -> Path:
    pixels = np.full((120, 120, 3), (90, 110, 130), dtype=np.uint8)
    pixels += np.random.default_rng(1).integers(0, 30, pixels.shape, dtype=np.uint8)
    pixels[40:80, 40:80] = (200, 60, 50)
    Image.fromarray(pixels).save(path)
    return path


def weights_of(picture: Path, **more: object) -> Floats:
    options = pix2block.Options(width=24, look="photo", aim="area", calm=0, **more)  # type: ignore[arg-type]
    source = pix2block.chart_picture(picture, options).chart.source
    assert source is not None
    return np.ones((24, 24)) if source.weights is None else source.weights


def test_a_subject_is_said_in_three_ways(tmp_path: Path) -> None:
    picture = ball(tmp_path / "ball.png")
    box = weights_of(picture, subject=(0.0, 0.0, 50.0, 50.0))
    assert box[:12, :12].min() > 1.2 * box[12:, 12:].max()
    polygon = weights_of(picture, subject=(0.0, 0.0, 50.0, 0.0, 50.0, 50.0, 0.0, 50.0))
    np.testing.assert_allclose(polygon, box)
    mask = Image.new("L", (60, 60))
    mask.paste(255, (0, 0, 30, 30))
    mask.save(tmp_path / "mask.png")
    np.testing.assert_allclose(weights_of(picture, subject=str(tmp_path / "mask.png")), box)
    assert (weights_of(picture, subject="none") == 1).all()
    Image.new("L", (60, 20)).save(tmp_path / "wide.png")
    with pytest.raises(BadInput, match="proportion"):
        weights_of(picture, subject=str(tmp_path / "wide.png"))


@pytest.mark.parametrize("text", ["1,2,3", "10,10,95,20", "0,0,10,0,200,10", "1,2,3,4,5"])
def test_a_subject_that_cannot_be(text: str) -> None:
    with pytest.raises(BadInput, match="corners"):
        pix2block.Options(subject=text)


def test_none_and_area_is_the_least_error(tmp_path: Path) -> None:
    Image.fromarray(skimage.data.chelsea()).save(tmp_path / "cat.png")

    def error(**more: object) -> float:
        options = pix2block.Options(width=24, colors=6, calm=0, **more)  # type: ignore[arg-type]
        study = pix2block.chart_picture(tmp_path / "cat.png", options)
        mean, _ = error_figures(study.chart)
        assert mean is not None
        return mean

    least = error(aim="area", subject="none")
    assert least < min(error(), error(aim="area"), error(subject="none"))


def test_of_a_large_chart_a_part_of_the_colours_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """All colours of a million blocks at once took 7 GB."""
    view = view_picture(
        open_picture(CAT), Viewing(170, 210, WHOLE, "photo", settings.DEFAULT_STROKES)
    )
    assert view.subject.inside.sum() > 10_000
    said = subject_words(view, view.subject)
    looked_up = []

    def counted(colors: Bytes) -> list[str]:
        looked_up.append(len(colors))
        return nearest_names(colors)

    monkeypatch.setattr("pix2block.recipes.subject_map.nearest_names", counted)
    assert subject_words(view, view.subject) == said
    assert looked_up
    assert looked_up[0] <= 10_000
