"""Files that hold blocks and no more: grids of CSV and of spreadsheets, and patterns."""

from __future__ import annotations

import re
from pathlib import Path

from pix2block.chart.chart import Chart
from pix2block.chart.drawn import Drawn, drawn_csv
from pix2block.chart.reading import read_chart
from pix2block.ground.delimited import decode_text
from pix2block.ground.files import read_bytes, read_text
from pix2block.proof.rows import Told, read_rows
from pix2block.yarn.yarn import Yarn

GRIDS = (".csv", ".xlsx", ".txt")
BESIDE = ("chart.csv", "chart.xlsx", "pattern.txt")  # files of the chart.json in their folder
CHART = "chart.json"


def is_grid(path: Path) -> bool:
    """Whether a file holds blocks and no more, by its name."""
    return path.suffix.lower() in GRIDS


def chart_beside(path: Path) -> Path | None:
    """The chart.json that a grid is of, None where it is of none."""
    beside = path.parent / CHART
    return beside if path.name in BESIDE and beside.exists() else None


def open_blocks(path: str | Path) -> Chart | Drawn | Told:
    """A chart, a grid's cells or a pattern's rows. Raises BadInput where they cannot be read."""
    path = Path(path)
    ending = path.suffix.lower()
    if ending == ".json":
        return read_chart(read_bytes(path, "chart"), str(path))[0]
    if ending == ".txt":
        return read_rows(read_text(path, "pattern"), str(path))
    if ending == ".xlsx":
        from pix2block.chart.xlsx import drawn_xlsx

        return drawn_xlsx(read_bytes(path, "grid"), str(path))
    return drawn_csv(decode_text(read_bytes(path, "grid"), f"grid {path}"), str(path))


def yarns_told(path: Path) -> tuple[Yarn, ...]:
    """The yarns that a pattern's materials name, each with its colour."""
    text = re.sub(r"\n  +", " ", read_text(path, "pattern"))
    told = re.findall(r"^- (.{1,60}) \((#[0-9a-f]{6})\):", text, re.M)
    return tuple(Yarn(name, color) for name, color in dict(told).items())
