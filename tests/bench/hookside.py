"""The hookside page at a phone's speed: its size, its first paint, a touch.

Run: PYTHONPATH=tests:. python tests/bench/hookside.py FOLDER/hookside.html…

Chromium with its processor slowed four times, 360 x 740 at two pixels a point. The yardstick is an
empty page, painted in the same way.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from statistics import median

from browser import opened
from playwright.sync_api import Page

SLOWER, RUNS = 4, 5
PAINTED = "performance.getEntriesByName('first-contentful-paint')[0].startTime"
TOUCHED = (
    "() => { const at = performance.now(); document.getElementById('go').click(); "
    "return performance.now() - at; }"
)


def slowed(page: Page) -> None:
    """From now on the page's processor is slower."""
    session = page.context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})


def painted(path: Path) -> float:
    """Milliseconds until something is seen, the median of some loads."""
    times = []
    with opened(path, 360, 740, device_scale_factor=2) as page:
        slowed(page)
        for _ in range(RUNS):
            page.reload()
            page.wait_for_timeout(1000)
            times.append(float(page.evaluate(PAINTED)))
    return median(times)


def touched(path: Path) -> list[float]:
    """Milliseconds that each of some touches takes, the quickest first."""
    times = []
    with opened(path, 360, 740, device_scale_factor=2) as page:
        slowed(page)
        for _ in range(RUNS):
            page.wait_for_timeout(400)
            times.append(float(page.evaluate(TOUCHED)))
    return sorted(times)


def main(pages: list[str]) -> None:
    """Print the figures of each page."""
    with tempfile.TemporaryDirectory() as folder:
        empty = Path(folder) / "empty.html"
        empty.write_text("<!doctype html><title>empty</title><p>empty</p>", encoding="utf-8")
        yardstick = painted(empty)
    print(f"an empty page: {yardstick:.0f} ms to its first paint")
    for name in pages:
        path = Path(name).resolve()
        first, touches = painted(path), touched(path)
        print(
            f"{name}: {path.stat().st_size / 1000:.0f} kB, first paint {first:.0f} ms "
            f"({first / yardstick:.1f} x), a touch {touches[0]:.0f} to {touches[-1]:.0f} ms"
        )


if __name__ == "__main__":
    main(sys.argv[1:])
