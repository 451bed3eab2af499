"""The options of an estimate: goals, and what may be tried to reach them."""

from __future__ import annotations

import datetime

from pix2block.ground import settings
from pix2block.ground.frozen import dataclass
from pix2block.options.asking import Asked, option
from pix2block.options.goal_rules import Between, Day, Evenings, EveningsText, Hours, Sizes
from pix2block.options.rules import Flag, Number, Whole
from pix2block.options.table import ESTIMATE

GOALS, TRIED = "goals", "what is tried"
_MOST_SPENT = 1_000_000.0


@dataclass(frozen=True, kw_only=True, repr=False)
class EstimateOptions(Asked):
    """What a piece may cost at most, and what is tried; None where nothing is said."""

    # fmt: off
    weave_in: float | None = option(GOALS, Hours(), (ESTIMATE,),
        "at most so long to weave in")
    hours: float | None = option(GOALS, Hours(), (ESTIMATE,),
        "at most so long in all, crochet and weaving in")
    most_hanging: int | None = option(GOALS, Whole(1, settings.MOST_HANGING, "yarns"), (ESTIMATE,),
        "at most so many yarns hang in any row")
    spend: float | None = option(GOALS, Number(_MOST_SPENT, "money"), (ESTIMATE,),
        "at most so much for the skeins that are still to buy")
    within_shelf: bool | None = option(GOALS, Flag(), (ESTIMATE,),
        "no more yarn than is on hand")
    by: datetime.date | None = option(GOALS, Day(), (ESTIMATE,),
        "done by this day")
    evenings: Evenings | None = option(GOALS, EveningsText(), (ESTIMATE,),
        "when you crochet: end day and rows an evening are told")
    from_: datetime.date | None = option(GOALS, Day(), (ESTIMATE,),
        "the first day", shown="today")
    width: tuple[int, int] | None = option(TRIED,
        Between(1, settings.MOST_BLOCKS_A_SIDE, "40-60"), (ESTIMATE,),
        "blocks across, or from so many to so many",
        shown=f"{settings.DEFAULT_WIDTH}, and three quarters of it")
    size: tuple[tuple[float, float], tuple[float, float]] | None = option(TRIED, Sizes(),
        (ESTIMATE,), "finished size, or from one to another")
    colors: tuple[int, int] | None = option(TRIED,
        Between(1, settings.MOST_YARNS, "3-12"), (ESTIMATE,),
        "yarns, or from so many to so many", shown="4, 6, 8 and 12")
    # fmt: on
