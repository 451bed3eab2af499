"""Every option, declared once: help, command line, forms, documentation and checks come from here.

A row is an option: its group in help, what it may be, its help, the commands that take it; then
what holds where it is not given, and the field of a chart that keeps it. Its value in `Options` is
None where it was not given.
"""

from __future__ import annotations

from pix2block.amounts.under_way import Done, Left
from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.frozen import dataclass
from pix2block.options.asking import Asked, Spec, option, specs_of
from pix2block.options.picture_rules import (
    Backdrop,
    BackdropRule,
    Color,
    Crop,
    Mind,
    Minded,
    Spot,
    SubjectRule,
)
from pix2block.options.rules import (
    Choice,
    Distance,
    Flag,
    Number,
    Pair,
    Several,
    Size,
    Whole,
    Words,
)
from pix2block.options.yarn_rules import (
    BorderAsked,
    BorderText,
    DoneText,
    GaugeText,
    LeftText,
    Minutes,
)
from pix2block.yarn.guess import Gauge

CHART, STRIPE, REPORT, MEND = "chart", "stripe", "report", "mend"
CHECK, COMPARE, TRIAL, ESTIMATE = "check", "compare", "trial", "estimate"
RECOLOR = "recolor"
OPEN = "open"
PIECES = (CHART, STRIPE, REPORT, MEND)
ANY = (CHART, STRIPE, REPORT, MEND, TRIAL)
PICTURES = (CHART, TRIAL)
TO_ESTIMATE = (*PICTURES, ESTIMATE)
CALMED = (*PICTURES, REPORT)  # a report calms the rest of a piece that is begun
WORKED = (*ANY, ESTIMATE)
SEVERAL_IN_TRIALS = ("width", "height", "colors")  # of these a trial takes several, with commas

# Groups in the order of help; those before "more" come first.
SIZE = "size"
COLOURS = "colours"
WORKING = "working"
TAILS = "tails"
OUTPUT = "output"
CHOOSING = "choosing colours"
READING = "reading the picture"
PATH = "the yarn's path"
YARN = "yarn and time"
PATTERN = "pattern"
REPEATABLE = "repeatable"
FIRST_GROUPS = (SIZE, COLOURS, WORKING, TAILS, OUTPUT)
MORE_GROUPS = (CHOOSING, READING, PATH, YARN, PATTERN, REPEATABLE)

_SIDE = Whole(1, settings.MOST_BLOCKS_A_SIDE, "blocks")
_ROWS = Whole(0, settings.MOST_ROWS, "rows")


