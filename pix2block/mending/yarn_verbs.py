"""Mends of yarns: one for another, another colour or name, one more, one less."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.chart.yarn_order import renamed, with_yarns
from pix2block.color.difference import difference_table
from pix2block.ground.errors import BadInput
from pix2block.mending.asked import Done, Given, limited, named, number_of, taken_in, two_sides
from pix2block.mending.made import from_where, still_open
from pix2block.mending.places import Mask
from pix2block.yarn.yarn import Yarn, clean_name, name_key

_HEX = re.compile(r"#[0-9a-fA-F]{6}")


def exchange(chart: Chart, value: str, given: Given) -> Done:
    """ "A=B in PLACE": A's blocks become B's."""
    chart, one, other, at = _pair(chart, value, given)
    mine = (chart.blocks == one) & (still_open(chart) if at is None else at)
    words = f"{_name(chart, one)} becomes {_name(chart, other)}{_where(chart, value, at)}"
    return Done(
        replace(chart, blocks=np.where(mine, other, chart.blocks)), words, int(mine.sum()), at
    )


def swap(chart: Chart, value: str, given: Given) -> Done:
    """ "A=B in PLACE": A's blocks become B's, and B's become A's."""
    chart, one, other, at = _pair(chart, value, given)
    here = still_open(chart) if at is None else at
    blocks = chart.blocks.copy()
    blocks[here & (chart.blocks == one)] = other
    blocks[here & (chart.blocks == other)] = one
    words = f"{_name(chart, one)} and {_name(chart, other)} change places{_where(chart, value, at)}"
    changed = int((blocks != chart.blocks).sum())
    return Done(replace(chart, blocks=blocks), words, changed, at)


def _pair(chart: Chart, value: str, given: Given) -> tuple[Chart, int, int, Mask | None]:
    left, right = two_sides(value, '"A=B", two yarns, and " in PLACE" where it is limited')
    of = named(right, [yarn.name for yarn in (*chart.yarns, *given.yarns)])
    one = number_of(chart, left)
    chart, other = taken_in(chart, of.yarn, given.yarns)
    if one == other:
        raise BadInput(f"{_name(chart, one)} is one yarn: name two")
    return chart, one, other, limited(chart, of.place)


def _name(chart: Chart, number: int) -> str:
    return chart.yarns[number].name


def _where(chart: Chart, value: str, at: Mask | None) -> str:
    return (
        from_where(chart) if at is None else f" in {' '.join(re.split(r' in ', value)[-1].split())}"
    )


def recolor(chart: Chart, value: str, _given: Given) -> Done:
    """ "A=#rrggbb": another colour of a yarn."""
    left, right = two_sides(value, '"A=#rrggbb", a yarn and its colour')
    number, color = number_of(chart, left), _color(right)
    yarns = list(chart.yarns)
    yarns[number] = replace(yarns[number], color=color, parts=())
    words = f"{_name(chart, number)} is {color}"
    return Done(replace(chart, yarns=tuple(yarns)), words, _of(chart, number))


def _color(text: str) -> str:
    if not _HEX.fullmatch(text):
        raise BadInput(f'colour "{text}": write #rrggbb')
    return text.lower()


def _of(chart: Chart, number: int) -> int:
    return int(chart.blocks_by_yarn[number])


def rename(chart: Chart, value: str, _given: Given) -> Done:
    """ "A=B": another name of a yarn, wherever it is named."""
    left, right = two_sides(value, '"A=B", a yarn and its new name')
    number = number_of(chart, left)
    old, new = _name(chart, number), clean_name(right)
    names = [yarn.name for yarn in chart.yarns]
    names[number] = new
    return Done(renamed(chart, names), f"{old} is called {new}", 0)


def add(chart: Chart, value: str, _given: Given) -> Done:
    """ "NAME #rrggbb": one more yarn, of no block yet."""
    name, _, color = value.strip().rpartition(" ")
    if not name or not color.startswith("#"):
        raise BadInput('write it as "NAME #rrggbb"')
    yarn = Yarn(clean_name(name), _color(color))
    if any(name_key(yarn.name) == name_key(other.name) for other in chart.yarns):
        raise BadInput(f"the piece has a yarn {yarn.name} already: give it another name")
    return Done(with_yarns(chart, (*chart.yarns, yarn)), f"{yarn.name}, {color}, comes in", 0)


def drop(chart: Chart, value: str, _given: Given) -> Done:
    """ "A": each of its blocks becomes the yarn in use that is nearest to the block's mean, or,
    where none is known, to A's own colour; A leaves the list, unless rows that are made hold it.

    Raises BadInput for the last yarn, and the border's.
    """
    number = number_of(chart, value)
    name = _name(chart, number)
    if chart.border and chart.border.yarn == number:
        raise BadInput(f"{name} is the border's yarn: it stays")
    others = np.flatnonzero(chart.used)
    others = others[others != number]
    if not len(others):
        raise BadInput(f"{name} is the last yarn in use: it stays")
    mine = (chart.blocks == number) & still_open(chart)
    blocks = chart.blocks.copy()
    blocks[mine] = others[_nearest(chart, mine, others, number)]
    after, words = replace(chart, blocks=blocks), f"{name} is left out{from_where(chart)}"
    if not (blocks == number).any():
        left = tuple(yarn for i, yarn in enumerate(chart.yarns) if i != number)
        after = with_yarns(after, left)
    return Done(after, words, int(mine.sum()))


def _nearest(
    chart: Chart, mine: Mask, others: np.ndarray[tuple[int], np.dtype[np.int64]], number: int
) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    """(blocks,) index into `others`; ties to the lowest."""
    means, own = chart.block_means, chart.yarn_rgb[number]
    colors = np.tile(own, (int(mine.sum()), 1)) if means is None else means[mine]
    unique, which = np.unique(colors, axis=0, return_inverse=True)
    if not len(unique):
        return np.zeros(0, dtype=np.intp)
    nearest = difference_table(unique, chart.yarn_rgb[others]).argmin(axis=1)
    return np.asarray(nearest[which.ravel()])
