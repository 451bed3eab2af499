"""Rows that are made stay: their words, blocks, strands and bobbins, whatever is done later."""

from __future__ import annotations

import csv
import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from makers import chart_of, charts, habits, random_blocks
from small import small_sample

from pix2block.amounts.rip_back import Rejoin, rip_back
from pix2block.amounts.run_out import forecast
from pix2block.amounts.under_way import Done
from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.done import MadeRows
from pix2block.chart.made import made_up_to
from pix2block.chart.reading import read_chart, write_chart
from pix2block.chart.source import Source
from pix2block.craft.strands import allowed_links
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import HABITS, Habit, Turn
from pix2block.mending.apply import apply_mends
from pix2block.mending.back import undo
from pix2block.options.table import Options
from pix2block.pattern.pattern import write_rows
from pix2block.pattern.text import pattern_text
from pix2block.pattern.words import row_lines
from pix2block.recipes.again import chart_again
from pix2block.recipes.from_file import check_chart, open_chart
from pix2block.recipes.outputs import save
from pix2block.reports.forecast import rip_back_lines
from pix2block.reports.tables import bobbins_csv, rows_csv, strands_csv, tails_csv
from pix2block.yarn.yarn import Yarn

_LAST_LOOP = re.compile(r" Last loop in [^.]+\.| in [^.]+(?=\.)")


def entries_of(chart: Chart) -> list[tuple[int, str]]:
    """The last row of each entry of a pattern, and its lines."""
    rows = (
        pattern_text(amounts_of(chart)).split("\nTHE WORK, ROW BY ROW\n")[1].split("\n\nTAILS")[0]
    )
    found = re.split(r"\n(?=Rows? \d)", rows)[1:]
    named = [re.match(r"Rows? (\d+)(?: to (\d+))?", entry) for entry in found]
    return [(int(m[2] or m[1]), entry) for m, entry in zip(named, found, strict=True) if m]


def words_of_rows(chart: Chart) -> list[str]:
    """The lines of each row; those of rows that are gathered as each alone would have them."""
    told: list[str] = []
    for last, entry in entries_of(chart):
        if not entry.startswith("Rows"):
            told.append(entry)
            continue
        first, *ways = entry.split("\n")
        yarn = first.rpartition(": ")[2].lstrip("0123456789 ")
        for n in range(len(told) + 1, last + 1):
            blocks = chart.layout.blocks_in(n)
            (way,) = (line for line in ways if line.startswith("  Odd" if n % 2 else "  Even"))
            side, _, ends = way.partition(": ")[2].partition(". ")
            said = f"{blocks} block{'' if blocks == 1 else 's'}"
            told.append(f"Row {n}, {side}, {said}: {blocks} {yarn}\n  {ends}")
    assert len(told) == chart.last_row
    return told


def done_of(chart: Chart) -> MadeRows:
    assert chart.done is not None
    return chart.done


def kept(data: bytes) -> Chart:
    return read_chart(data, "chart.json")[0]


@st.composite
def begun(draw: st.DrawFn, /, most_side: int = 7, **settings: Any) -> Chart:
    """Any small chart of which some rows are made."""
    chart = draw(charts(most_side, habit=draw(habits), **settings))
    row = draw(st.integers(1, chart.last_row))
    run = draw(st.none() | st.integers(1, len(chart.runs.of_row(row))))
    return made_up_to(chart, row, run)


@settings(max_examples=15)
@given(begun(), habits, st.sampled_from(["early", "late"]), st.integers(0, 2**32 - 1))
def test_rows_that_are_made_stay_whatever_comes_later(
    chart: Chart, habit: Habit, turn: Turn, seed: int
) -> None:
    """Another habit and turn, other blocks, more rows made: lines of the rows before the last that
    is made stay, byte for byte, and of that one all but what leads to the next."""
    rng = np.random.default_rng(seed)
    for _ in range(3):
        words, done = words_of_rows(chart), done_of(chart)
        before = [entry for last, entry in entries_of(chart) if last < done.row]
        row, strands = done.row, [(one.yarn, one.number, one.path) for one in done.strands]
        other = random_blocks(rng, chart.width, chart.height, len(chart.yarns))
        stays = chart.made | (chart.blocks < 0) | (chart.layout.row_numbers() <= row)
        chart = replace(chart, habit=habit, turn=turn, blocks=np.where(stays, chart.blocks, other))
        chart = kept(write_chart(chart))
        assert before == [entry for last, entry in entries_of(chart) if last < row][: len(before)]
        after = words_of_rows(chart)
        assert after[: row - 1] == words[: row - 1]
        if done.run is None:
            assert _LAST_LOOP.sub("", after[row - 1]) == _LAST_LOOP.sub("", words[row - 1])
        assert [(one.yarn, one.number, one.path) for one in done_of(chart).strands] == strands
        proof = check_chart(chart)
        assert proof.holds, proof.faults
        row = int(rng.integers(row, chart.last_row + 1))
        chart = made_up_to(chart, row)
        turn = "late" if turn == "early" else "early"


