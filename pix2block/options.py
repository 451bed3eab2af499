"""Every option, declared once: help, command line, documentation and checks come from here.

An option is a field of `Options`; None means "not given". What then holds is a chart's own value
or the default of `ground.settings`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from pix2block.ground import settings
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.units import parse_size_cm

CHART, REPORT = "chart", "report"


class Rule:
    """How an option's value is read from words and checked; `metavar` is shown in help."""

    metavar = "TEXT"

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
class Words(Rule):
    """Any text."""

    metavar: str = "TEXT"


@dataclass(frozen=True)
class Size(Rule):
    """A finished size."""

    metavar: str = "120x150cm"

    def read(self, text: str) -> tuple[float, float]:
        return parse_size_cm(text)


@dataclass(frozen=True)
class Crop(Rule):
    """A part of the picture, in per cent."""

    metavar: str = "X,Y,W,H"

    def read(self, text: str) -> tuple[float, ...]:
        values = _numbers(text, 4)
        if values is None:
            raise BadInput(f'"{text}": write X,Y,W,H in per cent, as 10,0,80,100')
        x, y, w, h = values
        if not (x >= 0 and y >= 0 and w > 0 and h > 0 and x + w <= 100 and y + h <= 100):
            raise BadInput(f'"{text}": keep it inside the picture, from 0 to 100 per cent')
        return values


@dataclass(frozen=True)
class Minutes(Rule):
    """Minutes for a block, a colour change and a tail."""

    metavar: str = "BLOCK,CHANGE,TAIL"

    def read(self, text: str) -> settings.Pace:
        values = _numbers(text, 3)
        if values is None or not all(0 <= v <= 1000 for v in values):
            raise BadInput(f'"{text}": write three numbers of minutes, as 0.7,0.3,2')
        return settings.Pace(*values)


@dataclass(frozen=True)
class Color(Rule):
    """A colour."""

    metavar: str = "COLOR"

    def read(self, text: str) -> str:
        from pix2block.color.spaces import parse_color

        return parse_color(text)


def _numbers(text: str, count: int) -> tuple[float, ...] | None:
    try:
        values = tuple(float(part) for part in text.split(","))
    except ValueError:
        return None
    return values if len(values) == count and all(map(math.isfinite, values)) else None


def _option(
    about: str,
    rule: Rule,
    help_text: str,
    *commands: str,
    default: str | None = None,
) -> Any:
    """A field of Options. default: how what holds when it is not given is shown in help."""
    details = {"about": about, "rule": rule, "help": help_text, "shown_default": default}
    return field(default=None, metadata={**details, "commands": commands or (CHART, REPORT)})


_SIDE = Whole(1, settings.MOST_BLOCKS_A_SIDE, "BLOCKS")

# Groups in the order of help; those before "more" come first.
FIRST_GROUPS = ("size", "colours", "working", "tails", "output")
MORE_GROUPS = ("reading the picture", "the yarn's path", "yarn and time", "repeatable")


