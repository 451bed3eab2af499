"""US and UK names of the same stitch.

Craft Yarn Council, Standards & Guidelines (2018), "term differences between the U.S., U.K. and
Canada"; "skip / miss" from memory.
"""

from __future__ import annotations

from collections.abc import Mapping

from pix2block.ground.settings import Terms

# What the project calls a thing, always the US word, and the word to print.
_WORDS: dict[str, tuple[str, str]] = {
    "ch": ("ch", "ch"),
    "sl st": ("sl st", "ss"),
    "sc": ("sc", "dc"),
    "hdc": ("hdc", "htr"),
    "dc": ("dc", "tr"),
    "chain": ("chain", "chain"),
    "slip stitch": ("slip stitch", "slip stitch"),
    "single crochet": ("single crochet", "double crochet"),
    "half double crochet": ("half double crochet", "half treble"),
    "double crochet": ("double crochet", "treble"),
    "yarn over": ("yarn over", "yarn round hook"),
    "gauge": ("gauge", "tension"),
    "skip": ("skip", "miss"),
}

LONG_NAMES = {
    "ch": "chain",
    "sl st": "slip stitch",
    "sc": "single crochet",
    "hdc": "half double crochet",
    "dc": "double crochet",
}


def words(terms: Terms) -> Mapping[str, str]:
    """The words of the chosen terms, by their US names."""
    column = 0 if terms == "us" else 1
    return {us: pair[column] for us, pair in _WORDS.items()}
