"""Tallow, the boathouse cat: eyes, nose, mouth, whiskers; the photo."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw

from drawn.cat_body import (
    boathouse_background,
    body_distance,
    body_light,
    enlarge,
    paint_body,
    paint_collar,
    paint_ear,
    paint_head,
)
from drawn.cat_parts import (
    CAT_DETAIL,
    CAT_SIZE,
    EARS,
    body_coat,
    eye_distance,
    face_from_picture,
    head_light,
    picture_from_face,
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
    stroke,
    to_bytes,
    to_linear,
    to_srgb,
)


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
