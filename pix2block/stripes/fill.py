"""Filling a piece with the stripes of a plan, as far as the yarn on hand allows.

A part that lasts until a yarn runs out ends after a whole stripe: at the earliest after the last
stripe of the yarn that is possible, at the latest before its next, which cannot be begun: with it
the yarn itself would not reach to the end of the piece. Of these ends the longest piece counts,
then one where the next part does not go on in the yarn that worked last, then the later. So what
the last corner needs is kept back, and no stripe is begun that cannot be finished. Where no end is
such, because another yarn is used up before, the part has the most stripes with which the piece can
be closed. Feasibility is not taken to be monotone, neither in the number of stripes nor in the
length: every number is tried from the most downwards; what a bound rules out is passed over.
"""

from __future__ import annotations

from dataclasses import field, replace
from itertools import chain, islice

import numpy as np

from pix2block.color.spaces import Floats
from pix2block.craft.diagonal import Flags, Ints, Layout
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import MOST_BLOCKS_A_SIDE
from pix2block.stripes.laying import Stripe, steady_rows, stripes_of
from pix2block.stripes.piece import Piece, block_loops
from pix2block.stripes.plan import Plan
from pix2block.stripes.spans import Span, later_yarns, others

MOST_TRIES = 20_000  # of dividing a piece among parts; some half a minute

_NONE: Ints = np.zeros(0, dtype=np.int64)


@dataclass(frozen=True, eq=False)
class Filled:
    """A piece with its rows filled. rows: (rows,) yarn of each."""

    piece: Piece
    rows: Ints
    spans: tuple[Span, ...]

    def goes_on_after(self, row: int) -> bool:
        """Whether the row after this one has the same yarn."""
        return 0 < row < len(self.rows) and bool(self.rows[row - 1] == self.rows[row])


class DoesNotAddUp(BadInput):
    """The rows of the parts are not the rows of the piece."""


@dataclass
class _Filling:
    """A piece while it is filled. truly_out: whether a part ends only where its yarn is used up
    itself; left: tries, counted, so that a search ends after the same work on every machine."""

    plan: Plan
    piece: Piece
    needs_yarn: bool = True
    truly_out: bool = False
    left: int = field(default=MOST_TRIES)

    def one_more(self) -> None:
        self.left -= 1
        if self.left < 0:
            raise self.plan.parts[0].place.refuse(
                "there are too many ways to divide the rows among the parts: give some of them a "
                "number of rows"
            )

    def best(self, number: int, rows: Ints, spans: tuple[Span, ...]) -> Filled | None:
        """The best way to fill the rest of the piece from part `number` on, None where the yarn
        does not reach."""
        plan, piece = self.plan, self.piece
        if not piece.starts_with(rows):
            return None
        if number == len(plan.parts):
            _refuse_too_few(plan, rows, piece)
            self.one_more()
            reached = not self.needs_yarn or piece.reaches(rows)
            return Filled(piece, rows, spans) if reached else None
        part = plan.parts[number]
        first = len(rows) + 1
        before = int(rows[-1]) if len(rows) else None
        order = part.yarns or others(plan, number, spans, before)
        last_row = piece.rows
        if part.lasts.how == "rows":
            last_row = len(rows) + part.lasts.count
            _refuse_beyond(plan, number, last_row, piece)
        if part.lasts.how == "end" and first > piece.rows and not _ran_to_the_end(plan, spans):
            _refuse_beyond(plan, number, first, piece)
        stripes = stripes_of(
            part, order, before, first, last_row, piece.row_metres, piece.chart.yarns
        )
        if part.lasts.how == "out":
            return self._until_out(number, rows, spans, list(stripes))
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
        return self.best(number + 1, longer, (*spans, Span(number, first, len(longer))))

    def _until_out(
        self, number: int, rows: Ints, spans: tuple[Span, ...], stripes: list[Stripe]
    ) -> Filled | None:
        """The best end of a part that lasts until a yarn runs out."""
        self.one_more()
        piece, first = self.piece, len(rows) + 1
        longer = _with(rows, stripes)[: piece.rows]
        ends = len(rows) + np.cumsum([0, *(stripe.rows for stripe in stripes)])
        ends = np.minimum(ends, piece.rows)
        least_cm = piece.least_cm(longer)[ends]
        may_be = piece.may_reach(least_cm)
        if may_be[-1]:
            to_the_end = Span(number, first, piece.rows)
            if found := self.best(number + 1, longer, (*spans, to_the_end)):
                return found
        named = self.plan.parts[number].lasts.yarn
        yarns = dict.fromkeys(stripe.yarn for stripe in stripes)
        may_end = {}
        for yarn in yarns:
            if named in (None, yarn):
                then = (*spans, Span(number, first, 0, yarn))
                may_end[yarn] = may_be & self._may_close(then, ends, least_cm)
                if self.truly_out and yarn not in later_yarns(self.plan, number + 1, then):
                    with_next = ends[_with_next(stripes, yarn)]
                    may_end[yarn] &= piece.may_be_short(longer, yarn)[with_next]
        best = None
        for count in reversed(range(len(stripes))):
            last_row = int(ends[count])
            for yarn in _by_next(stripes, count, {y for y in may_end if may_end[y][count]}):
                span = Span(number, first, last_row, yarn, stripes[count].yarn == yarn)
                try:
                    found = self.best(number + 1, longer[:last_row], (*spans, span))
                except DoesNotAddUp:
                    continue
                if found and self.truly_out:
                    one_more = int(ends[_with_next(stripes, yarn)[count]])
                    rows_then = np.append(longer[:one_more], found.rows[one_more:])
                    found = found if piece.is_short(rows_then, yarn) else None
                if found and not found.goes_on_after(last_row):
                    return found
                best = best or found
            if best:  # before this yarn's last stripe it does not end
                may_end.pop(stripes[count - 1].yarn if count else -1, None)
            if best and not may_end:
                break
        return best

    def _may_close(self, spans: tuple[Span, ...], after: Ints, least_cm: Floats) -> Flags:
        """(n,) False where what follows the last span cannot close the piece, after so many rows.

        least_cm: (n, yarns) taken by then.
        """
        plan, piece, number = self.plan, self.piece, len(spans)
        may_be = piece.may_be_closed(least_cm, after, later_yarns(plan, number, spans))
        part = plan.parts[number]
        steady = part.seed is None and part.metres is None and not part.gradient
        places = np.flatnonzero(may_be)
        if part.lasts.how != "end" or not steady or not len(places):
            return may_be
        longest_end = piece.rows - int(after[places].min())
        if not longest_end:
            return may_be
        may_be[:] = False
        usual = part.yarns or others(plan, number, spans, None)
        turned = part.yarns or others(plan, number, spans, usual[0])
        for order in {usual, turned}:
            end = steady_rows(part, order, longest_end)
            in_all = least_cm[places] + piece.least_of_ends_cm(after[places], end)
            may_be[places] |= piece.may_reach(in_all)
        return may_be


