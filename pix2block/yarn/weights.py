"""Yarn weight classes 0 to 7.

Craft Yarn Council, Standard Yarn Weight System (Standards & Guidelines for Crochet and Knitting,
2018): names, gauge in single crochet over 4 in (10 cm; class 0 is stated in double crochet) and
hooks, which are for plain single crochet. They are guidelines, not limits. Metres in 100 g are
common practice, typical values from memory. The hooks that C2C makers take are common practice:
those of classes 3 to 6 from published pieces (tests/data/block_gauges.csv), of 0, 2 and 7 from
memory.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from pix2block.ground.frozen import dataclass

GAUGE_OVER_CM = 10.0
MEDIUM = 4
MEDIUM_HOOKS_MM = (5.0, 5.5)  # 16 of 20 published C2C pieces in class 4


@dataclass(frozen=True)
class WeightClass:
    """A class of the standard. Gauge: stitches over 10 cm; hook_mm: the standard's for plain
    single crochet, None where it is open; c2c_hook_mm: the one that C2C makers take."""

    number: int
    name: str
    gauge: tuple[int, int]
    hook_mm: tuple[float, float | None]
    metres_in_100_g: float
    c2c_hook_mm: float

    @property
    def usual_hook(self) -> str:
        """Usual for C2C: "5 to 5.5 mm", "about 4 mm"."""
        if self.number == MEDIUM:
            return f"{MEDIUM_HOOKS_MM[0]:g} to {MEDIUM_HOOKS_MM[1]:g} mm"
        return f"about {self.c2c_hook_mm:g} mm"


WEIGHT_CLASSES = tuple(
    WeightClass(*row)
    for row in (
        (0, "Lace", (32, 42), (1.4, 2.25), 700.0, 1.75),
        (1, "Super Fine", (21, 32), (2.25, 3.5), 420.0, 3.0),
        (2, "Fine", (16, 20), (3.5, 4.5), 320.0, 3.5),
        (3, "Light", (12, 17), (4.5, 5.5), 230.0, 4.0),
        (4, "Medium", (11, 14), (5.5, 6.5), 190.0, 5.25),
        (5, "Bulky", (8, 11), (6.5, 9.0), 115.0, 6.5),
        (6, "Super Bulky", (7, 9), (9.0, 15.0), 75.0, 8.0),
        (7, "Jumbo", (6, 6), (15.0, None), 35.0, 15.0),
    )
)

# What labels call the classes: the standard's own words for types of yarn, where they name one
# class alone ("baby" and "roving" name two), and the plies of British and Australian labels, which
# are common practice.
_CALLED = {
    **{w.name.casefold(): w.number for w in WEIGHT_CLASSES},
    "sock": 1,
    "fingering": 1,
    "sport": 2,
    "dk": 3,
    "double knit": 3,
    "double knitting": 3,
    "light worsted": 3,
    "worsted": 4,
    "afghan": 4,
    "aran": 4,
    "heavy worsted": 4,
    "chunky": 5,
    "craft": 5,
    "rug": 5,
    "super chunky": 6,
    "2 ply": 0,
    "3 ply": 1,
    "4 ply": 1,
    "5 ply": 2,
    "8 ply": 3,
    "10 ply": 4,
    "12 ply": 5,
}


def class_called(text: str) -> int | None:
    """The number of a class by its number or by what labels call it: "4", "class 4", "DK", "4-ply";
    None where that names none."""
    if text.strip()[:1] in ("-", "−"):
        return None
    word = " ".join(re.sub(r"[\s_()-]+", " ", text.casefold()).split())
    word = re.sub(r"(?<=\d)(?=ply$)", " ", word).removesuffix(" weight").removeprefix("class ")
    number = re.sub(r"^(?:cyc|class|weight|no|#)\s*", "", word)
    if number in {str(w.number) for w in WEIGHT_CLASSES}:
        return int(number)
    both = re.fullmatch(r"([0-7]) (?!ply)(.+)", word)  # "(3) DK"
    return int(both[1]) if both and both[2] in _CALLED else _CALLED.get(word)


def most_common_class(counted: Mapping[int, int]) -> int | None:
    """The class that is counted most, the lower of two alike; None of none."""
    return min(counted, key=lambda number: (-counted[number], number), default=None)
