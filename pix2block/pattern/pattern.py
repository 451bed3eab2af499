"""The written pattern as a noun: what each row says, before it is put into words."""

from __future__ import annotations

from collections.abc import Sequence

from pix2block.chart.chart import Chart
from pix2block.craft.diagonal import Row
from pix2block.craft.plan import NO_BOBBIN, NO_RUN, StrandPlan
from pix2block.craft.stitches import climb_run, stop_run, turn_after
from pix2block.ground.frozen import dataclass


@dataclass(frozen=True)
class BobbinUse:
    """The bobbin that works one run.

    yarn: yarn number. number: the bobbin's number, None where its strand works this run alone.
    new: its strand starts here. behind_square: squared float in block sides where it comes from
    more than one side away, else None. last: its strand ends after this run.
    """

    yarn: int
    number: int | None
    new: bool
    behind_square: int | None
    last: bool


@dataclass(frozen=True)
class PatternRow:
    """One row of the pattern; yarns by number.

    runs: (blocks, yarn) in working order. travel_in, stop_in: the yarn of slip stitches at a turn
    where the colour changes; last_loop_in: the next row's first yarn where it is drawn in at this
    row's last stitch. bobbins: one a run. bobbins_plain: every run takes the only bobbin of its
    yarn, at most one side away and not for the last time, so that nothing need be said.
    goes_on: the row is one run of the yarn in hand. cuts: yarn and number of bobbins that hang and
    are cut before it is worked. made_to: it was the last one made, and gathered rows end with it.
    """

    row: Row
    runs: tuple[tuple[int, int], ...]
    travel_in: int | None
    stop_in: int | None
    last_loop_in: int | None
    remove_marker: bool
    bobbins: tuple[BobbinUse, ...]
    bobbins_plain: bool
    goes_on: bool
    cuts: tuple[tuple[int, int], ...] = ()
    made_to: bool = False


def write_rows(chart: Chart, plan: StrandPlan) -> list[PatternRow]:
    """Every row of the pattern, in working order."""
    runs = chart.runs
    uses, plain = _bobbin_uses(plan)
    colors, lengths = runs.color.tolist(), runs.blocks.tolist()
    made_to = chart.done.ends if chart.done else ()
    written = []
    for row in chart.layout:
        first, last = runs.first_and_last(row.number)
        before = colors[first - 1] if first else None
        after = colors[last + 1] if last + 1 < len(colors) else None
        changes_before = before is not None and before != colors[first]
        changes_after = after is not None and after != colors[last]
        next_grows = row.number < chart.last_row and (
            chart.layout.rows[row.number].begins == "grow"
        )
        turn_before, turn = chart.turns[row.number - 1], turn_after(chart.turns, row.number)
        travel_in = None
        if row.begins == "travel" and changes_before:
            travel_in = colors[climb_run(first, turn_before)]
        stop_in = None
        if row.ends == "stop":
            stop_in = colors[stop_run(last, turn, after is not None)]
        written.append(
            PatternRow(
                row=row,
                runs=tuple((lengths[i], colors[i]) for i in range(first, last + 1)),
                travel_in=travel_in,
                stop_in=None if stop_in == colors[last] else stop_in,
                last_loop_in=after if changes_after and (turn == "early" or next_grows) else None,
                remove_marker=row.ends == "stop",
                bobbins=tuple(uses[first : last + 1]),
                bobbins_plain=all(plain[first : last + 1]),
                goes_on=first == last and first > 0 and int(plan.preceding[first]) == first - 1,
                cuts=tuple(
                    (colors[plan.first_runs[strand]], int(plan.bobbins.of_strand[strand]))
                    for strand in plan.cuts.get(row.number, ())
                ),
                made_to=row.number in made_to,
            )
        )
    return written


def _bobbin_uses(plan: StrandPlan) -> tuple[list[BobbinUse], list[bool]]:
    """Every run's bobbin, and whether it need not be told."""
    numbers = plan.bobbins
    of_run = numbers.of_strand[plan.strand].tolist()
    only_one = numbers.only_one.tolist()
    starts, ends = (plan.preceding == NO_RUN).tolist(), plan.ends.tolist()
    squares = plan.float_squares.tolist()
    uses, plain = [], []
    for run, color in enumerate(plan.runs.color.tolist()):
        number = None if of_run[run] == NO_BOBBIN else of_run[run]
        behind = squares[run] if squares[run] > 1 else None
        uses.append(BobbinUse(color, number, starts[run], behind, ends[run]))
        plain.append(only_one[run] and not ends[run] and behind is None)
    return uses, plain


def gather_rows(rows: Sequence[PatternRow]) -> list[list[PatternRow]]:
    """Rows in groups: those that repeat together, every other one on its own.

    Gathered are rows one after another, each of one run of the same yarn that goes on in the
    bobbin in hand, without a change at their turns. Either each has as many blocks, ends and
    markers alternating alike; or each has one block more, or each one fewer, than the one before,
    with ends and markers alike in all. The first row that sets a marker stands alone, and where
    rows are made, gathered rows end with the last of them.
    """
    first_marked = next((row for row in rows if row.row.marker), None)
    groups: list[list[PatternRow]] = []
    for row in rows:
        alone = row is first_marked or (groups and groups[-1][0] is first_marked)
        alone = alone or (groups and groups[-1][-1].made_to)
        if groups and not alone and _goes_with(groups[-1], row):
            groups[-1].append(row)
        else:
            groups.append([row])
    return groups


def _goes_with(group: list[PatternRow], row: PatternRow) -> bool:
    if not (_is_quiet(group[0]) and _is_quiet(row)):
        return False
    change = row.row.blocks - group[-1].row.blocks
    if len(group) > 1 and group[1].row.blocks - group[0].row.blocks != change:
        return False
    alike = group[-1:] if change else group[-2:-1]
    return all(_shape(other) == _shape(row) for other in alike)


def _is_quiet(row: PatternRow) -> bool:
    return (
        row.goes_on
        and row.bobbins_plain
        and row.travel_in is None
        and row.stop_in is None
        and row.last_loop_in is None
        and not row.cuts
    )


def _shape(row: PatternRow) -> tuple[str, str, bool]:
    return row.row.begins, row.row.ends, row.row.marker
