"""What matters: minded places, spots, faces, and weights by how crowded a colour is."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import skimage.data
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

import pix2block
from pix2block.chart.source import Place
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import decoding_table, encode_bytes, to_lab
from pix2block.design.attention import aimed_weights, minded_weights, place_in_frame
from pix2block.drawing.shapes import Shape
from pix2block.drawing.style import NOW
from pix2block.ground.advice import Advice
from pix2block.ground.errors import BadInput
from pix2block.picture.blocks import frame_picture
from pix2block.picture.faces import find_faces, grouped_hits, is_face
from pix2block.picture.picture import open_picture
from pix2block.recipes.from_picture import see
from pix2block.recipes.looking import what_matters

SAMPLES = Path(__file__).parent.parent / "sample_images"


def test_places_lie_where_they_were_asked_for() -> None:
    """Per cent of the turned picture, before cropping."""
    frame = frame_picture((200, 100), 20, 10)
    assert place_in_frame("asked", (25, 50, 50, 50), 4, (200, 100), frame) == Place(
        "asked", 5, 5, 15, 10, 4
    )
    cropped = frame_picture((200, 100), 10, 10)  # the middle square: a block is 10 pixels
    assert place_in_frame("asked", (0, 0, 50, 100), 4, (200, 100), cropped) == Place(
        "asked", 0, 0, 5, 10, 4
    )
    assert place_in_frame("asked", (0, 0, 20, 100), 4, (200, 100), cropped) is None
    spot = place_in_frame("spot", (50, 99.9, 0, 0), 1, (200, 100), frame)
    assert spot == Place("spot", 10, 9, 11, 10, 1)
    edge = place_in_frame("spot", (100, 50, 0, 0), 1, (200, 100), frame)
    assert edge == Place("spot", 19, 5, 20, 6, 1)
    lowest = place_in_frame("spot", (50, 100, 0, 0), 1, (200, 100), frame)
    assert lowest == Place("spot", 10, 9, 11, 10, 1)
    assert place_in_frame("spot", (99, 50, 0, 0), 1, (200, 100), cropped) is None
    assert place_in_frame("spot", (1, 50, 0, 0), 1, (200, 100), cropped) is None


def test_weights_follow_the_share_of_a_block() -> None:
    weights = minded_weights((2, 4), [Place("asked", 0.5, 0, 2.25, 1, 5)])
    np.testing.assert_allclose(weights, [[3, 5, 2, 1], [1, 1, 1, 1]])
    both = [Place("asked", 0, 0, 2, 1, 5), Place("face", 1, 0, 3, 1, 2)]
    np.testing.assert_allclose(minded_weights((1, 4), both), [[5, 5, 2, 1]])
    lighter = minded_weights((1, 2), [Place("asked", 0, 0, 1, 1, 0.25)])
    np.testing.assert_allclose(lighter, [[0.25, 1]])


@given(st.integers(1, 12), st.integers(1, 12), st.integers(0, 2**31))
def test_even_weights_are_their_definition(width: int, height: int, seed: int) -> None:
    """rho^(-1/2), rho = the sum over blocks of exp(-(CIEDE2000 / 6)^2), by scikit-image's."""
    rng = np.random.default_rng(seed)
    means = rng.integers(0, 4, (height, width, 3), dtype=np.uint8) * 60
    lab = to_lab(means.reshape(-1, 3))
    rho = np.exp(-((ciede2000(lab[:, None], lab[None]) / 6) ** 2)).sum(axis=1)
    expected = (rho**-0.5).reshape(height, width)
    np.testing.assert_allclose(aimed_weights(means, "even"), expected, rtol=1e-6)
    assert (aimed_weights(means, "area") == 1).all()


def test_even_weights_of_many_colors_are_near_their_definition() -> None:
    rng = np.random.default_rng(1)
    means = np.clip(rng.normal(128, 30, (36, 36, 3)), 0, 255).astype(np.uint8)
    lab = to_lab(means.reshape(-1, 3))
    rho = np.exp(-((ciede2000(lab[:, None], lab[None]) / 6) ** 2)).sum(axis=1)
    ratio = aimed_weights(means, "even").ravel() / rho**-0.5
    assert np.abs(np.log(ratio)).mean() < 0.05


def test_the_astronauts_face_is_found(tmp_path: Path) -> None:
    """skimage.data.astronaut: the face lies about 35 to 55 per cent across, 12 to 33 down."""
    Image.fromarray(skimage.data.astronaut()).save(tmp_path / "astronaut.png")
    (face,) = find_faces(open_picture(tmp_path / "astronaut.png"))
    left, top, width, height = face
    assert left < 40 < 48 < left + width
    assert top < 15 < 30 < top + height
    Image.new("RGB", (20, 300), "grey").save(tmp_path / "narrow.png")
    assert find_faces(open_picture(tmp_path / "narrow.png")) == []


def test_hits_of_a_face_agree_where_they_overlap() -> None:
    near, nearer, beside = (0, 0, 10, 10), (3, 1, 10, 10), (7, 0, 10, 10)  # of near, 63 and 30 %
    assert grouped_hits([near, beside]) == [(near, 1), (beside, 1)]
    assert grouped_hits([near, nearer]) == [((1, 0, 10, 10), 2)]
    assert grouped_hits([near, beside, nearer]) == [((1, 0, 10, 10), 2), (beside, 1)]


