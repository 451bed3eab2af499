"""How goals are read: hours, days, evenings, and ranges of sizes and numbers."""

from __future__ import annotations

import datetime
import re
from typing import Any

from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.quantities import parse_number, parse_size_cm
from pix2block.ground.units import plain
from pix2block.options.rules import Rule, numbers_in

MOST_HOURS = 10_000.0
_CLOCK = re.compile(
    r"(?:(?P<h>[\d.,]+)\s*h(?:ours?)?)?\s*(?:(?P<m>\d+)(?:(?<=h\d)|(?<=h\d\d)|\s*(?:m|min|minutes)))?",
    re.I,
)
_UNIT = re.compile(r"[a-z\"″]+\s*$", re.I)
_COLON = re.compile(r"(?P<h>\d+):(?P<m>[0-5]\d)")
_EVENINGS = re.compile(
    r"(?P<h>.+?)\s*,\s*(?P<n>[\d.,]+)\s*(?:x|times|evenings?)?\s*(?:a|per|/)\s*week", re.I
)
_DAY_FIRST = re.compile(r"(?P<day>[0-9]{1,2})\.? (?P<month>[a-z]+)\.?,? (?P<year>[0-9]{4})", re.I)
_MONTH_FIRST = re.compile(r"(?P<month>[a-z]+)\.? (?P<day>[0-9]{1,2}),? (?P<year>[0-9]{4})", re.I)
_MONTHS = (
    *("january", "february", "march", "april", "may", "june", "july", "august", "september"),
    *("october", "november", "december"),
)


@dataclass(frozen=True)
class Evenings:
    """When a piece is worked on: hours an evening, evenings a week."""

    hours: float
    a_week: float


class Hours(Rule):
    """A time, in hours."""

    metavar = "4h30"
    unit = "hours"
    low, high = 0.0, MOST_HOURS
    wanted = "a time, as 4h, 90min, 4h30 or 4.5"

    def read(self, text: str) -> float:
        word = text.strip()
        try:
            return self._within(self._hours(word), text)
        except BadInput:
            raise self.refusal(text) from None

    def _hours(self, word: str) -> float:
        found = _COLON.fullmatch(word) or _CLOCK.fullmatch(word)
        if not word or not found or found["h"] is found["m"] is None:
            return parse_number(word)
        return (parse_number(found["h"]) if found["h"] else 0.0) + float(found["m"] or 0) / 60

    def fit(self, value: Any) -> float:
        found = numbers_in([value], 1)
        if found is None:
            raise self.refusal(value)
        return self._within(found[0], value)

    def _within(self, hours: float, given: Any) -> float:
        if not 0 < hours <= MOST_HOURS:
            raise self.refusal(given)
        return hours

    def as_words(self, value: Any) -> str:
        return f"{plain(value)}h"


@dataclass(frozen=True)
class Between(Rule):
    """A whole number, or a range of them: the least and the most."""

    low: int
    high: int
    form: str = "4-8"

    @property
    def metavar(self) -> str:  # type: ignore[override]
        return self.form

    @property
    def wanted(self) -> str:  # type: ignore[override]
        return f"a whole number from {self.low} to {self.high}, or two as {self.form}"

    def read(self, text: str) -> tuple[int, int]:
        parts = re.split(r"\s*(?:-|–|to)\s*", text.strip())
        if not 1 <= len(parts) <= 2 or not all(p.isascii() and p.isdigit() for p in parts):
            raise self.refusal(text)
        return self._within([int(p) for p in parts], text)

    def fit(self, value: Any) -> tuple[int, int]:
        found = numbers_in([value], 1) or numbers_in(value, 2)
        if found is None or any(one != int(one) for one in found):
            raise self.refusal(value)
        return self._within([int(one) for one in found], value)

    def _within(self, found: list[int], given: Any) -> tuple[int, int]:
        least, most = found[0], found[-1]
        if not self.low <= least <= most <= self.high:
            raise self.refusal(given)
        return least, most

    def as_words(self, value: Any) -> str:
        return str(value[0]) if value[0] == value[1] else f"{value[0]}-{value[1]}"


