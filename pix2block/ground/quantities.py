"""Numbers and amounts as a maker types them: "2,5", "24.5 g", "1,75 oz", "230 yd", "90x110cm".

A decimal comma is as good as a point wherever a person types a number.
"""

from __future__ import annotations

import re

from pix2block.ground.errors import BadInput
from pix2block.ground.units import CM_PER_INCH, CM_PER_YARD, GRAMS_PER_OUNCE

_DISTANCES_M = {"m": 1.0, "ft": 12 * CM_PER_INCH / 100}
DISTANCE_M = (0.1, 1000.0)  # from which a piece can be looked at
SIZE_WANTED = "width x height and a unit, as 120x150cm or 48x60in"
DISTANCE_WANTED = "how far away, with a unit, as 3m or 10ft"
LENGTHS_CM = {"mm": 0.1, "cm": 1.0, "m": 100.0, "in": CM_PER_INCH, "yd": CM_PER_YARD}
WEIGHTS_G = {"g": 1.0, "kg": 1000.0, "oz": GRAMS_PER_OUNCE}

_NUMBER = re.compile(r"\d{1,12}(?:[.,]\d+)?", re.A)
_SHORT = re.compile(r"[.,]\d+", re.A)
_AMOUNT = re.compile(rf"({_NUMBER.pattern})\s*([a-z]+)")
_THOUSANDS = re.compile(r"([1-9]\d{0,2})([.,])(\d{3})")
_SIZE = re.compile(rf"({_NUMBER.pattern})\s*(cm|in)?\s*[x×]\s*({_NUMBER.pattern})\s*(cm|in)")


class Ambiguous(BadInput):
    """A number that may mean two things."""


def parse_number(text: str, points_group: bool = False) -> float:
    """A number of zero or more, with a decimal point or comma.

    Raises BadInput for anything else; Ambiguous for "1,000", which may mean a thousand or one. So
    may "1.000" with points_group: where commas are decimal commas, points may part thousands.
    """
    word = text.strip()
    grouped = _THOUSANDS.fullmatch(word)
    if grouped and (grouped[2] == "," or points_group):
        whole, mark, rest = grouped.groups()
        one = f"{whole}.{rest}".rstrip("0").rstrip(".")
        name = "comma" if mark == "," else "point"
        raise Ambiguous(f'"{text}" may mean {whole}{rest} or {one}: write it without {name}')
    if not (_NUMBER.fullmatch(word) or _SHORT.fullmatch(word)):
        raise BadInput(f'"{text}" is no number: write it as 100 or 2.5')
    return float(word.replace(",", "."))


_FRACTIONS = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅓": " 1/3", "⅔": " 2/3"}
_COUNTS = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def parse_count(text: str, points_group: bool = False) -> float:
    """How many, as people write it: "3", "2.5", "1 and a half", "1½", "1 1/2", "two", "none".

    Raises BadInput for anything else, and for what `parse_number` refuses.
    """
    word = text.casefold().strip()
    for sign, fraction in _FRACTIONS.items():
        word = word.replace(sign, fraction)
    word = re.sub(r"\b(?:a |one )?half\b", "1/2", word)
    word = re.sub(r"\bthree quarters\b", "3/4", re.sub(r"\b(?:a |one )?quarter\b", "1/4", word))
    words = [w for w in re.sub(r"\band\b|&", " ", word).split() if w != "a"]
    words = [str(_COUNTS.index(w)) if w in _COUNTS else w for w in words]
    part = 0.0
    if words and (fraction_of := re.fullmatch(r"(\d{1,3})/([1-9]\d{0,2})", words[-1])):
        part = int(fraction_of[1]) / int(fraction_of[2])
        words.pop()
        if not words:
            return part
    if len(words) != 1 or (part and not words[0].isdigit()):
        raise BadInput(f'"{text}" is no number: write it as 3 or 2.5')
    return parse_number(words[0], points_group) + part


def parse_numbers(text: str) -> list[float]:
    """Numbers with commas between; or, where a comma may be a decimal one, with semicolons or
    blanks between: "0.7,0.3,2", "0,7; 0,3; 2", "0,7 0,3 2".

    Raises BadInput for anything else.
    """
    apart = re.search(r";|\d\s+\d", text)
    parts = re.split(r"\s*;\s*|(?<=\d)\s+(?=\d)", text.strip()) if apart else text.split(",")
    return [parse_number(part) for part in parts]


def parse_amounts(text: str) -> list[tuple[float, str]] | None:
    """Numbers and the units behind them, in order; None where the text holds anything else."""
    words = text.strip().lower()
    rest = _AMOUNT.sub("", words)
    if not words or rest.strip(" /;") or ";" in rest:
        return None
    return [(parse_number(m[1]), m[2]) for m in _AMOUNT.finditer(words)]


def parse_cm(text: str) -> float:
    """A length in cm. Raises BadInput where it has no unit of length."""
    return _one(text, LENGTHS_CM, "a length, as 12.5cm or 5in")


def parse_grams(text: str) -> float:
    """A weight in grams. Raises BadInput where it has no unit of weight."""
    return _one(text, WEIGHTS_G, "a weight, as 24.5g or 0.9oz")


def _one(text: str, units: dict[str, float], wanted: str) -> float:
    found = parse_amounts(text)
    if found is None or len(found) != 1 or found[0][1] not in units:
        raise BadInput(f'"{text}": write {wanted}')
    return found[0][0] * units[found[0][1]]


def parse_size_cm(text: str) -> tuple[float, float]:
    """Width and height in cm from "120x150cm", "48x60in" or "90,5cm x 110cm".

    Raises BadInput for anything else.
    """
    match = _SIZE.fullmatch(text.strip().lower())
    sides = (parse_number(match[1]), parse_number(match[3])) if match else (0.0, 0.0)
    if not match or match[2] not in (None, match[4]) or not all(sides):
        raise BadInput(f'"{text}": write {SIZE_WANTED}')
    return sides[0] * LENGTHS_CM[match[4]], sides[1] * LENGTHS_CM[match[4]]


def parse_distance_m(text: str) -> float:
    """Metres from "3m" or "10ft".

    Raises BadInput for anything else, and for less than 0.1 m or more than 1,000 m.
    """
    found = parse_amounts(text)
    number, unit = found[0] if found and len(found) == 1 else (0.0, "")
    metres = number * _DISTANCES_M.get(unit, 0.0)
    if not DISTANCE_M[0] <= metres <= DISTANCE_M[1]:
        raise BadInput(f'"{text}": write {DISTANCE_WANTED}')
    return metres
