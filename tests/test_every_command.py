"""Every command over every kind of piece: wide and cheap; what came of it is read back."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from pix2block.chart.chart import Chart
from pix2block.chart.reading import write_chart
from pix2block.command.cli import run
from pix2block.craft.diagonal import Layout
from pix2block.yarn.yarn import Yarn

YARNS = (Yarn("Chalk", "#f1ede2"), Yarn("Moss", "#5c6b3c"), Yarn("Tar", "#22211f"))


def piece(width: int, height: int, yarns: int = 3, last_row: int | None = None) -> Chart:
    """Blocks strewn in some yarns, each used where there is room; null beyond the last row."""
    rng = np.random.default_rng(width * 1000 + height)
    blocks = rng.integers(0, yarns, (height, width))
    blocks.flat[:yarns] = np.arange(yarns)[: blocks.size]
    last = last_row or width + height - 1
    rows = Layout(width, height, last, "bottom-right", "right").row_numbers()
    blocks = np.where(rows <= last, blocks, -1)
    return Chart("Piece", blocks.astype(np.int64), YARNS[: max(yarns, 1)], last)


PIECES = {
    "one block": piece(1, 1, 1),
    "one row of blocks": piece(9, 1),
    "one column": piece(1, 9),
    "one yarn": piece(5, 4, 1),
    "ends early": piece(6, 5, last_row=4),
    "triangle": piece(6, 6, last_row=6),
    "a hundred blocks": piece(12, 9),
    "a thousand wide": piece(1000, 1),
}
CHEAP = ["--without", "pdf,preview"]


def chart_file(chart: Chart, folder: Path) -> Path:
    path = folder / "chart.json"
    path.write_bytes(write_chart(chart))
    return path


def picture_file(chart: Chart, folder: Path) -> Path:
    """The piece as a picture of a pixel a block; where no block is, a yarn's colour."""
    rgb = np.array([[int(y.color[i : i + 2], 16) for i in (1, 3, 5)] for y in chart.yarns])
    path = folder / "piece.png"
    Image.fromarray(rgb[np.maximum(chart.blocks, 0)].astype(np.uint8)).save(path)
    return path


def grid_file(chart: Chart, folder: Path) -> Path:
    names = [
        ["" if number < 0 else chart.yarns[number].name for number in line]
        for line in chart.blocks.tolist()
    ]
    path = folder / "grid.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(names)
    return path


def shelf_file(folder: Path) -> Path:
    path = folder / "shelf.csv"
    lines = [f"{y.name},{y.color},100,200,9" for y in YARNS]
    path.write_text("\n".join(["name,color,grams,metres,skeins", *lines]), encoding="utf-8")
    return path


