"""Builds calming's loops from their source. Run: python tests/kernel_build.py"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

LOOPS = Path(__file__).parent.parent / "pix2block" / "calming" / "loops"
SOURCES = sorted(LOOPS.glob("*.c"))
WASM = LOOPS / "kernel.wasm"
# Each product is rounded before it is added to: the same floats on every machine.
FLAGS = ["-target", "wasm32-freestanding", "-O3", "-ffp-contract=off"]
WARNED = ["-Wall", "-Wextra", "-Werror"]
LINKED = ["-Wl,--no-entry", "-Wl,--strip-all", "-Wl,-z,stack-size=65536"]


def built(folder: Path) -> bytes:
    """The compiled loops; folder: for what the compiler keeps of them. (What it keeps of its own,
    functions such as exp, stays in its usual place: they take ten times as long to compile.)"""
    made = folder / "kernel.wasm"
    words = [sys.executable, "-m", "ziglang", "cc", *FLAGS, *WARNED, *LINKED]
    kept = {"ZIG_LOCAL_CACHE_DIR": str(folder / "kept")}
    subprocess.run(
        [*words, "-o", str(made), "kernel.c"], cwd=LOOPS, env={**os.environ, **kept}, check=True
    )
    return made.read_bytes()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        WASM.write_bytes(built(Path(folder)))
