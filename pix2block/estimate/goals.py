"""Goals: what a piece may cost at most, and how far it is beyond."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Mapping

from pix2block.estimate.piece import Piece
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.options.goal_rules import Evenings
from pix2block.options.goals import EstimateOptions


@dataclass(frozen=True)
class Goal:
    """One goal. name: of its option; most: what it allows; of: what a piece takes of it, None where
    that is not known."""

    name: str
    most: float
    of: Callable[[Piece], float | None]

    def beyond(self, piece: Piece) -> float:
        """By what part a piece goes beyond it; 0 where it is reached or not known."""
        takes = self.of(piece)
        if takes is None or takes <= self.most + 1e-9:
            return 0.0
        return (takes - self.most) / self.most if self.most else 1.0 + takes

    def reached(self, piece: Piece) -> bool:
        """Whether a piece keeps it."""
        return self.beyond(piece) == 0.0


@dataclass(frozen=True)
class Goals:
    """All goals of an estimate, and when it is worked. first_day: the one thing that may come from
    the clock."""

    each: tuple[Goal, ...]
    evenings: Evenings | None
    first_day: datetime.date
    by: datetime.date | None = None

    def reached(self, piece: Piece) -> bool:
        """Whether a piece keeps them all."""
        return all(goal.reached(piece) for goal in self.each)

    def beyond(self, piece: Piece) -> float:
        """By how much a piece goes beyond them, each in parts of it, together."""
        return math.fsum(goal.beyond(piece) for goal in self.each)

    def without(self, name: str) -> Goals:
        """All but one."""
        left = tuple(goal for goal in self.each if goal.name != name)
        return Goals(left, self.evenings, self.first_day, self.by)

    def last_day(self, hours: float) -> datetime.date | None:
        """The evening on which so many hours are done; None where no evenings are told."""
        if self.evenings is None:
            return None
        count = max(1, math.ceil(hours / self.evenings.hours - 1e-9))
        days = math.ceil(count * 7 / self.evenings.a_week - 1e-9) - 1
        try:
            return self.first_day + datetime.timedelta(days=days)
        except OverflowError:
            return datetime.date.max


def goals_of(asked: EstimateOptions, today: Callable[[], datetime.date], priced: bool) -> Goals:
    """The goals that were asked for. today: asked where no first day is given; priced: whether the
    yarns tried have prices.

    Raises BadInput for goals that need what was not said.
    """
    if asked.by and not asked.evenings:
        raise BadInput(
            Ask("by", asked.by.isoformat()),
            " needs to know when you crochet: add ",
            Ask("evenings", '"1.5 h, 3 a week"'),
        )
    if asked.spend is not None and not priced:
        raise BadInput(
            Ask("spend", f"{asked.spend:g}"), " needs prices: name a shelf whose yarns have one"
        )
    first_day = asked.from_ or today()
    each = [
        Goal(name, float(most), _TAKES[name])
        for name in _TAKES
        if (most := getattr(asked, name)) is not None and most is not False
    ]
    if asked.by and asked.evenings:
        each.append(Goal("by", _hours_until(asked.by, first_day, asked.evenings), _all_hours))
    return Goals(tuple(each), asked.evenings, first_day, asked.by)


def _hours_until(by: datetime.date, first_day: datetime.date, evenings: Evenings) -> float:
    """Hours of crochet from the first day to the last, both counted."""
    days = (by - first_day).days + 1
    if days < 1:
        raise BadInput(
            Ask("by", by.isoformat()),
            f" is before the first day, {first_day.isoformat()}: "
            "choose a later day, or an earlier ",
            Ask("from_"),
        )
    return math.floor(days * evenings.a_week / 7 + 1e-9) * evenings.hours


def _all_hours(piece: Piece) -> float:
    return piece.all_hours


_TAKES: Mapping[str, Callable[[Piece], float | None]] = {
    "weave_in": lambda piece: piece.weave_in_hours,
    "hours": _all_hours,
    "most_hanging": lambda piece: piece.most_hanging,
    "spend": lambda piece: piece.price,
    "within_shelf": lambda piece: len(piece.lacks) + 1,  # at most 1: nothing lacks
}
