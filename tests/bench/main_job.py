"""The jobs a maker waits for, against the imports they cannot do without.

Processor time counts: the machine may be shared. "First time" has an empty home folder on every
run, so that whatever a machine prepares once is paid each time.

Run: python tests/bench/main_job.py [small|large|huge|edit]...
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

from measure import compare

ROOT = Path(__file__).resolve().parents[2]
CAT = str(ROOT / "sample_images" / "tallow_cat.jpg")
LIBRARIES = [
    sys.executable,
    "-c",
    "import numpy, PIL.Image, skimage.color, scipy.sparse.csgraph; skimage.color.deltaE_ciede2000",
]
TOOL = [sys.executable, "-m", "pix2block"]


def small(folder: str) -> None:
    """60 x 75: a chart with all files, the same in a fresh home, its report; and help."""
    chart = [*TOOL, "chart", CAT, "--width", "60", "--colors", "8", "--out", folder]
    compare("chart, 60 x 75 / importing its libraries", chart, LIBRARIES)
    fresh = ["env", f"HOME={folder}/home", f"XDG_CACHE_HOME={folder}/home", *chart]
    compare("the same, first time on a machine / not the first", fresh, chart)
    report = [*TOOL, "report", str(Path(folder) / "chart.json")]
    compare("report, 60 x 75 / importing its libraries", report, LIBRARIES)
    compare(
        "--help / import argparse", [*TOOL, "--help"], [sys.executable, "-c", "import argparse"]
    )


def large(folder: str) -> None:
    """300 x 300, all files."""
    sides = ["--width", "300", "--height", "300"]
    chart = [*TOOL, "chart", CAT, *sides, "--colors", "8", "--out", folder]
    compare("chart, 300 x 300 / importing its libraries", chart, LIBRARIES, runs=5)


def huge(folder: str) -> None:
    """1,000 x 1,000, not calmed, without the PDF; how large its largest file is."""
    sides = ["--width", "1000", "--height", "1000", "--calm", "0", "--without", "pdf"]
    chart = [*TOOL, "chart", CAT, *sides, "--colors", "8", "--out", folder]
    compare("chart, 1,000 x 1,000, not calmed / importing its libraries", chart, LIBRARIES, runs=1)
    most = max(Path(folder).iterdir(), key=lambda file: file.stat().st_size)
    print(f"its largest file: {most.name}, {most.stat().st_size / 1e6:.1f} MB")


def edit(folder: str) -> None:
    """What one edit of a chart needs in a warm process: chart.json, rows, amounts."""
    from dataclasses import replace

    from pix2block import Options, Study, chart_picture, files_of

    for width, height in ((60, 75), (100, 120), (300, 300)):
        chart = chart_picture(CAT, Options(width=width, height=height, colors=8, calm=0)).chart
        seconds = []
        for turn in range(7):
            blocks = chart.blocks.copy()
            blocks[turn, turn] = (blocks[turn, turn] + 1) % len(chart.yarns)
            start = time.process_time()
            study = Study(replace(chart, blocks=blocks))
            assert study.amounts.plan.tails
            files_of(study, only=["chart.json", "rows.csv", "yarn.csv"])
            seconds.append(time.process_time() - start)
        print(f"one edit, {width} x {height}: {1000 * median(seconds):.0f} ms of processor time")
    del folder


JOBS: dict[str, Callable[[str], None]] = {
    "small": small,
    "large": large,
    "huge": huge,
    "edit": edit,
}


def main() -> None:
    for name in sys.argv[1:] or JOBS:
        with tempfile.TemporaryDirectory() as folder:
            JOBS[name](folder)


if __name__ == "__main__":
    main()
