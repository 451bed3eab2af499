"""The answer: the piece to make, what stands next to it, and what the goals cost."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cached_property

from pix2block.chart.chart import Chart
from pix2block.estimate.goals import Goal, Goals
from pix2block.estimate.piece import Piece, front_of
from pix2block.ground.frozen import dataclass
from pix2block.study.ways import merged_shades

SHORT_FLOAT = 1.5  # block sides: what need not be caught
_LEAST_FELT = 4  # tails; and a twentieth of all


def felt(best: Piece, tails: int) -> bool:
    """Whether a maker would feel that so many are left in place of the piece's."""
    return best.tails - tails >= max(_LEAST_FELT, 0.05 * best.tails)


def less_true(piece: Piece, than: Piece) -> int:
    """By how many per cent its error, seen from far, is above that of another."""
    return max(0, math.floor(100 * (piece.far / than.far - 1) + 0.5)) if than.far else 0


@dataclass(frozen=True, eq=False)
class Next:
    """A piece beside the one recommended. why: what it would take or give, in words."""

    why: str
    piece: Piece


@dataclass(frozen=True, eq=False)
class Answer:
    """Pieces tried, and what they say of the goals. far_m: the distance they are seen from far at;
    whole: whether all that was to be tried was; plain: the best with its subject on one yarn;
    cropped: the best of its subject alone."""

    title: str
    picture: str
    goals: Goals
    pieces: tuple[Piece, ...]
    far_m: float
    whole: bool = True
    plain: Piece | None = None
    cropped: Piece | None = None

    @cached_property
    def front(self) -> tuple[Piece, ...]:
        """Those that no other beats, the truest first."""
        return tuple(front_of(list(self.pieces)))

    @cached_property
    def _ranked(self) -> tuple[Piece, ...]:
        return tuple(sorted(self.pieces, key=lambda p: p.rank))

    @cached_property
    def reaching(self) -> tuple[Piece, ...]:
        """Those that keep every goal, the truest first."""
        return tuple(piece for piece in self._ranked if self.goals.reached(piece))

    @cached_property
    def best(self) -> Piece:
        """The truest piece that keeps every goal; where there is none, the one nearest to them."""
        if self.reaching:
            return self.reaching[0]
        return min(self.pieces, key=lambda p: (round(self.goals.beyond(p), 6), p.rank))

    @property
    def reached(self) -> bool:
        """Whether any piece keeps every goal."""
        return bool(self.reaching)

    @cached_property
    def ordered(self) -> tuple[Piece, ...]:
        """The front: the recommended piece, others that keep the goals, then the rest."""
        others = [piece for piece in self.front if piece is not self.best]
        return (self.best, *sorted(others, key=lambda p: (not self.goals.reached(p), p.rank)))

    @cached_property
    def truest(self) -> Piece:
        """The truest of all, whatever it costs."""
        return self._ranked[0]

    def best_under(self, goals: Goals) -> Piece | None:
        """What would be recommended under other goals."""
        return next((piece for piece in self._ranked if goals.reached(piece)), None)

    @cached_property
    def binding(self) -> tuple[tuple[Goal, Piece], ...]:
        """Goals that alone keep a truer piece out, each with that piece, the dearest first."""
        found = []
        for goal in self.goals.each:
            freed = self.best_under(self.goals.without(goal.name))
            if freed and (not self.reached or freed.truth < self.best.truth):
                found.append((goal, freed))
        return tuple(sorted(found, key=lambda pair: pair[1].rank))

    @cached_property
    def ties(self) -> tuple[Piece, ...]:
        """Pieces that keep the goals, are as true as the best and as much work: nobody would see or
        feel which of them was made."""
        return tuple(p for p in self.reaching if p is not self.best and alike(p, self.best))

    @cached_property
    def next_to_it(self) -> tuple[Next, ...]:
        """What a little more, no long floats, one more yarn or a smaller piece would give."""
        found = (
            *(self._a_little_more(), self._without_long_floats(), self._more_yarns()),
            *(self._smaller(), self._less_work()),
        )
        kept: dict[int, Next] = {}
        for one in found:
            if one and one.piece is not self.best and one.piece not in self.ties:
                kept.setdefault(one.piece.number, one)
        return tuple(kept.values())[:3]

    def _a_little_more(self) -> Next | None:
        """The truest with an hour more of what binds."""
        for goal, _ in self.binding:
            if goal.name not in ("weave_in", "hours", "by"):
                continue
            wider = tuple(replace(g, most=g.most + 1) if g is goal else g for g in self.goals.each)
            piece = self.best_under(replace(self.goals, each=wider))
            if piece and piece.truth < self.best.truth:
                return Next("With one hour more", piece)
        return None

    def _without_long_floats(self) -> Next | None:
        """The truest as large without a float longer than a block, or about; where none keeps the
        goals, the one nearest to them."""
        if self.best.longest_float <= SHORT_FLOAT:
            return None
        shape = self.best.chart.blocks.shape
        short = [
            p
            for p in self._ranked
            if p.longest_float <= SHORT_FLOAT and p.chart.blocks.shape == shape
        ]
        piece = min(short, key=lambda p: round(self.goals.beyond(p), 6), default=None)
        return Next("Without long floats", piece) if piece else None

    def _more_yarns(self) -> Next | None:
        """As large and truer in more yarns, as few and as little beyond the goals as may be."""
        best = self.best
        more = [
            p
            for p in self.pieces
            if p.yarns > best.yarns
            and p.chart.width == best.chart.width
            and p.truth < best.truth
            and less_true(best, p)
        ]
        piece = min(more, key=lambda p: (self.goals.beyond(p), p.yarns, p.rank), default=None)
        return Next("With more yarns", piece) if piece else None

    def _smaller(self) -> Next | None:
        smaller = [p for p in self.reaching if p.chart.width < self.best.chart.width]
        piece = min(smaller, key=lambda p: p.rank, default=None)
        return Next("Smaller", piece) if piece else None

    def _less_work(self) -> Next | None:
        """Of the same size, no further feature lost, hardly less true, much less to weave in."""
        best = self.best
        less = [
            p
            for p in self.front
            if p.chart.width == best.chart.width
            and len(p.lost) <= len(best.lost)
            and p.far <= 1.1 * best.far
            and p.weave_in_hours <= 0.75 * best.weave_in_hours
            and felt(best, p.tails)
        ]
        piece = min(less, key=lambda p: (self.goals.beyond(p), p.tails, p.rank), default=None)
        return Next("With less to weave in", piece) if piece else None

    @cached_property
    def other_corner(self) -> Piece | None:
        """The best piece, worked from another corner with at least 5 % fewer tails, where it was
        tried."""
        chart = self.best.chart
        same = [
            p
            for p in self.pieces
            if p.options.shelf == self.best.options.shelf
            and p.options.colors == self.best.options.colors
            and p.chart.blocks.shape == chart.blocks.shape
            and (p.chart.habit, p.options.calm) == (chart.habit, self.best.options.calm)
            and p.options.most_hanging == self.best.options.most_hanging
            and p.chart.start_corner != chart.start_corner
        ]
        fewest = min(same, key=lambda p: p.tails, default=None)
        return fewest if fewest and fewest.tails <= 0.95 * self.best.tails else None

    @cached_property
    def merged(self) -> tuple[str, str, Chart] | None:
        """Two shades of the best piece made one: the one that goes, the one that stays, the chart;
        None where no two are near."""
        return merged_shades(self.best.chart)


_FELT = 0.02  # of tails, of hours: what nobody feels


def alike(one: Piece, other: Piece) -> bool:
    """Whether two pieces are as true, and no more work than nobody feels."""
    return (
        one.truth == other.truth
        and abs(one.tails - other.tails) <= max(2, _FELT * other.tails)
        and abs(one.all_hours - other.all_hours) <= _FELT * other.all_hours
        and abs(one.most_hanging - other.most_hanging) <= 1
        and round(one.price or 0.0, 2) == round(other.price or 0.0, 2)
    )
