"""Lengths a chart rests on: block side and loop length, from a swatch or guessed from the class."""

from __future__ import annotations

from dataclasses import dataclass

from pix2block.chart.chart import Chart
from pix2block.yarn.weights import WEIGHT_CLASSES

GUESS_BAND = (0.85, 1.35)  # of a length, without a swatch
SWATCH_BAND = (0.90, 1.10)
GUESS_SIZE_BAND = 0.15


@dataclass(frozen=True)
class Measures:
    """block_cm: side of a block; loop_cm: length of a loop of each yarn; bands: of each yarn, the
    band around its lengths as two factors; guessed: no swatch."""

    block_cm: float
    loop_cm: tuple[float, ...]
    bands: tuple[tuple[float, float], ...]
    guessed: bool


def measures_of(chart: Chart) -> Measures:
    """The lengths that hold for a chart.

    A yarn of another class has its own loop, a guess even beside a swatch; the block's side is the
    chart's.
    """
    weight_class = WEIGHT_CLASSES[chart.weight]
    swatch = chart.swatch
    usual_loop = swatch.loop_cm if swatch else weight_class.loop_cm
    loops, bands = [], []
    for yarn in chart.yarns:
        own_class = yarn.weight if yarn.weight != chart.weight else None
        loops.append(usual_loop if own_class is None else WEIGHT_CLASSES[own_class].loop_cm)
        bands.append(SWATCH_BAND if swatch and own_class is None else GUESS_BAND)
    block_cm = swatch.block_cm if swatch else weight_class.block_cm(chart.block)
    return Measures(block_cm, tuple(loops), tuple(bands), guessed=swatch is None)


def finished_size_cm(chart: Chart, block_cm: float) -> tuple[float, float]:
    """Width and height of the blocks that exist, blocked, without a border."""
    across, down = chart.layout.extent
    return across * block_cm, down * block_cm
