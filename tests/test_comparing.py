"""Two charts compared: what changed, in figures, words and files."""

from __future__ import annotations

import csv
import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from makers import chart_of, charts

import pix2block
from pix2block.chart.reading import write_chart
from pix2block.command.cli import run
from pix2block.comparing.compared import Compared, compared_csv, compared_json, compared_lines
from pix2block.comparing.sheets import changes_text, sheet_for_testers
from pix2block.ground.settings import HABITS
from pix2block.pattern.pattern import write_rows
from pix2block.pattern.words import row_lines

OLD = chart_of("0011\n0211\n3300")
NEW = chart_of("0011\n0111\n3303")


def test_what_changed_is_counted() -> None:
    told = json.loads(compared_json(Compared(OLD, NEW)))
    amounts = [pix2block.amounts_of(chart) for chart in (OLD, NEW)]
    assert told["blocks_changed"] == 2
    assert told["rows_changed"] == [1, 4]
    assert told["tails"] == [of.plan.tails for of in amounts]
    assert told["metres"] == [round(of.metres, 2) for of in amounts]
    assert set(told["yarn"]) == {"Moss", "Chalk", "Moss 2", "Tar"}
    assert told["yarn"]["Moss 2"] == [round(amounts[0].yarns[2].metres, 2), 0.0]
    lines = compared_csv(Compared(OLD, NEW)).splitlines()
    assert lines[0] == "column,line,row,block,old,new"
    assert lines[1] == "4,3,1,1,Moss,Tar"
    column, line, row, block, *names = lines[2].split(",")
    assert (column, line, row, names) == ("2", "2", "4", ["Moss 2", "Chalk"])
    assert (OLD.layout.order[1][6 + int(block) - 1], OLD.layout.order[0][6 + int(block) - 1]) == (
        1,
        1,
    )


@settings(max_examples=25, deadline=None)
@given(charts(), st.data())
def test_each_change_is_where_it_is_said(chart: pix2block.Chart, data: st.DataObject) -> None:
    blocks = chart.blocks.copy()
    exists = np.argwhere(blocks >= 0)
    for i in data.draw(st.lists(st.integers(0, len(exists) - 1), max_size=5)):
        blocks[tuple(exists[i])] = data.draw(st.integers(0, 3))
    new = replace(chart, blocks=blocks)
    compared = Compared(chart, new)
    assert len(compared.changes) == (blocks != chart.blocks).sum()
    for change in compared.changes:
        steps = new.layout.steps(change.row)
        lines, columns, rows = new.layout.order
        at = np.flatnonzero(rows == change.row)[change.block - 1]
        assert (columns[at] + 1, lines[at] + 1) == (change.column, change.line)
        assert len(steps[0]) >= change.block
        assert change.new == new.yarns[blocks[change.line - 1, change.column - 1]].name


def test_another_order_of_yarns_changes_no_block() -> None:
    from pix2block.chart.yarn_order import with_yarns

    other = with_yarns(OLD, OLD.yarns[::-1])
    assert not Compared(OLD, other).changes
    assert compared_lines(Compared(OLD, other)) == ["No block changed"]


def test_two_sizes_are_said_and_nothing_is_counted() -> None:
    compared = Compared(OLD, chart_of("01"))
    assert compared_lines(compared) == [
        "The charts have two sizes, 4 x 3 and 2 x 1 blocks: nothing is counted"
    ]
    assert json.loads(compared_json(compared))["blocks_changed"] is None


def test_the_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    for name, chart in (("old", OLD), ("new", NEW)):
        Path(f"{name}.json").write_bytes(write_chart(chart))
    assert run(["compare", "old.json", "new.json"]) == 0
    out = capsys.readouterr().out.splitlines()
    assert out[0] == "2 blocks changed, in rows 1 and 4"
    told = "compare.html to look at, compare.csv, changes.txt for buyers, testers.txt for testers"
    assert out[-1] == f"Everything is in output/old-new: {told}"
    written = tmp_path / "output" / "old-new"
    assert {path.name for path in written.iterdir()} == {
        *("compare.csv", "compare.html", "changes.txt", "testers.txt")
    }
    assert len(list(csv.DictReader((written / "compare.csv").open(encoding="utf-8")))) == 2
    page = (written / "compare.html").read_text(encoding="utf-8")
    assert "2 blocks changed, in rows 1 and 4" in page
    assert page.count("<tr>") == 3
    assert run(["compare", "old.json", "new.json", "--out", "there", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["blocks_changed"] == 2
    assert run(["compare", "old.json", "none.json"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
    assert not (tmp_path / "output" / "old-none").exists()


# Sheets for buyers and testers


def test_buyers_are_told_each_row_as_it_was_and_is() -> None:
    lines = changes_text(Compared(OLD, NEW, version="1.1")).splitlines()
    assert lines[0] == "Test piece: changes in 1.1"
    was, now = ([line for line in lines if line.startswith(word)] for word in ("Was: ", "Now: "))
    assert [line[:10] for line in was] == ["Was: Row 1", "Was: Row 4"]
    words = [[row_lines(of, [row])[0] for row in write_rows(of, of.plan)] for of in (OLD, NEW)]
    assert was == [f"Was: {words[0][0]}", f"Was: {words[0][3]}"]
    assert now == [f"Now: {words[1][0]}", f"Now: {words[1][3]}"]
    assert any(line.startswith("Moss 2, to be safe: ") and "none now" in line for line in lines)


def test_nothing_that_changed_is_said_to_buyers() -> None:
    assert changes_text(Compared(OLD, OLD)) == "Test piece: changes\n\nNo row has other blocks.\n"
    two_sizes = changes_text(Compared(OLD, chart_of("01")))
    assert "nothing is counted" in two_sizes
    carried = replace(NEW, habit=HABITS["carry"])
    assert "The same blocks, but other bobbins or turns: row" in changes_text(
        Compared(NEW, carried)
    )


def test_testers_time_weigh_and_write() -> None:
    text = sheet_for_testers(Compared(OLD, NEW))
    amounts = pix2block.amounts_of(NEW)
    planned = amounts.minutes_by_row
    timed = re.findall(r"^Row (\d+), .*: _+ minutes \(planned (\d+)\)$", text, re.M)
    assert timed
    for row, minutes in timed:
        assert minutes == f"{planned[int(row) - 1]:.0f}"
    assert re.findall(r"^\[ \] (Row \d+)", text, re.M) == ["Row 1", "Row 4"]
    *_, last = text.split("After row 6\n")
    for yarn, takes in zip(NEW.yarns, amounts.yarns, strict=True):
        grams = yarn.grams_of(takes.metres, NEW.weight)
        assert (f"{yarn.name}: ________ g left (planned: {grams:.0f} g" in last) == bool(
            takes.blocks
        )
