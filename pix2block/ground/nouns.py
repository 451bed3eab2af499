"""Nouns: frozen dataclasses whose fields say what they may be.

A field's kind is a plain type, some words (`Literal`), or one with a range, as in
`Annotated[float, Meta(ge=0, le=100)]`; there, and nowhere else, the range stands. Making a noun
checks it and converts what is only spelt otherwise (5 to 5.0, a list to a tuple); files, options
and the schema take kinds and ranges from here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import MISSING, Field, field, fields
from functools import cache
from types import NoneType
from typing import (
    TYPE_CHECKING,
    Annotated,
    Any,
    Literal,
    TypeVar,
    get_args,
    get_origin,
    get_type_hints,
)

import msgspec

from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.frozen import dataclass

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

T = TypeVar("T")


def stated(default: T) -> T:
    """A field with a default in Python that a file always states."""
    return _defaulted(default, stated=True)


def null_too(default: T) -> T:
    """A field that a file may also give as null, for its default."""
    return _defaulted(default, null_too=True)


def when_any() -> tuple[Any, ...]:
    """A field of several nouns that a file leaves out where there are none."""
    none: tuple[Any, ...] = ()
    return _defaulted(none, when_any=True)


def when_known() -> Any:
    """A field that may be None, and that a file then leaves out."""
    return _defaulted(None, when_any=True)


def _defaulted(default: T, **metadata: bool) -> T:
    kept: T = field(default=default, metadata=metadata)
    return kept


@dataclass(frozen=True)
class Array:
    """What an array may be, beside its type. axes: a name each, or how long it is; item: the kind
    of one value; in_file: the kind of the whole in a file; read, write: from there and back."""

    dtype: str
    axes: tuple[str | int, ...]
    item: Any
    in_file: Any
    read: Callable[[Any], Any] = lambda value: value
    write: Callable[[Any], Any] = lambda array: array.tolist()


@dataclass(frozen=True)
class Range:
    """The numbers that a kind takes, None without an end; above: `low` is not among them."""

    low: float | None
    high: float | None
    whole: bool
    above: bool = False

    def __contains__(self, number: float) -> bool:
        low = self.low is None or (number > self.low if self.above else number >= self.low)
        return low and (self.high is None or number <= self.high)

    def __str__(self) -> str:
        """ "a number from 0 to 100"."""
        number = "a whole number" if self.whole else "a number"
        if self.low is None or self.high is None:
            return number if self.low is None else f"{number} of {_say(self.low)} or more"
        if self.above:
            return f"{number} above {_say(self.low)}, up to {_say(self.high)}"
        return f"{number} from {_say(self.low)} to {_say(self.high)}"


def _say(number: float) -> str:
    return f"{number:.12g}"


@dataclass(frozen=True)
class Member:
    """A noun's field. kind: as annotated; noun: what it holds one of, or several (many); array:
    what it may be where it is one; default: MISSING without one."""

    name: str
    kind: Any
    noun: type[Noun] | None
    many: bool
    optional: bool
    array: Array | None
    default: Any
    stated: bool
    null_too: bool
    when_any: bool

    def checked(self, value: Any) -> Any:
        """The value as the noun keeps it. Raises BadInput where it cannot be."""
        if value is self.default or (value is None and self.optional):
            return value
        if self.array:
            return _array(self, self.array, value)
        if self.noun:
            return _nouns(self, self.noun, value)
        try:
            return msgspec.convert(value, self.kind)
        except msgspec.ValidationError:
            if type(value).__module__ == "numpy":  # a number of NumPy's, as one of Python's
                return self.checked(value.item())
            raise BadInput(self.refusal(value), about=self.name) from None

    def refusal(self, value: Any) -> str:
        """What is wrong with a value, and what to write instead."""
        words = words_of(self.kind)
        if words and isinstance(value, str):
            return unknown(self.name, _line(value), words)
        return f"{self.name} {shown(value)}: write {wanted(self.kind)}"


class Noun:
    """Base of frozen dataclasses that are checked where they are made.

    Raises BadInput naming the field that cannot be as it is.
    """

    def __post_init__(self) -> None:
        for member in members_of(type(self)).values():
            value = getattr(self, member.name)
            kept = member.checked(value)
            if kept is not value:
                object.__setattr__(self, member.name, kept)


@dataclass(frozen=True, eq=False)
class Kept(Noun):
    """A noun of a file that is kept; extra: keys of the file that this program does not know."""

    extra: Mapping[str, Any] = field(default_factory=dict, kw_only=True, compare=False, repr=False)


def members_of(noun: type[Noun]) -> Mapping[str, Member]:
    """A noun's fields by name, but for `extra`."""
    of: Any = noun
    return _members_of(of)


@cache
def _members_of(noun: Any) -> Mapping[str, Member]:
    kinds = get_type_hints(noun, include_extras=True)
    return {f.name: _member(f, kinds[f.name]) for f in fields(noun) if f.name != "extra"}


