"""Grids and patterns read back: the same blocks, and what a hand changed in them."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from pathlib import Path
from shutil import copytree
from typing import Any

import numpy as np
import openpyxl
import pytest
from hypothesis import given, settings
from makers import YARNS, chart_of, charts
from openpyxl.styles import PatternFill
from openpyxl.styles.colors import Color

import pix2block
from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.made import made_up_to
from pix2block.chart.reading import read_chart, write_chart
from pix2block.chart.xlsx import drawn_xlsx
from pix2block.command.cli import run
from pix2block.drawing.marks import with_marks
from pix2block.ground.errors import BadInput
from pix2block.mending.apply import apply_mends
from pix2block.mending.grids import Blocks, blocks_in, with_blocks
from pix2block.pattern.text import pattern_text
from pix2block.proof.rows import Told, known_as, read_rows
from pix2block.reports.workbook import chart_xlsx
from pix2block.yarn.yarn import Yarn

PIECE = chart_of("0011\n0211\n3300")
CHEAP = ["--without", "pdf,preview,proof"]
pytestmark = [pytest.mark.usefixtures("few_files"), pytest.mark.every_file(".xlsx")]


def fill(color: str) -> PatternFill:
    return PatternFill("solid", fgColor=f"FF{color.removeprefix('#')}")


def book_of(data: bytes) -> Any:
    return openpyxl.load_workbook(io.BytesIO(data))


def saved(book: Any) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def drawn(lines: list[list[Any]]) -> bytes:
    """A workbook with these cells: words, or ("", "#rrggbb") for a fill alone."""
    book = openpyxl.Workbook()
    for i, line in enumerate(lines, 1):
        for j, told in enumerate(line, 1):
            words, color = told if isinstance(told, tuple) else (told, None)
            cell = book.active.cell(i, j, words or None)
            if color:
                cell.fill = fill(color)
    return saved(book)


@pytest.fixture(scope="module")
def reported(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The piece's folder, made once."""
    place = tmp_path_factory.mktemp("grids")
    (place / "chart.json").write_bytes(write_chart(with_marks(PIECE)))
    assert run(["report", str(place / "chart.json"), *CHEAP]) == 0
    return place


@pytest.fixture
def folder(reported: Path, tmp_path: Path) -> Path:
    return copytree(reported, tmp_path, dirs_exist_ok=True)


def chart_in(folder: Path) -> Chart:
    return read_chart((folder / "chart.json").read_bytes(), "chart.json")[0]


# The workbook


@settings(max_examples=15, deadline=None)
@given(charts())
def test_the_workbook_reads_back_to_the_same_chart(chart: Chart) -> None:
    data = chart_xlsx(amounts_of(chart))
    again = apply_mends(
        chart, [("grid", "chart.xlsx")], read=lambda name: drawn_xlsx(data, name)
    ).after
    assert write_chart(again) == write_chart(chart)


def test_another_reader_finds_the_grid_and_the_tables() -> None:
    yarns = (Yarn("SUM(A1)", "#5c6b3c"), Yarn("12", "#f1ede2"), *YARNS[2:])
    chart = Chart("=1+1", PIECE.blocks, yarns, 6)
    data = chart_xlsx(amounts_of(chart))
    assert data == chart_xlsx(amounts_of(chart))
    book = book_of(data)
    assert book.sheetnames == ["chart", "rows", "runs", "bobbins", "yarn"]
    sheet = book["chart"]
    assert [cell.value for cell in sheet[1]] == [None, 1, 2, 3, 4]
    assert [row[0].value for row in sheet.iter_rows(min_row=2)] == [1, 2, 3]
    for line, row in enumerate(sheet.iter_rows(min_row=2, min_col=2)):
        for column, cell in enumerate(row):
            yarn = yarns[PIECE.blocks[line, column]]
            assert cell.value == yarn.name
            assert cell.data_type == "s"
            assert cell.fill.fgColor.rgb == f"FF{yarn.color[1:].upper()}"
    for sheet in book:
        assert not any(cell.data_type == "f" for row in sheet for cell in row), sheet.title
    tables = {sheet.title: list(sheet.iter_rows(values_only=True)) for sheet in book}
    runs = chart.runs
    assert [row[:5] for row in tables["runs"][1:]] == [
        (row, run, "RS" if row % 2 else "WS", blocks, yarns[color].name)
        for row, run, blocks, color in zip(
            *(of.tolist() for of in (runs.row, runs.number, runs.blocks, runs.color)), strict=True
        )
    ]
    for row in tables["runs"][1:]:
        assert yarns[PIECE.blocks[row[6] - 1, row[5] - 1]].name == row[4]
    assert len(tables["rows"]) == 1 + chart.last_row
    assert [row[0] for row in tables["yarn"][1:]] == [yarn.name for yarn in yarns]
    assert isinstance(tables["yarn"][2][2], int)
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        assert b"2000-01-01" in packed.read("docProps/core.xml")


