"""Framing a picture in blocks, and the blocks' mean light against a plain slow computation."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from PIL import Image

from pix2block.color.spaces import Bytes, Floats, decode, encode
from pix2block.ground.errors import BadInput
from pix2block.picture.blocks import (
    Frame,
    block_means,
    blocks_of_chart_picture,
    frame_picture,
)
from pix2block.picture.picture import Picture, open_picture
from pix2block.picture.profile import srgb_profile

WHOLE = (0.0, 0.0, 100.0, 100.0)
sides = st.integers(1, 1000)
pixel_sides = st.integers(1, 6000)


def picture_of(pixels: Bytes, orientation: int = 1, background: str = "#ffffff") -> Picture:
    return Picture("p.png", "", Image.fromarray(pixels), orientation, background, srgb_profile())


def random_pixels(*shape: int, variant: int = 1) -> Bytes:
    return np.random.default_rng(variant).integers(0, 256, shape, dtype=np.uint8)


@st.composite
def crops(draw: st.DrawFn, /) -> tuple[float, float, float, float]:
    """A part of a picture in per cent, with decimals."""
    x, y = draw(st.integers(0, 990)), draw(st.integers(0, 990))
    w, h = draw(st.integers(5, 1000 - x)), draw(st.integers(5, 1000 - y))
    return x / 10, y / 10, w / 10, h / 10


# The frame


def half_up(value: Fraction) -> int:
    return math.floor(value + Fraction(1, 2))


@given(st.tuples(pixel_sides, pixel_sides), sides)
@example((8, 4), 1)  # exactly half a block
@example((200, 101), 100)  # 50.5
@example((200, 99), 100)  # 49.5
def test_the_other_side_keeps_the_proportion(size: tuple[int, int], blocks: int) -> None:
    height = max(1, half_up(Fraction(blocks * size[1], size[0])))
    width = max(1, half_up(Fraction(blocks * size[0], size[1])))
    if height <= 1000:
        frame = frame_picture(size, width=blocks)
        assert (frame.width, frame.height) == (blocks, height)
    if width <= 1000:
        frame = frame_picture(size, height=blocks)
        assert (frame.width, frame.height) == (width, blocks)


@pytest.mark.parametrize(
    ("size", "width", "height"),
    [
        ((1200, 1500), 60, 75),
        ((200, 101), 100, 51),
        ((200, 99), 100, 50),
        ((8, 4), 1, 1),
        ((1000, 1), 60, 1),
        ((3, 2), 2, 1),
        ((1, 1), 1000, 1000),
    ],
)
def test_heights_that_follow_from_a_width(size: tuple[int, int], width: int, height: int) -> None:
    assert frame_picture(size, width=width).height == height


def test_the_other_side_follows_the_crop() -> None:
    frame = frame_picture((400, 300), width=10, crop=(25, 0, 50, 100))
    assert (frame.width, frame.height) == (10, 15)
    frame = frame_picture((400, 300), height=15, crop=(25, 0, 50, 100))
    assert (frame.width, frame.height) == (10, 15)
    assert frame.box == (100, 0, 300, 300)


@given(st.tuples(pixel_sides, pixel_sides), sides, sides, crops())
def test_both_sides_crop_centred_and_never_stretch(
    size: tuple[int, int], width: int, height: int, crop: tuple[float, float, float, float]
) -> None:
    frame = frame_picture(size, width, height, crop)
    assert (frame.width, frame.height) == (width, height)
    left, top, right, bottom = frame.box
    x, y = size[0] * crop[0] / 100, size[1] * crop[1] / 100
    across, down = size[0] * crop[2] / 100, size[1] * crop[3] / 100
    tolerance = 1e-9 * max(size)
    # square blocks: one length for both sides
    assert right - left == pytest.approx(frame.block * width, abs=tolerance)
    assert bottom - top == pytest.approx(frame.block * height, abs=tolerance)
    # inside, centred, and as large as it can be
    spare = across - (right - left), down - (bottom - top)
    assert left - x == pytest.approx(spare[0] / 2, abs=tolerance)
    assert top - y == pytest.approx(spare[1] / 2, abs=tolerance)
    assert min(spare) == pytest.approx(0, abs=tolerance)
    assert max(spare) >= -tolerance


def test_what_does_not_fit_is_cut_on_both_sides() -> None:
    assert frame_picture((300, 100), 10, 10).box == (100, 0, 200, 100)
    assert frame_picture((100, 300), 10, 10).box == (0, 100, 100, 200)
    assert frame_picture((300, 100), 1, 2).box == (125, 0, 175, 100)
    assert frame_picture((300, 100), 30, 10).box == (0, 0, 300, 100)


@pytest.mark.parametrize(
    ("size", "width", "height", "message"),
    [
        ((10, 10), 0, None, "0 x 1 blocks: choose a width from 1 to 1000"),
        ((10, 10), -5, 5, "-5 x 5 blocks: choose a width from 1 to 1000"),
        ((10, 10), 1001, None, "1001 x 1001 blocks: choose a width from 1 to 1000"),
        ((10, 10), 5, 1001, "5 x 1001 blocks: choose a height from 1 to 1000"),
        ((10, 10), 5, 0, "5 x 0 blocks: choose a height from 1 to 1000"),
        ((100, 1668), 60, None, "60 x 1001 blocks: choose a height from 1 to 1000"),
        ((1668, 100), None, 60, "1001 x 60 blocks: choose a width from 1 to 1000"),
        ((10, 10), None, None, "needs a width or a height"),
    ],
)
def test_sizes_out_of_range_are_refused(
    size: tuple[int, int], width: int | None, height: int | None, message: str
) -> None:
    with pytest.raises(BadInput) as caught:
        frame_picture(size, width, height)
    assert message in str(caught.value)


def test_a_side_may_have_1000_blocks() -> None:
    assert frame_picture((100, 1666), width=60).height == 1000
    assert frame_picture((7, 7), 1000, 1000).block == 7 / 1000


# Mean light


def slow_light(pixels: Floats, frame: Frame) -> Floats:
    """(height, width, 3) mean of (lines, columns, 3) over each block, pixel by pixel."""
    left, top, _, _ = frame.box
    means = np.zeros((frame.height, frame.width, 3))
    for line in range(frame.height):
        for column in range(frame.width):
            x0, y0 = left + column * frame.block, top + line * frame.block
            x1, y1 = x0 + frame.block, y0 + frame.block
            area = 0.0
            for y in range(pixels.shape[0]):
                for x in range(pixels.shape[1]):
                    across = min(x1, x + 1) - max(x0, x)
                    down = min(y1, y + 1) - max(y0, y)
                    if across > 0 and down > 0:
                        means[line, column] += across * down * pixels[y, x]
                        area += across * down
            assert area == pytest.approx(frame.block**2, rel=1e-6)
            means[line, column] /= area
    return means


def assert_means(found: Bytes, light: Floats) -> None:
    """Each byte is the light's value rounded, halves either way."""
    assert found.dtype == np.uint8
    assert found.shape == light.shape
    assert float(np.abs(encode(light) * 255 - found).max()) <= 0.5 + 1e-5


