"""Tails and bobbins in words: where tails lie, what ending them takes, what to wind."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

import numpy as np

from pix2block.amounts.bobbins import Bobbin
from pix2block.amounts.yarn_use import Amounts
from pix2block.ground.settings import TailEnding
from pix2block.ground.units import added_up, say_count, say_metres, say_metres_range, say_numbers
from pix2block.pattern.document import Bullets, Lengths, Passage

ENDING_WORDS: dict[TailEnding, str] = {
    "woven": "woven in",
    "over": "worked over in the next blocks",
    "border": "worked over in a border",
    "fringe": "left as fringe",
}
LONG = ", card"  # of a bobbin longer than the hand holds
LONGER = ", from skeins"  # of one longer than a skein
_FROM_SKEINS = (
    "From skeins: longer than a skein. Do not wind it; work from the skein, and where that ends "
    "join the next one."
)
_IN_ORDER = "In the order of rows"
BEFORE_ROW = "before row "
_HIGHEST = 3  # numbers of hanging yarns whose rows are named


def tail_parts(amounts: Amounts) -> tuple[Passage, ...]:
    """Where most yarns hang, and most tails come."""
    return (Bullets(tuple(_busiest_rows(amounts))),)


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
    """What to wind, in the order of the rows in which each is needed; short lengths for one run in
    one line a yarn."""
    if any(bobbin.from_skein for bobbin in amounts.bobbins):
        return _from_skein_parts(amounts)
    chart = amounts.chart
    names = [yarn.name for yarn in chart.yarns]
    joined = ", joins" if amounts.joins else ""
    lows, highs = zip(*amounts.measures.bands, strict=True)
    how = Bullets(
        (
            f"Numbers as in the work. Lengths hold the tails{joined} and may come out from "
            f"{100 * (1 - min(lows)):.0f}\u00a0% less to {100 * (max(highs) - 1):.0f}\u00a0% "
            "more.",
            "A number whose bobbin has ended rests for a row, and may then name another length.",
            f"A hand's butterfly holds up to {chart.butterfly_m:g} m; what is longer says card.",
            *([_FROM_SKEINS] if any(bobbin.over_skein for bobbin in amounts.bobbins) else []),
        )
    )
    wound = [bobbin for bobbin in amounts.bobbins if bobbin.number is not None]
    entries = _in_order(wound, names)
    alone = []
    for yarn, name in enumerate(names):
        of = [b.metres for b in amounts.bobbins if b.yarn == yarn and b.number is None]
        alone += [_alone_line(name, of)] if of else []
    parts: list[Passage] = [how]
    if entries:
        parts.append(Lengths(_IN_ORDER, entries))
    if alone:
        parts.append(Lengths("For one run alone", tuple(alone)))
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
    entries = _in_order(wound, [yarn.name for yarn in amounts.chart.yarns])
    return (Bullets(tuple(told)), *([Lengths(_IN_ORDER, entries)] if entries else []))


def _in_order(wound: Sequence[Bobbin], names: Sequence[str]) -> tuple[str, ...]:
    """Bobbins in the order of the rows before which they are wound."""
    return tuple(
        f"{BEFORE_ROW}{row}: {'; '.join(_bobbin_words(bobbin, names) for bobbin in group)}"
        for row, group in groupby(wound, key=lambda bobbin: bobbin.first_row)
    )


def _alone_line(name: str, metres: Sequence[float]) -> str:
    together = f", {say_metres(added_up(metres))} together" if len(metres) > 1 else ""
    each = say_metres_range(min(metres), max(metres))
    return f"{name}, {say_count(len(metres), 'length')}: {each} each{together}"


def _bobbin_words(bobbin: Bobbin, names: Sequence[str]) -> str:
    how = LONGER if bobbin.over_skein else LONG if bobbin.over_hand else ""
    return f"{names[bobbin.yarn]} #{bobbin.number}, {say_metres(bobbin.metres)}{how}"
