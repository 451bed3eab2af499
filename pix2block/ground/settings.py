"""The choices a maker has, with their defaults: the only place where these words stand.

Where a default is "from memory" or "common practice", no published source exists; the maker
overrides it.
"""

from __future__ import annotations

from typing import Annotated, Literal, NamedTuple, get_args

from msgspec import Meta

from pix2block.ground.frozen import dataclass
from pix2block.ground.nouns import Kept, stated

Hand = Literal["right", "left"]
StartCorner = Literal["bottom-right", "bottom-left", "top-right", "top-left"]
BlockKind = Literal["dc", "hdc"]
Terms = Literal["us", "uk"]
Turn = Literal["early", "late"]
HabitName = Literal["cut", "pickup", "carry"]
Look = Literal["auto", "photo", "tones", "flat", "blocks"]
Strokes = Literal["keep", "mean"]
Tone = Literal["keep", "fit"]
Compare = Literal["ways"]
Aim = Literal["area", "even"]
BorderStitch = Literal["sc", "hdc", "dc"]
Extra = Literal["proof", "pdf", "preview"]
Page = Literal["a4", "letter", "phone"]
Editions = Literal["own", "all"]
Ink = Literal["color", "black"]
RowsShown = Literal["drawn", "words"]
Letters = Literal["shipped", "system"]
TailEnding = Literal["woven", "over", "border", "fringe"]
Draw = Literal["floats"]

HANDS: tuple[Hand, ...] = get_args(Hand)
START_CORNERS: tuple[StartCorner, ...] = get_args(StartCorner)
BLOCK_KINDS: tuple[BlockKind, ...] = get_args(BlockKind)
TERMS: tuple[Terms, ...] = get_args(Terms)
TURNS: tuple[Turn, ...] = get_args(Turn)
HABIT_NAMES: tuple[HabitName, ...] = get_args(HabitName)
STROKES: tuple[Strokes, ...] = get_args(Strokes)
TONES: tuple[Tone, ...] = get_args(Tone)
COMPARISONS: tuple[Compare, ...] = get_args(Compare)
AIMS: tuple[Aim, ...] = get_args(Aim)
BORDER_STITCHES: tuple[BorderStitch, ...] = get_args(BorderStitch)
TAIL_ENDINGS: tuple[TailEnding, ...] = get_args(TailEnding)
DRAWN: tuple[Draw, ...] = get_args(Draw)
LOOKS: tuple[Look, ...] = get_args(Look)
PAGES: tuple[Page, ...] = get_args(Page)
INKS: tuple[Ink, ...] = get_args(Ink)
ROWS_SHOWN: tuple[RowsShown, ...] = get_args(RowsShown)
EDITIONS: tuple[Editions, ...] = get_args(Editions)
LETTERS: tuple[Letters, ...] = get_args(Letters)
EXTRAS: tuple[Extra, ...] = get_args(Extra)  # what a report can be made without

MOST_BLOCKS_A_SIDE = 1000
MOST_YARNS = 200
MOST_PIXELS = 250_000_000
LONGEST_TITLE = 200

# What a maker can mean; beyond it a number is a slip.
MOST_REACH = 1000.0  # block sides
MOST_ROWS = 2 * MOST_BLOCKS_A_SIDE
MOST_TAIL_CM = 100.0
MOST_BUTTERFLY_M = 1000.0
MOST_MINUTES = 1000.0
MOST_RESERVE = 1000.0  # per cent
MOST_ROUNDS = 50  # of a border
HOOK_MM = (0.5, 50.0)
LENGTH_CM = (0.01, 1000.0)  # of a loop or a block's side

# What a field of a noun may be.
Side = Annotated[int, Meta(ge=1, le=MOST_BLOCKS_A_SIDE)]
RowNumber = Annotated[int, Meta(ge=1, le=MOST_ROWS - 1)]
YarnNumber = Annotated[int, Meta(ge=0, lt=MOST_YARNS)]
WeightClass = Annotated[int, Meta(ge=0, le=7)]
Held = Annotated[int, Meta(ge=1, le=2)]
Color = Annotated[str, Meta(pattern=r"^#[0-9a-fA-F]{6}(?!\n)$", extra={"write": "#rrggbb"})]
Share = Annotated[float, Meta(gt=0, le=100)]  # per cent
Reach = Annotated[float, Meta(ge=0, le=MOST_REACH)]
Rows = Annotated[int, Meta(ge=0, le=MOST_ROWS)]
Rounds = Annotated[int, Meta(ge=1, le=MOST_ROUNDS)]
TailCm = Annotated[float, Meta(ge=0, le=MOST_TAIL_CM)]
ButterflyM = Annotated[float, Meta(ge=0, le=MOST_BUTTERFLY_M)]
Worth = Annotated[float, Meta(ge=0, le=1_000_000.0)]  # of an hour
Reserve = Annotated[float, Meta(ge=0, le=MOST_RESERVE)]
Minutes = Annotated[float, Meta(ge=0, le=MOST_MINUTES)]
HookMm = Annotated[float, Meta(ge=HOOK_MM[0], le=HOOK_MM[1])]
SkeinGrams = Annotated[float, Meta(ge=0.1, le=100_000.0)]
SkeinMetres = Annotated[float, Meta(ge=0.1, le=100_000.0)]
Skeins = Annotated[float, Meta(ge=0, le=10_000.0)]
Price = Annotated[float, Meta(ge=0, le=1_000_000.0)]
LengthCm = Annotated[float, Meta(ge=LENGTH_CM[0], le=LENGTH_CM[1])]
LengthError = Annotated[float, Meta(ge=0, le=LENGTH_CM[1])]
BlockWeight = Annotated[float, Meta(ge=0, le=1_000_000.0)]  # in choosing colours

