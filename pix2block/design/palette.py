"""Which yarns: K colours from the picture, or the best K of a shelf; every block its nearest."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import difference_table
from pix2block.color.names import name_colors
from pix2block.color.spaces import Bytes, Floats, distinct, rgb_array, to_hex, to_lab
from pix2block.design.k_median import KMedian, solve
from pix2block.design.refine import RESTARTS, best_colors
from pix2block.design.share_out import share_out
from pix2block.design.stock import choose_sharing
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.yarn.yarn import Yarn

NO_COLORS: Bytes = np.zeros((0, 3), dtype=np.uint8)


@dataclass(frozen=True, eq=False)
class Palette:
    """Chosen yarns, every block's yarn, (height, width), the colours that they were matched to,
    (height, width, 3), and what is proven of the choice: found error / lower bound - 1, None where
    nothing is; full: numbers of yarns of which there is no more to be had; still:
    (height, width) blocks that calming leaves as they are, None for none of them."""

    yarns: tuple[Yarn, ...]
    blocks: NDArray[np.int64]
    matched: Bytes
    gap: float | None = None
    full: tuple[int, ...] = ()
    still: NDArray[np.bool_] | None = None

    @property
    def moved(self) -> dict[tuple[int, int], int]:
        """How many blocks are in another than their nearest yarn: by that and by theirs."""
        nearest = nearest_yarns(self.matched, rgb_array([yarn.color for yarn in self.yarns]))
        apart = nearest != self.blocks
        pairs = zip(nearest[apart].tolist(), self.blocks[apart].tolist(), strict=True)
        return dict(Counter(pairs).most_common())


def _summed(weights: Floats, which: NDArray[np.int64]) -> Floats:
    """(n,) weight of all blocks of each distinct colour."""
    return np.bincount(which.ravel(), weights=weights.ravel()).astype(np.float64)


def nearest_yarns(means: Bytes, yarns: Bytes) -> NDArray[np.int64]:
    """(height, width) the yarn of least CIEDE2000 for each block; ties to the lowest number."""
    unique, which = distinct(means)
    nearest = np.argmin(difference_table(unique, yarns), axis=1)
    return np.asarray(nearest[which])


def yarns_from_picture(
    means: Bytes,
    weights: Floats,
    most: int,
    seed: int,
    spots: Bytes = NO_COLORS,
    restarts: int = RESTARTS,
) -> Palette:
    """At most `most` yarns of the picture's own colours, by blocks falling.

    means: (height, width, 3) block colours; weights: (height, width); spots: (s, 3) colours that
    each get a yarn; restarts: of the search. The same seed gives the same yarns.

    Raises BadInput where there are more spots than yarns.
    """
    spots = np.unique(spots, axis=0)
    if len(spots) > most:
        raise BadInput(f"{len(spots)} spots, but at most {most} yarns: raise ", Ask("colors"))
    unique, which = distinct(means)
    if len(unique) <= most - len(spots):
        return _named(np.unique(np.concatenate([unique, spots]), axis=0), means)
    weight = _summed(weights, which)
    return _named(best_colors(to_lab(unique), weight, most, seed, spots, restarts), means)


def yarns_of_artwork(
    blocks: Bytes, weights: Floats, most: int, spots: Bytes = NO_COLORS
) -> Palette:
    """At most `most` of the colours that (height, width, 3) blocks of flat art have, the best few:
    no colour is mixed. The yarn nearest to each spot is among them.

    Raises BadInput where there are more spots than yarns.
    """
    colors, which = distinct(blocks)
    table = difference_table(colors, colors)
    must = set()
    if len(spots):
        must = set(np.argmin(difference_table(spots, colors), axis=1).tolist())
    if len(must) > most:
        raise BadInput(f"{len(must)} spots, but at most {most} yarns: raise ", Ask("colors"))
    gap = None
    if most < len(colors):
        problem = KMedian(table, _summed(weights, which), most, tuple(sorted(must)))
        chosen, gap = solve(problem)
        colors = colors[chosen]
    return replace(_named(colors, blocks), gap=gap)


def yarns_given(colors: Bytes, matched: Bytes) -> Palette:
    """Yarns of (k, 3) colours; (height, width, 3) what each block is matched to."""
    return _named(colors, matched)


def yarns_taken_exactly(means: Bytes, most: int) -> Palette:
    """A yarn for every colour of a picture that already is a chart.

    Raises BadInput where it has more than `most` colours.
    """
    colors, _ = distinct(means)
    if len(colors) > most:
        raise BadInput(
            f"as a chart the picture has {len(colors):,} colours, over {most}: use ",
            Ask("look", "photo"),
            ", or a picture without blends (PNG, not JPEG)",
        )
    return _named(colors, means)


def _named(colors: Bytes, means: Bytes) -> Palette:
    blocks = nearest_yarns(means, colors)
    counts = np.bincount(blocks.ravel(), minlength=len(colors))
    order = np.argsort(-counts, kind="stable")
    order = order[counts[order] > 0]
    number = np.empty(len(colors), dtype=np.int64)
    number[order] = np.arange(len(order))
    names = name_colors(colors[order])
    yarns = tuple(Yarn(n, to_hex(c)) for n, c in zip(names, colors[order], strict=True))
    return Palette(yarns, number[blocks], means)


def yarns_from_shelf(
    means: Bytes,
    weights: Floats,
    shelf: tuple[Yarn, ...],
    most: int,
    locked: tuple[int, ...] = (),
    banned: tuple[int, ...] = (),
    spots: Bytes = NO_COLORS,
    room: Floats | None = None,
) -> Palette:
    """At most `most` yarns of a shelf, in its order: the K-median, with what is proven of it.

    room: (shelf,) blocks that each yarn is on hand for, None for any number. Blocks then are shared
    out at the least sum where the room is enough, and else go to their nearest yarn; nothing is
    proven of a choice within it.

    locked, banned: numbers of yarns on the shelf that must and must not be used; the yarn nearest
    to each spot is locked too.

    Raises BadInput where they leave no choice.
    """
    for i in locked:
        if i in banned:
            raise BadInput(f'"{shelf[i].name}" is both locked and banned: choose one')
    allowed = [i for i in range(len(shelf)) if i not in banned]
    if not allowed:
        raise BadInput("every yarn of the shelf is banned: leave out a ", Ask("ban"))
    rgb = rgb_array([shelf[i].color for i in allowed])
    must = {allowed.index(i) for i in locked}
    if len(spots):
        must |= set(np.argmin(difference_table(spots, rgb), axis=1).tolist())
    if len(must) > most:
        raise BadInput(
            f"{len(must)} yarns are locked or spotted, but at most {most} may be used: raise ",
            Ask("colors"),
        )
    unique, which = distinct(means)
    weight = _summed(weights, which)
    table = difference_table(rgb, unique)
    chosen: list[int] = list(range(len(allowed)))
    gap: float | None = 0.0
    if room is not None:
        blocks = np.bincount(which.ravel()).astype(np.float64)
        few, few_weight, few_blocks = _alike_as_one(unique, weight, blocks)
        problem = KMedian(difference_table(rgb, few), few_weight, most, tuple(sorted(must)))
        free = room[allowed]
        chosen, gap = list(choose_sharing(problem, few_blocks, free)), None
        yarns = tuple(shelf[allowed[i]] for i in chosen)
        shared = _shared(table[chosen].T[which], weights, free[chosen])
        if shared is not None:
            taken = np.bincount(shared.ravel(), minlength=len(chosen))
            full = tuple(np.flatnonzero(taken > _NEARLY_FULL * free[chosen]).tolist())
            return Palette(yarns, shared, means, gap, full)
    elif most < len(allowed):
        chosen, gap = solve(KMedian(table, weight, most, tuple(sorted(must))))
    yarns = tuple(shelf[allowed[i]] for i in chosen)
    return Palette(yarns, np.asarray(np.argmin(table[chosen], axis=0)[which]), means, gap)


_NEARLY_FULL = 0.9  # of the room: calming may put no more blocks there


def _shared(error: Floats, weights: Floats, room: Floats) -> NDArray[np.int64] | None:
    """(height, width) yarns within their room, at the least weighted sum of (height, width, yarns)
    errors; None where all together have too little. Blocks alike lie together along the diagonals
    where they are of several yarns."""
    height, width, yarns = error.shape
    line, column = np.indices((height, width)).reshape(2, -1)
    order = np.lexsort((line, line + column))
    cost = (error * weights[..., None]).reshape(-1, yarns)[order]
    kinds, which, count = np.unique(cost, axis=0, return_inverse=True, return_counts=True)
    shares = share_out(kinds, room, count)
    if shares is None:
        return None
    found = np.empty(height * width, dtype=np.int64)
    by_kind = order[np.argsort(which.ravel(), kind="stable")]
    numbers = np.tile(np.arange(yarns), len(kinds))
    found[by_kind] = np.repeat(numbers, shares.taken.ravel())
    return found.reshape(height, width)


_ALIKE = 12  # levels of sRGB that are one in a search


def _alike_as_one(colors: Bytes, weight: Floats, blocks: Floats) -> tuple[Bytes, Floats, Floats]:
    """Colours that are much alike as one, their mean; the weight and the blocks of each."""
    _, which = np.unique(colors // _ALIKE, axis=0, return_inverse=True)
    which = which.ravel()
    count = np.bincount(which, weights=blocks)
    means = [np.bincount(which, weights=blocks * colors[:, i]) / count for i in range(3)]
    few = np.floor(np.stack(means, axis=1) + 0.5).astype(np.uint8)
    return few, np.bincount(which, weights=weight).astype(np.float64), count.astype(np.float64)
