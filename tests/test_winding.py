"""Tails and bobbins told to people, and kept in tables."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from makers import chart_of, charts

from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import Chart
from pix2block.craft.tails import TAIL_PLACES
from pix2block.ground.settings import HABITS, TAIL_ENDINGS, TailEnding
from pix2block.ground.units import say_numbers
from pix2block.options.table import Options
from pix2block.pattern.document import Bullets, Lengths
from pix2block.pattern.text import part_lines, pattern_text
from pix2block.pattern.winding import ENDING_WORDS, LONG, LONGER, bobbin_parts, tail_parts
from pix2block.reports.summary import summary
from pix2block.reports.tables import bobbins_csv, rows_csv, strands_csv, tails_csv, yarn_csv
from pix2block.reports.words import piece_lines
from pix2block.study.study import Study


def table(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


@given(charts(habit=HABITS["carry"]))
@settings(max_examples=25)
def test_tables_agree_with_the_others(chart: Chart) -> None:
    amounts = amounts_of(replace(chart, butterfly_m=1.0))
    tails = table(tails_csv(amounts))
    for line in tails:
        assert int(line["tails"]) == sum(int(line[place]) for place in TAIL_PLACES)
    for key, other in (("row", rows_csv(amounts)), ("yarn", yarn_csv(amounts))):
        found: dict[str, int] = {}
        for line in tails:
            found[line[key]] = found.get(line[key], 0) + int(line["tails"])
        others = {line[key]: int(line["tails"]) for line in table(other)}
        assert found == {name: count for name, count in others.items() if count}
    strands = {line["strand"]: line for line in table(strands_csv(amounts))}
    bobbins = table(bobbins_csv(amounts))
    for line in bobbins:
        for key in ("yarn", "first_row", "last_row", "metres"):
            assert line[key] == strands[line["strand"]][key]
        length = amounts.strand_metres[int(line["strand"]) - 1]
        assert line["over_hand"] == ("yes" if length > 1.0 else "no")
    alone = {name for name, line in strands.items() if line["runs"] == "1"}
    assert {line["strand"] for line in bobbins} == set(strands) - alone
    told = summary(Study(amounts.chart, options=Options(without=("proof",))))
    assert sum(told["tails_at"].values()) == told["tails"]


def example(way: TailEnding = "woven") -> Amounts:
    lines = "0110220 1021220 2200011 0011221 0101010 1100220"
    return amounts_of(chart_of(lines, habit=HABITS["pickup"], tail_ending=way, butterfly_m=1.5))


@pytest.mark.parametrize("way", TAIL_ENDINGS)
def test_the_chosen_way_of_ending_tails_is_told(way: TailEnding) -> None:
    amounts = example(way)
    text = " ".join(pattern_text(amounts).split())
    assert f"of ending tails ({ENDING_WORDS[way]}" in text
    assert ("work the next blocks over it" in text) == (way == "over")
    assert ("border's first round" in text) == (way == "border")
    assert ("knot neighbours in pairs" in text) == (way == "fringe")
    assert ("weaving in" in piece_lines(amounts)[-1]) == (way == "woven")


def entries_of(amounts: Amounts, heading: str) -> list[str]:
    lengths = [part for part in bobbin_parts(amounts) if isinstance(part, Lengths)]
    return [entry for part in lengths if part.heading == heading for entry in part.entries]


def test_bobbins_are_listed_in_the_order_of_rows_and_short_lengths_summed_up() -> None:
    amounts = example()
    bobbins = amounts.bobbins
    wound = [bobbin for bobbin in bobbins if bobbin.number is not None]
    entries = entries_of(amounts, "In the order of rows")
    rows = [int(entry.removeprefix("before row ").partition(":")[0]) for entry in entries]
    assert rows == sorted({bobbin.first_row for bobbin in wound})
    each = [one for entry in entries for one in entry.partition(": ")[2].split("; ")]
    assert len(each) == len(wound)
    longer = [one for one in each if one.endswith(LONG)]
    assert len(longer) == sum(bobbin.over_hand for bobbin in wound) > 0
    alone = [
        int(found[1])
        for entry in entries_of(amounts, "For one run alone")
        if (found := re.search(r", (\d+) lengths?: ", entry))
    ]
    assert sum(alone) == len(bobbins) - len(wound) > 0
    assert f"{len(wound)} bobbins to wind, {len(longer)} longer" in piece_lines(amounts)[3]


def test_a_bobbin_longer_than_a_skein_is_worked_from_skeins() -> None:
    amounts = example()
    yarns = tuple(replace(yarn, metres=1.0) for yarn in amounts.chart.yarns)
    amounts = amounts_of(replace(amounts.chart, yarns=yarns))
    first = bobbin_parts(amounts)[0]
    assert isinstance(first, Bullets)
    assert "work from the skein" in first.texts[-1]
    longer = sum(entry.count(LONGER) for entry in entries_of(amounts, "In the order of rows"))
    wound = [bobbin for bobbin in amounts.bobbins if bobbin.number is not None]
    assert 0 < longer == sum(bobbin.metres > 1.0 for bobbin in wound)
    assert "rom skeins" not in pattern_text(example())


@given(charts(habit=HABITS["carry"]))
@settings(max_examples=25)
def test_no_line_looks_like_a_row_or_is_too_wide(chart: Chart) -> None:
    amounts = amounts_of(chart)
    parts = [*tail_parts(amounts), *bobbin_parts(amounts)]
    for line in (line for part in parts for line in part_lines(part)):
        assert not line.lower().startswith("row")
        assert len(line) <= 78


def test_the_busiest_rows_are_named() -> None:
    amounts = example()
    hanging = amounts.plan.attached_by_row
    most = [i + 1 for i, n in enumerate(hanging.tolist()) if n == hanging.max()]
    *_, bullets = tail_parts(amounts)
    assert isinstance(bullets, Bullets)
    assert f"{hanging.max()} yarns hanging: {say_numbers('row', most)}" in bullets.texts


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ([7], "row 7"),
        ([3, 5], "rows 3 and 5"),
        ([3, 5, 9, 10, 11, 12], "rows 3, 5 and 9 to 12"),
        ([1, 2], "rows 1 to 2"),
        ([1, 3, 5, 7], "rows 1, 3 and 2 more places"),
    ],
)
def test_numbers_in_words(numbers: list[int], words: str) -> None:
    assert say_numbers("row", numbers, most=6 if len(numbers) != 4 else 2) == words
