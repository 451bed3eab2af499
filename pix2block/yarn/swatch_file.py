"""The file that swatches are kept in: TOML, a table `[[swatch]]` a yarn, what was measured."""

from __future__ import annotations

import json
from dataclasses import asdict, fields, replace
from typing import Annotated, Any

import msgspec

from pix2block.ground.errors import BadInput
from pix2block.ground.forms import form_of, noun_of
from pix2block.ground.settings import LENGTH_CM
from pix2block.ground.toml import NotToml, read_toml
from pix2block.yarn.swatch import Measured, loops_of_swatch, sizes_of
from pix2block.yarn.yarn import clean_name, name_key

MOST_SWATCHES = 200
_LEAST_CM = 0.1  # of a block or a loop
_HEAD = """\
# Swatches, kept by pix2block swatch: what was measured. size_cm: width and height after blocking;
# grams: without tails, with the label's metres and grams; or the length of the last blocks; or
# neither, where the size alone was measured.
"""

_FORM = form_of(Measured, exact=True)


class _File(msgspec.Struct, forbid_unknown_fields=True):
    swatch: Annotated[list[_FORM], msgspec.Meta(min_length=1, max_length=MOST_SWATCHES)]  # type: ignore[valid-type]


def read_swatches(text: str, place: str) -> tuple[Measured, ...]:
    """The swatches in a file's text; `place` names it in messages.

    Raises BadInput naming what does not fit.
    """
    try:
        file = msgspec.convert(read_toml(text), _File)
    except NotToml as error:
        raise BadInput(f"swatches {place}: no TOML: {error}; mend the line") from None
    except msgspec.ValidationError as error:
        reason, _, path = str(error).replace("`", "").partition(" - at ")
        where = path.removeprefix("$").removeprefix(".")
        raise BadInput(
            f"swatches {place}{', ' + where if where else ''}: {reason}; "
            "mend it, or measure again with pix2block swatch"
        ) from None
    measured = tuple(noun_of(Measured, entry, {}) for entry in file.swatch)
    return checked(measured, f"swatches {place}")


def checked(measured: tuple[Measured, ...], place: str) -> tuple[Measured, ...]:
    """Swatches that fit each other and say enough, names cleaned.

    Raises BadInput where one does not.
    """
    names = set()
    kept = []
    for one in measured:
        one = replace(one, yarn=clean_name(one.yarn) if one.yarn.strip() else "")
        try:
            _check(one)
        except BadInput as error:
            raise BadInput(f"{place}: {error}") from None
        if name_key(one.yarn) in names:
            raise BadInput(f"{place}: {one.name} has two swatches: keep one of them")
        names.add(name_key(one.yarn))
        kept.append(one)
    kinds = sorted({one.block for one in kept})
    if len(kinds) > 1:
        raise BadInput(
            f"{place}: some swatches are of {kinds[0]} blocks and some of {kinds[1]}: keep them "
            "in two files"
        )
    return tuple(kept)


def _check(one: Measured) -> None:
    weighed = (one.grams, one.label_metres, one.label_grams)
    unravelled = (one.unravelled, one.unravelled_cm)
    if one.grams is not None and None not in unravelled:
        raise BadInput(f"{one.name} is both weighed and unravelled: keep one of them")
    told = any(value is not None for value in (*weighed[:1], *unravelled))
    if told and None in weighed and None in unravelled:
        raise BadInput(
            f"{one.name} needs its grams with the metres and grams of its label, or the length "
            "of some unravelled blocks"
        )
    if one.unravelled and one.unravelled > one.blocks[0] * one.blocks[1]:
        raise BadInput(
            f"{one.name} has {one.blocks[0] * one.blocks[1]} blocks: {one.unravelled} cannot be "
            "unravelled"
        )
    loops = loops_of_swatch(one.blocks, one.block, one.unravelled)
    yarn_cm = one.unravelled_cm or sizes_of(one).loop_cm * loops
    if one.grams and one.label_metres and one.label_grams:
        yarn_cm = one.grams * one.label_metres / one.label_grams * 100 / one.held
    sides = (one.size_cm[0] / one.blocks[0], one.size_cm[1] / one.blocks[1])
    if not all(_LEAST_CM <= v <= LENGTH_CM[1] for v in (*sides, yarn_cm / loops)):
        raise BadInput(f"{one.name}: no yarn makes such blocks: measure again")


def write_swatches(measured: tuple[Measured, ...]) -> str:
    """The file's text."""
    lines = [_HEAD]
    for one in measured:
        lines.append("[[swatch]]")
        values = asdict(one)
        order = [f.name for f in fields(one)]
        order.insert(0, order.pop(order.index("yarn")))
        for name in order:
            value = values[name]
            if value not in (None, ""):
                lines.append(f"{name} = {_toml(value)}")
        lines.append("")
    return "\n".join(lines)


def _toml(value: Any) -> str:
    # A JSON string without control characters is a TOML string; numbers and lists are alike.
    return json.dumps(list(value) if isinstance(value, tuple) else value, ensure_ascii=False)


def with_swatch(kept: tuple[Measured, ...], new: Measured) -> tuple[Measured, ...]:
    """The swatches with one more, in the place of an older one of the same yarn."""
    at = [name_key(one.yarn) for one in kept]
    if name_key(new.yarn) in at:
        place = at.index(name_key(new.yarn))
        return (*kept[:place], new, *kept[place + 1 :])
    return (*kept, new)
