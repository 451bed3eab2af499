"""How rows begin and end, said once for each stretch of rows that do alike."""

from __future__ import annotations

from collections.abc import Sequence

from pix2block.ground.frozen import dataclass
from pix2block.pattern.pattern import PatternRow

_LEAST = 3  # rows that are worth a band; fewer say it themselves
_BEGINS = {
    "corner": "the corner block (Corner)",
    "grow": "add a block at the start (Grow)",
    "travel": "climb the edge (Travel)",
}
_ENDS = {
    "full": "the last block fills the last space (Full)",
    "stop": "end at the marker and take it out (Stop)",
}
_MARKER = "put a marker in block 1"
_Shape = tuple[str, str, bool]


@dataclass(frozen=True)
class Band:
    """A stretch of rows and what is said of it, a sentence or one for odd and one for even rows.
    first, last: rows, both included; words: empty where its row is an exception that says so."""

    first: int
    last: int
    words: tuple[str, ...]

    @property
    def text(self) -> str:
        """ "Rows 61 to 75: climb the edge (Travel); …" """
        return f"Rows {self.first} to {self.last}: {' '.join(self.words)}"


def bands_of(rows: Sequence[PatternRow]) -> list[Band]:
    """The stretches of a piece, in order. Inside one all rows begin and end alike, or all odd and
    all even ones do."""
    shapes = [_shape(row) for row in rows]
    bands, start = [], 0
    while start < len(rows):
        alike = _alike(shapes, start, 1)
        end = start + max(alike, _alike(shapes, start, 2))
        # Two that differ, before others that do alike, are exceptions, not a stretch of two.
        end = start + 1 if end - start < _LEAST else end
        words = _band_words(rows[start], rows[start + 1]) if end - start >= _LEAST else ()
        bands.append(Band(rows[start].row.number, rows[end - 1].row.number, words))
        start = end
    return bands


def ends_in_plain_words(row: PatternRow) -> str:
    """How one row begins and ends, for an exception."""
    return _sentence(_shape(row))


def _shape(row: PatternRow) -> _Shape:
    return row.row.begins, row.row.ends, row.row.marker


def _alike(shapes: Sequence[_Shape], start: int, period: int) -> int:
    """How many from a place on repeat with a period; of a period of two, at least twice."""
    end = start + period
    while end < len(shapes) and shapes[end] == shapes[end - period]:
        end += 1
    count = min(end, len(shapes)) - start
    return count if period == 1 or count >= 2 * period else 1


def _band_words(one: PatternRow, other: PatternRow) -> tuple[str, ...]:
    if _shape(one) == _shape(other):
        return (_sentence(_shape(one)),)
    odd, even = (one, other) if one.row.number % 2 else (other, one)
    return f"odd rows: {_sentence(_shape(odd))}", f"Even rows: {_sentence(_shape(even))}"


def _sentence(shape: _Shape) -> str:
    begins, ends, marker = shape
    parts = [_BEGINS[begins], *([_MARKER] if marker else []), _ENDS[ends]]
    return f"{'; '.join(parts)}."
