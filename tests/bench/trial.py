"""Time of a trial of 9 palettes at 80 x 100 blocks, against one run of `chart`, in CPU seconds.

PYTHONPATH=tests/bench python tests/bench/trial.py
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from pix2block.command.cli import run

ROOT = Path(__file__).parents[2]
PICTURE = str(ROOT / "sample_images" / "tallow_cat.jpg")
SHELVES = [str(ROOT / "sample_images" / f"shelf_{n}.csv") for n in (5, 12, 24)]


def cpu_seconds(words: list[str]) -> float:
    start = time.process_time()
    assert run(words) == 0
    return time.process_time() - start


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        size = ["--width", "80", "--out", folder]
        chart = ["chart", PICTURE, "--shelf", SHELVES[2], "--colors", "6", "--without", "pdf"]
        cpu_seconds([*chart, *size])  # whatever is compiled or loaded once
        one = cpu_seconds([*chart, *size])
        nine = cpu_seconds(["trial", PICTURE, *SHELVES, "--colors", "3,4,5", *size])
    sys.stdout.write(f"chart {one:.1f} s, trial of 9 {nine:.1f} s: {nine / one:.1f} times\n")


if __name__ == "__main__":
    main()
