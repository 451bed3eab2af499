"""Strands of random noise in 12 colours, reach 6, rest 3: time, memory, growth.

The yardstick is importing SciPy's sparse graphs, which does the matching.
Run: python tests/bench/strands.py
"""

from __future__ import annotations

import math
import sys
import time

import numpy as np
from measure import compare

from pix2block.craft.diagonal import Layout
from pix2block.craft.runs import find_runs
from pix2block.craft.strands import plan_strands
from pix2block.ground.settings import Habit

SIDES = (75, 150, 300)


def plan_noise(side: int) -> float:
    """Seconds to plan side x side blocks, imports left out."""
    blocks = np.random.default_rng(0).integers(0, 12, (side, side))
    layout = Layout(side, side, 2 * side - 1, "bottom-right", "right")
    start = time.perf_counter()
    plan_strands(find_runs(blocks, layout), layout, Habit("own", 6, 3, 1))
    return time.perf_counter() - start


def main() -> None:
    if len(sys.argv) > 1:
        plan_noise(int(sys.argv[1]))
        return
    compare(
        "300 x 300 noise, 12 colours / importing scipy.sparse.csgraph",
        [sys.executable, __file__, "300"],
        [sys.executable, "-c", "import numpy, scipy.sparse.csgraph"],
    )
    plan_noise(10)  # imports
    seconds = [min(plan_noise(side) for _ in range(3)) for side in SIDES]
    for i in range(1, len(SIDES)):
        growth = math.log(seconds[i] / seconds[i - 1]) / math.log((SIDES[i] / SIDES[i - 1]) ** 2)
        print(f"{SIDES[i - 1]} to {SIDES[i]} blocks a side: growth exponent in blocks {growth:.2f}")


if __name__ == "__main__":
    main()