def change(folder: Path, cell: str, words: str | None = None, color: str | None = None) -> None:
    path = folder / "chart.xlsx"
    book = book_of(path.read_bytes())
    if words is not None:
        book["chart"][cell].value = words or None
    if color is not None:
        book["chart"][cell].fill = fill(color) if color else PatternFill()
    path.write_bytes(saved(book))


@pytest.mark.parametrize(
    ("words", "color", "becomes"),
    [
        ("Tar", None, 3),  # only the name differs from the chart
        (None, "#22211f", 3),  # only the fill does
        ("Tar", "#22211f", 3),  # both, and they agree
        ("", "#22211f", 3),
        ("tar", "", 3),
        ("", None, 0),  # the name was cleared, the fill stayed
        (None, "#123456", 4),
        ("Rust", "#a04020", 4),
        ("#a04020", "", 4),
        ("navy", "", 4),
    ],
)
def test_a_cell_that_was_changed(
    words: str | None, color: str | None, becomes: int, folder: Path
) -> None:
    before = (folder / "chart.json").read_bytes()
    change(folder, "B2", words, color)
    assert run(["report", str(folder / "chart.xlsx"), *CHEAP]) == 0
    after = chart_in(folder)
    expected = PIECE.blocks.copy()
    expected[0, 0] = becomes
    assert (after.blocks == expected).all()
    assert len(after.yarns) == max(4, becomes + 1)
    if becomes:
        assert [(line.mend, line.value) for line in after.mends] == [("grid", "chart.xlsx")]
        assert run(["mend", str(folder / "chart.json"), "--undo", "1", *CHEAP]) == 0
    assert (folder / "chart.json").read_bytes() == before
    assert not list(folder.glob("*.before-*"))