@given(begun(), habits)
def test_counts_agree_across_files(chart: Chart, habit: Habit) -> None:
    amounts = amounts_of(replace(chart, habit=habit))
    rows = list(csv.DictReader(rows_csv(amounts).splitlines()))
    strands = list(csv.DictReader(strands_csv(amounts).splitlines()))
    tails = list(csv.DictReader(tails_csv(amounts).splitlines()))
    assert sum(int(row["tails"]) for row in rows) == 2 * len(strands) == amounts.plan.tails
    for row in rows:
        n = int(row["row"])
        ends = [(int(one["first_row"]), int(one["last_row"])) for one in strands]
        assert int(row["tails"]) == sum((first == n) + (last == n) for first, last in ends)
        assert int(row["attached"]) == sum(first <= n <= last for first, last in ends)
        assert int(row["tails"]) == sum(
            int(one["tails"]) for one in tails if one["row"] == row["row"]
        )
    for bobbin in csv.DictReader(bobbins_csv(amounts).splitlines()):
        of = strands[int(bobbin["strand"]) - 1]
        assert (bobbin["first_row"], bobbin["last_row"]) == (of["first_row"], of["last_row"])
    assert sum(yarn.tails for yarn in amounts.yarns) == amounts.plan.tails


@given(begun())
def test_a_plan_that_stays_is_as_good_as_before(chart: Chart) -> None:
    """Made as planned and planned anew by the same habit, the rest takes as many strands."""
    free = replace(chart, done=None)
    assert chart.plan.tails == free.plan.tails
    assert chart.plan.float_squares.sum() == free.plan.float_squares.sum()
    row = done_of(chart).row
    one, other = (
        [row_lines(of, [row]) for row in write_rows(of, of.plan)[:row]] for of in (chart, free)
    )
    assert one == other


def fewest_strands(chart: Chart) -> int:
    """By trying every way on: only for a few runs that are left."""
    assert chart.begun is not None
    u, v, _ = allowed_links(chart.runs, chart.layout, chart.habit)
    worked = chart.begun.runs
    ends = {}
    for strand in done_of(chart).strands:
        row, number = map(int, strand.path.split()[-1].split("."))
        ends[int(chart.runs.row_starts[row - 1]) + number - 1] = strand.hangs
    links = [
        (int(a), int(b))
        for a, b in zip(u, v, strict=True)
        if b >= worked and (a >= worked or ends.get(int(a), False))
    ]

    def most(i: int, used: frozenset[tuple[str, int]]) -> int:
        if i == len(links):
            return 0
        a, b = links[i]
        best = most(i + 1, used)
        if ("u", a) not in used and ("v", b) not in used:
            best = max(best, 1 + most(i + 1, used | {("u", a), ("v", b)}))
        return best

    return len(done_of(chart).strands) + len(chart.runs) - worked - most(0, frozenset())


@given(begun(most_side=4))
def test_the_rest_takes_the_fewest_strands(chart: Chart) -> None:
    chart = replace(chart, habit=HABITS["carry"])
    assert chart.begun is not None
    if len(chart.runs) - chart.begun.runs <= 6:
        assert chart.plan.strands == fewest_strands(chart)


# Mends


def solid_and_spots() -> Chart:
    """Rows of Chalk with spots of Moss: gathered rows, bobbins that hang."""
    blocks = np.ones((12, 10), dtype=np.int64)
    blocks[4:6, 3:8] = 0
    return replace(chart_of("\n".join("".join(map(str, line)) for line in blocks.tolist())))


