"""A chart as it is worked: rows are made, or ripped back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

from pix2block.chart.chart import Chart
from pix2block.chart.done import MadeRows, MadeStrand, TurnFrom, print_of, runs_made
from pix2block.craft.plan import NO_BOBBIN


def made_up_to(chart: Chart, row: int, run: int | None = None) -> Chart:
    """The chart with its rows up to this one made, as they are planned now, or only so many runs of
    the last; 0 for none. Where more were made, the others are ripped back: strands that went on or
    ended in them hang again.

    Raises BadInput for a row or run that is not in the piece.
    """
    if row == 0:
        return replace(chart, done=None)
    runs, before = chart.runs, chart.done
    worked = runs_made(runs, row, run)
    whole = worked == int(runs.row_starts[row])
    ends = {end for end in before.ends if end < row} if before else set()
    if whole:
        ends |= {row, row - 1} - {0} if _draws_in(chart, row) else {row}
    return replace(
        chart,
        done=MadeRows(
            row=row,
            run=None if whole else run,
            strands=tuple(_strands(chart, row, worked)),
            ends=tuple(sorted(ends)),
            turns=tuple(_turns(chart.turns[:row])),
            of=print_of(runs, worked),
        ),
    )


def _draws_in(chart: Chart, row: int) -> bool:
    """Whether the next row's first yarn is drawn in at this row's last stitch, so that it stands
    alone among rows that are gathered."""
    runs = chart.runs
    if row == chart.last_row or not runs.changes_at_turns[row]:
        return False
    return chart.turns[row] == "early" or chart.layout.rows[row].begins == "grow"


def _strands(chart: Chart, row: int, worked: int) -> list[MadeStrand]:
    runs, plan = chart.runs, chart.plan
    cut = {strand: at for at, strands in plan.cuts.items() for strand in strands if at <= row}
    hung = {strand for strands in plan.cuts.values() for strand in strands} - set(cut)
    made = []
    for strand, path in enumerate(plan.paths):
        if path[0] >= worked:
            break
        so_far = [one for one in path if one < worked]
        number = int(plan.bobbins.of_strand[strand])
        made.append(
            MadeStrand(
                yarn=int(runs.color[path[0]]),
                number=None if number == NO_BOBBIN else number,
                path=" ".join(f"{runs.row[one]}.{runs.number[one]}" for one in so_far),
                hangs=len(so_far) < len(path) or strand in hung,
                cut=cut.get(strand),
            )
        )
    return made


def _turns(turns: Sequence[str]) -> list[TurnFrom]:
    stretches, row = [], 1
    for turn, same in groupby(turns):
        stretches.append(TurnFrom(row, "early" if turn == "early" else "late"))
        row += len(list(same))
    return stretches
