"""What of a piece is otherwise than a page was told it: figures, parts of lists, runs of blocks. So
that an edit of a large piece is answered by a few hundred bytes, and not by every block."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.web.session import Session
from pix2block.web.shown import piece_json

_REMEMBERED = 8  # states that pages were told
_MOST_RUNS = 2000  # more of them are no fewer bytes than all blocks


def told_since(session: Session, since: str) -> Mapping[str, Any]:
    """A piece as it stands, all of it, or what is otherwise since a page was told it. since: the
    version that the page has, as it says it.

    {"since": version, "set": {key: value}, "lists": {key: [first, count, items]}, "runs": [[first,
    count, yarn], …]}: these keys are others; of these lists `count` items from `first` on are these
    now; so many blocks from `first` on, line after line, are of this yarn. All else is as it was.
    """
    now = piece_json(session)
    before = session.told.get(int(since)) if since.isdecimal() else None
    session.told[now["version"]] = now
    for version in sorted(session.told)[:-_REMEMBERED]:
        session.told.pop(version, None)
    return now if before is None else _otherwise(before, now)


def _otherwise(before: Mapping[str, Any], now: Mapping[str, Any]) -> dict[str, Any]:
    changed = {key: value for key, value in now.items() if before.get(key) != value}
    told: dict[str, Any] = {"since": before["version"], "set": changed, "lists": {}, "runs": []}
    for key, value in list(changed.items()):
        if isinstance(value, list) and isinstance(before.get(key), list):
            told["lists"][key] = _spliced(before[key], changed.pop(key))
    if "blocks" in changed and before["width"] == now["width"]:
        runs = _runs(_numbers(before["blocks"]), _numbers(now["blocks"]))
        if runs is not None:
            del changed["blocks"]
            told["runs"] = runs
    return told


def _spliced(before: Sequence[Any], now: Sequence[Any]) -> list[Any]:
    """From where on how many items are others, and what is there now."""
    least = min(len(before), len(now))
    first = next((i for i in range(least) if before[i] != now[i]), least)
    left = least - first
    same = next((i for i in range(left) if before[-1 - i] != now[-1 - i]), left)
    return [first, len(before) - same - first, now[first : len(now) - same]]


def _numbers(text: str) -> NDArray[np.uint8]:
    return np.frombuffer(base64.b64decode(text), dtype=np.uint8)


def _runs(before: NDArray[np.uint8], now: NDArray[np.uint8]) -> list[list[int]] | None:
    """Blocks that are others, as runs of one yarn; None where the shape is another, or they are
    too many."""
    if before.size != now.size:
        return None
    at = np.flatnonzero(before != now)
    begins = np.flatnonzero((np.diff(at, prepend=-2) != 1) | (np.diff(now[at], prepend=255) != 0))
    if begins.size > _MOST_RUNS:
        return None
    counts = np.diff(begins, append=at.size)
    runs: list[list[int]] = np.column_stack([at[begins], counts, now[at[begins]]]).tolist()
    return runs