def test_name_and_fill_that_both_differ_are_told(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    change(folder, "B2", "Tar", "#f1ede2")
    change(folder, "C3", "Chalk", "#22211f")
    before = {p.name: p.read_bytes() for p in folder.iterdir() if p.is_file()}
    capsys.readouterr()
    assert run(["report", str(folder / "chart.xlsx"), *CHEAP]) == 2
    first, second = capsys.readouterr().err.splitlines()
    assert 'cell B2: its name, "Tar", and its fill, #f1ede2, were both changed' in first
    assert 'cell C3: its name, "Chalk", and its fill, #22211f, were both changed' in second
    assert {p.name: p.read_bytes() for p in folder.iterdir() if p.is_file()} == before


def test_a_grid_of_another_size_is_told(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "chart.xlsx").write_bytes(drawn([["Moss", "Tar"]]))
    capsys.readouterr()
    assert run(["report", str(folder / "chart.xlsx"), *CHEAP]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "chart.xlsx has 2 x 1 blocks, the chart.json beside it 4 x 3" in line


def test_a_grid_and_mends_in_one_call(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = (folder / "chart.json").read_bytes()
    change(folder, "B2", "Tar")
    capsys.readouterr()
    asked = ["mend", str(folder / "chart.xlsx"), "--exchange", "Tar=Chalk"]
    assert run([*asked, "--dry-run", *CHEAP]) == 0
    assert '"blocks": 4' in capsys.readouterr().out
    assert (folder / "chart.json").read_bytes() == before
    assert run([*asked, *CHEAP]) == 0
    after = chart_in(folder)
    assert [line.mend for line in after.mends] == ["grid", "exchange"]
    assert [line.group for line in after.mends] == [1, 1]
    assert after.blocks.tolist() == [[1, 0, 1, 1], [0, 2, 1, 1], [1, 1, 0, 0]]
    assert run(["mend", str(folder / "chart.csv"), *CHEAP]) == 0  # nothing is otherwise there
    assert len(chart_in(folder).mends) == 2


def test_a_table_that_a_hand_changed_is_kept(folder: Path) -> None:
    text = (folder / "chart.csv").read_text(encoding="utf-8").replace("Moss", "Tar", 1)
    (folder / "chart.csv").write_text(text, encoding="utf-8")
    assert run(["mend", str(folder / "chart.json"), "--paint", "row 1=Tar", *CHEAP]) == 0
    assert (folder / "chart.before-1.csv").read_text(encoding="utf-8") == text


# By hand


def grid_of(tmp_path: Path, lines: list[list[Any]], *more: str) -> Chart:
    (tmp_path / "mine.xlsx").write_bytes(drawn(lines))
    words = ["report", str(tmp_path / "mine.xlsx"), "--out", str(tmp_path / "out"), *more]
    assert run([*words, *CHEAP]) == 0
    return chart_in(tmp_path / "out")


def test_a_workbook_made_by_hand(tmp_path: Path) -> None:
    red, sand = ("", "#c02020"), ("", "#e0d0b0")
    chart = grid_of(tmp_path, [[], ["", sand, red, sand], ["", red, red, red]])
    assert chart.blocks.tolist() == [[1, 0, 1], [0, 0, 0]]
    assert [yarn.color for yarn in chart.yarns] == ["#c02020", "#e0d0b0"]
    words = grid_of(tmp_path, [["navy", "#E0D0B0"], [("Sea", "#204060"), "Sea"]])
    assert {(yarn.name, yarn.color) for yarn in words.yarns} >= {("Sea", "#204060")}
    assert words.blocks[1, 0] == words.blocks[1, 1]
    assert len(words.yarns) == 3


def test_fills_of_a_theme_and_tints() -> None:
    book = openpyxl.Workbook()
    for column, color in enumerate(
        (Color(theme=4), Color(theme=4, tint=0.4), Color(theme=1), Color(indexed=10)), 1
    ):
        book.active.cell(1, column).fill = PatternFill("solid", fgColor=color)
    cells = drawn_xlsx(saved(book), "themes.xlsx").cells[0]
    # openpyxl's own theme: accent 1 is 4F81BD; 40 % lighter is 95B3D7, as spreadsheets show it.
    assert [cell.fill for cell in cells] == ["#4f81bd", "#95b3d7", "#000000", "#ff0000"]


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ([[("Sea", "#204060"), ("Sea", "#ff0000")]], 'cell B1: "Sea" is #204060, its fill #ff0000'),
        ([[("#204060", "#ff0000")]], 'cell A1: "#204060" is #204060, its fill #ff0000'),
        ([[""]], "is empty: fill its cells"),
        ([["Moss", ""], ["", "Tar"]], "the empty cells are not the end of a piece"),
    ],
)
def test_a_workbook_that_cannot_be_is_told(
    lines: list[list[Any]], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "mine.xlsx").write_bytes(drawn(lines))
    out = tmp_path / "out"
    assert run(["report", str(tmp_path / "mine.xlsx"), "--out", str(out), *CHEAP]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert told in line
    assert not out.exists()


@pytest.mark.parametrize("data", [b"", b"PK\3\4", b"Moss,Tar\n", zipfile.__doc__.encode() * 9])
def test_what_is_no_workbook_is_told(data: bytes) -> None:
    with pytest.raises(BadInput, match=r"mine.xlsx is no workbook that can be read"):
        drawn_xlsx(data, "mine.xlsx")


def test_a_spoilt_workbook_ends_in_one_line() -> None:
    data, rng = chart_xlsx(amounts_of(PIECE)), np.random.default_rng(7)
    told: list[list[str]] = []
    for _ in range(60):
        spoilt = bytearray(data)
        for at in rng.integers(0, len(spoilt), 3):
            spoilt[at] = rng.integers(0, 256)
        try:
            drawn_xlsx(bytes(spoilt), "mine.xlsx")
        except BadInput as error:
            told.append(error.lines())
    assert {len(lines) for lines in told} == {1}


# The pattern


@settings(max_examples=25, deadline=None)
@given(charts())
def test_the_pattern_reads_back_to_the_same_chart(chart: Chart) -> None:
    told = read_rows(pattern_text(amounts_of(chart)), "pattern.txt")
    again = apply_mends(chart, [("grid", "pattern.txt")], read=lambda _: told).after
    assert write_chart(again) == write_chart(chart)


def with_row(folder: Path, old: str, new: str) -> None:
    path = folder / "pattern.txt"
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_a_testers_row_becomes_the_chart(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = (folder / "chart.json").read_bytes()
    with_row(folder, "3 blocks: 1 Tar, 1 Moss 2, 1 Chalk.", "3 blocks: 1 Tar, 2 chalk.")
    capsys.readouterr()
    assert run(["report", str(folder / "pattern.txt"), *CHEAP]) == 0
    assert "The blocks of pattern.txt. 1 block: tails " in capsys.readouterr().out
    after = chart_in(folder)
    assert [(line.mend, line.value) for line in after.mends] == [("grid", "pattern.txt")]
    changed = np.argwhere(after.blocks != PIECE.blocks)
    assert len(changed) == 1
    line, column = changed[0].tolist()
    assert (PIECE.blocks[line, column], after.blocks[line, column]) == (2, 1)
    assert run(["check", str(folder / "chart.json")]) == 0
    assert run(["mend", str(folder / "chart.json"), "--undo", "1", *CHEAP]) == 0
    assert (folder / "chart.json").read_bytes() == before


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("1 Tar, 1 Moss 2, 1 Chalk.", "2 Chalk, 2 Tar.", "row 4: its runs have 4 blocks, its line"),
        ("1 Tar, 1 Moss 2, 1 Chalk.", "1 Chalk, 2 Ter.", "row 4: no yarn is called “Ter”: Tar?"),
        (
            "3 blocks: 1 Tar, 1 Moss 2, 1 Chalk.",
            "2 blocks: 2 Tar.",
            "row 4: 2 blocks told, it has",
        ),
        ("1 Tar, 1 Moss 2, 1 Chalk.", "Chalk, 2 Tar.", "row 4: “Chalk” is no run"),
        ("Row 4, wrong", "Row 3, wrong", "row 3: told twice"),
        ("Row 4, wrong", "Row four, wrong", "this line cannot be read: Row four, wrong side"),
        ("Piece: 4 x 3", "Piece: 5 x 3", "row 5: 2 blocks told"),
        ("Piece: 4 x 3", "Piece 4 x 3", "no line “Piece: …” alone that can be read"),
        ("dc blocks", "tr blocks", "tr blocks: in US terms write dc or hdc"),
    ],
)
def test_a_row_that_cannot_be_is_told(
    old: str, new: str, told: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with_row(folder, old, new)
    before = {p.name: p.read_bytes() for p in folder.iterdir() if p.is_file()}
    capsys.readouterr()
    assert run(["report", str(folder / "pattern.txt"), *CHEAP]) == 2
    err = capsys.readouterr().err
    assert told in err
    assert {p.name: p.read_bytes() for p in folder.iterdir() if p.is_file()} == before


def test_hand_corner_block_terms_and_turn_come_from_the_head_line(folder: Path) -> None:
    other = Chart(
        *("Piece", PIECE.blocks, PIECE.yarns, 6, "top-left", "left", "hdc", "uk", "early")
    )
    text = pattern_text(amounts_of(other))
    (folder / "pattern.txt").write_text(text, encoding="utf-8")
    assert run(["mend", str(folder / "pattern.txt"), *CHEAP]) == 0
    after = chart_in(folder)
    assert (after.start_corner, after.hand, after.block) == ("top-left", "left", "hdc")
    assert (after.terms, after.turn) == ("uk", "early")
    assert (after.blocks == PIECE.blocks).all()
    assert len(after.mends) == 1


def test_a_pattern_with_no_chart_beside_it(folder: Path, tmp_path: Path) -> None:
    alone = tmp_path / "alone"
    alone.mkdir()
    (alone / "pattern.txt").write_bytes((folder / "pattern.txt").read_bytes())
    words = ["report", str(alone / "pattern.txt"), "--out", str(tmp_path / "out"), *CHEAP]
    assert run(words) == 0
    chart = chart_in(tmp_path / "out")
    assert (chart.blocks == PIECE.blocks).all()
    assert [(y.name, y.color) for y in chart.yarns] == [(y.name, y.color) for y in YARNS]


def test_gathered_rows_are_read() -> None:
    text = pattern_text(amounts_of(chart_of("\n".join(["000000"] * 5))))
    told = read_rows(text, "pattern.txt")
    assert isinstance(told, Told)
    assert list(told.rows[:3]) == [((n, "Moss"),) for n in (1, 2, 3)]
    assert pix2block.amounts_of(PIECE)


THREE_ROWS = """Piece: 3 x 1 blocks, rows 1 to 3, start corner bottom right, right hand, \
dc blocks, US terms, late turns.
Row 1, right side, 1 block: 1 Moss.
Rows 2 to 3, 1 block each: 1 Moss.
"""


def test_rows_are_read_as_they_stand() -> None:
    assert read_rows(THREE_ROWS, "x").rows == (((1, "Moss"),),) * 3
    fewer = THREE_ROWS.replace("3, 1 block each: 1", "3, 2 to 1 blocks, 1 fewer in each:")
    assert read_rows(fewer, "x").rows[1:] == (((2, "Moss"),), ((1, "Moss"),))
    assert known_as(" dark  MOSS", ["Tar", "Dark Moss"], "x") == 1


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("Rows 2 to 3", "Rows 2 to 4", ["row 4: the head line says rows 1 to 3"]),
        ("Rows 2 to 3", "Rows 1 to 3", ["row 1: told twice"]),
        ("Row 1", "Row 2", ["row 2: told twice"]),
        ("Rows 2 to 3, 1 block each", "Row 2, wrong side, 1 block", ["row 3: it is told nowhere"]),
        ("rows 1 to 3", "rows 0 to 3", ["row 0: it is told nowhere"]),
        (
            "rows 1 to 3",
            "rows 9 to 3",
            ["row 2: the head line says rows 9 to 3"],
        ),
        ("rows 1 to 3", "rows 1 to 999999", ["row 4: it is told nowhere"]),
        ("Row 1, right side, 1 block: 1", "Row 9, right side, 1 block:", ["no run", "row 9: the"]),
        ("each: 1", "each: 2", ["row 2: its run has 2 blocks, its line says 1"]),
        ("3, 1 block each: 1", "3, 2 to 4 blocks, 1 more in each:", ["do not go from 2 to 4"]),
        ("rows 1 to 3", "rows 2 to 3", ["row 1: the head line says rows 2 to 3"]),
        (
            "rows 1 to 3, start corner bottom right, right hand, dc blocks, US terms, late turns.\n"
            "Row 1, right side, 1 block: 1 Moss.",
            "rows 2 to 3, start corner bottom right, right hand, dc blocks, US terms, late turns.",
            ["its rows are 2 to 3: a piece begins with 1"],
        ),
    ],
)
def test_rows_that_do_not_fit_are_told(old: str, new: str, told: list[str]) -> None:
    assert old in THREE_ROWS
    with pytest.raises(BadInput) as error:
        read_rows(THREE_ROWS.replace(old, new, 1), "x")
    assert [part for part in told if part not in str(error.value)] == []


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (THREE_ROWS.replace("3 x 1", "0 x 1"), "0 x 1 blocks: a side has 1 to 1000"),
        (THREE_ROWS.replace("3 x 1", "3 x 1001"), "3 x 1001 blocks: a side has 1 to 1000"),
        (
            THREE_ROWS.replace("1 to 3", "1 to 4").replace("2 to 3", "2 to 4"),
            "that size has 3 rows",
        ),
    ],
)
def test_rows_of_no_piece_are_told(text: str, told: str) -> None:
    with pytest.raises(BadInput, match=told):
        blocks_in(read_rows(text, "x"), YARNS)
    assert blocks_in(read_rows(THREE_ROWS, "x"), YARNS).blocks.tolist() == [[0, 0, 0]]


