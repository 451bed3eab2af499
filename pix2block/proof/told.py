"""What a pattern tells, as nouns: in its own words, not yet worked."""

from __future__ import annotations

from collections.abc import Mapping

from pix2block.ground.frozen import dataclass
from pix2block.proof.lines import Fault


@dataclass(frozen=True)
class Head:
    """What the head line says is worked, in its own words."""

    width: int
    height: int
    first_row: int
    last_row: int
    corner: str
    hand: str
    stitch: str
    terms: str
    turn: str


@dataclass(frozen=True)
class WrittenBobbin:
    """What is told of a run's yarn. number: None for a strand that works this run alone; behind:
    its float as it is written, None where none is told."""

    name: str
    number: int | None
    new: bool = False
    behind: str | None = None
    last: bool = False


@dataclass(frozen=True)
class RowWords:
    """One row as it is told. runs: blocks and yarn of each; begins: Corner, Grow or Travel; ends:
    Full or Stop; slips_in: the yarn of the slip stitches at each, where one is named; bobbins: one
    a run, None where none are told; cuts: bobbins that end before it; in_hand: it goes on in the
    bobbin in hand (gathered rows)."""

    number: int
    side: str
    blocks: int
    runs: tuple[tuple[int, str], ...]
    begins: str = ""
    begins_in: str | None = None
    ends: str = ""
    ends_in: str | None = None
    last_loop: str | None = None
    marker: bool = False
    unmark: bool = False
    bobbins: tuple[WrittenBobbin, ...] | None = None
    cuts: tuple[WrittenBobbin, ...] = ()
    in_hand: bool = False


@dataclass(frozen=True)
class Stretch:
    """A line of a row written out. yarn: on the hook; times: how often it is worked; stitches: in
    their own words, a comma between."""

    yarn: str
    times: int
    stitches: str


@dataclass(frozen=True)
class InFull:
    """A row written out in stitches: how it begins and ends, its number, its lines."""

    begins: str
    ends: str
    row: int
    lines: tuple[Stretch, ...]


@dataclass(frozen=True)
class Words:
    """A pattern as it was read. parts: the definition of each part; firsts: rows written out;
    readable: the head line and every row were."""

    head: Head | None
    parts: Mapping[str, str]
    firsts: tuple[InFull, ...]
    rows: tuple[RowWords, ...]
    faults: tuple[Fault, ...]
    readable: bool
