"""The chart: the noun that is kept, and from which everything else follows."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from functools import cached_property
from typing import Annotated

import numpy as np
from msgspec import Meta
from numpy.typing import NDArray

from pix2block.chart.done import MadeRows, begun_of
from pix2block.chart.mend import Mend
from pix2block.chart.source import BlockAt, Calmed, Seen, Source
from pix2block.chart.title import clean_title
from pix2block.color.spaces import Bytes, rgb_array
from pix2block.craft.diagonal import Layout, layout_of
from pix2block.craft.plan import Begun, StrandPlan
from pix2block.craft.runs import Runs, find_runs
from pix2block.craft.strands import plan_strands
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.nouns import Array, Kept, null_too, range_of, stated, when_any, when_known
from pix2block.ground.settings import (
    DEFAULT_BUTTERFLY_M,
    DEFAULT_HABIT,
    DEFAULT_PACE,
    DEFAULT_TAIL_CM,
    DEFAULT_TAIL_ENDING,
    DEFAULT_TURN,
    DEFAULT_WEIGHT,
    HABITS,
    MOST_BLOCKS_A_SIDE,
    MOST_YARNS,
    BlockKind,
    BorderStitch,
    ButterflyM,
    Editions,
    Habit,
    Hand,
    HookMm,
    Pace,
    Page,
    Reserve,
    Rounds,
    RowNumber,
    Side,
    StartCorner,
    TailCm,
    TailEnding,
    Terms,
    Turn,
    WeightClass,
    YarnNumber,
)
from pix2block.ground.units import say_count
from pix2block.yarn.guess import Gauge
from pix2block.yarn.swatch import Swatch
from pix2block.yarn.yarn import Yarn, refuse_twins

NO_BLOCK = -1
_BLOCKS = Array(
    dtype="int64",
    axes=("height", "width"),
    item=Annotated[int, Meta(ge=NO_BLOCK, lt=MOST_YARNS)],
    in_file=list[list[YarnNumber | None]],
    read=lambda lines: [[NO_BLOCK if n is None else n for n in line] for line in lines],
    write=lambda blocks: [[None if n < 0 else n for n in line] for line in blocks.tolist()],
)


@dataclass(frozen=True)
class Border(Kept):
    """Rounds of a stitch (US name) around the piece, in the yarn of this number."""

    rounds: Rounds
    stitch: BorderStitch
    yarn: YarnNumber


@dataclass(frozen=True, eq=False)
class Chart(Kept):
    """Blocks seen from the right side, and the way they are worked.

    blocks: (height, width) yarn numbers from the top left, -1 exactly where the row is beyond
    `last_row`. weight: yarn class 0 to 7. tail_ending: how tails are ended. butterfly_m: longest
    bobbin that is wound on the hand. reserve: per cent of yarn added for safety. hook_mm: the
    maker's hook; gauge: her plain gauge. editions, page: of the pattern, as last asked for. marks:
    the name of each yarn's mark, by the yarn's name, once it was given. shielded: line and column,
    from 0, of each block that calming leaves as it is. done: the rows that are made, which stay as
    they are. mends: the journal of changes by hand, the first one first.

    Raises BadInput where the blocks do not fit the yarns, the layout, the source or each other.
    """

    title: str
    blocks: Annotated[NDArray[np.int64], _BLOCKS]
    yarns: Annotated[tuple[Yarn, ...], Meta(min_length=1, max_length=MOST_YARNS)]
    last_row: RowNumber
    start_corner: StartCorner = stated("bottom-right")
    hand: Hand = stated("right")
    block: BlockKind = stated("dc")
    terms: Terms = stated("us")
    turn: Turn = stated(DEFAULT_TURN)
    habit: Habit = stated(HABITS[DEFAULT_HABIT])
    weight: WeightClass = stated(DEFAULT_WEIGHT)
    tail_cm: TailCm = stated(DEFAULT_TAIL_CM)
    tail_ending: TailEnding = DEFAULT_TAIL_ENDING
    butterfly_m: ButterflyM = DEFAULT_BUTTERFLY_M
    reserve: Reserve = null_too(0.0)
    pace: Pace = stated(DEFAULT_PACE)
    swatch: Swatch | None = None
    border: Border | None = None
    hook_mm: HookMm | None = None
    gauge: Gauge | None = None
    editions: Editions | None = None
    page: Page | None = None
    marks: dict[str, str] | None = None
    source: Source | None = None
    shielded: tuple[tuple[BlockAt, BlockAt], ...] = when_any()
    done: MadeRows | None = when_known()
    mends: tuple[Mend, ...] = when_any()

    def __post_init__(self) -> None:
        super().__post_init__()
        object.__setattr__(self, "title", clean_title(self.title))
        self._check_layout()
        refuse_twins(yarn.name for yarn in self.yarns)
        _ = self.runs  # refuses blocks that do not fit the layout
        beyond = np.argwhere(self.blocks >= len(self.yarns))
        if len(beyond):
            line, column = (int(i) for i in beyond[0])
            raise BadInput(
                f"line {line + 1}, column {column + 1} of the chart names yarn "
                f"{self.blocks[line, column]}: yarns are numbered from 0 to {len(self.yarns) - 1}"
            )
        if self.border and self.border.yarn >= len(self.yarns):
            raise BadInput(
                f"the border names yarn {self.border.yarn}: yarns are numbered from 0 to "
                f"{len(self.yarns) - 1}"
            )
        if any(line >= self.height or column >= self.width for line, column in self.shielded):
            raise BadInput("shielded names a block that the chart does not have")
        if self.source:
            self._check_source(self.source)
        _ = self.begun  # refuses rows that are made where they are not this piece's

    def _check_layout(self) -> None:
        for name, side in (("width", self.width), ("height", self.height)):
            if not 1 <= side <= MOST_BLOCKS_A_SIDE:
                raise BadInput(f"{name} {side}: a side has {range_of(Side)} blocks")
        if self.last_row > self.layout.all_rows:
            raise BadInput(
                f"last_row {self.last_row} is beyond the last of its {self.layout.all_rows} rows: "
                "lower it"
            )

    def _check_source(self, source: Source) -> None:
        height, width = source.means.shape[:2]
        if (height, width) != self.blocks.shape:
            raise BadInput(
                f"source holds {width} x {height} blocks, the chart {self.width} x {self.height}"
            )
        if source.calmed and self.as_calmed:
            ends = (self.height, self.width, len(self.yarns))
            others = [one.changed for one in source.calmed.otherwise if one.of == self.fingerprint]
            if any((changed >= ends).any() for changed in (source.calmed.changed, *others)):
                raise BadInput("source.calmed names a block or yarn that the chart does not have")

    def __repr__(self) -> str:
        yarns = say_count(len(self.yarns), "yarn")
        return f"Chart({self.title!r}, {self.width} x {self.height} blocks, {yarns})"

    @property
    def width(self) -> int:
        """Blocks across."""
        return int(self.blocks.shape[1])

    @property
    def height(self) -> int:
        """Blocks down."""
        return int(self.blocks.shape[0])

    @cached_property
    def layout(self) -> Layout:
        """The way the rectangle is read in diagonal rows."""
        return layout_of(self.width, self.height, self.last_row, self.start_corner, self.hand)

    @cached_property
    def runs(self) -> Runs:
        """Every run in working order."""
        return find_runs(self.blocks, self.layout)

    @cached_property
    def begun(self) -> Begun | None:
        """What is made, as the plan of strands takes it; None of a piece that is not begun."""
        return begun_of(self.done, self.runs) if self.done else None

    @cached_property
    def plan(self) -> StrandPlan:
        """The best plan of its strands for its habit, behind what is made."""
        return plan_strands(self.runs, self.layout, self.habit, self.begun)

    @cached_property
    def turns(self) -> tuple[Turn, ...]:
        """(rows,) when a colour that changes at the turn into each row comes in."""
        if self.done:
            return self.done.turns_to(self.last_row, self.turn)
        return (self.turn,) * self.last_row

    @cached_property
    def made(self) -> NDArray[np.bool_]:
        """(height, width) whether a block is made already."""
        made = np.zeros(self.blocks.shape, dtype=bool)
        if self.begun:
            runs, last = self.runs, self.begun.runs - 1
            lines, columns, _ = self.layout.order
            worked = int(runs.starts[last] + runs.blocks[last])
            made[lines[:worked], columns[:worked]] = True
        return made

    @cached_property
    def blocks_by_yarn(self) -> NDArray[np.int64]:
        """(yarns,) blocks of each yarn."""
        return np.bincount(self.blocks[self.blocks >= 0], minlength=len(self.yarns))

    @property
    def used(self) -> NDArray[np.bool_]:
        """(yarns,) whether a yarn is in the blocks or in the border."""
        used = self.blocks_by_yarn > 0
        if self.border:
            used[self.border.yarn] = True
        return np.asarray(used)

    @property
    def shield(self) -> NDArray[np.bool_]:
        """(height, width) the blocks that calming leaves as they are."""
        mask = np.zeros(self.blocks.shape, dtype=bool)
        for line, column in self.shielded:
            mask[line, column] = True
        return mask

    @property
    def ends_early(self) -> bool:
        """Whether the piece ends before the rectangle is whole."""
        return self.last_row < self.layout.all_rows

    @property
    def is_triangle(self) -> bool:
        """Whether the piece only ever grows, and ends before it is a rectangle."""
        return self.ends_early and self.last_row <= min(self.width, self.height)

    @property
    def fingerprint(self) -> str:
        """Tells whether blocks and colours are still the same."""
        text = ",".join(yarn.color for yarn in self.yarns).encode()
        return hashlib.sha256(text + self.blocks.astype("<i8").tobytes()).hexdigest()[:16]

    @cached_property
    def block_means(self) -> Bytes | None:
        """(height, width, 3) 8-bit sRGB means of the picture; of a block that was added by hand its
        yarn's colour. None without a picture."""
        source = self.source
        if source is None or source.added is None:
            return source.means if source else None
        return np.where(source.added[..., None] > 0, self.yarn_rgb[self.blocks], source.means)

    @property
    def means_fingerprint(self) -> str:
        """Tells whether the picture's means are still the same; "" without a picture."""
        means = self.block_means
        if means is None:
            return ""
        return hashlib.sha256(str(means.shape).encode() + means.tobytes()).hexdigest()[:16]

    @property
    def seen(self) -> Seen | None:
        """How picture and chart differ to the eye, measured on this very chart, not mended."""
        seen = self.source.seen if self.source and not self.mends else None
        return seen if seen and seen.of == self.fingerprint else None

    @property
    def calmed(self) -> Calmed | None:
        """What calming did, whatever a hand has changed since."""
        return self.source.calmed if self.source else None

    @property
    def as_calmed(self) -> bool:
        """Whether blocks and colours still are as calming left them."""
        return self.calmed is not None and self.calmed.of == self.fingerprint

    @property
    def uncalmed(self) -> Chart | None:
        """The chart as it was before it was calmed, worked as it is now; None where it was not,
        where blocks or colours were changed since, or where rows of it are made."""
        if self.calmed is None or not self.as_calmed or self.done:
            return None
        return self._changed(self.calmed.changed)

    def calmed_otherwise(self, corner: StartCorner, habit: Habit) -> Chart | None:
        """The chart as it would have come out, calmed for another corner and habit, where it keeps
        that."""
        way = (corner, self.hand, habit, self.fingerprint)
        for one in self.calmed.otherwise if self.calmed else ():
            plain = self.uncalmed
            if plain and (one.corner, one.hand, one.habit, one.of) == way:
                return replace(plain, start_corner=corner, habit=habit)._changed(one.changed)
        return None

    def _changed(self, changed: NDArray[np.int64]) -> Chart:
        blocks = self.blocks.copy()
        blocks[changed[:, 0], changed[:, 1]] = changed[:, 2]
        return replace(self, blocks=blocks)

    @cached_property
    def yarn_rgb(self) -> Bytes:
        """(yarns, 3) 8-bit sRGB."""
        return rgb_array([yarn.color for yarn in self.yarns])
