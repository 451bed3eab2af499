"""The columns of a shelf: what a header may call them, and how their cells are read.

A maker's table names things her way: "colour", "balls", "yards a skein", "price (£)"; "295m", "DK",
"1 and a half". Where two columns hold one thing, the first that is filled in is taken.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from pix2block.color.yarn_color import parse_colors
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.nouns import Range, members_of, range_of
from pix2block.ground.quantities import parse_count, parse_number
from pix2block.ground.units import CM_PER_YARD, GRAMS_PER_OUNCE
from pix2block.yarn.weights import class_called
from pix2block.yarn.yarn import Yarn, clean_name, clean_words

_UNITS: dict[str, dict[str, float]] = {
    "metres": {
        **dict.fromkeys(("m", "metre", "metres", "meter", "meters", "mtr", "mtrs"), 1.0),
        **dict.fromkeys(("yd", "yds", "yard", "yards"), CM_PER_YARD / 100),
    },
    "grams": {
        **dict.fromkeys(("g", "gr", "gm", "gms", "gram", "grams", "gramme", "grammes"), 1.0),
        **dict.fromkeys(("oz", "ounce", "ounces"), GRAMS_PER_OUNCE),
        "kg": 1000.0,
    },
    "skeins": dict.fromkeys(
        ("skein", "skeins", "ball", "balls", "hank", "hanks", "cake", "cakes", "cone", "cones"), 1.0
    ),
}

# What a header may say, beside a unit of its column; the first word is the column's own name.
_CALLED: dict[str, tuple[str, ...]] = {
    "name": ("name", "yarn", "yarn name"),
    "color": ("color", "colour", "hex", "shade", "colourway", "colorway"),
    "weight": ("weight", "yarn weight", "weight class", "class", "thickness"),
    "held": ("held", "strands", "strands held"),
    "fibre": ("fibre", "fiber", "fibres", "fibers", "material", "composition", "content"),
    "grams": ("grams", "skein weight", "ball weight"),
    "metres": ("metres", "length", "yardage", "meterage", "metreage"),
    "skeins": ("skeins", "on hand", "quantity", "qty", "stash"),
    "lot": ("lot", "lots", "dye lot", "dye lots", "dyelot", "batch"),
    "price": ("price", "cost"),
    "note": ("note", "notes", "comment", "comments", "remark", "remarks", "brand", "maker", "line"),
}
_JOINED = "note"  # what several columns say of it stands together
_IN_YARDS = ("yardage",)
_A_SKEIN = re.compile(r"\b(?:per|a|each|of a|in a)\s*(?:skein|ball|hank)?$|\beach$")


@dataclass(frozen=True)
class Column:
    """A column that is used. field: of a yarn; header: as written; at: its place, from 0; unit:
    what a number of it is in the field's own unit, where a cell does not say."""

    field: str
    header: str
    at: int
    unit: float = 1.0


@dataclass(frozen=True)
class ShelfCell:
    """What a line says of a field. points_group: whether a point may part thousands, as where
    semicolons part the cells."""

    text: str
    column: Column
    points_group: bool = False

    def read(self) -> Any:
        """Its value. Raises BadInput saying what to write instead."""
        return _READERS[self.column.field](self)

    def number(self, text: str) -> float:
        """A number in it. Raises BadInput where it is none."""
        if re.fullmatch(r"[-−]\s*[\d.,]+", text):
            raise self.refusal()
        return parse_number(text, self.points_group)

    def refusal(self) -> BadInput:
        """The error of a number that the field does not take."""
        return BadInput(f'"{self.text}": write {_RANGES[self.column.field]}')

    def within(self, value: float) -> float:
        """A value that the field takes. Raises BadInput for others."""
        if value not in _RANGES[self.column.field]:
            raise self.refusal()
        return value


@dataclass(frozen=True)
class Header:
    """A table's first line. columns: those that are used, a yarn's own names for them first;
    unused: what is said of each of the others, by its place."""

    columns: tuple[Column, ...]
    unused: Mapping[int, str]

    def named(self, field: str) -> bool:
        """Whether a column holds a field."""
        return any(column.field == field for column in self.columns)

    def cells_of(self, row: Sequence[str], points_group: bool = False) -> dict[str, ShelfCell]:
        """What a line says, by field."""
        said: dict[str, ShelfCell] = {}
        for column in self.columns:
            text = row[column.at].strip() if column.at < len(row) else ""
            before = said.get(column.field)
            if before is None or not before.text:
                said[column.field] = ShelfCell(text, column, points_group)
            elif column.field == _JOINED and text:
                said[column.field] = replace(before, text=f"{before.text}; {text}")
        return said