def test_a_mend_that_reaches_a_finished_row_is_refused_whole() -> None:
    chart = made_up_to(solid_and_spots(), 8)
    for mend in (
        ("paint", "row 8=Moss"),
        ("paint", "column 10, line 12=Chalk"),  # of that yarn already
        ("paint", "rows 1 to 21=Moss"),
        ("fill", "row 9.1=Moss"),
        ("exchange", "Chalk=Moss in rows 8 on"),
        ("swap", "Chalk=Moss in line 12"),
    ):
        with pytest.raises(BadInput, match=r"it reaches row \d, and rows 1 to 8 are made"):
            apply_mends(chart, [("paint", "row 20=Tar"), mend])
    for name, value in (
        ("mirror", ""),
        ("rotate", "half"),
        ("cut", "0,0,5,5"),
        ("frame", "1 Moss"),
        ("extend", "top 1 Moss"),
        ("repeat", "2x1"),
    ):
        with pytest.raises(BadInput, match="rows 1 to 8 are made, and the piece keeps its shape"):
            apply_mends(chart, [(name, value)])


@pytest.mark.parametrize(
    ("row", "run", "said"),
    [
        (1, None, "row 1 is made"),
        (1, 1, "1 run of row 1 is made"),
        (2, 1, "row 1 and 1 run of row 2 are made"),
        (4, None, "rows 1 to 4 are made"),
    ],
)
def test_what_is_made_is_said(row: int, run: int | None, said: str) -> None:
    assert MadeRows(row, run, ()).are_made == said


def test_mends_without_a_place_hold_from_the_next_row_on() -> None:
    chart = made_up_to(solid_and_spots(), 8)
    rows = chart.layout.row_numbers()
    for mend in (("exchange", "Chalk=Tar"), ("swap", "Chalk=Moss"), ("drop", "Chalk")):
        done = apply_mends(chart, [mend])
        assert " from row 9 on. " in done.lines[0]
        after = done.after
        names, other = ([yarn.name for yarn in of.yarns] for of in (chart, after))
        assert "Chalk" in other
        for line, column in np.argwhere(rows <= 8):
            assert names[chart.blocks[line, column]] == other[after.blocks[line, column]]
        assert (after.blocks != chart.blocks)[rows > 8].any()
        assert words_of_rows(after)[:7] == words_of_rows(chart)[:7]
        assert check_chart(after).holds
        assert write_chart(undo(after, 1).after) == write_chart(chart)


def test_a_new_name_is_all_that_changes_in_finished_lines() -> None:
    chart = made_up_to(solid_and_spots(), 8)
    after = apply_mends(chart, [("rename", "Chalk=Salt"), ("drop", "Moss 2")]).after
    assert [line.replace("Salt", "Chalk") for line in words_of_rows(after)] == words_of_rows(chart)
    assert words_of_rows(after) != words_of_rows(chart)


def test_taking_back_what_touched_finished_rows_is_refused() -> None:
    paint = [("paint", "row 5=Tar"), ("paint", "row 12=Tar")]
    mended = apply_mends(solid_and_spots(), paint).after
    chart = made_up_to(mended, 8)
    back = undo(chart, 1).after
    assert words_of_rows(back)[:8] == words_of_rows(chart)[:8]
    for which in (2, "line:1"):
        with pytest.raises(BadInput, match="line 1 of the journal stays: rows 1 to 8 are made"):
            undo(chart, which)
    later = undo(made_up_to(mended, 4), 2).after
    assert (later.blocks == solid_and_spots().blocks).all()


def test_finished_blocks_that_a_hand_changed_are_refused() -> None:
    chart = made_up_to(solid_and_spots(), 8)
    entry = json.loads(write_chart(chart))
    entry["blocks"][11][9] = 0
    with pytest.raises(BadInput, match="rows 1 to 8 are made and stay as they are"):
        kept(json.dumps(entry).encode())
    del entry["done"]["of"]
    with pytest.raises(BadInput, match=r"works run 1\.1, which is none of its yarn that is made"):
        kept(json.dumps(entry).encode())


# Gathered rows, and bobbins that are cut


def test_gathered_rows_end_where_rows_are_made() -> None:
    chart = made_up_to(made_up_to(chart_of("\n".join(["1" * 9] * 15)), 4), 12)
    firsts = [entry.split(",")[0].split(":")[0] for _, entry in entries_of(chart)]
    assert firsts == [
        *("Row 1", "Rows 2 to 4", "Rows 5 to 9", "Row 10", "Rows 11 to 12"),
        *("Rows 13 to 14", "Row 15", "Rows 16 to 22", "Row 23"),
    ]
    assert check_chart(chart).holds


