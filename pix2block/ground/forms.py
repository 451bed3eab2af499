"""How a noun stands in a file: its form, made from its fields, and the way there and back."""

from __future__ import annotations

import inspect
import re
from collections.abc import Collection, Mapping
from dataclasses import MISSING
from functools import cache
from types import MappingProxyType
from typing import Annotated, Any, TypeVar, cast, get_args

import msgspec

from pix2block.ground.nouns import Kept, Member, Noun, members_of, shown, wanted

N = TypeVar("N", bound=Noun)
Form = type[msgspec.Struct]
NO_HEAD: Mapping[str, Any] = MappingProxyType({})


def form_of(
    noun: type[Noun],
    head: Mapping[str, Any] = NO_HEAD,
    about: str | None = None,
    exact: bool = False,
) -> Form:
    """The form of a noun in a file: a msgspec structure with the noun's kinds and ranges. head:
    more keys that a file must have; about: what the form is for; exact: with no other keys."""
    keys = [*head.items(), *(_key(member) for member in members_of(noun).values())]
    return msgspec.defstruct(
        noun.__name__,
        keys,
        kw_only=True,
        forbid_unknown_fields=exact,
        namespace={"__doc__": about or _about(noun)},
    )


def _about(noun: type[Noun]) -> str:
    return inspect.cleandoc(noun.__doc__ or "").split("\n\nRaises ")[0]


def _key(member: Member) -> tuple[str, Any] | tuple[str, Any, Any]:
    kind = _kind(member)
    if member.optional and member.default is MISSING:
        return member.name, kind, None
    if member.default is MISSING or member.stated:
        return member.name, kind
    if member.noun and member.many:
        return member.name, kind | None, None
    return member.name, kind | None if member.null_too else kind, member.default


def _kind(member: Member) -> Any:
    if member.array:
        return member.array.in_file | None if member.optional else member.array.in_file
    if member.noun is None:
        return member.kind
    noun: Any = member.noun
    form: Any = _form_within(noun)
    if member.many:
        metas = [part for part in get_args(member.kind) if isinstance(part, msgspec.Meta)]
        return Annotated[list[form], metas[0]] if metas else list[form]
    return form | None if member.optional else form


@cache
def _form_within(noun: Any) -> Form:
    return form_of(noun)


def noun_of(noun: type[N], entry: msgspec.Struct, kept: Mapping[str, Any]) -> N:
    """The noun of an entry that has its form; `kept` is the entry as it stood in the file.

    Raises BadInput where its fields do not fit each other.
    """
    values: dict[str, Any] = {}
    for member in members_of(noun).values():
        value = getattr(entry, member.name)
        if value is None:
            if member.optional:
                values[member.name] = None
        elif member.array:
            values[member.name] = member.array.read(value)
        elif member.noun and member.many:
            both = zip(value, kept.get(member.name) or (), strict=True)
            values[member.name] = tuple(noun_of(member.noun, one, raw) for one, raw in both)
        elif member.noun:
            values[member.name] = noun_of(member.noun, value, kept[member.name])
        else:
            values[member.name] = value
    if issubclass(noun, Kept):
        known = entry.__struct_fields__
        values["extra"] = {key: value for key, value in kept.items() if key not in known}
    return noun(**values)


def refusal_at(noun: type[Noun], kept: Any, path: str) -> str | None:
    """What is wrong with a plain value of a file and what to write instead, by the path that
    msgspec gives ("$.yarns[1].color"); None where the path leads to more than a value."""
    member = None
    for step in re.findall(r"\w+", path):
        if step.isdigit():
            kept = kept[int(step)]
            continue
        member = members_of(noun).get(step)
        if member is None:
            return None
        kept, noun = kept[step], member.noun or noun
    if member is None or member.array or member.noun:
        return None
    return f"{shown(kept)}: write {wanted(member.kind)}"


def entry_of(noun: Noun, without: Collection[str] = ()) -> dict[str, Any]:
    """The noun as a file holds it: plain values by key, unknown keys last. without: keys of it that
    are left out."""
    entry: dict[str, Any] = {}
    for member in members_of(type(noun)).values():
        if member.name in without:
            continue
        value = getattr(noun, member.name)
        if member.when_any and not value:
            continue
        if member.array and value is not None:
            value = member.array.write(value)
        elif member.noun and member.many:
            value = [entry_of(one) for one in value]
        elif member.noun and value is not None:
            value = entry_of(cast(Noun, value))
        entry[member.name] = value
    extra = noun.extra if isinstance(noun, Kept) else {}
    return {**entry, **extra, **entry}


def unknown_in(noun: Noun, place: str = "") -> list[str]:
    """Where a noun of a file, and those in it, keep keys that this program does not know:
    "yarns[1].dyed"."""
    extra = noun.extra if isinstance(noun, Kept) else {}
    found = [f"{place}{key}" for key in extra]
    for member in members_of(type(noun)).values():
        value = getattr(noun, member.name) if member.noun else None
        if member.many and value:
            for number, one in enumerate(value):
                found += unknown_in(one, f"{place}{member.name}[{number}].")
        elif value is not None and not member.many:
            found += unknown_in(value, f"{place}{member.name}.")
    return found
