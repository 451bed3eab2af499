"""Strokes: lines thinner than a block, kept as lines one block wide in their own colour.

What a morphological opening by a disc one block across removes from a colour's pixels is thin. Its
skeleton is followed, branch by branch, longest first; a branch that runs closer than a block to
one that is kept merges into it. A branch becomes the blocks it passes through, except those that
it only clips and does not need to stay in one piece.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pix2block.ground.frozen import dataclass
from pix2block.picture.artwork import Artwork, Bools

NO_STROKE = -1
_SHORTEST = 1.2  # blocks; shorter thin bits are the corners that an opening rounds off
# Of a thin part's border as much must lie on broad areas, else it is a gap among lines; unless
# most of its colour is thin anyway.
_ON_GROUND = 0.45
_TOO_CLOSE = 0.7  # blocks between two lines that merge
_CLIPPED = 0.25  # of a block's side: a shorter stretch in a block may be left out
_KEPT = 0.99  # of a line's length must stay in its own blocks
_LONG, _SHOWN = 4, 0.9  # blocks of a line that is judged; of its length that must be seen
_AXES = ("lines", "columns")


@dataclass(frozen=True, eq=False)
class Strokes:
    """blocks: (height, width) art colour of the line through each block, -1 where none is.
    branches: the lines as drawn."""

    blocks: NDArray[np.int64]
    branches: tuple[Branch, ...]

    @property
    def length(self) -> int:
        """Skeleton pixels of all lines."""
        return sum(len(branch.lines) for branch in self.branches)


@dataclass(frozen=True, eq=False)
class Branch:
    """A stretch of a line: its art colour and the pixels of its skeleton."""

    color: int
    lines: NDArray[np.int64]
    columns: NDArray[np.int64]


def find_strokes(art: Artwork) -> Strokes:
    """The strokes of an artwork as blocks."""
    side = art.a_block
    shape = (art.labels.shape[0] // side, art.labels.shape[1] // side)
    thin = _thin_parts(art)
    branches = sorted(
        (b for color, mask in thin.items() for b in _branches(color, mask)),
        key=lambda b: (-len(b.lines), b.color, int(b.lines[0]), int(b.columns[0])),
    )
    blocks = np.full(shape, NO_STROKE, dtype=np.int64)
    near = np.zeros(art.labels.shape, dtype=bool)
    for branch in branches:
        if _merges(branch, near, side):
            continue
        _stamp(near, branch, side * _TOO_CLOSE)
        for line, column in _blocks_of(branch, side):
            if blocks[line, column] == NO_STROKE:
                blocks[line, column] = branch.color
    return Strokes(blocks, tuple(branches))


def _thin_parts(art: Artwork) -> dict[int, Bools]:
    """Skeletons of what an opening of half a block removes, by colour."""
    from scipy.ndimage import binary_dilation, label, maximum_filter
    from skimage.morphology import skeletonize

    side = art.a_block
    pad = side
    labels = np.pad(art.labels, pad, mode="edge")
    broad = np.zeros(labels.shape, dtype=bool)
    residues = {}
    drawn_in = set()
    for color in range(len(art.colors)):
        mask = labels == color
        if not mask.any():
            continue
        core = ~_within(~mask, side / 2)
        opened = mask & _within(core, side / 2 + 0.5)
        broad |= opened
        residues[color] = mask & ~opened
        if np.count_nonzero(residues[color]) > np.count_nonzero(opened):
            drawn_in.add(color)
    square = np.ones((3, 3), dtype=bool)
    thin = {}
    for color, residue in residues.items():
        parts, count = label(residue, square)
        if not count:
            continue
        border = binary_dilation(residue, square) & ~residue & (labels != color)
        touching = maximum_filter(parts, 3)[border]  # a part beside each border pixel
        of_part = np.bincount(touching, minlength=count + 1)
        on_broad = np.bincount(touching, weights=broad[border], minlength=count + 1)
        skeleton = skeletonize(residue)
        lengths = np.bincount(parts[skeleton], minlength=count + 1)
        good = lengths >= _SHORTEST * side
        if color not in drawn_in:
            good &= on_broad >= _ON_GROUND * np.maximum(of_part, 1)
        good[0] = False
        kept = skeleton & good[parts]
        if kept.any():
            thin[color] = kept[pad:-pad, pad:-pad]
    return thin


def _within(mask: Bools, reach: float) -> Bools:
    """(h, w) whether a pixel of the mask lies within reach (pixels, by centres) of each.

    Counted along lines, for each line of the disc: a fifth of the time of a distance transform.
    """
    tall, wide = mask.shape
    most = int(reach)
    before = np.zeros((tall, most + 1 + wide + most), dtype=np.int32)  # of them to the left
    np.cumsum(mask, axis=1, out=before[:, most + 1 : most + 1 + wide])
    before[:, most + 1 + wide :] = before[:, most + wide, None]
    near = np.zeros(mask.shape, dtype=bool)
    for down in range(min(most, tall - 1) + 1):
        across = int((reach**2 - down**2) ** 0.5)
        first, after = most - across, most + across + 1
        here = before[:, after : after + wide] > before[:, first : first + wide]
        near[down:] |= here[: tall - down]
        near[: tall - down] |= here[down:]
    return near


def _branches(color: int, skeleton: Bools) -> list[Branch]:
    """The stretches of a skeleton between its ends and crossings; crossings go with the longest."""
    from scipy.ndimage import convolve, label

    square = np.ones((3, 3), dtype=np.int8)
    neighbours = convolve(skeleton.astype(np.int8), square, mode="constant") - skeleton
    crossings = skeleton & (neighbours >= 3)
    parts, count = label(skeleton & ~crossings, np.ones((3, 3)))
    order = np.argsort(parts[parts > 0], kind="stable")
    lines, columns = (axis[order] for axis in np.nonzero(parts))
    sizes = np.bincount(parts[parts > 0], minlength=count + 1)[1:]
    stretches = np.split(np.arange(len(lines)), np.cumsum(sizes)[:-1])
    found = [Branch(color, lines[part], columns[part]) for part in stretches if len(part)]
    lines, columns = np.nonzero(crossings)
    if len(lines):
        found.append(Branch(color, lines, columns))
    return found


def _merges(branch: Branch, near: Bools, side: int) -> bool:
    """Whether a branch runs alongside what is already kept: most of it, its ends left aside."""
    close = near[branch.lines, branch.columns]
    if len(branch.lines) <= 2 * side:
        return False  # too short to run alongside anything: it joins what it meets
    return float(close.mean()) > 0.6


def _stamp(near: Bools, branch: Branch, reach: float) -> None:
    """Mark what lies within reach of a branch."""
    from scipy.ndimage import distance_transform_edt

    r = int(np.ceil(reach)) + 1
    top, left = max(0, int(branch.lines.min()) - r), max(0, int(branch.columns.min()) - r)
    bottom, right = int(branch.lines.max()) + r + 1, int(branch.columns.max()) + r + 1
    window = near[top:bottom, left:right]
    away = np.ones(window.shape, dtype=bool)
    away[branch.lines - top, branch.columns - left] = False
    window |= distance_transform_edt(away) <= reach


def _blocks_of(branch: Branch, side: int) -> list[tuple[int, int]]:
    """The blocks a branch passes through, without those it only clips and can do without."""
    keys, counts = np.unique(
        np.stack([branch.lines // side, branch.columns // side], axis=1), axis=0, return_counts=True
    )
    here = {(int(a), int(b)): int(c) for (a, b), c in zip(keys, counts, strict=True)}
    spare = (1 - _KEPT) * len(branch.lines)
    for place in sorted(here, key=lambda p: (here[p], p)):
        if here[place] > min(_CLIPPED * side, spare):
            break
        if _can_spare(here, place):
            spare -= here.pop(place)
    return list(here)


_RING = ((-1, -1), (-1, 0), (-1, 1), (0, 1), (1, 1), (1, 0), (1, -1), (0, -1))


def _can_spare(blocks: dict[tuple[int, int], int], place: tuple[int, int]) -> bool:
    """Whether a block's neighbours, two or more, hang together without it."""
    around = [(place[0] + a, place[1] + b) in blocks for a, b in _RING]
    if sum(around) < 2:
        return False
    members = [_RING[i] for i, there in enumerate(around) if there]
    reached = {members[0]}
    grown = True
    while grown:
        grown = False
        for m in members:
            if m not in reached and any(
                max(abs(m[0] - r[0]), abs(m[1] - r[1])) <= 1 for r in reached
            ):
                reached.add(m)
                grown = True
    return len(reached) == len(members)


