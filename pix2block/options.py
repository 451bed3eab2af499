"""Every option, declared once: help, command line, documentation and checks come from here.

An option is a field of `Options`; None means "not given". What then holds is a chart's own value
or the default of `ground.settings`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any, Self

from pix2block.amounts.under_way import Done, Left
from pix2block.ground import settings
from pix2block.ground.errors import BadInput, unknown
from pix2block.rules import (
    Choice,
    Color,
    Crop,
    Mind,
    Minded,
    Minutes,
    Number,
    Rule,
    Several,
    Size,
    Spot,
    Whole,
    Words,
)
from pix2block.yarn_rules import BorderAsked, BorderText, DoneText, Flag, LeftText

CHART, REPORT, CHECK = "chart", "report", "check"


def option(
    about: str,
    rule: Rule,
    help_text: str,
    *commands: str,
    default: str | None = None,
    many: bool = False,
) -> Any:
    """A field of Options. default: how what holds when it is not given is shown in help; many: it
    may be given several times, and its value is a tuple."""
    details = {"about": about, "rule": rule, "help": help_text, "shown_default": default}
    of = commands or (CHART, REPORT)
    return field(default=None, metadata={**details, "commands": of, "many": many})


_SIDE = Whole(1, settings.MOST_BLOCKS_A_SIDE, "BLOCKS")

# Groups in the order of help; those before "more" come first.
FIRST_GROUPS = ("size", "colours", "working", "tails", "output")
MORE_GROUPS = (
    "choosing colours",
    "reading the picture",
    "the yarn's path",
    "yarn and time",
    "pattern",
    "repeatable",
)


class Asked:
    """A table of options: its fields are declared by `option`; None means "not given"."""

    def __post_init__(self) -> None:
        for spec in specs(of=type(self)):
            value = getattr(self, spec.name)
            for one in () if value is None else value if spec.many else (value,):
                _read(spec, spec.rule.as_words(one))

    @classmethod
    def from_words(cls, given: Mapping[str, str | tuple[str, ...]]) -> Self:
        """Options from texts, as a command line or a form gives them; several for one that may be
        repeated.

        Raises BadInput for an unknown name or a value that cannot be read.
        """
        values: dict[str, Any] = {}
        known = {spec.name: spec for spec in specs(of=cls)}
        for name, text in given.items():
            if name not in known:
                raise BadInput(unknown("option", name, known))
            if isinstance(text, str):
                text = (text,)
            read = tuple(_read(known[name], one) for one in text)
            values[name] = read if known[name].many else read[-1]
        return cls(**values)


@dataclass(frozen=True, kw_only=True)
class Options(Asked):
    """What a maker asked for; None where she said nothing."""

    width: int | None = option(
        *("size", _SIDE, "blocks across; the height follows the picture", CHART),
        default=str(settings.DEFAULT_WIDTH),
    )
    height: int | None = option("size", _SIDE, "blocks down; the width follows", CHART)
    size: tuple[float, float] | None = option(
        "size", Size(), "finished size, in cm or in; what does not fit is cropped", CHART
    )
    weight: int | None = option(
        *("size", Whole(0, 7, "0-7"), "weight class of the yarn"),
        default=str(settings.DEFAULT_WEIGHT),
    )
    swatch: str | None = option(
        "size", Words("FILE"), "swatches, as pix2block swatch keeps them", default="a guess"
    )
    crop: tuple[float, float, float, float] | None = option(
        "size", Crop(), "use only this part of the picture, in per cent", CHART
    )
    colors: int | None = option(
        *("colours", Whole(1, settings.MOST_YARNS), "at most so many yarns", CHART),
        default=f"{settings.DEFAULT_COLORS} from a picture, all of a shelf",
    )
    shelf: str | None = option(
        "colours", Words("FILE"), "choose among these yarns (CSV, or a palette)"
    )
    hand: settings.Hand | None = option(
        "working", Choice(settings.HANDS), "the maker's hand", default="right"
    )
    corner: settings.StartCorner | None = option(
        *("working", Choice(settings.START_CORNERS), "where the piece starts"),
        default="bottom-right, left-handed bottom-left",
    )
    block: settings.BlockKind | None = option(
        "working", Choice(settings.BLOCK_KINDS), "stitch of a block, by its US name", default="dc"
    )
    terms: settings.Terms | None = option(
        "working", Choice(settings.TERMS), "stitch names in the pattern", default="us"
    )
    turn: settings.Turn | None = option(
        *("working", Choice(settings.TURNS), "when a colour that changes at a turn comes in"),
        default=settings.DEFAULT_TURN,
    )
    habit: settings.HabitName | None = option(
        *("tails", Choice(settings.HABIT_NAMES), "cut at every change, pick up, or carry behind"),
        default=settings.DEFAULT_HABIT,
    )
    out: str | None = option(
        *("output", Words("FOLDER"), "where the files go"),
        default="output/ and the picture's name; for a report the chart's folder",
    )
    title: str | None = option(
        "output", Words(), "title of the piece", default="the picture's name"
    )
    without: tuple[settings.Extra, ...] | None = option(
        "output", Several(settings.EXTRAS), "leave these out, commas between"
    )
    mind: tuple[Minded | str, ...] | None = option(
        *("choosing colours", Mind(), "this part matters more; may be repeated", CHART),
        default=f"weight {settings.DEFAULT_MIND:g}",
        many=True,
    )
    spot: tuple[tuple[float, float], ...] | None = option(
        *("choosing colours", Spot(), "the colour here gets a yarn; may be repeated", CHART),
        many=True,
    )
    lock: tuple[str, ...] | None = option(
        *("choosing colours", Words("NAME"), "use this yarn of the shelf; may be repeated", CHART),
        many=True,
    )
    ban: tuple[str, ...] | None = option(
        *("choosing colours", Words("NAME"), "leave this yarn of the shelf out; may be repeated"),
        CHART,
        many=True,
    )
    within_shelf: bool | None = option(
        *("choosing colours", Flag(), "take no more yarn than is on hand", CHART),
    )
    aim: settings.Aim | None = option(
        *("choosing colours", Choice(settings.AIMS)),
        *("every block alike, or small distinct colours too", CHART),
        default=settings.DEFAULT_AIM,
    )
    tone: settings.Tone | None = option(
        *("choosing colours", Choice(settings.TONES)),
        *("keep light and dark, or fit them to what the shelf spans", CHART),
        default="keep, unless fit keeps clearly more of their pattern",
    )
    look: settings.Look | None = option(
        *("reading the picture", Choice(settings.LOOKS)),
        *("photo, flat art, or blocks: already a chart, a pixel or square a block", CHART),
        default="auto",
    )
    strokes: settings.Strokes | None = option(
        *("reading the picture", Choice(settings.STROKES)),
        *("keep lines thinner than a block in flat art, or let them mix", CHART),
        default="keep",
    )
    background: str | None = option(
        *("reading the picture", Color(), "what transparent places show", CHART), default="white"
    )
    reach: float | None = option(
        *(
            "the yarn's path",
            Number(settings.MOST_REACH, "SIDES"),
            "carry at most so many block sides",
        ),
        default="the habit's",
    )
    rest: int | None = option(
        *(
            "the yarn's path",
            Whole(0, settings.MOST_ROWS, "ROWS"),
            "leave hanging at most so many rows",
        ),
        default="the habit's",
    )
    edge: int | None = option(
        *(
            "the yarn's path",
            Whole(0, settings.MOST_ROWS, "ROWS"),
            "climb an edge at most so many rows",
        ),
        default="the habit's",
    )
    compare: settings.Compare | None = option(
        "the yarn's path", Choice(settings.COMPARISONS), "a table of corners, habits, reaches"
    )
    maker: str | None = option(
        "yarn and time", Words("FILE"), "your own defaults, in a file", default="none"
    )
    tail: float | None = option(
        *("yarn and time", Number(settings.MOST_TAIL_CM, "CM"), "length of a tail"),
        default=f"{settings.DEFAULT_TAIL_CM:g}",
    )
    pace: settings.Pace | None = option(
        *("yarn and time", Minutes(), "minutes for a block, a change, a tail"),
        default=f"{settings.DEFAULT_PACE.block:g},{settings.DEFAULT_PACE.change:g},{settings.DEFAULT_PACE.tail:g}",
    )
    pattern: str | None = option(
        *("pattern", Words("FILE"), "an edited pattern.txt to check", CHECK),
        default="one freshly written",
    )
    reserve: float | None = option(
        *("yarn and time", Number(settings.MOST_RESERVE, "PERCENT"), "yarn added for safety"),
        default=f"{settings.DEFAULT_RESERVE:g}",
    )
    border: BorderAsked | None = option(
        "yarn and time", BorderText(), "rounds, stitch (US name) and yarn around the piece"
    )
    done: Done | None = option(
        *("yarn and time", DoneText(), "the row, or the run of a row, that is done", REPORT)
    )
    left: tuple[Left, ...] | None = option(
        *("yarn and time", LeftText(), "what is left of yarns, with --done", REPORT)
    )
    seed: int | None = option(
        *("repeatable", Whole(0, 2**31 - 1), "another start for the search of colours", CHART),
        default=str(settings.DEFAULT_SEED),
    )


def _read(spec: Spec, text: str) -> Any:
    try:
        return spec.rule.read(text)
    except BadInput as error:
        prefix = "" if str(error).startswith("--") else f"{spec.words} "
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
    many: bool

    @property
    def words(self) -> str:
        """ "--within-shelf"."""
        return f"--{self.name.replace('_', '-')}"

    @property
    def shown(self) -> str:
        """ "--width BLOCKS"."""
        return f"{self.words} {self.rule.metavar}".rstrip()


def specs(command: str | None = None, of: type[Any] | None = None) -> list[Spec]:
    """Declarations of all options, or of one command's; of: another table than `Options`."""
    every = [Spec(name=f.name, **f.metadata) for f in fields(of or Options)]
    return [s for s in every if command is None or command in s.commands]
