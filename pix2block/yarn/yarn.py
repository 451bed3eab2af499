"""A yarn as a maker knows it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

from pix2block.color.spaces import from_hex
from pix2block.ground.errors import BadInput
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

LONGEST_NAME = 60
_NOT_IN_NAMES = "|,:;#."


@dataclass(frozen=True)
class Part(Kept):
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
    parts: tuple[Part, ...] = when_any()

    def __post_init__(self) -> None:
        super().__post_init__()
        name = clean_name(self.name)
        if name != self.name:
            raise BadInput(f'name {shown(self.name)}: write "{name}"')
        object.__setattr__(self, "color", self.color.lower())

    @property
    def rgb(self) -> tuple[int, int, int]:
        """8-bit sRGB."""
        return from_hex(self.color)


def clean_name(text: str) -> str:
    """A name fit for files and sentences: 1 to 60 characters, trimmed, single spaces.

    Control, line-separating and direction-changing characters and | , : ; # . become a space.

    Raises BadInput where nothing or too much is left.
    """
    kept = "".join(" " if _unfit(c) else c for c in text)
    name = re.sub(r"\s+", " ", kept).strip()
    if not name:
        raise BadInput("a yarn has no name: give it one")
    if len(name) > LONGEST_NAME:
        raise BadInput(
            f'yarn name "{name[:20]}…" has {len(name)} characters: shorten it to {LONGEST_NAME}'
        )
    return name


def _unfit(character: str) -> bool:
    # Cc control, Cf format (direction changes among them), Zl and Zp line and paragraph ends,
    # Cs lone surrogates.
    return character in _NOT_IN_NAMES or unicodedata.category(character) in (
        "Cc",
        "Cf",
        "Zl",
        "Zp",
        "Cs",
    )


def name_key(name: str) -> str:
    """What two names share that differ only in letter case or spaces."""
    return re.sub(r"\s+", "", name).casefold()


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
