"""What mends are asked, in words: yarns of a piece, pairs, and the place they are limited to."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pix2block.chart.chart import Chart
from pix2block.chart.yarn_order import with_yarns
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.nouns import shown
from pix2block.mending.places import Mask, Place, blocks_at, place_in
from pix2block.yarn.yarn import Yarn, name_key

_IN = re.compile(r"\s+in\s+")


@dataclass(frozen=True)
class Named:
    """A yarn's name, and the place that follows it; None for everywhere."""

    yarn: str
    place: Place | None


@dataclass(frozen=True)
class Done:
    """A chart after a mend. words: what was done; blocks: how many it touched; at: (height, width)
    those that it named, None where it named no place."""

    chart: Chart
    words: str
    blocks: int
    at: Mask | None = None


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
    """(height, width) the blocks of a place, None for everywhere."""
    return None if place is None else blocks_at(chart, place)


def quoted(value: str) -> str:
    """As a command line takes it, in one line."""
    return shown(value)
