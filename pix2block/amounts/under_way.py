"""A piece under way: what is done and what is left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

LeftUnit = Literal["g", "m", "skeins"]


@dataclass(frozen=True)
class Done:
    """How far a piece is: `row` is done, or only its first `runs` runs, None for all of them."""

    row: int
    runs: int | None = None


@dataclass(frozen=True)
class Left:
    """What is left of a yarn, ball and hanging bobbins together, in grams, metres or skeins."""

    yarn: str
    amount: float
    unit: LeftUnit
