"""Published facts that tests compare with: the CSV files in tests/data."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

DATA = Path(__file__).parent / "data"


def read_reference(name: str) -> list[dict[str, str]]:
    """The lines of a file in tests/data by column name; its header of '#' lines is skipped."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def each_row(name: str) -> Callable[[Callable[[dict[str, str]], None]], Callable[[], None]]:
    """A test of every row of a file in tests/data, as one test; a row that fails is told."""

    def of(test: Callable[[dict[str, str]], None]) -> Callable[[], None]:
        def every() -> None:
            rows = read_reference(name)
            assert rows
            for row in rows:
                try:
                    test(row)
                except AssertionError as failed:
                    failed.add_note(f"row {row}")
                    raise

        return every

    return of
