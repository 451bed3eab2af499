"""`pix2block chart` of a 60 x 75 piece, and `--help`, against the imports they cannot do without.

Run: python tests/bench/main_job.py
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from measure import compare

ROOT = Path(__file__).resolve().parents[2]
LIBRARIES = (
    "import numpy, PIL.Image, skimage.color, scipy.sparse.csgraph; skimage.color.deltaE_ciede2000"
)


def main() -> None:
    tool = [sys.executable, "-m", "pix2block"]
    with tempfile.TemporaryDirectory() as folder:
        picture = str(ROOT / "sample_images" / "tallow_cat.jpg")
        sizes = ["--width", "60", "--colors", "8"]
        compare(
            "chart, 60 x 75 blocks / importing its libraries",
            [*tool, "chart", picture, *sizes, "--out", folder],
            [sys.executable, "-c", LIBRARIES],
        )
        compare(
            "report, the same chart / importing its libraries",
            [*tool, "report", str(Path(folder) / "chart.json")],
            [sys.executable, "-c", LIBRARIES],
        )
    compare(
        "--help / import argparse", [*tool, "--help"], [sys.executable, "-c", "import argparse"]
    )


if __name__ == "__main__":
    main()
