"""A swatch: what a maker measured, and the block side and loop length that follow.

A swatch of a x b blocks holds loops that its stitches give exactly (craft/stitches). Its yarn is
its weight x the label's metres a gram, or the unravelled length of its last blocks; divided by the
loops, and by two where the yarn is held double, it is the length of a loop. The block's side is
the mean of width / a and height / b.

How sure that is. A "±" is what a measurement keeps within nineteen times of twenty; independent
ones add by their squares (first-order error propagation):

    side:  (s / s_block)^2: half of sqrt((ruler / a)^2 + (ruler / b)^2)
    loop, weighed:     (scale / grams)^2 + label^2 + hand^2, of its length
    loop, unravelled:  (ruler x sqrt(metres) / length)^2 + hand^2, measured a metre at a time

    loop, neither:     a loop is guessed and scaled with the side; within 30 %, as guesses are

A label's metres are right within 3 %, and a hand that made the swatch works the piece within 3 %
of it (both from memory: common practice).
"""

from __future__ import annotations

import math
from typing import Annotated

import numpy as np
from msgspec import Meta

from pix2block.craft.diagonal import Layout
from pix2block.craft.runs import find_runs
from pix2block.craft.stitches import loops_by_run
from pix2block.ground.frozen import dataclass
from pix2block.ground.nouns import Kept, Noun, when_any
from pix2block.ground.settings import (
    DEFAULT_RULER_MM,
    DEFAULT_SCALE_G,
    DEFAULT_WEIGHT,
    LENGTH_CM,
    BlockKind,
    Held,
    HookMm,
    LengthCm,
    LengthError,
    SkeinGrams,
    SkeinMetres,
    Turn,
    WeightClass,
)
from pix2block.ground.units import added_up
from pix2block.yarn.guess import DOUBTFUL, Guess, guess_of

LABEL_ERROR = 0.03
HAND_ERROR = 0.03
LEAST_SIDE_BLOCKS = 6
LEAST_GRAMS = 20.0
KITCHEN_SCALE_G = 0.5  # a finer one may weigh less
MOST_UNLIKE_SIDES = 0.05

SwatchSide = Annotated[int, Meta(ge=1, le=100)]  # blocks
SizeCm = Annotated[float, Meta(ge=0.1, le=LENGTH_CM[1])]
Unravelled = Annotated[int, Meta(ge=1)]
UnravelledCm = Annotated[float, Meta(ge=1, le=1e6)]
ScaleG = Annotated[float, Meta(ge=0.001, le=100)]
RulerMm = Annotated[float, Meta(ge=0.01, le=50)]


@dataclass(frozen=True)
class OwnLoop(Kept):
    """The loop of one yarn, measured on its own swatch; held: strands of yarn worked together."""

    name: str
    loop_cm: LengthCm
    loop_cm_error: LengthError
    held: Held = 1


@dataclass(frozen=True)
class Swatch(Kept):
    """What swatches tell a piece: block side and loop length in cm, with their errors; yarns: the
    loops of yarns that have a swatch of their own, the other ones having `loop_cm`."""

    block_cm: LengthCm
    loop_cm: LengthCm
    block_cm_error: LengthError | None = None
    loop_cm_error: LengthError | None = None
    yarns: tuple[OwnLoop, ...] = when_any()


@dataclass(frozen=True)
class Measured(Noun):
    """One swatch as it was measured.

    yarn: its name, "" for a swatch that stands for any yarn. blocks: across and down. size_cm:
    width and height after blocking, inside the edges. grams: without its tails, with the metres
    and grams of the label; or unravelled_cm: the length of its last `unravelled` blocks. block:
    kind; weight: class of the yarn, None where it was not told; held: strands worked together;
    scale_g, ruler_mm: how far they may be out. A swatch may tell its size alone.
    """

    blocks: tuple[SwatchSide, SwatchSide]
    size_cm: tuple[SizeCm, SizeCm]
    yarn: str = ""
    grams: SkeinGrams | None = None
    label_metres: SkeinMetres | None = None
    label_grams: SkeinGrams | None = None
    unravelled: Unravelled | None = None
    unravelled_cm: UnravelledCm | None = None
    held: Held = 1
    block: BlockKind = "dc"
    weight: WeightClass | None = None
    hook_mm: HookMm | None = None
    scale_g: ScaleG = DEFAULT_SCALE_G
    ruler_mm: RulerMm = DEFAULT_RULER_MM

    @property
    def measures_yarn(self) -> bool:
        """Whether its yarn was weighed or unravelled, not its size alone measured."""
        return self.grams is not None or self.unravelled_cm is not None

    @property
    def usual(self) -> Guess:
        """What would be guessed for it without measuring."""
        weight = DEFAULT_WEIGHT if self.weight is None else self.weight
        return guess_of(weight, self.block, self.hook_mm)

    @property
    def name(self) -> str:
        """ "Moss", or "the swatch" where it stands for any yarn."""
        return self.yarn or "the swatch"


@dataclass(frozen=True)
class Sizes:
    """What one swatch gives, in cm. by_hand: the part of the loop's error that scale or ruler
    make."""

    block_cm: float
    block_cm_error: float
    loop_cm: float
    loop_cm_error: float
    by_hand: float
    loops: int


def loops_of_swatch(blocks: tuple[int, int], kind: BlockKind, last: int | None = None) -> int:
    """Loops in a swatch of (across, down) blocks, or in the last few blocks that were worked, with
    the slip stitches that lead to each."""
    width, height = blocks
    layout = Layout(width, height, width + height - 1, "bottom-right", "right")
    # Every block of another colour, so that every run is one block.
    runs = find_runs(np.arange(width * height).reshape(height, width), layout)
    turns: list[Turn] = ["early"] * layout.last_row
    loops = loops_by_run(runs, layout, kind, turns)
    return int(loops[-last:].sum() if last else loops.sum())


