"""Where yarns end, and what the last corner takes: small charts, by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from makers import YARNS, chart_of

from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.stripes.yarn_ends import last_corner_m, out_in_row, yarn_ends

LOOP_CM = 5.25 * 0.62


def with_stock(text: str, *on_hand: float | None) -> Amounts:
    """Amounts of a chart whose first yarns are on hand in one skein of so many metres."""
    yarns = tuple(
        replace(yarn, metres=metres, skeins=1.0 if metres else None, held=1)
        for yarn, metres in zip(YARNS, on_hand, strict=False)
    )
    return amounts_of(replace(chart_of(text), yarns=yarns))


def test_yarns_come_by_the_row_in_which_they_end() -> None:
    """Three rows of Chalk, then two of Moss; Moss 2 is not used."""
    amounts = with_stock("011 111 110"[::-1], 90.0, None, 5.0)
    moss, chalk, other = amounts.yarns
    assert not other.blocks
    ends = yarn_ends(amounts)
    rows = {end.yarn: end.last_row for end in ends}
    colors, numbers = amounts.chart.runs.color, amounts.chart.runs.row
    assert rows == {yarn: int(numbers[colors == yarn].max()) for yarn in (0, 1)}
    assert [end.last_row for end in ends] == sorted(rows.values())
    of = {end.yarn: end for end in ends}
    assert of[0].left_m == pytest.approx(90 - moss.metres_high)
    assert of[0].left_likely_m == pytest.approx(90 - moss.metres)
    assert of[1].on_hand_m is of[1].left_m is of[1].left_likely_m is of[1].out_in_row is None
    assert chalk.metres


@pytest.mark.parametrize("share", [0.05, 0.3, 0.5, 0.8, 0.99])
def test_a_yarn_runs_out_in_the_row_that_its_loops_reach(share: float) -> None:
    high = with_stock("000 000 000", 900.0).yarns[0].metres_high
    amounts = with_stock("000 000 000", high * share)
    loops, so_far = amounts.run_loops.tolist(), 0
    total = amounts.yarns[0].metres_high
    expected = next(
        row
        for row, of_row in enumerate(loops, 1)
        if (so_far := so_far + of_row) / sum(loops) * total > high * share
    )
    assert out_in_row(amounts, 0) == expected


def test_a_yarn_that_reaches_runs_out_nowhere() -> None:
    high = with_stock("000 000 000", 900.0).yarns[0].metres_high
    assert out_in_row(with_stock("000 000 000", high), 0) is None
    assert out_in_row(with_stock("000 000 000", high + 1), 0) is None
    assert out_in_row(with_stock("000 000 000", None), 0) is None


def test_the_last_corner_takes_its_rows_loops() -> None:
    """Rows 4 and 5 of 3 x 3 shrink; Chalk lies in the first three alone."""
    amounts = with_stock("001 011 111", 90.0, 90.0)
    last = amounts.chart.runs.row >= 4
    moss = amounts.run_loops[last & (amounts.chart.runs.color == 0)].sum()
    assert last_corner_m(amounts) == {0: pytest.approx(moss * LOOP_CM * 1.30 / 100)}
