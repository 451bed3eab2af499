"""Equal blocks as SVG: a run of them side by side is one rectangle, its marks one symbol.

A symbol of n marks is made of smaller ones, at most eight times each of the sizes 1, 8, 64, …, so
that long runs take few symbols and no symbol lies deep within others.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pix2block.drawing.marks import Mark
from pix2block.drawing.shapes import Blocks
from pix2block.drawing.style import HAIRLINE

_MANY = 8
Step = tuple[float, float]
Vector = NDArray[np.float64]  # (2,), or (n, 2) for many


@lru_cache(50_000)
def plain(value: float) -> str:
    """A number with at most two decimals."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class Symbols:
    """What drawings of one document share: marks, and runs of marks, each defined once."""

    def __init__(self) -> None:
        self._ids: dict[tuple[object, ...], str] = {}
        self._definitions: list[str] = []

    def defined(self) -> list[str]:
        """The element that defines them, for the same document; none where there are none."""
        return [f"<defs>{''.join(self._definitions)}</defs>"] if self._definitions else []

    def mark(self, mark: Mark, size: float) -> str:
        """The id of a mark in a square of twice that size."""
        key = (mark, plain(size))
        if key not in self._ids:
            path = "".join(
                "M" + " ".join(f"{plain(x * size)} {plain(y * size)}" for x, y in outline) + "z"
                for outline in (*mark.outlines, *mark.holes)
            )
            self._define(key, "path", f' fill-rule="evenodd" d="{path}"/>')
        return self._ids[key]

    def run(self, mark: Mark, size: float, step: Step, count: int) -> str:
        """The id of so many marks, a step from each to the next."""
        if count == 1:
            return self.mark(mark, size)
        key = (mark, plain(size), step, count)
        if key not in self._ids:
            part = 1
            while part * _MANY < count:
                part *= _MANY
            starts = range(0, count - part + 1, part)
            pieces = [(start, part) for start in starts]
            if count % part:
                pieces.append((count - count % part, count % part))
            uses = "".join(
                use(self.run(mark, size, step, length), start * step[0], start * step[1])
                for start, length in pieces
            )
            self._define(key, "g", f">{uses}</g>")
        return self._ids[key]

    def _define(self, key: tuple[object, ...], element: str, rest: str) -> None:
        self._ids[key] = f"m{len(self._ids)}"
        self._definitions.append(f'<{element} id="{self._ids[key]}"{rest}')


def use(name: str, x: float, y: float) -> str:
    """A symbol at a place."""
    at_x = f' x="{plain(x)}"' if x else ""
    at_y = f' y="{plain(y)}"' if y else ""
    return f'<use href="#{name}"{at_x}{at_y}/>'


def blocks(item: Blocks, symbols: Symbols) -> list[str]:
    """The elements of equal blocks: those side by side are one rectangle, unless each has a
    hairline of another colour."""
    along, across = _steps(item)
    first, counts = _runs(item, along, across)
    joined = item.edge == item.color
    if joined:
        path = _rectangles(first, counts, along, across)
    else:
        each = np.ones(len(item.centres), dtype=np.int64)
        path = _rectangles(item.centres, each, along, across)
    stroke = f'stroke="{item.edge}" stroke-width="{plain(HAIRLINE)}"'
    lines = [f'<path d="{path}" fill="{item.color}" {stroke}/>']
    if item.mark.outlines:
        size, up = item.side * item.mark_share, item.side * item.mark_up
        step = (float(along[0]), float(along[1]))
        uses = "".join(
            use(symbols.run(item.mark, size, step, count), x, y - up)
            for (x, y), count in zip(first.tolist(), counts.tolist(), strict=True)
        )
        lines.append(f'<g fill="{item.mark_color}">{uses}</g>')
    return lines


def _steps(item: Blocks) -> tuple[Vector, Vector]:
    """From a block to the one beside it, along and across its grid."""
    side = item.side
    if not item.on_tip:
        return np.array([side, 0.0]), np.array([0.0, side])
    half = side / 2**0.5
    return np.array([half, half]), np.array([half, -half])


def _runs(item: Blocks, along: Vector, across: Vector) -> tuple[Vector, NDArray[np.int64]]:
    """(n, 2) the centre of each run's first block, (n,) its blocks."""
    centres = np.asarray(item.centres, dtype=np.float64)
    places = (centres - centres[0]) @ np.linalg.inv(np.array([along, across]))
    nearest = np.rint(places).astype(np.int64)
    order = np.lexsort((nearest[:, 0], nearest[:, 1]))
    place, line = nearest[order].T
    off = abs(places - nearest).max(axis=1)[order] > 1e-3  # not on one grid with the first
    begins = np.ones(len(order), dtype=np.bool_)
    begins[1:] = (np.diff(line) != 0) | (np.diff(place) != 1) | off[1:] | off[:-1]
    starts = np.flatnonzero(begins)
    return centres[order][starts], np.diff(np.append(starts, len(order)))


def _rectangles(first: Vector, counts: NDArray[np.int64], along: Vector, across: Vector) -> str:
    """Runs as the data of a path."""
    path = []
    corners = np.asarray(first) - (along + across) / 2
    over = _moved(across)
    for (x, y), count in zip(corners.tolist(), counts.tolist(), strict=True):
        there = along * count
        if there[1] == 0:
            wide = plain(there[0])
            path.append(f"M{plain(x)} {plain(y)}h{wide}v{plain(across[1])}h-{wide}z")
        else:
            path.append(f"M{plain(x)} {plain(y)}l{_moved(there)} {over} {_moved(-there)}z")
    return "".join(path)


def _moved(by: Vector) -> str:
    return f"{plain(float(by[0]))} {plain(float(by[1]))}"
