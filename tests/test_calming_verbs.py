"""What is calmed anew by hand, on a plain piece with a speck in it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from pix2block.chart.chart import Chart
from pix2block.chart.made import made_up_to
from pix2block.chart.mend import Mend
from pix2block.chart.source import Source
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import rgb_array, to_lab
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import MOST_CALM
from pix2block.mending.apply import apply_mends
from pix2block.mending.asked import Given
from pix2block.mending.calming_verbs import _by_hand, _outlines, calm_anew, calm_rest, percent_of
from pix2block.yarn.yarn import Yarn

FIELD, SPECK = "#808080", "#828282"


def apart(one: str, other: str) -> float:
    first, second = to_lab(rgb_array([one, other]))
    return float(ciede2000(first[None], second[None])[0])


def speckled(speck: str = SPECK, seen: str = "#818181", far: str = FIELD, field: int = 0) -> Chart:
    """9 x 9 blocks of one yarn, the middle one of another. seen: the middle of the picture; far:
    what it is like in the last column, away from it; field: the number of its yarn."""
    blocks = np.full((9, 9), field)
    blocks[4, 4] = 1 - field
    yarns = [Yarn("Field", FIELD), Yarn("Speck", speck)]
    means = np.full((9, 9, 3), rgb_array([FIELD])[0], dtype=np.uint8)
    means[4, 4], means[:, 8] = rgb_array([seen, far])
    pair = (yarns[0], yarns[1]) if field == 0 else (yarns[1], yarns[0])
    return Chart("Speck", blocks, pair, 17, source=Source("speck.png", "0" * 64, means))


def touched(line: int = 4, column: int = 2) -> Given:
    """A block beside the speck was touched."""
    at = np.zeros((9, 9), dtype=bool)
    at[line, column] = True
    return Given(touched=at)


def stays(chart: Chart, percent: str, given: Given | None = None) -> bool:
    after = calm_anew(chart, percent, given or touched()).chart
    assert (after.blocks == chart.blocks).sum() >= 80  # of the speck alone there is a question
    return bool((after.blocks == chart.blocks).all())


@pytest.mark.parametrize("field", [0, 1])
def test_a_speck_goes_for_a_little_error_and_no_more(field: int) -> None:
    own, other = apart(SPECK, "#818181"), apart(FIELD, "#818181")
    growth = 100 * (other / own - 1)
    chart = speckled(field=field)
    assert stays(chart, "0")
    assert calm_anew(chart, "90", touched()).blocks == 1
    assert not stays(chart, f"{growth + 20:.1f}")
    dear = speckled("#868686", "#858585", field=field)  # a third of the way from its yarn
    assert stays(dear, "40")
    assert stays(speckled("#868686", "#858585", far="#505050", field=field), "40")  # counts not


def test_what_is_farther_than_three_blocks_stays() -> None:
    assert not stays(speckled(), "90", touched(4, 1))
    assert stays(speckled(), "90", touched(4, 0))
    for line, column in ((1, 4), (7, 4), (4, 7), (7, 7), (1, 1)):
        assert not stays(speckled(), "90", touched(line, column))
    for line, column in ((0, 4), (8, 4), (4, 8)):
        assert stays(speckled(), "90", touched(line, column))
    assert calm_anew(speckled(), "5", touched()).words == (
        "Calmed by 5 % what was touched, and 3 blocks around"
    )


def test_yarns_of_one_colour_are_not_taken_for_each_other() -> None:
    twins = speckled(FIELD, FIELD, far="#505050", field=1)
    assert stays(replace(twins, blocks=np.full((9, 9), 1)), "0", touched(4, 6))
    assert stays(replace(twins, blocks=np.full((9, 9), 1)), "20", touched(4, 6))


@pytest.mark.parametrize(
    ("speck", "seen", "kept"),
    [
        *(("#9f9f9f", "#c3c3c3", True), ("#9d9d9d", "#c3c3c3", False)),
        *(("#9f9f9f", "#c0c0c0", False), ("#c3c3c3", "#c3c3c3", True)),
    ],
)
def test_an_outline_is_one_in_the_picture_and_in_the_chart(
    speck: str, seen: str, kept: bool
) -> None:
    """It has 20 there, and 10 here."""
    assert (10 <= apart(FIELD, speck) < 11) or speck != "#9f9f9f"
    assert (20 <= apart(FIELD, seen) < 21) == (seen == "#c3c3c3")
    chart = speckled(speck, seen)
    assert chart.source
    means = chart.source.means.copy()
    means[1:8, 0] = rgb_array(["#707070"])[0]  # error enough to be traded
    chart = replace(chart, source=replace(chart.source, means=means))
    assert stays(chart, f"{MOST_CALM:g}") == kept


def test_an_outline_has_two_sides() -> None:
    colors = rgb_array(["#202020", "#202020", "#f0f0f0", "#f0f0f0"])
    for across in (colors[None], colors[:, None]):
        assert _outlines(across, across).ravel().tolist() == [False, True, True, False]


def test_a_shield_touches_no_block_and_holds() -> None:
    after = apply_mends(speckled(), [("shield", "column 5, line 5")]).after
    assert after.mends[0].cost["blocks"] == 0
    assert stays(after, "90")


def test_percents_from_none_to_the_most() -> None:
    assert percent_of("0") == 0
    assert percent_of(f" {MOST_CALM:g} %") == MOST_CALM
    for words in ("-1", "-0.5", f"{MOST_CALM + 0.5}", "much", ""):
        with pytest.raises(BadInput, match="how much more colour error there may be, from 0 to"):
            percent_of(words)


# The rest of a piece


def line(mend: str, placed: Any = (), **before: Any) -> Mend:
    return Mend(mend, "", 1, "", {}, before, placed)


def test_what_a_hand_touched_and_wrote_is_in_the_journal() -> None:
    chart = speckled()

    def by_hand(*lines: Mend) -> list[list[tuple[int, ...]]]:
        masks = _by_hand(replace(chart, mends=lines))
        return [[tuple(at) for at in np.argwhere(mask).tolist()] for mask in masks]

    painted = line("paint", blocks=[[1, 2, 0], [8, 0, 0]])
    assert by_hand(painted) == [[(1, 2), (8, 0)], []]
    text = line("text", ((0, 3), (2, 9), (9, 2), (2, 8)), blocks=[[0, 3, 1]])
    assert by_hand(text, painted) == [[(0, 3), (1, 2), (2, 8), (8, 0)], [(0, 3), (2, 8)]]
    assert by_hand(line("calm", blocks=[[3, 3, 1]]), line("rest", blocks=[[3, 4, 1]])) == [[], []]
    both = _by_hand(replace(chart, mends=(line("rotate", all_blocks=[]),)))
    assert [mask.all() for mask in both] == [True, False]


def test_the_rest_is_calmed_where_a_row_is_left() -> None:
    chart = speckled()
    after = calm_rest(made_up_to(chart, 3), 90, None)
    assert (after.blocks, after.words) == (1, "Rows from 4 on calmed by 90 %")
    assert calm_rest(chart, 90, 1).words == "Rows from 1 on calmed by 90 %, at most 1 yarn hanging"
    with pytest.raises(BadInput, match="no row is left"):
        calm_rest(made_up_to(chart, 17), 90, None)
    with pytest.raises(BadInput, match="no picture is behind the chart"):
        calm_rest(replace(chart, source=None), 90, None)
    begun = speckled(far="#707070")
    assert calm_rest(made_up_to(begun, 8), 90, None).blocks == 1
    assert calm_rest(made_up_to(begun, 9), 90, None).blocks == 0
    written = replace(chart, mends=(line("text", ((4, 4),)),))
    assert calm_rest(written, 90, None).blocks == 0
