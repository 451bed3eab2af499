"""Runs: the longest stretches of one colour inside a row, in working order."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pix2block.craft.diagonal import Ints, Layout
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass


@dataclass(frozen=True, eq=False)
class Runs:
    """Every run of a piece in working order, an array entry a run.

    row: row number from 1; number: place in its row from 1; color: yarn number; blocks: length;
    starts: the run's first block in the working order of the whole piece.
    """

    row: Ints
    number: Ints
    color: Ints
    blocks: Ints
    starts: Ints
    rows: int

    def __repr__(self) -> str:
        return f"Runs({len(self)} runs in {self.rows} rows)"

    def __len__(self) -> int:
        return len(self.row)

    @cached_property
    def row_starts(self) -> Ints:
        """(rows + 1,) index of each row's first run, and the number of runs."""
        return np.searchsorted(self.row, np.arange(1, self.rows + 2))

    def first_and_last(self, row: int) -> tuple[int, int]:
        """Index of the first and of the last run of a row."""
        return int(self.row_starts[row - 1]), int(self.row_starts[row]) - 1

    def of_row(self, row: int) -> range:
        """Indices of a row's runs."""
        first, last = self.first_and_last(row)
        return range(first, last + 1)

    @cached_property
    def changes_in_rows(self) -> Ints:
        """(rows,) colour changes inside each row."""
        return np.diff(self.row_starts) - 1

    @cached_property
    def changes_at_turns(self) -> Ints:
        """(rows,) 1 where a row's first colour differs from the last of the row before."""
        firsts = self.row_starts[:-1]
        changed = np.zeros(self.rows, dtype=np.int64)
        changed[1:] = self.color[firsts[1:]] != self.color[firsts[1:] - 1]
        return changed


def find_runs(blocks: NDArray[np.integer], layout: Layout) -> Runs:
    """The runs of a chart.

    blocks: (height, width) yarn numbers, negative exactly where no block is.

    Raises BadInput where the shape differs from the layout, or a block is missing or too many.
    """
    if blocks.shape != (layout.height, layout.width):
        raise BadInput(
            f"the chart has {blocks.shape[0]} lines of {blocks.shape[1]} blocks, "
            f"its layout {layout.height} of {layout.width}"
        )
    wrong = (blocks >= 0) != (layout.row_numbers() <= layout.last_row)
    if wrong.any():
        line, column = (int(i) for i in np.argwhere(wrong)[0])
        word = "no block" if blocks[line, column] < 0 else "a block"
        raise BadInput(
            f"line {line + 1}, column {column + 1} of the chart holds {word}: "
            f"rows 1 to {layout.last_row} hold blocks and no later one does"
        )
    lines, columns, row = layout.order
    color = blocks[lines, columns].astype(np.int64)
    new = np.ones(len(color), dtype=bool)
    new[1:] = (color[1:] != color[:-1]) | (row[1:] != row[:-1])
    starts = np.flatnonzero(new)
    run_row = row[starts]
    firsts = np.searchsorted(run_row, run_row)
    return Runs(
        row=run_row,
        number=np.arange(len(starts)) - firsts + 1,
        color=color[starts],
        blocks=np.diff(starts, append=len(color)),
        starts=starts,
        rows=layout.last_row,
    )
