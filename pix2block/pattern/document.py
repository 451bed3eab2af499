"""The written pattern as a document: what stands in it and in which order, in no format yet.

Text, web page and PDF are written from it. Pictures are only named here, with the words that stand
for them; the pages draw them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import field

from pix2block.ground.frozen import dataclass
from pix2block.pattern.pattern import PatternRow


@dataclass(frozen=True)
class Paragraph:
    """Running text."""

    text: str


@dataclass(frozen=True)
class Bullets:
    """A list of short texts."""

    texts: tuple[str, ...]


@dataclass(frozen=True)
class YarnLine:
    """A yarn of the materials. number: in the chart."""

    number: int
    name: str
    color: str
    figures: str


@dataclass(frozen=True)
class YarnLines:
    """Yarns with a swatch of their colour and their mark; `text` where only words are at hand."""

    lines: tuple[YarnLine, ...]


@dataclass(frozen=True)
class MarksKey:
    """A key to the marks on charts and rows; where only words are at hand there is none."""

    yarns: YarnLines
    texts: tuple[str, ...]


@dataclass(frozen=True)
class Lengths:
    """What to wind: short entries that stand side by side where there is room."""

    heading: str
    entries: tuple[str, ...]


@dataclass(frozen=True)
class Topic:
    """A thing explained, with a heading of its own. picture: the name of a drawing beside it;
    more: what is left to say beside that, whose steps tell the rest; None where all texts are."""

    heading: str
    texts: tuple[str, ...]
    picture: str | None = None
    more: tuple[str, ...] | None = None

    @property
    def beside(self) -> tuple[str, ...]:
        """The texts beside the drawing."""
        return self.texts if self.more is None else self.more


@dataclass(frozen=True)
class Definitions:
    """Words defined once, a name and its text; a line each, never broken in a text."""

    entries: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class InFull:
    """One row in full stitches."""

    heading: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class RowEntry:
    """The lines of one row, or of gathered rows; those below the first are indented in a text."""

    rows: tuple[PatternRow, ...]
    first_line: str
    more_lines: tuple[str, ...]

    @property
    def head(self) -> str:
        """The first line up to its runs."""
        return self.first_line.partition(": ")[0] + ":"

    @property
    def runs(self) -> str:
        """The runs of the first line."""
        return self.first_line.partition(": ")[2]


@dataclass(frozen=True)
class RowEntries:
    """Every row. piece: the head line; winding: metres of the bobbins that start, by row and place
    in it from 0."""

    piece: str
    entries: tuple[RowEntry, ...]
    winding: Mapping[tuple[int, int], float] = field(default_factory=dict)


@dataclass(frozen=True)
class Pictures:
    """A place where pages draw the chart: "whole", "held" or "bands"; a text has
    none. note: how to read it."""

    what: str
    note: str


Passage = (
    Paragraph
    | Bullets
    | YarnLines
    | MarksKey
    | Lengths
    | Topic
    | Definitions
    | InFull
    | RowEntries
    | Pictures
)


@dataclass(frozen=True)
class Section:
    """A heading and what stands under it. key: a short name for links."""

    key: str
    heading: str
    parts: tuple[Passage, ...]


@dataclass(frozen=True)
class Document:
    """The whole pattern. description: what it is, in a line; by: lines under the title; sections:
    in order, those of the front page first; front: how many of them stand there."""

    title: str
    description: str
    authors: tuple[str, ...]
    by: tuple[str, ...]
    sections: tuple[Section, ...]
    front: int

    def __repr__(self) -> str:
        return f"Document({self.title!r}, {len(self.sections)} sections)"

    def row_entries(self) -> Iterator[RowEntry]:
        """Every row, or group of rows, in working order."""
        for section in self.sections:
            for part in section.parts:
                if isinstance(part, RowEntries):
                    yield from part.entries
