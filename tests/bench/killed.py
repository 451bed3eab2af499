"""Runs ended with signal 9 at random moments: how many left a mixed set, or something hidden that
the next run does not clear.

Run: PYTHONPATH=tests python tests/bench/killed.py [KILLS]
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from test_swap import killed_at_random

if __name__ == "__main__":
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    with tempfile.TemporaryDirectory() as folder:
        mixed, left = killed_at_random(Path(folder) / "out", kills, seed=1)
    print(f"{kills} runs ended: {mixed} mixed sets, {left} times something hidden stayed")
