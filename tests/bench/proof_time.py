"""The proof beside the rest of `report`, in processor time, for pieces of 100 x 120 blocks.

Run: python tests/bench/proof_time.py
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np
from scipy.ndimage import gaussian_filter

from pix2block.chart.chart import Chart
from pix2block.ground.settings import HABITS, Extra
from pix2block.options.table import Options
from pix2block.recipes.outputs import files_of
from pix2block.study.study import Study
from pix2block.yarn.yarn import Yarn

WIDTH, HEIGHT, COLORS = 100, 120, 8


def charts() -> dict[str, Chart]:
    """Noise, where nearly every block is a run, and soft areas as in a photo."""
    rng = np.random.default_rng(7)
    noise = rng.integers(0, COLORS, (HEIGHT, WIDTH))
    soft = gaussian_filter(rng.normal(size=(HEIGHT, WIDTH)), 4) + rng.normal(size=noise.shape) / 60
    steps = np.quantile(soft, np.linspace(0, 1, COLORS + 1)[1:-1])
    yarns = tuple(Yarn(f"Yarn {k}", f"#{k * 28:02x}{200 - k * 20:02x}60") for k in range(COLORS))
    return {
        f"{name}, {habit}": replace(
            Chart("Bench", blocks.astype(np.int64), yarns, WIDTH + HEIGHT - 1), habit=HABITS[habit]
        )
        for name, blocks in (("noise", noise), ("photo-like", np.digitize(soft, steps)))
        for habit in ("pickup", "carry")
    }


def report(chart: Chart, without: tuple[Extra, ...]) -> None:
    """Everything from the chart on, nothing kept from an earlier time."""
    files_of(Study(replace(chart), options=Options(without=without)))


def seconds(job: Callable[[], object]) -> float:
    """Least processor time of three runs."""
    times = []
    for _ in range(3):
        start = time.process_time()
        job()
        times.append(time.process_time() - start)
    return min(times)


def main() -> None:
    for name, chart in charts().items():
        runs = len(chart.runs)
        rest = seconds(partial(report, chart, ("proof",)))
        both = seconds(partial(report, chart, ()))
        print(
            f"{name}: {runs:,} runs, proof {both - rest:.2f} s, rest of report {rest:.2f} s, "
            f"ratio {(both - rest) / rest:.2f}"
        )


if __name__ == "__main__":
    main()
