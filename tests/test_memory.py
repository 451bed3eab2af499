"""A small file cannot fill the machine's memory."""

from __future__ import annotations

import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from pix2block.ground.errors import BadInput
from pix2block.picture import memory
from pix2block.picture.blocks import blocks_of_chart_picture, squares_of
from pix2block.picture.memory import held_to_decode, read_smaller
from pix2block.picture.picture import open_picture

FOREIGN = Path(__file__).parent / "data" / "foreign"
BASELINE, PROGRESSIVE = "JPEG", "progressive JPEG"


def saved(folder: Path, kind: str, size: tuple[int, int] = (64, 48)) -> Path:
    path = folder / "picture"
    image = Image.linear_gradient("L").resize(size).convert("RGB")
    if kind == PROGRESSIVE:
        image.save(path, "JPEG", progressive=True)
    else:
        image.save(path, kind)
    return path


@pytest.mark.parametrize(
    ("kind", "a_pixel"), [("PNG", 4.2), (BASELINE, 4.2), (PROGRESSIVE, 7.2), ("WEBP", 16.1)]
)
def test_what_decoding_holds(kind: str, a_pixel: float, tmp_path: Path) -> None:
    path = saved(tmp_path, kind)
    with Image.open(path) as coded:
        assert held_to_decode(coded, path.read_bytes()) == pytest.approx(a_pixel * 64 * 48)


@pytest.mark.parametrize("kind", ["PNG", PROGRESSIVE])
def test_what_would_hold_too_much_is_refused(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(memory, "MOST_HELD", 8000)
    monkeypatch.setattr("pix2block.picture.picture.MOST_HELD", 8000)
    with pytest.raises(BadInput, match="64 x 48 pixels of a kind that takes more memory than"):
        open_picture(saved(tmp_path, kind))


@pytest.mark.parametrize(("most", "fewer"), [(12_903, 1), (12_900, 2), (3000, 4), (300, 8)])
def test_a_jpeg_is_read_smaller_where_it_would(
    most: int, fewer: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(memory, "MOST_HELD", most)
    monkeypatch.setattr("pix2block.picture.picture.MOST_HELD", most)
    picture = open_picture(saved(tmp_path, BASELINE))
    assert picture.size == (64 // fewer, 48 // fewer)
    assert (f"{fewer} x {fewer} of its pixels" in str(picture.warnings)) == (fewer > 1)


def test_a_jpeg_of_many_scans_is_not_read_smaller_in_vain(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(memory, "MOST_HELD", 9000)
    path = saved(tmp_path, PROGRESSIVE)
    with Image.open(path) as coded:
        assert read_smaller(coded, path.read_bytes()) == 1


@pytest.mark.parametrize("orientation", [1, 6])
def test_squares_are_found_a_strip_at_a_time(
    orientation: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pix2block.picture.picture._PIXELS_A_STRIP", 100)
    blocks = np.random.default_rng(3).integers(0, 256, (9, 12, 3), dtype=np.uint8)
    pixels = blocks.repeat(5, axis=0).repeat(5, axis=1)
    exif = Image.Exif()
    exif[0x0112] = orientation
    path = tmp_path / "chart.png"
    Image.fromarray(pixels).save(path, exif=exif)
    picture = open_picture(path)
    turned = blocks if orientation == 1 else np.rot90(blocks, -1)
    assert squares_of(picture) == turned.shape[1::-1]
    assert (blocks_of_chart_picture(picture) == turned).all()
    assert (picture.pixels() == turned.repeat(5, axis=0).repeat(5, axis=1)).all()
    pixels[20, 33] ^= 255  # a line that begins a strip
    Image.fromarray(pixels).save(path)
    assert squares_of(open_picture(path)) is None


def test_squares_of_a_large_picture_take_little_memory(tmp_path: Path) -> None:
    picture = open_picture(saved(tmp_path, "PNG", (2000, 1500)))
    tracemalloc.start()
    squares_of(picture)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 12_000_000  # the pixels' light would take 72


def test_a_jpeg_that_tells_no_samples_is_refused(tmp_path: Path) -> None:
    path = saved(tmp_path, PROGRESSIVE)
    data = bytearray(path.read_bytes())
    frame = data.index(b"\xff\xc2")
    for component in range(3):
        data[frame + 11 + 3 * component] = 0
    path.write_bytes(data)
    with pytest.raises(BadInput, match="is damaged"):
        open_picture(path)


def test_a_heic_file_without_a_picture_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "none.heic"
    path.write_bytes((FOREIGN / "no_picture.heic").read_bytes())
    with pytest.raises(BadInput, match="is damaged"):
        open_picture(path)
