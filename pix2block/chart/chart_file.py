"""The shape of chart.json: its keys, their kinds and ranges, and the JSON Schema made of them."""

from __future__ import annotations

import json
from typing import Annotated, Literal

import msgspec

from pix2block.ground.settings import (
    DEFAULT_BUTTERFLY_M,
    DEFAULT_TAIL_ENDING,
    HOOK_MM,
    LENGTH_CM,
    MOST_BLOCKS_A_SIDE,
    MOST_BUTTERFLY_M,
    MOST_CALM,
    MOST_GRAMS,
    MOST_MINUTES,
    MOST_PRICE,
    MOST_REACH,
    MOST_RESERVE,
    MOST_ROUNDS,
    MOST_ROWS,
    MOST_SKEINS,
    MOST_TAIL_CM,
    MOST_WEIGHT,
    MOST_YARNS,
    SKEIN_METRES,
    BlockKind,
    BorderStitch,
    Hand,
    StartCorner,
    TailEnding,
    Terms,
    Turn,
)

VERSION = 1
SCHEMA_FILE = "chart.schema.json"

_Side = Annotated[int, msgspec.Meta(ge=1, le=MOST_BLOCKS_A_SIDE)]
_WeightClass = Annotated[int, msgspec.Meta(ge=0, le=7)]
_Error = Annotated[float, msgspec.Meta(ge=0, le=LENGTH_CM[1])]
_Length = Annotated[float, msgspec.Meta(ge=LENGTH_CM[0], le=LENGTH_CM[1])]
_Minutes = Annotated[float, msgspec.Meta(ge=0, le=MOST_MINUTES)]
_Edge = Annotated[float, msgspec.Meta(ge=0, le=MOST_BLOCKS_A_SIDE)]
_Rows = Annotated[int, msgspec.Meta(ge=0, le=MOST_ROWS)]
_Color = Annotated[str, msgspec.Meta(pattern=r"^#[0-9a-fA-F]{6}(?!\n)$")]


class PartEntry(msgspec.Struct, kw_only=True):
    """One of several colours of a yarn, and its share in per cent."""

    color: _Color
    share: Annotated[float, msgspec.Meta(gt=0, le=100)]


class YarnEntry(msgspec.Struct, kw_only=True):
    """A yarn of the file; a shelf's columns. Unknown values are null."""

    name: str
    color: _Color
    weight: _WeightClass | None = None
    held: Annotated[int, msgspec.Meta(ge=1, le=2)] | None = None
    fibre: str | None = None
    grams: Annotated[float, msgspec.Meta(ge=0.1, le=MOST_GRAMS)] | None = None
    metres: Annotated[float, msgspec.Meta(ge=SKEIN_METRES[0], le=SKEIN_METRES[1])] | None = None
    skeins: Annotated[float, msgspec.Meta(ge=0, le=MOST_SKEINS)] | None = None
    lot: str | None = None
    price: Annotated[float, msgspec.Meta(ge=0, le=MOST_PRICE)] | None = None
    note: str | None = None
    parts: list[PartEntry] | None = None


class HabitEntry(msgspec.Struct, kw_only=True):
    """The numbers rule; the name is what they are called."""

    name: str
    reach: Annotated[float, msgspec.Meta(ge=0, le=MOST_REACH)]
    rest: _Rows
    edge: _Rows


class PaceEntry(msgspec.Struct, kw_only=True):
    """Minutes for a block, a change and a tail."""

    block: _Minutes
    change: _Minutes
    tail: _Minutes


class OwnLoopEntry(msgspec.Struct, kw_only=True):
    """The loop of a yarn that has a swatch of its own, in cm."""

    name: str
    loop_cm: _Length
    loop_cm_error: _Error
    held: Annotated[int, msgspec.Meta(ge=1, le=2)] = 1


class SwatchEntry(msgspec.Struct, kw_only=True):
    """Measured block side and loop length, with their errors, in cm."""

    block_cm: _Length
    loop_cm: _Length
    block_cm_error: _Error | None = None
    loop_cm_error: _Error | None = None
    yarns: list[OwnLoopEntry] | None = None


class BorderEntry(msgspec.Struct, kw_only=True):
    """Rounds of a stitch, by its US name, in the yarn of this number."""

    rounds: Annotated[int, msgspec.Meta(ge=1, le=MOST_ROUNDS)]
    stitch: BorderStitch
    yarn: Annotated[int, msgspec.Meta(ge=0, lt=MOST_YARNS)]


