"""The written pattern: its words, and that they give back the chart."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from makers import YARNS, chart_of, charts, end_early
from reference import read_reference

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.terms import LONG_NAMES, words
from pix2block.craft.stitches import BLOCKS
from pix2block.ground.settings import HABITS, Habit
from pix2block.pattern.pattern import gather_rows, write_rows
from pix2block.pattern.text import pattern_text
from pix2block.pattern.words import piece_line, row_lines, stitch_parts

ROW = re.compile(r"Row (\d+), (right|wrong) side, (\d+) blocks?: (.+)\.")
ROWS = re.compile(r"Rows (\d+) to (\d+), (\d+) blocks? each: (\d+) (.+)\.")
CHANGING = re.compile(
    r"Rows (\d+) to (\d+), (\d+) to (\d+) blocks?, 1 (more|fewer) in each: ([^\d].*)\."
)


def read_runs(text: str, chart: Chart) -> dict[int, list[tuple[int, str]]]:
    """The runs of every row, read from the pattern's lines alone."""
    rows: dict[int, list[tuple[int, str]]] = {}
    for line in text.splitlines():
        if not line.startswith("Row"):
            continue
        if match := ROWS.fullmatch(line):
            for n in range(int(match[1]), int(match[2]) + 1):
                rows[n] = [(int(match[4]), match[5])]
            assert match[3] == match[4]
            continue
        if match := CHANGING.fullmatch(line):
            first, last, blocks, most = (int(match[i]) for i in range(1, 5))
            step = 1 if match[5] == "more" else -1
            for n in range(first, last + 1):
                rows[n] = [(blocks + step * (n - first), match[6])]
            assert rows[last][0][0] == most
            continue
        match = ROW.fullmatch(line)
        assert match, line
        number = int(match[1])
        assert (match[2] == "right") == (number % 2 == 1)
        runs = [run.split(" ", 1) for run in match[4].split(", ")]
        rows[number] = [(int(count), name) for count, name in runs]
        assert sum(count for count, _ in rows[number]) == int(match[3])
    assert list(rows) == list(range(1, chart.last_row + 1))
    return rows


@given(charts())
def test_the_rows_give_back_the_chart(chart: Chart) -> None:
    rows = read_runs(pattern_text(amounts_of(chart)), chart)
    names = [name for n in rows for count, name in rows[n] for _ in range(count)]
    number = {yarn.name: i for i, yarn in enumerate(chart.yarns)}
    blocks = np.full_like(chart.blocks, -1)
    lines, columns, _ = chart.layout.order
    blocks[lines, columns] = [number[name] for name in names]
    assert (blocks == chart.blocks).all()


@given(charts(habit=HABITS["carry"]))
def test_bobbins_give_back_the_strands(chart: Chart) -> None:
    """Following the bobbins' numbers gives the strands; no line means the one that hangs."""
    amounts = amounts_of(chart)
    rows = write_rows(chart, amounts.plan)
    hanging: dict[tuple[int, int], list[int]] = {}
    ended: dict[tuple[int, int], int] = {}
    strands = []
    run = 0
    for row in rows:
        for use in row.bobbins:
            if use.number is None:
                strands.append([run])
            elif use.new:
                assert (use.yarn, use.number) not in hanging
                lower = [(use.yarn, k) for k in range(1, use.number)]
                borne = {key for key, last in ended.items() if last >= row.row.number - 1}
                assert (use.yarn, use.number) not in borne
                assert all(key in hanging or key in borne for key in lower)
                hanging[use.yarn, use.number] = [run]
            else:
                hanging[use.yarn, use.number].append(run)
            if row.bobbins_plain:
                assert [key for key in hanging if key[0] == use.yarn] == [(use.yarn, use.number)]
            if use.last and use.number is not None:
                strands.append(hanging.pop((use.yarn, use.number)))
                ended[use.yarn, use.number] = row.row.number
            run += 1
    assert not hanging
    assert sorted(map(tuple, strands)) == sorted(amounts.plan.paths)


def example() -> Chart:
    """A scarf of 9 x 80 blocks whose rows 11 to 16 are plain."""
    chart = chart_of("\n".join(["1" * 9] * 80))
    lines, columns, row_of = chart.layout.order
    blocks = chart.blocks.copy()
    blocks[lines[1], columns[1]] = 0  # row 2 begins in Moss
    row_9 = np.flatnonzero(row_of == 9)
    for place in (0, 1, 2, 8):
        blocks[lines[row_9[place]], columns[row_9[place]]] = 0
    return replace(chart, blocks=blocks)


def lines_by_row(chart: Chart) -> dict[int, list[str]]:
    plan = amounts_of(chart).plan
    return {
        group[0].row.number: row_lines(chart, group)
        for group in gather_rows(write_rows(chart, plan))
    }


def test_words_of_a_row() -> None:
    by_row = lines_by_row(example())
    assert piece_line(example()) == (
        "Piece: 9 x 80 blocks, rows 1 to 88, start corner bottom right, right hand, dc blocks, "
        "US terms, late turns."
    )
    assert by_row[1] == [
        "Row 1, right side, 1 block: 1 Chalk.",
        "  Corner. Full. Last loop in Moss.",
        "  Yarn: Chalk #1 new.",
    ]
    assert by_row[2][:2] == ["Row 2, wrong side, 2 blocks: 1 Moss, 1 Chalk.", "  Grow. Full."]
    assert by_row[2][2] == "  Yarn: Moss only, Chalk #1."
    assert by_row[9][0] == "Row 9, right side, 9 blocks: 3 Moss, 5 Chalk, 1 Moss."
    assert by_row[10][1] == "  Travel in Moss. Full. Marker in block 1."
    assert by_row[3][0] == "Rows 3 to 7, 3 to 7 blocks, 1 more in each: Chalk."
    assert by_row[11] == [
        "Rows 11 to 80, 9 blocks each: 9 Chalk.",
        "  Odd: right side. Grow. Stop. Remove the old marker.",
        "  Even: wrong side. Travel. Full. Marker in block 1.",
    ]


