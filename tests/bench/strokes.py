"""Lines thinner than a block: of their length, the share that lies in blocks of their colour, with
lines kept and with blocks that take what covers most; and pieces of the line network, before and
after.

Run: PYTHONPATH=tests python tests/bench/strokes.py [FILE …]
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from linework import pieces_drawn, pieces_kept, share_in

from pix2block.picture.artwork import most_covering, read_artwork
from pix2block.picture.blocks import frame_picture
from pix2block.picture.picture import open_picture
from pix2block.picture.strokes import find_strokes

SAMPLES = Path(__file__).resolve().parents[2] / "sample_images"
FILES = (SAMPLES / "boathouse_lines.png", SAMPLES / "club_badge.png")


def main() -> None:
    for file in sys.argv[1:] or FILES:
        picture = open_picture(file)
        for width in (40, 60, 80):
            art = read_artwork(picture, frame_picture(picture.size, width))
            strokes = find_strokes(art)
            cover = most_covering(art)
            drawn = np.where(strokes.blocks >= 0, strokes.blocks, cover)
            shares = [share_in(strokes, blocks, art) for blocks in (drawn, cover)]
            print(
                f"{Path(file).stem:<16} {width} wide: share kept {shares[0]:.3f}, by cover alone "
                f"{shares[1]:.3f}; pieces {pieces_drawn(strokes, art)} drawn, "
                f"{pieces_kept(strokes)} kept"
            )


if __name__ == "__main__":
    main()
