"""How what a maker measures, has left, or wants around the piece is read from words."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, cast, get_args

from pix2block.amounts.under_way import Done, Left, LeftUnit
from pix2block.ground import settings
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.quantities import (
    LENGTHS_CM,
    WEIGHTS_G,
    parse_amounts,
    parse_cm,
    parse_grams,
    parse_number,
)
from pix2block.ground.units import plain
from pix2block.options.progress_file import read_progress
from pix2block.options.rules import Rule, numbers_in, numbers_of
from pix2block.yarn.guess import Gauge, GaugeStitch

MOST_SWATCH_SIDE = 100  # blocks
_OF_YARN = ("m", "yd")
_LEFT_UNITS = (*WEIGHTS_G, *_OF_YARN, "skein", "skeins")


class Minutes(Rule):
    """Minutes for a block, a colour change and a tail."""

    metavar = "BLOCK,CHANGE,TAIL"
    wanted = "three numbers of minutes, as 0.7,0.3,2"

    def read(self, text: str) -> settings.Pace:
        return self._pace(numbers_of(text, 3), text)

    def fit(self, value: Any) -> settings.Pace:
        if isinstance(value, settings.Pace):
            value = (value.block, value.change, value.tail)
        return self._pace(numbers_in(value, 3), value)

    def _pace(self, values: tuple[float, ...] | None, given: Any) -> settings.Pace:
        if values is None or not all(0 <= v <= settings.MOST_MINUTES for v in values):
            raise self.refusal(given)
        return settings.Pace(*values)

    def as_words(self, value: Any) -> str:
        return ",".join(map(plain, (value.block, value.change, value.tail)))


class GaugeText(Rule):
    """A plain gauge: stitches over 10 cm (4 in), for double crochet also rows."""

    metavar = '"13 sc"|"12 dc x 7.5 rows"'
    wanted = 'stitches over 10 cm (4 in), as "13 sc" or "12 dc x 7.5 rows" (US names)'
    unit = "stitches"

    def read(self, text: str) -> Gauge:
        number = r"(\d{1,3}(?:[.,]\d{1,3})?)"
        match = re.fullmatch(
            rf"\s*{number}\s*(sc|dc)(?:\s*[x×,]\s*{number}\s*(?:rows?)?)?\s*", text, re.I
        )
        if match is None or (match[2].lower() == "dc" and match[3] is None):
            raise self.refusal(text)
        rows = None if match[3] is None else parse_number(match[3])
        stitch = cast(GaugeStitch, match[2].lower())
        return self._gauge(stitch, parse_number(match[1]), rows, text)

    def fit(self, value: Any) -> Gauge:
        if not isinstance(value, Gauge):
            raise self.refusal(value)
        return value

    def _gauge(self, stitch: GaugeStitch, stitches: float, rows: float | None, given: Any) -> Gauge:
        try:
            return Gauge(stitch, stitches, rows)
        except BadInput:
            raise self.refusal(given) from None

    def as_words(self, value: Any) -> str:
        return str(value)


class Weighed(Rule):
    """A weight with its unit, kept in grams."""

    metavar = "24.5g"
    wanted = "a weight, as 24.5g or 0.9oz"
    unit = "grams"
    low = 0.0

    def read(self, text: str) -> float:
        return parse_grams(text)

    def fit(self, value: Any) -> float:
        found = numbers_in([value], 1)
        if found is None or found[0] < 0:
            raise self.refusal(value)
        return found[0]

    def as_words(self, value: Any) -> str:
        return f"{plain(value)}g"


class Blocks(Rule):
    """Blocks across and down."""

    metavar = "6x6"
    wanted = f"blocks across and down, up to {MOST_SWATCH_SIDE}, as 6x6"

    def read(self, text: str) -> tuple[int, int]:
        match = re.fullmatch(r"\s*(\d{1,3})\s*[x×]\s*(\d{1,3})\s*", text, re.I)
        return self._within((int(match[1]), int(match[2])) if match else (0, 0), text)

    def fit(self, value: Any) -> tuple[int, int]:
        sides = numbers_in(value, 2)
        if sides is None or any(side % 1 for side in sides):
            raise self.refusal(value)
        return self._within((int(sides[0]), int(sides[1])), value)

    def _within(self, sides: tuple[int, int], given: Any) -> tuple[int, int]:
        if not all(1 <= side <= MOST_SWATCH_SIDE for side in sides):
            raise self.refusal(given)
        return sides

    def as_words(self, value: Any) -> str:
        return f"{value[0]}x{value[1]}"


class Label(Rule):
    """Metres and grams of a skein, as its label says."""

    metavar = "200m/100g"
    wanted = "the length and weight of a skein, as 200m/100g or 218yd/3.5oz"

    def read(self, text: str) -> tuple[float, float]:
        found = parse_amounts(text)
        units = {unit: value for value, unit in found or ()}
        lengths = [_metres(v, u) for u, v in units.items() if u in _OF_YARN]
        weights = [v * WEIGHTS_G[u] for u, v in units.items() if u in WEIGHTS_G]
        if len(units) != 2 or len(lengths) != 1 or len(weights) != 1 or 0 in units.values():
            raise self.refusal(text)
        return lengths[0], weights[0]

    def fit(self, value: Any) -> tuple[float, float]:
        amounts = numbers_in(value, 2)
        if amounts is None or min(amounts) <= 0:
            raise self.refusal(value)
        return amounts[0], amounts[1]

    def as_words(self, value: Any) -> str:
        return f"{plain(value[0])}m/{plain(value[1])}g"


class Unravelled(Rule):
    """How many blocks were unravelled, and the length of their yarn in cm."""

    metavar = '"8 blocks 5.4m"'
    wanted = 'how many blocks and their yarn, as "8 blocks 5.4m"'

    def read(self, text: str) -> tuple[int, float]:
        match = re.fullmatch(r"\s*(\d{1,5})\s*(?:blocks?\b)?[\s:,]+(.+)", text, re.I)
        if not match or int(match[1]) < 1:
            raise self.refusal(text)
        return int(match[1]), parse_cm(match[2])

    def fit(self, value: Any) -> tuple[int, float]:
        found = numbers_in(value, 2)
        if found is None or found[0] % 1 or not 1 <= found[0] < 100_000 or found[1] < 0:
            raise self.refusal(value)
        return int(found[0]), found[1]

    def as_words(self, value: Any) -> str:
        return f"{value[0]} blocks {plain(value[1])}cm"


@dataclass(frozen=True)
class BorderAsked:
    """Rounds of a stitch (US name) in a yarn, by its name; NO_BORDER takes one off."""

    rounds: int
    stitch: settings.BorderStitch
    yarn: str


NO_BORDER = BorderAsked(0, "sc", "")
_NONE = "none"


class BorderText(Rule):
    """Rounds, stitch and yarn of a border, or that there is none."""

    metavar = '"2 sc Chalk"'
    wanted = (
        f"rounds, stitch ({', '.join(settings.BORDER_STITCHES)}, US names) and yarn, as "
        f'"2 sc Chalk", or {_NONE}'
    )

    def read(self, text: str) -> BorderAsked:
        if text.strip().lower() == _NONE:
            return NO_BORDER
        words = text.split(maxsplit=2)
        fits = len(words) == 3 and words[1].lower() in settings.BORDER_STITCHES
        if not fits or not re.fullmatch(r"[0-9]{1,3}", words[0]) or not int(words[0]):
            raise self.refusal(text)
        if int(words[0]) > settings.MOST_ROUNDS:
            raise BadInput(f'"{text}": at most {settings.MOST_ROUNDS} rounds')
        stitch = cast(settings.BorderStitch, words[1].lower())
        return BorderAsked(int(words[0]), stitch, _name(words[2]))

    def fit(self, value: Any) -> BorderAsked:
        if not isinstance(value, BorderAsked):
            raise self.refusal(value)
        return self.read(self.as_words(value))

    def as_words(self, value: Any) -> str:
        return _NONE if value == NO_BORDER else f"{value.rounds} {value.stitch} {value.yarn}"


class DoneText(Rule):
    """The row that is done, or of which only some runs are."""

    metavar = "ROW[.RUN]|FILE"
    wanted = (
        "the row that is done, as 57, a row and how many of its runs are done, as 57.3, or the "
        "hookside page's file"
    )

    def read(self, text: str) -> Done:
        match = re.fullmatch(r"\s*([0-9]{1,5})(?:\.([0-9]{1,5}))?\s*", text)
        if not match and Path(text.strip()).suffix.lower() == ".json":
            return read_progress(Path(text.strip()))
        if not match or not int(match[1]) or (match[2] and not int(match[2])):
            raise self.refusal(text)
        return Done(int(match[1]), int(match[2]) if match[2] else None)

    def fit(self, value: Any) -> Done:
        """A number is a row; 57.3 is none, since it may be run 3 or 30: that is a `Done`."""
        done = value if isinstance(value, Done) else Done(value)
        for number in (done.row, 1 if done.runs is None else done.runs):
            if not isinstance(number, int) or isinstance(number, bool) or not 0 < number < 100_000:
                raise self.refusal(value)
        return done

    def as_words(self, value: Any) -> str:
        return f"{value.row}" if value.runs is None else f"{value.row}.{value.runs}"


class LeftText(Rule):
    """What is left of some yarns."""

    metavar = '"Moss 62 g, Chalk 1.5 skeins"'
    wanted = (
        f"a yarn and what is left of it, in {', '.join(_LEFT_UNITS)}, as "
        '"Moss 62 g, Chalk 1.5 skeins"'
    )

    def read(self, text: str) -> tuple[Left, ...]:
        left = []
        # A comma between digits is a decimal comma, any other one parts two yarns.
        for part in re.split(r"\s*(?:;|,(?!\d)|(?<!\d),)\s*", text.strip()):
            match = re.fullmatch(r"(.+?)\s+(\d+(?:[.,]\d+)?)\s*([a-z]+)", part.strip(), re.I)
            if not match or match[3].lower() not in _LEFT_UNITS:
                raise self.refusal(part)
            unit = match[3].lower()
            number, name = parse_number(match[2]), _name(match[1])
            if unit in WEIGHTS_G:
                left.append(Left(name, number * WEIGHTS_G[unit], "g"))
            elif unit in _OF_YARN:
                left.append(Left(name, _metres(number, unit), "m"))
            else:
                left.append(Left(name, number, "skeins"))
        return tuple(left)

    def fit(self, value: Any) -> tuple[Left, ...]:
        """One `Left` or several."""
        several = (value,) if isinstance(value, Left) else value
        if not isinstance(several, tuple | list) or not several:
            raise self.refusal(value)
        return tuple(self._left(one) for one in several)

    def _left(self, one: Any) -> Left:
        if not isinstance(one, Left) or one.unit not in get_args(LeftUnit):
            raise self.refusal(one)
        amount = numbers_in([one.amount], 1)
        if amount is None or amount[0] < 0:
            raise self.refusal(one)
        return Left(_name(one.yarn), amount[0], one.unit)

    def as_words(self, value: Any) -> str:
        return ", ".join(f"{left.yarn} {plain(left.amount)} {left.unit}" for left in value)


def _metres(number: float, unit: str) -> float:
    return number * LENGTHS_CM[unit] / 100 if unit == "yd" else number


def _name(text: str) -> str:
    from pix2block.yarn.yarn import clean_name  # brings NumPy: not on the way to --help

    return clean_name(text)
