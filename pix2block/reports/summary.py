"""summary.json for programs, and the same in a few lines for people."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from pix2block.amounts.bobbins import bobbins_of
from pix2block.amounts.endings import Ending
from pix2block.amounts.money import NO_MONEY, Money
from pix2block.amounts.run_out import RunOut
from pix2block.amounts.ways import Better, Way, tails_before_calming
from pix2block.amounts.yarn_use import Amounts, YarnAmount
from pix2block.chart.chart import Chart
from pix2block.color.spaces import rgb_array
from pix2block.craft.tails import TAIL_PLACES
from pix2block.design.color_error import error_figures
from pix2block.design.features import Feature
from pix2block.design.remedies import what_brings_back
from pix2block.design.stand_in import Rescue
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.settings import FRIENDLY_SIDE_CM, LARGE_SIDE_CM, Habit
from pix2block.ground.units import (
    round_half_up,
    rounded,
    say_count,
    say_hours,
    say_metres,
    say_size,
)
from pix2block.proof.compare import Proof
from pix2block.reports.forecast import forecast_figures
from pix2block.reports.shopping import cost_figures
from pix2block.yarn.yarn import Yarn

_MOST_LOST = 6


def summary(
    amounts: Amounts,
    lost: Sequence[Feature],
    proof: Proof | None = None,
    money: Money = NO_MONEY,
    outlook: tuple[RunOut, Rescue] | None = None,
) -> dict[str, Any]:
    """The figures of summary.json, rounded as they are written; None where unknown. lost: features
    of the picture that the yarns no longer show; proof: of the pattern, where it was made."""
    chart, plan = amounts.chart, amounts.plan
    runs = chart.runs
    mean, p95 = error_figures(chart)
    return {
        "rows": chart.last_row,
        "blocks": int(runs.blocks.sum()),
        "changes_in_rows": int(runs.changes_in_rows.sum()),
        "changes_at_turns": int(runs.changes_at_turns.sum()),
        "runs": len(runs),
        "strands": plan.strands,
        "tails": plan.tails,
        "joins": amounts.joins,
        "most_attached": int(plan.attached_by_row.max()),
        "floats": plan.floats,
        "float_sides": rounded(float(plan.float_sides.sum()), 2),
        "color_error_mean": rounded(mean, 3),
        "color_error_p95": rounded(p95, 3),
        "seen_near": rounded(chart.seen.near if chart.seen else None, 3),
        "seen_far": rounded(chart.seen.far if chart.seen else None, 3),
        "palette_gap": rounded(chart.source.palette_gap if chart.source else None, 6),
        "calm": _calm_figures(chart),
        "block_cm": rounded(amounts.measures.block_cm, 2),
        "finished_size_cm": [rounded(side, 2) for side in amounts.finished_size_cm],
        "metres": rounded(amounts.metres, 2),
        "hours": rounded(amounts.hours, 2),
        "weave_in_hours": rounded(amounts.weave_in_hours, 2),
        "checked": proof.holds if proof else None,
        "tail_ending": chart.tail_ending,
        "tails_at": dict(zip(TAIL_PLACES, amounts.tails.by_place.tolist(), strict=True)),
        "features_lost": [{"place": f.place, "blocks": f.blocks, "color": f.color} for f in lost],
        **cost_figures(amounts, money),
        "forecast": forecast_figures(*outlook) if outlook else None,
    }


def _calm_figures(chart: Chart) -> dict[str, Any] | None:
    calmed = chart.calmed
    if calmed is None:
        return None
    return {
        "percent": calmed.percent,
        "tails_before": tails_before_calming(chart),
        "error_before": rounded(calmed.error_before, 3),
        "error_after": rounded(calmed.error_after, 3),
    }


def calm_lines(amounts: Amounts) -> list[str]:
    """What calming saved and cost, and whether no more yarns hang than were asked for."""
    chart, calmed = amounts.chart, amounts.chart.calmed
    if calmed is None:
        return []
    before, now = tails_before_calming(chart), amounts.plan.tails
    lines: list[str] = []
    if before is not None and now < before:
        more = 100 * (calmed.error_after / calmed.error_before - 1)
        lines.append(
            Advice(
                f"Fewer tails: {before:,} → {now:,} for {more:.1f} % more colour error (",
                Ask("calm", 0),
                " for the truest picture).",
            )
        )
    elif not calmed.error_before:
        lines.append(
            Advice(
                "The yarns fit this picture exactly, so there was no error for ",
                Ask("calm"),
                " to raise.",
            )
        )
    if calmed.most_hanging is not None:
        attached = amounts.plan.attached_by_row
        most, row = int(attached.max()), int(attached.argmax()) + 1
        lines.append(
            f"At most {most} yarns hang in any row, as asked."
            if most <= calmed.most_hanging
            else Advice(
                f"{most} yarns still hang in row {row}, over the {calmed.most_hanging} asked for: "
                "a higher ",
                Ask("calm"),
                " may do it.",
            )
        )
    return lines


def summary_json(
    amounts: Amounts,
    lost: Sequence[Feature],
    proof: Proof | None = None,
    money: Money = NO_MONEY,
    outlook: tuple[RunOut, Rescue] | None = None,
) -> str:
    """summary.json."""
    return (
        json.dumps(summary(amounts, lost, proof, money, outlook), indent=1, ensure_ascii=False)
        + "\n"
    )


def proof_line(proof: Proof) -> str:
    """What came of working the pattern, in a line."""
    if not proof.holds:
        faults = say_count(len(proof.faults) + proof.more, "fault")
        return f"checked stitch by stitch: the pattern does not give the chart ({faults})"
    worked = f"{say_count(proof.rows, 'row')}, {say_count(proof.blocks, 'block')}"
    return f"checked stitch by stitch: {worked}, {proof.stitches:,} stitches give the chart"


def fault_lines(proof: Proof) -> list[str]:
    """What is wrong with a pattern, a line each, and how much more is."""
    more = [f"and {proof.more:,} more"] if proof.more else []
    return [*map(str, proof.faults), *more]


def proof_json(proof: Proof) -> str:
    """What came of working the pattern, for programs."""
    figures = {
        "checked": proof.holds,
        "rows": proof.rows,
        "blocks": proof.blocks,
        "stitches": proof.stitches,
        "faults": [str(fault) for fault in proof.faults],
        "more_faults": proof.more,
    }
    return json.dumps(figures, indent=1, ensure_ascii=False) + "\n"


def summary_lines(amounts: Amounts) -> list[str]:
    """What a maker wants to know first, in her words."""
    chart, plan = amounts.chart, amounts.plan
    attached = plan.attached_by_row
    across, down = chart.layout.extent
    guess = " (a guess until you make a swatch)" if amounts.measures.guessed else ""
    lines = [
        f"{chart.title}: {say_size(*amounts.finished_size_cm)}, {across} x {down} blocks{guess}",
        f"{say_count(chart.last_row, 'diagonal row')}, "
        f"{say_count(int(chart.runs.blocks.sum()), 'block')}, "
        f"{say_count(int(amounts.changes_by_row.sum()), 'colour change')}",
        f"{say_count(plan.tails, 'tail')} {_how_ended(amounts.ending)}; most yarns hanging at "
        f"once: {attached.max()}, first in row {attached.argmax() + 1}",
    ]
    if amounts.joins:
        lines[-1] += f"; {say_count(amounts.joins, 'join')} where a skein ends"
    lines.append(_bobbin_words(amounts))
    name_wide = max(len(yarn.name) for yarn in chart.yarns)
    for yarn, amount in zip(chart.yarns, amounts.yarns, strict=True):
        if amount.metres:
            lines.append(f"  {yarn.name:<{name_wide}}  {_yarn_words(amount)}")
    unused = [y.name for y, a in zip(chart.yarns, amounts.yarns, strict=True) if not a.metres]
    if unused:
        lines.append(f"  not used: {', '.join(unused)}")
    lines.append(
        f"{say_hours(amounts.hours)} of crochet, and {say_hours(amounts.weave_in_hours)} of "
        f"{'weaving in' if chart.tail_ending == 'woven' else 'ending tails'}"
    )
    return lines


def _how_ended(ending: Ending) -> str:
    words = {
        "woven": "to weave in",
        "over": "to work over in the next blocks",
        "border": f"to end, {ending.taken:,} of them in the border",
        "fringe": f"to end, {ending.taken:,} of them as fringe",
    }
    return words[ending.way]


def _bobbin_words(amounts: Amounts) -> str:
    at_edges = int(amounts.tails.at_edges.sum())
    wound = [bobbin for bobbin in bobbins_of(amounts) if bobbin.number is not None]
    words = f"{say_count(at_edges, 'tail')} at the edges; {say_count(len(wound), 'bobbin')} to wind"
    if long := sum(bobbin.over_hand for bobbin in wound):
        words += f", {long:,} longer than a hand's butterfly ({amounts.chart.butterfly_m:g} m)"
    return words


def better_lines(better: Better) -> list[str]:
    """What another corner or carrying would save, a sentence each where it is worth one."""
    now = better.now
    lines: list[str] = []
    if better.corner:
        way = better.corner
        lines.append(
            Advice(
                f"Starting {way.corner.replace('-', ' ')} would leave {way.tails:,} tails in place "
                f"of {now.tails:,} (",
                Ask("corner", way.corner),
                ").",
            )
        )
    if better.carried:
        way = better.carried
        lines.append(
            Advice(
                "Carrying yarn behind (",
                Ask("habit", "carry"),
                f") would leave {way.tails:,} tails in place of {now.tails:,}, with floats up to "
                f"{way.longest_float:.1f} block sides and at most {way.most_hanging} yarns hanging "
                f"in place of {now.most_hanging}.",
            )
        )
    return lines


def ways_lines(ways: Sequence[Way]) -> list[str]:
    """Each habit from its best corner, in a table, the fewest tails first."""
    lines = [f"{'tails':>7} {'hanging':>7} {'longest':>7} {'hours':>6}  habit, best start corner"]
    best: dict[Habit, Way] = {}
    for way in sorted(ways, key=lambda way: (way.tails, way.longest_float)):
        best.setdefault(way.habit, way)
    for habit, way in best.items():
        words = f"{habit.name} (reach {habit.reach:g}, rest {habit.rest}, edge {habit.edge})"
        lines.append(
            f"{way.tails:>7,} {way.most_hanging:>7} {way.longest_float:>7.1f} {way.hours:>6.0f}  "
            f"{words}, {way.corner.replace('-', ' ')}"
        )
    return [*lines, "Every corner with every habit is in ways.csv."]


def lost_lines(
    chart: Chart, lost: Sequence[Feature], spare: Sequence[Yarn] | None = None
) -> list[str]:
    """What the yarns no longer show, a line each, with the yarn that brings it back, tried.

    spare: yarns of a shelf that were left out; None where any colour may be bought.
    """
    if not lost or chart.source is None:
        return []
    others = None if spare is None else rgb_array([yarn.color for yarn in spare])
    names = {yarn.color: yarn.name for yarn in spare or ()}
    lines = ["These no longer stand out in so few yarns:"]
    for feature in lost[:_MOST_LOST]:
        words = f"  {say_count(feature.blocks, 'block')} of {feature.color} {feature.place}"
        back = what_brings_back(feature, chart.source.means, chart.yarn_rgb, others)
        if back:
            for color, name in names.items():
                back = back.replace(color, name)
            words += f"; brought back by {back}"
        lines.append(words)
    if len(lost) > _MOST_LOST:
        lines.append(f"  and {len(lost) - _MOST_LOST} more, in summary.json")
    return lines


def _yarn_words(amount: YarnAmount) -> str:
    words = f"{say_metres(amount.metres):>7}"
    if amount.skeins is not None:
        skeins = say_count(amount.skeins, "skein")
        words += f"  {skeins} ({amount.skeins_likely:.1f})"
        if amount.short_by:
            words += f", {say_metres(amount.short_by)} short of what is on hand"
    else:
        skeins_100_g = amount.grams * amount.metres_high / amount.metres / 100
        words += f"  about {say_count(max(1, -int(-skeins_100_g // 1)), 'skein')} of 100 g"
    return words


def size_advice(amounts: Amounts) -> Advice | None:
    """A friendly word where a finished side is over 2 m, with the width that gives 1.5 m."""
    longest = max(amounts.finished_size_cm)
    if longest <= LARGE_SIDE_CM:
        return None
    chart = amounts.chart
    width = max(1, round_half_up(chart.width * FRIENDLY_SIDE_CM / longest))
    return Advice(
        f"The longer side would be {longest / 100:.1f} m: ",
        Ask("width", width),
        f" gives about {FRIENDLY_SIDE_CM / 100:.1f} m.",
    )
