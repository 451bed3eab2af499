"""The picture behind a chart: what is kept of it, and what was done with it."""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np
from msgspec import Meta
from numpy.typing import NDArray

from pix2block.color.spaces import Bytes, Floats, hex_of, rgb_array
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.nouns import Array, Kept, when_any
from pix2block.ground.settings import (
    DEFAULT_SEED,
    MOST_BLOCKS_A_SIDE,
    BlockWeight,
    Calm,
    Color,
    Habit,
    Hand,
    StartCorner,
    YarnNumber,
)

_Edge = Annotated[float, Meta(ge=0, le=MOST_BLOCKS_A_SIDE)]
_Difference = Annotated[float, Meta(ge=0, le=1000)]
BlockAt = Annotated[int, Meta(ge=0, lt=MOST_BLOCKS_A_SIDE)]
_Gap = Annotated[float, Meta(ge=0, le=1e6)]


_UNKNOWN = "#000000"  # what stands for the mean of a block that was added


def _read_means(lines: list[list[str | None]]) -> Bytes:
    width = len(lines[0]) if lines else 0
    colors = [color or _UNKNOWN for line in lines for color in line]
    return rgb_array(colors).reshape(len(lines), width, 3)


def _write_means(means: NDArray[Any]) -> list[list[str]]:
    return [hex_of(line) for line in means]


_MEANS = Array(
    dtype="uint8",
    axes=("height", "width", 3),
    item=Annotated[int, Meta(ge=0, le=255)],
    in_file=list[list[Color | None]],
    read=_read_means,
    write=_write_means,
)
_WEIGHTS = Array("float64", ("height", "width"), BlockWeight, list[list[BlockWeight]])
_RUNS = Array(
    dtype="int64",
    axes=("n", 3),
    item=Annotated[int, Meta(ge=0, le=MOST_BLOCKS_A_SIDE)],
    in_file=list[tuple[BlockAt, BlockAt, Annotated[int, Meta(ge=1, le=MOST_BLOCKS_A_SIDE)]]],
    read=lambda runs: np.array(runs, dtype=np.int64).reshape(-1, 3),
)
_FLAG = Annotated[int, Meta(ge=0, le=1)]
_ADDED = Array("uint8", ("height", "width"), _FLAG, list[list[_FLAG]])
_CHANGED = Array(
    dtype="int64",
    axes=("n", 3),
    item=BlockAt,
    in_file=list[tuple[BlockAt, BlockAt, YarnNumber]],
    read=lambda changed: np.array(changed, dtype=np.int64).reshape(-1, 3),
)


@dataclass(frozen=True)
class Place(Kept):
    """A minded part of a chart. what: "asked", "face" or "spot"; left, top, right, bottom: in
    blocks from the top left, parts of blocks too; weight: how much its blocks count, 1 is usual."""

    what: str
    left: _Edge
    top: _Edge
    right: _Edge
    bottom: _Edge
    weight: BlockWeight


@dataclass(frozen=True)
class Seen(Kept):
    """Mean CIEDE2000 between picture and chart as an eye sees them from near and from far, and the
    fingerprint of the chart they hold for."""

    near: _Difference
    far: _Difference
    of: str


@dataclass(frozen=True, eq=False)
class Region(Kept):
    """A part of the picture that stands out. runs: (n, 3) line, first column and length of each
    stretch of its blocks, from 0; color: its mean light; difference: from the blocks around it,
    CIEDE2000."""

    runs: Annotated[NDArray[np.int64], _RUNS]
    color: Color
    difference: _Difference


@dataclass(frozen=True, eq=False)
class Regions(Kept):
    """All parts of the picture that stand out, the most important first, and the fingerprint of the
    means in which they were found."""

    of: str
    regions: tuple[Region, ...] = ()


@dataclass(frozen=True, eq=False)
class Limits(Kept):
    """What calming keeps to, and the fingerprint of the means that it holds for. runs: (n, 3) line,
    first column and length of each stretch of blocks that it leaves as they are, from 0; yarns:
    colours of those into which it brings no other block; parts: small parts of the subject that it
    keeps in sight, beside what stands out."""

    of: str
    runs: Annotated[NDArray[np.int64], _RUNS]
    yarns: tuple[Color, ...] = when_any()
    parts: tuple[Region, ...] = when_any()


@dataclass(frozen=True, eq=False)
class Otherwise(Kept):
    """How the chart would have come out, had it been calmed for another way of working. changed:
    (n, 3) line, column and yarn of every block that was given another; of: the fingerprint of the
    chart as it is."""

    corner: StartCorner
    hand: Hand
    habit: Habit
    changed: Annotated[NDArray[np.int64], _CHANGED]
    of: str


@dataclass(frozen=True, eq=False)
class Calmed(Kept):
    """What calming did, which stands whatever a hand changes later. percent: by how much the mean
    error might grow, weighted and plain; error_before, error_after: the weighted mean, CIEDE2000;
    mean_before, mean_after: the plain one, every block alike; tails_before, tails_after: tails as
    the piece was worked then; the last four are None where a file does not tell them;
    most_hanging: yarns that were to hang in any row, None where nothing was asked; changed: (n, 3)
    line, column and former yarn of every block that was given another, all from 0; of: the
    fingerprint of the chart that calming left; spared: places whose blocks counted for more; seed:
    of its search. With these it can be done again for another way of working; otherwise: what came
    of that, where it was done."""

    percent: Calm
    error_before: _Difference
    error_after: _Difference
    tails_before: Annotated[int, Meta(ge=0)] | None
    tails_after: Annotated[int, Meta(ge=0)] | None
    most_hanging: Annotated[int, Meta(ge=1)] | None
    changed: Annotated[NDArray[np.int64], _CHANGED]
    of: str
    spared: tuple[Place, ...] = when_any()
    seed: Annotated[int, Meta(ge=0)] = DEFAULT_SEED
    mean_before: _Difference | None = None
    mean_after: _Difference | None = None
    otherwise: tuple[Otherwise, ...] = when_any()


@dataclass(frozen=True, eq=False)
class Source(Kept):
    """The picture behind a chart: file name and SHA-256. means: (height, width, 3) 8-bit sRGB, each
    block's mean light; weights: (height, width) how much each block counts, None where every block
    counts alike; minded: places that were to count more; palette_gap: what is proven of the choice
    of yarns; seen: how picture and chart differ to the eye; calmed: what calming did; added:
    (height, width) 1 for each block that was added by hand, which has no mean (null in a file),
    None without any; features: what stands out in the picture, None where it was not looked for;
    limits: what calming keeps to, None without any.

    Raises BadInput where weights, added and means are not of the same blocks.
    """

    picture: str
    sha256: str
    means: Annotated[Bytes, _MEANS]
    weights: Annotated[Floats, _WEIGHTS] | None = None
    minded: tuple[Place, ...] = ()
    palette_gap: _Gap | None = None
    seen: Seen | None = None
    calmed: Calmed | None = None
    added: Annotated[Bytes, _ADDED] | None = None
    features: Regions | None = None
    limits: Limits | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.weights is not None and self.weights.shape != self.means.shape[:2]:
            raise BadInput(
                f"weights of shape {self.weights.shape} do not fit means of shape "
                f"{self.means.shape}: give one a block"
            )
        if self.added is not None and self.added.shape != self.means.shape[:2]:
            raise BadInput(
                f"added of shape {self.added.shape} does not fit means of shape "
                f"{self.means.shape}: give one a block"
            )
