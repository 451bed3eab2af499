"""Mends of a piece's shape: mirrored, turned, cut, framed, longer at a side, repeated."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any, get_args

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.chart.source import Place, Source
from pix2block.craft.diagonal import Edge
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.settings import MOST_BLOCKS_A_SIDE, StartCorner, sides_of
from pix2block.ground.units import say_numbers
from pix2block.mending.asked import Done, Given, Moved, pairs, taken_in
from pix2block.mending.places import Box, place_in

Corners = tuple[float, float, float, float]  # left, top, right, bottom
_MIRRORED: dict[StartCorner, StartCorner] = {
    "bottom-right": "bottom-left",
    "bottom-left": "bottom-right",
    "top-right": "top-left",
    "top-left": "top-right",
}
_TURNED: dict[StartCorner, StartCorner] = {  # a quarter turn against the clock
    "top-left": "bottom-left",
    "bottom-left": "bottom-right",
    "bottom-right": "top-right",
    "top-right": "top-left",
}
_QUARTERS = {"left": 1, "half": 2, "right": 3}


def mirror(chart: Chart, _value: str, _given: Given) -> Done:
    """Left and right change. The start corner stays, but on a piece that ends early."""
    wide = chart.width

    def move(array: NDArray[Any]) -> NDArray[Any]:
        return array[:, ::-1]

    after = _moved(
        chart,
        move,
        lambda c: (wide - c[2], c[1], wide - c[0], c[3]),
        _MIRRORED[chart.start_corner],
    )
    return Done(after, "The piece is mirrored, lettering with it", 0, move=move)


def rotate(chart: Chart, value: str, _given: Given) -> Done:
    """ "left", "right" or "half": left is a quarter turn against the clock."""
    way = value.strip().casefold()
    if way not in _QUARTERS:
        raise BadInput(unknown("turn", value, _QUARTERS))
    after = chart
    for _ in range(_QUARTERS[way]):
        after = _quarter(after)
    words = "by half" if way == "half" else f"{way} by a quarter"
    return Done(
        after,
        f"The piece is turned {words}, lettering with it",
        0,
        move=lambda array: np.rot90(array, _QUARTERS[way]),
    )


def _quarter(chart: Chart) -> Chart:
    wide = chart.width
    return _moved(
        chart,
        lambda a: np.rot90(a),
        lambda c: (c[1], wide - c[2], c[3], wide - c[0]),
        _TURNED[chart.start_corner],
    )


def cut(chart: Chart, value: str, _given: Given) -> Done:
    """ "X,Y,W,H", or columns and lines: what is left of the piece. X, Y: blocks left away on the
    left and at the top, from 0."""
    left, top, right, bottom = _box(chart, value)
    start = sides_of(chart.start_corner)
    across = chart.width - right if start.right else left
    down = chart.height - bottom if start.bottom else top
    rows = chart.last_row - across - down
    if rows < 1:
        raise BadInput(f"no block is there: the piece ends after row {chart.last_row}")

    def move(array: NDArray[Any]) -> NDArray[Any]:
        return array[top:bottom, left:right]

    after = _moved(
        chart,
        move,
        lambda c: (
            *(max(c[0] - left, 0), max(c[1] - top, 0)),
            *(min(c[2], right) - left, min(c[3], bottom) - top),
        ),
        last_row=rows,
    )
    gone = int((chart.blocks >= 0).sum() - (after.blocks >= 0).sum())
    words = f"Cut to columns {left + 1} to {right}, lines {top + 1} to {bottom}"
    return Done(after, words, gone, move=move)


def _box(chart: Chart, value: str) -> tuple[int, int, int, int]:
    if found := re.fullmatch(
        r"\s*(\d{1,6})\s*,\s*(\d{1,6})\s*,\s*(\d{1,6})\s*,\s*(\d{1,6})\s*", value
    ):
        left, top, wide, high = map(int, found.groups())
        right, bottom = left + wide, top + high
    else:
        place = place_in(value)
        if not isinstance(place, Box):
            raise BadInput('write it as "X,Y,W,H" or as "columns 3 to 9, lines 20 to 30"')
        (left, right), (top, bottom) = (
            place.columns or (1, chart.width),
            place.lines or (1, chart.height),
        )
        left, top = left - 1, top - 1
    if right > chart.width or bottom > chart.height:
        raise BadInput(
            f"that reaches to column {right}, line {bottom}: the chart has {chart.width} x "
            f"{chart.height} blocks"
        )
    if right == left or bottom == top:
        raise BadInput("nothing would be left: a side has 1 block or more")
    return left, top, right, bottom


def frame(chart: Chart, value: str, given: Given) -> Done:
    """ "N YARN": blocks added around; the piece grows by N on each side."""
    found = re.fullmatch(r"\s*([1-9]\d{0,5})\s+(\S.*)", value)
    if not found:
        raise BadInput('write it as "N YARN"')
    number = int(found[1])
    chart, yarn = taken_in(chart, found[2].strip(), given.yarns)
    words = f"A frame of {number} in {chart.yarns[yarn].name}"
    return _grown(chart, (number,) * 4, yarn, words)


def extend(chart: Chart, value: str, given: Given) -> Done:
    """ "top 3 YARN": blocks added on one side."""
    found = re.fullmatch(r"\s*(\w+)\s+([1-9]\d{0,5})\s+(\S.*)", value)
    if not found:
        raise BadInput('write it as "top 3 YARN"')
    side, number = found[1].casefold(), int(found[2])
    sides = ("left", "top", "right", "bottom")
    if side not in get_args(Edge):
        raise BadInput(unknown("side", found[1], sides))
    chart, yarn = taken_in(chart, found[3].strip(), given.yarns)
    words = f"{number} more at the {side} in {chart.yarns[yarn].name}"
    left, top, right, bottom = (number if side == one else 0 for one in sides)
    return _grown(chart, (left, top, right, bottom), yarn, words)


def _grown(chart: Chart, by: tuple[int, int, int, int], yarn: int, words: str) -> Done:
    _refuse_early(chart)
    left, top, right, bottom = by
    wide, high = left + chart.width + right, top + chart.height + bottom
    if max(wide, high) > MOST_BLOCKS_A_SIDE:
        raise BadInput(
            f"{wide} x {high} blocks would come of it: a side has at most {MOST_BLOCKS_A_SIDE}"
        )

    def padded(array: NDArray[Any], filling: float = 0) -> NDArray[Any]:
        around = [(top, bottom), (left, right)] + [(0, 0)] * (array.ndim - 2)
        return np.pad(array, around, constant_values=filling)

    after = _moved(
        chart,
        lambda a: padded(a, yarn),
        lambda c: (c[0] + left, c[1] + top, c[2] + left, c[3] + top),
    )
    source = chart.source
    if source and after.source:
        added = np.zeros(chart.blocks.shape, np.uint8) if source.added is None else source.added
        weights = None if source.weights is None else padded(source.weights, 1)
        own = replace(
            after.source, means=padded(source.means), added=padded(added, 1), weights=weights
        )
        after = replace(after, source=own)
    return Done(after, words, after.blocks.size - chart.blocks.size, move=padded)


def repeat(chart: Chart, value: str, _given: Given) -> Done:
    """ "3x1": the piece so many times across and down."""
    found = re.fullmatch(r"\s*([1-9]\d{0,3})\s*[x×]\s*([1-9]\d{0,3})\s*", value)
    if not found:
        raise BadInput('write it as "3x1", across and down')
    _refuse_early(chart)
    across, down = int(found[1]), int(found[2])
    if max(chart.width * across, chart.height * down) > MOST_BLOCKS_A_SIDE:
        raise BadInput(
            f"{chart.width * across} x {chart.height * down} blocks would come of it: a side has "
            f"at most {MOST_BLOCKS_A_SIDE}"
        )

    def move(array: NDArray[Any]) -> NDArray[Any]:
        return np.tile(array, (down, across) + (1,) * (array.ndim - 2))

    after = _moved(chart, move, lambda c: c)
    new = np.ones(after.blocks.shape, dtype=bool)
    new[: chart.height, : chart.width] = False
    seams = [_seams("column", chart.width, across), _seams("line", chart.height, down)]
    words = "; ".join([f"Repeated {across} x {down}", *(seam for seam in seams if seam)])
    return Done(after, words, int(new.sum()), move=move, new=new)


def _seams(what: str, side: int, times: int) -> str:
    at = [side * i for i in range(1, times)]
    return f"{'a seam' if len(at) == 1 else 'seams'} after {say_numbers(what, at)}" if at else ""


def _refuse_early(chart: Chart) -> None:
    if chart.ends_early:
        raise BadInput(
            f"the piece ends early, after row {chart.last_row}: only a whole rectangle can grow"
        )


def _moved(
    chart: Chart,
    move: Moved,
    box: Callable[[Corners], Corners],
    corner: StartCorner | None = None,
    last_row: int | None = None,
) -> Chart:
    """The chart with its blocks, and all that its source knows of them, moved alike. box: where a
    minded place then is; corner: where the piece starts then, where that moves; last_row: where it
    ends, at most where its rectangle does."""
    blocks = np.ascontiguousarray(move(chart.blocks))
    whole = sum(blocks.shape) - 1
    early = chart.last_row if chart.ends_early else whole
    # One step, so that no chart is made whose blocks do not fit its rows.
    after = replace(
        chart,
        blocks=blocks,
        shielded=pairs(move(chart.shield)) if chart.shielded else (),
        source=_source_moved(chart.source, move, box) if chart.source else None,
        start_corner=corner if corner and chart.ends_early else chart.start_corner,
        last_row=min(whole, early if last_row is None else last_row),
    )
    if chart.calmed is None or not chart.as_calmed or corner is None:
        return after
    # A piece that is only turned or mirrored is as calming left it.
    place = move(np.arange(chart.blocks.size).reshape(chart.blocks.shape)).ravel()
    lines, columns = np.unravel_index(np.argsort(place), blocks.shape)
    was = np.ravel_multi_index(chart.calmed.changed[:, :2].T, chart.blocks.shape)
    changed = np.stack([lines[was], columns[was], chart.calmed.changed[:, 2]], axis=1)
    calmed = replace(chart.calmed, changed=changed, of=after.fingerprint)
    return replace(after, source=replace(after.source, calmed=calmed)) if after.source else after


def _source_moved(source: Source, move: Moved, box: Callable[[Corners], Corners]) -> Source:
    def moved(array: NDArray[Any] | None) -> Any:
        return None if array is None else np.ascontiguousarray(move(array))

    weights, added = moved(source.weights), moved(source.added)
    minded = tuple(place for one in source.minded for place in _place_moved(one, box))
    # What calming changed lay elsewhere: its figures stay, of a chart that is no more.
    calmed = source.calmed and replace(source.calmed, of="moved")
    return replace(
        source,
        means=_colors_moved(source.means, move),
        weights=weights,
        added=added,
        minded=minded,
        calmed=calmed,
    )


def _colors_moved(means: NDArray[Any], move: Moved) -> NDArray[Any]:
    return np.stack([move(means[..., i]) for i in range(3)], axis=2).astype(np.uint8)


def _place_moved(place: Place, box: Callable[[Corners], Corners]) -> tuple[Place, ...]:
    left, top, right, bottom = box((place.left, place.top, place.right, place.bottom))
    if right <= left or bottom <= top:
        return ()
    return (replace(place, left=left, top=top, right=right, bottom=bottom),)