def _with_next(stripes: list[Stripe], yarn: int) -> Ints:
    """(stripes + 1,) how many stripes there are with the next one of a yarn, from each number on;
    all of them where there is no next."""
    after = np.full(len(stripes) + 1, len(stripes), dtype=np.int64)
    for count in reversed(range(len(stripes))):
        after[count] = count + 1 if stripes[count].yarn == yarn else after[count + 1]
    return after


def _by_next(stripes: list[Stripe], count: int, yarns: set[int]) -> list[int]:
    """Some yarns of a part after so many stripes, in the order of their next stripes; those with
    none to come at last."""
    found: dict[int, None] = {}
    after = chain(stripes[count:], reversed(stripes[:count])) if yarns else ()
    for stripe in after:
        if stripe.yarn in yarns:
            found.setdefault(stripe.yarn)
            if len(found) == len(yarns):
                break
    return list(found)


def fill(plan: Plan, piece: Piece, needs_yarn: bool = True) -> Filled | None:
    """The piece filled, None where the yarn does not reach.

    needs_yarn: False fills it even where the yarn does not reach to the end.

    Raises DoesNotAddUp where parts of counted rows are more or fewer than the piece has.
    """
    return next(
        filter(None, (_filled(plan, piece, needs_yarn, out) for out in (True, False))), None
    )


def _filled(plan: Plan, piece: Piece, needs_yarn: bool, truly_out: bool) -> Filled | None:
    if not piece.may_be:
        return None
    return _Filling(plan, piece, needs_yarn, truly_out).best(0, _NONE, ())


def longest(plan: Plan, piece: Piece, most: int = MOST_BLOCKS_A_SIDE) -> Filled | None:
    """The longest piece of the plan's width for which the yarn reaches, None where there is none.

    piece: one of any length; most: blocks of length, or rows of a triangle, to try.
    """
    lengths = range(_longest_by_weight(plan, piece, most), 0, -1)
    until_out = any(part.lasts.how == "out" for part in plan.parts)
    for truly_out in (True, False) if until_out else (False,):
        for length in lengths:
            longer = replace(piece, layout=layout_of(plan, piece, length))
            try:
                filled = _filled(plan, longer, True, truly_out)
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


def _with(rows: Ints, stripes: list[Stripe]) -> Ints:
    yarns = np.array([stripe.yarn for stripe in stripes], dtype=np.int64)
    widths = np.array([stripe.rows for stripe in stripes], dtype=np.int64)
    return np.concatenate([rows, np.repeat(yarns, widths)])


def _refuse_too_few(plan: Plan, rows: Ints, piece: Piece) -> None:
    if len(rows) < piece.rows:
        raise DoesNotAddUp(
            str(
                plan.parts[-1].lasts_place.refuse(
                    f"the parts add up to {len(rows)} rows, the piece has {piece.rows}: let "
                    'the last part last "to the end"'
                )
            )
        )


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
