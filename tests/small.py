"""Small pieces of the samples, made once for all tests of a process."""

from __future__ import annotations

import atexit
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image

SAMPLES = Path(__file__).parent.parent / "sample_images"


@cache
def _folder() -> Path:
    folder = TemporaryDirectory()
    atexit.register(folder.cleanup)
    return Path(folder.name)


@cache
def small_sample(name: str, longest: int = 240) -> Path:
    """A sample picture with so many pixels on its longer side, as PNG: for what takes its time in
    proportion to a picture's pixels (flat art above all) and tells nothing of its size."""
    path = _folder() / f"{Path(name).stem}_{longest}.png"
    with Image.open(SAMPLES / name) as picture:
        factor = longest / max(picture.size)
        size = [max(1, round(side * factor)) for side in picture.size]
        picture.resize((size[0], size[1]), Image.Resampling.BOX).save(path)
    return path
