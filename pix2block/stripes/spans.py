"""The rows of a plan's parts, and which yarns those that work "the others" have."""

from __future__ import annotations

from pix2block.ground.frozen import dataclass
from pix2block.stripes.plan import Plan


@dataclass(frozen=True)
class Span:
    """The rows of a part. ended: the yarn of which no further stripe could be begun, None where the
    part did not end for want of yarn; follows: whether that stripe would have been the next.
    last_row is first_row - 1 where the part has no row."""

    part: int
    first_row: int
    last_row: int
    ended: int | None = None
    follows: bool = True


def others(plan: Plan, number: int, spans: tuple[Span, ...], before: int | None) -> tuple[int, ...]:
    """The yarns of the part before but the one that was used up, from the first on that is not the
    yarn of the row before. Where two stripes of a yarn come to lie side by side without the one
    that was used up, one of them is left out."""
    order = _order_before(plan, number, spans)
    ended = spans[-1].ended
    kept: list[int] = []
    gap = False
    for yarn in order:
        if yarn == ended:
            gap = True
        elif not (gap and kept and kept[-1] == yarn):
            kept.append(yarn)
            gap = False
    at_ends = ended in (order[0], order[-1])
    if at_ends and len(kept) > 1 and kept[0] == kept[-1]:
        kept.pop()
    left = kept or list(order)
    start = next((i for i, yarn in enumerate(left) if yarn != before), 0)
    return (*left[start:], *left[:start])


def _order_before(plan: Plan, number: int, spans: tuple[Span, ...]) -> tuple[int, ...]:
    """The order of the part before; of one that is itself "the others", as it was without a
    yarn."""
    order = plan.parts[number - 1].yarns
    return order or others(plan, number - 1, spans[:-1], None)


def later_yarns(plan: Plan, number: int, spans: tuple[Span, ...]) -> set[int]:
    """Yarns that this part and later ones may use."""
    yarns: set[int] = set()
    order = () if plan.parts[number].yarns else others(plan, number, spans, None)
    for part in plan.parts[number:]:
        order = part.yarns or order
        yarns.update(order)
    return yarns