class Sizes(Rule):
    """A finished size, or two: the smallest and the largest; width and height in cm each."""

    metavar = "80x100-120x150cm"
    wanted = "a size as 120x150cm, or two as 80x100-120x150cm"

    def read(self, text: str) -> tuple[tuple[float, float], tuple[float, float]]:
        parts = re.split(r"\s*(?:-|–|\bto\b)\s*", text.strip())
        if not 1 <= len(parts) <= 2:
            raise self.refusal(text)
        unit = _UNIT.search(parts[-1])
        first = parts[0] + (unit[0] if unit and not _UNIT.search(parts[0]) else "")
        sizes = [parse_size_cm(first), parse_size_cm(parts[-1])]
        return self._risen(sizes[0], sizes[1], text)

    def fit(self, value: Any) -> tuple[tuple[float, float], tuple[float, float]]:
        one = numbers_in(value, 2)
        if one:
            return self._risen((one[0], one[1]), (one[0], one[1]), value)
        if isinstance(value, tuple | list) and len(value) == 2:
            two = [numbers_in(part, 2) for part in value]
            if two[0] and two[1]:
                return self._risen((two[0][0], two[0][1]), (two[1][0], two[1][1]), value)
        raise self.refusal(value)

    def _risen(
        self, small: tuple[float, float], large: tuple[float, float], given: Any
    ) -> tuple[tuple[float, float], tuple[float, float]]:
        if min(small) <= 0 or any(a > b for a, b in zip(small, large, strict=True)):
            raise self.refusal(given)
        return small, large

    def as_words(self, value: Any) -> str:
        words = [f"{plain(width)}x{plain(height)}" for width, height in value]
        return f"{words[0]}cm" if value[0] == value[1] else f"{'-'.join(words)}cm"


class Day(Rule):
    """A day of the calendar, also with an English month's name: 4 January 2027, Jan 4, 2027."""

    metavar = "2027-03-01"
    wanted = "a day as 2027-03-01"

    def read(self, text: str) -> datetime.date:
        said = " ".join(text.split())
        named = _DAY_FIRST.fullmatch(said) or _MONTH_FIRST.fullmatch(said)
        try:
            if not named:
                return datetime.date.fromisoformat(said)
            month = _month(named["month"])
            return datetime.date(int(named["year"]), month, int(named["day"]))
        except ValueError:
            raise self.refusal(text) from None

    def fit(self, value: Any) -> datetime.date:
        if not isinstance(value, datetime.date) or isinstance(value, datetime.datetime):
            raise self.refusal(value)
        return value

    def as_words(self, value: Any) -> str:
        return str(value.isoformat())


def _month(name: str) -> int:
    """Of its name, whole or in three letters. Raises ValueError for what is none."""
    word = name.casefold()
    return [month if len(word) > 3 else month[:3] for month in _MONTHS].index(word) + 1


class EveningsText(Rule):
    """Hours an evening, evenings a week."""

    metavar = '"1.5 h, 3 a week"'
    wanted = 'hours an evening and evenings a week, as "1.5 h, 3 a week"'

    def read(self, text: str) -> Evenings:
        found = _EVENINGS.fullmatch(text.strip())
        if not found:
            raise self.refusal(text)
        try:
            return self._within(Evenings(Hours().read(found["h"]), parse_number(found["n"])), text)
        except BadInput:
            raise self.refusal(text) from None

    def fit(self, value: Any) -> Evenings:
        if not isinstance(value, Evenings):
            raise self.refusal(value)
        return self._within(value, value)

    def _within(self, evenings: Evenings, given: Any) -> Evenings:
        if not (0 < evenings.hours <= 24 and 0 < evenings.a_week <= 7):
            raise self.refusal(given)
        return evenings

    def as_words(self, value: Any) -> str:
        return f"{plain(value.hours)} h, {plain(value.a_week)} a week"
