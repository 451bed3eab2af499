"""How far a piece is, as the hookside page writes it into a file."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, TypeGuard

from pix2block.amounts.under_way import Done
from pix2block.ground.errors import BadInput
from pix2block.ground.files import read_bytes
from pix2block.ground.nouns import told_unknown

KIND = "hookside"
VERSION = 1
_KEYS = (  # that the page writes, also for itself alone
    *("pix2block", "version", "title", "piece", "row", "runs", "step", "next", "rows", "by_row"),
    *("taps", "left", "evening", "signs"),
)
_SAVE_AGAIN = 'save it again from the page, under "To another device", or write the row'


def read_progress(path: Path) -> Done:
    """What is made, of a hookside page's file.

    Raises BadInput for a file that is none, is of a newer page, or says that nothing is made.
    """
    try:
        kept = json.loads(read_bytes(path, "progress file"))
    except (ValueError, RecursionError):
        raise BadInput(f"progress file {path} is not JSON: {_SAVE_AGAIN}") from None
    if not isinstance(kept, dict) or kept.get("pix2block") != KIND:
        raise BadInput(f"{path} is no progress file of a hookside page: {_SAVE_AGAIN}")
    version = kept.get("version")
    if not _is_count(version) or version > VERSION:
        raise BadInput(f"progress file {path} is of a newer page: write the row")
    row, runs = kept.get("row"), kept.get("runs")
    if row == 0 and runs is None:
        raise BadInput(f"progress file {path} says that nothing is made yet: leave it out")
    if not _is_count(row) or not (runs is None or _is_count(runs)):
        raise BadInput(f"progress file {path} does not say which row is made: {_SAVE_AGAIN}")
    notes = told_unknown(f"progress file {path}", [key for key in kept if key not in _KEYS])
    return Done(row, runs, str(kept.get("piece", "")), notes)


def _is_count(value: Any) -> TypeGuard[int]:
    return isinstance(value, int) and not isinstance(value, bool) and 0 < value < 100_000
