"""Tails and bobbins told to people, and kept in tables."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from makers import chart_of, charts

from pix2block.amounts.bobbins import bobbins_of
from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import Chart
from pix2block.craft.tails import TAIL_PLACES
from pix2block.ground.settings import HABITS, TAIL_ENDINGS, TailEnding
from pix2block.ground.units import say_numbers
from pix2block.pages.summary import summary, summary_lines
from pix2block.pages.tables import bobbins_csv, rows_csv, strands_csv, tails_csv, yarn_csv
from pix2block.pattern.text import pattern_text
from pix2block.pattern.winding import ENDING_WORDS, bobbin_lines, tail_lines


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
    told = summary(amounts, ())
    assert sum(told["tails_at"].values()) == told["tails"]


def example(way: TailEnding = "woven") -> Amounts:
    lines = "0110220 1021220 2200011 0011221 0101010 1100220"
    return amounts_of(chart_of(lines, habit=HABITS["pickup"], tail_ending=way, butterfly_m=1.5))


@pytest.mark.parametrize("way", TAIL_ENDINGS)
def test_all_ways_are_tabled_and_the_chosen_one_is_marked(way: TailEnding) -> None:
    amounts = example(way)
    lines = tail_lines(amounts)
    for words in ENDING_WORDS.values():
        assert len([line for line in lines if line[2:].startswith(words)]) == 1
    (marked,) = [line for line in lines if line.startswith("* ") and "chosen" not in line]
    assert ENDING_WORDS[way] in marked
    assert len(table_of(lines)) == 4
    text = " ".join(pattern_text(amounts).split())
    assert f"of ending tails ({ENDING_WORDS[way]}" in text
    assert ("work the next blocks over it" in text) == (way == "over")
    assert ("border's first round" in text) == (way == "border")
    assert ("knot neighbours in pairs" in text) == (way == "fringe")
    assert ("weaving in" in summary_lines(amounts)[-1]) == (way == "woven")


def table_of(lines: list[str]) -> list[str]:
    """The yarns' lines of the table of places, the sum last."""
    end = lines.index("")
    return lines[1:end]


def test_the_table_of_places_adds_up() -> None:
    amounts = example()
    rows = [[int(n) for n in line[:54].split()] for line in table_of(tail_lines(amounts))]
    assert [sum(column) for column in zip(*rows[:-1], strict=True)] == rows[-1]
    assert rows[-1][-1] == amounts.plan.tails
    for row in rows:
        assert sum(row[:-1]) == row[-1]


def test_bobbins_are_listed_and_short_lengths_summed_up() -> None:
    amounts = example()
    lines = bobbin_lines(amounts)
    bobbins = bobbins_of(amounts)
    wound = [bobbin for bobbin in bobbins if bobbin.number is not None]
    assert len([line for line in lines if re.match(r"    #\d+, rows? \d+", line)]) == len(wound)
    longer = [line for line in lines if line.endswith(", longer than a hand's butterfly")]
    assert len(longer) == sum(bobbin.over_hand for bobbin in wound) > 0
    alone = [
        int(m[1]) for line in lines if (m := re.match(r"    (\d+) lengths? for one run", line))
    ]
    assert sum(alone) == len(bobbins) - len(wound) > 0
    assert f"{len(wound)} bobbins to wind, {len(longer)} longer" in summary_lines(amounts)[3]


@given(charts(habit=HABITS["carry"]))
@settings(max_examples=25)
def test_no_line_looks_like_a_row_or_is_too_wide(chart: Chart) -> None:
    amounts = amounts_of(chart)
    for line in [*tail_lines(amounts), *bobbin_lines(amounts)]:
        assert not line.lower().startswith("row")
        assert len(line) <= 78


def test_the_busiest_rows_are_named() -> None:
    amounts = example()
    hanging = amounts.plan.attached_by_row
    most = [i + 1 for i, n in enumerate(hanging.tolist()) if n == hanging.max()]
    assert f"- {hanging.max()} yarns hanging: {say_numbers('row', most)}" in tail_lines(amounts)


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
