"""Tails and bobbins in words: where tails lie, what ending them takes, what to wind."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

import numpy as np

from pix2block.amounts.bobbins import Bobbin, bobbins_of
from pix2block.amounts.endings import Ending
from pix2block.amounts.yarn_use import Amounts
from pix2block.craft.tails import TAIL_PLACES, tail_counts
from pix2block.ground.settings import TailEnding
from pix2block.ground.units import say_count, say_hours, say_metres, say_numbers

ENDING_WORDS: dict[TailEnding, str] = {
    "woven": "woven in",
    "over": "worked over in the next blocks",
    "border": "worked over in a border",
    "fringe": "left as fringe",
}
_HIGHEST = 3  # numbers of hanging yarns whose rows are named


def tail_lines(amounts: Amounts) -> list[str]:
    """Tails by yarn and by place, the time of each way of ending them, where most yarns hang."""
    return [
        *_places_table(amounts),
        "",
        *_endings_table(amounts.endings, amounts.ending),
        "",
        *(f"- {line}" for line in _busiest_rows(amounts)),
    ]


def _places_table(amounts: Amounts) -> list[str]:
    chart = amounts.chart
    counts = tail_counts(amounts.plan, amounts.tails, len(chart.yarns)).sum(axis=0)

    def line(cells: Sequence[object], name: str) -> str:
        return "".join(f"{cell:>9}" for cell in cells) + f"  {name}"

    lines = [line([*TAIL_PLACES, "in all"], "tails of")]
    for yarn, of in zip(chart.yarns, counts, strict=True):
        if of.any():
            lines.append(line([f"{n:,}" for n in [*of.tolist(), int(of.sum())]], yarn.name))
    every = [*amounts.tails.by_place.tolist(), len(amounts.tails)]
    return [*lines, line([f"{n:,}" for n in every], "every yarn")]


def _endings_table(endings: Sequence[Ending], chosen: Ending) -> list[str]:
    lines = [f"  {'ways of ending them':<32}{'min each':>8}{'time':>9}"]
    for ending in endings:
        mark = "*" if ending is chosen else " "
        times = f"{ending.minutes:>8.2g}{say_hours(ending.hours):>9}"
        woven = f"  {ending.taken:,} so, others woven in" if ending.woven else ""
        lines.append(f"{mark} {ENDING_WORDS[ending.way]:<32}{times}{woven}")
    return [
        *lines,
        "* chosen, and counted everywhere else. The minutes are from memory: time a",
        "  few tails of your own, and give them with --pace.",
    ]


def _busiest_rows(amounts: Amounts) -> list[str]:
    hanging = amounts.plan.attached_by_row
    lines = []
    for count in sorted(set(hanging.tolist()), reverse=True)[:_HIGHEST]:
        rows = (np.flatnonzero(hanging == count) + 1).tolist()
        lines.append(f"{say_count(count, 'yarn')} hanging: {say_numbers('row', rows)}")
    tails = amounts.plan.tails_by_row
    busiest = (np.flatnonzero(tails == tails.max()) + 1).tolist()
    lines.append(f"most tails, {tails.max()}: {say_numbers('row', busiest)}")
    return lines


def bobbin_lines(amounts: Amounts) -> list[str]:
    """What to wind of each yarn, with rows and lengths; short lengths for one run in one line."""
    chart = amounts.chart
    joined = ", joins" if amounts.joins else ""
    lows, highs = zip(*amounts.measures.bands, strict=True)
    lines = [
        f"- Numbers as in the work below. Lengths hold the tails{joined}; they may come out from",
        f"  {100 * (1 - min(lows)):.0f}\u00a0% less to {100 * (max(highs) - 1):.0f}\u00a0% more. "
        f"A hand's butterfly holds up to {chart.butterfly_m:g} m.",
    ]
    by_yarn = sorted(bobbins_of(amounts), key=lambda bobbin: bobbin.yarn)
    for yarn, group in groupby(by_yarn, key=lambda bobbin: bobbin.yarn):
        bobbins = list(group)
        lines.append(f"- {chart.yarns[yarn].name}")
        lines += [_bobbin_line(bobbin) for bobbin in bobbins if bobbin.number is not None]
        alone = [bobbin.metres for bobbin in bobbins if bobbin.number is None]
        if alone:
            each = _from_to(min(alone), max(alone))
            together = f", {say_metres(sum(alone))} together" if len(alone) > 1 else ""
            lines.append(
                f"    {say_count(len(alone), 'length')} for one run alone: {each}{together}"
            )
    return lines


def _from_to(low: float, high: float) -> str:
    least, most = say_metres(low), say_metres(high)
    return f"{least} each" if least == most else f"{least} to {most} each"


def _bobbin_line(bobbin: Bobbin) -> str:
    rows = say_numbers("row", list(range(bobbin.first_row, bobbin.last_row + 1)))
    longer = ", longer than a hand's butterfly" if bobbin.over_hand else ""
    return f"    #{bobbin.number}, {rows}: {say_metres(bobbin.metres)}{longer}"
