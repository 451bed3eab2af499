"""A chart drawn in a spreadsheet: a CSV with a line a chart line, a cell a block."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import NO_BLOCK
from pix2block.color.names import PLAIN_NAMES
from pix2block.color.yarn_color import parse_yarn_color
from pix2block.craft.diagonal import Layout
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.delimited import read_cells
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.settings import (
    MOST_BLOCKS_A_SIDE,
    MOST_YARNS,
    START_CORNERS,
    Hand,
    StartCorner,
)
from pix2block.yarn.shelf import is_shelf_header
from pix2block.yarn.yarn import Yarn, clean_name, name_key, plain_names


@dataclass(frozen=True, eq=False)
class Grid:
    """blocks: (height, width) yarn numbers, -1 where no block is."""

    blocks: NDArray[np.int64]
    yarns: tuple[Yarn, ...]
    warnings: tuple[str, ...]


_CELLS_BELOW_A_HEADER = 12  # fewer may well be of yarns that occur once

# Stand-ins for yarns named without a colour, told apart also in grey.
_STAND_INS = (
    *("Cream", "Navy", "Rust", "Light teal", "Mustard", "Dark green", "Lilac", "Maroon"),
    *("Sky blue", "Tan", "Charcoal", "Pink", "Olive", "Grey", "Turquoise", "Brown"),
)


def read_grid(text: str, place: str, shelf: tuple[Yarn, ...] = ()) -> Grid:
    """A grid of yarn names or "#rrggbb", from the top, an empty cell where no block is.

    A first line that counts the columns over a first column that counts the lines, the cell where
    they meet empty, is left aside. Names are looked up on the shelf; without one, a name that is a
    colour's word has that colour and any other a stand-in. Yarns come in the shelf's order, else by
    blocks falling.

    Raises BadInput with line and column for what does not fit.
    """
    lines = _read_lines(text, place)
    cells = [row for _, row in lines]
    known = {name_key(yarn.name): yarn for yarn in shelf}
    by_color = {yarn.color: yarn for yarn in reversed(shelf)}
    found: dict[str, Yarn] = {}  # by cell text
    bare: list[str] = []  # cells that are only a colour
    unnamed: list[str] = []  # cells that are only a name
    _refuse_header(lines, place, known)
    for line, row in lines:
        for column, cell in enumerate(row, 1):
            if not cell or cell in found or cell in bare or cell in unnamed:
                continue
            try:
                if cell.startswith("#"):
                    color = parse_yarn_color(cell)
                    if color in by_color:
                        found[cell] = by_color[color]
                    else:
                        bare.append(cell)
                elif name_key(clean_name(cell)) in known:
                    found[cell] = known[name_key(clean_name(cell))]
                elif shelf:
                    raise BadInput(unknown("yarn", cell, [yarn.name for yarn in shelf]))
                else:
                    unnamed.append(cell)
            except BadInput as error:
                raise BadInput(f"{place}, line {line}, column {column}: {error}") from None
    warnings = []
    found |= _name_bare(bare, [yarn.name for yarn in shelf] + unnamed)
    stand_ins = _color_unnamed(unnamed)
    found |= stand_ins.yarns
    if stand_ins.guessed:
        warnings.append(
            Advice(
                f"{place} gives no colour for {', '.join(stand_ins.guessed)}: stand-in colours are "
                "used; name the yarns' colours with ",
                Ask("shelf", "FILE"),
            )
        )
    counts = Counter(found[cell] for row in cells for cell in row if cell)
    if not counts:
        raise BadInput(f"{place}: every cell is empty: write a yarn's name or #rrggbb a block")
    if len(counts) > MOST_YARNS:
        raise BadInput(f"{place}: {len(counts)} yarns: use at most {MOST_YARNS}")
    on_shelf = [yarn for yarn in shelf if yarn in counts]
    others = sorted((y for y in counts if y not in on_shelf), key=lambda y: -counts[y])
    yarns = tuple(on_shelf + others)
    number = {cell: yarns.index(yarn) for cell, yarn in found.items()}
    blocks = np.array([[number[c] if c else NO_BLOCK for c in row] for row in cells])
    return Grid(blocks.astype(np.int64), yarns, tuple(warnings))


def fit_last_row(
    blocks: NDArray[np.int64], corner: StartCorner | None, usual: StartCorner, hand: Hand
) -> tuple[StartCorner, int]:
    """The start corner and last row that explain which cells are empty.

    corner: the maker's word, None to find it, trying `usual` first.

    Raises BadInput where no corner explains them.
    """
    height, width = blocks.shape
    empty = blocks < 0
    whole = width + height - 1
    corners = [corner] if corner else [usual, *(c for c in START_CORNERS if c != usual)]
    for candidate in corners:
        row = Layout(width, height, whole, candidate, hand).row_numbers()
        last = int(row[~empty].max())
        if not empty[row <= last].any():
            return candidate, last
    where = f"start corner {corner}" if corner else "any start corner"
    raise BadInput(
        f"the empty cells are not the end of a piece from {where}: "
        "fill them, or empty whole diagonal rows from the last one on"
    )


def _read_lines(text: str, place: str) -> list[tuple[int, list[str]]]:
    """The lines of a grid, each with its number in the file, all with as many cells."""
    lines = list(read_cells(text, place).lines)
    while lines and not lines[-1][1]:
        lines.pop()
    if not lines:
        raise BadInput(f"{place} is empty: write a line a chart line, a yarn's name a block")
    lines = [(number, [" ".join(cell.split()) for cell in row] or [""]) for number, row in lines]
    first, head = lines[0]
    for number, row in lines:
        if len(row) != len(head):
            raise BadInput(
                f"{place}, line {number}: {len(row)} cells, line {first} has {len(head)}: "
                "give every line as many"
            )
    lines = _without_counts(lines)
    width, height = len(lines[0][1]), len(lines)
    if max(width, height) > MOST_BLOCKS_A_SIDE:
        raise BadInput(
            f"{place}: {width} x {height} blocks: a side has at most {MOST_BLOCKS_A_SIDE}"
        )
    return lines


def _without_counts(lines: list[tuple[int, list[str]]]) -> list[tuple[int, list[str]]]:
    """The lines without the numbers of columns and lines around them, where they have such."""
    across = ["", *map(str, range(1, len(lines[0][1])))]
    down = ["", *map(str, range(1, len(lines)))]
    if min(len(across), len(down)) < 2:
        return lines
    if lines[0][1] != across or [row[0] for _, row in lines] != down:
        return lines
    return [(number, row[1:]) for number, row in lines[1:]]


def _refuse_header(
    lines: list[tuple[int, list[str]]], place: str, known: Mapping[str, Yarn]
) -> None:
    """Raises BadInput for a shelf's first line, and for one of words that are no yarns: all
    different, none on the shelf, none a colour, none in a line below."""
    number, head = lines[0]
    if is_shelf_header(head):
        raise BadInput(f"{place}: a table of yarns, no grid: give it as the shelf of one")
    words = [cell for cell in head if cell]
    keys = {name_key(word) for word in words}
    below = {name_key(cell) for _, row in lines[1:] for cell in row}
    few = len(words) < 4 or len(words) * (len(lines) - 1) < _CELLS_BELOW_A_HEADER
    if few or len(keys) < len(words) or keys & (below | known.keys()):
        return
    if any(_color_of(word) for word in words):
        return
    raise BadInput(
        f"{place}, line {number}: {', '.join(words[:4])} … are names of columns, not of yarns, so "
        "this is a table and no grid: give a chart.json, or take the line out if a grid begins "
        "below it"
    )


def _color_of(cell: str) -> str | None:
    """The colour that a cell names, None where it names none."""
    try:
        return parse_yarn_color(cell)
    except BadInput:
        return None


def _name_bare(cells: list[str], taken: list[str]) -> dict[str, Yarn]:
    colors = [parse_yarn_color(cell) for cell in cells]
    names = plain_names(colors, taken)
    return {cell: Yarn(names[color], color) for cell, color in zip(cells, colors, strict=True)}


@dataclass(frozen=True)
class _StandIns:
    yarns: dict[str, Yarn]
    guessed: list[str]


def _color_unnamed(cells: list[str]) -> _StandIns:
    """A yarn for each name without a colour; names that differ only in spaces or case are one."""
    yarns: dict[str, Yarn] = {}
    by_key: dict[str, Yarn] = {}
    guessed: list[str] = []
    read = {cell: _color_of(clean_name(cell)) for cell in cells}
    free = [PLAIN_NAMES[word] for word in _STAND_INS if PLAIN_NAMES[word] not in read.values()]
    spare = free or [PLAIN_NAMES[word] for word in _STAND_INS]
    for cell, color in read.items():
        name = clean_name(cell)
        if name_key(name) not in by_key:
            if color is None:
                color = spare[len(guessed) % len(spare)]
                guessed.append(name)
            by_key[name_key(name)] = Yarn(name, color)
        yarns[cell] = by_key[name_key(name)]
    return _StandIns(yarns, guessed)
