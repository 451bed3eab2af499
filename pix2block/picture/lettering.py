"""Lettering in an artwork: how tall its letters are in blocks, from which size they read, and what
became of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pix2block.ground.frozen import dataclass
from pix2block.picture.artwork import Artwork, Bools

LEAST_BLOCKS = 5  # the smallest letters of a pixel font are 3 blocks wide and 5 tall
_LEAST_LETTERS = 4
_LEAST_PIXELS = 6
_COUNTER = 0.1  # of a block: a smaller hole in a letter is no part of its shape
_ALL_AROUND = np.ones((3, 3), dtype=np.int8)
_Box = tuple[int, int, int, int]


@dataclass(frozen=True)
class Lettering:
    """A line of letters. height: of its letters in blocks; letters: how many; color: of the
    artwork; boxes: left, top, right, bottom of each letter in the artwork's pixels."""

    height: float
    letters: int
    color: int
    boxes: tuple[_Box, ...]

    @property
    def legible(self) -> bool:
        """Whether a pixel font could be so small."""
        return self.height >= LEAST_BLOCKS


@dataclass(frozen=True)
class CameOut:
    """How many letters of a line came out in pieces, or not at all; together with another; with a
    hole of theirs filled up."""

    broken: int
    fused: int
    closed: int

    def __bool__(self) -> bool:
        return bool(self.broken or self.fused or self.closed)


def find_lettering(art: Artwork) -> Lettering | None:
    """The smallest line of letters: four or more separate shapes of one colour, about as tall as
    each other, beside each other on one line; None where there is none."""
    from scipy.ndimage import find_objects, label

    found: list[Lettering] = []
    for color in range(len(art.colors)):
        parts, _ = label(art.labels == color, _ALL_AROUND)
        boxes = [
            (span[1].start, span[0].start, span[1].stop, span[0].stop)
            for span in find_objects(parts)
        ]
        shapes = sorted(box for box in boxes if _letter_like(box))
        for line in _lines_of(shapes):
            tall = float(np.median([bottom - top for _, top, _, bottom in line]))
            found.append(Lettering(tall / art.a_block, len(line), color, tuple(line)))
    return min(found, key=lambda line: line.height, default=None)


def how_it_came_out(art: Artwork, line: Lettering, blocks: NDArray[np.int64]) -> CameOut:
    """What became of letters in (height, width) blocks of art colours."""
    from scipy.ndimage import label

    own = blocks == line.color
    parts, _ = label(own, _ALL_AROUND)
    of_letter = [_parts_of(art, line.color, box, parts) for box in line.boxes]
    holders = [part for mine in of_letter for part in mine]
    return CameOut(
        broken=sum(len(mine) != 1 for mine in of_letter),
        fused=sum(any(holders.count(part) > 1 for part in mine) for mine in of_letter),
        closed=sum(_closed(art, line.color, box, own) for box in line.boxes),
    )


def _parts_of(art: Artwork, color: int, box: _Box, parts: NDArray[np.int64]) -> set[int]:
    """The parts of a chart in which a letter lies."""
    left, top, right, bottom = box
    lines, columns = np.nonzero(art.labels[top:bottom, left:right] == color)
    at = parts[(lines + top) // art.a_block, (columns + left) // art.a_block]
    return set(np.unique(at[at > 0]).tolist())


def _closed(art: Artwork, color: int, box: _Box, own: Bools) -> bool:
    """Whether a letter has fewer holes as blocks than as drawn."""
    left, top, right, bottom = box
    side = art.a_block
    drawn = _holes(art.labels[top:bottom, left:right] == color, _COUNTER * side * side)
    across, down = (slice(a // side, -(-b // side)) for a, b in ((left, right), (top, bottom)))
    return _holes(own[down, across], 1) < drawn


def _holes(shape: Bools, least: float) -> int:
    """How many patches of at least so many pixels a shape encloses."""
    from scipy.ndimage import label

    outside, _ = label(np.pad(~shape, 1, constant_values=True))
    sizes = np.bincount(outside.ravel())[1:]
    sizes[outside[0, 0] - 1] = 0
    return int((sizes >= least).sum())


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
