"""A chart that was kept, mended."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from pix2block.chart.chart import Chart
from pix2block.chart.drawn import Drawn
from pix2block.ground.files import files_read, noting_files
from pix2block.options.table import Options
from pix2block.proof.rows import Told
from pix2block.recipes.by_hand import with_hand_edit
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.grids import chart_beside, is_grid, open_blocks
from pix2block.recipes.keeping import CHART
from pix2block.recipes.supplies import open_shelf
from pix2block.study.study import NOTHING_ASKED, Study
from pix2block.yarn.yarn import Yarn

if TYPE_CHECKING:
    from pix2block.mending.apply import Asked, Mended

Of = TypeVar("Of", Study, Chart)


def open_to_mend(
    path: str | Path, options: Options = NOTHING_ASKED
) -> tuple[Study, tuple[Yarn, ...]]:
    """A piece as `open_chart` gives it, and the yarns of the shelf, which mends may use.

    Raises BadInput as that does.
    """
    if not options.shelf:
        return _noting_edits(open_chart(path, options)), ()
    of_shelf = options.done or options.border or is_grid(Path(path))
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
    """A piece as `open_chart` gives it; of the chart.csv, chart.xlsx or pattern.txt of a folder
    that has a chart.json, the piece of that with the file's blocks, as a mend.

    Raises BadInput as that does, and for a file of another size.
    """
    path = Path(path)
    if chart_beside(path) is None:
        return _noting_edits(open_chart(path, options))
    study, done, read = open_and_apply(path, options, ())
    after = mended(study, done, read)
    return replace(after, decisions=(*after.decisions, *done.lines))


def open_and_apply(
    path: str | Path, options: Options, mends: Sequence[Asked]
) -> tuple[Study, Mended, tuple[Path, ...]]:
    """A piece as `open_to_mend` gives it, what mends make of it, and the files that they read. Of a
    file beside a chart.json the piece is that of the chart, and the file's blocks the first mend.

    Raises BadInput as that does, and with every mend that cannot be.
    """
    from pix2block.mending.verbs import GRID

    path = Path(path)
    beside = chart_beside(path)
    study, shelf = open_to_mend(beside or path, options)
    asked = [*([(GRID, path.name)] if beside else []), *mends]
    done, read = apply_asked(study.chart, asked, shelf, path)
    return study, done, read


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
    from pix2block.mending.back import undo as undone

    return mended(of, undone(_chart(of), which))


def apply_asked(
    chart: Chart, mends: Sequence[Asked], shelf: Sequence[Yarn] = (), grid: Path | None = None
) -> tuple[Mended, tuple[Path, ...]]:
    """The chart with mends in the order given, and the files that they read. grid: the file of this
    very chart, which a mend knows by its name alone.

    Raises BadInput with every one that cannot be.
    """
    from pix2block.mending.apply import apply_mends

    def opened(name: str) -> Chart | Drawn | Told:
        return open_blocks(grid if grid and name == grid.name else name)

    with files_read() as read:
        done = apply_mends(chart, mends, shelf, opened)
    return done, tuple(read)


def mended(of: Of, done: Mended, read: Sequence[Path] = ()) -> Of:
    """The piece, or the chart, as it is afterwards. read: files that were read for it."""
    if not isinstance(of, Study):
        return done.after
    return replace(of, chart=done.after, read=(*of.read, *read))


def _chart(of: Study | Chart) -> Chart:
    return of.chart if isinstance(of, Study) else of
