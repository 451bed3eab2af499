"""What an option's value may be, and how it comes from words or from a value of a program."""

from __future__ import annotations

import math
import operator
import os
from collections.abc import Iterable
from numbers import Real
from typing import Any

from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.frozen import dataclass
from pix2block.ground.quantities import (
    DISTANCE_M,
    DISTANCE_WANTED,
    SIZE_WANTED,
    Ambiguous,
    parse_distance_m,
    parse_number,
    parse_numbers,
    parse_size_cm,
)
from pix2block.ground.units import plain


class Rule:
    """What a value may be. metavar: shown in help; wanted: told where a value does not fit; unit,
    low, high: what a form may say of a number that is typed, where it is one number."""

    metavar = "TEXT"
    takes = 1  # words of a command line, which are joined by commas
    wanted = "a text"
    unit = ""
    low: float | None = None
    high: float | None = None

    def value(self, given: Any) -> Any:
        """The value that is meant by a text, or by a value of a program: the same for both.

        Raises BadInput saying what to give instead.
        """
        return self.read(given) if isinstance(given, str) else self.fit(given)

    def read(self, text: str) -> Any:
        """The value in a text. Raises BadInput."""
        raise NotImplementedError

    def fit(self, value: Any) -> Any:
        """The value meant by one that is no text. Raises BadInput where it does not fit."""
        raise self.refusal(value)

    def as_words(self, value: Any) -> str:
        """A value as a text that `read` takes."""
        return str(value)

    def refusal(self, given: Any) -> BadInput:
        """The error of what does not fit."""
        words = ",".join(map(str, given)) if isinstance(given, tuple | list) else given
        return BadInput(f'"{words}": write {self.wanted}')


@dataclass(frozen=True)
class Whole(Rule):
    """A whole number in a range. form: for help, in place of the unit."""

    low: int
    high: int
    unit: str = ""
    form: str = ""

    @property
    def metavar(self) -> str:  # type: ignore[override]
        return self.form or self.unit.upper() or "N"

    @property
    def wanted(self) -> str:  # type: ignore[override]
        return f"a whole number from {self.low} to {self.high}"

    def read(self, text: str) -> int:
        digits = text.strip()
        if not (digits.isascii() and digits.isdigit() and len(digits) < 20):
            raise self.refusal(text)
        return self._within(int(digits), text)

    def fit(self, value: Any) -> int:
        if isinstance(value, bool) or not hasattr(value, "__index__"):
            raise self.refusal(value)
        return self._within(operator.index(value), value)

    def _within(self, number: int, given: Any) -> int:
        if not self.low <= number <= self.high:
            raise self.refusal(given)
        return number


@dataclass(frozen=True)
class Number(Rule):
    """A number from 0, or with `above` above it, up to a limit."""

    high: float
    unit: str
    above: bool = False
    low = 0.0

    @property
    def metavar(self) -> str:  # type: ignore[override]
        return self.unit.upper()

    @property
    def wanted(self) -> str:  # type: ignore[override]
        if self.above:
            return f"a number above 0, up to {self.high:g}"
        return f"a number from 0 to {self.high:g}"

    def read(self, text: str) -> float:
        try:
            return self._within(parse_number(text), text)
        except Ambiguous:
            raise
        except BadInput:
            raise self.refusal(text) from None

    def fit(self, value: Any) -> float:
        found = numbers_in([value], 1)
        if found is None:
            raise self.refusal(value)
        return self._within(found[0], value)

    def _within(self, number: float, given: Any) -> float:
        if not 0 <= number <= self.high or (self.above and not number):
            raise self.refusal(given)
        return number

    def as_words(self, value: Any) -> str:
        return plain(value)


class Flag(Rule):
    """Asked for, or not: takes no value on a command line."""

    metavar = ""
    wanted = "yes or no"

    def read(self, text: str) -> bool:
        if text not in ("yes", "no"):
            raise self.refusal(text)
        return text == "yes"

    def fit(self, value: Any) -> bool:
        if not isinstance(value, bool):
            raise self.refusal(value)
        return value

    def as_words(self, value: Any) -> str:
        return "yes" if value else "no"


@dataclass(frozen=True)
class Choice(Rule):
    """One of a few words."""

    words: tuple[str, ...]

    @property
    def metavar(self) -> str:  # type: ignore[override]
        return "|".join(self.words)

    @property
    def wanted(self) -> str:  # type: ignore[override]
        return f"one of {', '.join(self.words)}"

    def read(self, text: str) -> str:
        word = text.strip().lower()
        if word not in self.words:
            raise BadInput(unknown("word", text, self.words))
        return word


