"""Options as messages name them: each door writes an option in its own way."""

from __future__ import annotations

from collections.abc import Callable

from pix2block.ground.frozen import dataclass


@dataclass(frozen=True)
class Ask:
    """An option, and what to give it, where that is known: a command line writes it as it is
    typed, a form marks its field, and as text it is "width 78"."""

    option: str
    value: str | int | float | None = None

    def __str__(self) -> str:
        return self.said(self.option)

    def said(self, name: str) -> str:
        """With another name of the option, as a door calls it."""
        return name if self.value is None else f"{name} {self.value}"


class Advice(str):
    """A sentence for the maker that names options, made of texts and `Ask`s in order. As text it
    has their bare names; a door that writes them otherwise asks `said`."""

    parts: tuple[str | Ask, ...]

    def __new__(cls, *parts: str | Ask) -> Advice:
        advice = super().__new__(cls, "".join(map(str, parts)))
        advice.parts = parts
        return advice

    def said(self, how: Callable[[Ask], str]) -> str:
        """As a door says it. how: writes an option."""
        return "".join(part if isinstance(part, str) else how(part) for part in self.parts)

    @property
    def asks(self) -> tuple[Ask, ...]:
        """The options that are named."""
        return tuple(part for part in self.parts if isinstance(part, Ask))
