"""What ripping rows back takes and saves: rows to work again, ends to join on, fewer tails."""

from __future__ import annotations

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.chart.made import made_up_to
from pix2block.craft.plan import NO_RUN
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass


@dataclass(frozen=True)
class Rejoin:
    """A bobbin that was cut in rows to be undone, and goes on: its yarn, its number, and the row
    and run where it is left then."""

    yarn: int
    number: int
    row: int
    run: int


@dataclass(frozen=True)
class RipBack:
    """Rows `first` to `last` undone. blocks, minutes: to work again, of what is made of them;
    rejoin: what is then joined on; tails: of the whole piece, without it and with it, both as it is
    worked from there on."""

    first: int
    last: int
    blocks: int
    minutes: float
    rejoin: tuple[Rejoin, ...]
    tails: tuple[int, int]

    @property
    def saves(self) -> int:
        """Tails fewer, two more a bobbin that is joined on."""
        return self.tails[0] - self.tails[1] - 2 * len(self.rejoin)


def refuse_rip_back(chart: Chart, row: int) -> None:
    """Raise BadInput where a row is not made."""
    if chart.done is None:
        raise BadInput(Ask("rip_back", row), ": no row is made yet: add ", Ask("done", "ROW"))
    if row > chart.done.row:
        raise BadInput(Ask("rip_back", row), f": {chart.done.are_made}: name the first row to undo")


def rip_back(chart: Chart, row: int) -> RipBack:
    """What it takes to undo the rows that are made from this one on, and what that saves.

    Raises BadInput where it is not made.
    """
    refuse_rip_back(chart, row)
    before, done = chart.begun, chart.done
    assert before
    assert done
    after = made_up_to(chart, row - 1)
    undone = slice(int(chart.runs.row_starts[row - 1]), before.runs)
    changes = np.count_nonzero(np.diff(chart.runs.color[max(0, undone.start - 1) : undone.stop]))
    blocks = int(chart.runs.blocks[undone].sum())
    return RipBack(
        first=row,
        last=done.row,
        blocks=blocks,
        minutes=blocks * chart.pace.block + changes * chart.pace.change,
        rejoin=_rejoined(chart, after),
        tails=(chart.plan.tails, after.plan.tails),
    )


def _rejoined(chart: Chart, after: Chart) -> tuple[Rejoin, ...]:
    """Bobbins that have ended in what is made, but go on in the plan behind fewer rows."""
    now, then = chart.begun, after.begun
    assert now
    if then is None:
        return ()
    plan, runs = after.plan, chart.runs
    rejoined = []
    for strand, hangs in enumerate(then.hangs.tolist()):
        last = max(run for run in plan.paths[strand] if run < then.runs)
        if hangs and not now.hangs[strand] and plan.following[last] != NO_RUN:
            place = int(runs.row[last]), int(runs.number[last])
            rejoined.append(Rejoin(int(runs.color[last]), int(then.numbers[strand]), *place))
    return tuple(rejoined)
