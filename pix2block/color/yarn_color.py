"""How a yarn's colour may be written: a word, a notation, or several of them with shares.

"Oatmeal", "dark teal", "#a03030", "lab(40 10 10)"; "#a03030 60% cream 40%", which is matched by its
mean in linear light.
"""

from __future__ import annotations

import re

from pix2block.color.names import color_words, read_color_word
from pix2block.color.notation import COLOR_LIKENESS, css_words, parse_color
from pix2block.color.spaces import decode, encode_bytes, rgb_array, to_hex
from pix2block.ground.errors import BadInput, nearest
from pix2block.ground.quantities import parse_number
from pix2block.ground.units import added_up

ColorShares = tuple[tuple[str, float], ...]  # "#rrggbb" and per cent

_SHARE = re.compile(r"(?<![\w.#-])(\d+(?:[.,]\d+)?)\s*%")
_OUT_BY = 1.0  # per cent that rounded shares may lack of 100
MOST_PARTS = 12


def parse_yarn_color(text: str) -> str:
    """ "#rrggbb" of a colour: first as a word for yarn, then as CSS has it.

    Raises BadInput where it cannot be read.
    """
    word = read_color_word(text)
    if word is not None:
        return word
    bare = "".join(text.split()).casefold()
    if bare in css_words():
        return parse_color(bare)
    if not bare.isalpha():
        return parse_color(text)
    near = nearest(text, [*color_words(), *css_words()], COLOR_LIKENESS)
    hint = f'did you mean "{near}"?' if near else 'write #rrggbb, or a word as "navy" or "oatmeal"'
    raise BadInput(f'unknown colour "{text}": {hint}')


def parse_colors(text: str) -> tuple[str, ColorShares]:
    """A colour, and where the text names several with a share each, their mean and those.

    Raises BadInput for a colour or share that cannot be read, or shares that are not 100 % in all.
    """
    bare = re.sub(r"\([^()]*\)", lambda m: "(" + "_" * (len(m[0]) - 2) + ")", text)
    shares = list(_SHARE.finditer(bare))
    if not shares:
        return parse_yarn_color(text), ()
    parts, start = [], 0
    for share in shares:
        color = text[start : share.start()].strip(" ,;/+")
        if not color:
            raise BadInput(f'"{text}": write a colour before each share, as #a03030 60%')
        parts.append((parse_yarn_color(color), parse_number(share[1])))
        start = share.end()
    rest = text[start:].strip(" ,;/+")
    if rest:
        raise BadInput(f'"{text}": "{rest}" has no share: write one behind each colour')
    whole = added_up(share for _, share in parts)
    if not all(share > 0 for _, share in parts):
        raise BadInput(f'"{text}": a share is above 0 %: leave the other colours out')
    if abs(whole - 100) > _OUT_BY:
        raise BadInput(f'"{text}": the shares are {whole:g} % in all: make them 100 %')
    if len(parts) > MOST_PARTS:
        raise BadInput(f'"{text}": {len(parts)} colours: name at most {MOST_PARTS}')
    if len(parts) == 1:
        return parts[0][0], ()
    return mean_color(tuple(parts)), tuple(parts)


def mean_color(parts: ColorShares) -> str:
    """The mean of colours by their shares, in linear light."""
    light = decode(rgb_array([color for color, _ in parts]) / 255)
    whole = added_up(share for _, share in parts)
    mixed = sum(row * share for row, (_, share) in zip(light, parts, strict=True)) / whole
    return to_hex(encode_bytes(mixed))
