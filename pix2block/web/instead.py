"""What would do in place of a choice that cannot be."""

from __future__ import annotations

from typing import Any

from pix2block.chart.chart import Chart
from pix2block.ground.errors import BadInput
from pix2block.ground.quantities import parse_size_cm
from pix2block.ground.settings import MOST_YARNS
from pix2block.options.goal_rules import Hours
from pix2block.web.words import size_asked

_OF_SIZE, _OF_BLOCKS, _OF_YARNS = ("size",), ("width", "height", "blocks"), ("colors", "yarns")

_MOST_DIGITS = 9


def instead_of(chart: Chart, word: str, value: Any) -> list[dict[str, str]]:
    """At most three choices near one that cannot be: {"words", "word", "value"}; without a value
    it is a word that opens."""
    if not isinstance(value, str):
        return []
    if word == "hours":
        return _less_to_end(value)
    if word in _OF_SIZE:
        return _sizes(chart, value)
    parts = [part for part in value.replace("x", " ").split() if part.isdecimal()]
    numbers = [int(part) for part in parts if len(part) <= _MOST_DIGITS]
    if word in _OF_BLOCKS and numbers:
        across = [numbers[0], *(round(n * chart.width / chart.height) for n in numbers[1:])]
        across = [n for n in dict.fromkeys(across) if 1 <= n <= 1000] or [chart.width]
        return [_one(f"{n} blocks across", "width", str(n)) for n in across[:2]]
    if word in _OF_YARNS and numbers:
        most = min(max(numbers[0], 2), MOST_YARNS)
        return [_one(f"{most} yarns", "colors", str(most))]
    return []


def _less_to_end(value: str) -> list[dict[str, str]]:
    """What leaves fewer hours of weaving in; nothing where no hours were asked."""
    try:
        Hours().read(value)
    except BadInput:
        return []
    ways = (("carry the yarn", "habit"), ("end tails another way", "ending"))
    return [
        {"words": words, "word": word} for words, word in (*ways, ("take fewer yarns", "yarns"))
    ]


def _sizes(chart: Chart, value: str) -> list[dict[str, str]]:
    wide = chart.width / chart.height
    try:
        width, height = parse_size_cm(size_asked(value, wide, 1.0).get("size", ""))
    except BadInput:
        return []
    sizes = [(width, width / wide), (height * wide, height)]
    return [
        _one(f"{w:.0f} × {h:.0f} cm, all of it", "size", f"{w:.0f}x{h:.0f}cm")
        for w, h in sizes
        if round(w) and round(h)
    ]


def _one(words: str, word: str, value: str) -> dict[str, str]:
    return {"words": words, "word": word, "value": value}
