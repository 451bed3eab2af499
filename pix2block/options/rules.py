"""How the value of an option is read from words, and what may be written."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from pix2block.ground import settings
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.units import parse_distance_m, parse_size_cm

FACES = "faces"


class Rule:
    """How an option's value is read from words; `metavar` is shown in help."""

    metavar = "TEXT"
    takes = 1  # words of a command line, which are joined by commas

    def as_words(self, value: Any) -> str:
        """The value as a text that `read` takes, so that values are checked as words are."""
        return ",".join(map(str, value)) if isinstance(value, tuple) else str(value)

    def read(self, text: str) -> Any:
        """The value in a text. Raises BadInput saying what to write instead."""
        return text


@dataclass(frozen=True)
class Whole(Rule):
    """A whole number in a range."""

    low: int
    high: int
    metavar: str = "N"

    def read(self, text: str) -> int:
        digits = text.strip()
        value = int(digits) if digits.isascii() and digits.isdigit() and len(digits) < 20 else -1
        if not self.low <= value <= self.high:
            raise BadInput(f'"{text}": write a whole number from {self.low} to {self.high}')
        return value


@dataclass(frozen=True)
class Number(Rule):
    """A number in a range."""

    high: float
    metavar: str

    def read(self, text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not 0 <= value <= self.high:
            raise BadInput(f'"{text}": write a number from 0 to {self.high:g}')
        return value


class Flag(Rule):
    """Asked for, or not: takes no value on a command line."""

    metavar = ""

    def as_words(self, value: Any) -> str:
        return "yes" if value else "no"

    def read(self, text: str) -> bool:
        if text not in ("yes", "no"):
            raise BadInput(f'"{text}": write yes or no')
        return text == "yes"


@dataclass(frozen=True)
class Choice(Rule):
    """One of a few words."""

    words: tuple[str, ...]

    @property
    def metavar(self) -> str:  # type: ignore[override]
        return "|".join(self.words)

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

    def read(self, text: str) -> tuple[str, ...]:
        given = [word.strip().lower() for word in text.split(",")]
        for word in given:
            if word not in self.words:
                raise BadInput(unknown("word", word, self.words))
        return tuple(word for word in self.words if word in given)


@dataclass(frozen=True)
class Words(Rule):
    """Any text."""

    metavar: str = "TEXT"


@dataclass(frozen=True)
class Pair(Rule):
    """Two yarns or colours."""

    metavar: str = "A B"
    takes = 2

    def read(self, text: str) -> tuple[str, ...]:
        names = tuple(" ".join(name.split()) for name in text.split(","))
        if len(names) != self.takes or not all(names):
            raise BadInput(f'"{text}": name two yarns or colours, as Chalk Rust')
        return names


@dataclass(frozen=True)
class Size(Rule):
    """A finished size."""

    metavar: str = "120x150cm"

    def read(self, text: str) -> tuple[float, float]:
        return parse_size_cm(text)

    def as_words(self, value: Any) -> str:
        return f"{value[0]}x{value[1]}cm"


@dataclass(frozen=True)
class Distance(Rule):
    """How far away, in metres."""

    metavar: str = "3m"

    def read(self, text: str) -> float:
        return parse_distance_m(text)

    def as_words(self, value: Any) -> str:
        return f"{value}m"


@dataclass(frozen=True)
class Crop(Rule):
    """A part of the picture, in per cent."""

    metavar: str = "X,Y,W,H"

    def read(self, text: str) -> tuple[float, ...]:
        values = _inside(text)
        if values is None:
            raise BadInput(
                f'"{text}": write X,Y,W,H in per cent, inside the picture, as 10,0,80,100'
            )
        return values


@dataclass(frozen=True)
class Minded:
    """A part of the picture that matters: left, top, width, height in per cent; its weight."""

    box: tuple[float, float, float, float]
    weight: float = settings.DEFAULT_MIND


@dataclass(frozen=True)
class Mind(Rule):
    """A part of the picture that matters, or the word "faces"."""

    metavar: str = "X,Y,W,H[:WEIGHT]|faces"

    def as_words(self, value: Any) -> str:
        if not isinstance(value, Minded):
            return str(value)
        return f"{','.join(map(str, value.box))}:{value.weight}"

    def read(self, text: str) -> Minded | str:
        if text.strip().lower() == FACES:
            return FACES
        box, _, weight = text.partition(":")
        values = _inside(box)
        heavy = _numbers(weight, 1) if weight else (settings.DEFAULT_MIND,)
        if values is None or heavy is None or not 0 <= heavy[0] <= settings.MOST_MIND:
            raise BadInput(
                f'"{text}": write X,Y,W,H in per cent of the picture and, if you like, a weight '
                f"up to {settings.MOST_MIND:g}, as 30,10,40,40:4, or the word {FACES}"
            )
        return Minded(values, heavy[0])


@dataclass(frozen=True)
class Spot(Rule):
    """A place in the picture, in per cent."""

    metavar: str = "X,Y"

    def read(self, text: str) -> tuple[float, ...]:
        values = _numbers(text, 2)
        if values is None or not all(0 <= v <= 100 for v in values):
            raise BadInput(f'"{text}": write X,Y in per cent of the picture, as 42,17.5')
        return values


@dataclass(frozen=True)
class Minutes(Rule):
    """Minutes for a block, a colour change and a tail."""

    metavar: str = "BLOCK,CHANGE,TAIL"

    def as_words(self, value: Any) -> str:
        return f"{value.block},{value.change},{value.tail}"

    def read(self, text: str) -> settings.Pace:
        values = _numbers(text, 3)
        if values is None or not all(0 <= v <= settings.MOST_MINUTES for v in values):
            raise BadInput(f'"{text}": write three numbers of minutes, as 0.7,0.3,2')
        return settings.Pace(*values)


@dataclass(frozen=True)
class Color(Rule):
    """A colour."""

    metavar: str = "COLOR"

    def read(self, text: str) -> str:
        from pix2block.color.notation import parse_color

        return parse_color(text)


def _numbers(text: str, count: int) -> tuple[float, ...] | None:
    try:
        values = tuple(float(part) for part in text.split(","))
    except ValueError:
        return None
    return values if len(values) == count and all(map(math.isfinite, values)) else None


def _inside(text: str) -> tuple[float, float, float, float] | None:
    """Left, top, width, height in per cent of the picture, None where they are no part of it."""
    values = _numbers(text, 4)
    if values is None:
        return None
    x, y, w, h = values
    fits = x >= 0 and y >= 0 and w > 0 and h > 0 and max(x + w, y + h) <= 100 + 1e-9
    return (x, y, w, h) if fits else None
