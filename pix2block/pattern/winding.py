"""Tails and bobbins in words: where tails lie, what ending them takes, what to wind."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

import numpy as np

from pix2block.amounts.bobbins import Bobbin
from pix2block.amounts.endings import Ending
from pix2block.amounts.yarn_use import Amounts
from pix2block.craft.tails import TAIL_PLACES, tail_counts
from pix2block.ground.settings import TailEnding
from pix2block.ground.units import added_up, say_count, say_hours, say_metres, say_numbers
from pix2block.pattern.document import Bullets, Lengths, Paragraph, Passage, Table

ENDING_WORDS: dict[TailEnding, str] = {
    "woven": "woven in",
    "over": "worked over in the next blocks",
    "border": "worked over in a border",
    "fringe": "left as fringe",
}
CHOSEN = ", chosen here"
LONG = ", card"  # of a bobbin longer than the hand holds
LONGER = ", from skeins"  # of one longer than a skein
_FROM_SKEINS = (
    "From skeins: longer than a skein. Do not wind it; work from the skein, and where that ends "
    "join the next one."
)
_HIGHEST = 3  # numbers of hanging yarns whose rows are named


def tail_parts(amounts: Amounts) -> tuple[Passage, ...]:
    """Tails by yarn and by place, the time of each way of ending them, where most yarns hang."""
    return (
        _places_table(amounts),
        _endings_table(amounts.endings, amounts.ending),
        Paragraph(
            "The way chosen here is counted everywhere else. The minutes are from memory: time a "
            "few tails of your own."
        ),
        Bullets(tuple(_busiest_rows(amounts))),
    )


def _places_table(amounts: Amounts) -> Table:
    chart = amounts.chart
    counts = tail_counts(amounts.plan, amounts.tails, len(chart.yarns)).sum(axis=0)
    lines = [
        (yarn.name, *(f"{n:,}" for n in of.tolist()), f"{int(of.sum()):,}")
        for yarn, of in zip(chart.yarns, counts, strict=True)
        if of.any()
    ]
    every = (*amounts.tails.by_place.tolist(), len(amounts.tails))
    lines.append(("every yarn", *(f"{n:,}" for n in every)))
    header = ("tails of", *TAIL_PLACES, "in all")
    return Table(header, tuple(lines), tuple(name != "tails of" for name in header))


def _endings_table(endings: Sequence[Ending], chosen: Ending) -> Table:
    lines = [
        (
            ENDING_WORDS[ending.way] + (CHOSEN if ending is chosen else ""),
            f"{ending.minutes:.2g}",
            say_hours(ending.hours),
            f"{ending.taken:,} so, others woven in" if ending.woven else "",
        )
        for ending in endings
    ]
    return Table(
        ("ways of ending them", "min each", "time", "how many"),
        tuple(lines),
        (False, True, True, False),
    )


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


def bobbin_parts(amounts: Amounts) -> tuple[Passage, ...]:
    """What to wind of each yarn, with rows and lengths; short lengths for one run in one line."""
    chart = amounts.chart
    joined = ", joins" if amounts.joins else ""
    lows, highs = zip(*amounts.measures.bands, strict=True)
    if any(bobbin.from_skein for bobbin in amounts.bobbins):
        return _from_skein_parts(amounts)
    parts: list[Passage] = [
        Bullets(
            (
                f"Numbers as in the work. Lengths hold the tails{joined}; they may come out from "
                f"{100 * (1 - min(lows)):.0f}\u00a0% less to {100 * (max(highs) - 1):.0f}\u00a0% "
                "more.",
                "Wind a bobbin when its first row comes. After its last row its number rests for "
                "a row, and may then be used for another length.",
                f"A hand's butterfly holds up to {chart.butterfly_m:g} m; what is longer "
                "says card: wind it on a card or a bobbin, or leave it on the skein.",
                *([_FROM_SKEINS] if any(bobbin.over_skein for bobbin in amounts.bobbins) else []),
            )
        )
    ]
    by_yarn = sorted(amounts.bobbins, key=lambda bobbin: bobbin.yarn)
    for yarn, group in groupby(by_yarn, key=lambda bobbin: bobbin.yarn):
        bobbins = list(group)
        entries = tuple(_bobbin_line(bobbin) for bobbin in bobbins if bobbin.number is not None)
        alone = [bobbin.metres for bobbin in bobbins if bobbin.number is None]
        parts.append(Lengths(chart.yarns[yarn].name, entries, _alone_line(alone)))
    return tuple(parts)


def _from_skein_parts(amounts: Amounts) -> tuple[Passage, ...]:
    """Of a piece whose rows are each of one yarn: what hangs beside the skein's own yarn."""
    wound = [bobbin for bobbin in amounts.bobbins if not bobbin.from_skein]
    first = "Nothing is to be wound" if not wound else "Little is to be wound"
    told = [
        f"{first}: work from the skein, and let it hang at the edge until its yarn's next stripe; "
        "at last it is cut."
    ]
    if wound:
        told.append(
            "These start while another length of their yarn hangs: wind them, or take them from "
            "another skein."
        )
    by_yarn = groupby(sorted(wound, key=lambda b: b.yarn), key=lambda bobbin: bobbin.yarn)
    names = [yarn.name for yarn in amounts.chart.yarns]
    lengths = (Lengths(names[yarn], tuple(map(_bobbin_line, of)), None) for yarn, of in by_yarn)
    return (Bullets(tuple(told)), *lengths)


def _alone_line(metres: Sequence[float]) -> str | None:
    if not metres:
        return None
    together = f", {say_metres(added_up(metres))} together" if len(metres) > 1 else ""
    each = _from_to(min(metres), max(metres))
    return f"{say_count(len(metres), 'length')} for one run alone: {each}{together}"


def _from_to(low: float, high: float) -> str:
    least, most = say_metres(low), say_metres(high)
    return f"{least} each" if least == most else f"{least} to {most} each"


def _bobbin_line(bobbin: Bobbin) -> str:
    rows = say_numbers("row", list(range(bobbin.first_row, bobbin.last_row + 1)))
    how = LONGER if bobbin.over_skein else LONG if bobbin.over_hand else ""
    number = f"#{bobbin.number}, " if bobbin.number else ""  # none of one run alone
    return f"{number}{rows}: {say_metres(bobbin.metres)}{how}"
