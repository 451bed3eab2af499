"""A picture charted in a folder: what was kept there of it stays, mends and made rows."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from pix2block.chart.chart import Chart
from pix2block.chart.reading import read_chart
from pix2block.ground.errors import BadInput
from pix2block.ground.files import finish_swap, noting_files
from pix2block.ground.progress import Progress
from pix2block.ground.swap import bytes_of
from pix2block.options.table import Options
from pix2block.recipes.by_hand import with_hand_edit
from pix2block.recipes.from_picture import ready_to_work, work
from pix2block.recipes.keeping import CHART
from pix2block.study.study import NOTHING_ASKED, Study


@noting_files
def chart_again(
    picture: str | Path,
    folder: str | Path,
    options: Options = NOTHING_ASKED,
    progress: Progress | None = None,
    calming: Progress | None = None,
) -> Study:
    """A piece as `chart_picture` gives it; where the folder's chart.json is of the same picture and
    was mended, with these mends done again: shields first, then yarns and calming, then the mends
    in order. Those whose place or yarn is gone are told. Rows that are made stay as they are.
    `fresh` leaves mends and made rows out.

    Raises BadInput as that does, and where made rows would be worked otherwise.
    """
    ready = ready_to_work(picture, options, progress)
    sha256 = ready.view.picture.sha256
    kept = None if options.fresh else _kept(Path(folder), sha256)
    if kept is None:  # what does mends again need not be loaded
        return work(ready, options, calming)
    from pix2block.recipes.replay import work_again

    return work_again(ready, kept, options, calming)


def _kept(folder: Path, sha256: str) -> Chart | None:
    """A folder's chart, where it is of the picture with that SHA-256, and its journal holds."""
    finish_swap(folder)
    path = folder / CHART
    try:
        chart, _ = read_chart(bytes_of(path), str(path))
        same = chart.source is not None and chart.source.sha256 == sha256
        chart = with_hand_edit(chart, folder)
        if chart.mends:
            from pix2block.mending.back import steps_of

            steps_of(replace(chart, done=None))
        return chart if same else None
    except (OSError, BadInput):
        return None
