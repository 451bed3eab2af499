"""The shopping list: needed, on hand, to buy, price, joins."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from makers import YARNS, chart_of, charts

from pix2block.amounts.money import Money, all_hours, costs_of
from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Border, Chart
from pix2block.ground.settings import HABITS
from pix2block.ground.units import say_metres
from pix2block.pattern.text import pattern_text
from pix2block.pattern.yarn_words import join_rows, join_sentences
from pix2block.reports.shopping import shopping_text
from pix2block.reports.words import piece_lines, skeins_words
from pix2block.yarn.yarn import Yarn

STOCK = (
    Yarn("Moss", "#5c6b3c", metres=3.0, grams=1.5, skeins=1, price=2.5, lot="A1"),
    Yarn("Chalk", "#f1ede2", metres=200.0, grams=100.0, skeins=1, price=6.0),
    Yarn("Tar", "#222222"),
)


def stocked(text: str, reserve: float = 0.0) -> Chart:
    return replace(chart_of(text), yarns=STOCK, reserve=reserve)


@given(charts())
def test_what_to_buy_covers_the_most(chart: Chart) -> None:
    for reserve in (0.0, 10.0):
        amounts = amounts_of(replace(chart, reserve=reserve))
        for yarn, of in zip(chart.yarns, amounts.yarns, strict=True):
            assert of.metres_high == pytest.approx(of.metres * 1.30 * (1 + reserve / 100))
            assert of.metres_low == pytest.approx(of.metres * 0.75)
            if yarn.metres is None:
                assert of.to_buy is None
                continue
            assert of.to_buy is not None
            stock = (yarn.skeins or 0) * yarn.metres
            assert stock + of.to_buy * yarn.metres >= of.metres_high * (1 - 1e-9)
            if of.to_buy:
                assert stock + (of.to_buy - 1) * yarn.metres < of.metres_high
            if yarn.skeins is not None:
                assert of.short_by is not None
                assert of.leftover is not None
                assert of.short_by - of.leftover == pytest.approx(of.metres_high - stock)
                assert min(of.short_by, of.leftover) == 0


def test_the_list_by_hand() -> None:
    amounts = amounts_of(stocked("000 011 002"))
    moss, chalk, tar = amounts.yarns
    assert moss.to_buy == math.ceil((moss.metres_high - 3) / 3)
    assert moss.cost == 2.5 * moss.to_buy > 0
    assert chalk.to_buy == 0
    text = shopping_text(amounts, costs_of(amounts, Money("EUR", 10.0)))
    assert f"to buy   {moss.to_buy} skein" in text
    assert f"of dye lot A1 if it is to be had: {moss.cost:.2f} EUR" in text
    assert "to buy   nothing; " in text
    assert "on hand  not told" in text
    assert "m (" in text
    assert "oz)" in text
    costs = costs_of(amounts, Money("EUR", 10.0))
    assert costs.unpriced == ("Tar",)
    assert costs.yarn == pytest.approx(2.5 * moss.metres / 3 + 6 * chalk.metres / 200)
    assert costs.work == pytest.approx(10 * (amounts.hours + amounts.weave_in_hours))
    assert costs.piece == pytest.approx((costs.yarn or 0) + (costs.work or 0))
    around = amounts_of(replace(amounts.chart, border=Border(1, "sc", 1)))
    assert around.border is not None
    assert all_hours(around) == pytest.approx(all_hours(amounts) + around.border.hours)
    plain = costs_of(amounts)
    assert plain.work is plain.piece is None
    bare = costs_of(amounts_of(chart_of("1 1")), Money("EUR", 9.0))  # neither price nor metres
    assert bare.piece is bare.skeins_to_buy is bare.to_buy is bare.yarn is None
    assert costs.skeins_to_buy == moss.to_buy
    assert costs.to_buy == moss.cost
    assert tar.to_buy is None


def test_a_reserve_is_said_and_counted() -> None:
    plain, more = (amounts_of(stocked("000 011 002", r)) for r in (0.0, 50.0))
    assert more.yarns[0].metres == plain.yarns[0].metres
    assert more.yarns[0].metres_high == pytest.approx(1.5 * plain.yarns[0].metres_high)
    assert (more.yarns[0].to_buy or 0) > (plain.yarns[0].to_buy or 0)
    assert "50 % of reserve in the most" in shopping_text(more, costs_of(more))


@given(charts())
def test_joins_are_placed_where_a_walk_along_the_yarn_finds_them(chart: Chart) -> None:
    """Piece after piece off a skein of two metres; each end strictly inside a strand is a join."""
    chart = replace(chart, yarns=tuple(replace(y, metres=2.0) for y in YARNS))
    amounts = amounts_of(chart)
    for number in range(len(chart.yarns)):
        used, rows = 0.0, []
        for path in amounts.plan.paths:
            if chart.runs.color[path[0]] != number:
                continue
            end = used + float(amounts.piece_cm[list(path)].sum())
            for run in path:
                start, used = used, used + float(amounts.piece_cm[run])
                ends = range(math.floor(start / 200) + 1, math.floor(used / 200) + 1)
                inside = [k for k in ends if not math.isclose(200 * k, end, rel_tol=1e-12)]
                rows += [int(chart.runs.row[run])] * len(inside)
        assert sorted(join_rows(amounts, number)) == sorted(rows)


def test_joins_are_told_in_the_pattern_and_the_list() -> None:
    chart = replace(chart_of("0" * 8 + " " + "0" * 8), yarns=STOCK)
    amounts = amounts_of(chart)
    (sentence,) = join_sentences(amounts)
    rows = join_rows(amounts, 0)
    assert rows
    named = f"a skein of Moss ends about row{'s' if len(rows) > 1 else ''} {rows[0]}"
    assert sentence.startswith(named)
    assert named in " ".join(pattern_text(amounts).split())
    assert named[2:] in shopping_text(amounts, costs_of(amounts))
    assert join_sentences(amounts_of(replace(chart, yarns=(Yarn("A", "#000000"),)))) == []


@pytest.mark.parametrize(("lines", "metres", "advice"), [
    ("0000 0000 0000", 2.0, "join the next one there"),
    ("0101 1010 0101 1010", 2.5, "never start a bobbin that the skein cannot finish; what is"),
    ("0000001 0000000 0000000 1000000 0010001", 5.5, "join the next one there in a bobbin"),
])  # fmt: skip
def test_where_skeins_end_the_advice_goes_by_the_bobbins(
    lines: str, metres: float, advice: str
) -> None:
    chart = chart_of(lines, habit=HABITS["cut"])
    yarns = (Yarn("Moss", "#5c6b3c", metres=metres), Yarn("Chalk", "#f1ede2"))
    (sentence,) = join_sentences(amounts_of(replace(chart, yarns=yarns)))
    assert sentence.partition(": ")[2].startswith(advice)


@pytest.mark.parametrize(
    ("safe", "likely", "words"),
    [
        (7, 4.2, "5 skeins likely, 7 to be safe"),
        (5, 4.2, "5 skeins"),
        (1, 0.02, "1 skein"),
        (2, 0.9, "1 skein likely, 2 to be safe"),
        (4, 4.0, "4 skeins"),
    ],
)
def test_skeins_are_told_as_whole_ones(safe: int, likely: float, words: str) -> None:
    assert skeins_words(safe, likely) == words


def test_what_is_on_hand_stands_beside_what_is_needed() -> None:
    yarn = Yarn("Moss", "#5c6b3c", metres=50.0, grams=25.0, skeins=2.0)
    amounts = amounts_of(replace(chart_of(" ".join(["0" * 16] * 10)), yarns=(yarn,)))
    (amount,) = amounts.yarns
    (line,) = (line for line in piece_lines(amounts) if line.startswith(f"  {yarn.name}"))
    assert amount.short_by
    assert "likely" in line
    assert line.endswith(f"you have 2: {say_metres(amount.short_by)} short")
