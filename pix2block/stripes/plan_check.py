"""Whether the parts of a stripe plan follow each other to an end, whatever the yarn."""

from __future__ import annotations

from pix2block.ground.settings import MOST_ROWS
from pix2block.stripes.laying import width_of
from pix2block.stripes.plan import Part, Plan


def counted_rows(plan: Plan) -> int | None:
    """Rows that the parts add up to, None where that hangs on the yarn or on the piece's length."""
    rows = 0
    for part in plan.parts:
        if part.lasts.how == "rows":
            rows += part.lasts.count
        elif part.lasts.how == "repeats" and part.metres is None:
            rows += sum(width_of(part, i) for i in range(part.lasts.count * len(part.yarns)))
        else:
            return None
    return rows


def refuse_what_cannot_end(plan: Plan) -> None:
    """Raises BadInput where the parts do not follow each other to an end, whatever the yarn."""
    for number, part in enumerate(plan.parts):
        last = number == len(plan.parts) - 1
        if part.lasts.how == "end" and not last:
            raise part.lasts_place.refuse(
                f"only the last part lasts to the end: say how long part {number + 1} lasts"
            )
        if part.lasts.how == "out" and last:
            raise part.lasts_place.refuse(
                "nothing follows when the yarn has run out: add a part that lasts to the end"
            )
        if part.gradient and part.lasts.how not in ("rows", "end"):
            raise part.lasts_place.refuse(
                'a gradient must know its rows: let it last "24 rows" or "to the end"'
            )
        if not part.yarns:
            _refuse_no_others(plan, number)
        if part.lasts.how == "rows" and part.metres is None and not part.gradient:
            _refuse_cut_stripe(part)


def _refuse_no_others(plan: Plan, number: int) -> None:
    part, before = plan.parts[number], plan.parts[number - 1]
    if before.lasts.how != "out":
        raise part.place.refuse('"the others" goes after a part that lasts until a yarn runs out')
    given = next(p.yarns for p in reversed(plan.parts[:number]) if p.yarns)
    if len(set(given)) < 2:
        raise part.place.refuse('"the others" needs a part before it with two yarns or more')


def _refuse_cut_stripe(part: Part) -> None:
    """Raises BadInput where so many rows end inside a stripe."""
    rows, number = 0, 0
    while rows < min(part.lasts.count, MOST_ROWS):
        before, rows, number = rows, rows + width_of(part, number), number + 1
    if rows != part.lasts.count:
        less = f"{before} or " if before else ""
        raise part.lasts_place.refuse(
            f"{part.lasts.count} rows end inside a stripe: write {less}{rows} rows, or other "
            "stripes"
        )
