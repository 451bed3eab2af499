"""What may be said of a picture: its parts, places and colours."""

from __future__ import annotations

import re
from typing import Any

from pix2block.ground import settings
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import plain
from pix2block.options.rules import Rule, numbers_in, numbers_of

FACES = "faces"
NO_SUBJECT = "none"


class Crop(Rule):
    """A part of the picture: left, top, width, height in per cent."""

    metavar = "X,Y,W,H"
    wanted = "X,Y,W,H in per cent, inside the picture, as 10,0,80,100"

    def read(self, text: str) -> tuple[float, ...]:
        values = _inside(numbers_of(text, 4))
        if values is None:
            raise self.refusal(text)
        return values

    def fit(self, value: Any) -> tuple[float, ...]:
        values = _inside(numbers_in(value, 4))
        if values is None:
            raise self.refusal(value)
        return values

    def as_words(self, value: Any) -> str:
        return ",".join(map(plain, value))


@dataclass(frozen=True)
class Minded:
    """A part of the picture that matters: left, top, width, height in per cent; its weight."""

    box: tuple[float, float, float, float]
    weight: float = settings.DEFAULT_MIND


class Mind(Rule):
    """A part of the picture that matters, or the word "faces"."""

    metavar = "X,Y,W,H[:WEIGHT]|faces"
    wanted = (
        "X,Y,W,H in per cent of the picture and, if you like, a weight up to "
        f"{settings.MOST_MIND:g}, as 30,10,40,40:4, or the word {FACES}"
    )

    def read(self, text: str) -> Minded | str:
        if text.strip().lower() == FACES:
            return FACES
        box, _, weight = text.partition(":")
        heavy = numbers_of(weight, 1) if weight else (settings.DEFAULT_MIND,)
        return self._minded(numbers_of(box, 4), heavy, text)

    def fit(self, value: Any) -> Minded | str:
        if not isinstance(value, Minded):
            return self._minded(numbers_in(value, 4), (settings.DEFAULT_MIND,), value)
        return self._minded(numbers_in(value.box, 4), numbers_in([value.weight], 1), value)

    def _minded(
        self, box: tuple[float, ...] | None, weight: tuple[float, ...] | None, given: Any
    ) -> Minded:
        values = _inside(box)
        if values is None or weight is None or not 0 <= weight[0] <= settings.MOST_MIND:
            raise self.refusal(given)
        return Minded(values, weight[0])

    def as_words(self, value: Any) -> str:
        if not isinstance(value, Minded):
            return str(value)
        return f"{','.join(map(plain, value.box))}:{plain(value.weight)}"


class SubjectRule(Rule):
    """What the picture is of: a box, a polygon, a picture that is white there, or nothing."""

    metavar = "X,Y,W,H|POLYGON|MASK.png|none"
    wanted = (
        "X,Y,W,H or at least three corners X,Y,X,Y,X,Y in per cent of the picture, as 30,10,40,80, "
        f"the file of a picture that is white on the subject, or {NO_SUBJECT}"
    )

    def read(self, text: str) -> str | tuple[float, ...]:
        if text.strip().lower() == NO_SUBJECT:
            return NO_SUBJECT
        values = numbers_of(text, len(text.split(",")))
        if values is None and not re.fullmatch(r"[\d\s.,+-]*", text):
            return text
        return self._corners(values, text)

    def fit(self, value: Any) -> tuple[float, ...]:
        count = len(value) if isinstance(value, tuple | list) else 0
        return self._corners(numbers_in(value, count), value)

    def _corners(self, values: tuple[float, ...] | None, given: Any) -> tuple[float, ...]:
        box = values is not None and len(values) == 4
        if values is None or (box and _inside(values) is None):
            raise self.refusal(given)
        if not box and (len(values) < 6 or len(values) % 2 or not min(values) >= 0):
            raise self.refusal(given)
        if max(values) > 100 + 1e-9:
            raise self.refusal(given)
        return values

    def as_words(self, value: Any) -> str:
        return value if isinstance(value, str) else ",".join(map(plain, value))


@dataclass(frozen=True)
class Backdrop:
    """What becomes of what is behind the subject: kept; quiet, in `few` yarns; plain, in one,
    `yarn` where it is named."""

    kind: str = "keep"
    few: int = settings.QUIET_YARNS
    yarn: str = ""


class BackdropRule(Rule):
    """What becomes of what is behind the subject."""

    metavar = "keep|quiet[:N]|plain[:YARN]"
    wanted = (
        f"keep, quiet, quiet:N with 1 to {settings.MOST_YARNS} yarns, plain, or plain:YARN with a "
        "yarn of the shelf or a colour"
    )

    def read(self, text: str) -> Backdrop:
        kind, colon, more = (part.strip() for part in text.partition(":"))
        kind = kind.lower()
        if not colon and kind in ("keep", "quiet", "plain"):
            return Backdrop(kind)
        if kind == "plain" and more:
            return Backdrop(kind, yarn=more)
        if kind == "quiet" and more.isdecimal() and 1 <= int(more) <= settings.MOST_YARNS:
            return Backdrop(kind, few=int(more))
        raise self.refusal(text)

    def fit(self, value: Any) -> Backdrop:
        if not isinstance(value, Backdrop):
            raise self.refusal(value)
        return self.read(self.as_words(value))

    def as_words(self, value: Any) -> str:
        if value.kind == "quiet" and value.few != settings.QUIET_YARNS:
            return f"quiet:{value.few}"
        return f"plain:{value.yarn}" if value.yarn else str(value.kind)


class Spot(Rule):
    """A place in the picture, in per cent."""

    metavar = "X,Y"
    wanted = "X,Y in per cent of the picture, as 42,17.5"

    def read(self, text: str) -> tuple[float, ...]:
        return self._place(numbers_of(text, 2), text)

    def fit(self, value: Any) -> tuple[float, ...]:
        return self._place(numbers_in(value, 2), value)

    def _place(self, values: tuple[float, ...] | None, given: Any) -> tuple[float, ...]:
        if values is None or not all(0 <= v <= 100 for v in values):
            raise self.refusal(given)
        return values

    def as_words(self, value: Any) -> str:
        return ",".join(map(plain, value))


class Color(Rule):
    """A colour, kept as "#rrggbb"."""

    metavar = "COLOR"
    wanted = "#rrggbb or a CSS color name"

    def read(self, text: str) -> str:
        from pix2block.color.notation import parse_color

        return parse_color(text)


def _inside(values: tuple[float, ...] | None) -> tuple[float, float, float, float] | None:
    """Left, top, width, height in per cent of the picture, None where they are no part of it."""
    if values is None:
        return None
    x, y, w, h = values
    fits = x >= 0 and y >= 0 and w > 0 and h > 0 and max(x + w, y + h) <= 100 + 1e-9
    return (x, y, w, h) if fits else None
