"""Programs of the machine that some tests look with: a browser, a PDF reader, axe-core."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path
from typing import NoReturn

import pytest

NO_SKIPS = "PIX2BLOCK_NO_SKIPS"  # set where every program must be there


_JS = Path(__file__).parent.parent / ".venv-js/node_modules"  # put there by .ci/run
AXE, TSC = _JS / "axe-core/axe.min.js", _JS / ".bin/tsc"


def axe() -> str:
    """axe-core's script, which finds what a page keeps from those who cannot see it.

    The test is skipped where it is not installed, or fails where no skips are allowed.
    """
    if AXE.exists():
        return AXE.read_text(encoding="utf-8")
    return _lacks("axe-core: npm install --prefix .venv-js axe-core typescript")


def type_faults(*modules: Path) -> str:
    """What TypeScript's compiler finds in the JSDoc types of modules and of what they import, ""
    where it finds nothing; else as `axe`."""
    if not TSC.exists():
        return _lacks("typescript: npm install --prefix .venv-js axe-core typescript")
    words = "--allowJs --checkJs --noEmit --strict --noImplicitAny false --target es2022"
    words += (
        " --module es2022 --moduleResolution bundler --lib dom,dom.iterable,es2022 --skipLibCheck"
    )
    done = subprocess.run([TSC, *words.split(), *modules], capture_output=True, text=True)
    return done.stdout or str(done.returncode or "")


def needed(*names: str) -> str:
    """The path of the first of these programs that there is.

    The test is skipped where there is none, with the reason, or fails where no skips are allowed.
    """
    for name in names:
        path = shutil.which(name)
        if path:
            return path
    return _lacks(f"one of: {', '.join(names)}")


def _lacks(what: str) -> NoReturn:
    reason = f"needs {what}"
    if os.environ.get(NO_SKIPS):
        pytest.fail(f"{reason}, and {NO_SKIPS} is set")
    pytest.skip(reason)
