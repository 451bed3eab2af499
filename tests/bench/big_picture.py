"""Block means of 50 megapixels, against Pillow's own box resize of the same file.

The picture is made here: JPEG and PNG, with and without a wide-gamut colour profile.
Run: python tests/bench/big_picture.py
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from measure import compare
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from profiles import swapped_primaries_profile

SIZE = (8192, 6144)
PILLOW = (
    "import sys; from PIL import Image; "
    "Image.open(sys.argv[1]).convert('RGB').resize((60, 45), Image.Resampling.BOX)"
)
OURS = (
    "import sys; from pix2block.picture.picture import open_picture; "
    "from pix2block.picture.blocks import block_means, frame_picture; "
    "p = open_picture(sys.argv[1]); block_means(p, frame_picture(p.size, width=60))"
)


def noisy_picture() -> Image.Image:
    """Soft colours under sensor noise, as a phone photo has them."""
    rng = np.random.default_rng(5)
    coarse = Image.fromarray(rng.integers(0, 256, (48, 64, 3), dtype=np.uint8))
    soft = np.asarray(coarse.resize(SIZE, Image.Resampling.BICUBIC)).astype(np.int16)
    soft += rng.integers(-6, 7, soft.shape, dtype=np.int16)
    return Image.fromarray(np.clip(soft, 0, 255).astype(np.uint8))


FILES = {
    "JPEG, turned by EXIF": "turned.jpg",
    "PNG": "plain.png",
    "JPEG with a colour profile": "profile.jpg",
}


def draw_files(folder: Path) -> None:
    """Save the picture in every kind."""
    picture = noisy_picture()
    exif = Image.Exif()
    exif[0x0112] = 6
    picture.save(folder / "turned.jpg", quality=88, exif=exif)
    picture.save(folder / "plain.png", compress_level=3)
    picture.save(folder / "profile.jpg", quality=88, icc_profile=swapped_primaries_profile())


def main() -> None:
    if len(sys.argv) > 1:
        draw_files(Path(sys.argv[1]))
        return
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([sys.executable, __file__, folder], check=True)
        for name, file in FILES.items():
            path = Path(folder) / file
            compare(
                f"{name}, {SIZE[0] * SIZE[1] / 1e6:.0f} megapixels / Pillow's box resize",
                [sys.executable, "-c", OURS, str(path)],
                [sys.executable, "-c", PILLOW, str(path)],
                runs=5,
            )


if __name__ == "__main__":
    main()
