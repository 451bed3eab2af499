"""Tallow's head and body: where they lie, their coat, their light."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from drawn.tools import Array, Noise, Points, blur, curve, hill, mix, ramp, rgb, stroke

CAT_SIZE = (1200, 1500)
CAT_AT = (596.0, 640.0)  # the point between the eyes
CAT_SCALE = 1.1
CAT_TILT = -0.05  # radians
CAT_DETAIL = 2  # hairs are drawn this much larger, then averaged

GINGER = rgb("#c98850")
GINGER_LIGHT = rgb("#e8bd8c")
GINGER_DARK = rgb("#71391a")
CREAM = rgb("#f1dcbf")
WHITE_FUR = rgb("#f7f3ec")
SKIN_PINK = rgb("#da8a83")


def face_from_picture(px: Array, py: Array) -> tuple[Array, Array]:
    dx, dy = (px - CAT_AT[0]) / CAT_SCALE, (py - CAT_AT[1]) / CAT_SCALE
    c, s = np.cos(CAT_TILT), np.sin(CAT_TILT)
    return dx * c + dy * s, -dx * s + dy * c


def picture_from_face(x: Array, y: Array) -> tuple[Array, Array]:
    c, s = np.cos(CAT_TILT), np.sin(CAT_TILT)
    return CAT_AT[0] + CAT_SCALE * (x * c - y * s), CAT_AT[1] + CAT_SCALE * (x * s + y * c)


def eye_distance(x: Array, y: Array, grow: float = 0.0) -> Array:
    """About the distance to the nearer eye's opening, negative inside."""
    ex, ey = np.abs(x) - 152.0, y
    c, s = np.cos(-0.24), np.sin(-0.24)
    u, v = ex * c + ey * s, -ex * s + ey * c
    half_w = 87.0 + grow
    side = np.clip(np.abs(u) / half_w, 0.0, 1.0)
    arch = np.sqrt(np.clip(1 - side**2.3, 0.0, 1.0))
    top, low = (53.0 + grow) * arch, (59.0 + grow) * arch
    up = np.where(v < 0, -v - top, v - low)
    out = np.abs(u) - half_w
    return np.where(out > 0, np.hypot(out, v), np.asarray(up * 0.9, dtype=np.float64))


def head_distance(x: Array, y: Array) -> Array:
    """About the distance to the head's outline, negative inside."""
    yy = y - 40.0
    ry = np.where(yy < 0, 326.0, 316.0)
    cheek = 1.0 + 0.07 * np.exp(-(((y - 150.0) / 110.0) ** 2))
    rx = 350.0 * cheek * (1 - 0.1 * ramp(210.0, 360.0, y))
    r = (np.abs(x / rx) ** 2.2 + np.abs(yy / ry) ** 2.2) ** (1 / 2.2)
    return (r - 1.0) * 320.0


@dataclass(frozen=True)
class Ear:
    """An ear as a bent triangle; `side` is -1 for the one on the left of the picture."""

    side: float
    base: tuple[float, float] = (208.0, -172.0)
    tip: tuple[float, float] = (300.0, -478.0)
    half: float = 146.0

    def local(self, x: Array, y: Array) -> tuple[Array, Array]:
        """How far up the ear (0 base, 1 tip) and how far across it (positive outwards)."""
        bx, by = self.base
        ax, ay = self.tip[0] - bx, self.tip[1] - by
        length = float(np.hypot(ax, ay))
        dx, dy = x * self.side - bx, y - by
        up = (dx * ax + dy * ay) / length**2
        across = (dx * -ay + dy * ax) / length
        return up, across

    def width(self, up: Array) -> Array:
        t = np.clip(up, 0.0, 1.0)
        return self.half * (1 - t**1.25) ** 0.9 * (1 + 0.12 * np.sin(np.pi * t))

    def depth(self, x: Array, y: Array) -> Array:
        """About the distance from the edge inwards, negative outside."""
        up, across = self.local(x, y)
        near = np.where(up > 1.0, (1.0 - up) * 300, (self.width(up) - np.abs(across)) * 0.85)
        return np.minimum(near, (up + 0.4) * 300)


