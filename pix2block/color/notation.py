"""How a colour may be written: `#rgb`, `#rrggbb`, a CSS name, `lab(L a b)`, `color(xyz X Y Z)`.

CSS Color Module Level 4: `lab()` is CIELAB of D50, `color(xyz …)` is XYZ of D65, with `xyz-d50`
and `xyz-d65` said outright. Conversions and the adaptation of whites are colormath's.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection

from pix2block.ground.errors import BadInput, nearest

_HEX = re.compile(r"#[0-9a-f]{3}([0-9a-f]{3})?")
_LAB = re.compile(r"lab\(([^()]*)\)")
_XYZ = re.compile(r"color\((xyz|xyz-d50|xyz-d65)\s([^()]*)\)")
COLOR_LIKENESS = 0.75  # of a mistyped name; "wine" is 0.67 like "white"
_HELP = "write #rrggbb or a CSS color name, or lab(L a b) or color(xyz X Y Z)"


def css_words() -> Collection[str]:
    """The names of CSS, in small letters."""
    from PIL import ImageColor

    return ImageColor.colormap.keys()


def parse_color(text: str) -> str:
    """ "#rrggbb" of a colour, rounded, and clipped to what sRGB holds.

    Raises BadInput where it cannot be read.
    """
    from PIL import ImageColor

    word = " ".join(text.split()).lower()
    if _HEX.fullmatch(word) or word in ImageColor.colormap:
        red, green, blue = ImageColor.getrgb(word)[:3]
        return f"#{red:02x}{green:02x}{blue:02x}"
    if match := _LAB.fullmatch(word):
        light, a, b = _numbers(match[1], text, (100.0, 125.0, 125.0))
        return _by_colormath("lab", (min(max(light, 0.0), 100.0), a, b), "d50")
    if match := _XYZ.fullmatch(word):
        white = "d50" if match[1] == "xyz-d50" else "d65"
        return _by_colormath("xyz", _numbers(match[2], text, (1.0, 1.0, 1.0)), white)
    if word.startswith("#"):
        raise BadInput(f'unknown colour "{text}": write #rrggbb with the digits 0-9 and a-f')
    if word.startswith(("lab", "color")):
        raise BadInput(f'unknown colour "{text}": {_HELP}')
    near = nearest(text, sorted(css_words()), COLOR_LIKENESS)
    raise BadInput(f'unknown colour "{text}": ' + (f'did you mean "{near}"?' if near else _HELP))


def _numbers(
    words: str, text: str, hundred_per_cent: tuple[float, float, float]
) -> tuple[float, float, float]:
    parts = words.split()
    try:
        values = [
            float(part.removesuffix("%")) * (full / 100 if part.endswith("%") else 1)
            for part, full in zip(parts, hundred_per_cent, strict=True)
        ]
    except ValueError:
        values = [math.nan]
    if not all(math.isfinite(v) and abs(v) <= 1000 for v in values):
        raise BadInput(f'unknown colour "{text}": {_HELP}')
    return values[0], values[1], values[2]


def _by_colormath(space: str, values: tuple[float, float, float], white: str) -> str:
    # colormath brings a graph library with it: loaded only where such a colour occurs.
    from colormath.color_conversions import convert_color
    from colormath.color_objects import LabColor, XYZColor, sRGBColor

    kind = {"lab": LabColor, "xyz": XYZColor}[space]
    rgb = convert_color(kind(*values, illuminant=white), sRGBColor)
    coded = (rgb.clamped_rgb_r, rgb.clamped_rgb_g, rgb.clamped_rgb_b)
    return "#{:02x}{:02x}{:02x}".format(*(math.floor(c * 255 + 0.5) for c in coded))
