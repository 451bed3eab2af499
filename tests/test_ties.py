"""The same figures in every file of a piece: blocks, tails, joins, loops and metres."""

from __future__ import annotations

import csv
import io
import json
import re
import subprocess
from collections import Counter
from dataclasses import replace

import openpyxl
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from makers import charts, varied_charts
from programs import needed

from pix2block.chart.chart import Chart
from pix2block.ground.units import say_count
from pix2block.mending.grids import blocks_in
from pix2block.proof.rows import read_rows
from pix2block.recipes.outputs import files_of
from pix2block.study.study import Study

FILES = (
    *("chart.json", "chart.csv", "rows.csv", "strands.csv", "yarn.csv", "summary.json"),
    *("bobbins.csv", "tails.csv", "chart.xlsx", "hookside.html", "pattern.txt", "pattern.html"),
)
ALIKE = ("yarn", "first_row", "last_row", "metres")  # of a bobbin and of its strand
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
    kept = Counter(number for line in json.loads(files["chart.json"])["blocks"] for number in line)
    assert [kept[number] for number in range(len(yarns))] == [int(y["blocks"]) for y in yarns]
    bobbins, tails = table(files["bobbins.csv"]), table(files["tails.csv"])
    for bobbin in bobbins:
        strand = strands[int(bobbin["strand"]) - 1]
        assert [bobbin[name] for name in ALIKE] == [strand[name] for name in ALIKE]
    assert len(bobbins) + sum(line["runs"] == "1" for line in strands) == len(strands)
    for of, name in ((rows, "row"), (yarns, "yarn")):
        for line in of:
            here = [one for one in tails if one[name] == line[name]]
            assert in_all(here, "tails") == float(line["tails"])
    hook = json.loads(
        re.findall('id="piece-data">(.*?)</script>', files["hookside.html"].decode())[0]
    )
    assert hook["runs"]["blocks"] == [int(run["blocks"]) for run in sheet(book, "runs")]
    assert [yarns[n]["yarn"] for n in hook["strands"]["yarn"]] == [one["yarn"] for one in strands]
    for metres, strand in zip(hook["strands"]["metres"], strands, strict=True):
        assert metres is None or metres == pytest.approx(float(strand["metres"]), abs=0.056)
    said = say_count(told["tails"], "tail")
    assert re.search(rf"\b{said}\b", text)
    assert re.search(rf"\b{said}\b", page.replace("\u00a0", " "))


def close(said: str, exact: str) -> bool:
    """Whether a figure in words is one of a table, rounded to the digits it has."""
    half = 0.5 * 10.0 ** -len(said.partition(".")[2])
    return abs(float(said) - float(exact)) <= half + 0.005


@pytest.mark.parametrize("number", [0, 3])
def test_words_have_the_figures_of_the_tables(number: int) -> None:
    """Metres, skeins, joins, colour changes and tails, in the pattern's three forms and on the
    shopping list."""
    chart = varied_charts()[number]
    chart = replace(chart, yarns=tuple(replace(yarn, metres=4.0) for yarn in chart.yarns))
    names = ("yarn.csv", "rows.csv", "summary.json", "shopping.txt")
    files = files_of(Study(chart), only=(*names, "pattern.txt", "pattern.html", "pattern.pdf"))
    told, yarns = json.loads(files["summary.json"]), table(files["yarn.csv"])
    pdf = [needed("pdftotext"), "-", "-"]
    texts = {
        "text": files["pattern.txt"].decode(),
        "page": re.sub("<[^>]*>", "", files["pattern.html"].decode()),
        "pdf": subprocess.run(
            pdf, input=files["pattern.pdf"], capture_output=True, check=True
        ).stdout.decode(),
    }
    used = [yarn for yarn in yarns if yarn["blocks"] != "0"]
    changes = told["changes_in_rows"] + told["changes_at_turns"]
    joins = {row["row"] for row in table(files["rows.csv"]) if row["joins"] != "0"}
    for name, text in texts.items():
        words = " ".join(text.split())
        assert f"{changes} colour changes, {told['tails']} tails;" in words, name
        assert f"{chart.width} × {chart.height} blocks, {told['rows']} diagonal rows" in words, name
        found = re.findall(
            r"([\d.]+) m \([\d.]+ yd\), from ([\d.]+) to ([\d.]+) m; [^;]* g[^;]*; (\d+) skein",
            words,
        )
        assert len(found) == len(used), name
        for yarn in used:
            figures = [yarn[column] for column in ("metres", "metres_low", "metres_high", "skeins")]
            assert any(all(map(close, one, figures)) for one in found), (name, yarn["yarn"])
            (ends,) = re.findall(rf"a skein of {yarn['yarn']} ends about rows ([\d, ]+):", words)
            assert set(ends.split(", ")) <= joins
            assert len(ends.split(", ")) <= int(yarn["joins"])
    for needed_m, entry in zip(
        re.findall(r"needed +([\d.]+) m", files["shopping.txt"].decode()), used, strict=True
    ):
        assert close(needed_m, entry["metres"])
