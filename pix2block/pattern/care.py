"""Finishing and cautions. They defer to local safety rules, the yarn's label and medical advice.

Tails, blocking: common practice. Sleep: American Academy of Pediatrics 2022 (a bare, firm surface
through the first year). Small parts: 16 CFR 1501, EN 71-1. Iron symbols: ISO 3758. Hands: NHS,
preventing repetitive strain injury.
"""

from __future__ import annotations

from collections.abc import Sequence

from pix2block.ground.settings import TailEnding

_WEAVING = (
    "thread a needle and weave each into blocks of its own colour, at least 2.5 cm (1 in), "
    "changing direction at least twice; then trim. Count needles in and out."
)
WORKING_OVER = (
    "Tails are worked over as you go: lay the tail along the row before and work the next blocks "
    "over it for at least 2.5 cm (1 in), pull it snug, and trim it."
)
TAILS: dict[TailEnding, str] = {
    "woven": f"Tails: {_WEAVING}",
    "over": f"Tails that are left, the last one at least: {_WEAVING}",
    "border": "Tails at the edges: lay each along its edge and work the border's first round over "
    f"it, at least 2.5 cm (1 in). All others: {_WEAVING}",
    "fringe": "Tails at the edges: knot neighbours in pairs close to the edge and trim them to "
    f"one length. All others: {_WEAVING}",
}
BLOCKING = (
    "Blocking: wet, steam or mist, as the yarn's label allows; mist the back first, then the "
    "front. Pin to the finished size with both diagonals equal, and leave it to dry."
)

CAUTIONS = (
    "Heat and steam can stretch or flatten acrylic for good: follow the care label of the yarn.",
    "Babies: nothing loose in a baby's sleep space in the first year, this blanket included, and "
    "no long floats or loose tails on baby things. Local safety rules come first.",
    "Markers are small parts and needles are sharp: count them in and out and keep them from "
    "small children.",
    "Rest your hands, often and briefly. Numbness, pain at night or a weak grip: ask a doctor.",
)


def fibres_of_care(fibres: Sequence[str]) -> str | None:
    """A caution where fibres are mixed, else None."""
    kinds = sorted({fibre.strip().lower() for fibre in fibres if fibre.strip()})
    if len(kinds) < 2:
        return None
    return (
        f"Fibres are mixed ({', '.join(kinds)}): wash and block as the most delicate label allows."
    )
