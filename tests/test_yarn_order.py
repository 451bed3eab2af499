"""A chart's list of yarns in another order, longer, shorter: everything follows the names."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from makers import YARNS, chart_of, charts

from pix2block.chart.chart import Border, Chart
from pix2block.chart.source import Calmed, Seen, Source
from pix2block.chart.yarn_order import by_blocks_falling, renamed, with_yarns
from pix2block.color.spaces import Bytes
from pix2block.drawing.marks import marks_of, with_marks
from pix2block.ground.errors import BadInput
from pix2block.options.yarn_rules import BorderAsked
from pix2block.recipes.supplies import with_border
from pix2block.yarn.swatch import OwnLoop, Swatch
from pix2block.yarn.yarn import Yarn

LAMP = Yarn("Lamp", "#e6aa3c")


def calmed_piece() -> Chart:
    """A chart with a border and marks whose middle block calming has changed from Moss 2."""
    chart = with_marks(chart_of("0011 0011 1133", border=Border(1, "sc", 0)))
    means = np.zeros((*chart.blocks.shape, 3), dtype=np.uint8)
    seen = Seen(1.0, 0.5, chart.fingerprint)
    calmed = Calmed(3.0, 1.0, 1.02, 9, 5, None, np.array([[1, 2, 2]]), chart.fingerprint)
    return replace(chart, source=Source("a.png", "0" * 64, means, seen=seen, calmed=calmed))


def colors_of(chart: Chart) -> Bytes:
    return np.where(chart.blocks[..., None] >= 0, chart.yarn_rgb[chart.blocks], 0)


@given(charts(), st.permutations(range(len(YARNS))), st.booleans())
def test_blocks_border_and_marks_follow_the_names(
    chart: Chart, order: list[int], more: bool
) -> None:
    chart = with_marks(replace(chart, border=Border(2, "hdc", 1)))
    yarns = [chart.yarns[i] for i in order]
    after = with_yarns(chart, [LAMP, *yarns] if more else yarns)
    assert (colors_of(after) == colors_of(chart)).all()
    assert (after.blocks < 0).tolist() == (chart.blocks < 0).tolist()
    assert after.border
    assert after.yarns[after.border.yarn].name == chart.yarns[1].name
    marks = [
        {one.yarns[i].name: mark.name for i, mark in marks_of(one).items()}
        for one in (chart, after)
    ]
    assert marks[0] == marks[1]
    back = with_yarns(after, chart.yarns)
    assert (back.blocks == chart.blocks).all()
    assert back.marks == chart.marks


def test_what_holds_for_the_very_blocks_still_does() -> None:
    chart = calmed_piece()
    assert chart.uncalmed
    for yarns in (chart.yarns[::-1], (LAMP, *chart.yarns), by_blocks_falling(chart).yarns):
        after = with_yarns(chart, yarns)
        assert after.fingerprint != chart.fingerprint
        assert after.seen
        assert (after.seen.near, after.seen.far) == (1.0, 0.5)
        assert after.uncalmed
        assert (colors_of(after.uncalmed) == colors_of(chart.uncalmed)).all()


def test_without_the_yarn_that_calming_used_up_its_figures_stay() -> None:
    chart = calmed_piece()
    after = with_yarns(chart, [yarn for yarn in chart.yarns if yarn.name != "Moss 2"])
    assert after.uncalmed is None
    assert after.calmed
    assert (after.calmed.tails_before, after.calmed.tails_after) == (9, 5)


def test_a_yarn_that_is_used_is_kept() -> None:
    chart = chart_of("00 01", border=Border(1, "sc", 2))
    with pytest.raises(BadInput, match="Chalk is used in the chart"):
        with_yarns(chart, [YARNS[0], YARNS[2]])
    with pytest.raises(BadInput, match="Moss 2 is used in the chart"):
        with_yarns(chart, YARNS[:2])
    assert with_yarns(chart, YARNS[:3]).yarns == YARNS[:3]


def test_by_blocks_falling() -> None:
    chart = by_blocks_falling(chart_of("33 31"))
    assert [yarn.name for yarn in chart.yarns] == ["Tar", "Chalk", "Moss", "Moss 2"]
    assert chart.blocks.tolist() == [[0, 0], [0, 1]]


def test_a_border_from_the_shelf_keeps_what_calming_did() -> None:
    chart = calmed_piece()
    bordered = with_border(chart, BorderAsked(2, "sc", "Lamp"), (LAMP, *YARNS))
    assert bordered.border
    assert bordered.yarns[bordered.border.yarn] == LAMP
    assert bordered.as_calmed
    assert bordered.seen


def test_other_names_take_marks_and_swatches_along() -> None:
    own = (OwnLoop("Tar", 2.0, 0.1), OwnLoop("Lamp", 3.0, 0.1))
    chart = with_marks(chart_of("01 23", swatch=Swatch(2.0, 1.5, yarns=own)))
    names = ["Fern", "Moss", "Moss 2", "Pitch"]  # one takes the name that another had
    after = renamed(chart, names)
    assert [yarn.name for yarn in after.yarns] == names
    assert list(marks_of(after).values()) == list(marks_of(chart).values())
    assert set(after.marks or ()) == set(names)
    assert after.swatch
    assert [loop.name for loop in after.swatch.yarns] == ["Pitch", "Lamp"]
    with pytest.raises(BadInput):
        renamed(chart, ["Moss", "moss", "Tar", "Chalk"])
