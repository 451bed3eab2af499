"""A chart that was kept, mended."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from pix2block.chart.chart import Chart
from pix2block.mending.apply import Asked, Mended, apply_mends
from pix2block.mending.apply import undo as undone
from pix2block.options.table import Options
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.supplies import open_shelf
from pix2block.study.study import NOTHING_ASKED, Study
from pix2block.yarn.yarn import Yarn

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
