"""The trade-off of calming: a table, and a sheet with its curve and small charts along it."""

from __future__ import annotations

import itertools
import math

import numpy as np

from pix2block.calming.curve import Curve
from pix2block.chart.chart import Chart
from pix2block.drawing.shapes import Drawing, Item, Lines, Shape, Text
from pix2block.drawing.style import BODY, INK, MARGIN, NOW, SMALL, TITLE, text_width
from pix2block.ground.units import say_hours

_WIDE, _HIGH = 1120.0, 280.0  # of the curve
_LEFT, _TOP = MARGIN + 70.0, MARGIN + TITLE + 3 * BODY
_MOST_SHOWN = 7  # small charts side by side
_STEPS = (1, 2, 2.5, 5, 10, 20, 25, 50)  # of an axis, times a power of ten


def calm_sheet(title: str, curve: Curve) -> Drawing:
    """Tails against colour error, the bend marked, with a small chart for each point."""
    high, wide = curve.points[0].chart.blocks.shape
    side = (_WIDE - (_MOST_SHOWN - 1) * MARGIN) / _MOST_SHOWN / wide
    below = _TOP + _HIGH + 5 * BODY
    heading = f"{title}: fewer tails or a truer picture"
    items: list[Item] = [
        Text(MARGIN, MARGIN + TITLE * 0.8, heading, TITLE, bold=True),
        *_axes(curve),
        *_line(curve),
    ]
    for place, i in enumerate(_shown(curve)):
        point = curve.points[i]
        left = _LEFT + place * (wide * side + MARGIN)
        items += _small_chart(point.chart, left, below, side)
        words = f"calm {point.calm:g} %" if point.calm else "calm 0, the truest"
        hours = say_hours(point.weave_in_hours)
        baseline = below + high * side + 1.6 * BODY
        for line, (text, bold) in enumerate(
            ((words, True), (f"{point.tails:,} tails", False), (f"{hours} to end them", False))
        ):
            items.append(Text(left, baseline + line * 1.5 * SMALL, text, SMALL, bold=bold))
    return Drawing(
        max(text_width(heading, TITLE, True), _WIDE + _LEFT) + 2 * MARGIN,
        below + high * side + 2 * BODY + 5 * SMALL,
        f"{title}: from {curve.points[0].tails:,} to {curve.points[-1].tails:,} tails",
        tuple(items),
    )


def _shown(curve: Curve) -> list[int]:
    """Points with a small chart: all; of more than fit, the ends, the bend, and the first ones."""
    count = len(curve.points)
    first = dict.fromkeys([0, count - 1, curve.bend, *range(count)])
    return sorted([*first][:_MOST_SHOWN])


def _round_steps(most: float, count: int) -> list[float]:
    """0 and round numbers in equal steps, about so many, up to the first that reaches the most."""
    if most <= 0:
        return [0.0]
    power = 10 ** math.floor(math.log10(most / count))
    step = next(power * part for part in _STEPS if power * part * count >= most * 0.999)
    return [step * i for i in range(math.ceil(most / step - 1e-9) + 1)]


def _words(curve: Curve, i: int) -> str:
    point = curve.points[i]
    tails = f"{point.tails:,} tails"
    return tails if i == 0 else f"{tails}, calm {point.calm:g} %"


def _scales(curve: Curve) -> tuple[list[float], list[float]]:
    """Round numbers on the axes: per cent, and tails."""
    return (
        _round_steps(curve.points[-1].percent, 8),
        _round_steps(float(curve.points[0].tails), 5),
    )


def _place(curve: Curve, percent: float, tails: float) -> tuple[float, float]:
    across, up = _scales(curve)
    x = percent / max(across[-1], 1e-9)
    return _LEFT + x * _WIDE, _TOP + _HIGH * (1 - tails / max(up[-1], 1.0))


def _axes(curve: Curve) -> list[Item]:
    bottom = _TOP + _HIGH
    edges = [[_LEFT, _TOP, _LEFT, bottom], [_LEFT, bottom, _LEFT + _WIDE, bottom]]
    items: list[Item] = [Lines(np.array(edges), 1.0)]
    percents, tails = _scales(curve)
    for number in tails:
        _, y = _place(curve, 0, number)
        items.append(Text(_LEFT - 8, y + SMALL * 0.35, f"{number:,.0f}", SMALL, "end"))
    for percent in percents:
        x, _ = _place(curve, percent, 0)
        items.append(Text(x, bottom + SMALL * 1.5, f"{percent:g} %", SMALL, "middle"))
    items.append(Text(_LEFT, _TOP - SMALL, "tails", SMALL))
    items.append(Text(_LEFT + _WIDE, bottom + 3 * SMALL, "more colour error", SMALL, "end"))
    return items


def _line(curve: Curve) -> list[Item]:
    at = [_place(curve, point.percent, point.tails) for point in curve.points]
    segments = [[*one, *other] for one, other in itertools.pairwise(at)]
    items: list[Item] = [Lines(np.array(segments).reshape(-1, 4), 2.0)]
    for i, (x, y) in enumerate(at):
        size = 9.0 if i == curve.bend else 5.0
        diamond = [(x, y - size), (x + size, y), (x, y + size), (x - size, y)]
        items.append(Shape(diamond, NOW if i == curve.bend else INK))
    x, y = at[curve.bend]
    words = f"the bend: {_words(curve, curve.bend)}"
    items.append(Text(x + 16, y - 10, words, BODY, bold=True, color=NOW))
    return items


def _small_chart(chart: Chart, left: float, top: float, side: float) -> list[Item]:
    """The chart without lines between blocks, which would darken it: stretches of its lines, each
    reaching under the next and the line below, so that no ground shows between them."""
    items: list[Item] = []
    blocks, colors = chart.blocks, [yarn.color for yarn in chart.yarns]
    last_line, last_column = blocks.shape
    for line, yarns in enumerate(blocks):
        starts = np.flatnonzero(np.diff(yarns, prepend=-2))
        ends = np.append(starts[1:], len(yarns))
        y, below = top + line * side, top + min(line + 2, last_line) * side
        for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
            x, right = left + start * side, left + min(end + 1, last_column) * side
            outline = [(x, y), (right, y), (right, below), (x, below)]
            items.append(Shape(outline, colors[yarns[start]]))
    return items