def relit(pixels: np.ndarray, light: float) -> Image.Image:
    """A picture in so much of its light, as a darker or paler skin would send back."""
    return Image.fromarray(encode_bytes(np.minimum(decoding_table()[pixels] * light, 1)))


def test_a_face_has_a_second_witness(tmp_path: Path) -> None:
    """skimage.data.astronaut: skin and eyes, in any light; a suit, a cat, a page have none, though
    a box of the same size lies on them."""
    pixels = skimage.data.astronaut()[::2, ::2]
    for light in (0.12, 0.3, 1.0, 1.15):
        relit(pixels, light).save(tmp_path / "lit.png")
        assert is_face(open_picture(tmp_path / "lit.png"), (34, 8, 22, 25)), light
    picture = open_picture(tmp_path / "lit.png")
    for box in ((10.0, 60.0, 22.0, 25.0), (60.0, 30.0, 22.0, 25.0), (66.0, 70.0, 22.0, 25.0)):
        assert not is_face(picture, box), box
    for name in ("chelsea", "page", "rocket", "coffee", "grass"):
        other = np.asarray(getattr(skimage.data, name)())
        other = other if other.ndim == 3 else np.stack([other] * 3, axis=2)
        Image.fromarray(other).reduce(2).save(tmp_path / "other.png")
        picture = open_picture(tmp_path / "other.png")
        boxes = [(x, y, 22.0, 25.0) for x in range(0, 78, 13) for y in range(0, 75, 15)]
        believed = sum(is_face(picture, box) for box in boxes)
        assert believed <= 2, name  # of thirty


@pytest.fixture(scope="module")
def astronaut(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """skimage.data.astronaut in 256 x 256 pixels."""
    path = tmp_path_factory.mktemp("face") / "astronaut.png"
    Image.fromarray(skimage.data.astronaut()).reduce(2).save(path)
    return path


def test_a_small_face_is_told_the_crop_that_shows_its_eyes(astronaut: Path) -> None:
    options = pix2block.Options(width=30)
    made = what_matters(see(astronaut, options).view, options)
    (note,) = [note for note in made.notes if "eyes need" in note]
    assert isinstance(note, Advice)
    (ask,) = note.asks
    crop = tuple(float(side) for side in str(ask.value).split(","))
    options = replace(options, crop=crop)  # type: ignore[arg-type]
    closer = what_matters(see(astronaut, options).view, options)
    widths = [place.right - place.left for one in (made, closer) for place in one.minded]
    assert widths[1] > 1.8 * widths[0]
    assert f"a face is {widths[0]:.0f} blocks wide" in note
    assert f"gives it {widths[1]:.0f}." in note


def test_a_found_face_is_told_drawn_and_kept(astronaut: Path, tmp_path: Path) -> None:
    made = pix2block.chart_picture(
        astronaut, pix2block.Options(width=30, calm=0.0, mind=("faces",), spot=((50, 90),))
    )
    assert any("faces found at" in note for note in made.notes)
    source = made.chart.source
    assert source is not None
    assert [place.what for place in source.minded] == ["face", "spot"]
    pix2block.save(made, tmp_path / "out", only=["chart.json"])
    outlines = [
        item for item in made.subject_sheet.items if isinstance(item, Shape) and item.stroke == NOW
    ]
    assert len(outlines) == 2
    kept = json.loads((tmp_path / "out" / "chart.json").read_text())
    assert kept["source"]["minded"][0]["what"] == "face"
    again = pix2block.open_chart(tmp_path / "out" / "chart.json").chart
    assert again.source is not None
    assert again.source.minded == source.minded
    np.testing.assert_allclose(again.source.weights, source.weights)  # type: ignore[arg-type]


def test_minding_a_face_brings_it_nearer(astronaut: Path) -> None:
    face = pix2block.Minded((34, 5, 24, 30), 4)

    def error_in_face(**more: object) -> float:
        options = pix2block.Options(width=40, colors=8, aim="area", subject="none", **more)  # type: ignore[arg-type]
        chart = pix2block.chart_picture(astronaut, options).chart
        assert chart.source is not None
        there = np.s_[2:14, 14:23]
        lab = to_lab(chart.yarn_rgb)[chart.blocks[there]]
        return float(ciede2000(to_lab(chart.source.means[there]), lab).mean())

    assert error_in_face(mind=(face,)) < 0.8 * error_in_face()


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"lock": ("Moss",)}, "add shelf"),
        ({"shelf": str(SAMPLES / "shelf_24.csv"), "ban": ("Mos",)}, 'did you mean "Moss"'),
    ],
)
def test_wrong_wishes(options: dict[str, object], message: str) -> None:
    with pytest.raises(BadInput, match=message):
        pix2block.chart_picture(
            SAMPLES / "club_badge.png",
            pix2block.Options(width=8, **options),  # type: ignore[arg-type]
        )


def test_a_place_outside_the_crop_is_told(tmp_path: Path) -> None:
    Image.new("RGB", (40, 20), "teal").save(tmp_path / "wide.png")
    made = pix2block.chart_picture(
        tmp_path / "wide.png",
        pix2block.Options(width=5, height=5, mind=(pix2block.Minded((0, 0, 10, 10)),)),
    )
    assert any("outside" in note for note in made.notes)