@dataclass(frozen=True)
class Broken:
    """A line that came out in pieces. length: in blocks; pieces: how many; kept: of its length, the
    share in blocks of its colour or right beside one."""

    length: float
    pieces: int
    kept: float


def broken_lines(strokes: Strokes, blocks: NDArray[np.int64], a_block: int) -> tuple[Broken, ...]:
    """Lines of more than a few blocks, the longest first, that (height, width) blocks of art
    colours show in pieces, or hardly at all. Lines closer to each other than a block are one, and
    a line that another crosses is not broken by it."""
    from scipy.ndimage import distance_transform_edt, label, maximum_filter

    found = []
    shape = tuple(side * a_block for side in blocks.shape)
    for color in sorted({branch.color for branch in strokes.branches}):
        own = [branch for branch in strokes.branches if branch.color == color]
        lines, columns = (np.concatenate([getattr(b, axis) for b in own]) for axis in _AXES)
        away = np.ones(shape, dtype=bool)
        away[lines, columns] = False
        hanging, count = label(distance_transform_edt(away) <= a_block / 2)
        crossing = (strokes.blocks != NO_STROKE) & (strokes.blocks != color)
        crossing &= strokes.blocks == blocks
        parts, _ = label((blocks == color) | crossing, np.ones((3, 3)))
        part = parts[lines // a_block, columns // a_block]
        near = maximum_filter(parts, 3)[lines // a_block, columns // a_block] > 0
        piece = hanging[lines, columns]
        for number in range(1, count + 1):
            here = piece == number
            length = int(here.sum()) / a_block
            pieces = len(np.unique(part[here & (part > 0)]))
            kept = float(near[here].mean()) if length else 1.0
            if length >= _LONG and (pieces > 1 or kept < _SHOWN):
                found.append(Broken(length, pieces, kept))
    return tuple(sorted(found, key=lambda one: -one.length))
