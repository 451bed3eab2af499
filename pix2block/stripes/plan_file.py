"""Reading a stripe plan: TOML in, a plan out, or what is wrong, with line and column."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pix2block.ground.errors import BadInput, refuse, unknown
from pix2block.ground.nouns import shown
from pix2block.ground.quantities import parse_cm
from pix2block.ground.settings import MOST_BLOCKS_A_SIDE, MOST_ROWS
from pix2block.stripes.plan import Lasts, Length, Part, Plan, Shape
from pix2block.stripes.toml_file import KeyPath, TomlFile
from pix2block.yarn.columns import FIELDS, Column, ShelfCell
from pix2block.yarn.shelf import NEEDED, Shelf, yarn_of
from pix2block.yarn.yarn import Yarn, amended_line, name_key, refuse_twins

SHAPES: tuple[Shape, ...] = ("rectangle", "triangle")
FULL_LENGTH = "as far as the yarn goes"
THE_OTHERS = "the others"
A_YARN = "a yarn"
MOST_METRES = 100_000.0
MOST_LENGTH_CM = 10_000.0
MOST_SEED = 2**31 - 1
MOST_PARTS = 200

_PLAN_KEYS = (
    "title",
    "shape",
    "width",
    "length",
    "rows",
    "wingspan",
    "shelf",
    "buy",
    "yarn",
    "part",
)
_PART_KEYS = ("order", "gradient", "rows", "grow", "metres", "random", "lasts")
_LASTS = (
    'write "24 rows", "3 repeats", "until a yarn runs out", "until NAME runs out" or "to the end"'
)


def read_plan(
    text: str, file: str, open_shelf: Callable[[str], Shelf], own_shelf: Shelf | None = None
) -> Plan:
    """The plan in a text; `file` names it in messages.

    open_shelf: the shelf of the name that the plan gives; own_shelf: one to use in its place.

    Raises BadInput with line and column for what cannot be read.
    """
    return _Reader(text, file).plan(open_shelf, own_shelf)


class _Reader(TomlFile):
    """A stripe plan's data, read key by key."""

    yarns: tuple[Yarn, ...] = ()

    def plan(self, open_shelf: Callable[[str], Shelf], own_shelf: Shelf | None) -> Plan:
        self.check_keys(self.data, _PLAN_KEYS, ())
        notes = self.read_yarns(open_shelf, own_shelf)
        shape = self.choice("shape", SHAPES, "rectangle")
        last_row = self.rows_of_piece()
        width = self.whole(("width",), 1, MOST_BLOCKS_A_SIDE) if "width" in self.data else None
        length, at = self.length_of_piece(), self.place("length")
        if shape == "triangle":
            for key in ("width", "length"):
                if key in self.data:
                    raise self.place(key).refuse(
                        f"a triangle has no {key}: leave it out, and say rows = 40, or "
                        'wingspan = "170 cm"'
                    )
            length = self.wingspan() or last_row
            at, last_row = self.place("wingspan" if "wingspan" in self.data else "rows"), None
        elif "wingspan" in self.data:
            raise self.place("wingspan").refuse(
                'a rectangle has no wingspan: leave it out, or say shape = "triangle"'
            )
        elif width is None:
            raise self.place().refuse("no width: add a line as width = 40, in blocks")
        parts = self.parts()
        return Plan(
            file=self.file,
            title=self.text(("title",)) if "title" in self.data else None,
            yarns=self.yarns,
            parts=parts,
            shape=shape,
            width=width,
            length=length,
            length_place=at,
            last_row=last_row.blocks if last_row else None,
            bought=frozenset(self.bought()),
            notes=notes,
        )

    # The piece

    def rows_of_piece(self) -> Length | None:
        if "rows" not in self.data:
            return None
        if self.data["rows"] == FULL_LENGTH and self.data.get("shape") == "triangle":
            return Length()
        most = MOST_BLOCKS_A_SIDE if self.data.get("shape") == "triangle" else MOST_ROWS
        return Length(self.whole(("rows",), 1, most))

    def wingspan(self) -> Length | None:
        if "wingspan" not in self.data:
            return None
        if "rows" in self.data:
            raise self.place("wingspan").refuse(
                "wingspan sets the rows: leave wingspan or rows out"
            )
        value = self.data["wingspan"]
        if (cm := self.cm(value)) is None:
            raise self.place("wingspan", "value").refuse(
                f'wingspan {shown(value)}: write a length, as "170 cm" or "67 in"'
            )
        return Length(cm=cm)

    def cm(self, value: Any) -> float | None:
        """A length that a piece can have, None where the value is none."""
        try:
            cm = parse_cm(value) if isinstance(value, str) else 0.0
        except BadInput:
            return None
        return cm if 0 < cm <= MOST_LENGTH_CM else None

    def length_of_piece(self) -> Length | None:
        if "length" not in self.data:
            return None
        value = self.data["length"]
        if isinstance(value, str):
            if " ".join(value.split()).lower() == FULL_LENGTH:
                return Length()
            if (cm := self.cm(value)) is not None:
                return Length(cm=cm)
            raise self.place("length", "value").refuse(
                f'length "{value}": write blocks, as 110, a length, as "180 cm" or "70 in", '
                f'or "{FULL_LENGTH}"'
            )
        return Length(self.whole(("length",), 1, MOST_BLOCKS_A_SIDE))

    def read_yarns(
        self, open_shelf: Callable[[str], Shelf], own_shelf: Shelf | None
    ) -> tuple[str, ...]:
        tables = self.data.get("yarn", [])
        if own_shelf is not None:
            shelf = own_shelf
        elif "shelf" in self.data:
            if tables:
                raise self.place("shelf").refuse("a shelf and yarns of its own: keep one of them")
            shelf = open_shelf(self.text(("shelf",)))
        elif tables:
            shelf = self.yarns_inside(tables)
        else:
            raise self.place().refuse(
                'no yarns: add shelf = "FILE", or a table [[yarn]] with name and color for each'
            )
        self.yarns = shelf.yarns
        return shelf.warnings

    def yarns_inside(self, tables: Any) -> Shelf:
        if not (isinstance(tables, list) and all(isinstance(t, dict) for t in tables)):
            raise self.place("yarn").refuse("write each yarn as a table of its own, [[yarn]]")
        yarns: list[Yarn] = []
        warnings: list[str] = []
        faults: list[BadInput] = []
        for number, table in enumerate(tables):
            self.check_keys(table, FIELDS, ("yarn", number))
            place = self.place("yarn", number)
            missing = [key for key in NEEDED if key not in table]
            faults += [place.refuse(f"a yarn has no {key}: add it") for key in missing]
            if missing:
                continue
            said = {
                key: ShelfCell(str(told).strip(), Column(key, key, 0))
                for key, told in table.items()
            }
            try:
                yarn = yarn_of(said)
            except BadInput as error:
                faults += [
                    self.place("yarn", number, fault.about or "name", "value").refuse(str(fault))
                    for fault in error.faults
                ]
                continue
            yarns.append(yarn)
            if amended := amended_line(str(place), said["name"].text, yarn.name):
                warnings.append(amended)
        refuse(faults)
        try:
            refuse_twins(yarn.name for yarn in yarns)
        except BadInput as error:
            raise self.place().refuse(str(error)) from None
        return Shelf(tuple(yarns), tuple(warnings))

    def bought(self) -> tuple[int, ...]:
        return self.names(("buy",), self.data["buy"], 0) if "buy" in self.data else ()

    # Its parts

    def parts(self) -> tuple[Part, ...]:
        tables = self.data.get("part", [])
        if not (isinstance(tables, list) and all(isinstance(t, dict) for t in tables)):
            raise self.place("part").refuse("write each part as a table of its own, [[part]]")
        if not tables:
            raise self.place().refuse('no part: add [[part]] and, under it, order = ["A", "B"]')
        if len(tables) > MOST_PARTS:
            raise self.place("part").refuse(f"{len(tables)} parts: keep at most {MOST_PARTS}")
        return tuple(self.part(i, table) for i, table in enumerate(tables))

    def part(self, number: int, table: Mapping[str, Any]) -> Part:
        at: KeyPath = ("part", number)
        self.check_keys(table, _PART_KEYS, at)
        if ("order" in table) == ("gradient" in table):
            raise self.place(*at).refuse(
                "a part has an order or a gradient: "
                + ("keep one of them" if "order" in table else 'add order = ["A", "B"]')
            )
        for one, other in (("metres", "rows"), ("metres", "grow"), ("gradient", "random")):
            if one in table and other in table:
                raise self.place(*at, one).refuse(f"{one} and {other} in one part: keep one")
        if "gradient" in table:
            for key in ("metres", "grow"):
                if key in table:
                    raise self.place(*at, key).refuse(f"a gradient has no {key}: leave it out")
            yarns = self.names((*at, "gradient"), table["gradient"], 2)
        elif table["order"] == THE_OTHERS:
            if number == 0:
                raise self.place(*at, "order").refuse("the first part has no part before it")
            yarns = ()
        else:
            yarns = self.names((*at, "order"), table["order"], 1)
        if "random" in table and yarns and len(set(yarns)) < 2:
            raise self.place(*at, "random").refuse(
                "a random order with no yarn twice in a row needs two yarns: add one to order"
            )
        return Part(
            yarns=yarns,
            lasts=self.lasts((*at, "lasts"), table.get("lasts", "to the end"), yarns),
            place=self.place(*at),
            lasts_place=self.place(*at, "lasts", "value"),
            widths=self.widths((*at, "rows"), table["rows"]) if "rows" in table else (1,),
            grow=self.number((*at, "grow"), -10, 10) if "grow" in table else 0.0,
            metres=self.number((*at, "metres"), 0.1, MOST_METRES) if "metres" in table else None,
            seed=self.whole((*at, "random"), 0, MOST_SEED) if "random" in table else None,
            gradient="gradient" in table,
        )

    def widths(self, at: KeyPath, value: Any) -> tuple[int, ...]:
        if not isinstance(value, list):
            return (self.whole(at, 1, MOST_ROWS),)
        if not value:
            raise self.place(*at, "value").refuse("no rows: write a number, or a list as [1, 2, 3]")
        return tuple(self.whole((*at, i), 1, MOST_ROWS, one) for i, one in enumerate(value))

    def lasts(self, at: KeyPath, value: Any, yarns: Sequence[int]) -> Lasts:
        words = " ".join(value.split()) if isinstance(value, str) else ""
        if match := re.fullmatch(r"(\d{1,6}) (rows?|repeats?)", words, re.I):
            count = int(match[1])
            if 1 <= count <= MOST_ROWS:
                return Lasts("rows" if match[2].lower().startswith("row") else "repeats", count)
        elif words.lower() == "to the end":
            return Lasts("end")
        elif match := re.fullmatch(r"until (.+) runs out", words, re.I):
            if match[1].lower() == A_YARN:
                return Lasts("out")
            (yarn,) = self.names(at, [match[1]], 0)
            if yarns and yarn not in yarns:
                raise self.place(*at, "value").refuse(
                    f"{self.yarns[yarn].name} is not in this part's order: it cannot run out there"
                )
            return Lasts("out", yarn=yarn)
        raise self.place(*at, "value").refuse(f"lasts {shown(value)}: {_LASTS}")

    def names(self, at: KeyPath, value: Any, fewest: int) -> tuple[int, ...]:
        """Numbers of the yarns that a list names."""
        if not isinstance(value, list) or len(value) < fewest:
            least = f", at least {fewest}" if fewest > 1 else ""
            raise self.place(*at, "value").refuse(
                f'write {at[-1]} as a list of yarns{least}, as ["A", "B"]'
            )
        known = {name_key(yarn.name): i for i, yarn in enumerate(self.yarns)}
        numbers = []
        for i, name in enumerate(value):
            if not isinstance(name, str) or name_key(name) not in known:
                message = unknown("yarn", str(name), [yarn.name for yarn in self.yarns])
                raise self.place(*at, i).refuse(message)
            numbers.append(known[name_key(name)])
        return tuple(numbers)