@given(
    st.tuples(st.integers(1, 9), st.integers(1, 9)),
    st.integers(1, 12),
    st.one_of(st.none(), st.integers(1, 12)),
    crops(),
    st.integers(0, 10**6),
)
@example((4, 3), 4, 3, WHOLE, 0)  # a pixel a block
@example((8, 6), 4, 3, WHOLE, 0)  # four pixels a block
@example((2, 2), 10, 10, WHOLE, 0)  # many blocks a pixel
@example((1, 1), 12, 12, (10.1, 20.2, 0.5, 0.5), 0)
@example((5, 7), 3, None, (0.0, 33.3, 100.0, 66.7), 0)
def test_block_means_are_means_of_light(
    size: tuple[int, int],
    width: int,
    height: int | None,
    crop: tuple[float, float, float, float],
    variant: int,
) -> None:
    proportion = size[1] * crop[3] / (size[0] * crop[2])
    assume(height or width * proportion < 40)
    pixels = random_pixels(size[1], size[0], 3, variant=variant)
    frame = frame_picture(size, width, height, crop)
    assert_means(block_means(picture_of(pixels), frame), slow_light(decode(pixels / 255), frame))


@given(st.integers(1, 8), st.integers(1, 8), st.integers(1, 9), crops(), st.integers(0, 99))
def test_block_means_of_turned_pictures(
    orientation: int, down: int, width: int, crop: tuple[float, float, float, float], variant: int
) -> None:
    picture = picture_of(random_pixels(down, 6, 3, variant=variant), orientation)
    frame = frame_picture(picture.size, width, 3, crop)
    light = decode(picture.pixels() / 255)
    assert_means(block_means(picture, frame), slow_light(light, frame))


