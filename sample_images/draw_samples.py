"""Draw the sample pictures of the Lantern Boathouse, a small rowing and ferry club.

The pictures are drawn from scratch and saved beside this script; every run gives the same
pixels. Run it as ``python sample_images/draw_samples.py``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

HERE = Path(__file__).resolve().parent
FONT = HERE.parent / "pix2block" / "pages" / "fonts" / "NotoSans-Bold.ttf"

Array = NDArray[np.float64]
Field = Callable[[Array, Array], Array]
Points = Sequence[tuple[float, float]]


# ------------------------------------------------------------------ small tools


def rgb(code: str) -> Array:
    """Linear light of a ``#rrggbb`` colour, shape (3,)."""
    parts = np.array([int(code[i : i + 2], 16) for i in (1, 3, 5)], dtype=np.float64)
    return to_linear(parts / 255.0)


def to_linear(srgb: Array) -> Array:
    low = srgb / 12.92
    high = ((np.maximum(srgb, 0.0) + 0.055) / 1.055) ** 2.4
    return np.where(srgb <= 0.04045, low, high)


def to_srgb(linear: Array) -> Array:
    clean = np.clip(linear, 0.0, 1.0)
    return np.where(clean <= 0.0031308, clean * 12.92, 1.055 * clean ** (1 / 2.4) - 0.055)


def to_bytes(srgb: Array) -> NDArray[np.uint8]:
    return np.clip(np.rint(srgb * 255.0), 0, 255).astype(np.uint8)


def ramp(low: float, high: float, value: Array) -> Array:
    """0 at `low`, 1 at `high`, an S curve between; `high` may be the smaller one."""
    t = np.clip((value - low) / (high - low), 0.0, 1.0)
    return t * t * (3.0 - 2.0 * t)


def mix(first: Array, second: Array, share: Array) -> Array:
    """Colours (..., 3) mixed by a mask (...)."""
    return first + (second - first) * share[..., None]


def hill(x: Array, y: Array, at: tuple[float, float], spread: tuple[float, float]) -> Array:
    """A Gaussian hill of height 1."""
    return np.exp(-0.5 * (((x - at[0]) / spread[0]) ** 2 + ((y - at[1]) / spread[1]) ** 2))


