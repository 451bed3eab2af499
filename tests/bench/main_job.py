"""The jobs a maker waits for, against the imports they cannot do without.

Processor time counts: the machine may be shared. "First time" has an empty home folder on every
run, so that whatever a machine prepares once is paid each time.

Run: python tests/bench/main_job.py [small|large|huge|edit|growth]...
"""

from __future__ import annotations

import math
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import linear_regression, median
from typing import TypeVar

from measure import compare

ROOT = Path(__file__).resolve().parents[2]
CAT = str(ROOT / "sample_images" / "tallow_cat.jpg")
LIBRARIES = [
    sys.executable,
    "-c",
    "import numpy, PIL.Image, skimage.color, scipy.sparse.csgraph; skimage.color.deltaE_ciede2000",
]
T = TypeVar("T")
GROWING = ((40, 50), (80, 100), (160, 200), (300, 300))
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


def growth(_: str) -> None:
    """How the time of each stage grows with the blocks: the slope of a line through the logarithms
    of both, from 40 x 50 to 300 x 300; what takes less than 10 ms at the end is left out."""
    took: dict[str, list[float]] = {}
    _stages(20, 25, {})  # imports, and what is made ready once
    for width, height in GROWING:
        _stages(width, height, took)
    blocks = [math.log(width * height) for width, height in GROWING]
    for stage, seconds in took.items():
        if seconds[-1] >= 0.01:
            logs = [math.log(max(s, 1e-4)) for s in seconds]
            shown = ", ".join(f"{1000 * s:.0f}" for s in seconds)
            print(f"{stage}: {shown} ms, exponent {linear_regression(blocks, logs).slope:.2f}")


def _stages(width: int, height: int, took: dict[str, list[float]]) -> None:
    from pix2block import Options, Study, chart_picture
    from pix2block.design.view import View, view_picture
    from pix2block.pages.preview import fabric_png
    from pix2block.picture.picture import open_picture
    from pix2block.recipes.looking import viewing_of, what_matters
    from pix2block.recipes.outputs import outputs_of

    def timed(stage: str, make: Callable[[], T]) -> T:
        start = time.process_time()
        made = make()
        took.setdefault(stage, []).append(time.process_time() - start)
        return made

    def charted(view: View, calm: float) -> Study:
        return chart_picture(view, replace(asked, calm=calm))

    asked = Options(width=width, height=height, colors=8)
    view = timed("blocks", lambda: view_picture(open_picture(CAT), viewing_of(asked)))
    timed("what matters", lambda: what_matters(view, asked))
    timed("yarns", lambda: charted(view, 0.0))
    study = timed("the same, and calmed", lambda: charted(view, 3.0))
    timed("strands, amounts", lambda: study.amounts)
    timed("what is kept", lambda: study.kept)
    timed("words", lambda: study.pattern_text)
    timed("proof", lambda: study.proof)
    for row in outputs_of(study):
        if row.is_asked(asked) and row.can(study):
            fabric_png.cache_clear()
            timed(row.name, lambda row=row: row.make(study))  # type: ignore[misc]


JOBS: dict[str, Callable[[str], None]] = {
    "small": small,
    "large": large,
    "huge": huge,
    "edit": edit,
    "growth": growth,
}


def main() -> None:
    for name in sys.argv[1:] or JOBS:
        with tempfile.TemporaryDirectory() as folder:
            JOBS[name](folder)


if __name__ == "__main__":
    main()
