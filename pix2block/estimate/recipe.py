"""An estimate: a picture, shelves and goals in, the pieces that reach them out."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from pix2block.estimate.answer import Answer
from pix2block.estimate.goals import goals_of
from pix2block.estimate.page import estimate_page
from pix2block.estimate.piece import Piece
from pix2block.estimate.search import (
    cropped_to_subject,
    far_from,
    groups_of,
    on_plain_backdrop,
    try_pieces,
)
from pix2block.estimate.table import estimate_csv
from pix2block.ground import settings
from pix2block.ground.errors import Interrupted
from pix2block.ground.files import noting_files
from pix2block.ground.frozen import dataclass
from pix2block.ground.progress import Progress
from pix2block.options.goals import EstimateOptions
from pix2block.options.table import Options
from pix2block.picture.picture import open_picture
from pix2block.recipes.as_asked import title_of
from pix2block.recipes.supplies import open_shelf
from pix2block.study.output import Output

NOTHING_ASKED, NO_GOALS = Options(), EstimateOptions()


@dataclass(frozen=True, eq=False)
class Estimate:
    """The answer, and the files that can be made of it; read: those that were read for it."""

    answer: Answer
    read: tuple[Path, ...] = ()

    @property
    def outputs(self) -> tuple[Output[Estimate], ...]:
        """Every file that can be made of it."""
        return ESTIMATE_OUTPUTS


ESTIMATE_OUTPUTS: tuple[Output[Estimate], ...] = (
    Output(
        "estimate.html",
        "of an estimate: the piece to make, its picture and command, those next to it, and what "
        "the goals cost",
        lambda estimate: estimate_page(estimate.answer).encode(),
    ),
    Output(
        "estimate.csv",
        "every piece that no other beats, the recommended one first, with its figures and the "
        "command that makes it",
        lambda estimate: estimate_csv(estimate.answer).encode(),
    ),
)


@noting_files
def estimate_pieces(
    picture: str | Path,
    shelves: Sequence[str] = (),
    asked: EstimateOptions = NO_GOALS,
    options: Options = NOTHING_ASKED,
    palettes: Progress | None = None,
    progress: Progress | None = None,
    today: Callable[[], datetime.date] = datetime.date.today,
) -> Estimate:
    """The pieces that a picture could become, and which of them reach the goals.

    palettes: called with palettes chosen, and in all; progress: with pieces made, and in all;
    today: asked only where no first day is given. Interrupted after the first piece was made, it
    gives what was found so far, not `whole`.

    Raises BadInput for a file, size or goal that cannot be used.
    """
    yarns = [yarn for shelf in dict.fromkeys(shelves) for yarn in open_shelf(shelf).yarns]
    goals = goals_of(asked, today, any(yarn.price is not None for yarn in yarns))
    opened = open_picture(picture, options.background or settings.DEFAULT_BACKGROUND)
    groups = groups_of(opened, shelves, asked, replace(options, out=None), palettes)
    far_m = far_from(groups)
    found: list[Piece] = []
    answer: Answer | None = None
    try:
        try_pieces(groups, str(picture), far_m, found, progress)
        answer = Answer(title_of(opened.name), opened.name, goals, tuple(found), far_m)
        # Beside it alone: the recommended piece shows the picture as it is.
        answer = replace(answer, plain=on_plain_backdrop(answer.best))
        return Estimate(replace(answer, cropped=cropped_to_subject(answer.best)))
    except KeyboardInterrupt as stop:
        if not found or isinstance(stop, Interrupted):
            raise
    answer = answer or Answer(title_of(opened.name), opened.name, goals, tuple(found), far_m)
    return Estimate(replace(answer, whole=False))


def folder_for(picture: Path) -> Path:
    """Where the files go unasked: "output/STEM-estimate"."""
    return Path("output") / f"{picture.stem.strip('. ') or 'picture'}-estimate"
