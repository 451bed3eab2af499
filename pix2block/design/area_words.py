"""What is lost, in words: colours by their names, areas by what is around them, parts that lose
their colour by where they lie."""

from __future__ import annotations

import numpy as np

from pix2block.color.names import name_colors
from pix2block.color.spaces import rgb_array, to_lab
from pix2block.design.areas import Area
from pix2block.design.hues import Faded
from pix2block.ground.units import say_count


def color_word(color: str) -> str:
    """A plain word for "#rrggbb", in lower case."""
    return name_colors(rgb_array([color]))[0].lower()


def named_color(color: str) -> str:
    """ "Peach (#f5cba7)"."""
    return f"{name_colors(rgb_array([color]))[0]} ({color})"


def area_words(area: Area, yarn: str) -> str:
    """ "The face and the light grey around it have the same yarn, Light grey", without a stop."""
    around = color_word(area.around)
    if area.face:
        return f"The face and the {around} around it have the same yarn, {yarn}"
    own = color_word(area.color)
    if own == around:
        light, other = (to_lab(rgb_array([color]))[0, 0] for color in (area.color, area.around))
        own = f"{'lighter' if light > other else 'darker'} {own}"
    article = "An" if own[0] in "aeiou" else "A"
    blocks = say_count(area.blocks, "block")
    return (
        f"{article} {own} area {area.place} ({blocks}) and the {around} around it have the same "
        f"yarn, {yarn}"
    )


def faded_words(part: Faded) -> str:
    """ "The light orange in the middle (64 blocks) has lost its colour", without a stop."""
    lines, columns = np.nonzero(part.mask)
    height, width = part.mask.shape
    wide = 2 * np.ptp(columns) > width and 2 * np.ptp(lines) > height
    middle = tuple(round(at) for at in part.centre)
    place = "around the middle" if wide and not part.mask[middle] else part.place  # as a ring
    return (
        f"The {color_word(part.color)} {place} ({say_count(part.blocks, 'block')}) has lost "
        "its colour"
    )
