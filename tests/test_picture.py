"""Pictures from files: formats, colour modes, the EXIF turn, colour profiles, transparency."""

from __future__ import annotations

import hashlib
import io
import struct
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageOps
from profiles import swapped_primaries_profile

from pix2block.color.spaces import Bytes, decode, encode_bytes, from_hex
from pix2block.ground.errors import BadInput
from pix2block.picture.blocks import block_means, frame_picture
from pix2block.picture.picture import Picture, open_picture

WIDTH, HEIGHT = 7, 5
ORIENTATION = 0x0112
BACKGROUND = "#3070c0"


def random_pixels(*shape: int, variant: int = 1) -> Bytes:
    """8-bit values, all of them possible."""
    return np.random.default_rng(variant).integers(0, 256, shape, dtype=np.uint8)


def soft_pixels(width: int = 32, height: int = 24) -> Bytes:
    """(height, width, 3) a smooth picture, which lossy formats keep well."""
    y, x = np.mgrid[0:height, 0:width]
    red, green = 255 * x // (width - 1), 255 * y // (height - 1)
    return np.stack([red, green, (red + green) // 2], axis=-1).astype(np.uint8)


def grey_as_rgb(grey: NDArray[Any]) -> NDArray[Any]:
    return np.repeat(grey[..., None], 3, axis=-1)


def laid_on(rgb: NDArray[Any], alpha: NDArray[Any], background: str = BACKGROUND) -> Bytes:
    """Colours laid on a background as light adds."""
    cover = alpha[..., None] / 255
    below = decode(np.array(from_hex(background)) / 255)
    return encode_bytes(decode(rgb / 255) * cover + below * (1 - cover))


def saved(image: Image.Image, path: Path, **how: Any) -> Path:
    image.save(path, **how)
    return path


def opened(image: Image.Image, path: Path, **how: Any) -> Picture:
    return open_picture(saved(image, path, **how), BACKGROUND)


# Formats and colour modes without loss


@pytest.mark.parametrize(
    ("ending", "how"),
    [
        ("png", {}),
        ("bmp", {}),
        ("tif", {}),
        ("tif", {"compression": "tiff_lzw"}),
        ("tif", {"compression": "tiff_adobe_deflate"}),
        ("webp", {"lossless": True}),
    ],
    ids=lambda value: str(value),
)
def test_rgb_without_loss(tmp_path: Path, ending: str, how: dict[str, Any]) -> None:
    rgb = random_pixels(HEIGHT, WIDTH, 3)
    path = saved(Image.fromarray(rgb), tmp_path / f"p.{ending}", **how)
    picture = open_picture(path)
    assert picture.size == (WIDTH, HEIGHT)
    np.testing.assert_array_equal(picture.pixels(), rgb)
    assert picture.name == f"p.{ending}"
    assert picture.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert picture.warnings == ()


@pytest.mark.parametrize(
    ("ending", "how", "most", "mean"),
    [
        ("jpg", {"quality": 95, "subsampling": 0}, 8, 2),
        ("jpg", {"quality": 95, "progressive": True, "subsampling": 0}, 8, 2),
        ("webp", {"quality": 95}, 24, 4),
        ("avif", {"quality": 95}, 24, 4),
    ],
    ids=["jpg", "jpg progressive", "webp", "avif"],
)
def test_rgb_with_loss(
    tmp_path: Path, ending: str, how: dict[str, Any], most: int, mean: float
) -> None:
    rgb = soft_pixels()
    path = saved(Image.fromarray(rgb), tmp_path / f"p.{ending}", **how)
    found = open_picture(path).pixels()
    off = np.abs(found.astype(int) - rgb)
    assert off.max() <= most
    assert off.mean() <= mean
    with Image.open(path) as image:
        np.testing.assert_array_equal(found, np.asarray(image.convert("RGB")))


def test_jpeg_of_one_channel(tmp_path: Path) -> None:
    grey = soft_pixels()[..., 2]
    picture = opened(Image.fromarray(grey), tmp_path / "p.jpg", quality=97)
    assert np.abs(picture.pixels().astype(int) - grey_as_rgb(grey)).max() <= 6


@pytest.mark.parametrize("ending", ["png", "tif", "bmp"])
def test_grey_of_8_bits(tmp_path: Path, ending: str) -> None:
    grey = random_pixels(HEIGHT, WIDTH)
    picture = opened(Image.fromarray(grey), tmp_path / f"p.{ending}")
    np.testing.assert_array_equal(picture.pixels(), grey_as_rgb(grey))


@pytest.mark.parametrize("ending", ["png", "tif"])
def test_black_and_white_of_1_bit(tmp_path: Path, ending: str) -> None:
    white = random_pixels(HEIGHT, WIDTH) > 127
    picture = opened(Image.fromarray(white), tmp_path / f"p.{ending}")
    np.testing.assert_array_equal(picture.pixels(), grey_as_rgb(white * np.uint8(255)))


@pytest.mark.parametrize("ending", ["png", "tif"])
def test_grey_of_16_bits(tmp_path: Path, ending: str) -> None:
    grey = np.random.default_rng(2).integers(0, 65536, (HEIGHT, WIDTH)).astype(np.uint16)
    picture = opened(Image.fromarray(grey), tmp_path / f"p.{ending}")
    np.testing.assert_array_equal(picture.pixels(), grey_as_rgb(encode_bytes(decode(grey / 65535))))


def test_grey_of_16_bits_in_the_other_byte_order(tmp_path: Path) -> None:
    grey = np.random.default_rng(2).integers(0, 65536, (HEIGHT, WIDTH)).astype(np.uint16)
    data = grey.astype(">u2").tobytes()
    image = Image.frombytes("I;16B", (WIDTH, HEIGHT), data)
    picture = opened(image, tmp_path / "p.tif")
    np.testing.assert_array_equal(picture.pixels(), grey_as_rgb(encode_bytes(decode(grey / 65535))))


def test_grey_of_16_bits_is_averaged_with_all_of_them(tmp_path: Path) -> None:
    grey = np.full((2, 2), 150, dtype=np.uint16)  # each alone would be cut down to 0 of 255
    grey[0, 0] = 65535
    picture = opened(Image.fromarray(grey), tmp_path / "p.png")
    box = (0, 0, 2, 2)
    expected = (1 + 3 * 150 / 65535 / 12.92) / 4
    assert float(picture.light(box).mean()) == pytest.approx(expected, abs=1e-12)


def test_16_bits_a_channel_are_read(tmp_path: Path) -> None:
    lines = b"".join(b"\0" + struct.pack(">6H", *range(i, i + 36000, 6000)) for i in (0, 20000))
    path = tmp_path / "p.png"
    path.write_bytes(png_file(2, 2, lines, depth=16, color=2))
    values = np.array([[*range(0, 36000, 6000)], [*range(20000, 56000, 6000)]]).reshape(2, 2, 3)
    exact = encode_bytes(decode(values / 65535)).astype(int)
    assert np.abs(open_picture(path).pixels() - exact).max() <= 1


@pytest.mark.parametrize("ending", ["png", "gif", "bmp", "tif"])
def test_palette(tmp_path: Path, ending: str) -> None:
    image = Image.fromarray(random_pixels(HEIGHT, WIDTH) % 6).convert("P")
    image = Image.frombytes("P", image.size, image.tobytes())
    colors = random_pixels(6, 3, variant=3)
    image.putpalette(colors.ravel().tolist())
    picture = opened(image, tmp_path / f"p.{ending}")
    expected = colors[random_pixels(HEIGHT, WIDTH) % 6]
    np.testing.assert_array_equal(picture.pixels(), expected)


def test_the_first_picture_of_an_animation_counts(tmp_path: Path) -> None:
    frames = [Image.new("RGB", (WIDTH, HEIGHT), c) for c in ("#ff0000", "#00ff00", "#0000ff")]
    for ending in ("gif", "webp", "png", "tif"):
        how: dict[str, Any] = {"lossless": True} if ending == "webp" else {}
        path = saved(
            frames[0], tmp_path / f"p.{ending}", save_all=True, append_images=frames[1:], **how
        )
        pixels = open_picture(path).pixels()
        assert pixels.shape == (HEIGHT, WIDTH, 3), ending
        assert (pixels == [255, 0, 0]).all(), ending


def test_cmyk_without_a_profile(tmp_path: Path) -> None:
    image = Image.fromarray(random_pixels(HEIGHT, WIDTH, 4), "CMYK")
    picture = opened(image, tmp_path / "p.tif")
    np.testing.assert_array_equal(picture.pixels(), np.asarray(image.convert("RGB")))


def test_cmyk_jpeg(tmp_path: Path) -> None:
    image = Image.new("CMYK", (WIDTH, HEIGHT), (0, 255, 255, 0))
    picture = opened(image, tmp_path / "p.jpg", quality=95)
    red, green, blue = picture.pixels().reshape(-1, 3).mean(axis=0)
    assert red > 240
    assert max(green, blue) < 15


def test_lab(tmp_path: Path) -> None:
    image = Image.new("LAB", (WIDTH, HEIGHT), (136, 128, 128))  # L* 53.3, a* 0, b* 0
    picture = opened(image, tmp_path / "p.tif")
    np.testing.assert_allclose(picture.pixels().reshape(-1, 3).astype(int), 127, atol=2)


def test_kinds_of_pixels_that_are_no_colors_are_refused(tmp_path: Path) -> None:
    path = saved(Image.new("F", (3, 2)), tmp_path / "p.tif")
    with pytest.raises(BadInput, match="pixels of the kind F: save it as JPEG or PNG"):
        open_picture(path)


# Transparency


@pytest.mark.parametrize("ending", ["png", "tif", "webp"])
def test_alpha_is_laid_on_the_background(tmp_path: Path, ending: str) -> None:
    rgba = random_pixels(HEIGHT, WIDTH, 4)
    rgba[0, :3, 3] = (0, 255, 128)
    how = {"lossless": True, "exact": True} if ending == "webp" else {}
    picture = opened(Image.fromarray(rgba), tmp_path / f"p.{ending}", **how)
    expected = laid_on(rgba[..., :3], rgba[..., 3])
    np.testing.assert_array_equal(picture.pixels(), expected)
    assert picture.pixels()[0, 0].tolist() == list(from_hex(BACKGROUND))
    assert picture.pixels()[0, 1].tolist() == rgba[0, 1, :3].tolist()


@pytest.mark.parametrize("ending", ["png", "tif"])
def test_grey_with_alpha(tmp_path: Path, ending: str) -> None:
    both = random_pixels(HEIGHT, WIDTH, 2)
    picture = opened(Image.fromarray(both, "LA"), tmp_path / f"p.{ending}")
    expected = laid_on(grey_as_rgb(both[..., 0]), both[..., 1])
    np.testing.assert_array_equal(picture.pixels(), expected)


def test_palette_with_transparency_of_each_color(tmp_path: Path) -> None:
    which = random_pixels(HEIGHT, WIDTH) % 4
    image = Image.frombytes("P", (WIDTH, HEIGHT), which.tobytes())
    colors, alpha = random_pixels(4, 3, variant=3), np.array([0, 90, 200, 255])
    image.putpalette(colors.ravel().tolist())
    picture = opened(image, tmp_path / "p.png", transparency=bytes(alpha.tolist()))
    np.testing.assert_array_equal(picture.pixels(), laid_on(colors[which], alpha[which]))


@pytest.mark.parametrize("ending", ["png", "gif"])
def test_palette_with_one_transparent_color(tmp_path: Path, ending: str) -> None:
    which = random_pixels(HEIGHT, WIDTH) % 4
    image = Image.frombytes("P", (WIDTH, HEIGHT), which.tobytes())
    colors = random_pixels(4, 3, variant=3)
    image.putpalette(colors.ravel().tolist())
    picture = opened(image, tmp_path / f"p.{ending}", transparency=2)
    expected = laid_on(colors[which], np.where(which == 2, 0, 255))
    np.testing.assert_array_equal(picture.pixels(), expected)


def test_rgb_with_one_transparent_color(tmp_path: Path) -> None:
    rgb = random_pixels(HEIGHT, WIDTH, 3)
    rgb[1:3, 2:5] = (9, 130, 255)
    picture = opened(Image.fromarray(rgb), tmp_path / "p.png", transparency=(9, 130, 255))
    clear = (rgb == (9, 130, 255)).all(axis=-1)
    assert clear.sum() == 6
    np.testing.assert_array_equal(picture.pixels(), laid_on(rgb, np.where(clear, 0, 255)))


def test_grey_with_one_transparent_value(tmp_path: Path) -> None:
    grey = random_pixels(HEIGHT, WIDTH) % 8
    picture = opened(Image.fromarray(grey), tmp_path / "p.png", transparency=5)
    expected = laid_on(grey_as_rgb(grey), np.where(grey == 5, 0, 255))
    np.testing.assert_array_equal(picture.pixels(), expected)


def test_grey_of_16_bits_with_one_transparent_value(tmp_path: Path) -> None:
    grey = np.array([[0, 1000, 2000], [1000, 65535, 40000]])
    lines = b"".join(b"\0" + struct.pack(">3H", *line) for line in grey.tolist())
    path = tmp_path / "p.png"
    path.write_bytes(png_file(3, 2, lines, depth=16, color=0, clear=struct.pack(">H", 1000)))
    expected = grey_as_rgb(encode_bytes(decode(grey / 65535)))
    expected[grey == 1000] = from_hex(BACKGROUND)
    np.testing.assert_array_equal(open_picture(path, BACKGROUND).pixels(), expected)


def test_half_a_cover_is_half_the_light(tmp_path: Path) -> None:
    image = Image.new("RGBA", (2, 2), (255, 255, 255, 128))
    path = saved(image, tmp_path / "p.png")
    light = open_picture(path, "black").light((0, 0, 2, 2))
    np.testing.assert_allclose(light, 128 / 255, atol=1e-12)
    assert (open_picture(path, "black").pixels() == 188).all()
    assert (open_picture(path).pixels() == 255).all()  # on white


def test_an_unknown_background_is_refused(tmp_path: Path) -> None:
    path = saved(Image.new("RGB", (2, 2)), tmp_path / "p.png")
    with pytest.raises(BadInput, match="did you mean"):
        open_picture(path, "whitee")


# The EXIF turn

CROPS = [(0.0, 0.0, 100.0, 100.0), (10.5, 7.0, 61.3, 80.2), (33.3, 50.0, 66.7, 31.25)]


def turned_file(path: Path, rgb: Bytes, orientation: int) -> Path:
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    return saved(Image.fromarray(rgb), path, exif=exif)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_exif_turn(tmp_path: Path, orientation: int) -> None:
    path = turned_file(tmp_path / "stored.png", random_pixels(HEIGHT, WIDTH, 3), orientation)
    with Image.open(path) as image:
        upright = ImageOps.exif_transpose(image)
    assert upright.getexif().get(ORIENTATION, 1) == 1
    plain = opened(upright, tmp_path / "upright.png", exif=b"")
    stored = open_picture(path)
    assert stored.orientation == orientation
    assert plain.orientation == 1
    assert stored.size == plain.size == upright.size
    np.testing.assert_array_equal(stored.pixels(), np.asarray(upright))
    for crop in CROPS:
        for width, height in ((3, None), (None, 2), (4, 5), (11, 9)):
            frame = frame_picture(stored.size, width, height, crop)
            np.testing.assert_array_equal(
                block_means(stored, frame), block_means(plain, frame), err_msg=f"{crop} {frame}"
            )


def test_the_eight_turns_differ(tmp_path: Path) -> None:
    rgb = random_pixels(HEIGHT, WIDTH, 3)
    seen = {
        open_picture(turned_file(tmp_path / f"{n}.png", rgb, n)).pixels().tobytes()
        for n in range(1, 9)
    }
    assert len(seen) == 8


@pytest.mark.parametrize("ending", ["jpg", "png", "tif", "webp"])
def test_exif_turn_of_other_formats(tmp_path: Path, ending: str) -> None:
    path = turned_file(tmp_path / f"p.{ending}", soft_pixels(), 6)
    picture = open_picture(path)
    with Image.open(path) as image:
        upright = ImageOps.exif_transpose(image)
    assert picture.size == upright.size == (24, 32)
    np.testing.assert_array_equal(picture.pixels(), np.asarray(upright.convert("RGB")))


def test_exif_turn_with_alpha(tmp_path: Path) -> None:
    rgba = random_pixels(HEIGHT, WIDTH, 4)
    path = turned_file(tmp_path / "p.png", rgba, 8)
    upright = np.rot90(rgba)
    expected = laid_on(upright[..., :3], upright[..., 3])
    np.testing.assert_array_equal(open_picture(path, BACKGROUND).pixels(), expected)


@pytest.mark.parametrize("orientation", [0, 9, 65535])
def test_an_orientation_that_does_not_exist_turns_nothing(tmp_path: Path, orientation: int) -> None:
    rgb = random_pixels(HEIGHT, WIDTH, 3)
    picture = open_picture(turned_file(tmp_path / "p.png", rgb, orientation))
    assert picture.orientation == 1
    np.testing.assert_array_equal(picture.pixels(), rgb)


# Colour profiles


def profile_with(tags: dict[bytes, bytes | None], space: bytes = b"RGB ") -> bytes:
    """The small test profile with tags put in or, where None, left out."""
    data = swapped_primaries_profile()
    kept: dict[bytes, bytes] = {}
    for i in range(struct.unpack_from(">I", data, 128)[0]):
        name, start, length = struct.unpack_from(">4sII", data, 132 + 12 * i)
        kept[name] = data[start : start + length]
    for name, tag in tags.items():
        kept.pop(name, None)
        if tag is not None:
            kept[name] = tag
    start = 128 + 4 + 12 * len(kept)
    table, body = struct.pack(">I", len(kept)), b""
    for name, tag in kept.items():
        table += name + struct.pack(">II", start + len(body), len(tag))
        body += tag + bytes(-len(tag) % 4)
    header = struct.pack(">I", start + len(body)) + data[4:16] + space + data[20:128]
    return header + table + body


def curves(tag: bytes) -> dict[bytes, bytes | None]:
    return {b"rTRC": tag, b"gTRC": tag, b"bTRC": tag}


def gamma_curve(gamma: float) -> bytes:
    return b"curv" + bytes(4) + struct.pack(">IH", 1, round(gamma * 256))


def table_curve(values: list[float]) -> bytes:
    numbers = struct.pack(f">{len(values)}H", *(round(v * 65535) for v in values))
    return b"curv" + bytes(4) + struct.pack(">I", len(values)) + numbers


def formula_curve(form: int, *parameters: float) -> bytes:
    numbers = struct.pack(f">{len(parameters)}i", *(round(v * 65536) for v in parameters))
    return b"para" + bytes(4) + struct.pack(">HH", form, 0) + numbers


def primaries(columns: tuple[tuple[float, float, float], ...]) -> dict[bytes, bytes | None]:
    """The tags of red, green and blue in XYZ of D50."""
    return {
        name: b"XYZ " + bytes(4) + struct.pack(">3i", *(round(v * 65536) for v in xyz))
        for name, xyz in zip((b"rXYZ", b"gXYZ", b"bXYZ"), columns, strict=True)
    }


def grey_profile(gamma: float) -> bytes:
    """A profile of grey with a plain gamma."""
    left_out = dict.fromkeys((b"rXYZ", b"gXYZ", b"bXYZ", b"rTRC", b"gTRC", b"bTRC"))
    return profile_with({**left_out, b"kTRC": gamma_curve(gamma)}, b"GRAY")


SWAPPED = swapped_primaries_profile(2.2)
SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
SRGB_D50 = ((0.4361, 0.2225, 0.0139), (0.3851, 0.7169, 0.0971), (0.1431, 0.0606, 0.7141))
WIDE_D50 = ((0.5151, 0.2412, -0.0011), (0.2920, 0.6922, 0.0419), (0.1571, 0.0666, 0.7841))
PROFILES = {
    "swapped primaries, gamma 1.8": swapped_primaries_profile(),
    "swapped primaries, gamma 2.2": SWAPPED,
    "values that are light": profile_with(curves(b"curv" + bytes(8))),
    "gamma 1": swapped_primaries_profile(1.0),
    "curve of 2": profile_with(curves(table_curve([0.0, 1.0]))),
    "curve of 5": profile_with(curves(table_curve([0.0, 0.05, 0.2, 0.5, 1.0]))),
    "curve of 256": profile_with(curves(table_curve([(i / 255) ** 2.4 for i in range(256)]))),
    "curve of 1024": profile_with(curves(table_curve([(i / 1023) ** 1.5 for i in range(1024)]))),
    "formula 0": profile_with(curves(formula_curve(0, 2.4))),
    "formula 1": profile_with(curves(formula_curve(1, 2.2, 1.1, -0.1))),
    "formula 2": profile_with(curves(formula_curve(2, 2.2, 0.95, -0.05, 0.1))),
    "formula 3": profile_with(
        curves(formula_curve(3, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045))
    ),
    "formula 4": profile_with(curves(formula_curve(4, 2.0, 0.9, 0.05, 0.3, 0.1, 0.02, 0.01))),
    "a curve a channel": profile_with(
        {b"rTRC": gamma_curve(1.0), b"gTRC": gamma_curve(1.8), b"bTRC": gamma_curve(2.6)}
    ),
    "wide primaries": profile_with({**primaries(WIDE_D50), **curves(gamma_curve(2.2))}),
}


def through_pillow(image: Image.Image, profile: bytes) -> Bytes:
    """The picture in sRGB as ImageCms.profileToProfile gives it at its most exact."""
    result = ImageCms.profileToProfile(
        image,
        ImageCms.ImageCmsProfile(io.BytesIO(profile)),
        ImageCms.createProfile("sRGB"),
        outputMode="RGB",
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        flags=ImageCms.Flags.NOOPTIMIZE,
    )
    assert result is not None
    return np.asarray(result)


def furthest(one: NDArray[Any], other: NDArray[Any]) -> int:
    """The largest difference, in levels of 255."""
    return int(np.abs(one.astype(int) - other.astype(int)).max())


@pytest.mark.parametrize("ending", ["png", "tif"])
@pytest.mark.parametrize("name", PROFILES)
def test_an_embedded_profile_counts(tmp_path: Path, name: str, ending: str) -> None:
    rgb = random_pixels(30, 40, 3)
    image = Image.fromarray(rgb)
    picture = opened(image, tmp_path / f"p.{ending}", icc_profile=PROFILES[name])
    assert picture.warnings == ()
    assert furthest(picture.pixels(), through_pillow(image, PROFILES[name])) <= 1
    assert furthest(picture.pixels(), rgb) > 10


def test_swapped_primaries_swap_red_and_blue(tmp_path: Path) -> None:
    rgb = random_pixels(HEIGHT, WIDTH, 3) // 2 + 100
    picture = opened(Image.fromarray(rgb), tmp_path / "p.png", icc_profile=SWAPPED)
    assert furthest(picture.pixels(), rgb[..., ::-1]) <= 3


@pytest.mark.parametrize("name", PROFILES)
def test_a_profile_counts_in_block_means(tmp_path: Path, name: str) -> None:
    rgb = random_pixels(HEIGHT, WIDTH, 3) // 3 + 80  # colours that every profile holds
    profile = PROFILES[name]
    picture = opened(Image.fromarray(rgb), tmp_path / "p.png", icc_profile=profile)
    plain = opened(Image.fromarray(picture.pixels()), tmp_path / "plain.png")
    frame = frame_picture(picture.size, width=3, crop=(5.0, 10.0, 90.0, 77.0))
    assert furthest(block_means(picture, frame), block_means(plain, frame)) <= 1


def test_colors_beyond_srgb_are_averaged_before_they_are_cut_off(tmp_path: Path) -> None:
    rgb = np.array([[[0, 255, 0], [255, 0, 255]], [[255, 0, 255], [0, 255, 0]]], dtype=np.uint8)
    picture = opened(
        Image.fromarray(rgb), tmp_path / "p.png", icc_profile=PROFILES["wide primaries"]
    )
    to_srgb = np.linalg.solve(np.array(SRGB_D50).T, np.array(WIDE_D50).T)
    mean = encode_bytes(to_srgb @ np.full(3, 0.5))
    means = block_means(picture, frame_picture(picture.size, 1))
    assert furthest(means[0, 0], mean) <= 1
    assert furthest(means[0, 0], np.full(3, 188)) <= 1


def test_a_profile_of_a_jpeg(tmp_path: Path) -> None:
    path = saved(Image.fromarray(soft_pixels()), tmp_path / "p.jpg", icc_profile=SWAPPED)
    with Image.open(path) as image:
        expected = through_pillow(image, SWAPPED)
    assert furthest(open_picture(path).pixels(), expected) <= 1


@pytest.mark.parametrize("name", PROFILES)
def test_a_profile_beside_alpha(tmp_path: Path, name: str) -> None:
    rgba = random_pixels(HEIGHT, WIDTH, 4)
    rgba[0, :2, 3] = 0
    rgba[..., :3] = rgba[..., :3] // 3 + 80
    picture = opened(Image.fromarray(rgba), tmp_path / "p.png", icc_profile=PROFILES[name])
    moved = through_pillow(Image.fromarray(rgba[..., :3].copy()), PROFILES[name])
    assert furthest(picture.pixels(), laid_on(moved, rgba[..., 3])) <= 1
    assert picture.pixels()[0, 0].tolist() == list(from_hex(BACKGROUND))


def test_a_profile_of_a_palette(tmp_path: Path) -> None:
    which = random_pixels(HEIGHT, WIDTH) % 4
    image = Image.frombytes("P", (WIDTH, HEIGHT), which.tobytes())
    image.putpalette(random_pixels(4, 3, variant=3).ravel().tolist())
    picture = opened(image, tmp_path / "p.png", icc_profile=SWAPPED)
    assert furthest(picture.pixels(), through_pillow(image.convert("RGB"), SWAPPED)) <= 1


@pytest.mark.parametrize("mode", ["L", "LA"])
def test_a_profile_of_grey(tmp_path: Path, mode: str) -> None:
    grey = np.arange(0, 250, 10, dtype=np.uint8).reshape(5, 5)
    image = Image.fromarray(grey).convert(mode)
    picture = opened(image, tmp_path / "p.png", icc_profile=grey_profile(1.0))
    assert picture.warnings == ()
    light = encode_bytes(grey / 255)  # gamma 1: the values are the light
    assert furthest(picture.pixels(), grey_as_rgb(light)) <= 2
    assert furthest(picture.pixels(), grey_as_rgb(grey)) > 50


def test_a_profile_of_colors_in_a_grey_picture(tmp_path: Path) -> None:
    grey = random_pixels(HEIGHT, WIDTH)
    profile = swapped_primaries_profile(1.0)
    picture = opened(Image.fromarray(grey), tmp_path / "p.png", icc_profile=profile)
    assert picture.warnings == ()
    expected = through_pillow(Image.fromarray(grey_as_rgb(grey)), profile)
    assert furthest(picture.pixels(), expected) <= 2


def test_a_profile_of_16_bit_grey_is_not_passed_over_in_silence(tmp_path: Path) -> None:
    grey = np.linspace(0, 65535, 25).astype(np.uint16).reshape(5, 5)
    picture = opened(Image.fromarray(grey), tmp_path / "p.tif", icc_profile=grey_profile(1.0))
    honoured = furthest(picture.pixels(), grey_as_rgb(encode_bytes(grey / 65535))) <= 2
    assert honoured or "colour profile" in " ".join(picture.warnings)


@pytest.mark.parametrize(
    "profile",
    [
        SRGB,
        profile_with(
            {
                **primaries(SRGB_D50),
                **curves(formula_curve(3, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)),
            }
        ),
    ],
    ids=["of the library", "made here"],
)
def test_the_profile_of_srgb_changes_nothing(tmp_path: Path, profile: bytes) -> None:
    rgb = random_pixels(40, 50, 3)
    picture = opened(Image.fromarray(rgb), tmp_path / "p.png", icc_profile=profile)
    assert picture.warnings == ()
    np.testing.assert_array_equal(picture.pixels(), rgb)
    plain = opened(Image.fromarray(rgb), tmp_path / "plain.png")
    frame = frame_picture(picture.size, width=7, crop=(5.0, 10.0, 90.0, 77.0))
    np.testing.assert_array_equal(block_means(picture, frame), block_means(plain, frame))


@pytest.mark.parametrize(
    "profile",
    [
        b"no profile",
        SRGB[:100],
        SRGB[:200],
        bytes(500),
        grey_profile(1.0),
        profile_with({b"rTRC": None}),
        profile_with({b"gXYZ": None}),
    ],
    ids=["text", "cut off", "cut off late", "zeros", "of another kind", "no curve", "no green"],
)
def test_a_broken_profile_warns(tmp_path: Path, profile: bytes) -> None:
    rgb = random_pixels(HEIGHT, WIDTH, 3)
    picture = opened(Image.fromarray(rgb), tmp_path / "p.png", icc_profile=profile)
    assert len(picture.warnings) == 1
    assert "p.png" in picture.warnings[0]
    assert "its colours are taken as sRGB" in picture.warnings[0]
    np.testing.assert_array_equal(picture.pixels(), rgb)


def test_a_profile_that_does_not_fit_cmyk_warns(tmp_path: Path) -> None:
    image = Image.fromarray(random_pixels(HEIGHT, WIDTH, 4), "CMYK")
    picture = opened(image, tmp_path / "p.tif", icc_profile=SWAPPED)
    assert len(picture.warnings) == 1
    np.testing.assert_array_equal(picture.pixels(), np.asarray(image.convert("RGB")))


@pytest.mark.parametrize(
    "tag",
    [
        b"",
        b"curv" + bytes(4),
        b"curv" + bytes(4) + b"\xff" * 4,
        b"para" + bytes(4) + b"\0\x09\0\0" + bytes(28),
        *(formula_curve(form, 0, 0, 0, 0, 0, 0, 0) for form in range(5)),
        *(formula_curve(form, -2, 0, 0, 0, 0, 0, 0) for form in range(5)),
        *(formula_curve(form, 30000, 30000, -30000, 9, 9, 9, 9) for form in range(5)),
    ],
    ids=range(19),
)
def test_a_nonsense_curve_does_no_harm(tmp_path: Path, tag: bytes) -> None:
    rgb = random_pixels(HEIGHT, WIDTH, 3)
    profile = profile_with(curves(tag))
    picture = opened(Image.fromarray(rgb), tmp_path / "p.png", icc_profile=profile)
    assert picture.pixels().shape == rgb.shape
    assert len(picture.warnings) <= 1


@given(st.sampled_from(sorted(PROFILES)), st.lists(st.tuples(st.integers(0, 900), st.binary())))
@settings(max_examples=50)
def test_a_changed_profile_does_no_harm(
    tmp_path_factory: pytest.TempPathFactory, name: str, changes: list[tuple[int, bytes]]
) -> None:
    profile = bytearray(PROFILES[name])
    for place, values in changes:
        place = 128 + place % (len(profile) - 128)
        profile[place : place + len(values)] = values[: len(profile) - place]
    rgb = random_pixels(HEIGHT, WIDTH, 3)
    path = tmp_path_factory.getbasetemp() / "changed profile.png"
    picture = opened(Image.fromarray(rgb), path, icc_profile=bytes(profile))
    assert picture.pixels().shape == rgb.shape
    assert len(picture.warnings) <= 1


# What is no picture, or too large


def png_chunk(kind: bytes, body: bytes) -> bytes:
    check = struct.pack(">I", zlib.crc32(kind + body))
    return struct.pack(">I", len(body)) + kind + body + check


def png_file(
    width: int, height: int, lines: bytes, depth: int = 8, color: int = 2, clear: bytes = b""
) -> bytes:
    """A PNG written by hand. lines: its pixel lines, each after its filter byte."""
    header = struct.pack(">IIBBBBB", width, height, depth, color, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + png_chunk(b"IHDR", header)
        + (png_chunk(b"tRNS", clear) if clear else b"")
        + png_chunk(b"IDAT", zlib.compress(lines))
        + png_chunk(b"IEND", b"")
    )


def refusal(path: Path) -> str:
    """Why a file is refused, in one line that names it."""
    with pytest.raises(BadInput) as caught:
        open_picture(path)
    message = str(caught.value)
    assert len(message.splitlines()) == 1
    assert str(path) in message
    assert caught.value.exit_code == 2
    return message


def test_more_than_250_megapixels_are_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "p.png"
    path.write_bytes(png_file(25001, 10000, b""))
    assert "25001 x 10000 pixels, over 250 million: make it smaller" in refusal(path)
    path.write_bytes(png_file(2**31 - 1, 2**31 - 1, b""))
    assert "over 250 million" in refusal(path)


def test_the_limit_itself_is_not_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pix2block.picture.picture.MOST_PIXELS", 12)
    assert open_picture(saved(Image.new("L", (4, 3)), tmp_path / "12.png")).size == (4, 3)
    assert "13 x 1 pixels" in refusal(saved(Image.new("L", (13, 1)), tmp_path / "13.png"))


def test_the_limit_of_the_decoder_is_put_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    good = saved(Image.new("RGB", (4, 3)), tmp_path / "good.png")
    bad = tmp_path / "bad.png"
    bad.write_bytes(good.read_bytes()[:40])
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 77)
    open_picture(good)
    assert Image.MAX_IMAGE_PIXELS == 77
    refusal(bad)
    assert Image.MAX_IMAGE_PIXELS == 77


@pytest.mark.filterwarnings("error")
def test_our_limit_holds_in_place_of_the_decoders(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rgb = random_pixels(30, 30, 3)
    path = saved(Image.fromarray(rgb), tmp_path / "p.png")
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 100)
    picture = open_picture(path)
    np.testing.assert_array_equal(picture.pixels(), rgb)


@pytest.mark.parametrize(
    "data",
    [b"", b"\n", b"name,color\nMoss,#5c6b3c\n", b'{"pix2block": "chart"}', b"%PDF-1.7", bytes(999)],
    ids=["empty", "line", "csv", "json", "pdf", "zeros"],
)
def test_what_is_no_picture(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "p.png"
    path.write_bytes(data)
    assert "is no picture that can be read: save it as JPEG or PNG" in refusal(path)


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    saved(Image.new("L", (2, 2)), tmp_path / "lantern.png")
    assert f'no such file: did you mean "{tmp_path / "lantern.png"}"?' in refusal(
        tmp_path / "lantrn.png"
    )
    assert "nor a folder" in refusal(tmp_path / "nowhere" / "p.png")
    assert "is a folder" in refusal(tmp_path)


def opened_or_refused(path: Path) -> Picture | None:
    """The picture, or None where it is refused as it should be; any other error goes on."""
    try:
        return open_picture(path)
    except BadInput:
        refusal(path)
    return None


SMALL_FILES: dict[str, dict[str, Any]] = {
    "png": {},
    "jpg": {},
    "gif": {},
    "bmp": {},
    "tif": {"compression": "tiff_lzw"},
    "webp": {},
    "avif": {},
}


@pytest.mark.parametrize("ending", ["jpg", "png"])
def test_a_file_cut_off_in_its_pixels_is_damaged(tmp_path: Path, ending: str) -> None:
    path = saved(Image.fromarray(random_pixels(60, 80, 3)), tmp_path / f"p.{ending}")
    data = path.read_bytes()
    for share in (0.5, 0.9):
        path.write_bytes(data[: int(len(data) * share)])
        assert "is damaged (" in refusal(path)
        assert "open and save it again" in refusal(path)


@pytest.mark.parametrize("ending", SMALL_FILES)
def test_a_file_cut_off_anywhere_is_read_or_refused(tmp_path: Path, ending: str) -> None:
    path = saved(
        Image.fromarray(random_pixels(6, 8, 3)), tmp_path / f"p.{ending}", **SMALL_FILES[ending]
    )
    data = path.read_bytes()
    refused = 0
    for length in range(0, len(data), 1 + len(data) // 150):
        path.write_bytes(data[:length])
        picture = opened_or_refused(path)
        if picture:
            assert picture.pixels().shape == (6, 8, 3)
        else:
            refused += 1
    assert refused > 20


@pytest.mark.filterwarnings("ignore")
@given(st.sampled_from(sorted(SMALL_FILES)), st.integers(0, 10**6), st.integers(0, 255))
@example("png", 25, 16)
def test_a_changed_byte_is_read_or_refused(
    tmp_path_factory: pytest.TempPathFactory, ending: str, place: int, value: int
) -> None:
    buffer = io.BytesIO()
    kind = Image.registered_extensions()[f".{ending}"]
    Image.fromarray(random_pixels(6, 8, 3)).save(buffer, kind, **SMALL_FILES[ending])
    data = bytearray(buffer.getvalue())
    data[place % len(data)] = value
    path = tmp_path_factory.getbasetemp() / f"changed.{ending}"
    path.write_bytes(data)
    picture = opened_or_refused(path)
    if picture:
        width, height = picture.size
        assert 1 <= width * height <= 250_000_000
        if width * height < 10**6:
            assert picture.pixels().shape == (height, width, 3)


# HEIC, as phones take pictures (tests/data/heic/draw_heic.py made the files)

HEIC = Path(__file__).parent / "data" / "heic"
QUARTERS = np.array([[(200, 40, 45), (40, 70, 160)], [(40, 70, 160), (240, 230, 210)]])


def middles(picture: Picture) -> NDArray[Any]:
    """(2, 2, 3) of the middles of its quarters."""
    pixels = picture.pixels()
    return pixels[12::24, 16::32]


@pytest.mark.parametrize("name", ["quarters", "turned"])
def test_a_heic_photo_is_read_upright(name: str) -> None:
    picture = open_picture(HEIC / f"{name}.heic")
    assert (picture.size, picture.orientation, picture.warnings) == ((64, 48), 1, ())
    assert furthest(middles(picture), QUARTERS) <= 4
    assert furthest(picture.light((0, 0, 8, 8)) * 255, decode(QUARTERS[0, 0] / 255) * 255) <= 4


def test_a_profile_of_a_heic_photo_counts() -> None:
    swapped = Image.fromarray(QUARTERS.astype(np.uint8))
    expected = through_pillow(swapped, SWAPPED)
    picture = open_picture(HEIC / "profile.heic")
    assert furthest(middles(picture), expected) <= 6
    assert furthest(middles(picture), QUARTERS) > 60


def test_a_damaged_or_large_heic_photo_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = (HEIC / "quarters.heic").read_bytes()
    for damaged in (data[:200], data[:-60], data[:12] + bytes(400)):
        (tmp_path / "p.heic").write_bytes(damaged)
        with pytest.raises(BadInput, match=r"picture .*p\.heic is damaged \(.*\): open and save"):
            open_picture(tmp_path / "p.heic")
    monkeypatch.setattr("pix2block.picture.picture.MOST_PIXELS", 64 * 48 - 1)
    with pytest.raises(BadInput, match="64 x 48 pixels"):
        open_picture(HEIC / "quarters.heic")


def test_reading_heic_leaves_pillow_as_it_was() -> None:
    before = dict(Image.OPEN)
    open_picture(HEIC / "quarters.heic")
    assert before == Image.OPEN