class PlaceEntry(msgspec.Struct, kw_only=True):
    """A minded place: what it is, its edges in blocks from the top left, its weight."""

    what: str
    left: _Edge
    top: _Edge
    right: _Edge
    bottom: _Edge
    weight: Annotated[float, msgspec.Meta(ge=0, le=MOST_WEIGHT)]


class SeenEntry(msgspec.Struct, kw_only=True):
    """Mean CIEDE2000 as seen from near and far; `of` tells which blocks and colours it is of."""

    near: Annotated[float, msgspec.Meta(ge=0, le=1000)]
    far: Annotated[float, msgspec.Meta(ge=0, le=1000)]
    of: str


class CalmedEntry(msgspec.Struct, kw_only=True):
    """What calming did: `changed` lists line, column and former yarn of each block, all from 0;
    `of` tells which blocks and colours it holds for."""

    percent: Annotated[float, msgspec.Meta(ge=0, le=MOST_CALM)]
    error_before: Annotated[float, msgspec.Meta(ge=0, le=1000)]
    error_after: Annotated[float, msgspec.Meta(ge=0, le=1000)]
    most_hanging: Annotated[int, msgspec.Meta(ge=1)] | None = None
    changed: list[
        tuple[
            Annotated[int, msgspec.Meta(ge=0, lt=MOST_BLOCKS_A_SIDE)],
            Annotated[int, msgspec.Meta(ge=0, lt=MOST_BLOCKS_A_SIDE)],
            Annotated[int, msgspec.Meta(ge=0, lt=MOST_YARNS)],
        ]
    ]
    of: str


class SourceEntry(msgspec.Struct, kw_only=True):
    """The picture: file name, SHA-256, mean colour and weight of each block, line by line."""

    picture: str
    sha256: str
    means: list[list[_Color]]
    weights: list[list[Annotated[float, msgspec.Meta(ge=0, le=MOST_WEIGHT)]]] | None = None
    minded: list[PlaceEntry] | None = None
    palette_gap: Annotated[float, msgspec.Meta(ge=0, le=1e6)] | None = None
    seen: SeenEntry | None = None
    calmed: CalmedEntry | None = None


class ChartFile(msgspec.Struct, kw_only=True):
    """chart.json. `blocks` has `height` lines from the top, each `width` long from the left, right
    side facing; a block is a yarn's number from 0, or null exactly when its row is beyond
    `last_row`."""

    pix2block: Literal["chart"]
    version: Annotated[int, msgspec.Meta(ge=1)]
    title: str
    width: _Side
    height: _Side
    last_row: Annotated[int, msgspec.Meta(ge=1, le=2 * MOST_BLOCKS_A_SIDE - 1)]
    start_corner: StartCorner
    hand: Hand
    block: BlockKind
    terms: Terms
    turn: Turn
    habit: HabitEntry
    weight: _WeightClass
    tail_cm: Annotated[float, msgspec.Meta(ge=0, le=MOST_TAIL_CM)]
    tail_ending: TailEnding = DEFAULT_TAIL_ENDING
    butterfly_m: Annotated[float, msgspec.Meta(ge=0, le=MOST_BUTTERFLY_M)] = DEFAULT_BUTTERFLY_M
    reserve: Annotated[float, msgspec.Meta(ge=0, le=MOST_RESERVE)] | None = 0.0
    pace: PaceEntry
    yarns: Annotated[list[YarnEntry], msgspec.Meta(min_length=1, max_length=MOST_YARNS)]
    blocks: list[list[Annotated[int, msgspec.Meta(ge=0, lt=MOST_YARNS)] | None]]
    swatch: SwatchEntry | None = None
    border: BorderEntry | None = None
    hook_mm: Annotated[float, msgspec.Meta(ge=HOOK_MM[0], le=HOOK_MM[1])] | None = None
    source: SourceEntry | None = None


def chart_schema() -> bytes:
    """The JSON Schema of chart.json, as shipped beside this module."""
    schema = msgspec.json.schema(ChartFile)
    return (json.dumps(schema, indent=1, ensure_ascii=False, sort_keys=True) + "\n").encode()
