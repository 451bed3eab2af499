"""Words for colours of yarn: the names that a picture's colours get, and the words that a shelf may
name a colour by.

Yarn is duller than a screen, so a word is read by these tables before it is read as a CSS name:
CSS has `brown` for a blood red. All values are chosen by eye, as dyed yarn of that name usually
looks; those that the xkcd colour name survey (2010) has too are checked to be near it
(tests/data/color_words.csv).
"""

from __future__ import annotations

import re
from functools import cache

import numpy as np

from pix2block.color.difference import difference_table
from pix2block.color.spaces import Bytes, from_lab, rgb_array, to_hex, to_lab

# Names that colours of a picture get; a shelf may use them too.
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

# Words that a shelf may use besides.
ALSO_READ = {
    "Ecru": "#e6dcc3",
    "Ivory": "#f4eedb",
    "Eggshell": "#f0ead6",
    "Parchment": "#ece0c0",
    "Bone": "#e3d9c6",
    "Linen": "#e0d5c1",
    "Oatmeal": "#d6c9ae",
    "Buff": "#dfc592",
    "Wheat": "#dfc487",
    "Straw": "#e0c871",
    "Putty": "#b9ad94",
    "Greige": "#b3a899",
    "Stone": "#aea68f",
    "Mushroom": "#a89886",
    "Taupe": "#8f8170",
    "Khaki": "#8f8858",
    "Silver": "#c0c4c6",
    "Pewter": "#84878b",
    "Slate": "#5c6871",
    "Steel": "#6f7f8a",
    "Graphite": "#45484c",
    "Lemon": "#f2df55",
    "Butter": "#f5e59f",
    "Canary": "#f4dc4a",
    "Sunflower": "#efb82a",
    "Saffron": "#e2a125",
    "Gold": "#cf9f35",
    "Honey": "#d29a3c",
    "Amber": "#d98f24",
    "Ochre": "#b8862f",
    "Bronze": "#8f6a35",
    "Apricot": "#f0b380",
    "Melon": "#f0936b",
    "Marigold": "#eda125",
    "Tangerine": "#ea7c25",
    "Pumpkin": "#d6701f",
    "Burnt orange": "#b5541c",
    "Copper": "#ab6739",
    "Terracotta": "#b9603f",
    "Clay": "#ae6f50",
    "Brick": "#9a4130",
    "Russet": "#8b4524",
    "Sienna": "#9a5530",
    "Cinnamon": "#995a31",
    "Caramel": "#ad7436",
    "Toffee": "#96622f",
    "Camel": "#bd9563",
    "Fawn": "#c2a37d",
    "Hazel": "#86663c",
    "Chestnut": "#733f26",
    "Walnut": "#5d4330",
    "Mahogany": "#56221c",
    "Umber": "#6b4a2c",
    "Sepia": "#74523a",
    "Cocoa": "#6f5040",
    "Mocha": "#80624c",
    "Coffee": "#5b4030",
    "Chocolate": "#45291b",
    "Coral": "#ec735c",
    "Salmon": "#ea8d7c",
    "Blush": "#ebbfb7",
    "Rose": "#cb7080",
    "Dusky pink": "#bd8186",
    "Baby pink": "#f3c6cf",
    "Hot pink": "#e2428f",
    "Fuchsia": "#c42f8d",
    "Raspberry": "#a5264d",
    "Strawberry": "#d33c48",
    "Cherry": "#a81d30",
    "Tomato": "#cf3f2c",
    "Scarlet": "#c2231f",
    "Crimson": "#98152a",
    "Cranberry": "#8e1d38",
    "Burgundy": "#5f1527",
    "Wine": "#621a33",
    "Claret": "#6a1a2f",
    "Berry": "#80264f",
    "Lavender": "#b8a3d6",
    "Heather": "#9a85a0",
    "Periwinkle": "#8d93d6",
    "Violet": "#6d42a6",
    "Grape": "#5a3168",
    "Aubergine": "#41223f",
    "Indigo": "#2c2b66",
    "Midnight blue": "#151b38",
    "Royal blue": "#27459c",
    "Cobalt": "#274da0",
    "Cornflower": "#6a86cf",
    "Denim": "#476586",
    "Cerulean": "#2f84b6",
    "Azure": "#3d8ccc",
    "Steel blue": "#587794",
    "Dusty blue": "#7d96b0",
    "Baby blue": "#b9d5ee",
    "Ice blue": "#d8e8ee",
    "Petrol": "#1b5161",
    "Duck egg": "#bcd7d2",
    "Aqua": "#5fc4c0",
    "Seafoam": "#a4d6b8",
    "Sea green": "#4f9d84",
    "Mint": "#b3dfc0",
    "Jade": "#3a9a74",
    "Emerald": "#1a8a55",
    "Bottle green": "#1c4530",
    "Forest green": "#2a5233",
    "Pine": "#2f5a40",
    "Fern": "#5c8a4a",
    "Moss": "#66743c",
    "Sage": "#97a987",
    "Apple green": "#84b43e",
    "Lime": "#a9cc3a",
    "Chartreuse": "#bccb3c",
}

