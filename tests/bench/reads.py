"""How a chart reads: small parts, outline, fringe, specks and tails, on pictures whose outlines and
parts were drawn by hand (tests/data/reads.toml).

Run: python tests/bench/reads.py [--more FOLDER] [--sheets FOLDER] [--only NAME …] [--colors K …]
--more: where pictures lie that no package here brings; --sheets: writes each picture beside its
charts, enlarged; --keep FILE: writes all figures; --against FILE: tells which parts are lost that
were kept in an earlier run. Needs scikit-learn for two of the pictures.

features: share of the parts whose contrast to their ring (mean light, CIELAB, up to two blocks
around) is at least half the picture's, and in a direction within 45 degrees of it, and whose own
hue, where they have one (chroma from 12), is kept within 45 degrees and to two fifths; parts that
the picture itself does not show in blocks (below 6) are left out. silhouette: share of the outline
where the CIEDE2000 across, of two blocks on either side, is at least half the picture's or 10.
fringe: share of the blocks on strong edges (over 20 from two blocks before to two after, most of it
within one block) whose yarn is that of neither side. specks: pieces of one or two blocks, corners
joined, outside the parts, a thousand blocks.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
import skimage.data
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import binary_dilation, label

from pix2block.chart.chart import Chart
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import Bytes, Floats, decoding_table, encode_bytes, to_lab
from pix2block.craft.strands import plan_strands
from pix2block.design.subject import cover
from pix2block.options.table import Options
from pix2block.picture.blocks import Frame, frame_picture
from pix2block.picture.picture import Picture, open_picture
from pix2block.recipes.from_picture import chart_picture

TESTS = Path(__file__).resolve().parents[1]
SAMPLES = TESTS.parent / "sample_images"
SHOWS, HUED = 6.0, 12.0  # CIELAB


@dataclass(frozen=True, eq=False)
class Subject:
    """A picture and what was drawn on it. outline: (corners, 2); parts: name and corners, in per
    cent of the picture."""

    name: str
    picture: Picture
    crop: tuple[float, float, float, float] | None
    outline: Floats
    parts: tuple[tuple[str, Floats], ...]


@dataclass(frozen=True)
class Reading:
    """How one chart reads, and which parts it lost."""

    features: float
    silhouette: float
    fringe: float
    specks: float
    tails: int
    error: float
    lost: tuple[str, ...]


def subjects(more: Path | None, folder: Path) -> Iterator[Subject]:
    """Those of the data whose pictures are at hand."""
    for name, data in tomllib.loads((TESTS / "data" / "reads.toml").read_text()).items():
        path = _picture_path(name, data, more, folder)
        if path is not None and path.exists():
            parts = tuple((part[0], _corners(part[1:])) for part in data["features"])
            crop = tuple(data["crop"]) if "crop" in data else None
            outline = _corners(data["outline"])
            yield Subject(name, open_picture(path), crop, outline, parts)


def _picture_path(name: str, data: dict[str, Any], more: Path | None, folder: Path) -> Path | None:
    picture = data.get("picture", name)
    if data["from"] == "samples":
        return SAMPLES / str(picture)
    if data["from"] == "sklearn":
        import sklearn.datasets

        return Path(sklearn.datasets.__file__).parent / "images" / str(picture)
    if data["from"] == "more":
        return more / str(picture) if more else None
    pixels = getattr(skimage.data, picture)()
    pixels = pixels[0] if isinstance(pixels, tuple) else pixels
    path = folder / f"{name}.png"
    Image.fromarray(pixels).save(path)
    return path


def _corners(numbers: list[float]) -> Floats:
    """(corners, 2) of a polygon's x, y, x, y …, or of an ellipse's centre and radii."""
    if len(numbers) == 4:
        x, y, across, down = numbers
        turn = np.linspace(0, 2 * np.pi, 40, endpoint=False)
        return np.stack([x + across * np.cos(turn), y + down * np.sin(turn)], axis=1)
    return np.array(numbers, dtype=np.float64).reshape(-1, 2)


def part_covers(subject: Subject, frame: Frame) -> list[tuple[str, Floats, Floats]]:
    """Name, (height, width) share of each block, and its ring; smaller parts inside one are no
    part of it."""
    raw = [
        (name, cover(at.ravel().tolist(), subject.picture.size, frame))
        for name, at in subject.parts
    ]
    found = []
    for name, here in raw:
        nested = np.zeros_like(here)
        for _, other in raw:
            if other.sum() < 0.6 * here.sum() and (other * here).sum() > 0.8 * other.sum():
                nested = np.maximum(nested, other)
        own = np.clip(here - nested, 0, 1)
        near = binary_dilation(here > 0.3, np.ones((5, 5)))
        ring = near * np.clip(1 - np.maximum(here, 0), 0, 1) * (here < 0.3)
        if own.sum() > 0 and ring.sum() > 0:
            found.append((name, own, ring))
    return found


def _follows(there: Floats, here: Floats, share: float) -> bool:
    """Whether a vector keeps a share of another's length, within 45 degrees of it."""
    size, now = float(np.linalg.norm(there)), float(np.linalg.norm(here))
    return now >= share * size and float(there @ here) >= np.cos(np.pi / 4) * size * now


