"""What is lost, in words: colours by their names, areas by what is around them."""

from __future__ import annotations

from pix2block.color.names import name_colors
from pix2block.color.spaces import rgb_array, to_lab
from pix2block.design.areas import Area
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
