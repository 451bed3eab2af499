"""The maker's own defaults, a TOML file: hand, terms, pace, tail, habit; hook, currency, hour."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field, replace
from pathlib import Path
from typing import Any

import msgspec

from pix2block.amounts.money import NO_MONEY, Money
from pix2block.ground import settings
from pix2block.ground.errors import BadInput, refuse, unknown
from pix2block.ground.files import read_text
from pix2block.ground.frozen import dataclass
from pix2block.ground.nouns import range_of
from pix2block.ground.quantities import parse_number
from pix2block.ground.toml import NotToml, read_toml
from pix2block.options.table import Options

LONGEST_CURRENCY = 10
_OF_OPTIONS = ("hand", "terms", "pace", "tail", "habit")


@dataclass(frozen=True)
class Maker:
    """defaults: what holds where an option is not given; hook_mm: her hook; money: what an hour of
    hers is worth, and in what."""

    defaults: Options = field(default_factory=Options)
    hook_mm: float | None = None
    money: Money = NO_MONEY

    def paying_in(self, currency: str) -> Maker:
        """The same, with sums told in a shelf's currency where she names none."""
        return (
            self
            if self.money.currency
            else replace(self, money=replace(self.money, currency=currency))
        )


NOBODY = Maker()


def open_maker(path: str | Path | None) -> Maker:
    """A maker's file, or nobody's defaults without one. Raises BadInput naming key and reason."""
    return read_maker(read_text(Path(path), "maker's file"), str(path)) if path else NOBODY


def read_maker(text: str, place: str) -> Maker:
    """The defaults in a maker's file: `key = value` lines.

    Raises BadInput naming key and reason for each that cannot be read.
    """
    try:
        told = read_toml(text)
    except NotToml as error:
        raise BadInput(
            f'maker\'s file {place}: {error}; write lines as hand = "left" or tail = 15'
        ) from None
    asked: dict[str, Any] = {}
    own: dict[str, Any] = {}
    faults = []
    for key, value in told.items():
        try:
            if key in _OF_OPTIONS:
                Options(**{key: value})
                asked[key] = value
            elif key in _OWN:
                own[key] = _OWN[key](value)
            else:
                raise BadInput(unknown("key", key, (*_OF_OPTIONS, *_OWN)))
        except BadInput as error:
            faults.append(error.within(f"maker's file {place}"))
    refuse(faults)
    hook_mm = own.pop("hook", None)
    return Maker(Options(**asked), hook_mm, Money(**own))


def _number(key: str, kind: Any) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        try:  # "5,5": TOML itself has no decimal comma
            number = parse_number(value) if isinstance(value, str) else value
            return float(msgspec.convert(number, kind))
        except BadInput as error:
            raise BadInput(f"{key} {error}") from None
        except msgspec.ValidationError:
            raise BadInput(f'{key} "{value}": write {range_of(kind)}') from None

    return read


def _currency(value: Any) -> str:
    word = value.strip() if isinstance(value, str) else ""
    if not 1 <= len(word) <= LONGEST_CURRENCY or not word.isprintable():
        raise BadInput(f'currency "{value}": write a short word, as "EUR"')
    return word


_OWN: dict[str, Callable[[Any], Any]] = {
    "hook": _number("hook", settings.HookMm),
    "currency": _currency,
    "hour": _number("hour", settings.Worth),
}


def with_defaults(options: Options, maker: Maker) -> Options:
    """The options, with the maker's where none is given."""
    defaults = {
        name: getattr(maker.defaults, name)
        for name in _OF_OPTIONS
        if getattr(options, name) is None
    }
    return replace(options, **defaults)
