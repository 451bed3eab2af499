"""Compiling the inner loops, once: what numba made is kept for the next run.

Numba notices that a file changed, but not the files that it builds on. So what is kept lies in a
folder named by the text of all of them; it is the user's own cache folder, since the package may
lie where nothing can be written.
"""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

import numba
from numba.misc.appdirs import AppDirs

_Function = TypeVar("_Function", bound=Callable[..., Any])
_BUILT_ON = ("compiled.py", "state.py", "matching.py", "kernel.py", "proposals.py")


def _folder() -> Path:
    here = Path(__file__).parent
    text = b"".join((here / name).read_bytes() for name in _BUILT_ON)
    mark = hashlib.sha256(text + numba.__version__.encode()).hexdigest()[:16]
    return Path(AppDirs("pix2block", False).user_cache_dir) / mark  # type: ignore[no-untyped-call]


def _can_write(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


FOLDER = _folder()
KEPT = _can_write(FOLDER)


def is_compiled() -> bool:
    """Whether an earlier run compiled everything, so that nobody needs to wait."""
    return KEPT and any(FOLDER.rglob("*.nbi"))


def compiled(function: _Function) -> _Function:
    """A function of arrays and numbers, compiled when it is first called."""
    if KEPT:
        numba.config.CACHE_DIR = str(FOLDER)  # type: ignore[attr-defined]
    return cast(_Function, numba.njit(cache=KEPT, error_model="numpy")(function))
