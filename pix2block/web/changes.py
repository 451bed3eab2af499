"""The last changes by hand as the page lists them: what, where, at what cost."""

from __future__ import annotations

import time
from collections.abc import Sequence
from itertools import groupby
from typing import Any

from pix2block.chart.chart import Chart
from pix2block.chart.mend import Mend
from pix2block.ground.errors import BadInput
from pix2block.ground.progress import Progress
from pix2block.ground.units import say_count
from pix2block.mending.apply import apply_mends
from pix2block.mending.back import undo, without_lines

_LISTED = 3
_MOST_SHOWN = 20_000  # blocks of a change whose place is shown
_MOST_MENDS, _FEWEST_MENDS = 1000, 4  # at once
_MOST_WORK = 4_000_000  # mends at once times blocks: a few seconds
_SECONDS = 4.0  # for what several changes would cost
_OF_BLOCKS = ("paint", "fill", "patch")


def changes_json(chart: Chart) -> dict[str, Any]:
    """The last groups of mends, the latest last, and how many were before them."""
    groups = [list(lines) for _, lines in groupby(chart.mends, key=lambda line: line.group)]
    last = groups[-_LISTED:]
    return {
        "changes": [
            {
                "group": lines[0].group,
                "words": words_of(lines),
                "cost": _cost(lines),
                "blocks": _blocks(lines),
            }
            for lines in last
        ],
        "earlier": len(groups) - len(last),
    }


def refuse_many(chart: Chart, count: int) -> None:
    """Raises BadInput for more mends at once than a maker would wait for."""
    most = min(_MOST_MENDS, max(_FEWEST_MENDS, _MOST_WORK // chart.blocks.size))
    if count > most:
        size = f"{chart.width} x {chart.height} blocks"
        raise BadInput(f"{count} mends at once: do at most {most} on a piece of {size}")


def without_group(chart: Chart, group: int, alone: bool, progress: Progress | None = None) -> Chart:
    """The chart without a group of mends; alone: with the later ones, else without them too.
    progress: called with later mends done again, and in all.

    Raises BadInput where there is no such group, or where later ones would come out otherwise.
    """
    numbers = [at for at, line in enumerate(chart.mends, 1) if line.group == group]
    if not numbers:
        raise BadInput("there is no such change: it was taken back already")
    if not alone or numbers[-1] == len(chart.mends):
        return undo(chart, len(chart.mends) - numbers[0] + 1).after
    return without_lines(chart, numbers, progress).after


def cost_words_of(
    chart: Chart, every: Sequence[Sequence[tuple[str, str]]], seconds: float = _SECONDS
) -> list[str]:
    """What each of several groups of mends would cost, or why it cannot be; none is done. seconds:
    after which the rest is left untold, ""."""
    said: list[str] = []
    until = time.monotonic() + seconds
    for mends in every:
        if time.monotonic() > until:
            said.append("")
            continue
        try:
            refuse_many(chart, len(mends))
            done = apply_mends(chart, mends).after.mends[len(chart.mends) :]
            said.append(_cost(done))
        except BadInput as error:
            said.append(str(error))
    return said


def words_of(lines: Sequence[Mend]) -> str:
    """ "4 blocks Samphire", or the mend's own sentence."""
    yarns = {line.value.rpartition("=")[2].strip() for line in lines}
    if len(yarns) == 1 and all(line.mend in _OF_BLOCKS[:2] for line in lines):
        blocks = sum(line.cost.get("blocks", 0) for line in lines)
        return f"{say_count(blocks, 'block')} {yarns.pop()}"
    said = [line.words.rpartition(". ")[0] or line.words for line in lines]
    first = f"{said[0][:1].upper()}{said[0][1:]}"
    return first if len(said) == 1 else f"{first} and {len(said) - 1} more"


def _cost(lines: Sequence[Mend]) -> str:
    tails = [line.cost["tails"] for line in lines if "tails" in line.cost]
    by = tails[-1][1] - tails[0][0] if tails else 0
    return (
        f"{say_count(abs(by), 'tail')} {'more' if by > 0 else 'fewer'}" if by else "as many tails"
    )


def _blocks(lines: Sequence[Mend]) -> list[list[int]]:
    """Column and line, from 0, of blocks that are other since; none where the shape is."""
    if any("all_blocks" in line.before for line in lines):
        return []
    at = [(column, row) for line in lines for row, column, _ in line.before.get("blocks", ())]
    return [[column, row] for column, row in dict.fromkeys(at)][:_MOST_SHOWN]