EARS = (Ear(-1.0), Ear(1.0, tip=(312.0, -466.0)))


def stripe_paths() -> list[tuple[Array, float, float, float]]:
    """The tabby lines of the right half of the face: path, half widths, darkness."""
    lines: list[tuple[Points, float, float, float]] = [
        # the letter on the forehead and the lines that run from it over the crown
        ([(214, -92), (196, -140), (150, -196), (128, -270)], 9, 15, 1.0),
        ([(140, -86), (112, -118), (88, -172), (76, -275)], 9, 14, 1.0),
        ([(36, -70), (30, -112), (36, -160), (30, -275)], 6, 13, 1.0),
        ([(140, -86), (96, -96), (58, -86), (30, -112)], 8, 8, 0.85),
        ([(214, -92), (250, -150), (262, -210)], 8, 12, 0.8),
        # from the outer corner of the eye across the cheek
        ([(238, -22), (276, 2), (318, 34), (372, 60)], 8, 14, 1.0),
        ([(206, 82), (250, 104), (300, 136), (362, 158)], 5, 13, 1.0),
        ([(196, 150), (240, 196), (292, 226), (340, 240)], 4, 12, 0.8),
        ([(262, -70), (306, -52), (366, -38)], 6, 12, 0.8),
        ([(258, -120), (304, -122), (360, -118)], 5, 12, 0.6),
        # beside the nose
        ([(72, 44), (62, 78), (58, 112)], 7, 3, 0.7),
    ]
    return [(curve(points), a, b, dark) for points, a, b, dark in lines]


def body_paths() -> list[tuple[Array, float, float, float]]:
    lines: list[tuple[Points, float, float, float]] = [
        ([(150, 372), (230, 366), (320, 330)], 4, 13, 0.8),
        ([(176, 430), (270, 428), (370, 384)], 5, 17, 0.95),
        ([(196, 500), (300, 506), (440, 450)], 6, 18, 0.95),
        ([(206, 580), (310, 600), (470, 545)], 6, 19, 0.95),
        ([(206, 660), (320, 694), (520, 650)], 6, 20, 0.95),
        ([(216, 745), (330, 786), (540, 760)], 6, 20, 0.95),
    ]
    return [(curve(points), a, b, dark) for points, a, b, dark in lines]


STRIPE_WARP = (Noise(11, 46.0), Noise(12, 46.0))
PATCHES = Noise(13, 90.0, 4)
TICKING = Noise(14, 9.0, 2)


def stripes(x: Array, y: Array, paths: list[tuple[Array, float, float, float]]) -> Array:
    wx, wy = x + 11 * STRIPE_WARP[0](x, y), y + 11 * STRIPE_WARP[1](x, y)
    dark = np.zeros(x.shape)
    for path, start, end, strength in paths:
        d = stroke(np.abs(wx), wy, path, start, end)
        dark = np.maximum(dark, strength * ramp(7.0, -6.0, d))
    return dark


def head_coat(x: Array, y: Array) -> Array:
    """Colour of the fur of the head, linear, (..., 3)."""
    patch = PATCHES(x, y)
    color = mix(
        np.broadcast_to(GINGER, (*x.shape, 3)),
        np.broadcast_to(GINGER_LIGHT, (*x.shape, 3)),
        np.clip(0.3 + 0.3 * patch + 0.35 * hill(np.abs(x), y, (230, 150), (120, 110)), 0, 1),
    )
    color = mix(
        color, np.broadcast_to(GINGER_DARK, color.shape), 0.3 * hill(x, y, (0, -250), (170, 70))
    )
    bridge = hill(x, y, (0, 60), (44, 80))
    color = mix(color, np.broadcast_to(GINGER_LIGHT, color.shape), 0.35 * bridge)
    eye = eye_distance(x, y)
    ring = ramp(46.0, 14.0, eye) * (0.55 + 0.45 * ramp(-60.0, 40.0, y))
    color = mix(color, np.broadcast_to(CREAM, color.shape), 0.8 * ring)
    color = mix(
        color, np.broadcast_to(GINGER_DARK, color.shape), 0.86 * stripes(x, y, stripe_paths())
    )
    wob = 9 * STRIPE_WARP[0](x * 1.3, y * 1.3)
    pads = np.hypot((np.abs(x) - 58) / 104, (y - 232) / 74) * 100 - 100
    chin = np.hypot(x / 118, (y - 312) / 90) * 100 - 100
    blaze = np.hypot(x / (58 + 0.12 * (y - 120)), (y - 165) / 54) * 100 - 100
    white = ramp(14.0, -14.0, np.minimum(np.minimum(pads, chin), blaze) + wob)
    return mix(color, np.broadcast_to(WHITE_FUR, color.shape), white)


