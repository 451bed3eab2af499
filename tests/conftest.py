"""Settings of the tests: what Hypothesis tries is the same on every run and leaves no files; the
package never adds floats by the built-in sum."""

from __future__ import annotations

import builtins
import sys
from collections.abc import Iterable
from typing import Any

from hypothesis import settings

_plain_sum = builtins.sum


def _sum_of_whole_numbers(numbers: Iterable[Any], /, start: Any = 0) -> Any:
    """The built-in sum, which refuses the package's floats: their last digit would depend on the
    Python (`added_up` in `pix2block/ground/units.py`)."""
    listed = list(numbers)
    caller = sys._getframe(1).f_globals.get("__name__", "")
    if caller.startswith("pix2block.") and any(isinstance(n, float) for n in listed):
        raise AssertionError(f"{caller} adds floats by sum: use added_up")
    return _plain_sum(listed, start)


builtins.sum = _sum_of_whole_numbers

settings.register_profile(
    "pix2block", deadline=None, max_examples=50, derandomize=True, database=None
)
settings.load_profile("pix2block")
