"""A TOML file whose keys and values know where they stand: its reader tells no lines.

A small scan, for messages only; what a file means is left to the reader of the standard library.
Dotted keys and inline tables are passed over: what stands in them is then told without its line.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.nouns import shown
from pix2block.ground.quantities import parse_number
from pix2block.ground.toml import NotToml, read_toml
from pix2block.stripes.plan import FilePlace

KeyPath = tuple[str | int, ...]

_TOKEN = re.compile(
    r"""(?P<skip>[ \t\r]+|\#[^\n]*)
    |(?P<line>\n)
    |(?P<text>'{3}[\s\S]*?'{3}|"{3}[\s\S]*?"{3}|"(?:\\.|[^"\\\n])*"|'[^'\n]*')
    |(?P<open>[\[{])|(?P<close>[\]}])
    |(?P<bare>[A-Za-z0-9_+.:-]+)
    |(?P<other>.)""",
    re.X,
)
_HEADER = re.compile(r"[ \t]*(\[\[?)[ \t]*([A-Za-z0-9_-]+)[ \t]*\]\]?")


def find_places(text: str) -> dict[KeyPath, tuple[int, int]]:
    """Line and column, from 1, of every table, key and value.

    ("width",) is a key, ("part", 1) the header of the second table of that name, ("part", 1,
    "order") a key in it, and with "value" or a number behind it that key's value, or the text or
    bare word of that number in it.
    """
    places: dict[KeyPath, tuple[int, int]] = {}
    starts = [0, *(found.end() for found in re.finditer("\n", text))]
    counts: dict[str, int] = {}
    table: KeyPath = ()
    key: KeyPath | None = None
    depth = values = at = 0
    fresh = True  # at the begin of a line, outside any value
    while at < len(text):
        if fresh and depth == 0 and (header := _HEADER.match(text, at)):
            table = (header[2],)
            if header[1] == "[[":
                table = (header[2], counts.get(header[2], 0))
                counts[header[2]] = counts.get(header[2], 0) + 1
            places[table] = _line_and_column(starts, header.start(1))
            key, at, fresh = None, header.end(), False
            continue
        token = _TOKEN.match(text, at)
        assert token is not None  # the last choice takes any character
        kind, where = token.lastgroup, _line_and_column(starts, at)
        if kind == "line":
            fresh = depth == 0
        elif kind in ("bare", "text"):
            if fresh:
                key, values, fresh = (*table, token[0].strip("\"'")), 0, False
                places[key] = where
            elif key is not None:
                places.setdefault((*key, "value"), where)
                places[(*key, values)] = where
                values += 1
        elif kind == "open":
            if key is not None:
                places.setdefault((*key, "value"), where)
            depth += 1
        elif kind == "close":
            depth = max(0, depth - 1)
        at = token.end()
    return places


def _line_and_column(starts: Sequence[int], at: int) -> tuple[int, int]:
    line = bisect_right(starts, at)
    return line, at - starts[line - 1] + 1


class TomlFile:
    """The data in a TOML file, and where each of it stands. Each value that does not fit is refused
    at its place.

    Raises BadInput for a text that is no TOML.
    """

    def __init__(self, text: str, file: str) -> None:
        self.file = file
        try:
            self.data: Mapping[str, Any] = read_toml(text.replace("\r\n", "\n"))
        except NotToml as error:
            place = FilePlace(file, error.line or 0, error.column or 0)
            raise place.refuse(f"no TOML: {error.why}") from None
        self.places = find_places(text)

    def place(self, *key: str | int) -> FilePlace:
        """Where a key stands, or what it is in."""
        at: KeyPath = key
        while at and at not in self.places:
            at = at[:-1]
        return FilePlace(self.file, *self.places[at]) if at else FilePlace(self.file)

    def value(self, at: KeyPath) -> Any:
        found: Any = self.data
        for step in at:
            found = found[step]
        return found

    def whole(self, at: KeyPath, low: int, high: int, value: Any = None) -> int:
        value = self.value(at) if value is None else value
        if type(value) is not int or not low <= value <= high:
            name = next(word for word in reversed(at) if isinstance(word, str))
            raise self.place(*at, *(() if isinstance(at[-1], int) else ("value",))).refuse(
                f"{name} {shown(value)}: write a whole number from {low} to {high}"
            )
        return value

    def number(self, at: KeyPath, low: float, high: float) -> float:
        value = self.value(at)
        if isinstance(value, str):  # "0,5": TOML itself has no decimal comma
            try:
                value = parse_number(value)
            except BadInput as error:
                raise self.place(*at, "value").refuse(f"{at[-1]} {error}") from None
        if type(value) not in (int, float) or not low <= value <= high:
            raise self.place(*at, "value").refuse(
                f"{at[-1]} {shown(value)}: write a number from {low:g} to {high:g}"
            )
        return float(value)

    def text(self, at: KeyPath) -> str:
        value = self.value(at)
        if not isinstance(value, str) or not value.strip():
            raise self.place(*at, "value").refuse(f"write {at[-1]} as a text, in quotes")
        return value

    def choice(self, key: str, words: Sequence[Any], default: Any) -> Any:
        value = self.data.get(key, default)
        if value not in words:
            raise self.place(key, "value").refuse(unknown(key, str(value), words))
        return value

    def check_keys(self, table: Mapping[str, Any], known: Collection[str], at: KeyPath) -> None:
        for key in table:
            if key not in known:
                raise self.place(*at, key).refuse(unknown("key", key, known))
