"""A block alphabet: letters 5, 7 and 9 blocks tall, and accents over them.

They are drawn in letters/, in text; strokes keep to sides that blocks share, since a stroke that
goes from corner to corner costs a length of yarn a block.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass

Ink = NDArray[np.bool_]
HEIGHTS = (5, 7, 9)
SPACE = 3  # free columns between words; between letters one
_ABOVE = {
    "\u0301": "acute",
    "\u0300": "grave",
    "\u0302": "hat",
    "\u030c": "caron",
    "\u0308": "dots",
    "\u0303": "tilde",
    "\u030a": "ring",
}
_CEDILLA = "\u0327"
_DOTLESS = {"i": "ı"}
_ALIKE = {"’": "'", "‘": "'", "”": '"', "“": '"', "„": '"', "‑": "-", "\u00a0": " "}
_WORDS = {*_ABOVE.values(), "hat2", "dots2", "cedilla"}


@dataclass(frozen=True, eq=False)
class Glyph:
    """A letter. ink: (lines, columns) its blocks; above: lines of it over the top of a capital."""

    ink: Ink
    above: int = 0


@dataclass(frozen=True, eq=False)
class Lettered:
    """Words in blocks. ink: (lines, columns) numbers of their letters, from 0 in the order of
    `letters`, -1 where none is; above: lines over the top of a capital."""

    ink: NDArray[np.int64]
    above: int
    letters: tuple[str, ...]

    @property
    def width(self) -> int:
        """Columns."""
        return int(self.ink.shape[1])


@cache
def alphabet(height: int) -> Mapping[str, Ink]:
    """What is drawn for a height, by letter, by `A^` for a capital under an accent, and by mark."""
    folder = resources.files("pix2block.mending").joinpath("letters")
    text = folder.joinpath(f"{height}.txt").read_text(encoding="utf-8")
    told = "\n".join(line for line in text.splitlines() if not line.startswith("-- "))
    drawn: dict[str, Ink] = {}
    for block in told.split("\n\n"):
        names, *lines = [line.split() for line in block.splitlines() if line.strip()] or [[]]
        for name, *column in zip(names, *lines, strict=True):
            ink = np.array([[c == "#" for c in line] for line in column])
            last = int(np.flatnonzero(ink.any(axis=1))[-1])
            drawn[name] = ink[: last + 1]
    return drawn


def has_letter(letter: str, height: int) -> bool:
    """Whether the alphabet has a letter."""
    return letter == " " or _glyph(_ALIKE.get(letter, letter), height) is not None


@cache
def _glyph(letter: str, height: int) -> Glyph | None:
    drawn = alphabet(height)
    if letter in drawn and len(letter) == 1:
        return Glyph(drawn[letter])
    base, *marks = list(unicodedata.normalize("NFD", letter))
    if len(marks) != 1 or base not in drawn:
        return None
    if marks[0] == _CEDILLA:
        return _hung(drawn[base], drawn["cedilla"], height)
    if marks[0] not in _ABOVE:
        return None
    under = _DOTLESS.get(base, f"{base}^")
    ink = drawn.get(under, drawn[base])
    mark = _ABOVE[marks[0]]
    even = f"{mark}2" if ink.shape[1] % 2 == 0 and f"{mark}2" in drawn else mark
    return _crowned(ink, drawn[even], lean=mark == "acute")


def _crowned(ink: Ink, mark: Ink, lean: bool) -> Glyph:
    """A letter under a mark, a free line between. lean: an odd mark lies to the right."""
    top = int(np.flatnonzero(ink.any(axis=1))[0])
    above = max(0, len(mark) + 1 - top)
    wide = max(ink.shape[1], mark.shape[1])
    left, over = ((wide - part.shape[1] + (lean and part is mark)) // 2 for part in (ink, mark))
    both = np.zeros((above + len(ink), wide), dtype=bool)
    both[above:, left : left + ink.shape[1]] = ink
    end = above + top - 1
    both[end - len(mark) : end, over : over + mark.shape[1]] |= mark
    return Glyph(both, above)


def _hung(ink: Ink, mark: Ink, height: int) -> Glyph:
    """A letter with a mark that hangs from its foot."""
    both = np.zeros((height + len(mark), ink.shape[1]), dtype=bool)
    both[: len(ink)] = ink
    left = (ink.shape[1] - mark.shape[1]) // 2
    both[height:, left : left + mark.shape[1]] = mark
    return Glyph(both)


def lettered(words: str, height: int) -> Lettered:
    """Words in blocks, one free column between letters.

    Raises BadInput for letters that are not in the alphabet.
    """
    words = " ".join(unicodedata.normalize("NFC", words).split())
    missing = dict.fromkeys(letter for letter in words if not has_letter(letter, height))
    if missing:
        raise BadInput(
            f"the alphabet lacks {' '.join(missing)}: it has the letters of Western Europe, "
            "figures and . , : ; ! ? ' \" - & + / ( ) = # *"
        )
    if not words:
        raise BadInput("there is nothing to write")
    letters = [_ALIKE.get(letter, letter) for letter in words]
    glyphs = [None if letter == " " else _glyph(letter, height) for letter in letters]
    drawn = [(i, glyph) for i, glyph in enumerate(glyphs) if glyph]
    above = max(glyph.above for _, glyph in drawn)
    tall = above + max(height, *(len(glyph.ink) - glyph.above for _, glyph in drawn))
    ink = np.full((tall, 0), -1)
    for number, (i, glyph) in enumerate(drawn):
        gap = 0 if not number else SPACE if glyphs[i - 1] is None else 1
        column = np.full((tall, gap + glyph.ink.shape[1]), -1)
        top = above - glyph.above
        column[top : top + len(glyph.ink), gap:][glyph.ink] = number
        ink = np.concatenate([ink, column], axis=1)
    return Lettered(ink, above, tuple(letter for letter in words if letter != " "))


def drawn_letters(height: int) -> list[str]:
    """Every letter that is drawn, without those that marks make."""
    return [name for name in alphabet(height) if len(name) == 1 and name not in _WORDS]
