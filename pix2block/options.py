"""Every option, declared once: help, command line, documentation and checks come from here.

An option is a field of `Options`; None means "not given". What then holds is a chart's own value
or the default of `ground.settings`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any

from pix2block.ground import settings
from pix2block.ground.errors import BadInput, unknown
from pix2block.rules import (
    Choice,
    Color,
    Crop,
    Distance,
    Flag,
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
from pix2block.trial_options import IN_TRIALS, TRIAL

CHART, REPORT, CHECK = "chart", "report", "check"


def _option(
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
    calm: float | None = _option(
        *("tails", Number(settings.MOST_CALM, "PERCENT")),
        *("fewer tails for at most so much more colour error; 0 changes nothing", CHART),
        default=f"{settings.DEFAULT_CALM:g} for a photo, 0 for flat art",
    )
    habit: settings.HabitName | None = _option(
        *("tails", Choice(settings.HABIT_NAMES), "cut at every change, pick up, or carry behind"),
        default=settings.DEFAULT_HABIT,
    )
    tails: settings.TailEnding | None = _option(
        *("tails", Choice(settings.TAIL_ENDINGS)),
        "how tails end: woven in, worked over in the next blocks, in a border, as fringe",
        default=settings.DEFAULT_TAIL_ENDING,
    )
    out: str | None = _option(
        *("output", Words("FOLDER"), "where the files go"),
        default="output/ and the picture's name; for a report the chart's folder",
    )
    title: str | None = _option(
        "output", Words(), "title of the piece", default="the picture's name"
    )
    without: tuple[settings.Extra, ...] | None = _option(
        "output", Several(settings.EXTRAS), "leave these out, commas between"
    )
    draw: settings.Draw | None = _option(
        "output", Choice(settings.DRAWN), "on held.svg also the yarn that lies behind"
    )
    distance: float | None = _option(
        *("output", Distance(), "also show the fabric as seen from so far, in m or ft")
    )
    mind: tuple[Minded | str, ...] | None = _option(
        *("choosing colours", Mind(), "this part matters more; may be repeated", CHART),
        default=f"weight {settings.DEFAULT_MIND:g}",
        many=True,
    )
    spot: tuple[tuple[float, float], ...] | None = _option(
        *("choosing colours", Spot(), "the colour here gets a yarn; may be repeated", CHART),
        many=True,
    )
    lock: tuple[str, ...] | None = _option(
        *("choosing colours", Words("NAME"), "use this yarn of the shelf; may be repeated", CHART),
        many=True,
    )
    ban: tuple[str, ...] | None = _option(
        *("choosing colours", Words("NAME"), "leave this yarn of the shelf out; may be repeated"),
        CHART,
        many=True,
    )
    aim: settings.Aim | None = _option(
        *("choosing colours", Choice(settings.AIMS)),
        *("every block alike, or small distinct colours too", CHART),
        default=settings.DEFAULT_AIM,
    )
    tone: settings.Tone | None = _option(
        *("choosing colours", Choice(settings.TONES)),
        *("keep light and dark, or fit them to what the shelf spans", CHART),
        default="keep, unless fit keeps clearly more of their pattern",
    )
    look: settings.Look | None = _option(
        *("reading the picture", Choice(settings.LOOKS)),
        *("photo, flat art, or blocks: already a chart, a pixel or square a block", CHART),
        default="auto",
    )
    strokes: settings.Strokes | None = _option(
        *("reading the picture", Choice(settings.STROKES)),
        *("keep lines thinner than a block in flat art, or let them mix", CHART),
        default="keep",
    )
    background: str | None = _option(
        *("reading the picture", Color(), "what transparent places show", CHART), default="white"
    )
    reach: float | None = _option(
        *(
            "the yarn's path",
            Number(settings.MOST_REACH, "SIDES"),
            "carry at most so many block sides",
        ),
        default="the habit's",
    )
    rest: int | None = _option(
        *(
            "the yarn's path",
            Whole(0, settings.MOST_ROWS, "ROWS"),
            "leave hanging at most so many rows",
        ),
        default="the habit's",
    )
    edge: int | None = _option(
        *(
            "the yarn's path",
            Whole(0, settings.MOST_ROWS, "ROWS"),
            "climb an edge at most so many rows",
        ),
        default="the habit's",
    )
    most_hanging: int | None = _option(
        *("the yarn's path", Whole(1, settings.MOST_HANGING, "YARNS")),
        *("calm so that at most so many hang in any row, as far as --calm allows", CHART),
    )
    curve: bool | None = _option(
        *("the yarn's path", Flag()),
        *("a table and a picture of fewer tails against truer pictures", CHART),
    )
    compare: settings.Compare | None = _option(
        "the yarn's path", Choice(settings.COMPARISONS), "a table of corners, habits, reaches"
    )
    tail: float | None = _option(
        *("yarn and time", Number(settings.MOST_TAIL_CM, "CM"), "length of a tail"),
        default=f"{settings.DEFAULT_TAIL_CM:g}",
    )
    butterfly: float | None = _option(
        *("yarn and time", Number(settings.MOST_BUTTERFLY_M, "METRES")),
        "the longest bobbin still wound on the hand",
        default=f"{settings.DEFAULT_BUTTERFLY_M:g}",
    )
    pace: settings.Pace | None = _option(
        *("yarn and time", Minutes(), "minutes for a block, a change, a tail"),
        default=f"{settings.DEFAULT_PACE.block:g},{settings.DEFAULT_PACE.change:g},{settings.DEFAULT_PACE.tail:g}",
    )
    pattern: str | None = _option(
        *("pattern", Words("FILE"), "an edited pattern.txt to check", CHECK),
        default="one freshly written",
    )
    credit: str | None = _option(
        "pattern", Words("FILE"), "designer, copyright, notes, photo (TOML) for the front page"
    )
    page: settings.Page | None = _option(
        *("pattern", Choice(settings.PAGES), "paper of pattern.pdf; phone: one narrow column"),
        default=settings.DEFAULT_PAGE,
    )
    editions: settings.Editions | None = _option(
        "pattern", Choice(settings.EDITIONS), "also each hand in US and in UK terms"
    )
    every_row: bool | None = _option(
        "pattern", Flag(), "write out each row, also where rows repeat"
    )
    letters: settings.Letters | None = _option(
        *("pattern", Choice(settings.LETTERS)),
        "where pattern.pdf takes letters that its font lacks",
        default="shipped, names told by number and colour",
    )
    seed: int | None = _option(
        *("repeatable", Whole(0, 2**31 - 1), "another start for the search of colours", CHART),
        default=str(settings.DEFAULT_SEED),
    )

    def __post_init__(self) -> None:
        for spec in specs():
            value = getattr(self, spec.name)
            for one in () if value is None else value if spec.many else (value,):
                _read(spec, spec.rule.as_words(one))

    @classmethod
    def from_words(cls, given: Mapping[str, str | tuple[str, ...]]) -> Options:
        """Options from texts, as a command line or a form gives them; several for one that may be
        repeated.

        Raises BadInput for an unknown name or a value that cannot be read.
        """
        values: dict[str, Any] = {}
        known = {spec.name: spec for spec in specs()}
        for name, text in given.items():
            if name not in known:
                raise BadInput(unknown("option", name, known))
            if isinstance(text, str):
                text = (text,)
            read = tuple(_read(known[name], one) for one in text)
            values[name] = read if known[name].many else read[-1]
        return cls(**values)


def _read(spec: Spec, text: str) -> Any:
    try:
        return spec.rule.read(text)
    except BadInput as error:
        prefix = "" if str(error).startswith("--") else f"{spec.flag} "
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
    def flag(self) -> str:
        """As it is written on a command line."""
        return "--" + self.name.replace("_", "-")

    @property
    def form(self) -> str:
        """With what follows it."""
        return f"{self.flag} {self.rule.metavar}".strip()


def specs(command: str | None = None) -> list[Spec]:
    """Declarations of all options, or of one command's."""
    every = [_spec(f.name, f.metadata) for f in fields(Options)]
    return [s for s in every if command is None or command in s.commands]


def _spec(name: str, declared: Mapping[str, Any]) -> Spec:
    spec = Spec(name=name, **declared)
    return replace(spec, commands=(*spec.commands, TRIAL)) if name in IN_TRIALS else spec
