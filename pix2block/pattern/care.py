"""Finishing and cautions. They defer to local safety rules, the yarn's label and medical advice.

Tails, blocking: common practice. Sleep: American Academy of Pediatrics 2022 (a bare, firm surface
through the first year). Small parts: 16 CFR 1501, EN 71-1. Iron symbols: ISO 3758. Hands: NHS,
preventing repetitive strain injury. Acrylic: a dry cleaners' bulletin on stretched acrylic knits.
"""

from __future__ import annotations

from pix2block.amounts.measures import say_finished
from pix2block.amounts.yarn_use import Amounts
from pix2block.ground.settings import TailEnding
from pix2block.ground.units import CM_PER_INCH, say_size
from pix2block.pattern.document import Bullets, Passage
from pix2block.yarn.fibres import care_of
from pix2block.yarn.mixed import mixed_fibres_line

_WEAVING = (
    "thread a needle and weave each into blocks of its own colour, at least 2.5 cm (1 in), "
    "changing direction at least twice; then trim. Count needles in and out."
)
WORKING_OVER = (
    "Tails are worked over as you go: lay the tail along the row before and work the next blocks "
    "over it for at least 2.5 cm (1 in), pull it snug, and trim it."
)
_TAILS: dict[TailEnding, str] = {
    "woven": f"Tails: {_WEAVING}",
    "over": f"Tails that are left, the last one at least: {_WEAVING}",
    "border": "Tails at the edges: lay each along its edge and work the border's first round over "
    f"it, at least 2.5 cm (1 in). All others: {_WEAVING}",
    "fringe": "Tails at the edges: knot neighbours in pairs close to the edge and trim them to "
    f"one length. All others: {_WEAVING}",
}

_CAUTIONS = (
    "Heat and steam can stretch or flatten acrylic for good: follow the care label of the yarn.",
    "Babies: nothing loose in a baby's sleep space in the first year, this blanket included, and "
    "no long floats or loose tails on baby things. Local safety rules come first.",
    "Markers are small parts and needles are sharp: count them in and out and keep them from "
    "small children.",
    "Rest your hands, often and briefly. Numbness, pain at night or a weak grip: ask a doctor.",
)

_BORDER = "Block after the border is worked: one line of pins then sets both."
_NO_BORDER = (
    "A border is counted neither in the size nor in the yarn. Work it before blocking, the same "
    "number of stitches along every block side."
)


def finishing_parts(amounts: Amounts) -> tuple[Passage, ...]:
    """Tails, blocking to the finished size, border."""
    return (
        Bullets(
            (
                _TAILS[amounts.chart.tail_ending],
                *(f"Blocking, {line}" for line in _blocking(amounts)),
                "Mist or wet the back first, then the front. " + _pin_out(amounts),
                _BORDER if amounts.border else _NO_BORDER,
            )
        ),
    )


def _blocking(amounts: Amounts) -> list[str]:
    """How to block, a line a kind of fibre that is used."""
    lines: dict[str, list[str]] = {}
    for yarn, amount in zip(amounts.chart.yarns, amounts.yarns, strict=True):
        if not amount.blocks:
            continue
        fibre = (yarn.fibre or "").strip().lower()
        how = care_of(fibre).blocked
        lines.setdefault(how, [])
        if fibre and fibre not in lines[how]:
            lines[how].append(fibre)
    return [f"{', '.join(fibres) or 'fibre not named'}: {how}." for how, fibres in lines.items()]


def _pin_out(amounts: Amounts) -> str:
    """The size to pin to, border included, and the diagonal that tells a right angle."""
    added = amounts.border is not None
    width, height = amounts.whole_size_cm
    pin = f"Pin it to {say_size(width, height)}{', border included' if added else ''}"
    diagonal = (width**2 + height**2) ** 0.5
    said = f"{diagonal:.0f} cm ({diagonal / CM_PER_INCH:.0f} in)"
    chart = amounts.chart
    if not chart.ends_early:
        pin += f"{',' if added else ''} with both diagonals equal: {said}"
    elif amounts.wingspan_depth_cm and not added:
        edge = f"{width:.0f} cm ({width / CM_PER_INCH:.0f} in)"
        size = say_finished(chart, amounts.measures.block_cm)
        pin = f"Pin it to {size}, the two edges at the start corner {edge} each"
    return pin + ". Leave it until it is dry."


def caution_parts(amounts: Amounts) -> tuple[Passage, ...]:
    """Cautions where they matter."""
    chart = amounts.chart
    used = [yarn for yarn, is_used in zip(chart.yarns, chart.used, strict=True) if is_used]
    mixed = mixed_fibres_line(used)
    return (Bullets((*_CAUTIONS, *([mixed[:1].upper() + mixed[1:]] if mixed else []))),)