DEFAULT_HAND: Hand = "right"
DEFAULT_BLOCK: BlockKind = "dc"
DEFAULT_TERMS: Terms = "us"
DEFAULT_LOOK: Look = "auto"
QUIET_YARNS = 2  # of a quiet backdrop
DEFAULT_STROKES: Strokes = "keep"
DEFAULT_LETTERS: Letters = "shipped"
DEFAULT_HELD = 1  # strands of yarn together
DEFAULT_PAGE: Page = "a4"
DEFAULT_EDITIONS: Editions = "own"
DEFAULT_INK: Ink = "color"
DEFAULT_ROWS: RowsShown = "drawn"
DEFAULT_WIDTH = 60
DEFAULT_COLORS = 8
DEFAULT_AIM: Aim = "even"
DEFAULT_MIND = 5.0  # how much a minded block counts
MOST_MIND = 100.0
DEFAULT_WEIGHT = 4
DEFAULT_CALM = 3.0  # per cent of colour error
MOST_CALM = 100.0
Calm = Annotated[float, Meta(ge=0, le=MOST_CALM)]
MOST_HANGING = 2 * MOST_BLOCKS_A_SIDE
DEFAULT_SEED = 1
DEFAULT_TAIL_CM = 15.0  # common practice
DEFAULT_SCALE_G = 1.0  # how far a kitchen scale, and a ruler, may be out
DEFAULT_RULER_MM = 2.0
DEFAULT_RESERVE = 0.0  # per cent; the band allows for what is not known
DEFAULT_BUTTERFLY_M = 8.0  # from memory: what is still wound on thumb and finger
DEFAULT_BACKGROUND = "#ffffff"
DEFAULT_TURN: Turn = "late"  # for pictures: the edge stays even
STRIPES_TURN: Turn = "early"

FRIENDLY_SIDE_CM = 150.0
LARGE_SIDE_CM = 200.0


@dataclass(frozen=True)
class Habit(Kept):
    """How far the yarn may go between two runs of its colour.

    reach: longest float inside the piece, in block sides; rest: most rows a yarn may wait;
    edge: most rows a yarn may climb along an edge.
    """

    name: str
    reach: Reach
    rest: Rows
    edge: Rows


HABITS: dict[str, Habit] = {
    "cut": Habit("cut", 0.0, 1, 1),
    "pickup": Habit("pickup", 1.0, 1, 1),
    "carry": Habit("carry", 3.0, 2, 3),
}
DEFAULT_HABIT: HabitName = "pickup"


# Stripes: pick up, led up the edge; common practice, the yarn caught at each turn of that edge.
STRIPES_HABIT = Habit("stripes", 1.0, 1, 5)
OWN_HABIT = "own"


def named_habit(reach: float, rest: int, edge: int) -> Habit:
    """A habit of these numbers, called by its preset's name where it is one."""
    for preset in (*HABITS.values(), STRIPES_HABIT):
        if (preset.reach, preset.rest, preset.edge) == (reach, rest, edge):
            return preset
    return Habit(OWN_HABIT, reach, rest, edge)


@dataclass(frozen=True)
class Pace(Kept):
    """Minutes for a block, a colour change and a tail woven in; defaults from memory."""

    block: Minutes = stated(0.7)
    change: Minutes = stated(0.3)
    tail: Minutes = stated(2.0)


DEFAULT_PACE = Pace()
DEFAULT_TAIL_ENDING: TailEnding = "woven"

# Time of a tail ended each way, as a share of one woven in; from memory. Worked over: half a minute
# to lay it along and work over it; in a border a little less, since the edge is at hand; as fringe
# knotted and trimmed.
ENDING_SHARES: dict[TailEnding, float] = {
    "woven": 1.0,
    "over": 0.25,
    "border": 0.2,
    "fringe": 0.4,
}


class CornerSides(NamedTuple):
    """Where a corner of a chart lies: at its bottom or top, at its right or left."""

    bottom: bool
    right: bool


def sides_of(corner: StartCorner) -> CornerSides:
    """The sides that meet in a corner."""
    return CornerSides(corner.startswith("bottom"), corner.endswith("right"))


def say_corner(corner: StartCorner) -> str:
    """ "bottom right"."""
    return corner.replace("-", " ")


def usual_corner(hand: Hand) -> StartCorner:
    """Where a maker starts unless told otherwise: each hand's mirror image of the other's."""
    return "bottom-right" if hand == "right" else "bottom-left"