def read_header(cells: Sequence[str]) -> Header:
    """What the columns of a first line hold.

    Raises BadInput where two have the same name.
    """
    columns, unused, seen = [], {}, dict[str, str]()
    for at, cell in enumerate(cells):
        said = _plain(cell)
        if not said:
            unused[at] = f"column {at + 1}, which has no heading"
            continue
        field, unit = _field(said)
        if field is None:
            like = _looks_like(said)
            hint = f" (looks like {like}: rename it)" if like else ""
            unused[at] = f'"{cell.strip()}"{hint}'
            continue
        if said in seen:
            raise BadInput(f"two columns are named {seen[said]}: rename one of them")
        seen[said] = " ".join(cell.split()).casefold()
        columns.append(Column(field, cell.strip(), at, unit))
    columns.sort(key=lambda column: _plain(column.header) != column.field)
    return Header(tuple(columns), unused)


_LONGEST = 200  # characters of a heading


def _plain(header: str) -> str:
    return " ".join(re.sub(r"[\s_/-]+", " ", header.casefold()).split()).strip(" .:*")


def _field(said: str) -> tuple[str | None, float]:
    """The field of a plain header, and its unit."""
    if len(said) > _LONGEST:  # of no field; and brackets are sought anew from each of them
        return None, 1.0
    bare = re.sub(r"[(\[].*?[)\]]", " ", said)
    unit = "".join(re.findall(r"[(\[](.*?)[)\]]", said)).strip()
    if found := re.fullmatch(r"(.+) in (\w+)", " ".join(bare.split())):
        bare, unit = found[1], found[2]
    bare = _A_SKEIN.sub("", " ".join(bare.split())).strip()
    for field, units in _UNITS.items():
        if bare in units:
            return field, units[bare]
    for field, called in _CALLED.items():
        if bare in called:
            usual = _UNITS["metres"]["yd"] if bare in _IN_YARDS else 1.0
            return field, _UNITS.get(field, {}).get(unit, usual)
    return None, 1.0


def _looks_like(said: str) -> str | None:
    words = said.split()
    for field, called in _CALLED.items():
        if field != _JOINED and {*called, *_UNITS.get(field, ())} & set(words):
            return field
    return None


def currencies(cells: Iterable[str]) -> tuple[str, ...]:
    """The signs of money in cells, each once."""
    found = (_MONEY.fullmatch(cell.strip()) for cell in cells)
    return tuple(dict.fromkeys(sign for m in found if m and (sign := m[1] or m[3])))


_MONEY = re.compile(r"([^\d\s.,+-]{0,4})\s*(-?\d[\d.,]*)\s*([^\d\s.,+-]{0,4})")


def _price(cell: ShelfCell) -> float:
    found = _MONEY.fullmatch(cell.text)
    if not found or (found[1] and found[3]):
        raise BadInput(f'"{cell.text}": write a price as 6.50 or £6.50')
    return cell.within(cell.number(found[2]))


def _measured(cell: ShelfCell) -> float:
    units = _UNITS[cell.column.field]
    found = re.fullmatch(r"(.*\d)\s*([^\W\d_]+)\.?", cell.text.casefold())
    if found and found[2] in units:
        return cell.within(cell.number(found[1]) * units[found[2]])
    return cell.within(cell.number(cell.text) * cell.column.unit)


def _counted(cell: ShelfCell) -> float:
    words = cell.text.casefold().split()
    if len(words) > 1 and words[-1] in _UNITS["skeins"]:
        words.pop()
    if len(words) == 1 and words[0][:1] in "-−":
        raise cell.refusal()
    return cell.within(parse_count(" ".join(words), cell.points_group))


def _weight(cell: ShelfCell) -> int:
    number = class_called(cell.text)
    if number is None:
        weighed = re.search(r"\d\s*(g|oz)", cell.text.casefold())
        hint = "; grams stand in a column grams" if weighed else ""
        raise BadInput(
            f'"{cell.text}": write a weight class from 0 to 7, or its name, as DK or worsted{hint}'
        )
    return number


_HELD = {"1": 1, "single": 1, "one": 1, "2": 2, "double": 2, "doubled": 2, "two": 2}


def _held(cell: ShelfCell) -> int:
    word = cell.text.casefold().removeprefix("held ").removesuffix(" strands").strip()
    if word not in _HELD:
        raise BadInput(f'"{cell.text}": write 1, or 2 for yarn held double')
    return _HELD[word]


def _text(cell: ShelfCell) -> str:
    return clean_words(cell.text)


_RANGES: dict[str, Range] = {m.name: range_of(m.kind) for m in members_of(Yarn).values()}

_READERS: dict[str, Callable[[ShelfCell], Any]] = {
    "name": lambda cell: clean_name(cell.text),
    "color": lambda cell: parse_colors(cell.text),
    "weight": _weight,
    "held": _held,
    "fibre": _text,
    "grams": _measured,
    "metres": _measured,
    "skeins": _counted,
    "lot": _text,
    "price": _price,
    "note": _text,
}
FIELDS = tuple(_READERS)
