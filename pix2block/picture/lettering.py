"""Lettering in an artwork: how tall its letters are in blocks, and from which size they read."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pix2block.picture.artwork import Artwork

LEAST_BLOCKS = 5  # the smallest letters of a pixel font are 3 blocks wide and 5 tall
_LEAST_LETTERS = 4
_LEAST_PIXELS = 6


@dataclass(frozen=True)
class Lettering:
    """A line of letters. height: of its letters in blocks; letters: how many."""

    height: float
    letters: int

    @property
    def legible(self) -> bool:
        """Whether a pixel font could be so small."""
        return self.height >= LEAST_BLOCKS


def find_lettering(art: Artwork) -> Lettering | None:
    """The smallest line of letters: four or more separate shapes of one colour, about as tall as
    each other, beside each other on one line; None where there is none."""
    from scipy.ndimage import find_objects, label

    found: list[Lettering] = []
    for color in range(len(art.colors)):
        parts, _ = label(art.labels == color, np.ones((3, 3)))
        boxes = [
            (span[1].start, span[0].start, span[1].stop, span[0].stop)
            for span in find_objects(parts)
        ]
        shapes = sorted(box for box in boxes if _letter_like(box))
        for line in _lines_of(shapes):
            tall = float(np.median([bottom - top for _, top, _, bottom in line]))
            found.append(Lettering(tall / art.a_block, len(line)))
    return min(found, key=lambda line: line.height, default=None)


_Box = tuple[int, int, int, int]


def _letter_like(box: _Box) -> bool:
    width, height = box[2] - box[0], box[3] - box[1]
    return height >= _LEAST_PIXELS and 0.12 * height <= width <= 1.6 * height


def _lines_of(shapes: list[_Box]) -> list[list[_Box]]:
    """Chains of shapes from left to right that look like one line of letters."""
    lines: list[list[_Box]] = []
    for box in shapes:
        tall = box[3] - box[1]
        for line in lines:
            last = line[-1]
            last_tall = last[3] - last[1]
            alike = 0.8 <= tall / last_tall <= 1.25
            level = abs(box[3] - last[3]) <= 0.15 * last_tall
            beside = -0.1 * last_tall <= box[0] - last[2] <= 0.9 * last_tall
            if alike and level and beside:
                line.append(box)
                break
        else:
            lines.append([box])
    return [line for line in lines if len(line) >= _LEAST_LETTERS]
