"""Tables of options: how an option is declared, read from words, and listed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any, Self

from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput, unknown
from pix2block.options.rules import Rule

CHART, STRIPE, REPORT, CHECK = "chart", "stripe", "report", "check"


def option(
    about: str,
    rule: Rule,
    help_text: str,
    *commands: str,
    default: str | None = None,
    many: bool = False,
) -> Any:
    """A field of Options. default: how what holds when it is not given is shown in help; many: it
    may be given several times, and its value is a tuple."""
    details = {"about": about, "rule": rule, "help": help_text, "shown_default": default}
    of = commands or (CHART, STRIPE, REPORT)
    return field(default=None, metadata={**details, "commands": of, "many": many})


class Asked:
    """A table of options: its fields are declared by `option`; None means "not given"."""

    def __post_init__(self) -> None:
        for spec in specs_of(type(self)):
            value = getattr(self, spec.name)
            for one in () if value is None else value if spec.many else (value,):
                _read(spec, spec.rule.as_words(one))

    def __repr__(self) -> str:
        """Only what was given."""
        given = {spec.name: getattr(self, spec.name) for spec in specs_of(type(self))}
        words = (f"{name}={value!r}" for name, value in given.items() if value is not None)
        return f"{type(self).__name__}({', '.join(words)})"

    @classmethod
    def from_words(cls, given: Mapping[str, str | tuple[str, ...]]) -> Self:
        """Options from texts, as a command line or a form gives them; several for one that may be
        repeated.

        Raises BadInput for an unknown name or a value that cannot be read.
        """
        values: dict[str, Any] = {}
        known = {spec.name: spec for spec in specs_of(cls)}
        for name, text in given.items():
            if name not in known:
                raise BadInput(unknown("option", name, known))
            if isinstance(text, str):
                text = (text,)
            read = tuple(_read(known[name], one) for one in text)
            values[name] = read if known[name].many else read[-1]
        return cls(**values)


def _read(spec: Spec, text: str) -> Any:
    try:
        return spec.rule.read(text)
    except BadInput as error:
        raise BadInput(Ask(spec.name), " ", *error.advice.parts) from None


def flag_of(name: str) -> str:
    """How an option is written on a command line."""
    return "--" + name.replace("_", "-")


@dataclass(frozen=True)
class Spec:
    """An option's declaration."""

    name: str
    about: str
    rule: Rule
    help: str
    shown_default: str | None
    commands: tuple[str, ...]
    many: bool

    @property
    def flag(self) -> str:
        """As it is written on a command line."""
        return flag_of(self.name)

    @property
    def form(self) -> str:
        """With what follows it."""
        return f"{self.flag} {self.rule.metavar}".strip()


def specs_of(table: type[Any], command: str | None = None) -> list[Spec]:
    """Declarations of a table's options, or of one command's."""
    every = [Spec(name=f.name, **f.metadata) for f in fields(table)]
    return [s for s in every if command is None or command in s.commands]
