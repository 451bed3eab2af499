"""rows.csv, strands.csv and yarn.csv: RFC 4180, unknown values empty, rounded only here."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from pix2block.amounts.ways import Way
from pix2block.amounts.yarn_use import Amounts


def _table(header: Sequence[str], lines: Iterable[Sequence[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(lines)
    return out.getvalue()


def _fixed(value: float | None, places: int) -> str:
    return "" if value is None else f"{value:.{places}f}"


def rows_csv(amounts: Amounts) -> str:
    """One line a diagonal row, in working order."""
    chart, plan, runs = amounts.chart, amounts.plan, amounts.chart.runs
    names = [yarn.name for yarn in chart.yarns]
    tails, attached = plan.tails_by_row.tolist(), plan.attached_by_row.tolist()
    changes, minutes = amounts.changes_by_row.tolist(), amounts.minutes_by_row.tolist()
    lengths, colors, strands = runs.blocks.tolist(), runs.color.tolist(), plan.strand.tolist()
    lines = []
    so_far = 0
    for i, row in enumerate(chart.layout):
        of_row = runs.of_row(row.number)
        so_far += row.blocks
        joins = amounts.joins_of_runs(of_row)
        lines.append(
            (
                *(row.number, row.side, row.begins, row.ends, row.phase, row.blocks),
                " | ".join(f"{lengths[r]} {names[colors[r]]}" for r in of_row),
                " | ".join(str(strands[r] + 1) for r in of_row),
                *(changes[i], tails[i], "" if joins is None else joins, attached[i]),
                *("yes" if row.marker else "no", so_far, _fixed(minutes[i], 1)),
            )
        )
    header = (
        "row side begins ends phase blocks runs strands changes tails joins attached marker "
        "blocks_so_far minutes"
    )
    return _table(header.split(), lines)


def strands_csv(amounts: Amounts) -> str:
    """One line a strand, numbered from 1 by first run."""
    chart, plan, runs = amounts.chart, amounts.plan, amounts.chart.runs
    rows, numbers = runs.row.tolist(), runs.number.tolist()
    lines = []
    for i, path in enumerate(plan.paths):
        index = list(path)
        joins = amounts.joins_of_runs(path)
        lines.append(
            (
                *(i + 1, chart.yarns[int(runs.color[path[0]])].name, rows[path[0]], rows[path[-1]]),
                " ".join(f"{rows[r]}.{numbers[r]}" for r in path),
                *(len(path), int(runs.blocks[index].sum()), int(amounts.run_loops[index].sum())),
                _fixed(float(plan.float_sides[index].sum()), 2),
                *("" if joins is None else joins, _fixed(float(amounts.strand_metres[i]), 2)),
            )
        )
    header = "strand yarn first_row last_row path runs blocks loops float_sides joins metres"
    return _table(header.split(), lines)


def ways_csv(ways: Sequence[Way]) -> str:
    """One line a way of working the same chart."""
    lines = [
        (
            *(way.corner, way.habit.name, f"{way.habit.reach:g}", way.habit.rest, way.habit.edge),
            *(way.tails, way.most_hanging, _fixed(way.longest_float, 2)),
            *(_fixed(way.float_sides, 2), _fixed(way.hours, 2)),
        )
        for way in ways
    ]
    header = "corner habit reach rest edge tails most_hanging longest_float float_sides hours"
    return _table(header.split(), lines)


def yarn_csv(amounts: Amounts) -> str:
    """One line a yarn, in the chart's order, unused ones with zeros."""
    lines = []
    for yarn, of in zip(amounts.chart.yarns, amounts.yarns, strict=True):
        lines.append(
            (
                *(yarn.name, yarn.color, of.blocks, _fixed(of.share, 4), of.strands, of.tails),
                *("" if of.joins is None else of.joins, of.loops, _fixed(of.float_sides, 2)),
                *(_fixed(m, 2) for m in (of.metres, of.metres_low, of.metres_high)),
                *(_fixed(of.grams, 1), "" if of.skeins is None else of.skeins),
                "" if of.on_hand is None else f"{of.on_hand:g}",
                *(_fixed(of.short_by, 2), _fixed(of.leftover, 2)),
                "" if of.to_buy is None else of.to_buy,
                *(_fixed(of.cost, 2), _fixed(of.border_metres, 2)),
            )
        )
    header = (
        "yarn color blocks share strands tails joins loops float_sides metres metres_low "
        "metres_high grams skeins on_hand short_by leftover "
        "to_buy cost border_metres"
    )
    return _table(header.split(), lines)
