"""Tables as spreadsheet programs write them: comma, semicolon or tab; UTF-8 or Windows-1252.

The only reader and writer of such text: a shelf and a grid differ in what their cells mean, not in
how they are parted.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Sequence

from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass

# In the order they are tried: a comma may stand in a name or a number that nobody quoted.
_SEPARATORS = {"\t": "tab", ";": "semicolon", ",": "comma"}
_SAID = re.compile(r"\s*sep=([,;\t])[ \t]*\r?\n", re.I)
_BEGIN_FORMULAS = ("=", "+", "-", "@", "\t", "\r")
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")
_QUOTED = re.compile(r'"(?:[^"]|"")*"')


@dataclass(frozen=True)
class Cells:
    """Lines, each with its number from 1 as an editor counts; separator: what parts the cells, in
    words."""

    lines: tuple[tuple[int, list[str]], ...]
    separator: str

    @property
    def written(self) -> tuple[tuple[int, list[str]], ...]:
        """The lines that hold something."""
        return tuple(line for line in self.lines if any(cell.strip() for cell in line[1]))


def table(header: Sequence[str], lines: Iterable[Sequence[object]]) -> str:
    """A table by RFC 4180. A text that a spreadsheet program would take for a formula gets an
    apostrophe before it (common practice; the first characters are those of the OWASP note on
    formula injection)."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([_no_formula(cell) for cell in header])
    writer.writerows([_no_formula(cell) for cell in line] for line in lines)
    return out.getvalue()


def _no_formula(cell: object) -> object:
    formula = isinstance(cell, str) and cell[:1] in _BEGIN_FORMULAS and not _NUMBER.fullmatch(cell)
    return f"'{cell}" if formula else cell


def decode_text(data: bytes, place: str) -> str:
    """Text in UTF-8, with or without a byte order mark, or else in Windows-1252.

    Raises BadInput for bytes that are neither.
    """
    if b"\0" in data:
        raise BadInput(f"{place}: no text file: save it as CSV in UTF-8")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        pass
    try:
        return data.decode("cp1252")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise BadInput(
            f"{place}, line {line}: neither UTF-8 nor Windows-1252 text: save it as UTF-8"
        ) from None


def read_cells(
    text: str, place: str, is_header: Callable[[list[str]], bool] | None = None
) -> Cells:
    """The cells of a comma-, semicolon- or tab-separated text.

    What parts them: what a first line `sep=;` says; else what makes a header of the first line
    that is written; else what parts all lines into equally many cells; else what is commonest in
    the first line. Quoted cells count for none of these. A line end at the end begins no line.

    Raises BadInput where quotes do not close.
    """
    said = _SAID.match(text)
    separator = said[1] if said else _separator(text, is_header)
    lines = _numbered(text, separator, place)
    return Cells(tuple(lines[1:] if said else lines), _SEPARATORS[separator])


def _separator(text: str, is_header: Callable[[list[str]], bool] | None) -> str:
    head = next((line for line in text.splitlines() if line.strip(",;\t ")), "")
    for separator in _SEPARATORS:
        if is_header and is_header([cell.strip().strip('"') for cell in head.split(separator)]):
            return separator
    lines = [line for line in _QUOTED.sub("", text).splitlines() if line]
    for separator in _SEPARATORS:
        counts = {line.count(separator) for line in lines}
        if len(counts) == 1 and counts != {0}:
            return separator
    first = _QUOTED.sub("", head)
    return max(reversed(_SEPARATORS), key=first.count)


def _numbered(text: str, separator: str, place: str) -> list[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    numbered = []
    start = 1
    try:
        for row in reader:
            numbered.append((start, row))
            start = reader.line_num + 1
    except csv.Error as error:
        raise BadInput(
            f"{place}, line {start}: no {_SEPARATORS[separator]}-separated cells: {error}: mend "
            "its quotes"
        ) from None
    return numbered
