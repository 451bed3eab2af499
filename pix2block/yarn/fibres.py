"""What fibres ask for: how they are washed, and how a piece of them is blocked.

Common practice, from memory: animal fibres felt by warmth and rubbing; heat and steam flatten
synthetics for good. The yarn's own label comes first.
"""

from __future__ import annotations

import re

from pix2block.ground.frozen import dataclass

# From the most delicate on: a blend is washed as its most delicate fibre.
_KINDS = {
    "animal": "wool lambswool merino alpaca cashmere mohair angora silk yak llama camel possum "
    "qiviut",
    "plant": "cotton linen flax hemp bamboo viscose rayon modal lyocell jute ramie",
    "synthetic": "acrylic polyester nylon polyamide microfibre microfiber elastane polypropylene",
}
_WASHABLE = re.compile(r"superwash|machine.?wash", re.I)

_COOL = "wet it in cool water without rubbing and press it in a towel"
_BLOCKING = {
    ("animal",): f"{_COOL}, or steam it from above without touching; warmth and rubbing felt wool",
    ("animal", "synthetic"): f"{_COOL}; no iron and no steam near it: warmth and rubbing felt "
    "wool, heat flattens what is synthetic for good",
    ("plant",): "wet it through and press it in a towel, or steam it as its label allows",
    ("synthetic",): "mist or wet it, cool; no iron and no steam near it, which flatten it for good",
}
_BY_LABEL = "wet, steam or mist it, only as the yarn's label allows; mist is the mildest"


@dataclass(frozen=True)
class Care:
    """washed: the same word for fibres that are washed alike, "animal", "superwash", "plant",
    "synthetic", or the fibre itself where it is unknown; blocked: how, in words."""

    washed: str
    blocked: str


def care_of(fibre: str | None) -> Care:
    """What a fibre, or a blend, asks for: of each fibre in it the more careful way."""
    told = fibre or ""
    words = set(re.findall(r"[^\W\d_]+", told.casefold()))
    kinds = [kind for kind, fibres in _KINDS.items() if words & set(fibres.split())]
    if not kinds:
        return Care(" ".join(told.casefold().split()), _BY_LABEL)
    washed = "superwash" if kinds[0] == "animal" and _WASHABLE.search(told) else kinds[0]
    flattens = "synthetic" in kinds
    if kinds[0] == "animal":
        return Care(washed, _BLOCKING["animal", "synthetic"] if flattens else _BLOCKING["animal",])
    return Care(washed, _BLOCKING["synthetic",] if flattens else _BLOCKING["plant",])