def written(folder: Path) -> dict[str, object]:
    """summary.json; its blocks and rows are also those of rows.csv."""
    figures: dict[str, object] = json.loads((folder / "summary.json").read_text("utf-8"))
    with (folder / "rows.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert figures["blocks"] == sum(int(row["blocks"]) for row in rows)
    assert figures["rows"] == len(rows)
    return figures


def by_report(chart: Chart, folder: Path) -> None:
    assert run(["report", str(chart_file(chart, folder)), *CHEAP]) == 0
    figures = written(folder)
    assert figures["blocks"] == int((chart.blocks >= 0).sum())
    assert figures["checked"] is True


def by_report_otherwise(chart: Chart, folder: Path) -> None:
    out = folder / "other"
    words = ["--habit", "carry", "--hand", "left", "--terms", "uk", "--turn", "early"]
    words += ["--block", "hdc", "--border", "1 sc Chalk", "--compare", "ways"]
    assert run(["report", str(chart_file(chart, folder)), *words, "--out", str(out), *CHEAP]) == 0
    assert written(out)["checked"] is True


def by_report_half_way(chart: Chart, folder: Path) -> None:
    out = folder / "half_way"
    words = ["--done", "1", "--terms", "uk", "--border", "1 sc Chalk"]
    assert run(["report", str(chart_file(chart, folder)), *words, "--out", str(out), *CHEAP]) == 0
    assert written(out)["checked"] is True
    assert (out / "forecast.txt").exists()


def by_check(chart: Chart, folder: Path) -> None:
    assert run(["check", str(chart_file(chart, folder))]) == 0


def by_grid(chart: Chart, folder: Path) -> None:
    out = folder / "from_grid"
    assert run(["report", str(grid_file(chart, folder)), "--out", str(out), *CHEAP]) == 0
    assert written(out)["blocks"] == int((chart.blocks >= 0).sum())


def by_blocks(chart: Chart, folder: Path) -> None:
    out = folder / "from_blocks"
    words = ["--look", "blocks", "--width", str(chart.width), "--out", str(out)]
    assert run(["chart", str(picture_file(chart, folder)), *words, *CHEAP]) == 0
    assert written(out)["blocks"] == chart.width * chart.height
    kept = json.loads((out / "chart.json").read_text(encoding="utf-8"))
    colors = [[kept["yarns"][n]["color"] for n in line] for line in kept["blocks"]]
    wanted = [[chart.yarns[max(n, 0)].color for n in line] for line in chart.blocks.tolist()]
    assert colors == wanted


def by_photo(chart: Chart, folder: Path) -> None:
    out = folder / "from_photo"
    words = ["--look", "photo", "--width", str(chart.width), "--height", str(chart.height)]
    words += ["--colors", "2", "--out", str(out)]
    assert run(["chart", str(picture_file(chart, folder)), *words, *CHEAP]) == 0
    assert written(out)["checked"] is True


def by_trial(chart: Chart, folder: Path) -> None:
    out = folder / "trial"
    words = [str(picture_file(chart, folder)), str(shelf_file(folder)), "--colors", "2"]
    words += ["--width", str(min(chart.width, 40)), "--out", str(out)]
    assert run(["trial", *words]) == 0
    with (out / "trial.csv").open(encoding="utf-8", newline="") as file:
        assert len(list(csv.DictReader(file))) == 1


def by_stripes(chart: Chart, folder: Path) -> None:
    shelf = shelf_file(folder).name
    plan = folder / "plan.toml"
    if chart.width == chart.height == chart.last_row:
        shape = f'shape = "triangle"\nrows = {chart.last_row}'
    else:
        shape = f"width = {chart.width}\nlength = {chart.height}"
    part = '[[part]]\norder = ["Chalk", "Moss"]\nrows = 1\nlasts = "to the end"\n'
    plan.write_text(f'{shape}\nshelf = "{shelf}"\nbuy = ["Chalk", "Moss"]\n{part}', "utf-8")
    assert run(["stripe", str(plan), "--out", str(folder / "stripes"), *CHEAP]) == 0
    figures = written(folder / "stripes")
    assert figures["changes_in_rows"] == 0
    assert figures["checked"] is True


JOBS: dict[str, Callable[[Chart, Path], None]] = {
    "report": by_report,
    "report otherwise": by_report_otherwise,
    "report half-way": by_report_half_way,
    "check": by_check,
    "report of a grid": by_grid,
    "chart of blocks": by_blocks,
    "chart of a photo": by_photo,
    "trial": by_trial,
    "stripe": by_stripes,
}


# A thousand blocks wide is slow to draw: two jobs are enough. What is drawn is drawn alike from
# wherever a chart comes, and another way or in stripes it is enough to see the ends of what can be.
UNDRAWN = ("report half-way", "report of a grid", "chart of blocks", "chart of a photo")
OTHERWISE = ("report otherwise", "stripe")
DRAWN_OTHERWISE = ("one block", "one column", "ends early", "triangle")


def is_drawn(job: str, kind: str) -> bool:
    return job not in UNDRAWN and (job not in OTHERWISE or kind in DRAWN_OTHERWISE)


PAIRS = [
    pytest.param(job, kind, marks=pytest.mark.every_file if is_drawn(job, kind) else ())
    for job in JOBS
    for kind in PIECES
    if kind != "a thousand wide" or job in ("report", "check")
]


@pytest.mark.usefixtures("few_files")
@pytest.mark.parametrize(("job", "kind"), PAIRS)
def test_every_command_on_every_kind_of_piece(
    job: str, kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    JOBS[job](PIECES[kind], tmp_path)
    assert "Traceback" not in capsys.readouterr().err
