"""TOML as the standard library reads it, its faults told in one way."""

from __future__ import annotations

import re
import tomllib
from typing import Any

_PLACE = re.compile(r"\s*\(at line (\d+), column (\d+)\)$")


class NotToml(ValueError):
    """A text that is no TOML. line, column: where, from 1; None where its reader does not say."""

    def __init__(self, why: str, line: int | None = None, column: int | None = None) -> None:
        super().__init__(why if line is None else f"{why} (line {line}, column {column})")
        self.why, self.line, self.column = why, line, column


def read_toml(text: str) -> dict[str, Any]:
    """The tables and values of a TOML text.

    Raises NotToml where it is none, where it nests deeper than Python's own calls may, or where a
    number has more digits than Python turns into one.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        place = _PLACE.search(str(error))
        why = re.sub(r"\s*\(at [^()]*\)$", "", str(error))
        why = why[:1].lower() + why[1:]
        raise NotToml(why, *map(int, place.groups()) if place else ()) from None
    except RecursionError:
        raise NotToml("brackets stand too deep in one another") from None
    except ValueError:
        raise NotToml("a number has too many digits") from None
