"""Filling a piece with the stripes of a plan, as far as the yarn on hand allows.

A part that lasts until a yarn runs out goes on as long as it can: it gets the most whole stripes
with which every yarn still reaches to the end, the last corner included. So what the last corner
needs is kept back, and no stripe is begun that cannot be finished. Feasibility is not taken to be
monotone, neither in the number of stripes nor in the length: every number is tried from the most
downwards; what a bound of the need rules out is passed over.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice

import numpy as np

from pix2block.color.spaces import Floats
from pix2block.craft.diagonal import Ints, Layout
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import MOST_BLOCKS_A_SIDE
from pix2block.stripes.laying import Stripe, stripes_of
from pix2block.stripes.piece import Flags, Piece, block_loops
from pix2block.stripes.plan import Plan

MOST_TRIES = 20_000  # of dividing a piece among parts; some half a minute

_NONE: Ints = np.zeros(0, dtype=np.int64)


@dataclass(frozen=True)
class Span:
    """The rows of a part. ended: the yarn whose next stripe was not begun, None where the part did
    not end for want of yarn. last_row is first_row - 1 where the part has no row."""

    part: int
    first_row: int
    last_row: int
    ended: int | None = None


@dataclass(frozen=True, eq=False)
class Filled:
    """A piece with its rows filled. rows: (rows,) yarn of each."""

    piece: Piece
    rows: Ints
    spans: tuple[Span, ...]


class DoesNotAddUp(BadInput):
    """The rows of the parts are not the rows of the piece."""


@dataclass
class _Tries:
    """Counted, so that a search ends after the same work on every machine."""

    plan: Plan
    left: int = field(default=MOST_TRIES)

    def one_more(self) -> None:
        self.left -= 1
        if self.left < 0:
            raise self.plan.parts[0].place.refuse(
                "there are too many ways to divide the rows among the parts: give some of them a "
                "number of rows"
            )


def fill(plan: Plan, piece: Piece, needs_yarn: bool = True) -> Filled | None:
    """The piece filled, None where the yarn does not reach.

    needs_yarn: False fills it even where the yarn does not reach to the end.

    Raises DoesNotAddUp where parts of counted rows are more or fewer than the piece has.
    """
    tries = _Tries(plan)
    for filled in _fillings(plan, piece, 0, _NONE, (), tries):
        tries.one_more()
        if not needs_yarn or piece.reaches(filled.rows):
            return filled
    return None


def longest(plan: Plan, piece: Piece, most: int = MOST_BLOCKS_A_SIDE) -> Filled | None:
    """The longest piece of the plan's width for which the yarn reaches, None where there is none.

    piece: one of any length; most: blocks of length, or rows of a triangle, to try.
    """
    for length in range(_longest_by_weight(plan, piece, most), 0, -1):
        longer = Piece(piece.chart, layout_of(plan, piece, length), piece.bought)
        try:
            filled = fill(plan, longer)
        except DoesNotAddUp:
            continue
        if filled:
            return filled
    return None


def layout_of(plan: Plan, piece: Piece, length: int) -> Layout:
    """The layout of a piece of another length: in blocks, of a triangle in rows."""
    width, height = (length, length) if plan.width is None else (plan.width, length)
    all_rows = width + height - 1
    rows = length if plan.width is None else min(plan.last_row or all_rows, all_rows)
    return Layout(width, height, rows, piece.layout.start_corner, piece.layout.hand)


def _longest_by_weight(plan: Plan, piece: Piece, most: int) -> int:
    """No longer piece has yarn enough for its blocks, were all yarns as thin as the thinnest."""
    named = list(plan.named)
    stock = piece.stock_cm[named].sum()
    if not np.isfinite(stock):
        return most
    cheapest = (piece.loop_cm * piece.high)[named].min()
    # Blocks grow with the length, and a row's turns never take less than nothing beyond them.
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        layout = layout_of(plan, piece, middle)
        blocks = sum(layout.blocks_in(n) for n in range(1, layout.last_row + 1))
        if blocks * block_loops(piece.chart.block) * cheapest <= stock * (1 + 1e-9):
            low = middle
        else:
            high = middle - 1
    return low


def _fillings(
    plan: Plan,
    piece: Piece,
    number: int,
    rows: Ints,
    spans: tuple[Span, ...],
    tries: _Tries,
) -> Iterator[Filled]:
    """Ways to fill the rest of a piece from part `number` on, the best first."""
    if number == len(plan.parts):
        if len(rows) < piece.rows:
            raise DoesNotAddUp(
                str(
                    plan.parts[-1].lasts_place.refuse(
                        f"the parts add up to {len(rows)} rows, the piece has {piece.rows}: let "
                        'the last part last "to the end"'
                    )
                )
            )
        yield Filled(piece, rows, spans)
        return
    part = plan.parts[number]
    first = len(rows) + 1
    order = part.yarns or _others(plan, number, spans)
    last_row = piece.rows
    if part.lasts.how == "rows":
        last_row = len(rows) + part.lasts.count
        _refuse_beyond(plan, number, last_row, piece)
    if part.lasts.how == "end" and first > piece.rows and not _ran_to_the_end(plan, spans):
        _refuse_beyond(plan, number, first, piece)
    before = int(rows[-1]) if len(rows) else None
    stripes = stripes_of(part, order, before, first, last_row, piece.row_metres, piece.chart.yarns)
    if part.lasts.how == "out":
        yield from _until_out(plan, piece, number, rows, spans, list(stripes), tries)
        return
    if part.lasts.how == "repeats":
        wanted = part.lasts.count * len(order)
        taken = list(islice(stripes, wanted))
        last_row = len(rows) + sum(stripe.rows for stripe in taken)
        if len(taken) < wanted:
            last_row = max(last_row, piece.rows + 1)
        _refuse_beyond(plan, number, last_row, piece)
    else:
        taken = list(stripes)
    longer = _with(rows, taken)[:last_row]
    span = Span(number, first, len(longer))
    yield from _fillings(plan, piece, number + 1, longer, (*spans, span), tries)


def _with(rows: Ints, stripes: list[Stripe]) -> Ints:
    yarns = np.array([stripe.yarn for stripe in stripes], dtype=np.int64)
    widths = np.array([stripe.rows for stripe in stripes], dtype=np.int64)
    return np.concatenate([rows, np.repeat(yarns, widths)])


def _others(plan: Plan, number: int, spans: tuple[Span, ...]) -> tuple[int, ...]:
    """The yarns of the part before but the one that was used up."""
    before = plan.parts[number - 1]
    order = before.yarns or _others(plan, number - 1, spans[:-1])
    ended = spans[-1].ended
    return tuple(yarn for yarn in order if yarn != ended) or order


def _ran_to_the_end(plan: Plan, spans: tuple[Span, ...]) -> bool:
    """Whether some part that was to last until a yarn runs out found yarn enough to the end."""
    return any(plan.parts[s.part].lasts.how == "out" and s.ended is None for s in spans)


def _refuse_beyond(plan: Plan, number: int, last_row: int, piece: Piece) -> None:
    if last_row > piece.rows:
        raise DoesNotAddUp(
            str(
                plan.parts[number].lasts_place.refuse(
                    f"part {number + 1} would end in row {last_row} or later, the piece ends after "
                    f"row {piece.rows}: make the part shorter or the piece longer"
                )
            )
        )


def _until_out(
    plan: Plan,
    piece: Piece,
    number: int,
    rows: Ints,
    spans: tuple[Span, ...],
    stripes: list[Stripe],
    tries: _Tries,
) -> Iterator[Filled]:
    """The part with the most stripes that there may be yarn for, then with fewer and fewer."""
    tries.one_more()
    part = plan.parts[number]
    first = len(rows) + 1
    longer = _with(rows, stripes)[: piece.rows]
    ends = len(rows) + np.cumsum([0, *(stripe.rows for stripe in stripes)])
    ends = np.minimum(ends, piece.rows)
    least_cm = piece.least_cm(longer)[ends]
    may_be = piece.may_reach(least_cm)
    ended: list[int | None] = [*(stripe.yarn for stripe in stripes), None]
    for yarn in {stripe.yarn for stripe in stripes}:
        here = np.array([one == yarn for one in ended])
        if part.lasts.yarn not in (None, yarn):
            may_be &= ~here
            continue
        span = Span(number, first, 0, yarn)
        places = np.flatnonzero(here & may_be)
        closes = _may_close(plan, piece, (*spans, span), ends[places], least_cm[places])
        may_be[places[~closes]] = False
    for count in np.flatnonzero(may_be)[::-1].tolist():
        last_row = int(ends[count])
        span = Span(number, first, last_row, ended[count])
        begun = longer[:last_row]
        yield from _fillings(plan, piece, number + 1, begun, (*spans, span), tries)


def _may_close(
    plan: Plan, piece: Piece, spans: tuple[Span, ...], after: Ints, least_cm: Floats
) -> Flags:
    """(n,) False where what follows the last span cannot close the piece, after so many rows.

    least_cm: (n, yarns) taken by then.
    """
    if not len(after):
        return np.zeros(0, dtype=bool)
    number = len(spans)
    may_be = piece.may_be_closed(least_cm, after, _later_yarns(plan, number, spans))
    part = plan.parts[number]
    steady = part.seed is None and part.metres is None and not part.gradient
    if part.lasts.how == "end" and steady and may_be.any():
        order = part.yarns or _others(plan, number, spans)
        places = np.flatnonzero(may_be)
        longest_end = piece.rows - int(after[places].min())
        stripes = stripes_of(part, order, None, 1, longest_end, piece.row_metres, plan.yarns)
        end = _with(_NONE, list(stripes))
        if longest_end:
            least_cm = least_cm[places] + piece.least_of_ends_cm(after[places], end)
            may_be[places] = piece.may_reach(least_cm)
    return may_be


def _later_yarns(plan: Plan, number: int, spans: tuple[Span, ...]) -> set[int]:
    """Yarns that this part and later ones may use."""
    yarns: set[int] = set()
    others = _others(plan, number, spans) if not plan.parts[number].yarns else ()
    for part in plan.parts[number:]:
        yarns.update(part.yarns or others)
        others = part.yarns or others
    return yarns