def test_a_bobbin_that_hangs_and_goes_on_no_more_is_cut_in_the_next_row() -> None:
    """Chalk and Moss in columns; nothing may be carried from row 5 on, but for the one in hand."""
    chart = made_up_to(chart_of("\n".join(["0011"] * 6), habit=HABITS["carry"]), 4)
    hang = [one for one in done_of(chart).strands if one.hangs]
    after = replace(chart, habit=HABITS["cut"])
    cut = after.plan.cuts[5]
    assert after.plan.cuts.keys() == {5}
    assert 0 < len(cut) < len(hang)
    (line,) = (line for line in words_of_rows(after)[4].split("\n") if "Cut:" in line)
    names = [chart.yarns[done_of(chart).strands[strand].yarn].name for strand in cut]
    numbers = [done_of(chart).strands[strand].number for strand in cut]
    told = ", ".join(f"{name} #{number}" for name, number in zip(names, numbers, strict=True))
    assert line == f"  Cut: {told}."
    text = " ".join(pattern_text(amounts_of(after)).split())
    assert "Cut: end these, which hang and are taken up no more, leaving a tail." in text
    assert "Cut: end these" not in " ".join(pattern_text(amounts_of(chart)).split())
    assert [after.plan.end_rows[strand] for strand in cut] == [5] * len(cut)
    later = made_up_to(after, 6)
    assert [done_of(later).strands[strand].cut for strand in cut] == [5] * len(cut)
    assert words_of_rows(later)[:5] == words_of_rows(after)[:5]
    again = made_up_to(later, 4)  # ripped back: it hangs again
    assert done_of(again).strands == done_of(chart).strands
    assert write_chart(replace(again, habit=chart.habit)) == write_chart(chart)


# What the rest takes


@given(begun(), habits)
def test_the_forecast_is_of_the_frozen_plan(chart: Chart, habit: Habit) -> None:
    """Tails of bobbins that hang are still to come; loops, floats and the other tails are split
    where the work stands."""
    chart = replace(chart, habit=habit)
    done, amounts = done_of(chart), amounts_of(chart)
    so_far = forecast(amounts, Done(done.row, done.run), [])
    assert chart.begun is not None
    for i, (yarn, of) in enumerate(zip(chart.yarns, so_far.yarns, strict=True)):
        mine = np.flatnonzero(chart.runs.color == i)
        worked = mine[mine < chart.begun.runs]
        cm = amounts.piece_cm[worked].sum() + 2 * yarn.held * chart.tail_cm * (
            amounts.run_joins[worked].sum()
        )
        waits = [
            at
            for at, cut in chart.plan.cuts.items()
            if at > done.row
            for one in cut
            if chart.runs.color[chart.plan.first_runs[one]] == i
        ]
        cm -= yarn.held * chart.tail_cm * len(waits)
        assert of.need + cm / 100 == pytest.approx(amounts.yarns[i].metres)


def test_ripping_back_tells_what_it_takes_and_saves() -> None:
    chart = made_up_to(chart_of("\n".join(["0011"] * 6), habit=HABITS["cut"]), 6)
    chart = replace(chart, habit=HABITS["carry"])
    ripped = rip_back(chart, 4)
    assert (ripped.first, ripped.last, ripped.blocks) == (4, 6, 12)
    after = made_up_to(chart, 3)
    assert ripped.tails == (chart.plan.tails, after.plan.tails)
    assert ripped.saves > 0
    rows = rows_csv(amounts_of(chart)).splitlines()[4:7]
    assert ripped.minutes == pytest.approx(sum(float(row.split(",")[-1]) for row in rows))
    for one in ripped.rejoin:
        (strand,) = (s for s in done_of(after).strands if s.path.endswith(f"{one.row}.{one.run}"))
        assert strand.hangs
        assert strand.number == one.number
    first, *join, last = rip_back_lines(chart, ripped)
    assert first.startswith("Ripping back to row 4: undo rows 6 back to 4, 12 blocks")
    assert bool(join) == bool(ripped.rejoin)
    assert f"{chart.plan.tails} tails become {after.plan.tails}" in str(last)
    # Moss ends in row 3, the second run of which would go on to row 4: 12 tails become 6 and 2.
    assert ripped.rejoin == (Rejoin(yarn=0, number=1, row=3, run=2),)
    assert ripped.saves == 12 - 6 - 2
    whole = rip_back(chart, 1)
    assert (whole.blocks, whole.rejoin) == (int(chart.runs.blocks[chart.runs.row <= 6].sum()), ())
    rows = rows_csv(amounts_of(chart)).splitlines()[1:7]
    assert whole.minutes == pytest.approx(sum(float(row.split(",")[-1]) for row in rows))
    two = made_up_to(chart_of("00 01"), 2)  # a change after the first block
    assert rip_back(two, 1).minutes == 3 * two.pace.block + two.pace.change
    with pytest.raises(BadInput, match="rip_back 7: rows 1 to 6 are made"):
        rip_back(chart, 7)
    with pytest.raises(BadInput, match="no row is made yet"):
        rip_back(replace(chart, done=None), 2)


