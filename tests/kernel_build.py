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
    """The compiled loops; folder: for what the compiler keeps."""
    made = folder / "kernel.wasm"
    words = [sys.executable, "-m", "ziglang", "cc", *FLAGS, *WARNED, *LINKED]
    caches = {f"ZIG_{kind}_CACHE_DIR": str(folder / kind) for kind in ("GLOBAL", "LOCAL")}
    subprocess.run(
        [*words, "-o", str(made), "kernel.c"], cwd=LOOPS, env={**os.environ, **caches}, check=True
    )
    return made.read_bytes()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        WASM.write_bytes(built(Path(folder)))
