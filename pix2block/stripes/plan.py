"""A stripe plan: parts, one after another, each an order of yarns and how long it lasts."""

from __future__ import annotations

from typing import Literal

from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.yarn.yarn import Yarn

Shape = Literal["rectangle", "triangle"]
How = Literal["rows", "repeats", "out", "end"]


@dataclass(frozen=True)
class FilePlace:
    """Where something stands in a file; line and column count from 1, 0 where unknown."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        return f"{self.file}, line {self.line}, column {self.column}" if self.line else self.file

    def refuse(self, what: str) -> BadInput:
        """An error at this place."""
        return BadInput(f"{self}: {what}")


@dataclass(frozen=True)
class Lasts:
    """How long a part lasts: so many rows, so many times through its order, until a yarn is out
    (the yarn's number, None for whichever is first), or to the end of the piece."""

    how: How
    count: int = 0
    yarn: int | None = None


@dataclass(frozen=True)
class Part:
    """Stripes after one another.

    yarns: their order, by number; empty for "the others": those of the part before but the one
    that was used up. widths: rows of the stripes, in turn; grow: rows by which each stripe is wider
    than the one before it; metres: of yarn a stripe instead of rows. seed: a random order, no
    yarn twice in a row; gradient: passing gradually from the first yarn to the last. place,
    lasts_place: where the part and how long it lasts are written.
    """

    yarns: tuple[int, ...]
    lasts: Lasts
    place: FilePlace
    lasts_place: FilePlace
    widths: tuple[int, ...] = (1,)
    grow: float = 0.0
    metres: float | None = None
    seed: int | None = None
    gradient: bool = False


@dataclass(frozen=True)
class Length:
    """How long the piece is: in blocks (of a triangle, rows) or in cm (its wingspan); both None
    for as far as the yarn goes."""

    blocks: int | None = None
    cm: float | None = None


@dataclass(frozen=True)
class Plan:
    """A stripe plan as it was written.

    yarns: those it may name; bought: yarns of which more can be had, so that what is on hand sets
    no limit; width: blocks across, None for a triangle; length: of a rectangle, of a triangle in
    rows, None where the rows of the parts give it; last_row: where the piece ends early, None where
    it does not.
    """

    file: str
    title: str | None
    yarns: tuple[Yarn, ...]
    parts: tuple[Part, ...]
    shape: Shape
    width: int | None
    length: Length | None
    length_place: FilePlace
    last_row: int | None = None
    bought: frozenset[int] = frozenset()
    notes: tuple[str, ...] = ()

    @property
    def named(self) -> tuple[int, ...]:
        """Numbers of the yarns that some part names, rising."""
        return tuple(sorted({yarn for part in self.parts for yarn in part.yarns}))
