"""A lantern, cut out of its background."""

from __future__ import annotations

import numpy as np
from PIL import Image

from drawn.tools import (
    Array,
    Noise,
    Points,
    curve,
    grid,
    hill,
    mix,
    ramp,
    rgb,
    stroke,
    to_bytes,
    to_srgb,
)


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
