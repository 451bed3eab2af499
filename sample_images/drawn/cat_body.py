"""What is painted of Tallow: the boathouse behind, body, collar, ears, head."""

from __future__ import annotations

import numpy as np
from PIL import Image

from drawn.cat_fur import Hairs, body_flow, draw_hairs, head_flow, scatter, tint
from drawn.cat_parts import (
    CAT_DETAIL,
    CAT_SIZE,
    CAT_TILT,
    CREAM,
    GINGER,
    GINGER_DARK,
    SKIN_PINK,
    Ear,
    body_coat,
    eye_distance,
    face_from_picture,
    head_coat,
    head_distance,
    picture_from_face,
    shine,
    slopes,
)
from drawn.tools import (
    Array,
    Noise,
    blur,
    curve,
    grid,
    hill,
    inside,
    mix,
    ramp,
    rgb,
    sample,
    stroke,
    to_bytes,
    to_srgb,
)


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