@given(st.integers(0, 99), crops())
def test_block_means_of_transparent_pictures(
    variant: int, crop: tuple[float, float, float, float]
) -> None:
    rgba = random_pixels(5, 7, 4, variant=variant)
    picture = picture_of(rgba, background="#3070c0")
    cover = rgba[..., 3:] / 255
    below = decode(np.array([0x30, 0x70, 0xC0]) / 255)
    light = decode(rgba[..., :3] / 255) * cover + below * (1 - cover)
    frame = frame_picture(picture.size, 4, 3, crop)
    assert_means(block_means(picture, frame), slow_light(light, frame))


@given(st.integers(1, 7), st.integers(1, 7), st.integers(1, 9), st.integers(0, 99))
def test_whole_pixels_a_block_are_their_plain_mean(
    width: int, height: int, square: int, variant: int
) -> None:
    pixels = random_pixels(height * square, width * square, 3, variant=variant)
    picture = picture_of(pixels)
    found = block_means(picture, frame_picture(picture.size, width, height))
    light = decode(pixels / 255).reshape(height, square, width, square, 3).mean(axis=(1, 3))
    assert_means(found, light)


@given(st.integers(1, 9), st.integers(1, 9), st.integers(1, 60), st.integers(0, 255))
def test_a_picture_of_one_color_keeps_it(across: int, down: int, width: int, value: int) -> None:
    picture = picture_of(np.full((down, across, 3), value, dtype=np.uint8))
    found = block_means(picture, frame_picture(picture.size, width, 11, (3.7, 1.1, 91.3, 88.8)))
    assert (found == value).all()


def test_a_checkerboard_gives_half_the_light() -> None:
    board = np.indices((40, 40)).sum(axis=0) % 2 * 255
    picture = picture_of(np.repeat(board[..., None], 3, axis=2).astype(np.uint8))
    assert (block_means(picture, frame_picture(picture.size, 5)) == 188).all()
    assert (block_means(picture, frame_picture(picture.size, 20)) == 188).all()


def test_large_pictures_are_read_in_strips(monkeypatch: pytest.MonkeyPatch) -> None:
    picture = picture_of(random_pixels(50, 64, 3))
    frame = frame_picture(picture.size, 3, 2, (1.5, 2.5, 95.0, 96.0))
    at_once = block_means(picture, frame)
    monkeypatch.setattr("pix2block.picture.blocks._PIXELS_AT_ONCE", 1)
    np.testing.assert_array_equal(block_means(picture, frame), at_once)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("share", [1e-2, 2e-4])
@pytest.mark.parametrize(("x", "column"), [(30.0, 1), (50.0, 2)])
def test_a_very_small_crop_shows_the_pixel_there(x: float, column: int, share: float) -> None:
    pixels = random_pixels(4, 4, 3)
    picture = picture_of(pixels)
    frame = frame_picture(picture.size, 5, 5, (x, 25.0, share, share))
    assert (block_means(picture, frame) == pixels[1, column]).all()


@pytest.mark.parametrize("share", [1e-5, 1e-8, 1e-11])
def test_a_crop_of_next_to_nothing_is_refused(share: float) -> None:
    with pytest.raises(BadInput, match="make it larger"):
        frame_picture((4, 4), 5, 5, (50.0, 25.0, share, share))


@pytest.mark.parametrize("orientation", [1, 6])
def test_progress_is_told_line_by_line(orientation: int) -> None:
    told: list[tuple[int, int]] = []
    tell: Callable[[int, int], None] = lambda done, of: told.append((done, of))  # noqa: E731
    picture = picture_of(random_pixels(6, 8, 3), orientation)
    frame = frame_picture(picture.size, 4, 3)
    block_means(picture, frame, tell)
    lines = 3 if orientation == 1 else 4  # lines as stored
    assert told == [(n, lines) for n in range(1, lines + 1)]


