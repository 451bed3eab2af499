"""The club's badge, flat art in four colours."""

from __future__ import annotations

import numpy as np
from PIL import Image

from drawn.tools import Array, grid, inside, mix, ramp, rgb, to_bytes, to_srgb

NAVY, SAIL, AMBER, TEAL = "#1f3a50", "#f5ecd8", "#e0a23c", "#3f8c8c"
LANTERN_SIZE = 0.88


class Sheet:
    """A picture of flat shapes with smooth edges, mixed as the eye sees them; of every pixel, or of
    one in so many, across and down."""

    def __init__(self, size: tuple[int, int], ground: str, every: int) -> None:
        self.x, self.y = (axis[::every, ::every] for axis in grid(*size))
        self._srgb = np.broadcast_to(to_srgb(rgb(ground)), (*self.x.shape, 3))

    def fill(self, distance: Array, color: str) -> None:
        self._srgb = mix(self._srgb, to_srgb(rgb(color)), np.clip(0.5 - distance, 0.0, 1.0))

    def image(self) -> Image.Image:
        return Image.fromarray(to_bytes(self._srgb))


def oar(x: Array, y: Array, grip: tuple[float, float], tip: tuple[float, float]) -> Array:
    """Signed distance to an oar."""
    path = np.array([grip, tip])
    along = path[1] - path[0]
    length = float(np.hypot(*along))
    along = along / length
    u = (x - grip[0]) * along[0] + (y - grip[1]) * along[1]
    v = -(x - grip[0]) * along[1] + (y - grip[1]) * along[0]
    half = 50 * ramp(length - 235, length - 110, u)
    blade = np.maximum(np.abs(v) - half, np.abs(u - length + 117) - 117)
    corner = np.hypot(np.maximum(u - length + 34, 0), np.maximum(np.abs(v) - 16, 0)) - 34
    blade = np.maximum(blade, np.where(u > length - 34, corner, -99.0))
    shaft = np.maximum(np.abs(v) - 15, np.maximum(-u, u - length + 60))
    return np.asarray(np.minimum.reduce([shaft, blade, np.hypot(u, v) - 25]), dtype=np.float64)


def draw_badge(every: int = 1) -> Image.Image:
    """The club's badge: a lantern before the sun, two oars, the tide; every pixel, or one in so
    many."""
    sheet = Sheet((1000, 1000), SAIL, every)
    x, y = sheet.x, sheet.y
    r = np.hypot(x - 500, y - 500)
    sheet.fill(r - 482, NAVY)
    sheet.fill(np.abs(r - 438) - 11, AMBER)
    field = r - 406
    for grip, tip in (((700, 772), (222, 210)), ((300, 772), (778, 210))):
        sheet.fill(oar(x, y, grip, tip) - 16, NAVY)
        sheet.fill(oar(x, y, grip, tip), SAIL)
    sun = np.hypot(x - 500, y - 440)
    sheet.fill(sun - 192, NAVY)
    sheet.fill(sun - 174, AMBER)
    lantern(sheet)
    deep = (
        (690, SAIL, 0.0),
        (716, TEAL, 0.0),
        (790, SAIL, 80.0),
        (816, NAVY, 80.0),
        (872, TEAL, 0.0),
    )
    for top, color, shift in deep:
        wave = top + 22 * np.cos((x - 500 + shift) / 160 * 2 * np.pi) - y
        sheet.fill(np.maximum(wave * 0.8, r - 415), color)
    sheet.fill(np.maximum(-field, r - 420), NAVY)
    return sheet.image()


def lantern(sheet: Sheet) -> None:
    x, y = (sheet.x - 500) / LANTERN_SIZE, (sheet.y - 446) / LANTERN_SIZE
    ax = np.abs(x)
    ring = np.abs(np.hypot(x, y + 141) - 32) - 10
    cap = inside(ax, y, [(-1, -112), (30, -100), (86, -66), (86, -50), (-1, -50)])
    foot = inside(ax, y, [(-1, 86), (74, 86), (92, 132), (-1, 132)])
    glass = np.maximum(ax - 70, np.abs(y - 18) - 72)
    for shape in (ring, cap - 4, foot - 4, glass):
        sheet.fill(shape * LANTERN_SIZE, NAVY)
    sheet.fill(np.maximum(ax - 50, np.abs(y - 18) - 60) * LANTERN_SIZE, SAIL)
    flame = np.hypot(x, np.where(y < 36, (y - 36) * (0.38 + 0.006 * ax), y - 36)) - 26
    sheet.fill(flame * LANTERN_SIZE, AMBER)
