"""Published facts that tests compare with: the CSV files in tests/data."""

from __future__ import annotations

import csv
from pathlib import Path

DATA = Path(__file__).parent / "data"


def read_reference(name: str) -> list[dict[str, str]]:
    """The lines of a file in tests/data by column name; its header of '#' lines is skipped."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))
