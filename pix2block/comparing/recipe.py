"""Two charts that were kept, or grids, compared."""

from __future__ import annotations

from pathlib import Path

from pix2block.comparing.compared import Compared, compared_csv
from pix2block.comparing.page import compare_page
from pix2block.comparing.sheets import changes_text, sheet_for_testers
from pix2block.pattern.credit import open_credit
from pix2block.recipes.from_file import open_chart
from pix2block.study.output import Output

COMPARE_OUTPUTS: tuple[Output[Compared], ...] = (
    Output(
        "compare.csv",
        "of two charts: each block that changed, with its yarns before and now",
        lambda compared: compared_csv(compared).encode(),
    ),
    Output(
        "compare.html",
        "the same as a page: rows, yarn and tails that changed, the new chart with changed blocks "
        "outlined",
        lambda compared: compare_page(compared).encode(),
    ),
    Output(
        "changes.txt",
        "the same for those who bought the pattern: rows as they were and are, yarn to have; its "
        "version with {credit}",
        lambda compared: changes_text(compared).encode(),
    ),
    Output(
        "testers.txt",
        "a sheet for testers of the new chart: rows that changed, rows to time, weigh-ins, room to "
        "write",
        lambda compared: sheet_for_testers(compared).encode(),
    ),
)


def compare_charts(old: str | Path, new: str | Path, credit: str | Path | None = None) -> Compared:
    """What changed from one chart.json, or grid, to another. credit: the file that tells the new
    pattern's version.

    Raises BadInput for a file that cannot be read.
    """
    one, other = open_chart(old), open_chart(new)
    version = open_credit(credit).version if credit else None
    read = (*one.read, *other.read)
    return Compared(one.chart, other.chart, COMPARE_OUTPUTS, read, version)


def folder_for(old: Path, new: Path) -> Path:
    """Where the files go unasked: "output/OLD-NEW". A chart.json goes by its folder's name."""
    return Path("output") / "-".join(called(path) for path in (old, new))


def called(path: Path) -> str:
    """What a chart's file goes by: a chart.json by its folder's name."""
    stem = path.resolve().parent.name if path.name == "chart.json" else path.stem
    return stem.strip(". ") or "chart"