def _member(of: Field[Any], kind: Any) -> Member:
    parts = list(_parts(kind))
    bare = get_args(kind)[0] if get_origin(kind) is Annotated else kind
    return Member(
        of.name,
        kind,
        noun=next((p for p in parts if isinstance(p, type) and issubclass(p, Noun)), None),
        many=get_origin(bare) is tuple,
        optional=NoneType in get_args(bare),
        array=next((p for p in parts if isinstance(p, Array)), None),
        default=of.default if of.default_factory is MISSING else MISSING,
        stated=of.metadata.get("stated", False),
        null_too=of.metadata.get("null_too", False),
        when_any=of.metadata.get("when_any", False),
    )


def _parts(kind: Any) -> Iterator[Any]:
    # Annotated hides its notes from get_args of what is around it, not from its own.
    yield kind
    if get_origin(kind) is not Literal:
        for inner in get_args(kind):
            yield from _parts(inner)


def range_of(kind: Any) -> Range:
    """The numbers that a kind takes, alone, in a tuple or beside None."""
    parts = list(_parts(kind))
    meta = next((p for p in parts if isinstance(p, msgspec.Meta)), msgspec.Meta())
    whole = int in parts
    low = meta.gt if meta.ge is None else meta.ge
    high = meta.le if meta.lt is None else meta.lt - 1 if whole else meta.lt
    return Range(low, high, whole, above=meta.gt is not None)


def words_of(kind: Any) -> tuple[str, ...]:
    """The words that a kind takes, () where it takes others too."""
    of = next((p for p in _parts(kind) if get_origin(p) is Literal), None)
    return get_args(of)


def wanted(kind: Any) -> str:
    """What to write for a kind: "a number from 0 to 100", "right or left", "#rrggbb"."""
    parts = list(_parts(kind))
    meta = next((p for p in parts if isinstance(p, msgspec.Meta) and p.extra), None)
    if meta and meta.extra:
        return str(meta.extra["write"])
    if words := words_of(kind):
        return " or ".join(words)
    each = "each as " if get_origin(kind) is tuple else ""
    return each + (str(range_of(kind)) if {int, float} & set(map(_plain, parts)) else "a text")


def _plain(part: Any) -> Any:
    return part if isinstance(part, type) else None


def shown(value: Any) -> str:
    """A value in a message: one line, not too long."""
    import reprlib

    return f'"{_line(value)}"' if isinstance(value, str) else _line(reprlib.repr(value))


_MOST_TOLD = 5  # unknown keys


def told_unknown(place: str, keys: Sequence[str]) -> tuple[str, ...]:
    """What is said of keys of a file that nobody knows: they stay in it, and do nothing."""
    if not keys:
        return ()
    told = ", ".join(shown(key) for key in keys[:_MOST_TOLD])
    more = f" and {len(keys) - _MOST_TOLD} more" if len(keys) > _MOST_TOLD else ""
    key = "key" if len(keys) == 1 else "keys"
    return (f"{place}: unknown {key} {told}{more}: kept in the file, and without effect",)


def _line(text: str) -> str:
    line = "".join(c if c.isprintable() else " " for c in text)
    return line if len(line) <= 60 else line[:59] + "…"


def _nouns(member: Member, noun: type[Noun], value: Any) -> Any:
    if not member.many:
        if not isinstance(value, noun):
            raise BadInput(
                f"{member.name} {shown(value)}: give a {noun.__name__}", about=member.name
            )
        return value
    if not isinstance(value, list | tuple) or not all(isinstance(one, noun) for one in value):
        said = f"{member.name} {shown(value)}: give a tuple of {noun.__name__}"
        raise BadInput(said, about=member.name)
    meta = next((p for p in get_args(member.kind) if isinstance(p, msgspec.Meta)), msgspec.Meta())
    least, most = meta.min_length or 0, meta.max_length
    if len(value) < least or (most is not None and len(value) > most):
        raise BadInput(
            f"{len(value)} {member.name}: give from {least} to {most}", about=member.name
        )
    return tuple(value)


def _array(member: Member, kind: Array, value: Any) -> NDArray[Any]:
    """The noun's own array, which nobody can write to: a copy, unless that holds already."""
    import numpy as np

    axes = ", ".join(map(str, kind.axes))
    try:
        array = np.asarray(value)
    except ValueError:
        raise BadInput(
            f"{member.name}: its lines are not equally long: give an array ({axes})",
            about=member.name,
        ) from None
    sides = len(array.shape) == len(kind.axes) and all(
        isinstance(axis, str) or axis == side
        for axis, side in zip(kind.axes, array.shape, strict=True)
    )
    if not sides:
        said = f"{member.name}: an array of shape {array.shape}: give one ({axes})"
        raise BadInput(said, about=member.name)
    within = range_of(kind.item)
    if array.size and not _holds(array, within):
        said = f"{member.name}: a value is out of range: give each as {within}"
        raise BadInput(said, about=member.name)
    if array.dtype == kind.dtype and not array.flags.writeable and array.base is None:
        return array
    own = array.astype(kind.dtype)
    own.setflags(write=False)
    return own


def _holds(array: NDArray[Any], within: Range) -> bool:
    if array.dtype.kind not in ("iu" if within.whole else "iuf"):
        return False
    low: np.bool_ | bool = within.low is None or array.min() >= within.low
    high: np.bool_ | bool = within.high is None or array.max() <= within.high
    return bool(low and high)
