"""Programs of the machine that some tests look with: a browser, a PDF reader."""

from __future__ import annotations

import os
import shutil

import pytest

NO_SKIPS = "PIX2BLOCK_NO_SKIPS"  # set where every program must be there


def needed(*names: str) -> str:
    """The path of the first of these programs that there is.

    The test is skipped where there is none, with the reason, or fails where no skips are allowed.
    """
    for name in names:
        path = shutil.which(name)
        if path:
            return path
    reason = f"needs one of: {', '.join(names)}"
    if os.environ.get(NO_SKIPS):
        pytest.fail(f"{reason}, and {NO_SKIPS} is set")
    pytest.skip(reason)