def _inside_and_contrast(light: Floats, own: Floats, ring: Floats) -> tuple[Floats, Floats]:
    """(3,) CIELAB of a part's mean light, and the same less that of its ring."""
    means = [np.tensordot(w, light, 2) / w.sum() for w in (own, ring)]
    inside, around = to_lab(encode_bytes(np.stack(means)))
    return inside, inside - around


def read_chart(subject: Subject, chart: Chart, frame: Frame) -> Reading:
    assert chart.source is not None
    means, colors = chart.source.means, chart.yarn_rgb[chart.blocks]
    parts = part_covers(subject, frame)
    kept, lost = 0, []
    covered = np.zeros(chart.blocks.shape, dtype=bool)
    for name, own, ring in parts:
        covered |= own > 0.25
        (inside, there), (now_inside, here) = (
            _inside_and_contrast(decoding_table()[c], own, ring) for c in (means, colors)
        )
        if np.linalg.norm(there) < SHOWS:
            continue
        hued = np.hypot(inside[1], inside[2]) >= HUED
        if _follows(there, here, 0.5) and (not hued or _follows(inside[1:], now_inside[1:], 0.4)):
            kept += 1
        else:
            lost.append(name)
    subject_blocks = cover(subject.outline.ravel().tolist(), subject.picture.size, frame) >= 0.5
    return Reading(
        kept / max(kept + len(lost), 1),
        _silhouette(subject_blocks, means, colors),
        _fringe(means, chart.blocks),
        1000 * _specks(chart.blocks, covered) / chart.blocks.size,
        plan_strands(chart.runs, chart.layout, chart.habit).tails,
        float(ciede2000(to_lab(means), to_lab(colors)).mean()),
        tuple(lost),
    )


def _silhouette(inside: NDArray[np.bool_], means: Bytes, colors: Bytes) -> float:
    shares = []
    for turned in (False, True):
        mask = inside.T if turned else inside
        before, after = (
            np.swapaxes(light, 0, 1) if turned else light
            for light in (decoding_table()[means], decoding_table()[colors])
        )
        lines, at = np.nonzero(mask[:, 1:] != mask[:, :-1])
        there, here = (_across(light, lines, at) for light in (before, after))
        need = np.minimum(there / 2, 10)
        shares.append((here >= need)[there >= 4])
    return float(np.concatenate(shares).mean())


def _across(light: Floats, lines: NDArray[Any], at: NDArray[Any]) -> Floats:
    last = light.shape[1] - 1
    sides = []
    for first, second in ((at, at - 1), (at + 1, at + 2)):
        both = light[lines, first] + light[lines, np.clip(second, 0, last)]
        sides.append(to_lab(encode_bytes(both / 2)))
    return ciede2000(sides[0], sides[1])


def _fringe(means: Bytes, blocks: NDArray[np.int64]) -> float:
    lab = to_lab(means)
    beside = []
    for shift in ((0, 1), (1, 0)):
        two, one = (
            ciede2000(
                *(np.roll(lab, (s * n * shift[0], s * n * shift[1]), (0, 1)) for s in (1, -1))
            )
            for n in (2, 1)
        )
        same = np.logical_or.reduce(
            [
                blocks == np.roll(blocks, (s * 2 * shift[0], s * 2 * shift[1]), (0, 1))
                for s in (1, -1)
            ]
        )
        beside.append((two, one, same))
    two, one, same = (np.stack([b[i] for b in beside])[:, 2:-2, 2:-2] for i in range(3))
    along = two.argmax(axis=0)[None]
    two, one, same = (np.take_along_axis(a, along, 0)[0] for a in (two, one, same))
    strong = (two >= 20) & (one >= 0.6 * two)
    return float((~same[strong]).mean()) if strong.any() else 0.0


