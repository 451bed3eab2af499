"""The estuary in fog: a picture of few tones."""

from __future__ import annotations

import numpy as np
from PIL import Image

from drawn.tools import Array, Noise, curve, grid, hill, inside, ramp, stroke, to_bytes, to_srgb


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
