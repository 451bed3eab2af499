"""A piece under way, as a maker tells it: what is done and what is left."""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Literal

from pix2block.ground.frozen import dataclass

if TYPE_CHECKING:
    from pix2block.yarn.yarn import Yarn  # brings NumPy: not on the way to --help

LeftUnit = Literal["g", "m", "skeins"]


@dataclass(frozen=True)
class Done:
    """How far a piece is: `row` is done, or only its first `runs` runs, None for all of them.
    piece: by which the hookside page knows its piece, "" where that did not tell it; notes: what
    is told of the file that it comes from."""

    row: int
    runs: int | None = None
    piece: str = field(default="", compare=False)
    notes: tuple[str, ...] = field(default=(), compare=False)


@dataclass(frozen=True)
class Left:
    """What is left of a yarn, ball and hanging bobbins together, in grams, metres or skeins."""

    yarn: str
    amount: float
    unit: LeftUnit


@dataclass(frozen=True)
class UnderWay:
    """What is done, what is left, and the yarns that could step in."""

    done: Done
    left: tuple[Left, ...] = ()
    shelf: tuple[Yarn, ...] = ()