# Other ways to say a word of the tables.
SAME_WORDS = {
    "natural": "Ecru",
    "undyed": "Ecru",
    "oat": "Oatmeal",
    "charcoal grey": "Charcoal",
    "slate grey": "Slate",
    "steel grey": "Steel",
    "silver grey": "Silver",
    "navy blue": "Navy",
    "marine": "Navy",
    "midnight": "Midnight blue",
    "royal": "Royal blue",
    "denim blue": "Denim",
    "duck egg blue": "Duck egg",
    "petrol blue": "Petrol",
    "teal blue": "Teal",
    "powder blue": "Baby blue",
    "golden": "Gold",
    "golden yellow": "Sunflower",
    "mustard yellow": "Mustard",
    "lemon yellow": "Lemon",
    "ocher": "Ochre",
    "brick red": "Brick",
    "cherry red": "Cherry",
    "wine red": "Wine",
    "bordeaux": "Wine",
    "merlot": "Wine",
    "eggplant": "Aubergine",
    "dusty rose": "Dusty pink",
    "rose pink": "Rose",
    "salmon pink": "Salmon",
    "coral pink": "Coral",
    "shocking pink": "Hot pink",
    "olive green": "Olive",
    "moss green": "Moss",
    "sage green": "Sage",
    "mint green": "Mint",
    "lime green": "Lime",
    "jade green": "Jade",
    "emerald green": "Emerald",
    "hunter green": "Forest green",
    "pine green": "Pine",
    "bottle": "Bottle green",
    "forest": "Forest green",
}

# Words before another: its lightness moves so far to black or white, its chroma so far to grey.
_BEFORE = {
    "light": (0.45, 0.25),
    "pale": (0.70, 0.50),
    "dark": (-0.45, 0.20),
    "deep": (-0.35, 0.0),
    "medium": (0.0, 0.0),
    "mid": (0.0, 0.0),
}


def nearest_names(colors: Bytes) -> list[str]:
    """The plain name nearest to each of (n, 3) 8-bit sRGB colours."""
    words = list(PLAIN_NAMES)
    nearest = np.argmin(difference_table(colors, rgb_array(list(PLAIN_NAMES.values()))), axis=1)
    return [words[i] for i in nearest]


def name_colors(colors: Bytes) -> list[str]:
    """Unique plain names for (n, 3) 8-bit sRGB colours: "Dark teal", "Warm grey 2"."""
    seen: dict[str, int] = {}
    names = []
    for word in nearest_names(colors):
        seen[word] = seen.get(word, 0) + 1
        names.append(word if seen[word] == 1 else f"{word} {seen[word]}")
    return names


def read_color_word(text: str) -> str | None:
    """ "#rrggbb" of a word for a colour of yarn, letter case, spaces and hyphens aside, also with
    light, pale, dark, deep, medium or mid before it; None where it is none."""
    words = _words()
    key = _key(text)
    if key in words:
        return words[key]
    for before, (to_end, to_grey) in _BEFORE.items():
        rest = key.removeprefix(before)
        if rest != key and rest in words:
            return _moved(words[rest], to_end, to_grey)
    return None


def color_words() -> dict[str, str]:
    """Every word that is read, with its "#rrggbb", in the order of the tables."""
    tables = {**PLAIN_NAMES, **ALSO_READ}
    return {**tables, **{word.capitalize(): tables[same] for word, same in SAME_WORDS.items()}}


@cache
def _words() -> dict[str, str]:
    return {_key(word): color for word, color in color_words().items()}


def _key(text: str) -> str:
    return re.sub(r"[\s_-]+", "", text).casefold().replace("gray", "grey")


def _moved(color: str, to_end: float, to_grey: float) -> str:
    light, *chroma = to_lab(rgb_array([color]))[0].tolist()
    light += to_end * (100 - light if to_end > 0 else light)
    return to_hex(from_lab(np.array([[light, *(c * (1 - to_grey) for c in chroma)]]))[0])
