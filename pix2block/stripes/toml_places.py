"""Where keys and texts stand in a TOML file: its reader tells no lines.

A small scan, for messages only; what a file means is left to the reader of the standard library.
Dotted keys and inline tables are passed over: what stands in them is then told without its line.
"""

from __future__ import annotations

import re

Key = tuple[str | int, ...]

_TOKEN = re.compile(
    r"""(?P<skip>[ \t\r]+|\#[^\n]*)
    |(?P<line>\n)
    |(?P<text>'{3}[\s\S]*?'{3}|"{3}[\s\S]*?"{3}|"(?:\\.|[^"\\\n])*"|'[^'\n]*')
    |(?P<open>[\[{])|(?P<close>[\]}])
    |(?P<bare>[A-Za-z0-9_+.:-]+)
    |(?P<other>.)""",
    re.X,
)
_HEADER = re.compile(r"[ \t]*(\[\[?)[ \t]*([A-Za-z0-9_-]+)[ \t]*\]\]?")


def find_places(text: str) -> dict[Key, tuple[int, int]]:
    """Line and column, from 1, of every table, key and value.

    ("width",) is a key, ("part", 1) the header of the second table of that name, ("part", 1,
    "order") a key in it, and with "value" or a number behind it that key's value, or the text or
    bare word of that number in it.
    """
    places: dict[Key, tuple[int, int]] = {}
    counts: dict[str, int] = {}
    table: Key = ()
    key: Key | None = None
    depth = values = at = 0
    fresh = True  # at the begin of a line, outside any value
    while at < len(text):
        if fresh and depth == 0 and (header := _HEADER.match(text, at)):
            table = (header[2],)
            if header[1] == "[[":
                table = (header[2], counts.get(header[2], 0))
                counts[header[2]] = counts.get(header[2], 0) + 1
            places[table] = _line_and_column(text, header.start(1))
            key, at, fresh = None, header.end(), False
            continue
        token = _TOKEN.match(text, at)
        assert token is not None  # the last choice takes any character
        kind, where = token.lastgroup, _line_and_column(text, at)
        if kind == "line":
            fresh = depth == 0
        elif kind in ("bare", "text"):
            if fresh:
                key, values, fresh = (*table, token[0].strip("\"'")), 0, False
                places[key] = where
            elif key is not None:
                places.setdefault((*key, "value"), where)
                places[(*key, values)] = where
                values += 1
        elif kind == "open":
            if key is not None:
                places.setdefault((*key, "value"), where)
            depth += 1
        elif kind == "close":
            depth = max(0, depth - 1)
        at = token.end()
    return places


def _line_and_column(text: str, at: int) -> tuple[int, int]:
    return text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
