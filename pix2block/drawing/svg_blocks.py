"""Equal blocks as SVG: those side by side are one rectangle, their marks one symbol.

They are written in a frame of their own, turned as they are, where a block has side 1: so places
are mostly whole numbers, and the same blocks in another view are the same path.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pix2block.drawing.shapes import Blocks
from pix2block.drawing.style import HAIRLINE
from pix2block.drawing.symbols import Symbols, plain, use

_ON_GRID = 1e-3  # of a block's side


def blocks(item: Blocks, symbols: Symbols) -> list[str]:
    """The elements of equal blocks. Those that have a hairline of another colour are rectangles
    of their own."""
    frame, places = _in_frame(item)
    starts, counts = _runs(places)
    joined = item.edge == item.color
    path = _rectangles(starts, counts) if joined else _rectangles(places, np.ones(len(places)))
    stroke = f'stroke="{item.edge}" stroke-width="{plain(HAIRLINE / item.side, 4)}"'
    parts = [f'<g transform="{frame}">']
    look = (item.mark, item.mark_share, item.mark_up, item.turn)
    if symbols.on_screen and joined:
        name = symbols.define("path", f' d="{path}"/>')
        parts.append(use(name, 0, 0, f' fill="{item.color}" {stroke}'))
        if item.mark.outlines:
            fill = symbols.pattern(*look, item.mark_color)
            parts.append(use(name, 0, 0, f' fill="url(#{fill})"'))
    else:
        parts.append(f'<path d="{path}" fill="{item.color}" {stroke}/>')
        if item.mark.outlines:
            mark = symbols.mark(*look)
            uses = "".join(
                use(symbols.run(mark, count), x, y)
                for (x, y), count in zip(starts.tolist(), counts.tolist(), strict=True)
            )
            parts.append(f'<g fill="{item.mark_color}">{uses}</g>')
    return [*parts, "</g>"]


def _in_frame(item: Blocks) -> tuple[str, NDArray[np.float64]]:
    """The frame in which the first block lies from (0, 0) to (1, 1), as a transform, and (n, 2)
    the blocks' first corners in it."""
    centres = np.asarray(item.centres, dtype=np.float64)
    half, inverse = _axes(item.turn, item.side)
    x, y = (centres[0] - half).tolist()
    turned = f" rotate({plain(item.turn)})" if item.turn else ""
    frame = f"translate({plain(x)} {plain(y)}){turned} scale({item.side:.8g})"
    if len(centres) == 1:
        return frame, np.zeros((1, 2))
    places = (centres - centres[0]) @ inverse
    nearest = np.rint(places)
    return frame, np.where(abs(places - nearest) < _ON_GRID, nearest, places)


@lru_cache(1000)
def _axes(turn: float, side: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(2,) from a block's first corner to its middle; (2, 2) from the sheet to the frame."""
    angle = np.radians(turn)
    along = np.array([np.cos(angle), np.sin(angle)]) * float(side)
    axes = np.array([along, [-along[1], along[0]]])
    return axes.sum(axis=0) / 2, np.linalg.inv(axes)


def _runs(places: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """(n, 2) each run's first block, (n,) its blocks."""
    if len(places) == 1:
        return places, np.ones(1, dtype=np.int64)
    places = places[np.lexsort((places[:, 0], places[:, 1]))]
    across, down = places.T
    apart = (down[1:] != down[:-1]) | (across[1:] - across[:-1] != 1)
    starts = np.concatenate(([0], apart.nonzero()[0] + 1))
    return places[starts], np.concatenate((starts[1:], [len(places)])) - starts


def _rectangles(places: NDArray[np.float64], counts: NDArray[np.generic]) -> str:
    """Runs as the data of a path."""
    return "".join(
        f"M{plain(x, 3)} {plain(y, 3)}h{count:.0f}v1h-{count:.0f}z"
        for (x, y), count in zip(places.tolist(), counts.tolist(), strict=True)
    )
