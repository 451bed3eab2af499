"""The two examples in output/ are what the tool makes today."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from pix2block.command.cli import run

ROOT = Path(__file__).parent.parent
EXAMPLES = {
    "tallow_cat": "chart sample_images/tallow_cat.jpg --width 60 --colors 8 --without pdf",
    "club_badge": (
        "chart sample_images/club_badge.png --width 40 --colors 4 "
        "--shelf sample_images/shelf_24.csv --hand left --terms uk"
    ),
}
MOST_DIFFERENT = 1e-4  # less than one block of the larger example


def differing_share(one: bytes, other: bytes) -> float:
    """Share of 4 x 4 pixel squares whose means differ by more than 24 levels; 1 where the sizes
    differ. Means, so that another version of the font renderer is no difference."""
    first, second = (Image.open(io.BytesIO(data)).convert("RGB") for data in (one, other))
    if first.size != second.size:
        return 1.0
    means = [np.asarray(image.reduce(4), dtype=int) for image in (first, second)]
    return float((np.abs(means[0] - means[1]).max(axis=2) > 24).mean())


def unpacked(data: bytes) -> dict[str, bytes]:
    """The parts of a packed file: what they are packed to depends on the machine."""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return {part: packed.read(part) for part in packed.namelist()}


@pytest.mark.parametrize("name", EXAMPLES)
def test_example_is_current(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    assert run([*EXAMPLES[name].split(), "--out", str(tmp_path)]) == 0
    kept = ROOT / "output" / name
    assert {p.name for p in kept.iterdir()} == {p.name for p in tmp_path.iterdir()}
    for path in sorted(tmp_path.iterdir()):
        before = (kept / path.name).read_bytes()
        if path.suffix == ".png":
            assert differing_share(path.read_bytes(), before) < MOST_DIFFERENT, path.name
        elif path.suffix == ".xlsx":
            assert unpacked(path.read_bytes()) == unpacked(before), path.name
        elif path.name == "summary.json":
            now, then = json.loads(path.read_bytes()), json.loads(before)
            listed = then.pop("files")
            assert [*now.pop("files")] == [*listed]
            assert now == then
            assert listed == {
                n: hashlib.sha256((kept / n).read_bytes()).hexdigest() for n in listed
            }
        else:
            assert path.read_bytes() == before, f"{path.name}: run {EXAMPLES[name]} again"


def test_the_comparer_sees_one_changed_block() -> None:
    chart = Image.open(ROOT / "output" / "tallow_cat" / "chart.png").convert("RGB")
    changed = chart.copy()
    changed.paste((255, 0, 255), (600, 600, 628, 628))
    data = [io.BytesIO(), io.BytesIO()]
    for image, out in zip((chart, changed), data, strict=True):
        image.save(out, "PNG", compress_level=0)
    one, other = (out.getvalue() for out in data)
    assert differing_share(one, one) == 0
    assert differing_share(one, other) > MOST_DIFFERENT
    assert differing_share(one, (ROOT / "sample_images" / "fog_morning.png").read_bytes()) == 1
