"""Two charts that were kept, or grids, compared."""

from __future__ import annotations

from pathlib import Path

from pix2block.comparing.compared import Compared, compared_csv
from pix2block.comparing.page import compare_page
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
)


def compare_charts(old: str | Path, new: str | Path) -> Compared:
    """What changed from one chart.json, or grid, to another.

    Raises BadInput for a file that cannot be read.
    """
    one, other = open_chart(old), open_chart(new)
    return Compared(one.chart, other.chart, COMPARE_OUTPUTS, (*one.read, *other.read))


def folder_for(old: Path, new: Path) -> Path:
    """Where the files go unasked: "output/OLD-NEW". A chart.json goes by its folder's name."""
    return Path("output") / "-".join(called(path) for path in (old, new))


def called(path: Path) -> str:
    """What a chart's file goes by: a chart.json by its folder's name."""
    stem = path.resolve().parent.name if path.name == "chart.json" else path.stem
    return stem.strip(". ") or "chart"
