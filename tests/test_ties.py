"""The same figures in every file of a piece: blocks, tails, joins, loops and metres."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace

import openpyxl
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from makers import charts

from pix2block.chart.chart import Chart
from pix2block.ground.units import say_count
from pix2block.mending.grids import blocks_in
from pix2block.proof.rows import read_rows
from pix2block.recipes.outputs import files_of
from pix2block.study.study import Study

FILES = (
    *("chart.csv", "rows.csv", "strands.csv", "yarn.csv", "summary.json"),
    *("chart.xlsx", "pattern.txt", "pattern.html"),
)
Table = list[dict[str, str]]


def table(text: bytes) -> Table:
    return list(csv.DictReader(io.StringIO(text.decode())))


def sheet(book: openpyxl.Workbook, name: str) -> Table:
    head, *lines = book[name].iter_rows(values_only=True)
    cells = [["" if cell is None else str(cell) for cell in line] for line in lines]
    return [dict(zip(map(str, head), line, strict=True)) for line in cells]


def in_all(lines: Table, column: str) -> float:
    return sum(float(line[column]) for line in lines)


@settings(max_examples=8, phases=[Phase.generate])
@given(charts(most_side=6), st.sampled_from([1.5, 4.0, 200.0]))
def test_every_file_has_the_same_figures(chart: Chart, skein_m: float) -> None:
    """Skeins are short, so that there are joins; metres are rounded to two decimals a line."""
    chart = replace(chart, yarns=tuple(replace(yarn, metres=skein_m) for yarn in chart.yarns))
    files = files_of(Study(chart), only=FILES)
    rows, strands, yarns = (table(files[f"{name}.csv"]) for name in ("rows", "strands", "yarn"))
    told = json.loads(files["summary.json"])
    assert told["blocks"] == int((chart.blocks >= 0).sum())
    for lines in (rows, strands, yarns):
        assert in_all(lines, "blocks") == told["blocks"]
    for lines in (rows, yarns):
        assert in_all(lines, "tails") == told["tails"] == 2 * len(strands)
    for lines in (rows, strands, yarns):
        assert in_all(lines, "joins") == told["joins"]
    assert in_all(yarns, "strands") == told["strands"] == len(strands)
    assert in_all(strands, "runs") == told["runs"]
    assert in_all(rows, "changes") == told["changes_in_rows"] + told["changes_at_turns"]
    for yarn in yarns:
        own = [line for line in strands if line["yarn"] == yarn["yarn"]]
        assert in_all(own, "loops") == float(yarn["loops"])
        assert in_all(own, "metres") == pytest.approx(
            float(yarn["metres"]), abs=0.006 * len(strands)
        )
    assert in_all(yarns, "metres") == pytest.approx(told["metres"], abs=0.03)
    book = openpyxl.load_workbook(io.BytesIO(files["chart.xlsx"]))
    for name, lines in (("rows", rows), ("yarn", yarns)):
        for column in ("blocks", "tails", "joins"):
            assert in_all(sheet(book, name), column) == in_all(lines, column)
    text, page = files["pattern.txt"].decode(), files["pattern.html"].decode()
    assert blocks_in(read_rows(text, "pattern.txt"), chart.yarns).blocks.tolist() == (
        chart.blocks.tolist()
    )
    said = say_count(told["tails"], "tail")
    assert re.search(rf"\b{said}\b", text)
    assert re.search(rf"\b{said}\b", page.replace("\u00a0", " "))
