"""Progress bars on a terminal."""

from __future__ import annotations

import sys
from typing import Any


class ProgressBar:
    """A progress bar on a terminal, once work takes over a second; elsewhere nothing."""

    def __init__(self, what: str, unit: str = "line") -> None:
        self.what, self.unit = what, unit
        self.bar: Any = None

    def __enter__(self) -> ProgressBar:
        return self

    def __call__(self, done: int, of: int) -> None:
        if not sys.stderr.isatty():
            return
        if self.bar is None:
            from tqdm import tqdm

            self.bar = tqdm(total=of, desc=self.what, delay=1.0, leave=False, unit=self.unit)
        self.bar.update(done - self.bar.n)

    def __exit__(self, *_: object) -> None:
        if self.bar is not None:
            self.bar.close()
