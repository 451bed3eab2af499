"""A grid as it was drawn: cells with words and fills, which are not yarns yet."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pix2block.ground.delimited import read_cells
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import MOST_BLOCKS_A_SIDE


@dataclass(frozen=True)
class Cell:
    """A cell. words: what is written in it, single spaces, "" for nothing; fill: "#rrggbb", None
    where it has none."""

    words: str
    fill: str | None = None

    def __bool__(self) -> bool:
        return bool(self.words or self.fill)


Line = Sequence[Cell]


@dataclass(frozen=True)
class Drawn:
    """Cells of a file, every line with as many, without the counts around them. place: what the
    file is called; where: what the cell of a line and a column, both from 0, is called in it."""

    place: str
    cells: tuple[tuple[Cell, ...], ...]
    where: Callable[[int, int], str]

    def fault(self, line: int, column: int, told: object) -> BadInput:
        """What is wrong with a cell."""
        return BadInput(f"{self.place}, {self.where(line, column)}: {told}")


def drawn_csv(text: str, place: str) -> Drawn:
    """The cells of a comma-, semicolon- or tab-separated text.

    Raises BadInput for lines that are not equally long, or too many.
    """
    lines = list(read_cells(text, place).lines)
    while lines and not lines[-1][1]:
        lines.pop()
    if not lines:
        raise BadInput(f"{place} is empty: write a line a chart line, a yarn's name a block")
    numbers = [number for number, _ in lines]
    for number, row in lines:
        if len(row) != len(lines[0][1]):
            raise BadInput(
                f"{place}, line {number}: {len(row) or 1} cells, line {numbers[0]} has "
                f"{len(lines[0][1])}: give every line as many"
            )
    written: list[Line] = [[Cell(" ".join(cell.split())) for cell in row] for _, row in lines]
    cells, counts = without_counts(written)

    def where(line: int, column: int) -> str:
        return f"line {numbers[line + counts]}, column {column + counts + 1}"

    return drawn_of(place, cells, where)


def drawn_of(place: str, cells: Sequence[Line], where: Callable[[int, int], str]) -> Drawn:
    """The cells, no more than a chart may have. Raises BadInput where they are."""
    width, height = len(cells[0]), len(cells)
    if max(width, height) > MOST_BLOCKS_A_SIDE:
        raise BadInput(
            f"{place}: {width} x {height} blocks: a side has at most {MOST_BLOCKS_A_SIDE}"
        )
    return Drawn(place, tuple(map(tuple, cells)), where)


def without_counts(cells: Sequence[Line]) -> tuple[list[Line], int]:
    """The cells without the numbers of columns and lines around them, where they have such; and
    how many lines, and columns, these took: 1 or 0."""
    across = ["", *map(str, range(1, len(cells[0])))]
    down = ["", *map(str, range(1, len(cells)))]
    if min(len(across), len(down)) < 2:
        return list(cells), 0
    words = [cell.words for cell in cells[0]]
    if words != across or [line[0].words for line in cells] != down:
        return list(cells), 0
    return [line[1:] for line in cells[1:]], 1
