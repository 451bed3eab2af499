"""A yarn as a maker knows it."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from pix2block.color.names import name_colors
from pix2block.color.spaces import from_hex, rgb_array
from pix2block.craft.diagonal import Ints
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.nouns import Kept, null_too, shown, when_any
from pix2block.ground.settings import (
    Color,
    Held,
    Price,
    Share,
    SkeinGrams,
    SkeinMetres,
    Skeins,
    WeightClass,
)
from pix2block.yarn.weights import WEIGHT_CLASSES

LONGEST_NAME = 60
WORDS = ("fibre", "lot", "note")  # fields of a yarn that hold whatever was written
_NOT_IN_NAMES = "|,:;#=@."


@dataclass(frozen=True)
class ColorPart(Kept):
    """One of a yarn's several colours, "#rrggbb", and its share in per cent."""

    color: Color
    share: Share

    def __post_init__(self) -> None:
        super().__post_init__()
        object.__setattr__(self, "color", self.color.lower())


@dataclass(frozen=True)
class Yarn(Kept):
    """One yarn. name: as `clean_name` gives it; color: "#rrggbb", the mean in linear light of the
    parts of a yarn that has several colours; weight: class 0 to 7, None for the chart's own; held:
    strands of yarn worked together; grams, metres, price: of a skein; skeins: on hand."""

    name: str
    color: Color
    weight: WeightClass | None = None
    held: Held = null_too(1)
    fibre: str | None = None
    grams: SkeinGrams | None = None
    metres: SkeinMetres | None = None
    skeins: Skeins | None = None
    lot: str | None = None
    price: Price | None = None
    note: str | None = None
    parts: tuple[ColorPart, ...] = when_any()

    def __post_init__(self) -> None:
        super().__post_init__()
        object.__setattr__(self, "name", unicodedata.normalize("NFC", self.name))
        name = clean_name(self.name)
        if name != self.name:
            raise BadInput(f'name {shown(self.name)}: write "{name}"')
        object.__setattr__(self, "color", self.color.lower())
        for field in WORDS:
            said = getattr(self, field)
            object.__setattr__(self, field, None if said is None else clean_words(said))

    def __repr__(self) -> str:
        return f"Yarn({self.name!r}, {self.color!r})"

    @property
    def rgb(self) -> tuple[int, int, int]:
        """8-bit sRGB."""
        return from_hex(self.color)

    @property
    def note_line(self) -> str:
        """Its note in one line, "" without one."""
        return " ".join((self.note or "").split())

    @property
    def on_hand_m(self) -> float | None:
        """Metres on hand, None where skeins or their metres are unknown."""
        return None if self.skeins is None or self.metres is None else self.skeins * self.metres

    def class_in(self, usual: int) -> int:
        """Its weight class, the usual one of the piece where it names none."""
        return usual if self.weight is None else self.weight

    def grams_of(self, metres: float, usual: int) -> float:
        """Grams of so many metres: by its label, or else those of a typical yarn of its class, for
        which `usual` stands where it names none."""
        if self.grams is not None and self.metres is not None:
            return metres * self.grams / self.metres
        return metres * 100 / WEIGHT_CLASSES[self.class_in(usual)].metres_in_100_g

    def skeins_for(self, metres: float) -> int | None:
        """Whole skeins that hold so many metres, None where those of a skein are unknown."""
        return None if self.metres is None else max(0, math.ceil(metres / self.metres - 1e-9))

    def joins(self, pieces_cm: NDArray[np.float64], strands: Ints) -> Ints | None:
        """(pieces,) joins in each piece, None where the metres of a skein are unknown.

        The strands come off the skeins one after another; each end of a skein strictly inside a
        strand is a join. pieces_cm: lengths in working order, before joins: a strand's first piece
        begins with its tail, each later one with the float that leads to it, the last one ends
        with its tail. strands: the strand of each piece, rising.
        """
        if self.metres is None:
            return None
        ends, skein = np.cumsum(pieces_cm), self.metres * 100
        strand_ends = ends[np.flatnonzero(np.diff(strands, append=-1))]
        skein_ends = skein * np.arange(1, int(ends[-1] // skein) + 1)
        inside = skein_ends[~np.isin(skein_ends, strand_ends)]
        piece = np.searchsorted(ends, inside, side="left")
        return np.bincount(piece[piece < len(ends)], minlength=len(ends))


def clean_name(text: str) -> str:
    """A name fit for files and sentences: 1 to 60 characters, trimmed, single spaces, accents
    composed.

    Control, line-separating and direction-changing characters and | , : ; # = @ . become a space;
    a + or - that it begins with is left out, so that no table takes it for a formula.

    Raises BadInput where nothing or too much is left.
    """
    kept = "".join(" " if _unfit(c) else c for c in unicodedata.normalize("NFC", text))
    name = re.sub(r"\s+", " ", kept).strip().lstrip("+- ")
    if not name:
        raise BadInput("a yarn has no name: give it one")
    if len(name) > LONGEST_NAME:
        raise BadInput(
            f'yarn name "{name[:20]}…" has {len(name)} characters: shorten it to {LONGEST_NAME}'
        )
    return name


def clean_words(text: str) -> str:
    """A note on a yarn, fit for sentences and tables: what cannot be shown becomes a space, and
    what would make a formula of it at its begin is left out."""
    kept = "".join(" " if _controls(c) and c != "\t" else c for c in text)
    return kept.strip().lstrip("=+-@ \t")


def amended_line(place: str, written: str, name: str) -> str | None:
    """Says that a name is read otherwise than it is written, where it is."""
    if name == written:
        return None
    composed = unicodedata.normalize("NFC", written) == name
    how = "with its accents composed" if composed else f'as "{name}"'
    return f'{place}: the name "{written}" is read {how}'


def _unfit(character: str) -> bool:
    return character in _NOT_IN_NAMES or _controls(character)


def _controls(character: str) -> bool:
    # Cc control, Cf format (direction changes among them), Zl and Zp line and paragraph ends,
    # Cs lone surrogates.
    return unicodedata.category(character) in ("Cc", "Cf", "Zl", "Zp", "Cs")


def name_key(name: str) -> str:
    """What two names share that differ only in letter case, in spaces, or in how accents are
    composed."""
    return unicodedata.normalize("NFC", re.sub(r"\s+", "", name).casefold())


def plain_names(colors: Sequence[str], taken: Iterable[str] = ()) -> dict[str, str]:
    """A plain name for each different colour, "#rrggbb", none of them one that is taken."""
    unique = list(dict.fromkeys(colors))
    if not unique:
        return {}
    keys = {name_key(name) for name in taken}
    names = name_colors(rgb_array(unique))
    return {
        color: name if name_key(name) not in keys else f"{name} {color[1:]}"
        for color, name in zip(unique, names, strict=True)
    }


def refuse_twins(names: Iterable[str]) -> None:
    """Raises BadInput where two names differ only in letter case or spaces, or by a last "only".

    "Moss only" says in a pattern that a length of Moss works one run alone.
    """
    seen: dict[str, str] = {}
    for name in names:
        key = name_key(name)
        if key in seen:
            raise BadInput(
                f'two yarns have the same name, "{seen[key]}" and "{name}": rename one of them'
            )
        seen[key] = name
    for key, name in seen.items():
        if key.endswith("only") and key.removesuffix("only") in seen:
            raise BadInput(
                f'"{seen[key.removesuffix("only")]}" and "{name}" cannot be told apart in a '
                "pattern: rename one of them"
            )
