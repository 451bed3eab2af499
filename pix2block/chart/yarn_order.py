"""A chart's list of yarns: another order, more of them, fewer, other names.

In a chart a yarn goes by its name; its number is only its place in the list.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.chart.done import MadeRows
from pix2block.chart.source import Source
from pix2block.craft.diagonal import Ints
from pix2block.ground.errors import BadInput
from pix2block.yarn.yarn import Yarn, name_key


def with_yarns(chart: Chart, yarns: Sequence[Yarn]) -> Chart:
    """The chart with these yarns, in this order; every number that names a yarn follows it.

    Yarns are known by their names, as `name_key` compares them, and may be new or, where no block
    and no border is of them, left out. What holds for the chart's very blocks and colours (how it
    is seen, what calming changed) still does.

    Raises BadInput where a yarn that is used is left out.
    """
    place = {name_key(yarn.name): number for number, yarn in enumerate(yarns)}
    before = [name_key(yarn.name) for yarn in chart.yarns]
    for yarn, key, used in zip(chart.yarns, before, chart.used, strict=True):
        if used and key not in place:
            raise BadInput(f"{yarn.name} is used in the chart: keep it in the list of yarns")
    # The last stands for no block.
    number = np.array([*(place.get(key, NO_BLOCK) for key in before), NO_BLOCK], dtype=np.int64)
    after = replace(
        chart,
        blocks=number[chart.blocks],
        yarns=tuple(yarns),
        border=replace(chart.border, yarn=int(number[chart.border.yarn])) if chart.border else None,
        done=with_numbers(chart.done, number) if chart.done else None,
    )
    return replace(after, source=_followed(chart, after.fingerprint, number))


def with_numbers(done: MadeRows, number: Ints) -> MadeRows:
    """Rows that are made, where yarn i has got the number number[i]."""
    return replace(
        done, strands=tuple(replace(one, yarn=int(number[one.yarn])) for one in done.strands)
    )


def _followed(chart: Chart, fingerprint: str, number: NDArray[np.int64]) -> Source | None:
    """The chart's source, with what holds for its very blocks and colours."""
    source = chart.source
    if source is None:
        return None
    if chart.seen:
        source = replace(source, seen=replace(chart.seen, of=fingerprint))
    if chart.calmed and chart.as_calmed:
        changed = chart.calmed.changed.copy()
        changed[:, 2] = number[changed[:, 2]]
        if (changed[:, 2] != NO_BLOCK).all():
            calmed = replace(chart.calmed, changed=changed, of=fingerprint)
            source = replace(source, calmed=calmed)
    return source


def renamed(chart: Chart, names: Sequence[str]) -> Chart:
    """The chart with other names of its yarns, one each; marks and swatches follow.

    Raises BadInput where two names are the same, or one cannot be.
    """
    pairs = list(zip(chart.yarns, names, strict=True))
    called = {name_key(yarn.name): name for yarn, name in pairs}

    def new(name: str) -> str:
        return called.get(name_key(name), name)

    swatch = chart.swatch
    if swatch:
        own = tuple(replace(loop, name=new(loop.name)) for loop in swatch.yarns)
        swatch = replace(swatch, yarns=own)
    return replace(
        chart,
        yarns=tuple(replace(yarn, name=name) for yarn, name in pairs),
        swatch=swatch,
        marks={new(name): mark for name, mark in chart.marks.items()} if chart.marks else None,
    )


def by_blocks_falling(chart: Chart) -> Chart:
    """The chart with its yarns by blocks falling, ties as they were."""
    order = np.argsort(-chart.blocks_by_yarn, kind="stable").tolist()
    return with_yarns(chart, [chart.yarns[i] for i in order])
