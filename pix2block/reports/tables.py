"""The tables of the output folder: RFC 4180, unknown values empty, rounded only on writing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pix2block.amounts.yarn_use import Amounts
from pix2block.calming.curve import Curve
from pix2block.chart.chart import Chart
from pix2block.craft.tails import TAIL_PLACES, tail_counts
from pix2block.design.likeness import error_figures
from pix2block.ground.delimited import table
from pix2block.ground.units import fixed
from pix2block.study.worked import Worked


def chart_csv(chart: Chart) -> str:
    """The blocks as yarns' names, a line a chart line from the top, columns and lines counted;
    empty where no block is. Reading a grid leaves the counts aside."""
    names = [*(yarn.name for yarn in chart.yarns), ""]  # the last stands for no block
    lines = enumerate(chart.blocks.tolist(), 1)
    counts = ["", *map(str, range(1, chart.width + 1))]
    return table(counts, ([number, *(names[i] for i in line)] for number, line in lines))


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
                *("yes" if row.marker else "no", so_far, fixed(minutes[i], 1)),
            )
        )
    header = (
        "row side begins ends phase blocks runs strands changes tails joins attached marker "
        "blocks_so_far minutes"
    )
    return table(header.split(), lines)


def strands_csv(amounts: Amounts) -> str:
    """One line a strand, numbered from 1 by first run. A spreadsheet takes the path of one run for
    a number, 4.10 for 4.1: so `places` says it again in words that stay words, those of a mend."""
    chart, plan, runs = amounts.chart, amounts.plan, amounts.chart.runs
    names, colors = [yarn.name for yarn in chart.yarns], runs.color.tolist()
    rows, ends, metres = runs.row.tolist(), plan.end_rows.tolist(), amounts.strand_metres.tolist()
    places = [f"{row}.{n}" for row, n in zip(rows, runs.number.tolist(), strict=True)]
    whole = [
        np.bincount(plan.strand, each, plan.strands).astype(np.int64).tolist()
        for each in (runs.blocks, amounts.run_loops, amounts.run_joins)
    ]
    sides = np.bincount(plan.strand, plan.float_sides, plan.strands).tolist()
    lines = []
    for i, (path, blocks, loops, joins) in enumerate(zip(plan.paths, *whole, strict=True)):
        color, there = colors[path[0]], [places[run] for run in path]
        lines.append(
            (
                *(i + 1, names[color], rows[path[0]], ends[i], " ".join(there)),
                *(len(path), blocks, loops, fixed(sides[i], 2)),
                *(joins if amounts.joins_known[color] else "", fixed(metres[i], 2)),
                f"run {'; run '.join(there)}",
            )
        )
    header = "strand yarn first_row last_row path runs blocks loops float_sides joins metres places"
    return table(header.split(), lines)


def bobbins_csv(amounts: Amounts) -> str:
    """One line a strand that gets a bobbin with a number, by yarn, then by first run."""
    names = [yarn.name for yarn in amounts.chart.yarns]
    bobbins = sorted(amounts.bobbins, key=lambda bobbin: bobbin.yarn)
    lines = [
        (
            *(names[bobbin.yarn], bobbin.number, bobbin.strand + 1),
            *(bobbin.first_row, bobbin.last_row, fixed(bobbin.metres, 2)),
            "yes" if bobbin.over_hand else "no",
            "yes" if bobbin.from_skein else "no",
        )
        for bobbin in bobbins
        if bobbin.number is not None
    ]
    header = "yarn bobbin strand first_row last_row metres over_hand from_skein"
    return table(header.split(), lines)


def tails_csv(amounts: Amounts) -> str:
    """One line a row and yarn that leave tails: how many inside and at each edge of the piece."""
    yarns = amounts.chart.yarns
    counts = tail_counts(amounts.plan, amounts.tails, len(yarns))
    lines = [
        (row + 1, yarns[yarn].name, *counts[row, yarn].tolist(), int(counts[row, yarn].sum()))
        for row, yarn in np.argwhere(counts.any(axis=2)).tolist()
    ]
    return table(["row", "yarn", *TAIL_PLACES, "tails"], lines)


def ways_csv(ways: Sequence[Worked]) -> str:
    """One line a way of working the same chart. Truth is told where its picture is at hand."""
    lines = [
        (
            *(way.corner, way.habit.name, f"{way.habit.reach:g}", way.habit.rest, way.habit.edge),
            *(way.tails, way.most_hanging, fixed(way.longest_float, 2)),
            *(fixed(way.float_sides, 2), fixed(way.all_hours, 2), fixed(way.weave_in_hours, 2)),
            *(fixed(error_figures(way.chart)[0], 3), fixed(way.near, 3), fixed(way.far, 3)),
            *("" if way.near is None else len(way.lost), "yes" if way.calmed else "no"),
        )
        for way in ways
    ]
    header = "corner habit reach rest edge tails most_hanging longest_float float_sides hours"
    header += " weave_in_hours color_error_mean seen_near seen_far features_lost calmed"
    return table(header.split(), lines)


def yarn_csv(amounts: Amounts) -> str:
    """One line a yarn, in the chart's order, unused ones with zeros."""
    lines = []
    for yarn, of in zip(amounts.chart.yarns, amounts.yarns, strict=True):
        lines.append(
            (
                *(yarn.name, yarn.color, of.blocks, fixed(of.share, 4), of.strands, of.tails),
                *("" if of.joins is None else of.joins, of.loops, fixed(of.float_sides, 2)),
                *(fixed(m, 2) for m in (of.metres, of.metres_low, of.metres_high)),
                *(fixed(of.grams, 1), "" if of.skeins is None else of.skeins),
                "" if of.on_hand is None else f"{of.on_hand:g}",
                *(fixed(of.short_by, 2), fixed(of.leftover, 2)),
                "" if of.to_buy is None else of.to_buy,
                *(fixed(of.cost, 2), fixed(of.border_metres, 2)),
            )
        )
    header = (
        "yarn color blocks share strands tails joins loops float_sides metres metres_low "
        "metres_high grams skeins on_hand short_by leftover "
        "to_buy cost border_metres"
    )
    return table(header.split(), lines)


def calm_csv(curve: Curve) -> str:
    """One line a point: the calm that makes it, growth of the mean error in per cent (weighted or
    plain, the larger), the plain mean, tails, the most yarns that hang at once, hours to weave
    in, how it is seen, features lost, and whether it is the bend."""
    lines = [
        (
            *(f"{point.calm:g}", fixed(point.percent, 2)),
            fixed(error_figures(point.chart)[0], 3),
            *(point.tails, point.most_hanging, fixed(point.weave_in_hours, 2)),
            *(fixed(point.near, 3), fixed(point.far, 3), point.lost),
            "yes" if i == curve.bend else "no",
        )
        for i, point in enumerate(curve.points)
    ]
    header = "calm percent color_error_mean tails most_hanging weave_in_hours seen_near seen_far"
    return table([*header.split(), "features_lost", "bend"], lines)