@dataclass(frozen=True, kw_only=True)
class Options:
    """What a maker asked for; None where she said nothing."""

    width: int | None = _option(
        *("size", _SIDE, "blocks across; the height follows the picture", CHART),
        default=str(settings.DEFAULT_WIDTH),
    )
    height: int | None = _option("size", _SIDE, "blocks down; the width follows", CHART)
    size: tuple[float, float] | None = _option(
        "size", Size(), "finished size, in cm or in; what does not fit is cropped", CHART
    )
    weight: int | None = _option(
        *("size", Whole(0, 7, "0-7"), "weight class of the yarn"),
        default=str(settings.DEFAULT_WEIGHT),
    )
    crop: tuple[float, float, float, float] | None = _option(
        "size", Crop(), "use only this part of the picture, in per cent", CHART
    )
    colors: int | None = _option(
        *("colours", Whole(1, settings.MOST_YARNS), "at most so many yarns", CHART),
        default=f"{settings.DEFAULT_COLORS} from a picture, all of a shelf",
    )
    shelf: str | None = _option("colours", Words("FILE"), "choose among these yarns (CSV)")
    hand: settings.Hand | None = _option(
        "working", Choice(settings.HANDS), "the maker's hand", default="right"
    )
    corner: settings.StartCorner | None = _option(
        *("working", Choice(settings.START_CORNERS), "where the piece starts"),
        default="bottom-right, left-handed bottom-left",
    )
    block: settings.BlockKind | None = _option(
        "working", Choice(settings.BLOCK_KINDS), "stitch of a block, by its US name", default="dc"
    )
    terms: settings.Terms | None = _option(
        "working", Choice(settings.TERMS), "stitch names in the pattern", default="us"
    )
    turn: settings.Turn | None = _option(
        *("working", Choice(settings.TURNS), "when a colour that changes at a turn comes in"),
        default=settings.DEFAULT_TURN,
    )
    habit: settings.HabitName | None = _option(
        *("tails", Choice(settings.HABIT_NAMES), "cut at every change, pick up, or carry behind"),
        default=settings.DEFAULT_HABIT,
    )
    out: str | None = _option(
        *("output", Words("FOLDER"), "where the files go"),
        default="output/ and the picture's name; for a report the chart's folder",
    )
    title: str | None = _option(
        "output", Words(), "title of the piece", default="the picture's name"
    )
    look: settings.Look | None = _option(
        *("reading the picture", Choice(settings.LOOKS)),
        *("photo, or blocks: it already is a chart, one pixel or square a block", CHART),
        default="photo",
    )
    background: str | None = _option(
        *("reading the picture", Color(), "what transparent places show", CHART), default="white"
    )
    reach: float | None = _option(
        *("the yarn's path", Number(1000, "SIDES"), "carry at most so many block sides"),
        default="the habit's",
    )
    rest: int | None = _option(
        *("the yarn's path", Whole(0, 2000, "ROWS"), "leave hanging at most so many rows"),
        default="the habit's",
    )
    edge: int | None = _option(
        *("the yarn's path", Whole(0, 2000, "ROWS"), "climb an edge at most so many rows"),
        default="the habit's",
    )
    tail: float | None = _option(
        *("yarn and time", Number(100, "CM"), "length of a tail"),
        default=f"{settings.DEFAULT_TAIL_CM:g}",
    )
    pace: settings.Pace | None = _option(
        *("yarn and time", Minutes(), "minutes for a block, a change, a tail"),
        default=f"{settings.DEFAULT_PACE.block:g},{settings.DEFAULT_PACE.change:g},{settings.DEFAULT_PACE.tail:g}",
    )
    seed: int | None = _option(
        *("repeatable", Whole(0, 2**31 - 1), "another start for the search of colours", CHART),
        default=str(settings.DEFAULT_SEED),
    )

    def __post_init__(self) -> None:
        for spec in specs():
            value = getattr(self, spec.name)
            if value is not None and isinstance(spec.rule, Whole | Number | Choice | Color):
                _read(spec, str(value))

    @classmethod
    def from_words(cls, given: Mapping[str, str]) -> Options:
        """Options from texts, as a command line or a form gives them.

        Raises BadInput for an unknown name or a value that cannot be read.
        """
        values = {}
        known = {spec.name: spec for spec in specs()}
        for name, text in given.items():
            if name not in known:
                raise BadInput(unknown("option", name, known))
            values[name] = _read(known[name], text)
        return cls(**values)


def _read(spec: Spec, text: str) -> Any:
    try:
        return spec.rule.read(text)
    except BadInput as error:
        prefix = "" if str(error).startswith("--") else f"--{spec.name} "
        raise BadInput(f"{prefix}{error}") from None


@dataclass(frozen=True)
class Spec:
    """An option's declaration."""

    name: str
    about: str
    rule: Rule
    help: str
    shown_default: str | None
    commands: tuple[str, ...]


def specs(command: str | None = None) -> list[Spec]:
    """Declarations of all options, or of one command's."""
    every = [Spec(name=f.name, **f.metadata) for f in fields(Options)]
    return [s for s in every if command is None or command in s.commands]
