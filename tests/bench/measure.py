"""Whole processes measured in turn, A B A B …, as ratios of medians: ratios drift less.

Modules are compiled beforehand, as an installer does it, whatever PYTHONDONTWRITEBYTECODE says.
Keep the measuring process small: a child's peak memory is never less than its parent's.
"""

from __future__ import annotations

import atexit
import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from functools import cache
from statistics import median


@dataclass(frozen=True)
class Figures:
    """Medians: wall seconds, processor seconds and peak memory in MB of a process and its
    children."""

    seconds: float
    cpu: float
    megabytes: float


def run_once(command: list[str]) -> Figures:
    """Run a command to its end, its output thrown away. Raises RuntimeError where it fails."""
    start = time.perf_counter()
    process = subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=_compiled()
    )
    _, status, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise RuntimeError(f"exit code {process.returncode}: {' '.join(command)}")
    scale = 1e6 if sys.platform == "darwin" else 1e3
    return Figures(seconds, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / scale)


@cache
def _compiled() -> dict[str, str]:
    """The environment, with a folder of this process for compiled modules."""
    folder = tempfile.mkdtemp()
    atexit.register(shutil.rmtree, folder)
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return kept | {"PYTHONPYCACHEPREFIX": folder}


def compare(name: str, command: list[str], yardstick: list[str], runs: int = 7) -> None:
    """Print a command's figures beside a yardstick's, after one run of each that is not counted."""
    both = [(run_once(command), run_once(yardstick)) for _ in range(runs + 1)][1:]
    ours, theirs = zip(*both, strict=True)
    seconds = [median(f.seconds for f in side) for side in (ours, theirs)]
    cpu = [median(f.cpu for f in side) for side in (ours, theirs)]
    memory = [median(f.megabytes for f in side) for side in (ours, theirs)]
    print(
        f"{name}: processor {cpu[0]:.2f} s / {cpu[1]:.2f} s = {cpu[0] / cpu[1]:.2f}, "
        f"wall {seconds[0]:.2f} s / {seconds[1]:.2f} s = {seconds[0] / seconds[1]:.2f}, "
        f"peak memory {memory[0]:.0f} MB / {memory[1]:.0f} MB = {memory[0] / memory[1]:.2f}"
    )
