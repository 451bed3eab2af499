"""Colours chosen from pictures, against ready-made quantisers on the same block means; and yarns
chosen from shelves, with the proven gap.

Needs the extra "bench". Run: python tests/bench/palette.py
Errors are means of CIEDE2000 between a block's mean and the nearest colour, every block alike
(--aim area); ratios are of means over scikit-image's pictures. "… nearest" is the same quantiser's
colours with every block given the nearest by CIEDE2000, which is kinder to it. Any other pictures
can be named: python tests/bench/palette.py FILE …
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import imagequant
import numpy as np
import skimage.data
from PIL import Image
from sklearn.cluster import KMeans

from pix2block.color.difference import ciede2000, difference_table
from pix2block.color.spaces import (
    Bytes,
    decoding_table,
    distinct,
    encode_bytes,
    from_lab,
    rgb_array,
    to_lab,
)
from pix2block.design import refine
from pix2block.design.palette import NO_COLORS, yarns_from_shelf
from pix2block.picture.picture import Picture, open_picture
from pix2block.recipes.supplies import open_shelf
from pix2block.yarn.yarn import Yarn

SIZES = ((40, 50), (80, 100))
COUNTS = (4, 8, 16)
PICTURES = ("astronaut", "camera", "chelsea", "coffee", "rocket", "motorcycle", "logo")
SHELF = Path(__file__).resolve().parents[2] / "sample_images" / "shelf_24.csv"


def pictures(files: list[str]) -> Iterator[tuple[str, Picture]]:
    if files:
        yield from ((Path(file).stem, open_picture(file)) for file in files)
        return
    with tempfile.TemporaryDirectory() as folder:
        for name in PICTURES:
            pixels = (
                skimage.data.stereo_motorcycle()[0]
                if name == "motorcycle"
                else getattr(skimage.data, name)()
            )
            path = Path(folder) / f"{name}.png"
            Image.fromarray(pixels).save(path)
            yield name, open_picture(path)


def box_means(pixels: Bytes, width: int, height: int) -> Bytes:
    """Means in linear light of width x height boxes of the whole picture, square or not: this is
    a test of colours, and the yardsticks are often given so."""
    light = decoding_table()[pixels].astype(np.float32)
    channels = [
        np.asarray(Image.fromarray(light[..., c]).resize((width, height), Image.Resampling.BOX))
        for c in range(3)
    ]
    return encode_bytes(np.stack(channels, axis=-1))


def mean_error(means: Bytes, colors: Bytes) -> float:
    unique, which = distinct(means)
    count = np.bincount(which.ravel())
    return float(difference_table(unique, colors).min(axis=1) @ count / count.sum())


def ours(means: Bytes, most: int, restarts: int, seed: int = 1) -> Bytes:
    unique, which = distinct(means)
    if len(unique) <= most:
        return unique
    weight = np.bincount(which.ravel()).astype(np.float64)
    return refine.best_colors(to_lab(unique), weight, most, seed, NO_COLORS, restarts)


class Errors(NamedTuple):
    """Mean errors of a quantiser: as it gave colours to blocks itself, and with every block given
    the nearest of its colours by CIEDE2000."""

    as_given: float
    nearest: float


def errors_of(means: Bytes, given: Bytes) -> Errors:
    as_given = ciede2000(to_lab(means), to_lab(given)).mean()
    return Errors(float(as_given), mean_error(means, np.unique(given.reshape(-1, 3), axis=0)))


def k_means(means: Bytes, most: int) -> Errors:
    """The best of ten runs of scikit-learn's k-means in CIELAB (ten starts, its own choice)."""
    run = KMeans(most, n_init=10, random_state=0).fit(to_lab(means.reshape(-1, 3)))
    return errors_of(means, from_lab(run.cluster_centers_)[run.labels_].reshape(means.shape))


