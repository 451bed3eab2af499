"""What is wrong with a pattern, and where."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong. row, run: from 1, None where it lies in no row or run."""

    text: str
    row: int | None = None
    run: int | None = None

    def __str__(self) -> str:
        if self.row is None:
            return self.text
        place = f"row {self.row}" if self.run is None else f"row {self.row}, run {self.run}"
        return f"{place}: {self.text}"


class Unworkable(Exception):
    """An instruction that no hook can follow on the fabric as it is."""
