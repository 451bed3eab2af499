"""Every option, declared once: help, command line, documentation and checks come from here.

An option is a field of `Options`; None means "not given". What then holds is a chart's own value
or the default of `ground.settings`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from pix2block.amounts.under_way import Done, Left
from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.options.asking import CHART as CHART
from pix2block.options.asking import CHECK as CHECK
from pix2block.options.asking import REPORT as REPORT
from pix2block.options.asking import STRIPE as STRIPE
from pix2block.options.asking import Asked, Spec, option, specs_of
from pix2block.options.rules import (
    Choice,
    Color,
    Crop,
    Distance,
    Flag,
    Mind,
    Minded,
    Minutes,
    Number,
    Pair,
    Several,
    Size,
    Spot,
    Whole,
    Words,
)
from pix2block.options.trials import IN_TRIALS, TRIAL
from pix2block.options.yarn_rules import BorderAsked, BorderText, DoneText, LeftText

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


@dataclass(frozen=True, kw_only=True, repr=False)
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
        default=f"{settings.DEFAULT_TURN}, for stripes {settings.STRIPES_TURN}",
    )
    calm: float | None = option(
        *("tails", Number(settings.MOST_CALM, "PERCENT")),
        *("fewer tails for at most so much more colour error; 0 changes nothing", CHART),
        default=f"{settings.DEFAULT_CALM:g} for a photo, 0 for flat art",
    )
    habit: settings.HabitName | None = option(
        *("tails", Choice(settings.HABIT_NAMES), "cut at every change, pick up, or carry behind"),
        default=settings.DEFAULT_HABIT,
    )
    tails: settings.TailEnding | None = option(
        *("tails", Choice(settings.TAIL_ENDINGS)),
        "how tails end: woven in, worked over in the next blocks, in a border, as fringe",
        default=settings.DEFAULT_TAIL_ENDING,
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
    draw: settings.Draw | None = option(
        "output", Choice(settings.DRAWN), "on held.svg also the yarn that lies behind"
    )
    distance: float | None = option(
        *("output", Distance(), "also show the fabric as seen from so far, in m or ft")
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
    connect: tuple[str, ...] | None = option(
        *("choosing colours", Pair(), "rank the shelf by how well a yarn connects two", STRIPE)
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
    most_hanging: int | None = option(
        *("the yarn's path", Whole(1, settings.MOST_HANGING, "YARNS")),
        *(
            Advice(
                "calm so that at most so many hang in any row, as far as ", Ask("calm"), " allows"
            ),
            CHART,
        ),
    )
    curve: bool | None = option(
        *("the yarn's path", Flag()),
        *("a table and a picture of fewer tails against truer pictures", CHART),
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
    butterfly: float | None = option(
        *("yarn and time", Number(settings.MOST_BUTTERFLY_M, "METRES")),
        "the longest bobbin still wound on the hand",
        default=f"{settings.DEFAULT_BUTTERFLY_M:g}",
    )
    pace: settings.Pace | None = option(
        *("yarn and time", Minutes(), "minutes for a block, a change, a tail"),
        default=f"{settings.DEFAULT_PACE.block:g},{settings.DEFAULT_PACE.change:g},{settings.DEFAULT_PACE.tail:g}",
    )
    reserve: float | None = option(
        *("yarn and time", Number(settings.MOST_RESERVE, "PERCENT"), "yarn added for safety"),
        default=f"{settings.DEFAULT_RESERVE:g}",
    )
    border: BorderAsked | None = option(
        "yarn and time",
        BorderText(),
        "rounds, stitch (US name) and yarn around the piece",
        CHART,
        REPORT,
    )
    done: Done | None = option(
        *("yarn and time", DoneText(), "the row, or the run of a row, that is done", REPORT)
    )
    left: tuple[Left, ...] | None = option(
        *("yarn and time", LeftText(), Advice("what is left of yarns, with ", Ask("done")), REPORT)
    )
    pattern: str | None = option(
        *("pattern", Words("FILE"), "an edited pattern.txt to check", CHECK),
        default="one freshly written",
    )
    credit: str | None = option(
        "pattern", Words("FILE"), "designer, copyright, notes, photo (TOML) for the front page"
    )
    page: settings.Page | None = option(
        *("pattern", Choice(settings.PAGES), "paper of pattern.pdf; phone: one narrow column"),
        default=settings.DEFAULT_PAGE,
    )
    editions: settings.Editions | None = option(
        "pattern", Choice(settings.EDITIONS), "also each hand in US and in UK terms"
    )
    every_row: bool | None = option("pattern", Flag(), "write out each row, also where rows repeat")
    letters: settings.Letters | None = option(
        *("pattern", Choice(settings.LETTERS)),
        "where pattern.pdf takes letters that its font lacks",
        default="shipped, names told by number and colour",
    )
    seed: int | None = option(
        *("repeatable", Whole(0, 2**31 - 1), "another start for the search of colours", CHART),
        default=str(settings.DEFAULT_SEED),
    )


def specs(command: str | None = None) -> list[Spec]:
    """Declarations of all options, or of one command's."""
    every = [_tried(spec) for spec in specs_of(Options)]
    return [spec for spec in every if command is None or command in spec.commands]


def _tried(spec: Spec) -> Spec:
    """With trials among its commands, where it goes with them."""
    tried = spec.name in IN_TRIALS
    return replace(spec, commands=(*spec.commands, TRIAL)) if tried else spec
