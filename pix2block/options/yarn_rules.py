"""How what a maker measures, has left, or wants around the piece is read from words."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any, cast

from pix2block.amounts.under_way import Done, Left, LeftUnit
from pix2block.ground import settings
from pix2block.ground.errors import BadInput
from pix2block.ground.quantities import (
    LENGTHS_CM,
    WEIGHTS_G,
    parse_amounts,
    parse_cm,
    parse_grams,
    parse_number,
)
from pix2block.options.rules import Rule


@dataclass(frozen=True)
class Above(Rule):
    """A number above nothing, up to a limit."""

    high: float
    metavar: str

    def read(self, text: str) -> float:
        try:
            value = float(text.strip().replace(",", "."))
        except ValueError:
            value = math.nan
        if not 0 < value <= self.high:
            raise BadInput(f'"{text}": write a number above 0, up to {self.high:g}')
        return value


@dataclass(frozen=True)
class Weighed(Rule):
    """A weight with its unit."""

    metavar: str = "24.5g"

    def read(self, text: str) -> float:
        return parse_grams(text)

    def as_words(self, value: Any) -> str:
        return f"{value}g"


@dataclass(frozen=True)
class Blocks(Rule):
    """Blocks across and down."""

    metavar: str = "6x6"

    def read(self, text: str) -> tuple[int, int]:
        match = re.fullmatch(r"\s*(\d{1,3})\s*[x×]\s*(\d{1,3})\s*", text, re.I)
        sides = (int(match[1]), int(match[2])) if match else (0, 0)
        if not all(1 <= side <= 100 for side in sides):
            raise BadInput(f'"{text}": write blocks across and down, up to 100, as 6x6')
        return sides

    def as_words(self, value: Any) -> str:
        return f"{value[0]}x{value[1]}"


@dataclass(frozen=True)
class Label(Rule):
    """Metres and grams of a skein, as its label says."""

    metavar: str = "200m/100g"

    def read(self, text: str) -> tuple[float, float]:
        found = parse_amounts(text)
        units = {unit: value for value, unit in found or ()}
        lengths = [v * LENGTHS_CM[u] / 100 for u, v in units.items() if u in ("m", "yd")]
        weights = [v * WEIGHTS_G[u] for u, v in units.items() if u in WEIGHTS_G]
        if len(units) != 2 or len(lengths) != 1 or len(weights) != 1 or 0 in units.values():
            raise BadInput(
                f'"{text}": write the length and weight of a skein, as 200m/100g or 218yd/3.5oz'
            )
        return lengths[0], weights[0]

    def as_words(self, value: Any) -> str:
        return f"{value[0]}m/{value[1]}g"


@dataclass(frozen=True)
class Unravelled(Rule):
    """How many blocks were unravelled, and the length of their yarn in cm."""

    metavar: str = '"8 blocks 5.4m"'

    def read(self, text: str) -> tuple[int, float]:
        match = re.fullmatch(r"\s*(\d{1,5})\s*(?:blocks?\b)?[\s:,]+(.+)", text, re.I)
        if not match or int(match[1]) < 1:
            raise BadInput(f'"{text}": write how many blocks and their yarn, as "8 blocks 5.4m"')
        return int(match[1]), parse_cm(match[2])

    def as_words(self, value: Any) -> str:
        return f"{value[0]} blocks {value[1]}cm"


@dataclass(frozen=True)
class BorderAsked:
    """Rounds of a stitch (US name) in a yarn, by its name."""

    rounds: int
    stitch: settings.BorderStitch
    yarn: str


@dataclass(frozen=True)
class BorderText(Rule):
    """Rounds, stitch and yarn of a border."""

    metavar: str = '"2 sc Chalk"'

    def read(self, text: str) -> BorderAsked:
        words = text.split(maxsplit=2)
        fits = len(words) == 3 and words[1].lower() in settings.BORDER_STITCHES
        if not fits or not re.fullmatch(r"[0-9]{1,3}", words[0]) or not int(words[0]):
            stitches = ", ".join(settings.BORDER_STITCHES)
            raise BadInput(
                f'"{text}": write rounds, stitch ({stitches}, US names) and yarn, as "2 sc Chalk"'
            )
        if int(words[0]) > settings.MOST_ROUNDS:
            raise BadInput(f'"{text}": at most {settings.MOST_ROUNDS} rounds')
        stitch = cast(settings.BorderStitch, words[1].lower())
        return BorderAsked(int(words[0]), stitch, _name(words[2]))

    def as_words(self, value: Any) -> str:
        return f"{value.rounds} {value.stitch} {value.yarn}"


@dataclass(frozen=True)
class DoneText(Rule):
    """The row that is done, or of which only some runs are."""

    metavar: str = "ROW[.RUN]"

    def read(self, text: str) -> Done:
        match = re.fullmatch(r"\s*([0-9]{1,5})(?:\.([0-9]{1,5}))?\s*", text)
        if not match or not int(match[1]) or (match[2] and not int(match[2])):
            raise BadInput(
                f'"{text}": write the row that is done, as 57, or a row and how many of its runs '
                "are done, as 57.3"
            )
        return Done(int(match[1]), int(match[2]) if match[2] else None)

    def as_words(self, value: Any) -> str:
        return f"{value.row}" if value.runs is None else f"{value.row}.{value.runs}"


_LEFT_UNITS = {**WEIGHTS_G, **{u: LENGTHS_CM[u] for u in ("m", "yd")}, "skein": 1.0, "skeins": 1.0}


@dataclass(frozen=True)
class LeftText(Rule):
    """What is left of some yarns."""

    metavar: str = '"Moss 62 g, Chalk 1.5 skeins"'

    def read(self, text: str) -> tuple[Left, ...]:
        left = []
        # A comma between digits is a decimal comma, any other one parts two yarns.
        for part in re.split(r"\s*(?:;|,(?!\d)|(?<!\d),)\s*", text.strip()):
            match = re.fullmatch(r"(.+?)\s+(\d+(?:[.,]\d+)?)\s*([a-z]+)", part.strip(), re.I)
            if not match or match[3].lower() not in _LEFT_UNITS:
                raise BadInput(
                    f'"{part}": write a yarn and what is left of it, in {", ".join(_LEFT_UNITS)}, '
                    'as "Moss 62 g, Chalk 1.5 skeins"'
                )
            unit = match[3].lower()
            amount = parse_number(match[2]) * _LEFT_UNITS[unit]
            kind: LeftUnit = (
                "g" if unit in WEIGHTS_G else "skeins" if unit.startswith("skein") else "m"
            )
            amount = amount / 100 if kind == "m" else amount
            left.append(Left(_name(match[1]), amount, kind))
        return tuple(left)

    def as_words(self, value: Any) -> str:
        return ", ".join(f"{left.yarn} {left.amount:.12g} {left.unit}" for left in value)


def _name(text: str) -> str:
    from pix2block.yarn.yarn import clean_name  # brings NumPy: not on the way to --help

    return clean_name(text)
