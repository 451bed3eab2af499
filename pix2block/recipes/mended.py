"""A chart that was kept, mended."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from pix2block.chart.chart import Chart
from pix2block.chart.drawn import Drawn, drawn_csv
from pix2block.chart.grid import read_grid
from pix2block.chart.reading import read_chart
from pix2block.ground.delimited import decode_text
from pix2block.ground.errors import BadInput
from pix2block.ground.files import files_read, noting_files, read_bytes
from pix2block.mending.apply import Asked, Mended, apply_mends, with_grid
from pix2block.mending.back import undo as undone
from pix2block.options.table import Options
from pix2block.recipes.by_hand import with_hand_edit
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.keeping import CHART
from pix2block.recipes.supplies import open_shelf
from pix2block.study.study import NOTHING_ASKED, Study
from pix2block.yarn.yarn import Yarn

GRID = "chart.csv"
Of = TypeVar("Of", Study, Chart)


def open_to_mend(
    path: str | Path, options: Options = NOTHING_ASKED
) -> tuple[Study, tuple[Yarn, ...]]:
    """A piece as `open_chart` gives it, and the yarns of the shelf, which mends may use.

    Raises BadInput as that does.
    """
    if not options.shelf:
        return _noting_edits(open_chart(path, options)), ()
    of_shelf = options.done or options.border or Path(path).suffix.lower() == ".csv"
    asked = options if of_shelf else replace(options, shelf=None)
    study = open_chart(path, asked)
    read = (*study.read, Path(options.shelf))
    study = _noting_edits(replace(study, options=options, read=read))
    return study, open_shelf(options.shelf).yarns


def _noting_edits(study: Study) -> Study:
    """The piece, with a change of its chart.json by hand entered into the journal."""
    path = study.chart_file
    if path is None or path.name != CHART:
        return study
    return replace(study, chart=with_hand_edit(study.chart, path.parent))


@noting_files
def report_of(path: str | Path, options: Options = NOTHING_ASKED) -> Study:
    """A piece as `open_chart` gives it; of the chart.csv of a folder that has a chart.json, the
    piece of that with the grid's blocks, as a mend.

    Raises BadInput as that does, and for a grid of another size.
    """
    path = Path(path)
    beside = path.parent / CHART
    if path.name != GRID or not beside.exists():
        return _noting_edits(open_chart(path, options))
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

    Raises BadInput with every one that cannot be.
    """
    done, read = apply_asked(_chart(of), mends, shelf)
    return mended(of, done, read)


def undo(of: Of, which: int | str = 1) -> Of:
    """The piece, or the chart, without the last so many lines of its journal, or without one alone,
    as "line:5".

    Raises BadInput where there are fewer, or where a later line rests on it.
    """
    return mended(of, undone(_chart(of), which))


def apply_asked(
    chart: Chart, mends: Sequence[Asked], shelf: Sequence[Yarn] = ()
) -> tuple[Mended, tuple[Path, ...]]:
    """The chart with mends in the order given, and the files that they read.

    Raises BadInput with every one that cannot be.
    """
    with files_read() as read:
        done = apply_mends(chart, mends, shelf, open_placed)
    return done, tuple(read)


def open_placed(name: str) -> Chart | Drawn:
    """A chart, or a grid's cells, to be placed on a chart. Raises BadInput where it cannot be
    read."""
    path = Path(name)
    if path.suffix.lower() == ".json":
        return read_chart(read_bytes(path, "chart"), name)[0]
    return drawn_csv(decode_text(read_bytes(path, "grid"), f"grid {path}"), name)


def mended(of: Of, done: Mended, read: Sequence[Path] = ()) -> Of:
    """The piece, or the chart, as it is afterwards. read: files that were read for it."""
    if not isinstance(of, Study):
        return done.after
    return replace(of, chart=done.after, read=(*of.read, *read))


def _chart(of: Study | Chart) -> Chart:
    return of.chart if isinstance(of, Study) else of
