"""A chart drawn in a spreadsheet: a line a chart line, a cell a block."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.chart.drawn import Cell, Drawn, drawn_csv
from pix2block.color.names import PLAIN_NAMES
from pix2block.color.yarn_color import parse_yarn_color
from pix2block.craft.diagonal import Layout
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput, nearest, refuse, unknown
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import (
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
    """The grid in a text: yarn names or "#rrggbb", from the top, an empty cell where no block is.

    Raises BadInput with line and column for what does not fit.
    """
    return grid_of(drawn_csv(text, place), shelf)


def grid_of(
    drawn: Drawn,
    shelf: tuple[Yarn, ...] = (),
    open_to_more: bool = False,
    beside: Chart | None = None,
) -> Grid:
    """The yarns and blocks of cells.

    A first line that counts the columns over a first column that counts the lines, the cell where
    they meet empty, is left aside. Names are looked up on the shelf; without one, a name that is a
    colour's word has that colour, one with a fill that of the fill, and any other a stand-in. Yarns
    come in the shelf's order, else by blocks falling. open_to_more: yarns of a colour's word, or of
    a name and a fill, may come to those of the shelf, whose colours win over a fill; without
    `beside` also a name alone that is not nearly one of theirs. beside: the chart that the cells
    are of: where a cell's name and fill disagree, the one that differs from it counts.

    Raises BadInput with the cell for what does not fit.
    """
    known = {name_key(yarn.name): yarn for yarn in shelf}
    if beside is not None and beside.blocks.shape == (len(drawn.cells), len(drawn.cells[0])):
        drawn = _agreed(drawn, known, beside)
    by_color = {yarn.color: yarn for yarn in reversed(shelf)}
    found: dict[str, Yarn] = {}  # by cell text
    bare: list[str] = []  # cells that are only a colour
    unnamed: list[str] = []  # cells that are only a name
    _refuse_header(drawn, known)
    fills = _fills_of_names(drawn, known, open_to_more)
    for line, row in enumerate(drawn.cells):
        for column, cell in enumerate(row):
            text = cell.words or cell.fill or ""
            if not text or text in found or text in bare or text in unnamed:
                continue
            try:
                key = name_key(clean_name(text)) if not text.startswith("#") else ""
                if not key:
                    color = parse_yarn_color(text)
                    if color in by_color:
                        found[text] = by_color[color]
                    else:
                        bare.append(text)
                elif key in known:
                    found[text] = known[key]
                elif key in fills:
                    found[text] = Yarn(fills[key][0], fills[key][1])
                elif shelf and not (open_to_more and _may_come(text, shelf, beside)):
                    raise BadInput(unknown("yarn", text, [yarn.name for yarn in shelf]))
                else:
                    unnamed.append(text)
            except BadInput as error:
                raise drawn.fault(line, column, error) from None
    warnings = []
    named = [yarn.name for yarn in (*shelf, *found.values())]
    found |= _name_bare(bare, named + unnamed)
    stand_ins = _color_unnamed(unnamed)
    found |= stand_ins.yarns
    if stand_ins.guessed:
        warnings.append(
            Advice(
                f"{drawn.place} gives no colour for {', '.join(stand_ins.guessed)}: stand-in "
                "colours are used; name the yarns' colours with ",
                Ask("shelf", "FILE"),
            )
        )
    cells = [[cell.words or cell.fill or "" for cell in row] for row in drawn.cells]
    counts = Counter(found[cell] for row in cells for cell in row if cell)
    if not counts:
        raise BadInput(
            f"{drawn.place}: every cell is empty: write a yarn's name or #rrggbb a block"
        )
    if len(counts) > MOST_YARNS:
        raise BadInput(f"{drawn.place}: {len(counts)} yarns: use at most {MOST_YARNS}")
    on_shelf = [yarn for yarn in shelf if yarn in counts]
    others = sorted((y for y in counts if y not in on_shelf), key=lambda y: -counts[y])
    yarns = tuple(on_shelf + others)
    number = {cell: yarns.index(yarn) for cell, yarn in found.items()}
    blocks = np.array([[number[c] if c else NO_BLOCK for c in row] for row in cells])
    return Grid(blocks.astype(np.int64), yarns, tuple(warnings))


_A_SLIP = 0.8  # likeness from which a name is taken for another one misspelt


def _may_come(name: str, shelf: Sequence[Yarn], beside: Chart | None) -> bool:
    """Whether a name that the shelf lacks may be a yarn beside it."""
    if _color_of(clean_name(name)):
        return True
    return beside is None and nearest(name, [yarn.name for yarn in shelf], _A_SLIP) is None


def _agreed(drawn: Drawn, known: Mapping[str, Yarn], beside: Chart) -> Drawn:
    """The cells with a name or a fill each, that which tells what a hand changed; with both where
    they tell a new yarn.

    Raises BadInput with every cell of which both were changed and tell different yarns.
    """
    faults = []
    names = [*(yarn.name for yarn in beside.yarns), ""]
    colors = [*(yarn.color for yarn in beside.yarns), None]

    def agreed(line: int, column: int, cell: Cell, own: int) -> Cell:
        if not cell.fill:
            return cell
        if not cell.words:
            return Cell(names[own]) if cell.fill == colors[own] else cell
        key = "" if cell.words.startswith("#") else name_key(clean_name(cell.words))
        says = known[key].color if key in known else _color_of(cell.words) if not key else None
        same_name = key == name_key(names[own]) if key else says == colors[own]
        if cell.fill in (says, colors[own]):
            return Cell(cell.words)
        if same_name:
            return Cell("", cell.fill)
        if says is None:
            return cell
        faults.append(
            drawn.fault(
                line,
                column,
                f'its name, "{cell.words}", and its fill, {cell.fill}, were both changed: let them '
                "agree, or clear one of them",
            )
        )
        return cell

    cells = tuple(
        tuple(agreed(i, j, cell, own) for j, (cell, own) in enumerate(zip(*both, strict=True)))
        for i, both in enumerate(zip(drawn.cells, beside.blocks.tolist(), strict=True))
    )
    refuse(faults)
    return replace(drawn, cells=cells)


def _fills_of_names(
    drawn: Drawn, known: Mapping[str, Yarn], chart_wins: bool
) -> dict[str, tuple[str, str]]:
    """Names that have a fill: by their keys, each as first written, with its colour.

    Raises BadInput for a name of two fills, and for a fill of another colour than is written in its
    cell, or than its yarn has.
    """
    fills: dict[str, tuple[str, str]] = {}
    for line, row in enumerate(drawn.cells):
        for column, cell in enumerate(row):
            if not (cell.words and cell.fill):
                continue
            if cell.words.startswith("#"):
                color: str | None = _color_of(cell.words)
                key = ""
            else:
                name = clean_name(cell.words)
                key = name_key(name)
                color = (
                    known[key].color
                    if key in known
                    else fills.setdefault(key, (name, cell.fill))[1]
                )
            if color and color != cell.fill and not (chart_wins and key in known):
                raise drawn.fault(
                    line,
                    column,
                    f'"{cell.words}" is {color}, its fill {cell.fill}: let name and fill agree, '
                    "or clear one of them",
                )
    return fills


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


def _refuse_header(drawn: Drawn, known: Mapping[str, Yarn]) -> None:
    """Raises BadInput for a shelf's first line, and for one of words that are no yarns: all
    different, none on the shelf, none a colour, none in a line below."""
    head = [cell.words for cell in drawn.cells[0]]
    if is_shelf_header(head):
        raise BadInput(f"{drawn.place}: a table of yarns, no grid: give it as the shelf of one")
    words = [word for word in head if word]
    keys = {name_key(word) for word in words}
    below = {name_key(cell.words) for row in drawn.cells[1:] for cell in row}
    few = len(words) < 4 or len(words) * (len(drawn.cells) - 1) < _CELLS_BELOW_A_HEADER
    if few or len(keys) < len(words) or keys & (below | known.keys()):
        return
    if any(_color_of(word) for word in words) or any(cell.fill for cell in drawn.cells[0]):
        return
    raise BadInput(
        f"{drawn.place}, {drawn.where(0, 0).partition(', ')[0]}: {', '.join(words[:4])} … are "
        "names of columns, not of yarns, so this is a table and no grid: give a chart.json, or "
        "take the line out if a grid begins below it"
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
