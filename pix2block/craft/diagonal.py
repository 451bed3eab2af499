"""Diagonal rows: how a rectangle of blocks is read from one corner to the other.

For a start corner, `dx` and `dy` are a block's steps away from it along the width and along the
height. Its row is n = dx + dy + 1; along a row t = dx - dy. Neighbours in a row differ by 2 in t,
neighbours in adjoining rows by 1. Row n has min(n, W, H, W + H - n) blocks; read by antidiagonals
this is OEIS A003983 for squares.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property, lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import Hand, StartCorner, sides_of

Side = Literal["RS", "WS"]
Begins = Literal["corner", "grow", "travel"]
Ends = Literal["full", "stop"]
Phase = Literal["increase", "straight", "decrease"]
Edge = Literal["right", "left", "top", "bottom"]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

_PHASES: dict[tuple[Begins, Ends], Phase] = {
    ("corner", "full"): "increase",
    ("grow", "full"): "increase",
    ("grow", "stop"): "straight",
    ("travel", "full"): "straight",
    ("travel", "stop"): "decrease",
}

# The edge where a right-handed maker's odd rows begin; they end at the corner's other edge.
_RIGHT_HAND_ODD_BEGIN: dict[StartCorner, Edge] = {
    "bottom-right": "right",
    "bottom-left": "bottom",
    "top-right": "top",
    "top-left": "left",
}


@dataclass(frozen=True)
class Row:
    """One diagonal row. `begins_at` and `ends_at` are the two edges at the start corner."""

    number: int
    side: Side
    begins: Begins
    ends: Ends
    phase: Phase
    begins_at: Edge
    ends_at: Edge
    blocks: int
    marker: bool


@dataclass(frozen=True)
class Layout:
    """A rectangle of blocks and the way it is worked.

    width, height: blocks. last_row: where the piece ends, from 1 to width + height - 1.
    """

    width: int
    height: int
    last_row: int
    start_corner: StartCorner
    hand: Hand

    @property
    def all_rows(self) -> int:
        """Rows of the whole rectangle."""
        return self.width + self.height - 1

    @property
    def extent(self) -> tuple[int, int]:
        """Columns and lines that hold a block: the finished size in blocks."""
        return min(self.width, self.last_row), min(self.height, self.last_row)

    @cached_property
    def edges(self) -> tuple[Edge, Edge]:
        """The edges at which odd rows begin and end."""
        start = sides_of(self.start_corner)
        vertical: Edge = "right" if start.right else "left"
        horizontal: Edge = "bottom" if start.bottom else "top"
        begin = _RIGHT_HAND_ODD_BEGIN[self.start_corner]
        end = horizontal if begin == vertical else vertical
        return (begin, end) if self.hand == "right" else (end, begin)

    def limit(self, edge: Edge) -> int:
        """The last row that still lengthens this edge of the start corner."""
        return self.height if edge in ("left", "right") else self.width

    def begins_vertical(self, number: int) -> bool:
        """Whether row `number` begins at the vertical edge, so that t rises along it."""
        return self.row_edges(number)[0] in ("left", "right")

    def row_edges(self, number: int) -> tuple[Edge, Edge]:
        """The edges at which row `number` begins and ends."""
        begin, end = self.edges
        return (begin, end) if number % 2 else (end, begin)

    def blocks_in(self, number: int) -> int:
        """Blocks in row `number`."""
        return min(number, self.width, self.height, self.width + self.height - number)

    @cached_property
    def row_blocks(self) -> Ints:
        """(last_row,) blocks of each row."""
        n = np.arange(1, self.last_row + 1)
        sides = min(self.width, self.height)
        return np.minimum(np.minimum(n, sides), self.width + self.height - n)

    def turns_of_rows(self) -> tuple[Flags, Flags]:
        """(last_row,) whether each row begins by travelling, and whether it stops at its end."""
        n = np.arange(1, self.last_row + 1)
        begin, end = (self.limit(edge) for edge in self.edges)
        odd = n % 2 == 1
        begins, ends = np.where(odd, begin, end), np.where(odd, end, begin)
        return (n > begins) & (n > 1), n > ends

    @cached_property
    def rows(self) -> tuple[Row, ...]:
        """Every row of the piece, in working order."""
        rows = []
        for n in range(1, self.last_row + 1):
            begin, end = self.row_edges(n)
            begins: Begins = "corner" if n == 1 else "grow" if n <= self.limit(begin) else "travel"
            ends = self._ends(n)
            rows.append(
                Row(
                    number=n,
                    side="RS" if n % 2 else "WS",
                    begins=begins,
                    ends=ends,
                    phase=_PHASES[begins, ends],
                    begins_at=begin,
                    ends_at=end,
                    blocks=self.blocks_in(n),
                    marker=n < self.last_row and self._ends(n + 1) == "stop",
                )
            )
        return tuple(rows)

    def _ends(self, number: int) -> Ends:
        return "full" if number <= self.limit(self.row_edges(number)[1]) else "stop"

    def steps(self, number: int) -> tuple[Ints, Ints]:
        """dx and dy of the blocks of row `number`, in working order."""
        dx = np.arange(max(0, number - self.height), min(self.width, number), dtype=np.int64)
        if not self.begins_vertical(number):
            dx = dx[::-1]
        return dx, number - 1 - dx

    @cached_property
    def order(self) -> tuple[Ints, Ints, Ints]:
        """Line, column and row number of every block of the piece, in working order."""
        dx, dy = (
            np.concatenate(a)
            for a in zip(*(self.steps(n) for n in range(1, self.last_row + 1)), strict=True)
        )
        start = sides_of(self.start_corner)
        lines = self.height - 1 - dy if start.bottom else dy
        columns = self.width - 1 - dx if start.right else dx
        result = (lines, columns, dx + dy + 1)
        for array in result:
            array.setflags(write=False)
        return result

    def row_numbers(self) -> Ints:
        """(height, width): the row of every place of the rectangle, beyond `last_row` too."""
        dx = np.arange(self.width, dtype=np.int64)
        dy = np.arange(self.height, dtype=np.int64)
        start = sides_of(self.start_corner)
        if start.right:
            dx = dx[::-1]
        if start.bottom:
            dy = dy[::-1]
        return dy[:, None] + dx[None, :] + 1

    def __iter__(self) -> Iterator[Row]:
        return iter(self.rows)


@lru_cache(maxsize=4)
def layout_of(width: int, height: int, last_row: int, corner: StartCorner, hand: Hand) -> Layout:
    """The layout of these; the same one for all charts of a shape, so that the order of their
    blocks is worked out once."""
    return Layout(width, height, last_row, corner, hand)


def each_once(numbers: Ints) -> Ints:
    """(n,) numbers, rising, each once. NumPy's own gathers them by hashes, which takes thirty times
    as long for a hundred thousand."""
    rising = np.sort(numbers)
    return rising[np.concatenate([[True], rising[1:] != rising[:-1]])] if len(rising) else rising
