"""Words written on a chart, and whether they can be read."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.color.spaces import from_hex, relative_luminance
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import say_count
from pix2block.mending.alphabet import HEIGHTS, Lettered, lettered
from pix2block.mending.asked import Done, Given, taken_in
from pix2block.mending.made import OF_SHAPE
from pix2block.mending.places import Mask, blocks_at, place_of

_FORM = re.compile(r"(?s)(.*) at (.*?) height (\d{1,3}) in (.*)")
_CENTRE = re.compile(r"cent(?:re|er), line ([1-9]\d{0,5})", re.I)
_READS = 3.0  # to 1, of luminances: what WCAG 2.1, success criterion 1.4.3, asks of large text


@dataclass(frozen=True)
class Writing:
    """What is to be written, as a mend's value has it."""

    words: str
    place: str
    height: str
    yarn: str

    @property
    def value(self) -> str:
        """As the journal keeps it."""
        return f"{self.words} at {self.place} height {self.height} in {self.yarn}"


def text(chart: Chart, value: str, given: Given) -> Done:
    """ "WORDS at PLACE height 5 in YARN": words in the block alphabet; the place is the top left
    block of the first capital, or "centre, line 20".

    Raises BadInput where they do not fit on the chart, with their size.
    """
    found = _FORM.fullmatch(value)
    if not found:
        raise BadInput('write it as "WORDS at PLACE height 5 in YARN"')
    asked = Writing(*(" ".join(part.split()) for part in found.groups()))
    if asked.height not in map(str, HEIGHTS):
        raise BadInput(f"letters are 5, 7 or 9 blocks tall, not {asked.height}")
    words = lettered(asked.words, int(asked.height))
    chart, yarn = taken_in(chart, asked.yarn, given.yarns)
    line, column = _top_left(chart, asked, words)
    numbers = _on_chart(chart, words, line, column, asked.words)
    at = numbers >= 0
    after = replace(chart, blocks=np.where(at, yarn, chart.blocks))
    size = f"{words.width} x {len(words.ink)} blocks"
    said = [f"“{asked.words}”, {size}, at column {column + 1}, line {line + 1} in {asked.yarn}"]
    said += _doubts(chart, numbers, yarn, words.letters)
    changed = int((after.blocks != chart.blocks).sum())
    return Done(after, "; ".join(said), changed, at, placed=True)


def harmed(before: Chart, after: Chart) -> list[str]:
    """Words of the journal that could be read before and now cannot, a sentence each: some of their
    blocks have another yarn, or more blocks of their yarn touch them. Those that were mirrored or
    moved since they were written are left aside."""
    moved = [number for number, line in enumerate(after.mends, 1) if line.mend in OF_SHAPE]
    said = []
    for line in after.mends[max(moved, default=0) : len(before.mends)]:
        found = _FORM.fullmatch(line.value)
        if line.mend != "text" or not found:
            continue
        at = np.zeros(after.blocks.shape, dtype=bool)
        at[tuple(np.array(line.placed).T)] = True
        was, now = (_whole_and_free(chart.blocks, at) for chart in (before, after))
        if was[0] and not now[0]:
            said.append(f"“{found[1]}” is broken: not all of its blocks have one yarn")
        elif now[1] > was[1]:
            said.append(f"“{found[1]}” touches more blocks of its yarn than before")
    return said


def _whole_and_free(blocks: NDArray[np.int64], at: Mask) -> tuple[bool, int]:
    """Whether letters are of one yarn, and how many blocks around them are of it too."""
    from scipy.ndimage import binary_dilation

    yarns = np.unique(blocks[at])
    around = binary_dilation(at, np.ones((3, 3))) & ~at
    return len(yarns) == 1, int((blocks[around] == yarns[0]).sum())


def _top_left(chart: Chart, asked: Writing, words: Lettered) -> tuple[int, int]:
    """Line and column, from 0, of the top left block of the first capital."""
    if middle := _CENTRE.fullmatch(asked.place):
        line = int(middle[1]) - 1
        if line >= chart.height:
            raise BadInput(f"line {line + 1}: the chart has {say_count(chart.height, 'line')}")
        return line, max(0, (chart.width - words.width) // 2)
    at = blocks_at(chart, place_of(asked.place))
    if at.sum() != 1:
        raise BadInput(
            f"{asked.place} is more than one block: name the top left block of the first capital, "
            'as "column 14, line 15", or write "centre, line 15"'
        )
    line, column = np.argwhere(at)[0].tolist()
    return line, column


def _on_chart(
    chart: Chart, words: Lettered, line: int, column: int, told: str
) -> NDArray[np.int64]:
    """(height, width) numbers of the letters, -1 where none is. Raises BadInput where they do not
    fit."""
    top = line - words.above
    tall, wide = words.ink.shape
    size = f"“{told}” is {wide} blocks wide and {tall} tall"
    if top < 0:
        raise BadInput(f"{size}: its accents need line {words.above + 1} or a lower one")
    if column + wide > chart.width or top + tall > chart.height:
        raise BadInput(
            f"{size}: from there it reaches to column {column + wide}, line {top + tall}; the "
            f"chart has {chart.width} x {chart.height}"
        )
    numbers = np.full(chart.blocks.shape, NO_BLOCK)
    numbers[top : top + tall, column : column + wide] = words.ink
    if (chart.blocks[numbers >= 0] < 0).any():
        raise BadInput(f"{size}: it reaches beyond the last row, {chart.last_row}")
    return numbers


def _doubts(
    chart: Chart, numbers: NDArray[np.int64], yarn: int, letters: Sequence[str]
) -> list[str]:
    """What is hard to read: letters that touch blocks of their yarn, and yarns around them that are
    as light or as dark."""
    from scipy.ndimage import binary_dilation

    at = numbers >= 0
    near = binary_dilation(at, np.ones((3, 3))) & ~at & (chart.blocks >= 0)
    touching = {
        number
        for number in np.unique(numbers[at]).tolist()
        if _touches(numbers == number, near & (chart.blocks == yarn))
    }
    said = []
    if touching:
        names = " ".join(letters[number] for number in sorted(touching))
        said.append(f"{names} touch other blocks of {chart.yarns[yarn].name}, so they may not read")
    around = [i for i in np.unique(chart.blocks[near]).tolist() if i != yarn]
    ratios = {i: _contrast(chart.yarns[yarn].color, chart.yarns[i].color) for i in around}
    alike = [
        f"{chart.yarns[i].name} ({ratio:.1f} : 1)" for i, ratio in ratios.items() if ratio < _READS
    ]
    if alike:
        said.append(f"hard to read on {', '.join(alike)}: {_READS:.0f} : 1 in lightness reads")
    return said


def _contrast(one: str, other: str) -> float:
    """The contrast ratio of two colours, 1 to 21 (WCAG 2.1)."""
    low, high = sorted(relative_luminance(from_hex(color)) for color in (one, other))
    return (high + 0.05) / (low + 0.05)


def _touches(letter: Mask, others: Mask) -> bool:
    from scipy.ndimage import binary_dilation

    return bool((binary_dilation(letter, np.ones((3, 3))) & others).any())
