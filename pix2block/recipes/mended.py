"""A chart that was kept, mended."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from pix2block.chart.chart import Chart
from pix2block.chart.grid import read_grid
from pix2block.ground.delimited import decode_text
from pix2block.ground.errors import BadInput
from pix2block.ground.files import noting_files, read_bytes
from pix2block.mending.apply import Asked, Mended, apply_mends, with_grid
from pix2block.mending.apply import undo as undone
from pix2block.options.table import Options
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.supplies import open_shelf
from pix2block.study.study import NOTHING_ASKED, Study
from pix2block.yarn.yarn import Yarn

CHART, GRID = "chart.json", "chart.csv"
Of = TypeVar("Of", Study, Chart)


def open_to_mend(
    path: str | Path, options: Options = NOTHING_ASKED
) -> tuple[Study, tuple[Yarn, ...]]:
    """A piece as `open_chart` gives it, and the yarns of the shelf, which mends may use.

    Raises BadInput as that does.
    """
    if not options.shelf:
        return open_chart(path, options), ()
    of_shelf = options.done or options.border or Path(path).suffix.lower() == ".csv"
    asked = options if of_shelf else replace(options, shelf=None)
    study = open_chart(path, asked)
    read = (*study.read, Path(options.shelf))
    return replace(study, options=options, read=read), open_shelf(options.shelf).yarns


@noting_files
def report_of(path: str | Path, options: Options = NOTHING_ASKED) -> Study:
    """A piece as `open_chart` gives it; of the chart.csv of a folder that has a chart.json, the
    piece of that with the grid's blocks, as a mend.

    Raises BadInput as that does, and for a grid of another size.
    """
    path = Path(path)
    beside = path.parent / CHART
    if path.name != GRID or not beside.exists():
        return open_chart(path, options)
    study, shelf = open_to_mend(beside, options)
    text = decode_text(read_bytes(path, "grid"), f"grid {path}")
    grid = read_grid(text, str(path), (*study.chart.yarns, *shelf))
    try:
        chart = with_grid(study.chart, GRID, grid.blocks, grid.yarns)
    except BadInput as error:
        raise error.within(f"grid {path}") from None
    return replace(study, chart=chart, notes=(*study.notes, *grid.warnings))


def mend(of: Of, mends: Sequence[Asked], shelf: Sequence[Yarn] = ()) -> Of:
    """The piece, or the chart, with mends in the order given, each with its line in the journal.

    mends: a name and a value each, as ("paint", "row 57.3=Moss"): those of `pix2block mend`; shelf:
    yarns that they may use beside the piece's own.

    Raises BadInput for the first that cannot be.
    """
    return mended(of, apply_mends(_chart(of), mends, shelf))


def undo(of: Of, which: int | str = 1) -> Of:
    """The piece, or the chart, without the last so many lines of its journal, or without one alone,
    as "line:5".

    Raises BadInput where there are fewer, or where a later line rests on it.
    """
    return mended(of, undone(_chart(of), which))


def mended(of: Of, done: Mended) -> Of:
    """The piece, or the chart, as it is afterwards."""
    return replace(of, chart=done.after) if isinstance(of, Study) else done.after


def _chart(of: Study | Chart) -> Chart:
    return of.chart if isinstance(of, Study) else of
