"""Tables of options: how an option is declared, read from words or values, and listed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, fields
from functools import cache
from numbers import Real
from typing import Any, Self

from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput, refuse, unknown
from pix2block.ground.frozen import dataclass
from pix2block.options.rules import Rule

_DETAILS = "option"


def option(
    group: str,
    rule: Rule,
    commands: tuple[str, ...],
    help_text: str,
    *,
    default: Any = None,
    shown: str = "",
    kept: str = "",
    many: bool = False,
) -> Any:
    """A field of a table: an option.

    group: where help shows it; rule: what it may be; commands: that take it; default: what holds
    where it is not given; shown: words for that in help, {} standing for the default; kept: the
    field of a chart that keeps it; many: it may be given several times, and is a tuple.
    """
    if default is not None:
        shown = (shown or "{}").replace("{}", rule.as_words(default))
    details = (group, rule, commands, help_text, shown or None, kept or None, many)
    return field(default=None, metadata={_DETAILS: details})


@dataclass(frozen=True)
class Spec:
    """An option's declaration, as for `option`; name: of the field."""

    name: str
    group: str
    rule: Rule
    commands: tuple[str, ...]
    help: str
    shown_default: str | None
    kept: str | None
    many: bool

    @property
    def flag(self) -> str:
        """As it is written on a command line."""
        return flag_of(self.name)

    @property
    def form(self) -> str:
        """With what follows it."""
        return f"{self.flag} {self.rule.metavar}".strip()

    def value(self, given: Any) -> Any:
        """The value that is meant by words or by a value; of one that may be repeated a tuple.

        Raises BadInput about this option.
        """
        try:
            if not self.many:
                return self.rule.value(given)
            return tuple(self.rule.value(one) for one in _several(given))
        except BadInput as error:
            raise BadInput(Ask(self.name), " ", *error.advice.parts) from None


def _several(given: Any) -> tuple[Any, ...]:
    """What was given several times; one text, one list of numbers or one noun stands alone."""
    alone = not isinstance(given, tuple | list) or any(isinstance(one, Real) for one in given)
    return (given,) if alone else tuple(given)


def flag_of(name: str) -> str:
    """How an option is written on a command line."""
    return "--" + name.rstrip("_").replace("_", "-")  # `from_`: a word of Python's own


def typed(ask: Ask) -> str:
    """An option that words name, as it is typed on a command line."""
    return ask.said(flag_of(ask.option))


class Asked:
    """A table of options: its fields are declared by `option`; None means "not given".

    A value may be given as its words are written or as what they mean: it is kept as what they
    mean. Raises BadInput for what does not fit, with every fault.
    """

    def __post_init__(self) -> None:
        faults = []
        for spec in specs_of(type(self)):
            given = getattr(self, spec.name)
            try:
                value = None if given is None else spec.value(given)
            except BadInput as error:
                faults.append(error)
            else:
                object.__setattr__(self, spec.name, value)
        refuse(faults)

    def __repr__(self) -> str:
        """Only what was given."""
        given = {spec.name: getattr(self, spec.name) for spec in specs_of(type(self))}
        words = (f"{name}={value!r}" for name, value in given.items() if value is not None)
        return f"{type(self).__name__}({', '.join(words)})"

    @classmethod
    def from_words(cls, given: Mapping[str, str | tuple[str, ...]]) -> Self:
        """Options from texts, as a command line or a form gives them; several for one that may be
        repeated, else the last counts.

        Raises BadInput for an unknown name or a value that cannot be read, with every fault.
        """
        known = {spec.name: spec for spec in specs_of(cls)}
        faults = [BadInput(unknown("option", name, known)) for name in given if name not in known]
        words = {
            name: text if known[name].many or isinstance(text, str) else text[-1]
            for name, text in given.items()
            if name in known
        }
        try:
            asked = cls(**words)
        except BadInput as error:
            refuse([*faults, error])
            raise
        refuse(faults)
        return asked

    def kept_in_chart(self) -> dict[str, Any]:
        """What a chart keeps of what was given, by the chart's fields."""
        given = {s.kept: getattr(self, s.name) for s in specs_of(type(self)) if s.kept}
        return {name: value for name, value in given.items() if value is not None}


def specs_of(table: type[Any], command: str | None = None) -> list[Spec]:
    """Declarations of a table's options, or of one command's."""
    every = _declared(table)  # type: ignore[arg-type]  # a class is hashable
    return [spec for spec in every if command is None or command in spec.commands]


@cache  # every set of options that is made asks for them
def _declared(table: type[Any]) -> tuple[Spec, ...]:
    return tuple(Spec(f.name, *f.metadata[_DETAILS]) for f in fields(table))