def test_early_turns_name_the_slip_stitches() -> None:
    """One column: every row is a block, odd ones stop at the bottom edge."""
    chart = chart_of("0 1 1 0".replace(" ", "\n"), turn="early", habit=HABITS["cut"])
    by_row = lines_by_row(chart)
    assert by_row[1][1] == "  Corner. Full. Last loop in Chalk."
    assert by_row[2][1] == "  Travel in Chalk. Full. Marker in block 1."
    assert by_row[3][1] == "  Grow. Stop in Moss. Last loop in Moss. Remove the old marker."
    assert by_row[4][1] == "  Travel in Moss. Full."
    late = lines_by_row(replace(chart, turn="late"))
    assert late[1][1] == "  Corner. Full."
    assert late[2][1] == "  Travel in Moss. Full. Marker in block 1."
    assert late[3][1] == "  Grow. Stop. Remove the old marker."
    assert late[4][1] == "  Travel in Chalk. Full."


def test_a_carried_bobbin_says_how_far() -> None:
    chart = chart_of("0000 0001 0000 0100", habit=Habit("own", 4, 3, 1))
    text = "\n".join(line for lines in lines_by_row(chart).values() for line in lines)
    assert re.search(r"Chalk #1 behind 1\.41", text)


@given(charts())
def test_gathered_rows_repeat(chart: Chart) -> None:
    rows = write_rows(chart, amounts_of(chart).plan)
    groups = gather_rows(rows)
    assert [row for group in groups for row in group] == rows
    for group in groups:
        if len(group) > 1:
            steps = {b.row.blocks - a.row.blocks for a, b in pairwise(group)}
            assert len(steps) == 1
            assert all(row.goes_on and row.bobbins_plain for row in group)
            for parity in (0, 1) if steps == {0} else ((0, 1),):
                of_parity = [r.row for r in group if r.row.number % 2 in np.atleast_1d(parity)]
                assert len({(r.begins, r.ends, r.marker) for r in of_parity}) <= 1


@pytest.mark.parametrize(("width", "height", "last_row", "entries"), [
    (15, 9, 23, [(1, 1), (2, 8), (9, 9), (10, 15), (16, 22), (23, 23)]),
    (9, 15, 23, [(1, 1), (2, 9), (10, 10), (11, 14), (15, 15), (16, 22), (23, 23)]),
    (5, 5, 9, [(1, 1), (2, 4), (5, 5), (6, 8), (9, 9)]),
    (5, 5, 5, [(1, 1), (2, 4), (5, 5)]),
    (1, 1, 1, [(1, 1)]),
])  # fmt: skip
def test_a_solid_piece_has_few_entries(
    width: int, height: int, last_row: int, entries: list[tuple[int, int]]
) -> None:
    blocks = end_early(np.zeros((height, width), dtype=np.int64), last_row, "bottom-right")
    chart = Chart("Solid", blocks, YARNS, last_row)
    groups = gather_rows(write_rows(chart, amounts_of(chart).plan))
    assert [(group[0].row.number, group[-1].row.number) for group in groups] == entries


def test_terms_are_the_published_ones() -> None:
    """tests/data/terms_us_uk.csv: Craft Yarn Council, Standards & Guidelines 2018, page 2."""
    table = {line["us_abbr"]: line for line in read_reference("terms_us_uk.csv")}
    uk = words("uk")
    for abbreviation, name in LONG_NAMES.items():
        uk_abbreviation = table[abbreviation]["uk_abbr"]
        assert uk[abbreviation] == ("ss" if abbreviation == "sl st" else uk_abbreviation)
        assert table[abbreviation]["us_name"] == name
        assert uk[name] == table[abbreviation]["uk_name"]
    gauge = next(r for r in read_reference("terms_us_uk.csv") if r["us_name"] == "gauge")
    assert uk["gauge"] == gauge["uk_name"]


@pytest.mark.parametrize(("block", "ch"), [("dc", 6), ("hdc", 5)])
def test_uk_pattern_never_says_a_us_stitch(block: str, ch: int) -> None:
    chart = chart_of("011 001", terms="uk", block=block, hand="left")
    text = pattern_text(amounts_of(chart))
    tall = words("uk")[BLOCKS[chart.block].stitch]
    assert f"Corner: ch {ch}; {tall} in the" in text
    assert not re.search(r"\b(hdc|sl st)\b", text)
    assert "from left to right" in text
    assert f"{tall} blocks, UK terms" in text
    # UK dc is the US sc: it may only name the gauge.
    flat = " ".join(text.split())
    assert re.findall(r"\S+ dc \S+", flat) == ["14 dc over", "treble; dc ="]
    assert "yarn round hook" in flat
    assert "yarn over" not in text


def test_parts_are_defined_once_and_nothing_else_begins_with_row() -> None:
    text = pattern_text(amounts_of(chart_of("0110 0110 0011")))
    lines = text.splitlines()
    for part in stitch_parts(chart_of("0")):
        assert len([line for line in lines if line.startswith(f"{part}: ")]) == 1
    for line in lines:
        if line.startswith("Row"):
            assert ROW.fullmatch(line) or ROWS.fullmatch(line) or CHANGING.fullmatch(line)


def test_cautions_are_printed() -> None:
    text = " ".join(pattern_text(amounts_of(chart_of("01"))).split())
    for word in ("first year", "sharp", "small children", "care label", "Rest your hands"):
        assert word in text
