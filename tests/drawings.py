"""Flat art of known geometry, drawn by us at any size: a moth beetle, a ring logo, a face of lines,
a sign with lettering. What a line is, is known from its own points, not from its pixels."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

RGB = tuple[int, int, int]
Points = NDArray[np.float64]

INK: RGB = (24, 22, 26)
PAPER: RGB = (246, 240, 226)
MOSS: RGB = (78, 128, 86)
AMBER: RGB = (226, 158, 52)
LIPS: RGB = (196, 44, 60)
SKIN: RGB = (238, 198, 168)
SEA: RGB = (31, 58, 80)
_FINER = 8
_ON_AN_EDGE = ((-0.06, 0), (0.06, 0), (0, -0.06), (0, 0.06))  # blocks


@dataclass
class Art:
    """A drawing in a square of side 1. areas and lines are drawn in the order they come; a line is
    (points, width, colour)."""

    ground: RGB
    areas: list[tuple[Points, RGB]] = field(default_factory=list)
    lines: list[tuple[Points, float, RGB]] = field(default_factory=list)

    @property
    def colors(self) -> NDArray[np.uint8]:
        """(c, 3) all that it was drawn in."""
        used = [self.ground, *(c for _, c in self.areas), *(c for *_, c in self.lines)]
        return np.array(list(dict.fromkeys(used)), dtype=np.uint8)

    def area(self, points: Points, color: RGB) -> None:
        self.areas.append((points, color))

    def line(self, points: Points, width: float, color: RGB = INK) -> None:
        self.lines.append((points, width, color))

    def both_sides(self, points: Points, width: float, color: RGB = INK) -> None:
        """A line and its mirror image."""
        self.line(points, width, color)
        self.line(points * (-1, 1) + (1, 0), width, color)

    def image(self, side: int) -> Image.Image:
        """So many pixels wide, each the mean of 8 x 8 finer ones (of coded values, as drawing
        programs smooth)."""
        fine = side * _FINER
        image = Image.new("RGB", (fine, fine), self.ground)
        pen = ImageDraw.Draw(image)
        for points, color in self.areas:
            pen.polygon([tuple(p) for p in (points * fine).tolist()], color)
        for points, width, color in self.lines:
            wide = width * fine
            at = [tuple(p) for p in (points * fine).tolist()]
            pen.line(at, color, max(1, round(wide)), joint="curve")
            for x, y in (at[0], at[-1]):
                pen.ellipse([x - wide / 2, y - wide / 2, x + wide / 2, y + wide / 2], color)
        return image.reduce(_FINER)

    def share_kept(self, shown: NDArray[np.uint8], color: RGB = INK) -> float:
        """Of the length of a colour's lines, the share that lies in blocks less than 12 levels
        away. shown: (height, width, 3) the colours of a chart of the whole drawing."""
        kept = length = 0.0
        for points, _, own in self.lines:
            if own != color:
                continue
            at, step = along(points)
            there = np.zeros(len(at), dtype=bool)
            for shift in _ON_AN_EDGE:  # on the edge of two blocks either will do
                row, column = (
                    np.clip(at[:, i] * shown.shape[1 - i] + shift[i], 0, shown.shape[1 - i] - 1e-9)
                    for i in (1, 0)
                )
                away = shown[row.astype(int), column.astype(int)].astype(int) - color
                there |= np.abs(away).max(axis=1) < 12
            kept += step * np.count_nonzero(there)
            length += step * len(at)
        return kept / length


def along(points: Points) -> tuple[Points, float]:
    """Places along a line of points, each as far from the next, and how far."""
    legs = np.hypot(*np.diff(points, axis=0).T)
    ends = np.concatenate([[0], np.cumsum(legs)])
    count = max(2, round(ends[-1] * 2000))
    at = (np.arange(count) + 0.5) * ends[-1] / count
    places = np.stack([np.interp(at, ends, points[:, i]) for i in range(2)], axis=1)
    return places, float(ends[-1] / count)


def arc(x: float, y: float, rx: float, ry: float, start: float = 0, stop: float = 360) -> Points:
    """Points of an ellipse about x, y, from start to stop in degrees."""
    turn = np.radians(np.linspace(start, stop, 90))
    return np.stack([x + rx * np.cos(turn), y + ry * np.sin(turn)], axis=1)


def path(*points: tuple[float, float]) -> Points:
    """Points, as an array."""
    return np.array(points, dtype=np.float64)


def beetle(line: float = 0.006) -> Art:
    """A beetle with moss wings, amber spots, legs and feelers: symmetric."""
    art = Art(PAPER)
    art.area(arc(0.5, 0.58, 0.22, 0.3), MOSS)
    art.area(arc(0.5, 0.25, 0.12, 0.09), AMBER)
    for x in (0.4, 0.6):
        art.area(arc(x, 0.5, 0.045, 0.05), AMBER)
        art.area(arc(x, 0.7, 0.045, 0.05), AMBER)
    art.line(arc(0.5, 0.58, 0.22, 0.3), line)
    art.line(arc(0.5, 0.25, 0.12, 0.09), line)
    art.line(path((0.5, 0.28), (0.5, 0.88)), line)
    art.both_sides(path((0.56, 0.175), (0.62, 0.1), (0.72, 0.06), (0.78, 0.09)), line)
    for top, out in ((0.42, 0.3), (0.58, 0.6), (0.74, 0.82)):
        art.both_sides(path((0.7, top), (0.82, out), (0.93, out + 0.1)), line)
    art.both_sides(path((0.56, 0.38), (0.62, 0.62), (0.57, 0.8)), line)
    return art


def ring_logo(line: float = 0.02) -> Art:
    """A ring about an anchor-like mark: symmetric."""
    art = Art(SEA)
    art.line(arc(0.5, 0.5, 0.43, 0.43), line, PAPER)
    art.area(arc(0.5, 0.5, 0.3, 0.3), AMBER)
    art.line(path((0.5, 0.32), (0.5, 0.7)), line, PAPER)
    art.line(arc(0.5, 0.28, 0.04, 0.04), line, PAPER)
    art.line(arc(0.5, 0.55, 0.15, 0.15, 20, 160), line, PAPER)
    return art


def lined_face(line: float = 0.006) -> Art:
    """A face in lines with small red lips."""
    art = Art(PAPER)
    art.area(arc(0.5, 0.5, 0.33, 0.4), SKIN)
    art.line(arc(0.5, 0.5, 0.33, 0.4), line)
    for x in (0.37, 0.63):
        art.line(arc(x, 0.43, 0.07, 0.035), line)
        art.area(arc(x, 0.43, 0.02, 0.02), INK)
        art.line(arc(x, 0.37, 0.08, 0.03, 200, 340), line)
    art.line(path((0.5, 0.45), (0.46, 0.58), (0.5, 0.6)), line)
    art.area(
        np.concatenate([arc(0.5, 0.7, 0.09, 0.035, 0, 180), arc(0.5, 0.7, 0.09, 0.03, 180, 360)]),
        LIPS,
    )
    art.line(path((0.41, 0.7), (0.47, 0.705), (0.53, 0.705), (0.59, 0.7)), line)
    return art


_LETTERS: dict[str, list[list[tuple[float, float]]]] = {  # on a grid of 2 x 4, strokes of a letter
    "L": [[(0, 0), (0, 4), (2, 4)]],
    "A": [[(0, 4), (1, 0), (2, 4)], [(0.5, 2.6), (1.5, 2.6)]],
    "N": [[(0, 4), (0, 0), (2, 4), (2, 0)]],
    "T": [[(0, 0), (2, 0)], [(1, 0), (1, 4)]],
    "E": [[(2, 0), (0, 0), (0, 4), (2, 4)], [(0, 2), (1.5, 2)]],
    "R": [[(0, 4), (0, 0), (2, 0), (2, 2), (0, 2)], [(0.7, 2), (2, 4)]],
}


def sign(words: str = "LANTERN", tall: float = 0.09, line: float = 0.012) -> Art:
    """A sign with a line of letters in it, ink on amber."""
    art = Art(PAPER)
    art.area(path((0.06, 0.35), (0.94, 0.35), (0.94, 0.65), (0.06, 0.65)), AMBER)
    unit = tall / 4
    wide = unit * (3 * len(words) - 1)
    for i, letter in enumerate(words):
        at = (0.5 - wide / 2 + i * 3 * unit, 0.5 - tall / 2)
        for stroke in _LETTERS[letter]:
            art.line(np.array(stroke) * unit + at, line)
    return art


ALL = {"beetle": beetle, "ring": ring_logo, "face": lined_face}