def by_imagequant(means: Bytes, most: int) -> Errors:
    image = Image.fromarray(means).convert("RGBA")
    quantised = imagequant.quantize_pil_image(image, dithering_level=0, max_colors=most)
    return errors_of(means, np.asarray(quantised.convert("RGB")))


def by_pillow(pixels: Bytes, means: Bytes, most: int) -> Errors:
    """Pillow's own resize (box) of the coded picture, median cut and one k-means."""
    height, width = means.shape[:2]
    small = Image.fromarray(pixels).resize((width, height), Image.Resampling.BOX)
    cut = small.quantize(most, Image.Quantize.MEDIANCUT, kmeans=1)
    return errors_of(means, np.asarray(cut.convert("RGB")))


def from_pictures(files: list[str]) -> None:
    columns = ["ours", "100 restarts"]
    for name in ("k-means", "imagequant", "Pillow"):
        columns += [name, "… nearest"]
    print(f"{'picture':<12} blocks   K  " + "  ".join(f"{c:>12}" for c in columns) + "  seconds")
    sums = np.zeros(len(columns))
    worst, slowest = 0.0, 0.0
    for name, picture in pictures(files):
        pixels = picture.pixels()
        for width, height in SIZES:
            means = box_means(pixels, width, height)
            for most in COUNTS:
                start = time.perf_counter()
                colors = ours(means, most, refine.RESTARTS)
                seconds = time.perf_counter() - start
                figures = (
                    mean_error(means, colors),
                    mean_error(means, ours(means, most, 100, seed=2)),
                    *k_means(means, most),
                    *by_imagequant(means, most),
                    *by_pillow(pixels, means, most),
                )
                sums += figures
                worst = max(worst, figures[0] / figures[1])
                if (width, most) == (80, 8):
                    slowest = max(slowest, seconds)
                row = "  ".join(f"{f:12.4f}" for f in figures)
                print(f"{name:<12} {width:3} x {height:3} {most:2}  {row}  {seconds:7.2f}")
    print(
        "ratio of means, ours to each: "
        + ", ".join(f"{c} {sums[0] / s:.4f}" for c, s in zip(columns[1:], sums[1:], strict=True))
    )
    print(
        f"worst single ratio to 100 restarts {worst:.4f}; "
        f"slowest at 80 x 100, K = 8: {slowest:.2f} s"
    )


def invented_shelf(count: int) -> tuple[Yarn, ...]:
    """Wool-like colours by chance."""
    rng = np.random.default_rng(9)
    lab = rng.uniform((15, -35, -35), (95, 45, 55), (count, 3))
    colors = np.unique(from_lab(lab), axis=0)
    return tuple(Yarn(f"Yarn {i}", "#{:02x}{:02x}{:02x}".format(*c)) for i, c in enumerate(colors))


def from_shelves(files: list[str]) -> None:
    print("shelves at 80 x 100: picture, yarns, K: gap to the proven bound, seconds")
    shelves = {24: open_shelf(SHELF).yarns, 60: invented_shelf(60)}
    gaps, seconds = [], []
    for name, picture in pictures(files):
        means = box_means(picture.pixels(), 80, 100)
        weights = np.ones(means.shape[:2])
        for count, shelf in shelves.items():
            for most in (4, 8, 12):
                start = time.perf_counter()
                palette = yarns_from_shelf(means, weights, shelf, most)
                seconds.append(time.perf_counter() - start)
                gaps.append(palette.gap or 0.0)
                colors = rgb_array([yarn.color for yarn in palette.yarns])
                print(
                    f"{name:<12} {count} {most:2}: {100 * gaps[-1]:.3f} %, {seconds[-1]:.2f} s, "
                    f"mean error {mean_error(means, colors):.3f}"
                )
    print(f"largest gap {100 * max(gaps):.3f} %, slowest {max(seconds):.2f} s")


def main() -> None:
    from_pictures(sys.argv[1:])
    from_shelves(sys.argv[1:])


if __name__ == "__main__":
    main()
