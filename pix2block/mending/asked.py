"""What mends are asked, in words: yarns of a piece, pairs, and the place they are limited to."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.chart.drawn import Drawn
from pix2block.chart.yarn_order import with_yarns
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.frozen import dataclass
from pix2block.ground.nouns import shown
from pix2block.mending.made import refuse_made
from pix2block.mending.places import Mask, Place, blocks_at, place_in
from pix2block.proof.rows import Told
from pix2block.yarn.yarn import Yarn, name_key

_IN = re.compile(r"\s+in\s+")


@dataclass(frozen=True)
class Named:
    """A yarn's name, and the place that follows it; None for everywhere."""

    yarn: str
    place: Place | None


Moved = Callable[[NDArray[Any]], NDArray[Any]]


def _as_it_is(array: NDArray[Any]) -> NDArray[Any]:
    return array


@dataclass(frozen=True, eq=False)
class Done:
    """A chart after a mend. words: what was done; blocks: how many it touched; at: (height, width)
    those that it named, None where it named no place; move: takes an array of the blocks before to
    where they are now, 0 where a block is new; new: (height, width) blocks that came in, None where
    those are new that nothing moved to; placed: whether a file, or letters, gave those that it
    named."""

    chart: Chart
    words: str
    blocks: int
    at: Mask | None = None
    move: Moved = _as_it_is
    new: Mask | None = None
    placed: bool = False

    def touched(self, before: Chart, earlier: Mask) -> Mask:
        """(height, width) blocks that came in, or got another yarn or colour. earlier: those that
        were touched before it."""
        was = self.move(before.blocks)
        other = self.move(before.yarn_rgb[before.blocks]) != self.chart.yarn_rgb[self.chart.blocks]
        changed = other.any(axis=2)
        if len(before.yarns) <= len(self.chart.yarns):  # numbers stay, but where a yarn is dropped
            changed |= was != self.chart.blocks
        moved = self.move(np.ones(before.blocks.shape, dtype=bool)).astype(bool)
        new = ~moved if self.new is None else self.new
        touched = self.move(earlier).astype(bool) | changed | new
        return np.asarray(touched & (self.chart.blocks >= 0))


Read = Callable[[str], "Chart | Drawn | Told"]


def no_file(name: str) -> Chart | Drawn | Told:
    """Where no file can be read."""
    raise BadInput(f"{name} cannot be read from here")


@dataclass(frozen=True, eq=False)
class Given:
    """What mends may use beside the chart. yarns: of a shelf; read: the chart, or the grid, in a
    file; touched: (height, width) the blocks that their call touched so far; letters: those of them
    that it wrote."""

    yarns: Sequence[Yarn] = ()
    read: Read = no_file
    touched: Mask | None = None
    letters: Mask | None = None


def pairs(mask: NDArray[Any]) -> tuple[tuple[int, int], ...]:
    """Line and column, from 0, of each block of a mask."""
    return tuple((line, column) for line, column in np.argwhere(mask).tolist())


def two_sides(value: str, form: str) -> tuple[str, str]:
    """What stands left and right of the one "=". Raises BadInput where it is not so written."""
    left, sign, right = (part.strip() for part in value.partition("="))
    if not (sign and left and right) or "=" in right:
        raise BadInput(f"write it as {form}")
    return left, right


def number_of(chart: Chart, name: str) -> int:
    """The number of a yarn of the piece. Raises BadInput where it has none of that name."""
    for number, yarn in enumerate(chart.yarns):
        if name_key(yarn.name) == name_key(name):
            return number
    raise BadInput(unknown("yarn", name, [yarn.name for yarn in chart.yarns]))


def taken_in(chart: Chart, name: str, more: Sequence[Yarn]) -> tuple[Chart, int]:
    """The chart with a yarn of this name, of its own or of `more`, and its number.

    Raises BadInput where neither has one.
    """
    for number, yarn in enumerate((*chart.yarns, *more)):
        if name_key(yarn.name) == name_key(name):
            if number < len(chart.yarns):
                return chart, number
            return with_yarns(chart, (*chart.yarns, yarn)), len(chart.yarns)
    raise BadInput(unknown("yarn", name, [yarn.name for yarn in (*chart.yarns, *more)]))


def named(text: str, known: Sequence[str]) -> Named:
    """A yarn's name, the longest that is known, and the place behind it. Where none is known, the
    name is what stands before the place."""
    keys = {name_key(name) for name in known}
    readings = list(_readings(text))
    for reading in readings:
        if name_key(reading.yarn) in keys:
            return reading
    return readings[-1]


def _readings(text: str) -> Iterator[Named]:
    """The longest name first; " in " ends one only where a place follows."""
    yield Named(text.strip(), None)
    for found in reversed(list(_IN.finditer(text))):
        place = place_in(text[found.end() :])
        if place:
            yield Named(text[: found.start()].strip(), place)


def limited(chart: Chart, place: Place | None) -> Mask | None:
    """(height, width) the blocks of a place, None for everywhere.

    Raises BadInput where it reaches a row that is made.
    """
    at = None if place is None else blocks_at(chart, place)
    refuse_made(chart, at)
    return at


def quoted(value: str) -> str:
    """As a command line takes it, in one line."""
    return shown(value)