def _specks(blocks: NDArray[np.int64], spared: NDArray[np.bool_]) -> int:
    count = 0
    for yarn in np.unique(blocks):
        pieces, _ = label(blocks == yarn, np.ones((3, 3)))
        size = np.bincount(pieces.ravel())
        hit = np.bincount(pieces[spared].ravel(), minlength=len(size))
        small = (size <= 2) & (hit == 0)
        small[0] = False
        count += int(small.sum())
    return count


def sheet(subject: Subject, charts: list[Chart], frame: Frame) -> Image.Image:
    """The picture beside its charts, enlarged."""
    scale = 10
    size = (frame.width * scale, frame.height * scale)
    left, top, right, bottom = (round(edge) for edge in frame.box)
    images = [
        Image.fromarray(subject.picture.pixels()).crop((left, top, right, bottom)).resize(size)
    ]
    for chart in charts:
        flat = Image.fromarray(chart.yarn_rgb[chart.blocks])
        images.append(flat.resize(size, Image.Resampling.NEAREST))
    wide = Image.new("RGB", ((size[0] + 8) * len(images), size[1]), "white")
    for i, image in enumerate(images):
        wide.paste(image, (i * (size[0] + 8), 0))
    return wide


def main(argv: list[str]) -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--more", type=Path)
    ask.add_argument("--sheets", type=Path)
    ask.add_argument("--keep", type=Path)
    ask.add_argument("--against", type=Path)
    ask.add_argument("--only", nargs="*")
    ask.add_argument("--colors", nargs="*", type=int, default=[6, 8, 12])
    ask.add_argument("--option", nargs="*", default=[], help="FIELD=VALUE of Options")
    asked = ask.parse_args(argv)
    more_options: dict[str, Any] = dict(one.split("=", 1) for one in asked.option)
    before = json.loads(asked.against.read_text()) if asked.against else {}
    kept: dict[str, dict[str, Any]] = {}
    with tempfile.TemporaryDirectory() as folder:
        table: dict[int, list[Reading]] = {}
        for subject in subjects(asked.more, Path(folder)):
            if asked.only and subject.name not in asked.only:
                continue
            frame = frame_picture(subject.picture.size, 60, None, subject.crop or (0, 0, 100, 100))
            charts = []
            for count in asked.colors:
                start = time.process_time()
                options = Options(width=60, colors=count, crop=subject.crop, **more_options)
                charts.append(chart_picture(subject.picture, options).chart)
                spent = time.process_time() - start
                read = read_chart(subject, charts[-1], frame)
                table.setdefault(count, []).append(read)
                name = f"{subject.name} {count}"
                kept[name] = asdict(read)
                lost_then = before.get(name, {}).get("lost", read.lost)
                lost = [part if part in lost_then else f"NEW {part}" for part in read.lost]
                print(f"{name:18} {_line(read)} {spent:5.1f}s", *lost, sep="  ", flush=True)
            if asked.sheets:
                asked.sheets.mkdir(exist_ok=True)
                sheet(subject, charts, frame).save(asked.sheets / f"{subject.name}.png")
        if asked.keep:
            asked.keep.write_text(json.dumps(kept, indent=1))
        print("\nmean (worst)    K  features    silhouette   fringe      specks     tails  error")
        for count, all_read in table.items():
            print(f"{len(all_read):3} pictures   {count:3}", _summary(all_read))


def _line(read: Reading) -> str:
    return (
        f"{read.features:.2f} {read.silhouette:.2f} {read.fringe:.2f} {read.specks:5.1f} "
        f"{read.tails:4} {read.error:5.2f}"
    )


def _summary(all_read: list[Reading]) -> str:
    def figures(name: str, worst: Any) -> tuple[float, float]:
        values = [float(getattr(read, name)) for read in all_read]
        return float(np.mean(values)), float(worst(values))

    words = ["{:.2f} ({:.2f})".format(*figures(n, min)) for n in ("features", "silhouette")]
    words.append("{:.2f} ({:.2f})".format(*figures("fringe", max)))
    words.append("{:4.1f} ({:.0f})".format(*figures("specks", max)))
    words.append("{:.0f}".format(figures("tails", max)[0]))
    words.append("{:.2f}".format(figures("error", max)[0]))
    return "  ".join(words)


if __name__ == "__main__":
    main(sys.argv[1:])
