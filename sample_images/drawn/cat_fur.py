"""Fur: hairs, and which way they lie."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw

from drawn.cat_parts import CAT_DETAIL, CAT_SIZE, CAT_TILT, STRIPE_WARP, face_from_picture
from drawn.tools import Array, Field, ramp, to_bytes, to_srgb


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
