"""Rows that are made stay: what a mend may still reach of a piece that is begun."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.chart.yarn_order import with_numbers, with_yarns
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput
from pix2block.mending.places import Mask
from pix2block.yarn.yarn import name_key

OF_SHAPE = frozenset({"mirror", "rotate", "cut", "frame", "extend", "repeat"})


def refuse_other_shape(chart: Chart, mend: str) -> None:
    """Raise BadInput for a mend of the whole piece's shape where rows of it are made."""
    if chart.done and mend in OF_SHAPE:
        raise BadInput(f"{chart.done.are_made}, and the piece keeps its shape: leave it out")


def refuse_made(chart: Chart, at: Mask | None) -> None:
    """Raise BadInput where a place, (height, width), reaches a row that is made."""
    reached = None if at is None or not chart.done else at & chart.made
    if chart.done and reached is not None and reached.any():
        row = int(chart.layout.row_numbers()[reached].min())
        raise BadInput(
            f"it reaches row {row}, and {chart.done.are_made}: name later ones, or see what "
            "ripping back takes, with ",
            Ask("rip_back", row),
        )


def rows_begun(chart: Chart) -> int:
    """How many rows are made, or begun: 0 where none is."""
    return chart.done.row if chart.done else 0


def still_open(chart: Chart) -> Mask:
    """(height, width) blocks of the rows after those that are begun: every block where none is."""
    is_block = chart.blocks != NO_BLOCK
    return np.asarray(is_block & (chart.layout.row_numbers() > rows_begun(chart)))


def from_where(chart: Chart) -> str:
    """ " from row 41 on", of what is mended everywhere; nothing where no row is made."""
    return f" from row {chart.done.row + 1} on" if chart.done else ""


def with_made_rows(before: Chart, chart: Chart) -> Chart:
    """A chart of the same piece, made anew, with the blocks of the rows that are begun in another.

    Raises BadInput where these rows would be worked otherwise.
    """
    if before.done is None:
        return chart
    _refuse_other_way(before, chart)
    names = {name_key(yarn.name) for yarn in chart.yarns}
    used = before.blocks_by_yarn > 0
    more = [y for y, is_used in zip(before.yarns, used, strict=True) if is_used]
    grown = with_yarns(chart, (*chart.yarns, *(y for y in more if name_key(y.name) not in names)))
    number = {name_key(yarn.name): i for i, yarn in enumerate(grown.yarns)}
    of_before = np.array(
        [*(number.get(name_key(y.name), NO_BLOCK) for y in before.yarns), NO_BLOCK]
    )
    blocks = np.where(still_open(before), grown.blocks, of_before[before.blocks])
    return with_made(before, replace(grown, blocks=blocks))


def with_made(before: Chart, chart: Chart) -> Chart:
    """A chart with the rows that are made of another, whose yarns may have other places.

    Raises BadInput where these rows are otherwise in it.
    """
    if before.done is None:
        return chart
    _refuse_other_way(before, chart)
    place = {name_key(yarn.name): number for number, yarn in enumerate(chart.yarns)}
    number = [place.get(name_key(yarn.name), i) for i, yarn in enumerate(before.yarns)]
    return replace(chart, done=with_numbers(before.done, np.array(number)))


_WAY = ("width", "height", "last_row", "start_corner", "hand", "block")


def _refuse_other_way(before: Chart, chart: Chart) -> None:
    changed = [name for name in _WAY if getattr(before, name) != getattr(chart, name)]
    if changed and before.done:
        what = ", ".join(name.replace("_", " ") for name in changed)
        raise BadInput(f"{before.done.are_made}, and the piece keeps its {what}")
