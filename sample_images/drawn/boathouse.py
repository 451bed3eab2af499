"""The boathouse in lines."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from drawn.tools import FONT, Points, curve

INK, FLAG, WATER = (38, 40, 52), (196, 52, 44), (44, 112, 164)
LINE_DETAIL = 4


class Pen:
    """Draws round-ended lines on a sheet that is several times too large."""

    def __init__(self, size: tuple[int, int]) -> None:
        self.size = size
        big = (size[0] * LINE_DETAIL, size[1] * LINE_DETAIL)
        self.picture = Image.new("RGB", big, (255, 255, 255))
        self._draw = ImageDraw.Draw(self.picture)

    def line(self, points: Points, color: tuple[int, int, int] = INK, width: float = 5.0) -> None:
        at = [(x * LINE_DETAIL, y * LINE_DETAIL) for x, y in points]
        self._draw.line(at, fill=color, width=round(width * LINE_DETAIL), joint="curve")
        half = width * LINE_DETAIL / 2
        for x, y in at if len(at) < 10 else (at[0], at[-1]):
            self._draw.ellipse((x - half, y - half, x + half, y + half), fill=color)

    def bend(self, points: Points, color: tuple[int, int, int] = INK, width: float = 5.0) -> None:
        path = curve(points, 60)
        self.line([(float(x), float(y)) for x, y in path], color, width)

    def blank(self, points: Points) -> None:
        at = [(x * LINE_DETAIL, y * LINE_DETAIL) for x, y in points]
        self._draw.polygon(at, fill=(255, 255, 255))

    def word(self, middle: tuple[float, float], text: str, size: float) -> None:
        font = ImageFont.truetype(str(FONT), round(size * LINE_DETAIL))
        at = (middle[0] * LINE_DETAIL, middle[1] * LINE_DETAIL)
        self._draw.text(at, text, font=font, fill=INK, anchor="mm")

    def image(self) -> Image.Image:
        return self.picture.resize(self.size, Image.Resampling.BOX)


def draw_boathouse() -> Image.Image:
    """The boathouse on its stilts, the jetty and a rowing boat, in three colours of line."""
    pen = Pen((1200, 900))
    house_lines(pen)
    jetty_lines(pen)
    boat_lines(pen)
    rng = np.random.default_rng(301)
    gaps = ((690, 60, 160), (742, 40, 330), (796, 90, 520), (846, 200, 640), (846, 720, 1120))
    for level, start, end in (*gaps, (742, 380, 560), (664, 926, 1020)):
        xs = np.arange(start, end + 1, 22.0)
        ys = level + 6 * np.sin(xs / 26 + rng.uniform(0, 6))
        pen.bend(list(zip(xs.tolist(), ys.tolist(), strict=True)), WATER)
    return pen.image()


def house_lines(pen: Pen) -> None:
    for x in (190, 330, 490, 620):  # stilts
        pen.line([(x - 8, 590), (x - 8, 710)])
        pen.line([(x + 8, 590), (x + 8, 710)])
    for left, right in ((198, 322), (498, 612)):
        pen.line([(left, 600), (right, 690)], width=4)
        pen.line([(right, 600), (left, 690)], width=4)
    pen.line([(150, 590), (660, 590), (660, 574), (150, 574), (150, 590)])
    pen.line([(180, 574), (180, 350)])
    pen.line([(630, 574), (630, 350)])
    pen.line([(130, 352), (405, 150), (680, 352)])
    pen.line([(130, 352), (148, 372), (405, 182), (662, 372), (680, 352)])
    for y in (448, 490, 532):  # planks
        pen.line([(180, y), (290, y)], width=3.5)
        pen.line([(520, y), (630, y)], width=3.5)
    pen.line([(300, 574), (300, 424), (510, 424), (510, 574)])
    pen.line([(405, 424), (405, 574)])
    for x in (300, 405):
        pen.line([(x + 14, 560), (x + 91, 440)], width=4)
    pen.line([(392, 496), (392, 514)], width=7)
    pen.line([(418, 496), (418, 514)], width=7)
    pen.line([(218, 336), (592, 336), (592, 408), (218, 408), (218, 336)])
    pen.word((405, 372), "LANTERN", 68)
    circle = [(405 + 30 * np.cos(t), 258 + 30 * np.sin(t)) for t in np.linspace(0, 2 * np.pi, 61)]
    pen.line(circle)
    pen.line([(405, 228), (405, 288)], width=4)
    pen.line([(375, 258), (435, 258)], width=4)
    pen.line([(405, 150), (405, 34)])
    pen.bend([(407, 40), (450, 46), (500, 62), (548, 64)], FLAG, 6)
    pen.bend([(407, 98), (450, 92), (500, 76), (548, 64)], FLAG, 6)
    pen.bend([(407, 69), (450, 68), (490, 68)], FLAG, 6)


def jetty_lines(pen: Pen) -> None:
    pen.line([(660, 574), (1090, 574), (1090, 590), (660, 590)])
    for x in range(700, 1090, 43):
        pen.line([(x, 574), (x, 590)], width=3.5)
    for x in (740, 880, 1050):
        pen.line([(x - 8, 590), (x - 8, 682)])
        pen.line([(x + 8, 590), (x + 8, 682)])
    for x in (720, 850, 980, 1074):  # the rail
        pen.line([(x, 574), (x, 514)], width=4)
    for left, right in ((720, 850), (850, 980), (980, 1074)):
        pen.bend([(left, 516), ((left + right) / 2, 540), (right, 516)], width=4)
    pen.line([(1074, 514), (1074, 444)])  # the lamp at the end
    pen.line([(1054, 444), (1094, 444), (1088, 396), (1060, 396), (1054, 444)])
    pen.line([(1052, 396), (1074, 372), (1096, 396), (1052, 396)])
    pen.bend([(1074, 410), (1066, 426), (1074, 436), (1082, 426), (1074, 410)], FLAG, 5)


def boat_lines(pen: Pen) -> None:
    hull = curve([(700, 716), (760, 776), (900, 800), (1040, 778), (1112, 706)], 60)
    far = curve([(1112, 706), (1030, 714), (900, 718), (780, 718), (700, 716)], 60)
    near = curve([(700, 716), (780, 744), (900, 754), (1030, 744), (1112, 706)], 60)
    outline = [(float(x), float(y)) for x, y in np.vstack([hull, far])]
    pen.blank(outline)
    pen.line(outline)
    pen.line([(float(x), float(y)) for x, y in near])
    pen.bend([(724, 746), (790, 768), (900, 778), (1030, 766), (1094, 734)], FLAG, 5)
    for x in (800, 990):  # thwarts
        pen.line([(x, 718), (x - 8, 746)], width=4)
        pen.line([(x + 24, 718), (x + 18, 750)], width=4)
    pen.line([(884, 690), (1010, 822)], width=6)
    pen.bend([(1010, 822), (1042, 836), (1060, 872), (1024, 856), (1010, 822)], width=5)
    pen.bend([(702, 716), (684, 660), (732, 600)], width=3.5)  # the painter
    for x, y, wide in ((820, 190, 44), (930, 130, 34), (1000, 230, 28)):  # gulls
        pen.bend([(x - wide, y - 6), (x - 0.5 * wide, y - 16), (x, y)], width=4)
        pen.bend([(x, y), (x + 0.5 * wide, y - 18), (x + wide, y - 10)], width=4)
