"""Plain names for colours that come from a picture: the nearest of a small table of ours."""

from __future__ import annotations

import numpy as np

from pix2block.color.difference import difference_table
from pix2block.color.spaces import Bytes, rgb_array

# Everyday words with a colour each, chosen by eye; nothing rests on the exact values.
PLAIN_NAMES = {
    "Black": "#141414",
    "Charcoal": "#36393d",
    "Dark grey": "#565656",
    "Grey": "#808080",
    "Light grey": "#b0b0b0",
    "Pale grey": "#d6d6d6",
    "White": "#fbfbfb",
    "Dark warm grey": "#5a5048",
    "Warm grey": "#8f8479",
    "Light warm grey": "#bdb2a6",
    "Dark cool grey": "#474f58",
    "Cool grey": "#7c8791",
    "Light cool grey": "#aab4bd",
    "Off white": "#efe9e0",
    "Cream": "#f5ecd2",
    "Beige": "#d9c7a5",
    "Sand": "#c8b083",
    "Tan": "#b08d62",
    "Light brown": "#96704a",
    "Brown": "#6e4a2c",
    "Dark brown": "#3f2a1b",
    "Red brown": "#7d4434",
    "Rust": "#a4492a",
    "Dark red": "#7a1f22",
    "Maroon": "#4d1620",
    "Red": "#c0282d",
    "Bright red": "#ee3636",
    "Light red": "#ee7d6b",
    "Pale pink": "#f3cfd2",
    "Pink": "#e59aae",
    "Dark pink": "#c4577f",
    "Dusty pink": "#b98a86",
    "Orange": "#e5812b",
    "Dark orange": "#bf5b1c",
    "Light orange": "#f4b073",
    "Peach": "#f5cba7",
    "Yellow": "#eecb33",
    "Light yellow": "#f4e38c",
    "Pale yellow": "#f7f0c0",
    "Mustard": "#c39a2b",
    "Dark olive": "#45451f",
    "Olive": "#757233",
    "Light olive": "#a8a565",
    "Dark green": "#24502b",
    "Green": "#4a8f3c",
    "Bright green": "#3fc63f",
    "Light green": "#97c57f",
    "Pale green": "#cde3c2",
    "Dark grey green": "#47564a",
    "Grey green": "#7f917b",
    "Light grey green": "#b0bfa9",
    "Dark teal": "#12494c",
    "Teal": "#1f7f7c",
    "Light teal": "#76b9b3",
    "Pale teal": "#c3e0dc",
    "Turquoise": "#2fb5c4",
    "Navy": "#131f40",
    "Dark blue": "#1d3a6e",
    "Blue": "#2f6fb5",
    "Bright blue": "#2747d8",
    "Sky blue": "#74b3e0",
    "Light blue": "#9ebfdc",
    "Pale blue": "#cbdfee",
    "Dark grey blue": "#3f5467",
    "Grey blue": "#6f8aa3",
    "Light grey blue": "#a5b8c9",
    "Dark purple": "#3c2357",
    "Purple": "#6d3f96",
    "Light purple": "#a98bcb",
    "Lilac": "#cdb4dd",
    "Plum": "#5d2a44",
    "Mauve": "#967090",
    "Magenta": "#b52f8e",
}


def name_colors(colors: Bytes) -> list[str]:
    """Unique plain names for (n, 3) 8-bit sRGB colours: "Dark teal", "Warm grey 2"."""
    words = list(PLAIN_NAMES)
    nearest = np.argmin(difference_table(colors, rgb_array(list(PLAIN_NAMES.values()))), axis=1)
    seen: dict[str, int] = {}
    names = []
    for word in (words[i] for i in nearest):
        seen[word] = seen.get(word, 0) + 1
        names.append(word if seen[word] == 1 else f"{word} {seen[word]}")
    return names