def grid(width: int, height: int, step: int = 1) -> tuple[Array, Array]:
    """Pixel centres of a picture, in pixels, every `step` pixels."""
    xs = np.arange(width // step, dtype=np.float64) * step + step / 2
    ys = np.arange(height // step, dtype=np.float64) * step + step / 2
    x, y = np.meshgrid(xs, ys)
    return x, y


def blur(picture: Array, sigma: float) -> Array:
    """Gaussian blur of (H, W) or (H, W, C), edges mirrored."""
    radius = max(1, round(3 * sigma))
    kernel = np.exp(-0.5 * (np.arange(-radius, radius + 1) / sigma) ** 2)
    kernel /= kernel.sum()
    out = picture
    for axis in (0, 1):
        pads = [(0, 0)] * out.ndim
        pads[axis] = (radius, radius)
        padded = np.pad(out, pads, mode="symmetric")
        size = padded.shape[axis] + 2 * radius
        spectrum = np.fft.rfft(padded, size, axis=axis)
        shape = [1] * out.ndim
        shape[axis] = -1
        spectrum *= np.fft.rfft(kernel, size).reshape(shape)
        full = np.fft.irfft(spectrum, size, axis=axis)
        keep = slice(2 * radius, 2 * radius + out.shape[axis])
        out = full[keep] if axis == 0 else full[:, keep]
    return out


def sample(field: Array, x: Array, y: Array) -> Array:
    """Values of (H, W) or (H, W, C) at positions in its own pixels, bilinear."""
    height, width = field.shape[:2]
    px = np.clip(x - 0.5, 0.0, width - 1.001)
    py = np.clip(y - 0.5, 0.0, height - 1.001)
    ix, iy = px.astype(np.intp), py.astype(np.intp)
    fx, fy = px - ix, py - iy
    if field.ndim == 3:
        fx, fy = fx[..., None], fy[..., None]
    top = field[iy, ix] * (1 - fx) + field[iy, ix + 1] * fx
    low = field[iy + 1, ix] * (1 - fx) + field[iy + 1, ix + 1] * fx
    return top * (1 - fy) + low * fy


class Noise:
    """Smooth noise of about -1 to 1 that repeats every 64 cells."""

    def __init__(self, number: int, cell: float, octaves: int = 3) -> None:
        rng = np.random.default_rng(number)
        self._cell = cell
        self._layers = [rng.uniform(-1.0, 1.0, (64, 64)) for _ in range(octaves)]

    def __call__(self, x: Array, y: Array) -> Array:
        total = np.zeros(np.broadcast(x, y).shape)
        for level, layer in enumerate(self._layers):
            px, py = (x / self._cell) * 2.0**level, (y / self._cell) * 2.0**level
            ix, iy = np.floor(px).astype(np.intp), np.floor(py).astype(np.intp)
            fx, fy = px - ix, py - iy
            fx, fy = fx * fx * (3 - 2 * fx), fy * fy * (3 - 2 * fy)
            a, b = ix % 64, iy % 64
            c, d = (a + 1) % 64, (b + 1) % 64
            top = layer[b, a] * (1 - fx) + layer[b, c] * fx
            low = layer[d, a] * (1 - fx) + layer[d, c] * fx
            total += (top * (1 - fy) + low * fy) * 0.55**level
        return total


def curve(points: Points, count: int = 24) -> Array:
    """A smooth line through the points (Catmull-Rom), shape (count, 2)."""
    p = np.asarray(points, dtype=np.float64)
    p = np.vstack([2 * p[0] - p[1], p, 2 * p[-1] - p[-2]])
    t = np.linspace(0.0, len(p) - 3 - 1e-9, count)
    i = t.astype(np.intp)
    f = (t - i)[:, None]
    a, b, c, d = p[i], p[i + 1], p[i + 2], p[i + 3]
    bend = (2 * a - 5 * b + 4 * c - d) * f**2 + (3 * b - a - 3 * c + d) * f**3
    return np.asarray(0.5 * (2 * b + (c - a) * f + bend), dtype=np.float64)


def stroke(x: Array, y: Array, path: Array, start: float, end: float) -> Array:
    """Distance to a line less its half width, which goes from `start` to `end`."""
    best = np.full(x.shape, 1e9)
    last = len(path) - 1
    for i in range(last):
        (ax, ay), (bx, by) = path[i], path[i + 1]
        dx, dy = bx - ax, by - ay
        t = np.clip(((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy + 1e-12), 0.0, 1.0)
        half = start + (end - start) * (i + t) / last
        best = np.minimum(best, np.hypot(x - ax - t * dx, y - ay - t * dy) - half)
    return best


def inside(x: Array, y: Array, corners: Points) -> Array:
    """Signed distance to a polygon: negative inside."""
    p = np.asarray(corners, dtype=np.float64)
    best = np.full(x.shape, 1e18)
    sign = np.ones(x.shape)
    for (ax, ay), (bx, by) in zip(p, np.roll(p, 1, axis=0), strict=True):
        ex, ey = bx - ax, by - ay
        wx, wy = x - ax, y - ay
        t = np.clip((wx * ex + wy * ey) / (ex * ex + ey * ey), 0.0, 1.0)
        best = np.minimum(best, (wx - ex * t) ** 2 + (wy - ey * t) ** 2)
        above, below = y >= ay, y < by
        left = ex * wy > ey * wx
        flip = (above & below & left) | (~above & ~below & ~left)
        sign = np.where(flip, -sign, sign)
    return np.asarray(sign * np.sqrt(best), dtype=np.float64)


# ------------------------------------------------------------------ Tallow, the boathouse cat

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


@dataclass(frozen=True)
class Hairs:
    """Roots and directions in picture pixels; everything has one entry a hair."""

    x: Array
    y: Array
    length: Array
    width: Array
    color: Array  # linear, (N, 3)


def draw_hairs(canvas: Image.Image, hairs: Hairs, flow: Field, number: int, wild: float) -> None:
    """Draw tapered hairs in the given order; `flow` gives the angle at a place."""
    rng = np.random.default_rng(number)
    count, steps = len(hairs.x), 5
    turn, curl = rng.normal(0, wild, count), rng.normal(0, wild * 0.8, count)
    x, y = hairs.x.copy(), hairs.y.copy()
    left = np.empty((count, steps + 1, 2))
    right = np.empty((count, steps, 2))
    for step in range(steps + 1):
        angle = flow(x, y) + turn + curl * step / steps
        c, s = np.cos(angle), np.sin(angle)
        half = hairs.width * 0.5 * (1 - (step / steps) ** 1.5)
        left[:, step] = np.stack([x - s * half, y + c * half], axis=-1)
        if step < steps:
            right[:, steps - 1 - step] = np.stack([x + s * half, y - c * half], axis=-1)
        x, y = x + c * hairs.length / steps, y + s * hairs.length / steps
    shapes = (np.concatenate([left, right], axis=1) * CAT_DETAIL).reshape(count, -1)
    colors = to_bytes(to_srgb(hairs.color))
    draw = ImageDraw.Draw(canvas)
    for shape, color in zip(shapes.tolist(), colors.tolist(), strict=True):
        draw.polygon(shape, fill=(color[0], color[1], color[2]))


def tint(color: Array, number: int, spread: float) -> Array:
    """Each hair a little lighter or darker, warmer or cooler than its coat."""
    rng = np.random.default_rng(number)
    value = np.exp(rng.normal(0, spread, (len(color), 1)))
    warmth = np.exp(rng.normal(0, 0.03, (len(color), 1)) * np.array([1.0, 0.0, -1.6]))
    return np.asarray(color * value * warmth, dtype=np.float64)


def head_flow(px: Array, py: Array) -> Array:
    """Fur of the face grows away from the nose, bends round the eyes, hangs at the cheeks."""
    x, y = face_from_picture(px, py)
    vx, vy = x / 120, (y - 120) / 120
    size = np.hypot(vx, vy) + 1e-6
    vx, vy = vx / size, vy / size
    low = ramp(60.0, 300.0, y) * ramp(60.0, 300.0, np.abs(x))
    vy = vy + 0.5 * low
    vx = np.where(np.abs(x) < 60, vx * ramp(-10.0, 70.0, np.abs(x)) + 0.05 * vx, vx)
    ex, ey = np.abs(x) - 152, y
    near = ramp(120.0, 60.0, np.hypot(ex, ey * 1.25)) * 1.1
    away = np.hypot(ex, ey) + 1e-6
    vx, vy = vx + near * np.sign(x) * ex / away, vy + near * ey / away
    chin = ramp(270.0, 330.0, y) * ramp(120.0, 40.0, np.abs(x))
    vx, vy = vx * (1 - 0.7 * chin), vy + chin
    return np.asarray(np.arctan2(vy, vx) + CAT_TILT, dtype=np.float64)


def body_flow(px: Array, py: Array) -> Array:
    x, y = face_from_picture(px, py)
    sway = 0.22 * STRIPE_WARP[0](x * 0.5, y * 0.5)
    return np.arctan2(np.ones(x.shape), x / 520 + sway)


def scatter(count: int, number: int, keep: Field) -> tuple[Array, Array]:
    """Random picture positions where `keep` (of face positions) is positive."""
    rng = np.random.default_rng(number)
    px = rng.uniform(-40, CAT_SIZE[0] + 40, count)
    py = rng.uniform(-40, CAT_SIZE[1] + 40, count)
    ok = keep(*face_from_picture(px, py)) > 0
    return px[ok], py[ok]


def boathouse_background() -> Array:
    """A dim boathouse out of focus: a window, planks, a lantern; linear, half size."""
    x, y = grid(*CAT_SIZE, step=2)
    cool, warm = rgb("#2b373b"), rgb("#382a22")
    side = ramp(150.0, 1000.0, x + 0.25 * y + 60 * Noise(21, 300.0)(x, y))
    wall = mix(np.broadcast_to(cool, (*x.shape, 3)), np.broadcast_to(warm, (*x.shape, 3)), side)
    plank = 0.5 + 0.5 * np.sin(x / 34 + 0.4 * np.sin(y / 400))
    wall = wall * (0.72 + 0.3 * plank + 0.16 * Noise(22, 120.0)(x, y))[..., None]
    wall = wall * (1.0 - 0.45 * ramp(900.0, 1500.0, y))[..., None]
    for at, lean, shade in ((1010.0, 0.16, 0.55), (1110.0, 0.1, 0.7)):  # oars against the wall
        d = np.abs(x - at - lean * (y - 700)) - 20 - 34 * ramp(330.0, 180.0, y)
        wall = mix(wall, np.broadcast_to(rgb("#6b4a30") * shade, wall.shape), ramp(8.0, -8.0, d))
    pane = inside(x, y, [(-80, 40), (452, 70), (452, 742), (-80, 760)])
    sky = mix(
        np.broadcast_to(rgb("#e4edf0"), wall.shape),
        np.broadcast_to(rgb("#9fb6bd"), wall.shape),
        ramp(80.0, 760.0, y + 40 * Noise(23, 160.0)(x, y)),
    )
    bars = np.minimum(np.abs(x - 176), np.abs(y - 420)) - 15
    glass = mix(sky * 1.1, np.broadcast_to(rgb("#5f6a68"), wall.shape), ramp(8.0, -8.0, bars))
    wall = mix(wall, glass, ramp(6.0, -6.0, pane))
    wall = wall + 0.16 * (hill(x, y, (230, 420), (420, 420))[..., None]) * rgb("#b9cdd2")
    wall = blur(wall, 20.0)
    glow = hill(x, y, (1085, 560), (46, 54))[..., None] * rgb("#ffca7a") * 0.75
    halo = hill(x, y, (1085, 560), (190, 210))[..., None] * rgb("#d98a48") * 0.17
    return np.asarray(wall + glow + halo, dtype=np.float64)


def enlarge(picture: Array, size: tuple[int, int]) -> Array:
    x, y = grid(*size)
    height, width = picture.shape[:2]
    return sample(picture, x * width / size[0], y * height / size[1])


def body_light(x: Array, y: Array) -> Array:
    """Light on chest and shoulders, with the shadow of the head on them."""
    z = 240 * np.sqrt(np.clip(1 - (x / 560) ** 2, 0.02, 1)) + 46 * hill(x, y, (0, 520), (120, 190))
    z = z + 10 * Noise(31, 80.0)(x, y)
    z = blur(z, 6.0)
    light = shine(*slopes(z, x, y))
    shadow = 0.62 * ramp(470.0, 350.0, y - 0.12 * x) * ramp(330.0, 180.0, np.abs(x - 20))
    fall = 1.0 - 0.32 * ramp(480.0, 800.0, y)
    return np.asarray(light * ((1 - shadow) * fall)[..., None], dtype=np.float64)


def body_distance(x: Array, y: Array) -> Array:
    half = 250 + 225 * ramp(170.0, 700.0, y) + 40 * ramp(500.0, 800.0, y)
    return np.where(y < 200, 60.0, np.abs(x) - half)


def paint_body(canvas: Image.Image, light: Array) -> None:
    px, py = scatter(190_000, 41, lambda x, y: -body_distance(x, y) - 6)
    x, y = face_from_picture(px, py)
    order = np.argsort(-(y + np.random.default_rng(42).normal(0, 18, len(y))))
    px, py, x, y = px[order], py[order], x[order], y[order]
    bib = ramp(220.0, 150.0, np.abs(x))
    clump = 1 + (0.17 + 0.06 * bib) * Noise(43, 30.0)(x * 1.9 + y * x / 900, y * 0.75)
    color = body_coat(x, y) * sample(light, px / 2, py / 2) * clump[..., None]
    rng = np.random.default_rng(44)
    length = (52 + 34 * bib) * rng.uniform(0.6, 1.3, len(x))
    width = rng.uniform(1.6, 3.4, len(x))
    draw_hairs(canvas, Hairs(px, py, length, width, tint(color, 45, 0.15)), body_flow, 46, 0.17)


def paint_collar(canvas: Image.Image) -> None:
    """A moss green cord round the neck with a small brass bell."""
    size = (CAT_SIZE[0] * CAT_DETAIL, CAT_SIZE[1] * CAT_DETAIL)
    x, y = face_from_picture(*grid(*CAT_SIZE))
    line = 399 - 104 * (x / 215) ** 2
    off = (y - line) / 21
    d = (np.abs(off) - 1) * 21 + 1.5 * Noise(91, 7.0)(x, y)
    side = np.clip(0.78 - 0.5 * off - x / 420, 0.12, 1.3)
    twist = 0.5 + 0.5 * np.cos((x + 9 * off * np.abs(off) + 6 * off) / 3.1)
    weave = (0.66 + 0.5 * twist * (1 - 0.5 * off**2)) * (1 + 0.12 * Noise(92, 5.0)(x, y))
    cord = rgb("#8ba650") * (side * weave)[..., None]
    mask = ramp(1.5, -1.5, d) * ramp(236.0, 226.0, np.abs(x))
    shade = (
        0.5 * ramp(26.0, 0.0, d) * ramp(-0.5, 1.0, off) * (1 - mask) * ramp(240.0, 190.0, np.abs(x))
    )
    bx, by = (x - 6) / 27, (y - 445) / 27
    r = np.hypot(bx, by)
    z = np.sqrt(np.clip(1 - r * r, 0, 1))
    glint = np.clip(-0.62 * bx - 0.5 * by + 0.6 * z, 0, 1)
    brass = mix(
        np.broadcast_to(rgb("#4d3312"), cord.shape),
        np.broadcast_to(rgb("#dcae58"), cord.shape),
        np.clip(0.1 + glint, 0, 1),
    )
    brass = brass + 1.3 * (glint[..., None] ** 22)
    slot = stroke(x, y, curve([(-14, 454), (6, 459), (26, 454)]), 2.2, 2.2)
    brass = mix(brass, np.broadcast_to(rgb("#1d1208"), cord.shape), 0.85 * ramp(2.0, -1.0, slot))
    bell = ramp(1.04, 0.97, r)
    drop = 0.5 * ramp(1.6, 0.8, np.hypot((x - 12) / 27, (y - 453) / 27))
    colors = mix(mix(np.zeros(cord.shape), cord, mask), brass, bell)
    alpha = np.maximum.reduce([mask, bell, np.maximum(shade, drop)])
    solid = np.maximum(mask, bell)
    colors = colors * np.where(solid > 0.5, 1.0, solid)[..., None]
    layer = Image.fromarray(to_bytes(to_srgb(colors))).resize(size, Image.Resampling.BILINEAR)
    cover = Image.fromarray(to_bytes(alpha)).resize(size, Image.Resampling.BILINEAR)
    canvas.paste(layer, (0, 0), cover)


def mirrored(angle: Array, side: float) -> Array:
    """A direction on the right side of the face, seen on either side of the picture."""
    turned_over = np.arctan2(np.sin(angle), np.cos(angle) * side)
    return np.asarray(turned_over + CAT_TILT, dtype=np.float64)


def paint_ear(canvas: Image.Image, ear: Ear, number: int) -> None:
    """The skin of the ear, the short fur of its edge, the tufts inside."""
    size = (CAT_SIZE[0] * CAT_DETAIL, CAT_SIZE[1] * CAT_DETAIL)
    gx, gy = grid(*CAT_SIZE, step=2)
    x, y = face_from_picture(gx, gy)
    depth, (up, across) = ear.depth(x, y), ear.local(x, y)
    lit = 1.0 if ear.side < 0 else 0.68
    skin = mix(
        np.broadcast_to(rgb("#84403c"), (*x.shape, 3)),
        np.broadcast_to(SKIN_PINK, (*x.shape, 3)),
        np.clip(ramp(-90.0, 90.0, across + 40 * up) * 0.75 + 0.3 * up, 0, 1),
    )
    glow = 0.25 * ramp(0.2, 0.9, up) + 0.1 * Noise(number, 34.0)(x, y)
    hollow = 0.5 * ramp(0.75, 0.0, up) * ramp(60.0, -60.0, across)
    skin = skin * (lit * (0.8 + glow - hollow))[..., None]
    under = np.broadcast_to(GINGER * lit * 0.8, skin.shape)
    skin = mix(under, skin, ramp(14.0, 36.0, depth + 4 * Noise(number + 1, 12.0)(x, y)))
    mask = Image.fromarray(to_bytes(ramp(-2.0, 4.0, depth))).resize(size, Image.Resampling.BILINEAR)
    layer = Image.fromarray(to_bytes(to_srgb(skin))).resize(size, Image.Resampling.BILINEAR)
    canvas.paste(layer, (0, 0), mask)

    def along(px: Array, py: Array) -> Array:
        fx, fy = face_from_picture(px, py)
        _, cross = ear.local(fx, fy)
        ax, ay = ear.tip[0] - ear.base[0], ear.tip[1] - ear.base[1]
        spread = np.clip(cross / 90, -1, 1) * 0.42
        angle = np.arctan2(ay, ax) + spread
        return mirrored(angle, ear.side)

    def rim(fx: Array, fy: Array) -> Array:
        d = ear.depth(fx, fy)
        u, _ = ear.local(fx, fy)
        return np.where((d > 0) & (d < 26 + 8 * np.sin(fx / 7)) & (u > -0.36), 1.0, -1.0)

    px, py = scatter(700_000, number + 2, rim)
    fx, fy = face_from_picture(px, py)
    order = np.argsort(-ear.local(fx, fy)[0])
    px, py, fx, fy = px[order], py[order], fx[order], fy[order]
    rng = np.random.default_rng(number + 3)
    u, cross = ear.local(fx, fy)
    tone = mix(
        np.broadcast_to(GINGER, (len(u), 3)),
        np.broadcast_to(GINGER_DARK, (len(u), 3)),
        0.75 * ramp(0.55, 1.0, u) + 0.15 * ramp(40.0, -80.0, cross),
    )
    edge = 0.8 + 0.3 * ramp(20.0, 2.0, ear.depth(fx, fy))
    color = tint(tone * (lit * edge)[..., None], number + 4, 0.15)
    length, width = rng.uniform(14, 30, len(u)), rng.uniform(1.4, 2.6, len(u))
    draw_hairs(canvas, Hairs(px, py, length, width, color), along, number + 5, 0.2)

    count = 620
    start = rng.beta(1.1, 1.9, count) * 0.85 - 0.04
    inner = ear.width(start) * (0.95 - 1.0 * rng.beta(1.0, 4.6, count)) * -1
    ax, ay = ear.tip[0] - ear.base[0], ear.tip[1] - ear.base[1]
    reach = float(np.hypot(ax, ay))
    tx = (ear.base[0] + ax * start - ay / reach * inner) * ear.side
    ty = ear.base[1] + ay * start + ax / reach * inner
    qx, qy = picture_from_face(tx, ty)

    def tuft(px: Array, py: Array) -> Array:
        fx, fy = face_from_picture(px, py)
        _, cross = ear.local(fx, fy)
        angle = np.arctan2(ay, ax) + 0.5 + 0.35 * ramp(-120.0, 60.0, cross)
        return mirrored(angle, ear.side)

    cream = np.broadcast_to(CREAM * lit * 0.95, (count, 3))
    length = rng.uniform(50, 150, count) * (1 - 0.8 * start)
    hairs = Hairs(qx, qy, length, rng.uniform(1.2, 2.6, count), tint(cream, number + 6, 0.16))
    draw_hairs(canvas, hairs, tuft, number + 7, 0.16)


def paint_head(canvas: Image.Image, light: Array) -> None:
    size = (CAT_SIZE[0] * CAT_DETAIL, CAT_SIZE[1] * CAT_DETAIL)
    gx, gy = face_from_picture(*grid(*CAT_SIZE, step=2))
    under = Image.fromarray(to_bytes(to_srgb(blur(head_coat(gx, gy) * light * 0.75, 4.0))))
    mask = Image.fromarray(to_bytes(ramp(-10.0, -50.0, head_distance(gx, gy))))
    canvas.paste(
        under.resize(size, Image.Resampling.BILINEAR),
        (0, 0),
        mask.resize(size, Image.Resampling.BILINEAR),
    )

    def keep(x: Array, y: Array) -> Array:
        return np.where((head_distance(x, y) < -4) & (eye_distance(x, y) > 4), 1.0, -1.0)

    rng = np.random.default_rng(51)
    for layer, (count, long, dim) in enumerate(((240_000, 1.2, 0.8), (420_000, 0.9, 1.04))):
        px, py = scatter(count, 52 + layer, keep)
        x, y = face_from_picture(px, py)
        far = np.hypot(x, y - 120)
        order = np.argsort(-(far + rng.normal(0, 12, len(far))))
        px, py, x, y, far = px[order], py[order], x[order], y[order], far[order]
        clump = 1 + 0.1 * Noise(54, 15.0)(x, y)
        color = head_coat(x, y) * sample(light, px / 2, py / 2) * (clump * dim)[..., None]
        length = 9 + 40 * ramp(60.0, 380.0, far) + 26 * ramp(250.0, 380.0, np.abs(x) + 0.3 * y)
        near_eye = ramp(50.0, 6.0, eye_distance(x, y))
        length = length * (1 - 0.5 * near_eye) * long * rng.uniform(0.65, 1.25, len(x))
        width = rng.uniform(1.3, 2.6, len(x)) * (0.8 + 0.4 * ramp(80.0, 350.0, far))
        hairs = Hairs(px, py, length, width, tint(color, 55 + layer, 0.13))
        draw_hairs(canvas, hairs, head_flow, 57 + layer, 0.2)


def add_features(picture: Array) -> Array:
    """Eyes, nose and mouth over the fur; linear, full size."""
    px, py = grid(*CAT_SIZE)
    x, y = face_from_picture(px, py)
    out = add_mouth(add_nose(picture, x, y), x, y)
    for side in (-1.0, 1.0):
        out = add_eye(out, x, y, side)
    return out


def add_eye(picture: Array, x: Array, y: Array, side: float) -> Array:
    half = x * side > 0
    d = np.where(half, eye_distance(x, y), 1e3)
    soft = Noise(61, 8.0)(x, y)
    duct = stroke(x * side, y, curve([(76, 16), (66, 28), (61, 38)]), 8, 1)
    liner = np.minimum(d - 7 - 3 * ramp(20.0, -20.0, y) - 1.5 * soft, duct)
    dark = rgb("#1e120d")
    out = mix(picture, np.broadcast_to(dark, picture.shape), 0.9 * ramp(7.0, -4.0, liner))
    ex, ey = x * side - 150, y - 1
    r = np.hypot(ex, ey)
    angle = np.arctan2(ey, ex)
    rays = Noise(62 + int(side), 0.11, 2)(angle + 4, r / 260)
    iris = mix(
        np.broadcast_to(rgb("#d8b64a"), picture.shape),
        np.broadcast_to(rgb("#88ae52"), picture.shape),
        ramp(20.0, 46.0, r + 8 * rays),
    )
    iris = mix(iris, np.broadcast_to(rgb("#456a35"), picture.shape), ramp(58.0, 84.0, r))
    gain = 0.9 + 0.3 * rays
    gain += 0.42 * hill(ex * side, ey, (26, 26), (34, 26))  # light gathers opposite the window
    gain *= 1 - 0.72 * ramp(-8.0, -46.0, ey + 0.1 * ex)  # shade of the upper lid
    gain *= 1.12 if side < 0 else 0.9
    iris = iris * gain[..., None]
    pupil = np.hypot(ex / 22, ey / 49) * 22 - 22
    iris = mix(iris, np.broadcast_to(rgb("#0a0706"), picture.shape), ramp(3.0, -3.0, pupil))
    iris = mix(iris, np.broadcast_to(dark, picture.shape), 0.75 * ramp(-10.0, 0.0, d))
    gx, gy = x - side * 150 + 24, y + 25
    pane = np.maximum(np.abs(gx + 0.12 * gy) - 14, np.abs(gy) - 17)
    bars = np.minimum(np.abs(gx), np.abs(gy)) - 1.2
    pane_light = ramp(2.5, -2.5, pane) * (1 - 0.35 * ramp(1.2, -1.2, bars))
    iris = mix(iris, np.broadcast_to(rgb("#f6fbff"), picture.shape), 0.96 * pane_light)
    low = 0.22 * hill(x - side * 150, y, (30, 32), (14, 8))
    iris = iris + low[..., None] * rgb("#ffd9a0")
    wet = 0.35 * ramp(4.0, 0.0, np.abs(d + 4)) * ramp(10.0, 40.0, ey)
    iris = iris + wet[..., None] * rgb("#d8c8b8")
    return mix(out, iris, ramp(1.5, -1.5, d))


def add_nose(picture: Array, x: Array, y: Array) -> Array:
    d = inside(
        x, y, [(-36, 152), (-15, 146), (15, 146), (36, 152), (17, 184), (0, 195), (-17, 184)]
    )
    d = d - 13 + 1.8 * Noise(63, 16.0)(x, y)
    grain = Noise(64, 5.0, 2)(x, y)
    tone = mix(
        np.broadcast_to(rgb("#e28a86"), picture.shape),
        np.broadcast_to(rgb("#a9524f"), picture.shape),
        np.clip(ramp(150.0, 206.0, y) * 0.7 + ramp(-40.0, 60.0, x) * 0.45, 0, 1),
    )
    tone = tone * (1 + 0.05 * grain)[..., None]
    gloss = 0.32 * hill(x, y, (-17, 154), (17, 6)) + 0.1 * hill(x, y, (18, 153), (12, 5))
    tone = tone + gloss[..., None]
    tone = mix(tone, tone * 0.5, 0.8 * ramp(-9.0, 1.0, d))
    hole = stroke(np.abs(x), y, curve([(17, 180), (27, 181), (37, 172), (36, 165)]), 4.5, 3.0)
    tone = mix(tone, np.broadcast_to(rgb("#3a1a16"), picture.shape), 0.9 * ramp(4.0, -3.0, hole))
    groove = np.abs(x) - 1.0
    tone = mix(tone, tone * 0.5, 0.7 * ramp(4.0, 0.0, groove) * ramp(176.0, 196.0, y))
    out = mix(picture, picture * 0.62, 0.8 * ramp(16.0, 0.0, d) * ramp(150.0, 190.0, y))
    return mix(out, tone, ramp(3.0, -4.0, d))


def add_mouth(picture: Array, x: Array, y: Array) -> Array:
    ax = np.abs(x)
    lip = curve([(0, 236), (12, 250), (36, 262), (64, 266), (88, 262)])
    line = np.minimum(
        stroke(ax, y, lip, 5.4, 0.4), stroke(ax, y, curve([(0, 206), (0, 238)]), 2.0, 4.4)
    )
    wob = 1.2 * Noise(65, 7.0)(x, y)
    below = stroke(ax, y - 12, lip, 14, 3)
    out = mix(picture, picture * np.array([0.56, 0.47, 0.42]), 0.5 * ramp(16.0, -10.0, below))
    out = mix(out, np.broadcast_to(rgb("#3b211a"), out.shape), 0.9 * ramp(2.6, -2.0, line + wob))
    for row, (fy, xs) in enumerate(((206, (78, 104, 128)), (226, (66, 94, 122)), (246, (84, 110)))):
        for fx in xs:
            dot = np.hypot(ax - fx, y - fy - 0.05 * fx) - 3.2 + 0.3 * row
            out = mix(out, out * 0.45, 0.75 * ramp(3.0, -2.0, dot))
    return out


def add_whiskers(canvas: Image.Image) -> None:
    rng = np.random.default_rng(71)
    draw = ImageDraw.Draw(canvas)
    starts = [
        (78, 210),
        (104, 211),
        (128, 213),
        (66, 229),
        (94, 231),
        (122, 232),
        (84, 250),
        (110, 252),
    ]
    ends = [
        (395, 70),
        (450, 130),
        (440, 190),
        (430, 262),
        (480, 236),
        (450, 300),
        (390, 368),
        (420, 338),
    ]
    brows = [((120, -88), (190, -330)), ((150, -92), (260, -320)), ((172, -84), (310, -270))]
    plan = [(a, b, 3.6) for a, b in zip(starts, ends, strict=True)] + [
        (a, b, 2.4) for a, b in brows
    ]
    for side in (-1, 1):
        for (sx, sy), end, wide in plan:
            ex, ey = end[0] + rng.normal(0, 16), end[1] + rng.normal(0, 16)
            mx, my = (sx + ex) / 2, (sy + ey) / 2 - 0.13 * (ex - sx)
            path = curve([(sx * side, sy), (mx * side, my), (ex * side, ey)], 40)
            qx, qy = picture_from_face(path[:, 0], path[:, 1])
            points = np.stack([qx, qy], axis=-1) * CAT_DETAIL
            for i in range(len(points) - 1):
                thick = max(1, round(wide * CAT_DETAIL / 2 * (1 - 0.8 * i / len(points))))
                fade = round(235 - 90 * i / len(points)) - (0 if side < 0 else 26)
                segment = [tuple(points[i]), tuple(points[i + 1])]
                draw.line(segment, fill=(255, 250, 240, fade), width=thick)


def shrink(canvas: Image.Image, size: tuple[int, int]) -> Image.Image:
    return canvas.resize(size, Image.Resampling.BOX)


def draw_tallow() -> Image.Image:
    """Tallow, the boathouse cat, in window light."""
    big = (CAT_SIZE[0] * CAT_DETAIL, CAT_SIZE[1] * CAT_DETAIL)
    gx, gy = grid(*CAT_SIZE, step=2)
    x, y = face_from_picture(gx, gy)
    background = boathouse_background()
    on_body, on_head = body_light(x, y), head_light(x, y)
    under = mix(background, body_coat(x, y) * on_body * 0.7, ramp(14.0, -14.0, body_distance(x, y)))
    canvas = Image.fromarray(to_bytes(to_srgb(enlarge(under, CAT_SIZE)))).resize(
        big, Image.Resampling.BILINEAR
    )
    paint_body(canvas, on_body)
    paint_collar(canvas)
    for ear, number in zip(EARS, (100, 200), strict=True):
        paint_ear(canvas, ear, number)
    paint_head(canvas, on_head)
    picture = to_linear(np.asarray(shrink(canvas, CAT_SIZE), dtype=np.float64) / 255)
    picture = add_features(picture)
    whiskers = Image.new("RGBA", big, (255, 250, 240, 0))
    add_whiskers(whiskers)
    hair = np.asarray(shrink(whiskers, CAT_SIZE), dtype=np.float64)[..., 3] / 255
    picture = mix(picture, np.broadcast_to(rgb("#fbf5ea"), picture.shape), 0.9 * hair)
    return develop(picture)


def develop(picture: Array) -> Image.Image:
    """Lens and film: soft far parts, a little bloom, vignette and grain."""
    px, py = grid(*CAT_SIZE)
    _, y = face_from_picture(px, py)
    far = np.clip(ramp(400.0, 760.0, y) + 0.6 * ramp(-250.0, -460.0, y), 0, 1)
    picture = mix(picture, blur(picture, 3.0), far)
    picture = picture + 0.05 * blur(np.maximum(picture - 0.5, 0), 26.0)
    edge = np.hypot((px - 600) / 900, (py - 720) / 1100)
    picture = picture * (1 - 0.42 * ramp(0.45, 1.05, edge))[..., None]
    rng = np.random.default_rng(81)
    shape = (CAT_SIZE[1], CAT_SIZE[0])
    grain = blur(rng.normal(0, 1, shape), 0.8)[..., None] * 0.03 + rng.normal(0, 0.004, (*shape, 3))
    return Image.fromarray(to_bytes(to_srgb(picture) + grain))


# ------------------------------------------------------------------ the club badge

NAVY, SAIL, AMBER, TEAL = "#1f3a50", "#f5ecd8", "#e0a23c", "#3f8c8c"
LANTERN_SIZE = 0.88


class Sheet:
    """A picture of flat shapes with smooth edges, mixed as the eye sees them."""

    def __init__(self, size: tuple[int, int], ground: str) -> None:
        self.x, self.y = grid(*size)
        self._srgb = np.broadcast_to(to_srgb(rgb(ground)), (size[1], size[0], 3))

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


def draw_badge() -> Image.Image:
    """The club's badge: a lantern before the sun, two oars, the tide."""
    sheet = Sheet((1000, 1000), SAIL)
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


# ------------------------------------------------------------------ the boathouse in lines

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


# ------------------------------------------------------------------ a lantern, cut out


class Cutout:
    """Layers on nothing: linear colour multiplied by cover, and cover."""

    def __init__(self, size: tuple[int, int]) -> None:
        self.x, self.y = grid(*size)
        self._color = np.zeros((size[1], size[0], 3))
        self._cover = np.zeros((size[1], size[0]))

    def over(self, color: Array, cover: Array) -> None:
        share = np.clip(cover, 0.0, 1.0)
        self._color = self._color * (1 - share)[..., None] + color * share[..., None]
        self._cover = self._cover * (1 - share) + share

    def image(self) -> Image.Image:
        color = to_srgb(self._color / np.maximum(self._cover, 1e-6)[..., None])
        alpha = np.where(self._cover < 0.004, 0.0, self._cover)
        color = np.where(alpha[..., None] > 0, color, 0.0)
        return Image.fromarray(to_bytes(np.dstack([color, alpha])))


def turned(x: Array, y: Array, profile: Points) -> tuple[Array, Array]:
    """A turned part: signed distance to its outline, and how far round a place lies (-1..1)."""
    smooth = curve(profile, 80)
    halves, ys = smooth[:, 0], np.maximum.accumulate(smooth[:, 1])
    half = np.interp(y, ys, halves)
    edge = np.maximum(np.abs(x) - half, np.maximum(ys[0] - y, y - ys[-1]))
    return edge, np.clip(x / np.maximum(half, 1.0), -1.0, 1.0)


def enamel(base: str, around: Array, y: Array, glow: Array) -> Array:
    """Light on a turned metal part."""
    body = 0.22 + 0.78 * np.clip(0.62 - 0.75 * around - 0.3 * around**2, 0, 1)
    gleam = 0.55 * np.exp(-(((around + 0.48) / 0.13) ** 2)) + 0.12 * np.exp(
        -(((around - 0.8) / 0.1) ** 2)
    )
    soft = 1 + 0.05 * Noise(402, 24.0)(around * 80, y)
    warm = rgb("#ffb454") * (0.2 * glow * (1 - 0.4 * np.abs(around)))[..., None]
    return rgb(base) * (body * soft)[..., None] + rgb("#dfeaea") * gleam[..., None] * 0.42 + warm


def draw_lantern() -> Image.Image:
    """A storm lantern on a transparent ground, its glow fading to nothing."""
    cut = Cutout((600, 800))
    x, y = cut.x - 300, cut.y
    r = np.hypot(x, (y - 412) / 1.12)
    halo = 0.8 * np.exp(-((r / 150) ** 2)) + 0.3 * np.exp(-((r / 205) ** 2))
    halo = halo * ramp(294.0, 170.0, r)
    tone = mix(np.broadcast_to(rgb("#f2a03c"), (*x.shape, 3)), rgb("#ffdf9a"), ramp(230.0, 40.0, r))
    cut.over(tone, halo)
    heat = np.exp(-((r / 190) ** 2))
    near = np.abs(np.hypot(x, (y - 238) / 1.15) - 152) - 5.5  # the bail
    near = np.where(y > 238, np.maximum(np.abs(np.abs(x) - 152) - 5.5, y - 272), near)
    cut.over(enamel("#5b6266", np.clip(x / 170, -1, 1), y, heat * 0.5), ramp(1.0, -1.0, near))
    tube = curve([(96, 224), (138, 244), (158, 300), (162, 420), (160, 540), (150, 606)], 50)
    d = stroke(np.abs(x), y, tube, 11, 11)
    side = np.clip((np.abs(x) - 158) * np.sign(x) / 11, -1, 1)
    cut.over(enamel("#2a7a78", side, y, heat), ramp(1.0, -1.0, d))
    lantern_glass(cut, x, y)
    parts: list[tuple[str, Points]] = [
        ("#2a7a78", [(30, 128), (38, 140), (40, 168), (60, 176), (62, 200), (58, 204)]),
        ("#2a7a78", [(58, 204), (100, 226), (112, 244), (112, 252), (86, 268), (80, 292)]),
        ("#b08a45", [(84, 534), (96, 540), (98, 556), (88, 566)]),
        ("#2a7a78", [(70, 566), (116, 578), (150, 598), (166, 626), (170, 690), (164, 706)]),
        ("#b08a45", [(172, 700), (176, 706), (176, 722), (172, 730)]),
    ]
    for color, profile in parts:
        edge, around = turned(x, y, profile)
        fade = 0.8 + 0.2 * ramp(profile[-1][1], profile[0][1], y)
        shade = enamel(color, around, y, heat) * fade[..., None]
        cut.over(shade, ramp(1.0, -1.0, edge))
    for at in (182.0, 190.0):  # air slots
        slot = np.maximum(np.abs(np.abs(((x + 60) % 20) - 10)) - 5, np.abs(y - at) - 2.5)
        slot = np.maximum(slot, np.abs(x) - 52)
        cut.over(rgb("#123033"), 0.8 * ramp(1.0, -1.0, slot))
    cap = np.hypot((x - 74) / 26, (y - 594) / 11) * 14 - 14
    cut.over(enamel("#b08a45", np.clip((x - 74) / 26, -1, 1), y, heat), ramp(1.0, -1.0, cap))
    for at, tall in ((-60, 18), (60, 18)):  # wires before the glass
        wire = curve([(at * 1.2, 286), (at * 1.85, 410), (at * 1.3, 540)], 40)
        cut.over(rgb("#4a4f50"), ramp(1.0, -1.0, stroke(x, y, wire, tall / 10, tall / 10)))
    for at, wide in ((334.0, 93.0), (474.0, 99.0)):
        band = curve([(-wide, at - 4), (0, at + 12), (wide, at - 4)], 40)
        cut.over(rgb("#4a4f50"), ramp(1.0, -1.0, stroke(x, y, band, 1.8, 1.8)))
    return cut.image()


def lantern_glass(cut: Cutout, x: Array, y: Array) -> None:
    profile: Points = [
        (76, 284),
        (90, 320),
        (106, 370),
        (110, 412),
        (104, 460),
        (88, 510),
        (80, 540),
    ]
    edge, around = turned(x, y, profile)
    r = np.hypot(x / 0.9, (y - 440) / 1.25)
    warm = mix(np.broadcast_to(rgb("#d9822b"), (*x.shape, 3)), rgb("#ffe7ae"), ramp(116.0, 20.0, r))
    warm = warm * (1 - 0.35 * np.abs(around) ** 4)[..., None]
    cut.over(warm, 0.9 * ramp(1.0, -1.0, edge))
    wick = np.maximum(np.abs(x) - 10, np.abs(y - 516) - 20)
    cut.over(rgb("#6b4a24"), ramp(1.5, -1.5, wick))
    lean = x - 4 * np.sin((y - 360) / 40)
    wide = np.interp(y, [352, 390, 430, 464, 486, 496], [0, 9, 22, 28, 21, 8])
    flame = np.maximum(np.abs(lean) - wide, np.maximum(352 - y, y - 496))
    cut.over(rgb("#ffb23e"), 0.9 * ramp(5.0, -7.0, flame))
    core = np.maximum(np.abs(lean) - wide * 0.62, np.maximum(376 - y, y - 490))
    cut.over(rgb("#fff6da"), ramp(4.0, -7.0, core))
    cut.over(rgb("#7aa0c8"), 0.5 * hill(x, y, (0, 490), (12, 7)))
    gleam = np.exp(-(((around + 0.66) / 0.09) ** 2)) * ramp(300.0, 340.0, y) * ramp(520.0, 450.0, y)
    cut.over(rgb("#ffffff"), 0.55 * gleam * ramp(1.0, -1.0, edge))
    rim = np.exp(-(((np.abs(around) - 1.0) / 0.05) ** 2))
    cut.over(rgb("#8a5a2a"), 0.5 * rim * ramp(1.0, -1.0, edge))


# ------------------------------------------------------------------ the estuary in fog


def from_lab(light: Array, a: Array, b: Array) -> Array:
    """CIELAB (D65) to linear sRGB."""
    fy = (light + 16) / 116
    parts = np.stack([fy + a / 500, fy, fy - b / 200], axis=-1)
    cubes = np.where(parts > 6 / 29, parts**3, 3 * (6 / 29) ** 2 * (parts - 4 / 29))
    xyz = cubes * np.array([0.95047, 1.0, 1.08883])
    to_rgb = np.array(
        [
            [3.2404542, -1.5371385, -0.4985314],
            [-0.9692660, 1.8760108, 0.0415560],
            [0.0556434, -0.2040259, 1.0572252],
        ]
    )
    return np.asarray(xyz @ to_rgb.T, dtype=np.float64)


def draw_fog() -> Image.Image:
    """A foggy morning: the ferry far out, a heron near; pale layers of little contrast."""
    x, y = grid(1200, 800)
    shore = 430.0
    light = 84.5 + 2.2 * ramp(430.0, 120.0, y) + 1.4 * Noise(501, 260.0)(x, y * 2.2)
    light = light + 2.4 * hill(x, y, (850, 190), (240, 150))
    a = np.full(x.shape, 0.6)
    b = 4.5 + 3.5 * hill(x, y, (850, 190), (330, 220))

    def lay(cover: Array, to: float | Array, ta: float, tb: float) -> None:
        nonlocal light, a, b
        light = light + (to - light) * cover
        a, b = a + (ta - a) * cover, b + (tb - b) * cover

    lay(ramp(3.0, -3.0, np.hypot(x - 850, y - 190) - 72), 91.0, 1.5, 12.0)
    ridge = Noise(502, 210.0)(x, np.zeros(x.shape))
    lay(ramp(14.0, -14.0, 330 - 40 * ridge + 0.03 * x - y), 82.2, -0.6, 1.0)
    ridge = Noise(503, 130.0, 4)(x + 90, np.zeros(x.shape))
    trees = 384 - 26 * ridge - 34 * hill(x, y * 0, (180, 0), (190, 1)) - y
    lay(ramp(8.0, -8.0, trees), 79.0, -1.6, 0.0)
    water = ramp(-2.0, 8.0, y - shore)
    lay(water, 81.0 + 3.2 * ramp(430.0, 800.0, y), -1.4, -1.5)
    streak = Noise(504, 40.0, 4)(x * 0.22, y * 2.6)
    light = light + 1.2 * water * streak * ramp(430.0, 640.0, y)
    gleam = hill(x, y * 0, (850, 0), (64, 1)) * ramp(440.0, 480.0, y) * (0.65 + 0.35 * streak)
    lay(0.75 * gleam * ramp(800.0, 620.0, y), 88.5, 1.2, 9.0)
    lay(0.9 * ramp(3.0, -3.0, ferry(x, y)), 74.6, -1.0, -3.0)
    ghost = ferry(x + 5 * np.sin(y / 5), 2 * 470 - y)
    lay(
        0.5 * ramp(7.0, -7.0, ghost) * ramp(472.0, 480.0, y) * ramp(580.0, 480.0, y),
        76.0,
        -1.0,
        -3.0,
    )
    mist = ramp(60.0, 0.0, np.abs(y - 448 + 16 * Noise(505, 180.0)(x, y)))
    lay(0.42 * mist, 86.0, 0.2, 2.5)
    mud = 690 + 0.1 * (1200 - x) + 12 * Noise(506, 90.0)(x, y * 0) - y
    bank = ramp(6.0, -6.0, mud)
    lay(bank, 74.5 - 2.5 * ramp(690.0, 800.0, y) + 1.2 * Noise(507, 36.0, 4)(x, y * 2), 0.8, 4.0)
    lay(
        ramp(1.6, -1.6, heron(x, y)),
        70.0 + 5.0 * ramp(460.0, 560.0, y) * ramp(720.0, 640.0, y),
        -0.6,
        -3.5,
    )
    lay(ramp(1.6, -1.6, reeds(x, y)), 71.0, 0.2, 5.0)
    light = light + 0.5 * Noise(508, 120.0)(x, y * 1.6)
    grain = np.random.default_rng(509).normal(0, 0.2, x.shape)
    light = 70 + (np.clip(light, 69, 92) - 69.5) * 0.9
    return Image.fromarray(to_bytes(to_srgb(from_lab(light + grain, a, b))))


def ferry(x: Array, y: Array) -> Array:
    """The Dunlin from the side."""
    hull = inside(x, y, [(150, 424), (486, 418), (462, 466), (448, 472), (186, 472), (168, 462)])
    house = inside(x, y, [(214, 374), (396, 374), (396, 426), (214, 426)])
    bridge = inside(x, y, [(330, 334), (392, 334), (396, 376), (326, 376)])
    funnel = inside(x, y, [(262, 326), (296, 326), (300, 376), (258, 376)])
    roof = inside(x, y, [(202, 366), (408, 366), (408, 376), (202, 376)])
    mast = stroke(x, y, np.array([[430.0, 420.0], [430.0, 300.0]]), 3.5, 2.5)
    stay = stroke(x, y, np.array([[430.0, 302.0], [482.0, 418.0]]), 1.2, 1.2)
    shape = np.minimum.reduce([hull, house, bridge, funnel, roof, mast, stay])
    for left in (232, 278, 324, 352):
        pane = np.maximum(np.abs(x - left - 12) - 13, np.abs(y - 398) - 11)
        shape = np.maximum(shape, -pane)
    return np.asarray(shape, dtype=np.float64)


def heron(x: Array, y: Array) -> Array:
    """A heron that stands and looks to the left."""
    body = curve([(985, 520), (1030, 540), (1080, 580), (1128, 646)], 30)
    belly = stroke(x, y, body, 28, 1)
    back = np.hypot((x - 1036) / 62, (y - 552 - 0.45 * (x - 1036)) / 40) * 46 - 46
    neck = curve([(990, 528), (962, 500), (966, 460), (990, 424), (984, 386), (958, 376)], 50)
    throat = stroke(x, y, neck, 17, 12)
    head = np.hypot((x - 950) / 30, (y - 374) / 16) * 18 - 18
    bill = stroke(x, y, np.array([[930.0, 376.0], [846.0, 392.0]]), 9, 1)
    crest = stroke(x, y, curve([(960, 366), (996, 372), (1024, 392)]), 6, 1)
    legs = [
        stroke(x, y, curve([(1030, 590), (1034, 660), (1022, 742)]), 6, 4.5),
        stroke(x, y, curve([(1056, 596), (1066, 664), (1060, 746)]), 6, 4.5),
    ]
    parts = [belly, back, throat, head, bill, crest, *legs]
    return np.asarray(np.minimum.reduce(parts), dtype=np.float64)


def reeds(x: Array, y: Array) -> Array:
    rng = np.random.default_rng(510)
    best = np.full(x.shape, 1e9)
    for _ in range(26):
        foot = rng.uniform(-10, 250)
        tall, lean = rng.uniform(120, 300) * (1 - foot / 420), rng.normal(18, 22)
        path = curve(
            [(foot, 810), (foot + 0.3 * lean, 810 - 0.55 * tall), (foot + lean, 800 - tall)], 8
        )
        best = np.minimum(best, stroke(x, y, path, 5, 1.5))
        if rng.uniform() < 0.4:
            tip = np.array([path[-1], path[-1] + np.array([2.0, 34.0])])
            best = np.minimum(best, stroke(x, y, tip, 7, 7))
    return best


# ------------------------------------------------------------------ all of them


def main() -> None:
    draw_tallow().save(HERE / "tallow_cat.jpg", quality=92, optimize=True)
    draw_badge().save(HERE / "club_badge.png", optimize=True)
    draw_boathouse().save(HERE / "boathouse_lines.png", optimize=True)
    draw_lantern().save(HERE / "lantern_cutout.png", optimize=True)
    draw_fog().save(HERE / "fog_morning.png", optimize=True)


if __name__ == "__main__":
    main()