def body_coat(x: Array, y: Array) -> Array:
    """Colour of the fur of chest and shoulders, linear, (..., 3)."""
    patch = PATCHES(x + 500, y)
    color = mix(
        np.broadcast_to(GINGER, (*x.shape, 3)),
        np.broadcast_to(GINGER_LIGHT, (*x.shape, 3)),
        np.clip(0.2 + 0.35 * patch, 0, 1),
    )
    color = mix(
        color, np.broadcast_to(GINGER_DARK, color.shape), 0.85 * stripes(x, y, body_paths())
    )
    half = 150 + 60 * ramp(300.0, 470.0, y) - 95 * ramp(480.0, 820.0, y)
    half = half + 26 * STRIPE_WARP[1](x, y * 0.7)
    return mix(color, np.broadcast_to(WHITE_FUR, color.shape), ramp(26.0, -26.0, np.abs(x) - half))


def head_light(x: Array, y: Array) -> Array:
    """Light that falls on the head's form, linear, (H, W, 3), on a regular grid."""
    r2 = np.clip((x / 400) ** 2 + ((y - 30) / 375) ** 2, 0, 1)
    z = 300 * np.sqrt(1 - 0.97 * r2)
    ax = np.abs(x)
    z += 54 * hill(x, y, (0, 84), (50, 104)) + 78 * hill(x, y, (0, 225), (112, 66))
    z += 36 * hill(ax, y, (62, 226), (48, 36)) + 24 * hill(x, y, (0, 318), (60, 34))
    z += 26 * hill(ax, y, (150, -80), (90, 34)) + 34 * hill(ax, y, (240, 140), (90, 90))
    z -= 34 * hill(ax, y, (80, 24), (30, 40)) + 16 * hill(x, y, (0, -150), (26, 90))
    z -= 30 * hill(ax, y, (152, 0), (84, 50))
    z = blur(z, 5.0)
    return shine(*slopes(z, x, y))


def slopes(z: Array, x: Array, y: Array) -> tuple[Array, Array]:
    """How steeply a form on a regular grid rises to the right and downwards."""
    step = float(np.hypot(x[0, 1] - x[0, 0], y[0, 1] - y[0, 0]))
    down = np.asarray(np.gradient(z, step, axis=0), dtype=np.float64)
    right = np.asarray(np.gradient(z, step, axis=1), dtype=np.float64)
    return right, down


def shine(gx: Array, gy: Array) -> Array:
    """Window light from the upper left, a warm room, a lantern low on the right."""
    norm = np.sqrt(gx * gx + gy * gy + 1)
    nx, ny, nz = -gx / norm, -gy / norm, 1 / norm

    def lit(lx: float, ly: float, lz: float, wrap: float) -> Array:
        size = float(np.sqrt(lx * lx + ly * ly + lz * lz))
        return np.clip(((nx * lx + ny * ly + nz * lz) / size + wrap) / (1 + wrap), 0, None)

    key = lit(-0.76, -0.44, 0.48, 0.16)[..., None] ** 1.15 * np.array([1.06, 1.05, 1.03])
    room = lit(0.3, 0.3, 0.9, 0.6)[..., None] * np.array([0.26, 0.225, 0.2])
    lamp = lit(0.95, 0.1, 0.18, 0.0)[..., None] ** 2 * np.array([0.34, 0.18, 0.07])
    return np.asarray(key + room + lamp, dtype=np.float64)
