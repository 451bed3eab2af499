"""What a maker wants to know of a striped piece, a sentence each; stripes.csv for programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from pix2block.amounts.yarn_use import Amounts
from pix2block.craft.diagonal import Edge
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.delimited import table
from pix2block.ground.units import say_count, say_metres
from pix2block.stripes.connect import Connection
from pix2block.stripes.edges import Climbs, Sides, stripes_made, tails_by_side
from pix2block.stripes.plan import Plan
from pix2block.stripes.spans import Span
from pix2block.stripes.steps import Order
from pix2block.stripes.yarn_ends import YarnEnd, last_corner_m, yarn_ends

_MOST_CONNECTIONS = 8


def stripe_lines(
    plan: Plan,
    amounts: Amounts,
    spans: Sequence[Span],
    gradients: Mapping[int, Order],
    climbs: Climbs,
) -> list[str]:
    """How the plan came out: its parts, where yarns end, the last corner, the tails. gradients: the
    yarns of each part that is one, in order; climbs: what leading yarn up the edge leaves."""
    return [
        *(_part_line(plan, span, gradients.get(span.part)) for span in spans),
        *_seam_lines(amounts, spans),
        *_end_lines(amounts),
        *_corner_lines(amounts),
        *_tail_lines(amounts, climbs),
    ]


def _part_line(plan: Plan, span: Span, path: Order | None) -> str:
    part = plan.parts[span.part]
    name = f"Part {span.part + 1}"
    if span.last_row < span.first_row:
        return f"{name} has no row."
    rows = _rows(span.first_row, span.last_row)
    if path:
        steps = ", ".join(f"{step:.1f}" for step in path.steps)
        names = " to ".join(plan.yarns[i].name for i in path.yarns)
        return f"{name}: {rows}, from {names} (colour steps of {steps})."
    if span.ended is not None:
        yarn = plan.yarns[span.ended].name
        if span.follows:
            return f"{name}: {rows}; then the yarn no longer reaches for a stripe of {yarn}."
        return f"{name}: {rows}; the yarn reaches for no further stripe of {yarn}."
    if part.lasts.how == "out":
        return f"{name}: {rows}; the yarn reaches to the end."
    return f"{name}: {rows}."


def _rows(first: int, last: int) -> str:
    return f"row {first}" if first == last else f"rows {first} to {last}"


def _seam_lines(amounts: Amounts, spans: Sequence[Span]) -> list[str]:
    """Where a part goes on in the yarn that worked last, so that two stripes become one."""
    lines = []
    stripes = stripes_made(amounts)
    for before, span in pairwise(span for span in spans if span.last_row >= span.first_row):
        (joined,) = (s for s in stripes if s.first_row <= before.last_row <= s.last_row)
        if joined.last_row > before.last_row:
            rows = _rows(joined.first_row, joined.last_row)
            lines.append(
                f"Part {span.part + 1} goes on in {amounts.chart.yarns[joined.yarn].name}: {rows} "
                f"are one stripe of {joined.rows} rows."
            )
    return lines


def _end_lines(amounts: Amounts) -> list[str]:
    return [_end_line(amounts, end) for end in yarn_ends(amounts)]


def _end_line(amounts: Amounts, end: YarnEnd) -> str:
    line = f"{amounts.chart.yarns[end.yarn].name} is last used in row {end.last_row}"
    if end.left_m is None or end.left_likely_m is None or end.on_hand_m is None:
        return f"{line}; how much there is of it is not known."
    if end.out_in_row is not None:
        return (
            f"{line}; of {say_metres(end.on_hand_m)} on hand it may run out in row "
            f"{end.out_in_row}, {say_metres(-end.left_m)} short."
        )
    return (
        f"{line}; of {say_metres(end.on_hand_m)}, {say_metres(end.left_likely_m)} are left, at "
        f"least {say_metres(end.left_m)}."
    )


def _corner_lines(amounts: Amounts) -> list[str]:
    closing = [row.number for row in amounts.chart.layout if row.phase == "decrease"]
    if not closing:
        return []
    names = [yarn.name for yarn in amounts.chart.yarns]
    takes = [f"{names[i]} {say_metres(m)}" for i, m in last_corner_m(amounts).items()]
    return [
        f"The last corner, {_rows(closing[0], closing[-1])}, takes up to {', '.join(takes)}: kept "
        "back for it."
    ]


def _tail_lines(amounts: Amounts, climbs: Climbs) -> list[str]:
    stripes, sides = stripes_made(amounts), tails_by_side(amounts)
    tails = amounts.plan.tails
    lines = [
        f"{say_count(len(stripes), 'stripe')} leave {say_count(tails, 'tail')}: "
        f"{_side_words(sides)}."
    ]
    odd = sum(stripe.rows % 2 for stripe in stripes)
    if sides.odd_begin and sides.odd_end and odd:
        lines.append(
            f"{say_count(odd, 'stripe')} of an odd number of rows {_takes(odd)} yarn to the other "
            "side: stripes of even numbers leave every tail on one side, two a stripe when cut."
        )
    lines.append(_led_up_line(climbs, sides))
    return lines


def _led_up_line(climbs: Climbs, sides: Sides) -> str:
    """What leading yarn up the edge leaves, and what more rows, fewer or cutting would."""
    tails = climbs.now.tails
    others: list[str | Ask] = []
    for climb in (climbs.more, climbs.fewer):
        if climb and climb.tails != tails:
            others += ["; over ", f"{climb.edge} rows (", Ask("edge", climb.edge)]
            others.append(f") it would be {climb.tails}")
    if climbs.now.edge > 1:
        first = (
            f"Led up the edge over at most {climbs.now.edge} rows, and caught at each turn of it, "
            f"yarn leaves {say_count(tails, 'tail')}"
        )
        if climbs.cut != tails:
            others += ["; cut at every stripe (", Ask("habit", "cut"), f") {climbs.cut}"]
    else:
        first = f"Cut at every stripe, yarn leaves {say_count(tails, 'tail')}"
    hidden = ""
    if sides.odd_begin + sides.odd_end:
        hidden = f" A border worked over the edges hides {_all(tails - sides.inside, tails)}" + (
            ", and the yarn led up." if climbs.now.edge > 1 else "."
        )
    return Advice(first, *others, f".{hidden}")


def _takes(count: int) -> str:
    return "takes its" if count == 1 else "take their"


def _all(part: int, whole: int) -> str:
    return f"all {whole}" if part == whole else f"{part} of {whole}"


def _side_words(sides: Sides) -> str:
    one = f"{sides.odd_begin} on the {_edges(sides.odd_begin_edges)}"
    other = f"{sides.odd_end} on the {_edges(sides.odd_end_edges)}"
    return f"{one}, {other}"


def _edges(edges: tuple[Edge, ...]) -> str:
    return f"{' and '.join(edges)} edge{'s' if len(edges) > 1 else ''}"


def stripes_csv(amounts: Amounts, spans: Sequence[Span]) -> str:
    """One line a stripe, in working order; part: the one in which it begins."""
    header = (
        "stripe part yarn first_row last_row rows blocks metres begins_at ends_at tails_begin "
        "tails_end"
    )
    lines = []
    for number, stripe in enumerate(stripes_made(amounts), 1):
        (part,) = (s.part + 1 for s in spans if s.first_row <= stripe.first_row <= s.last_row)
        lines.append(
            (
                *(number, part, amounts.chart.yarns[stripe.yarn].name, stripe.first_row),
                *(stripe.last_row, stripe.rows, stripe.blocks, f"{stripe.metres:.2f}"),
                *(stripe.begins_at, stripe.ends_at, stripe.tails_begin, stripe.tails_end),
            )
        )
    return table(header.split(), lines)


def plan_table(pieces: Sequence[Amounts]) -> list[str]:
    """Several plans beside each other, a line each."""
    wide = max(len(amounts.chart.title) for amounts in pieces)
    lines = [f"{'':<{wide}} {'blocks':>9} {'rows':>5} {'tails':>6} {'yarn':>7} {'hours':>6}"]
    for amounts in pieces:
        across, down = amounts.chart.layout.extent
        lines.append(
            f"{amounts.chart.title:<{wide}} {f'{across} × {down}':>9} "
            f"{amounts.chart.last_row:>5} {amounts.plan.tails:>6,} "
            f"{say_metres(amounts.metres):>7} {amounts.hours:>6.0f}"
        )
    return lines


def connection_lines(
    first: str, second: str, straight: float, ranked: Sequence[Connection]
) -> list[str]:
    """Which yarns connect two colours, the best first, with their distances."""
    good = [c for c in ranked if c.between and not c.double]
    lines = [f"From {first} to {second} the colour step is {straight:.1f}. What lies between:"]
    lines += [
        f"  {c.yarn.name}: {c.to_first:.1f} from {first}, {c.to_second:.1f} from {second}, "
        f"{c.aside:.0f} aside of the straight way"
        for c in good[:_MOST_CONNECTIONS]
    ]
    if not good:
        lines.append("  no yarn of the shelf")
    doubles = [c.yarn.name for c in ranked if c.double]
    if doubles:
        lines.append(f"  as good as one of the two: {', '.join(doubles)}")
    return lines


def order_line(kind: str, names: Sequence[str], order: Order) -> str:
    """An order with its steps."""
    steps = ", ".join(f"{step:.1f}" for step in order.steps)
    return f"The {kind} order of its yarns: {', '.join(names[i] for i in order.yarns)} ({steps})."
