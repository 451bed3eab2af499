"""Tools of the pictures: light, noise, lines, shapes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

HERE = Path(__file__).resolve().parent.parent
FONT = HERE.parent / "pix2block" / "drawing" / "fonts" / "NotoSans-Bold.ttf"

Array = NDArray[np.float64]
Field = Callable[[Array, Array], Array]
Points = Sequence[tuple[float, float]]


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