@settings(max_examples=25)
@given(begun(), st.integers(0, 2**32 - 1))
def test_ripping_back_leaves_earlier_rows_as_they_were(chart: Chart, seed: int) -> None:
    row = done_of(chart).row
    to = int(np.random.default_rng(seed).integers(1, row + 1))
    after = made_up_to(chart, to)
    assert words_of_rows(after)[: to - 1] == words_of_rows(chart)[: to - 1]
    proof = check_chart(replace(after, habit=HABITS["carry"]))
    assert proof.holds, proof.faults


def test_the_rest_is_calmed_and_what_is_made_stays(tmp_path: Path) -> None:
    """From here at most so many hanging, carry allowed; the line is taken back like any other."""
    rng = np.random.default_rng(4)
    blocks = random_blocks(rng, 14, 12, 3)
    greys = [
        Yarn(f"Grey {i}", f"#{level:02x}{level:02x}{level:02x}")
        for i, level in enumerate((110, 122, 134, 20))
    ]
    plain = Chart("Piece", blocks, tuple(greys), 25)
    means = plain.yarn_rgb[blocks].astype(int) + rng.integers(-9, 9, (12, 14, 1))
    source = Source("piece.png", "0" * 64, means.astype(np.uint8))
    mended = apply_mends(replace(plain, source=source), [("paint", "row 20=Grey 3")]).after
    path = tmp_path / "chart.json"
    path.write_bytes(write_chart(mended))
    words = {"done": "9", "habit": "carry", "calm": "40", "most_hanging": "4"}
    before = open_chart(path, Options.from_words({"done": "9", "habit": "carry"})).chart
    after = open_chart(path, Options.from_words(words)).chart
    assert (after.blocks == before.blocks)[before.made].all()
    assert (after.blocks != before.blocks).any()
    assert after.plan.tails < before.plan.tails
    hanging = [of.plan.attached_by_row[9:].max() for of in (before, after)]
    assert hanging[1] < hanging[0]
    assert words_of_rows(after)[:8] == words_of_rows(before)[:8]
    assert check_chart(after).holds
    assert after.mends[-1].words.startswith("Rows from 10 on calmed by 40 %, at most 4 yarns hang")
    assert write_chart(undo(after, 1).after) == write_chart(before)
    with pytest.raises(BadInput, match="calm is for a picture when it is charted, or for the rest"):
        open_chart(path, Options.from_words({"calm": "3"}))


def test_a_picture_charted_again_keeps_what_is_made(tmp_path: Path) -> None:
    """Other options, fewer colours: finished rows stay, in yarns that the new chart may lack."""
    picture = small_sample("club_badge.png")
    first = chart_again(picture, tmp_path, Options(width=12, colors=4))
    save(first, tmp_path, only=["chart.json"])
    before = open_chart(tmp_path / "chart.json", Options.from_words({"done": "7"}))
    save(before, tmp_path, only=["chart.json"])
    after = chart_again(picture, tmp_path, Options.from_words({"width": "12", "colors": "2"})).chart
    rows = before.chart.layout.row_numbers()
    names = [
        [[y.name for y in of.yarns][n] for n in of.blocks[rows <= 7]]
        for of in (before.chart, after)
    ]
    assert names[0] == names[1]
    assert (after.blocks != before.chart.blocks).any()
    assert words_of_rows(after)[:6] == words_of_rows(before.chart)[:6]
    assert check_chart(after).holds
    with pytest.raises(BadInput, match="rows 1 to 7 are made, and the piece keeps its width"):
        chart_again(picture, tmp_path, Options(width=14))
    fresh = chart_again(picture, tmp_path, Options(width=14, fresh=True)).chart
    assert fresh.done is None
