"""The trade-off of calming: a table, and a sheet with its curve and small charts along it."""

from __future__ import annotations

import itertools

import numpy as np

from pix2block.calming.charts import Curve
from pix2block.drawing.shapes import Drawing, Item, Lines, Shape, Text
from pix2block.drawing.style import BODY, INK, MARGIN, NOW, SMALL, TITLE, text_width

_WIDE, _HIGH = 960.0, 300.0  # of the curve
_LEFT, _TOP = MARGIN + 70.0, MARGIN + TITLE + 3 * BODY
_SMALL_CHARTS = 5


def calm_sheet(title: str, curve: Curve) -> Drawing:
    """Tails against colour error, the bend marked, with small charts along the curve."""
    high, wide = curve.steps[0].blocks.shape
    side = (_WIDE - (_SMALL_CHARTS - 1) * MARGIN) / _SMALL_CHARTS / wide
    below = _TOP + _HIGH + 5 * BODY
    heading = f"{title}: fewer tails or a truer picture"
    items: list[Item] = [
        Text(MARGIN, MARGIN + TITLE * 0.8, heading, TITLE, bold=True),
        *_axes(curve),
        *_line(curve),
    ]
    for place, i in enumerate(_shown(curve)):
        left = _LEFT + place * (wide * side + MARGIN)
        items += _small_chart(curve, i, left, below, side)
        is_bend = i == curve.bend
        words = ("bend: " if is_bend else "") + _words(curve, i)
        color = NOW if is_bend else INK
        baseline = below + high * side + 1.6 * BODY
        items.append(Text(left, baseline, words, SMALL, bold=is_bend, color=color))
    return Drawing(
        max(text_width(heading, TITLE, True), _WIDE + _LEFT) + 2 * MARGIN,
        below + high * side + 3 * BODY,
        f"{title}: from {curve.steps[0].tails:,} to {curve.steps[-1].tails:,} tails",
        tuple(items),
    )


def _shown(curve: Curve) -> list[int]:
    """Steps to show: the first, the bend, the last, and between them, evenly by error."""
    grown = np.array([curve.percent(i) for i in range(len(curve.steps))])
    wanted = np.linspace(0, grown[-1], _SMALL_CHARTS)
    found = {int(np.argmin(abs(grown - at))) for at in wanted}
    if curve.bend not in found and len(found) == _SMALL_CHARTS:
        found.discard(min(sorted(found)[1:-1], key=lambda i: abs(i - curve.bend)))
    return sorted(found | {curve.bend})


def _words(curve: Curve, i: int) -> str:
    tails = f"{curve.steps[i].tails:,} tails"
    return tails if i == 0 else f"{tails}, +{curve.percent(i):.1f} %"


def _place(curve: Curve, percent: float, tails: float) -> tuple[float, float]:
    across = percent / max(curve.percent(len(curve.steps) - 1), 1e-9)
    return _LEFT + across * _WIDE, _TOP + _HIGH * (1 - tails / curve.steps[0].tails)


def _axes(curve: Curve) -> list[Item]:
    bottom = _TOP + _HIGH
    edges = [[_LEFT, _TOP, _LEFT, bottom], [_LEFT, bottom, _LEFT + _WIDE, bottom]]
    items: list[Item] = [Lines(np.array(edges), 1.0)]
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        tails = share * curve.steps[0].tails
        x, y = _place(curve, 0, tails)
        items.append(Text(x - 8, y + SMALL * 0.35, f"{tails:,.0f}", SMALL, "end"))
    for percent in range(0, int(curve.percent(len(curve.steps) - 1)) + 1, 3):
        x, y = _place(curve, percent, 0)
        items.append(Text(x, y + SMALL * 1.5, f"{percent} %", SMALL, "middle"))
    items.append(Text(_LEFT, _TOP - SMALL, "tails", SMALL))
    items.append(Text(_LEFT + _WIDE, bottom + 3 * SMALL, "more colour error", SMALL, "end"))
    return items


def _line(curve: Curve) -> list[Item]:
    at = [_place(curve, curve.percent(i), step.tails) for i, step in enumerate(curve.steps)]
    segments = [[*one, *other] for one, other in itertools.pairwise(at)]
    items: list[Item] = [Lines(np.array(segments).reshape(-1, 4), 2.0)]
    for i, (x, y) in enumerate(at):
        size = 9.0 if i == curve.bend else 4.0
        diamond = [(x, y - size), (x + size, y), (x, y + size), (x - size, y)]
        items.append(Shape(diamond, NOW if i == curve.bend else INK))
    x, y = at[curve.bend]
    words = f"the bend: {_words(curve, curve.bend)}"
    items.append(Text(x + 16, y - 10, words, BODY, bold=True, color=NOW))
    return items


def _small_chart(curve: Curve, i: int, left: float, top: float, side: float) -> list[Item]:
    """The chart without lines between blocks, which would darken it: stretches of its lines, each
    reaching under the next and the line below, so that no ground shows between them."""
    items: list[Item] = []
    blocks = curve.steps[i].blocks
    last_line, last_column = blocks.shape
    for line, yarns in enumerate(blocks):
        starts = np.flatnonzero(np.diff(yarns, prepend=-2))
        ends = np.append(starts[1:], len(yarns))
        y, below = top + line * side, top + min(line + 2, last_line) * side
        for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
            x, right = left + start * side, left + min(end + 1, last_column) * side
            outline = [(x, y), (right, y), (right, below), (x, below)]
            items.append(Shape(outline, curve.colors[yarns[start]]))
    return items
