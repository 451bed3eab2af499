"""Lengths a chart rests on: block side and loop length, from a swatch or guessed from the hook.

With a swatch a yarn's lengths lie within its loop's relative error, a piece's sides within the
block's; floats and tails are taken to vary as the loops do.
"""

from __future__ import annotations

import math
from collections import Counter

from pix2block.chart.chart import Chart
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import say_size, say_triangle
from pix2block.yarn.guess import Guess, guess_of
from pix2block.yarn.swatch import OwnLoop, Swatch
from pix2block.yarn.weights import most_common_class
from pix2block.yarn.yarn import Yarn, name_key

SWATCH_BAND = (0.90, 1.10)  # of a swatch that does not say how sure it is
SWATCH_SIZE_BAND = 0.10


@dataclass(frozen=True)
class Measures:
    """block_cm: side of a block; loop_cm: length of a loop of each yarn; bands: of each yarn, the
    band around its lengths as two factors; size_band: how far a side may be out, as a share;
    guessed: no swatch."""

    block_cm: float
    loop_cm: tuple[float, ...]
    bands: tuple[tuple[float, float], ...]
    guessed: bool
    size_band: float


def measures_of(chart: Chart) -> Measures:
    """The lengths that hold for a chart.

    A yarn with a swatch of its own has its loop; one of another class than the chart's has its
    own guessed loop, even beside a swatch; the block's side is the chart's.
    """
    swatch = chart.swatch
    usual = guess_for(chart)
    loops, bands = [], []
    for yarn in chart.yarns:
        own = _own_loop(swatch, yarn)
        other_class = yarn.weight is not None and yarn.weight != chart.weight
        if own:
            loops.append(own.loop_cm)
            bands.append(_band(own.loop_cm, own.loop_cm_error))
        elif swatch and not other_class:
            loops.append(swatch.loop_cm)
            bands.append(_band(swatch.loop_cm, swatch.loop_cm_error))
        else:
            guess = usual if not other_class else guess_of(yarn.weight or 0, hook_mm=chart.hook_mm)
            loops.append(guess.loop_cm)
            bands.append(guess.length_band)
    if swatch is None:
        return Measures(usual.block_cm, tuple(loops), tuple(bands), True, usual.size_band)
    error = swatch.block_cm_error
    size_band = SWATCH_SIZE_BAND if error is None else error / swatch.block_cm
    return Measures(swatch.block_cm, tuple(loops), tuple(bands), False, size_band)


def guess_for(chart: Chart) -> Guess:
    """What would hold for a chart without a swatch."""
    return guess_of(chart.weight, chart.block, chart.hook_mm, chart.gauge)


def class_of_blocks(chart: Chart) -> int | None:
    """The weight class of the yarns used, by blocks; the lower of two alike; None where no yarn
    that is used tells its own."""
    by_class: Counter[int] = Counter()
    for yarn, blocks in zip(chart.yarns, chart.blocks_by_yarn.tolist(), strict=True):
        if yarn.weight is not None and blocks:
            by_class[yarn.weight] += blocks
    return most_common_class(by_class)


def _own_loop(swatch: Swatch | None, yarn: Yarn) -> OwnLoop | None:
    named = {name_key(own.name): own for own in swatch.yarns} if swatch else {}
    return named.get(name_key(yarn.name))


def _band(loop_cm: float, error: float | None) -> tuple[float, float]:
    if error is None:
        return SWATCH_BAND
    return max(0.0, 1 - error / loop_cm), 1 + error / loop_cm


def wingspan_depth_cm(chart: Chart, block_cm: float) -> tuple[float, float] | None:
    """Of a triangle, which only ever grows, the last row from tip to tip, and how far it lies from
    the start corner: rows x side x sqrt(2), and (rows + 1) x side / sqrt(2). None of other pieces.
    """
    rows = chart.last_row
    if not chart.is_triangle:
        return None
    return rows * block_cm * math.sqrt(2), (rows + 1) * block_cm / math.sqrt(2)


def say_finished(chart: Chart, block_cm: float) -> str:
    """The finished size in words, of a triangle wingspan and depth."""
    triangle = wingspan_depth_cm(chart, block_cm)
    return say_triangle(*triangle) if triangle else say_size(*finished_size_cm(chart, block_cm))


def finished_size_cm(chart: Chart, block_cm: float) -> tuple[float, float]:
    """Width and height of the blocks that exist, blocked, without a border."""
    across, down = chart.layout.extent
    return across * block_cm, down * block_cm
