"""A chart drawn in a spreadsheet: a CSV with a line a chart line, a cell a block."""

from __future__ import annotations

import csv
import io
from collections import Counter
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import NO_BLOCK
from pix2block.color.names import PLAIN_NAMES, name_colors
from pix2block.color.notation import parse_color
from pix2block.color.spaces import rgb_array
from pix2block.craft.diagonal import Layout
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.settings import (
    MOST_BLOCKS_A_SIDE,
    MOST_YARNS,
    START_CORNERS,
    Hand,
    StartCorner,
)
from pix2block.yarn.yarn import Yarn, clean_name, name_key


@dataclass(frozen=True, eq=False)
class Grid:
    """blocks: (height, width) yarn numbers, -1 where no block is."""

    blocks: NDArray[np.int64]
    yarns: tuple[Yarn, ...]
    warnings: tuple[str, ...]


# Stand-ins for yarns named without a colour, told apart also in grey.
_STAND_INS = (
    *("Cream", "Navy", "Rust", "Light teal", "Mustard", "Dark green", "Lilac", "Maroon"),
    *("Sky blue", "Tan", "Charcoal", "Pink", "Olive", "Grey", "Turquoise", "Brown"),
)


def read_grid(text: str, place: str, shelf: tuple[Yarn, ...] = ()) -> Grid:
    """A grid of yarn names or "#rrggbb", from the top, an empty cell where no block is.

    Names are looked up on the shelf; without one, a name that is a CSS colour has that colour and
    any other a stand-in. Yarns come in the shelf's order, else by blocks falling.

    Raises BadInput with line and column for what does not fit.
    """
    cells = _read_cells(text, place)
    known = {name_key(yarn.name): yarn for yarn in shelf}
    by_color = {yarn.color: yarn for yarn in reversed(shelf)}
    found: dict[str, Yarn] = {}  # by cell text
    bare: list[str] = []  # cells that are only a colour
    unnamed: list[str] = []  # cells that are only a name
    for line, row in enumerate(cells, 1):
        for column, cell in enumerate(row, 1):
            if not cell or cell in found or cell in bare or cell in unnamed:
                continue
            try:
                if cell.startswith("#"):
                    color = parse_color(cell)
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
            f"{place} gives no colour for {', '.join(stand_ins.guessed)}: stand-in colours are "
            "used; name the yarns' colours with --shelf FILE"
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


def _read_cells(text: str, place: str) -> list[list[str]]:
    delimiter = next((d for d in ",;\t" if d in text), ",")
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise BadInput(f"{place}: no CSV grid: {error}") from None
    while rows and not rows[-1]:
        rows.pop()
    if not rows:
        raise BadInput(f"{place} is empty: write a line a chart line, a yarn's name a block")
    cells = [[" ".join(cell.split()) for cell in row] or [""] for row in rows]
    width = len(cells[0])
    for number, row in enumerate(cells, 1):
        if len(row) != width:
            raise BadInput(
                f"{place}, line {number}: {len(row)} cells, line 1 has {width}: "
                "give every line as many"
            )
    if max(width, len(cells)) > MOST_BLOCKS_A_SIDE:
        raise BadInput(
            f"{place}: {width} x {len(cells)} blocks: a side has at most {MOST_BLOCKS_A_SIDE}"
        )
    return cells


def _name_bare(cells: list[str], taken: list[str]) -> dict[str, Yarn]:
    colors = [parse_color(cell) for cell in cells]
    unique = list(dict.fromkeys(colors))
    if not unique:
        return {}
    keys = {name_key(name) for name in taken}
    named = {}
    for color, name in zip(unique, name_colors(rgb_array(unique)), strict=True):
        free = name if name_key(name) not in keys else f"{name} {color[1:]}"
        named[color] = Yarn(free, color)
    return {cell: named[color] for cell, color in zip(cells, colors, strict=True)}


@dataclass(frozen=True)
class _StandIns:
    yarns: dict[str, Yarn]
    guessed: list[str]


def _color_unnamed(cells: list[str]) -> _StandIns:
    """A yarn for each name without a colour; names that differ only in spaces or case are one."""
    yarns: dict[str, Yarn] = {}
    by_key: dict[str, Yarn] = {}
    guessed: list[str] = []
    spare = [PLAIN_NAMES[word] for word in _STAND_INS]
    for cell in cells:
        name = clean_name(cell)
        if name_key(name) not in by_key:
            try:
                color = parse_color(name)
            except BadInput:
                color = spare[len(guessed) % len(spare)]
                guessed.append(name)
            by_key[name_key(name)] = Yarn(name, color)
        yarns[cell] = by_key[name_key(name)]
    return _StandIns(yarns, guessed)