@dataclass(frozen=True)
class Several(Rule):
    """Some of a few words, commas between; in their own order, each once."""

    words: tuple[str, ...]

    @property
    def metavar(self) -> str:  # type: ignore[override]
        return ",".join(self.words)

    @property
    def wanted(self) -> str:  # type: ignore[override]
        return f"some of {', '.join(self.words)}"

    def read(self, text: str) -> tuple[str, ...]:
        return self.fit(text.split(","))

    def fit(self, value: Any) -> tuple[str, ...]:
        given = texts_in(value)
        if given is None:
            raise self.refusal(value)
        given = tuple(word.strip().lower() for word in given)
        for word in given:
            if word not in self.words:
                raise BadInput(unknown("word", word, self.words))
        return tuple(word for word in self.words if word in given)

    def as_words(self, value: Any) -> str:
        return ",".join(value)


@dataclass(frozen=True)
class Words(Rule):
    """Any text, or a path."""

    metavar: str = "TEXT"

    def read(self, text: str) -> str:
        return text

    def fit(self, value: Any) -> str:
        path = os.fspath(value) if isinstance(value, os.PathLike) else None
        if not isinstance(path, str):
            raise self.refusal(value)
        return path


@dataclass(frozen=True)
class Pair(Rule):
    """Two yarns or colours."""

    metavar = "A B"
    takes = 2
    wanted = "name two yarns or colours, as Chalk Rust"

    def read(self, text: str) -> tuple[str, ...]:
        names = tuple(" ".join(name.split()) for name in text.split(","))
        if len(names) != self.takes or not all(names):
            raise self.refusal(text)
        return names

    def fit(self, value: Any) -> tuple[str, ...]:
        names = texts_in(value)
        if names is None or any("," in name for name in names):
            raise self.refusal(value)
        return self.read(",".join(names))

    def as_words(self, value: Any) -> str:
        return ",".join(value)

    def refusal(self, given: Any) -> BadInput:
        return BadInput(f'"{given}": {self.wanted}')


@dataclass(frozen=True)
class Size(Rule):
    """A finished size: width and height in cm."""

    metavar: str = "120x150cm"
    wanted = SIZE_WANTED

    def read(self, text: str) -> tuple[float, float]:
        return parse_size_cm(text)

    def fit(self, value: Any) -> tuple[float, float]:
        sides = numbers_in(value, 2)
        if sides is None or min(sides) <= 0:
            raise self.refusal(value)
        return sides[0], sides[1]

    def as_words(self, value: Any) -> str:
        return f"{plain(value[0])}x{plain(value[1])}cm"


class Distance(Rule):
    """How far away, in metres."""

    metavar = "3m"
    wanted = DISTANCE_WANTED
    unit = "metres"
    low, high = DISTANCE_M

    def read(self, text: str) -> float:
        return parse_distance_m(text)

    def fit(self, value: Any) -> float:
        found = numbers_in([value], 1)
        if found is None or not DISTANCE_M[0] <= found[0] <= DISTANCE_M[1]:
            raise self.refusal(value)
        return found[0]

    def as_words(self, value: Any) -> str:
        return f"{plain(value)}m"


def numbers_of(text: str, count: int) -> tuple[float, ...] | None:
    """So many numbers, as `parse_numbers` reads them, None where a text is anything else."""
    try:
        return numbers_in([parse_number(text)] if count == 1 else parse_numbers(text), count)
    except BadInput:
        return None


def numbers_in(value: Any, count: int) -> tuple[float, ...] | None:
    """So many finite numbers, None where a value is anything else."""
    if isinstance(value, str | bytes) or not isinstance(value, Iterable):
        return None
    items = tuple(value)
    if len(items) != count or not all(
        isinstance(one, Real) and not isinstance(one, bool) and math.isfinite(one) for one in items
    ):
        return None
    return tuple(float(one) for one in items)


def texts_in(value: Any) -> tuple[str, ...] | None:
    """The texts of a list, None where a value is anything else."""
    if isinstance(value, str | bytes) or not isinstance(value, Iterable):
        return None
    items = tuple(value)
    return items if all(isinstance(one, str) for one in items) else None