@dataclass(frozen=True, kw_only=True, repr=False)
class Options(Asked):
    """What a maker asked for; None where she said nothing."""

    # fmt: off
    width: int | None = option(SIZE, _SIDE, (*PICTURES, OPEN),
        "blocks across; the height follows the picture", default=settings.DEFAULT_WIDTH)
    height: int | None = option(SIZE, _SIDE, (*PICTURES, OPEN),
        "blocks down; the width follows")
    size: tuple[float, float] | None = option(SIZE, Size(), (*PICTURES, OPEN),
        "finished size with its border, in cm or in; what does not fit is cropped")
    weight: int | None = option(SIZE, Whole(0, 7, form="0-7"), WORKED,
        "weight class of the yarn",
        default=settings.DEFAULT_WEIGHT, shown="that of the yarns used, else {}", kept="weight")
    hook: float | None = option(SIZE, Number(settings.HOOK_MM[1], "mm", above=True), WORKED,
        "your hook; it sets the guess of size and yarn",
        shown="the one usual for the class", kept="hook_mm")
    gauge: Gauge | None = option(SIZE, GaugeText(), WORKED,
        "your plain gauge over 10 cm (4 in); it sets the guess", kept="gauge")
    swatch: str | None = option(SIZE, Words("FILE"), (*PIECES, ESTIMATE),
        "swatches, as pix2block swatch keeps them", shown="a guess")
    crop: tuple[float, float, float, float] | None = option(SIZE, Crop(), TO_ESTIMATE,
        "use only this part of the picture, in per cent")

    colors: int | None = option(COLOURS, Whole(1, settings.MOST_YARNS),
        (*PICTURES, OPEN),
        "at most so many yarns",
        default=settings.DEFAULT_COLORS, shown="{} from a picture, all of a shelf")
    shelf: str | None = option(COLOURS, Words("FILE"), (*PIECES, OPEN),
        "choose among these yarns, at most 200 (CSV, or a palette); mends may use them")

    hand: settings.Hand | None = option(WORKING, Choice(settings.HANDS), (*WORKED, OPEN),
        "the maker's hand", default=settings.DEFAULT_HAND, kept="hand")
    corner: settings.StartCorner | None = option(WORKING, Choice(settings.START_CORNERS), WORKED,
        "where the piece starts",
        default=settings.usual_corner(settings.DEFAULT_HAND),
        shown=f"{{}}, left-handed {settings.usual_corner('left')}", kept="start_corner")
    block: settings.BlockKind | None = option(WORKING, Choice(settings.BLOCK_KINDS), WORKED,
        "stitch of a block, by its US name", default=settings.DEFAULT_BLOCK, kept="block")
    terms: settings.Terms | None = option(WORKING, Choice(settings.TERMS), PIECES,
        "stitch names in the pattern", default=settings.DEFAULT_TERMS, kept="terms")
    turn: settings.Turn | None = option(WORKING, Choice(settings.TURNS), WORKED,
        "when a colour that changes at a turn comes in", default=settings.DEFAULT_TURN,
        shown=f"{{}}, for stripes {settings.STRIPES_TURN}", kept="turn")

    calm: float | None = option(TAILS, Number(settings.MOST_CALM, "percent"), (*CALMED, ESTIMATE),
        "fewer tails for at most so much more colour error; 0 changes nothing",
        default=settings.DEFAULT_CALM, shown="{} for a photo, 0 for flat art")
    habit: settings.HabitName | None = option(TAILS, Choice(settings.HABIT_NAMES), WORKED,
        "cut at every change, pick up, or carry behind", default=settings.DEFAULT_HABIT)
    tails: settings.TailEnding | None = option(TAILS, Choice(settings.TAIL_ENDINGS),
        (*PIECES, ESTIMATE),
        "how tails end: woven in, worked over in the next blocks, in a border, as fringe",
        default=settings.DEFAULT_TAIL_ENDING, kept="tail_ending")

    out: str | None = option(OUTPUT, Words("FOLDER"), (*WORKED, COMPARE, RECOLOR, OPEN),
        "where the files go",
        shown="output/ and the file's name; for a report the folder of its chart.json")
    fresh: bool | None = option(OUTPUT, Flag(), (CHART,),
        "leave out the mends of the folder's chart of the same picture")
    title: str | None = option(OUTPUT, Words(), ANY,
        "title of the piece", shown="the picture's name")
    without: tuple[settings.Extra, ...] | None = option(OUTPUT, Several(settings.EXTRAS), PIECES,
        "leave these out, commas between")
    draw: settings.Draw | None = option(OUTPUT, Choice(settings.DRAWN), PIECES,
        "on held.svg also the yarn that lies behind")
    distance: float | None = option(OUTPUT, Distance(), ANY,
        "also show the fabric as seen from so far, in m or ft")

    subject: str | tuple[float, ...] | None = option(CHOOSING, SubjectRule(), TO_ESTIMATE,
        "what the picture is of: it counts most when colours are chosen",
        shown="found; none: every block alike")
    backdrop: Backdrop | None = option(CHOOSING, BackdropRule(), TO_ESTIMATE,
        "what is behind the subject: kept, quiet in few yarns, or plain in one",
        default=Backdrop(), shown="keep")
    mind: tuple[Minded | str, ...] | None = option(CHOOSING, Mind(), TO_ESTIMATE,
        "this part matters more; may be repeated",
        shown=f"weight {settings.DEFAULT_MIND:g}", many=True)
    spot: tuple[tuple[float, float], ...] | None = option(CHOOSING, Spot(), TO_ESTIMATE,
        "the colour here gets a yarn; may be repeated", many=True)
    lock: tuple[str, ...] | None = option(CHOOSING, Words("NAME"), (CHART, ESTIMATE),
        "use this yarn of the shelf; may be repeated", many=True)
    ban: tuple[str, ...] | None = option(CHOOSING, Words("NAME"), (CHART, ESTIMATE),
        "leave this yarn of the shelf out; may be repeated", many=True)
    within_shelf: bool | None = option(CHOOSING, Flag(), (CHART,),
        "take no more yarn than is on hand")
    aim: settings.Aim | None = option(CHOOSING, Choice(settings.AIMS), TO_ESTIMATE,
        "every block alike, or small distinct colours too", default=settings.DEFAULT_AIM)
    tone: settings.Tone | None = option(CHOOSING, Choice(settings.TONES), TO_ESTIMATE,
        "keep light and dark, or fit them to what the shelf spans",
        shown="keep, unless fit keeps clearly more of their pattern")
    connect: tuple[str, ...] | None = option(CHOOSING, Pair(), (STRIPE,),
        "rank the shelf by how well a yarn connects two")

    look: settings.Look | None = option(READING, Choice(settings.LOOKS), TO_ESTIMATE,
        "photo; tones: a photo with a yarn for each step from dark to light; flat art; or blocks: "
        "already a chart, a pixel or square a block",
        default=settings.DEFAULT_LOOK)
    strokes: settings.Strokes | None = option(READING, Choice(settings.STROKES), TO_ESTIMATE,
        "keep lines thinner than a block in flat art, or let them mix",
        default=settings.DEFAULT_STROKES)
    background: str | None = option(READING, Color(), TO_ESTIMATE,
        "what transparent places show", shown="white")

    reach: float | None = option(PATH, Number(settings.MOST_REACH, "sides"), WORKED,
        "carry at most so many block sides", shown="the habit's")
    rest: int | None = option(PATH, _ROWS, WORKED,
        "leave hanging at most so many rows", shown="the habit's")
    edge: int | None = option(PATH, _ROWS, WORKED,
        "climb an edge at most so many rows",
        shown=f"the habit's, for stripes {settings.STRIPES_HABIT.edge}")
    most_hanging: int | None = option(PATH, Whole(1, settings.MOST_HANGING, "yarns"), CALMED,
        Advice("calm so that at most so many hang in any row, as far as ", Ask("calm"), " allows"))
    curve: bool | None = option(PATH, Flag(), (CHART,),
        "a table and a picture of fewer tails against truer pictures")
    compare: settings.Compare | None = option(PATH, Choice(settings.COMPARISONS), PIECES,
        "a table of corners, habits, reaches")

    maker: str | None = option(YARN, Words("FILE"), (*PIECES, ESTIMATE),
        "your own defaults, in a file", shown="none")
    tail: float | None = option(YARN, Number(settings.MOST_TAIL_CM, "cm"), WORKED,
        "length of a tail", default=settings.DEFAULT_TAIL_CM, kept="tail_cm")
    butterfly: float | None = option(YARN, Number(settings.MOST_BUTTERFLY_M, "metres"), PIECES,
        "the longest bobbin still wound on the hand",
        default=settings.DEFAULT_BUTTERFLY_M, kept="butterfly_m")
    pace: settings.Pace | None = option(YARN, Minutes(), WORKED,
        "minutes for a block, a change, a tail", default=settings.DEFAULT_PACE, kept="pace")
    reserve: float | None = option(YARN, Number(settings.MOST_RESERVE, "percent"),
        (*PIECES, ESTIMATE),
        "yarn added for safety", default=settings.DEFAULT_RESERVE, kept="reserve")
    border: BorderAsked | None = option(YARN, BorderText(), (CHART, REPORT, MEND, ESTIMATE),
        "rounds, stitch (US name) and yarn around the piece; none takes it off")
    done: Done | None = option(YARN, DoneText(), (STRIPE, REPORT, MEND),
        "the row, or the run of a row, that is done, or the hookside page's file")
    rip_back: int | None = option(YARN, Whole(1, settings.MOST_ROWS, "rows", "ROW"), (REPORT, MEND),
        "tell what undoing the rows made from this one on takes and saves")
    left: tuple[Left, ...] | None = option(YARN, LeftText(), (STRIPE, REPORT, MEND),
        Advice("what is left of yarns, with ", Ask("done")))

    pattern: str | None = option(PATTERN, Words("FILE"), (CHECK,),
        "an edited pattern.txt to check", shown="one freshly written")
    credit: str | None = option(PATTERN, Words("FILE"), (*PIECES, COMPARE),
        "designer, copyright, notes, photo (TOML) for the front page")
    page: settings.Page | None = option(PATTERN, Choice(settings.PAGES), PIECES,
        "paper of pattern.pdf; phone: one narrow column",
        default=settings.DEFAULT_PAGE, kept="page")
    ink: settings.Ink | None = option(PATTERN, Choice(settings.INKS), PIECES,
        "charts and rows of the pattern: in the yarns' colours, or in marks alone",
        default=settings.DEFAULT_INK)
    rows: settings.RowsShown | None = option(PATTERN, Choice(settings.ROWS_SHOWN), PIECES,
        "rows of pattern.pdf: with a drawing each, or in words alone",
        default=settings.DEFAULT_ROWS)
    editions: settings.Editions | None = option(PATTERN, Choice(settings.EDITIONS), PIECES,
        "all: also each hand in US and in UK terms; own: the chart's alone",
        default=settings.DEFAULT_EDITIONS, kept="editions")
    every_row: bool | None = option(PATTERN, Flag(), PIECES,
        "write out each row, also where rows repeat")
    letters: settings.Letters | None = option(PATTERN, Choice(settings.LETTERS), PIECES,
        "where pattern.pdf takes letters that its font lacks",
        default=settings.DEFAULT_LETTERS, shown="{}, names told by number and colour")

    seed: int | None = option(REPEATABLE, Whole(0, 2**31 - 1), TO_ESTIMATE,
        "another start for the search of colours", default=settings.DEFAULT_SEED)
    # fmt: on


def specs(command: str | None = None) -> list[Spec]:
    """Declarations of all options, or of one command's."""
    return specs_of(Options, command)