def sizes_of(measured: Measured) -> Sizes:
    """Block side and loop length of one swatch, with their errors."""
    across, down = measured.blocks
    ruler_cm = measured.ruler_mm / 10
    side = (measured.size_cm[0] / across + measured.size_cm[1] / down) / 2
    side_error = math.hypot(ruler_cm / across, ruler_cm / down) / 2
    if measured.unravelled is not None and measured.unravelled_cm is not None:
        loops = loops_of_swatch(measured.blocks, measured.block, measured.unravelled)
        loop = measured.unravelled_cm / loops
        stretches = math.sqrt(max(1.0, measured.unravelled_cm / 100))
        by_hand, label_error = ruler_cm * stretches / measured.unravelled_cm, 0.0
    elif not measured.measures_yarn:
        usual = measured.usual
        loops = loops_of_swatch(measured.blocks, measured.block)
        loop = usual.loop_cm * side / usual.block_cm
        off = loop * (usual.length_band[1] - 1)
        return Sizes(side, side_error, loop, off, off, loops)
    else:
        assert measured.grams is not None
        assert measured.label_metres is not None
        assert measured.label_grams is not None
        loops = loops_of_swatch(measured.blocks, measured.block)
        metres = measured.grams * measured.label_metres / measured.label_grams
        loop = metres * 100 / loops / measured.held
        by_hand, label_error = measured.scale_g / measured.grams, LABEL_ERROR
    error = loop * math.hypot(by_hand, label_error, HAND_ERROR)
    return Sizes(side, side_error, loop, error, loop * by_hand, loops)


def swatch_of(measured: tuple[Measured, ...]) -> Swatch:
    """What one or more swatches tell a piece.

    The block's side is the mean of all. A yarn without a swatch of its own has the mean loop of
    those held single (of all where none is), within the largest error or half their spread; loops
    that were only guessed from a size count where none was measured.
    """
    sizes = [sizes_of(one) for one in measured]
    pairs = [p for p in zip(sizes, measured, strict=True) if p[1].measures_yarn]
    pairs = pairs or list(zip(sizes, measured, strict=True))
    single = [s for s, m in pairs if m.held == 1] or [s for s, _ in pairs]
    loops, sides = [s.loop_cm for s in single], [s.block_cm for s in sizes]
    return Swatch(
        block_cm=added_up(sides) / len(sides),
        loop_cm=added_up(loops) / len(loops),
        block_cm_error=_error(sides, [s.block_cm_error for s in sizes]),
        loop_cm_error=_error(loops, [s.loop_cm_error for s in single]),
        yarns=tuple(
            OwnLoop(m.yarn, s.loop_cm, s.loop_cm_error, m.held)
            for m, s in zip(measured, sizes, strict=True)
            if m.yarn
        ),
    )


def _error(values: list[float], errors: list[float]) -> float:
    return max(*errors, (max(values) - min(values)) / 2)


def questions(measured: Measured) -> list[str]:
    """What looks wrong with a swatch, a sentence each."""
    sizes, asked = sizes_of(measured), []
    across, down = measured.blocks
    wide, high = measured.size_cm[0] / across, measured.size_cm[1] / down
    name = measured.name
    if abs(wide - high) > MOST_UNLIKE_SIDES * sizes.block_cm:
        asked.append(
            f"{name}: a block is {wide:.2f} cm wide and {high:.2f} cm high; blocks are square, so "
            f"it was stretched or mismeasured: block it again; the mean is taken."
        )
    if min(measured.blocks) < LEAST_SIDE_BLOCKS:
        asked.append(
            f"{name}: {across} x {down} blocks are few: {LEAST_SIDE_BLOCKS} x {LEAST_SIDE_BLOCKS} "
            "or more tell much more."
        )
    if measured.grams and measured.grams < LEAST_GRAMS and measured.scale_g >= KITCHEN_SCALE_G:
        asked.append(
            f"{name}: {measured.grams:g} g on a scale of ± {measured.scale_g:g} g is only known "
            f"within {100 * measured.scale_g / measured.grams:.0f} %: weigh a swatch of "
            f"{LEAST_GRAMS:g} g or more, or unravel some blocks."
        )
    usual = measured.usual
    far = []
    # Yarn held double works up as a thicker class, which the label does not tell.
    if measured.held == 1:
        for what, is_cm, usual_cm in (
            ("loop", sizes.loop_cm, usual.loop_cm),
            ("block", sizes.block_cm, usual.block_cm),
        ):
            if not DOUBTFUL[0] <= is_cm / usual_cm <= DOUBTFUL[1]:
                far.append(f"a {what} of {is_cm:.1f} cm (usual {usual_cm:.1f})")
    if far:
        asked.append(
            f"{name}: {' and '.join(far)} is far from what is usual{_for_class(measured)}: check "
            "the weight class, the label and what was measured."
        )
    return asked


def _for_class(measured: Measured) -> str:
    return "" if measured.weight is None else f" in weight class {measured.weight}"


def differing_blocks(measured: tuple[Measured, ...]) -> str | None:
    """A sentence where the blocks of several yarns differ too much to lie in one piece."""
    if len(measured) < 2:
        return None
    by_side = sorted((sizes_of(m).block_cm, m.name) for m in measured)
    (small, small_name), (large, large_name) = by_side[0], by_side[-1]
    if large - small <= MOST_UNLIKE_SIDES * (small + large) / 2:
        return None
    return (
        f"blocks of {small_name} are {small:.2f} cm and those of {large_name} {large:.2f} cm: in "
        "one piece they pull; try another hook for one of them."
    )
