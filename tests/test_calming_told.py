"""What calming did to a chart's tails, and a chart calmed for other ways of working."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
from worktables import soft_picture

from pix2block.amounts.ways import calming_tails, with_calming_counted, with_otherwise
from pix2block.chart.chart import Chart
from pix2block.ground.settings import HABITS
from pix2block.options.table import Options
from pix2block.recipes.from_picture import chart_picture


@cache
def calmed() -> Chart:
    with tempfile.TemporaryDirectory() as place:
        picture = soft_picture(Path(place) / "hills.png")
        return chart_picture(picture, Options(width=12, colors=3, calm=8.0)).chart


def told(chart: Chart, before: int | None, after: int | None) -> Chart:
    """The chart with tails that it keeps of its calming, as a hand changed it since."""
    assert chart.source
    assert chart.source.calmed
    kept = replace(chart.source.calmed, of="", tails_before=before, tails_after=after)
    return replace(chart, source=replace(chart.source, calmed=kept))


def test_tails_before_and_after_are_of_the_way_it_is_worked_now() -> None:
    chart = replace(calmed(), habit=HABITS["cut"])
    plain = chart.uncalmed
    assert plain
    now = (plain.plan.tails, chart.plan.tails)
    assert calming_tails(chart) == now
    assert now[0] > now[1]
    assert calming_tails(chart) != calming_tails(calmed())
    assert calming_tails(chart, calmed().plan) == (now[0], calmed().plan.tails)


def test_of_a_chart_that_a_hand_changed_they_are_what_it_keeps() -> None:
    assert calming_tails(told(calmed(), 40, 30)) == (40, 30)
    assert calming_tails(told(calmed(), None, 30)) is None
    assert calming_tails(told(calmed(), 40, None)) is None
    plain = replace(calmed(), source=None)
    assert calming_tails(plain) is None
    assert with_calming_counted(plain) is plain


def test_they_are_kept_as_the_chart_is_worked() -> None:
    chart = with_calming_counted(replace(calmed(), habit=HABITS["cut"]))
    kept = chart.source.calmed if chart.source else None
    assert kept
    assert (kept.tails_before, kept.tails_after) == calming_tails(chart)
    untold = told(calmed(), None, None)
    assert with_calming_counted(untold) is untold
    assert calmed().source is not None
    never = replace(calmed(), source=replace(calmed().source, calmed=None))  # type: ignore[type-var]
    assert with_calming_counted(never) is never


def test_other_ways_are_kept_where_they_were_made() -> None:
    chart, carry = calmed(), HABITS["carry"]
    plain = chart.uncalmed
    assert plain
    assert chart.source
    assert chart.source.calmed
    blocks = plain.blocks.copy()
    blocks[2, 3] = (blocks[2, 3] + 1) % len(chart.yarns)
    other = replace(plain, start_corner="top-left", habit=carry, blocks=blocks)
    ways = {("top-left", carry): other, ("top-right", carry): None}
    kept = with_otherwise(chart, ways)  # type: ignore[arg-type]
    assert kept.source
    assert kept.source.calmed
    (one,) = kept.source.calmed.otherwise
    assert (one.corner, one.habit, one.of) == ("top-left", carry, chart.fingerprint)
    assert one.changed.tolist() == [[2, 3, int(blocks[2, 3])]]
    again = kept.calmed_otherwise("top-left", carry)
    assert again
    assert np.array_equal(again.blocks, blocks)
    assert with_otherwise(kept, {}) is kept  # nothing made: what is kept stays
    assert with_otherwise(kept, {("top-right", carry): None}) is kept
    for without in (
        replace(chart, source=None),
        replace(chart, source=replace(chart.source, calmed=None)),
        told(chart, 4, 2),
    ):
        assert with_otherwise(without, ways) is without  # type: ignore[arg-type]
