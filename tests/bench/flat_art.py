"""Flat art of known geometry as charts: of its lines' length the share in blocks of their colour;
the yarn farthest from a colour it was drawn in; blocks unlike their mirror images.

Run: PYTHONPATH=tests:. python tests/bench/flat_art.py
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np
from drawings import ALL, INK, PAPER

from pix2block import Options, chart_picture
from pix2block.color.difference import difference_table

PIXELS = (4, 6, 8, 20)  # a block


def main() -> None:
    folder = Path(sys.argv[1]) if sys.argv[1:] else Path(tempfile.mkdtemp())
    print("drawing  pixels a block, blocks wide: share of lines kept; farthest yarn; yarns; unlike")
    for name, draw in ALL.items():
        art = draw()
        for a_block in PIXELS:
            for width in (30, 40, 60, 80):
                file = folder / f"{name}-{width}-{a_block}.png"
                art.image(width * a_block).save(file)
                chart = chart_picture(file, Options(width=width, colors=len(art.colors))).chart
                shown = chart.yarn_rgb[chart.blocks]
                kept = art.share_kept(shown, PAPER if name == "ring" else INK)
                used = np.unique(chart.blocks)
                far = difference_table(chart.yarn_rgb[used], art.colors).min(axis=1).max()
                unlike = (chart.blocks != chart.blocks[:, ::-1]).mean()
                print(
                    f"{name:<7} {a_block:>3} {width:>3}: {kept:.3f}  {far:5.1f}  "
                    f"{len(used)}/{len(art.colors)}  {unlike:.3f}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