# Pictures that already are charts


def drawn(blocks: Bytes, square: int) -> Bytes:
    """Each block as a square of pixels."""
    return np.repeat(np.repeat(blocks, square, axis=0), square, axis=1)


@given(
    st.integers(1, 9), st.integers(1, 9), st.integers(1, 6), st.integers(2, 250), st.integers(0, 99)
)
def test_a_chart_picture_with_its_width_is_taken_exactly(
    width: int, height: int, square: int, step: int, variant: int
) -> None:
    blocks = random_pixels(height, width, 3, variant=variant) // step * step
    picture = picture_of(drawn(blocks, square))
    np.testing.assert_array_equal(blocks_of_chart_picture(picture, width), blocks)
    np.testing.assert_array_equal(blocks_of_chart_picture(picture, None, height), blocks)
    np.testing.assert_array_equal(blocks_of_chart_picture(picture, width, height), blocks)


@given(st.integers(1, 9), st.integers(1, 9), st.integers(1, 6), st.integers(0, 99))
def test_a_chart_picture_without_a_width_has_the_largest_squares(
    width: int, height: int, square: int, variant: int
) -> None:
    two_colors = np.repeat(random_pixels(height, width, 1, variant=variant) // 128 * 255, 3, axis=2)
    picture = picture_of(drawn(two_colors, square))
    found = blocks_of_chart_picture(picture)
    pixels = picture.pixels()
    taken = pixels.shape[0] // len(found)
    assert taken % square == 0
    np.testing.assert_array_equal(drawn(found, taken), pixels)
    for larger in range(taken + 1, min(pixels.shape[:2]) + 1):
        if pixels.shape[0] % larger == 0 and pixels.shape[1] % larger == 0:
            assert (drawn(pixels[::larger, ::larger], larger) != pixels).any()


@pytest.mark.parametrize("square", [1, 2, 7])
def test_a_chart_picture_from_a_file(tmp_path: Path, square: int) -> None:
    blocks = random_pixels(4, 6, 3)
    Image.fromarray(drawn(blocks, square)).save(tmp_path / "chart.png")
    picture = open_picture(tmp_path / "chart.png")
    np.testing.assert_array_equal(blocks_of_chart_picture(picture), blocks)


def test_a_turned_chart_picture() -> None:
    blocks = random_pixels(4, 6, 3)
    picture = picture_of(drawn(blocks, 3), orientation=6)
    np.testing.assert_array_equal(blocks_of_chart_picture(picture), np.rot90(blocks, -1))


@pytest.mark.parametrize(
    ("width", "height"),
    [
        *((3, None), (5, None), (12, None), (17, None), (19, None), (100, None), (1, None)),
        *((None, 2), (None, 3), (None, 24), (6, 3), (4, 4), (18, 4), (12, 8), (3, 2)),
    ],
)
def test_another_size_is_refused(width: int | None, height: int | None) -> None:
    picture = picture_of(drawn(random_pixels(4, 6, 3), 3))
    with pytest.raises(BadInput, match=r"p\.png is 6 x 4 blocks as a chart: leave out the size"):
        blocks_of_chart_picture(picture, width, height)


def test_smaller_squares_are_taken_when_the_width_says_so() -> None:
    blocks = random_pixels(4, 6, 3)
    picture = picture_of(drawn(blocks, 4))
    np.testing.assert_array_equal(blocks_of_chart_picture(picture, 12), drawn(blocks, 2))
    np.testing.assert_array_equal(blocks_of_chart_picture(picture, 24, 16), drawn(blocks, 4))


@pytest.mark.parametrize("shape", [(2, 1001), (1001, 2)])
def test_chart_pictures_of_over_1000_blocks_a_side_are_refused(shape: tuple[int, int]) -> None:
    picture = picture_of(random_pixels(*shape, 3))
    with pytest.raises(BadInput, match="over 1000 a side: use look photo"):
        blocks_of_chart_picture(picture)


def test_chart_pictures_may_have_1000_blocks_a_side() -> None:
    pixels = random_pixels(2, 1000, 3)
    np.testing.assert_array_equal(blocks_of_chart_picture(picture_of(pixels)), pixels)
