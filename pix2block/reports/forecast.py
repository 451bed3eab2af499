"""forecast.txt: whether the yarn lasts, for people; the same for summary.json."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pix2block.amounts.rip_back import RipBack
from pix2block.amounts.run_out import Forecast, RunOut
from pix2block.chart.chart import Chart
from pix2block.color.spaces import rgb_array, to_lab
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.units import (
    rounded,
    say_count,
    say_grams_ounces,
    say_hours,
    say_metres_yards,
)
from pix2block.yarn.yarn import Yarn

if TYPE_CHECKING:
    from pix2block.design.stand_in import Rescue, StandIn

_SHADES = (
    (1.0, "hardly to be told apart"),
    (2.3, "a shade off where the two touch"),
    (5.0, "a clear shade off"),
    (10.0, "plainly another shade"),
)


def forecast_lines(run_out: RunOut, rescue: Rescue) -> list[str]:
    """What is done, how the loops came out, and each yarn that still works, a line or two each."""
    chart = run_out.amounts.chart
    worked = int(chart.runs.blocks[: run_out.done_runs].sum())
    of = int(chart.runs.blocks.sum())
    if run_out.done.runs is None:
        done = f"Row {run_out.done.row} is done"
    else:
        runs = say_count(run_out.done.runs, "run")
        done = f"{runs} of row {run_out.done.row} {'is' if run_out.done.runs == 1 else 'are'} done"
    lines = [f"{done}: {worked:,} of {say_count(of, 'block')}."]
    for one in run_out.yarns:
        if one.need <= 0 and not one.measured:
            continue
        lines.append(f"  {chart.yarns[one.yarn].name}: {_verdict(run_out, one)}")
        lines += [f"    {line}" for line in _rescue_lines(run_out, one, rescue)]
    return lines


def _verdict(run_out: RunOut, one: Forecast) -> str:
    chart = run_out.amounts.chart
    yarn = chart.yarns[one.yarn]
    came_out = ""
    if one.measured:
        off = 100 * (one.loop_cm / one.loop_cm_planned - 1)
        came_out = f"; loops came out {abs(off):.0f} % {'longer' if off > 0 else 'shorter'}"
        came_out = "; loops came out as planned" if abs(off) < 0.5 else came_out
    if one.doubtful:
        return _weigh_again(run_out, one)
    grams = say_grams_ounces(yarn.grams_of(one.need, chart.weight))
    rest = (
        f"the rest takes {say_metres_yards(one.need)} [{one.need_low:,.0f} to "
        f"{one.need_high:,.0f} m], {grams}"
    )
    if one.left_m is None:
        return f"{rest}; what is left is not told{came_out}"
    left = f"{say_metres_yards(one.left_m)} left{' by reckoning' if one.reckoned else ''}"
    words = f"{one.verdict}. {left}, {rest}{came_out}"
    if one.ends_row is None:
        return words
    where = "in the border" if one.ends_row > chart.last_row else f"in row {one.ends_row}"
    return f"{words}; {'it ends' if one.verdict == 'short' else 'it may end'} {where}"


def _weigh_again(run_out: RunOut, one: Forecast) -> str:
    """Instead of a verdict, where a slip is likelier than such loops."""
    yarn = run_out.amounts.chart.yarns[one.yarn]
    worked = one.used_m or 0.0
    longer = "longer" if one.loop_cm > one.loop_cm_planned else "shorter"
    had = f"{yarn.skeins:g} " if yarn.skeins is not None else ""
    return (
        f"weigh again. {say_metres_yards(worked)} for what is worked would be loops {longer} than "
        f"hands differ by: was {had}{'skein' if yarn.skeins == 1 else 'skeins'} all that was on "
        "hand, and do ball and bobbins weigh together what was told? Nothing is advised until then"
    )


def _rescue_lines(run_out: RunOut, one: Forecast, rescue: Rescue) -> list[str]:
    chart = run_out.amounts.chart
    for stand_in in rescue.stand_ins:
        if stand_in.for_yarn == one.yarn:
            return [stand_in_line(chart.yarns[one.yarn], stand_in)]
    if one.yarn in rescue.left_alone:
        yarn = chart.yarns[one.yarn]
        lacks = one.need_high - (one.left_m or 0)
        whole = yarn.skeins_for(lacks)
        skeins = "" if whole is None else f", {say_count(whole, 'skein')}"
        lot = f" of dye lot {yarn.lot}" if yarn.lot else ""
        return [f"nothing here can step in: buy {say_metres_yards(lacks)}{skeins}{lot}"]
    return []


def stand_in_line(short: Yarn, stand_in: StandIn) -> str:
    """Which yarn could step in, from which row, and what that does to the picture."""
    shade = next((words for most, words in _SHADES if stand_in.difference < most), "another colour")
    light = to_lab(rgb_array([short.color, stand_in.yarn.color]))[:, 0]
    if stand_in.difference >= 1 and abs(light[1] - light[0]) >= 1:
        shade += f", {'lighter' if light[1] > light[0] else 'darker'}"
    words = (
        f"{stand_in.yarn.name} could step in from row {stand_in.from_row}: "
        f"{say_count(stand_in.blocks, 'block')}, up to {say_metres_yards(stand_in.metres)}; "
        f"{shade}"
    )
    before, after = stand_in.error_before, stand_in.error_after
    if before is None or after is None:
        return words
    grows = after - before
    if abs(grows) < 0.05:
        return f"{words}; the picture stays as true as it was"
    share = abs(grows) / max(before, 0.1)
    truer = "less" if grows > 0 else "more"
    return f"{words}; the picture as a whole gets {100 * share:.0f} % {truer} true"


def forecast_text(run_out: RunOut, rescue: Rescue) -> str:
    """forecast.txt."""
    lines = [f"Will the yarn last? {run_out.amounts.chart.title}", ""]
    lines += forecast_lines(run_out, rescue)
    lines += [
        "",
        "Enough: what is left covers the most the rest may take. Tight: only the likely need. "
        "Short: not even that. Weigh again: what is told can hardly be.",
        "Rows that are begun are never changed. Plans, yarn.csv and the pattern stay as they were.",
    ]
    if rescue.stand_ins:
        lines.append("The chart with what steps in is chart_with_stand_in.json.")
    return "\n".join(lines) + "\n"


def rip_back_lines(chart: Chart, of: RipBack) -> list[Advice | str]:
    """Which rows are undone, what is joined on again, what it saves."""
    rows = f"row {of.last}" if of.first == of.last else f"rows {of.last} back to {of.first}"
    again = say_hours(of.minutes / 60)
    lines: list[Advice | str] = [
        f"Ripping back to row {of.first}: undo {rows}, {say_count(of.blocks, 'block')}, {again} to "
        "work again."
    ]
    if of.rejoin:
        each = ", ".join(
            f"{chart.yarns[one.yarn].name} #{one.number} (left in row {one.row}, run {one.run})"
            for one in of.rejoin
        )
        lines.append(f"  Join on again, as they were cut since: {each}.")
    before, after = of.tails
    ends = f", and 2 more for each of {len(of.rejoin)} joined on" if of.rejoin else ""
    saved = f"{say_count(of.saves, 'tail')} fewer" if of.saves > 0 else "it saves none"
    then = [Ask("done", of.first - 1)] if of.first > 1 else ["begin anew"]
    lines.append(Advice(f"  {before:,} tails become {after:,}{ends}: {saved}. To do it: ", *then))
    return lines


def forecast_figures(run_out: RunOut, rescue: Rescue) -> list[dict[str, Any]]:
    """The same for summary.json, an object a yarn."""
    chart = run_out.amounts.chart
    by_yarn = {stand_in.for_yarn: stand_in for stand_in in rescue.stand_ins}
    figures = []
    for one in run_out.yarns:
        stand_in = by_yarn.get(one.yarn)
        figures.append(
            {
                "yarn": chart.yarns[one.yarn].name,
                "loop_cm_planned": rounded(one.loop_cm_planned, 4),
                "loop_cm": rounded(one.loop_cm, 4),
                "measured": one.measured,
                "doubtful": one.doubtful,
                "used": rounded(one.used_m, 2),
                "left": rounded(one.left_m, 2),
                "need_low": rounded(one.need_low, 2),
                "need": rounded(one.need, 2),
                "need_high": rounded(one.need_high, 2),
                "verdict": one.verdict,
                "ends_row": one.ends_row,
                "stand_in": stand_in.yarn.name if stand_in else None,
                "from_row": stand_in.from_row if stand_in else None,
                "stand_in_blocks": stand_in.blocks if stand_in else None,
                "stand_in_difference": rounded(stand_in.difference, 3) if stand_in else None,
                "color_error_after": rounded(stand_in.error_after, 3) if stand_in else None,
            }
        )
    return figures