def test_blocks_of_a_file_come_in_with_their_yarns() -> None:
    chart = replace(chart_of("01 10"), yarns=YARNS[:2])
    yarns = (YARNS[1], Yarn("Sky", "#80a0ff"), Yarn("Rust", "#a04020"))
    found = Blocks(np.array([[2, 0], [0, 1]]), yarns, {"hand": "left"})
    done = with_blocks(chart, found, "x.csv")
    assert [yarn.name for yarn in done.chart.yarns] == ["Moss", "Chalk", "Sky", "Rust"]
    assert done.chart.blocks.tolist() == [[3, 1], [1, 2]]
    told = "The blocks of x.csv; Sky, #80a0ff, comes in; Rust, #a04020, comes in; hand left"
    assert (done.words, done.blocks) == (told, 2)
    same = with_blocks(chart, Blocks(chart.blocks, chart.yarns, {"hand": "right"}), "x.csv")
    assert same.chart is chart


def test_blocks_of_a_file_stay_where_rows_are_made() -> None:
    """Row 1 is the bottom right block, row 3 the top left one."""
    chart = made_up_to(replace(chart_of("01 10"), yarns=YARNS[:2]), 1)
    later, made = np.array([[1, 1], [1, 0]]), np.array([[0, 1], [1, 1]])
    assert with_blocks(chart, Blocks(later, chart.yarns, {}), "x.csv").blocks == 1
    with pytest.raises(BadInput, match=r"x.csv: .*row 1"):
        with_blocks(chart, Blocks(made, chart.yarns, {}), "x.csv")
    with pytest.raises(BadInput, match="is a chart, no grid"):
        apply_mends(chart, [("grid", "x.json")], read=lambda _: chart)
