"""The piece at the worktable: what an edit takes on the server, from its journal to what the page
is told (processor time), and how long the page takes to draw it anew in Chromium (wall time).

    PYTHONPATH=tests:. python tests/bench/piece.py
"""

from __future__ import annotations

import json
import statistics
import sys
import tempfile
import time
from pathlib import Path

import browser
import numpy as np
from worktables import TOKEN, served

from pix2block.chart.chart import Chart
from pix2block.recipes.outputs import save
from pix2block.web.session import Session
from pix2block.web.shown import piece_json
from pix2block.web.since import told_since
from pix2block.web.table import Table
from pix2block.yarn.yarn import Yarn

SIZES = ((60, 75), (100, 120), (300, 300))
EDITS = 12
COLORS = ("#f4efe6", "#6b7278", "#1f1f1f", "#8fa65a", "#8c4526", "#c07a3a", "#d08a94", "#24364a")
DRAW = """async () => {
  const { piece } = await import("/static/page.js");
  const time = () => {
    const took = [];
    for (let i = 0; i < 30; i++) {
      piece.pan(i % 2 ? 9 : -9, i % 2 ? 7 : -7);
      const from = performance.now();
      piece.drawNow();
      piece.canvas.getContext("2d").getImageData(0, 0, 1, 1);
      took.push(performance.now() - from);
    }
    return took.sort((a, b) => a - b)[15];
  };
  const whole = time();
  piece.goNear(14, null);
  piece.drawNow();
  await new Promise((done) => setTimeout(done, 1500));
  const near = time();
  return [whole, near];
}"""


def blobs(width: int, height: int) -> Chart:
    """A chart of soft patches, as from a photo."""
    rng = np.random.default_rng(1)
    waves = rng.random((6, 4)) * (0.2, 0.2, 6.3, 1.0)
    y, x = np.mgrid[0:height, 0:width] * (60 / width)
    field = sum(np.sin(a * x + b * y + c) for a, b, c, _ in waves)
    ranks = np.argsort(np.argsort(field.ravel())).reshape(height, width)
    blocks = ranks * len(COLORS) // ranks.size
    yarns = tuple(Yarn(f"Yarn {n}", color) for n, color in enumerate(COLORS))
    return Chart("Blobs", blocks.astype(np.int64), yarns, width + height - 1)


def edited(session: Session) -> tuple[float, int, int]:
    """Medians of an edit: processor time in seconds, up to the bytes that the page is told, how
    many these are, and how many the whole piece would be."""
    chart, took, told = session.chart, [], []
    since = told_since(session, "")["version"]
    for n in range(EDITS):
        yarn = chart.yarns[n % len(chart.yarns)].name
        place = f"column {5 * n % chart.width + 1}, line {7 * n % chart.height + 1}"
        before = time.process_time()
        session.mend([("paint", f"{place}={yarn}")])
        answer = told_since(session, str(since))
        told.append(len(json.dumps(answer).encode()))
        took.append(time.process_time() - before)
        since = session.version
    whole = len(json.dumps(piece_json(session)).encode())
    return statistics.median(took), int(statistics.median(told)), whole


def drawn(session: Session) -> tuple[float, float]:
    """Median milliseconds of drawing it: whole, and with posts, 14 pixels a block."""
    it = served(Table(session, session.folder.parent))
    asking = next(it)
    page = browser.the_browser().new_page(viewport={"width": 1366, "height": 850})
    page.goto(f"http://127.0.0.1:{asking.port}/{TOKEN}")
    page.wait_for_selector(".sentence")
    page.wait_for_timeout(1500)
    whole, near = page.evaluate(DRAW)
    page.close()
    for _ in it:
        pass
    return whole, near


def main() -> int:
    with tempfile.TemporaryDirectory() as place:
        for width, height in SIZES:
            folder = Path(place) / f"{width}"
            save(blobs(width, height), folder, only=["chart.json"])
            session = Session(folder)
            edit, told, all_bytes = edited(session)
            whole, near = drawn(session)
            print(
                f"{width} x {height}: an edit {1000 * edit:.0f} ms, told in {told:,} bytes "
                f"of {all_bytes:,}; drawn whole {whole:.1f} ms, near {near:.1f} ms"
            )
    return 0


if __name__ == "__main__":
    sys.exit(main())
