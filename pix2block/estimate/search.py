"""The search: every piece that is tried, made as `chart` would make it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pix2block.amounts.measures import measures_of
from pix2block.chart.chart import Chart
from pix2block.color.spaces import Floats
from pix2block.color.vision import FAR_DEGREES, degrees_across, metres_away
from pix2block.design.likeness import seen_figures
from pix2block.design.view import View
from pix2block.estimate.grid import colors_to_try, shared_out, sizes_to_try, ways_of
from pix2block.estimate.piece import Piece, piece_of
from pix2block.ground import settings
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.progress import Progress
from pix2block.ground.settings import Habit, StartCorner
from pix2block.options.goals import EstimateOptions
from pix2block.options.picture_rules import Backdrop
from pix2block.options.table import Options
from pix2block.picture.picture import Picture
from pix2block.recipes.as_asked import with_options
from pix2block.recipes.from_picture import Ready, ready_to_work, work
from pix2block.recipes.supplies import open_shelf
from pix2block.study.study import Study
from pix2block.study.ways import Way

_MOST_OF_IT = 0.8  # of the piece: a subject as large is not cropped to
_AT_ONCE = 2  # pieces worked at the same time: their loops leave the interpreter free


@dataclass(frozen=True, eq=False)
class Group:
    """A palette at a size. options: without a way of working; seen: how charts are seen from near
    and so far away, by their fingerprints: those that are not calmed are one; worked: these, by
    start corner and habit."""

    options: Options
    ready: Ready
    seen: dict[tuple[str, float], tuple[float, float]] = field(default_factory=dict)
    worked: dict[tuple[StartCorner, Habit], Chart] = field(default_factory=dict)

    @property
    def blocks(self) -> int:
        """Of its chart."""
        return int(self.ready.view.means.shape[0] * self.ready.view.means.shape[1])

    @cached_property
    def light(self) -> Floats:
        """The picture's light, as `View.light` gives it."""
        return self.ready.view.light()

    def seen_figures(self, chart: Chart, far_degrees: float) -> tuple[float, float]:
        """How a chart of it differs from its picture, from near and from far."""
        key = chart.fingerprint, far_degrees
        if key not in self.seen:
            self.seen[key] = seen_figures(chart, self.light, far_degrees)
        return self.seen[key]

    @cached_property
    def plain(self) -> Study:
        """The piece, not calmed."""
        return work(self.ready, replace(self.options, calm=0.0))

    def turned(self, corner: StartCorner, habit: Habit) -> Chart:
        """Its chart, not calmed, worked another way."""
        if (corner, habit) not in self.worked:
            options = Way(habit, corner, 0.0).asked(self.options)
            self.worked[corner, habit] = with_options(self.plain.chart, options)
        return self.worked[corner, habit]

    def made(self, way: Way) -> Study:
        """The piece worked so, as `chart` makes it."""
        options = way.asked(self.options)
        if way.calm:
            return work(self.ready, options)
        return replace(self.plain, chart=self.turned(way.corner, way.habit), options=options)

    def ways(self) -> list[Way]:
        """Ways of working it, the most telling first."""
        hand = self.ready.supplies.fitted(self.options).hand or settings.DEFAULT_HAND
        usual = settings.usual_corner(hand)
        yarns = int(np.count_nonzero(self.plain.chart.blocks_by_yarn))
        return ways_of(self.options, usual, yarns, lambda *way: self.turned(*way).plan.tails)


def groups_of(
    picture: Picture,
    shelves: Sequence[str],
    asked: EstimateOptions,
    options: Options,
    progress: Progress | None = None,
) -> list[Group]:
    """Every palette at every size. progress: called with palettes chosen, and in all.

    Raises BadInput as `chart_picture` does.
    """
    of_shelf: list[tuple[str | None, int | None]] = [
        (shelf, len(open_shelf(shelf).yarns)) for shelf in dict.fromkeys(shelves)
    ] or [(None, None)]
    to_choose: list[tuple[Options, View]] = []
    for size in sizes_to_try(asked):
        view: View | None = None
        for shelf, most in of_shelf:
            sized = replace(options, shelf=shelf, **size)  # type: ignore[arg-type]
            view = ready_to_work(view or picture, replace(sized, colors=1)).view
            height, width = view.means.shape[:2]
            counts = colors_to_try(asked, most, height * width)
            to_choose += [(replace(sized, colors=count), view) for count in counts]
    groups: list[Group] = []
    seen: set[tuple[str | None, tuple[int, ...], bytes]] = set()
    for number, (one, view) in enumerate(to_choose, 1):
        ready = ready_to_work(view, one)
        blocks = ready.chosen.palette.blocks
        key = (one.shelf, blocks.shape, blocks.tobytes())
        if key not in seen:
            seen.add(key)
            groups.append(Group(one, ready))
        if progress:
            progress(number, len(to_choose))
    return groups


def far_from(groups: Sequence[Group]) -> float:
    """The distance in metres at which pieces are seen from far, one for all: that of the first."""
    return metres_away(measures_of(groups[0].plain.chart).block_cm, FAR_DEGREES)


def try_pieces(
    groups: Sequence[Group],
    picture: str,
    far_m: float,
    found: list[Piece],
    progress: Progress | None = None,
) -> None:
    """Every piece that is tried, in a fixed order, into `found`: what is in it when this is
    interrupted is whole. far_m: the distance at which they are seen from far; progress: called
    with pieces made, and in all.
    """
    tried = list(shared_out([(group.blocks, group.ways()) for group in groups]))
    made: dict[int, Piece] = {}

    def make(number: int) -> Piece:
        group, way = groups[tried[number][0]], tried[number][1]
        study = group.made(way)
        degrees = degrees_across(measures_of(study.chart).block_cm, far_m)
        return piece_of(number, picture, study, *group.seen_figures(study.chart, degrees))

    with ThreadPoolExecutor(_AT_ONCE) as workers:
        pending: set[Future[Piece]] = set()
        numbers = iter(range(len(tried)))
        try:
            while True:
                for number in numbers:
                    pending.add(workers.submit(make, number))
                    if len(pending) >= 2 * _AT_ONCE:
                        break
                if not pending:
                    break
                done, pending = wait(pending, return_when=FIRST_COMPLETED)
                for one in done:
                    piece = one.result()
                    made[piece.number] = piece
                    found[:] = [made[number] for number in sorted(made)]
                    if progress:
                        progress(len(made), len(tried))
        finally:
            workers.shutdown(cancel_futures=True)


def on_plain_backdrop(piece: Piece) -> Piece | None:
    """The same piece with its subject on one yarn; None where it has no clear subject, is no photo,
    or its backdrop was asked for. How it is seen is not told: it shows another picture."""
    view = piece.study.view
    if view is None or view.look != "photo" or piece.options.backdrop is not None:
        return None
    options = replace(piece.options, backdrop=Backdrop("plain"))
    try:
        study = work(ready_to_work(view, options), options)
    except BadInput:
        return None
    return replace(piece, study=study, amounts=study.amounts)


def cropped_to_subject(piece: Piece) -> Piece | None:
    """The same piece of what the picture is of alone, its blocks as large; None where it has no
    clear subject, is no photo, is nearly all subject, or where its part or size was asked for."""
    view, subject = piece.study.view, piece.study.subject
    if view is None or view.look != "photo" or subject is None or not subject.is_clear:
        return None
    if piece.options.crop or piece.options.size or piece.options.height:
        return None
    sides = [_middle_of(np.any(subject.inside, axis=axis)) for axis in (0, 1)]
    (left, right), (top, bottom) = sides
    if (right - left) * (bottom - top) > _MOST_OF_IT * subject.inside.size:
        return None
    of, frame = view.picture.size, view.frame
    x, y = (
        math.floor(100 * (start + block * frame.block) / whole)
        for start, block, whole in ((frame.left, left, of[0]), (frame.top, top, of[1]))
    )
    wide, high = (
        math.ceil(100 * blocks * frame.block / whole)
        for blocks, whole in ((right - left, of[0]), (bottom - top, of[1]))
    )
    crop = (x, y, min(wide, 100 - x), min(high, 100 - y))
    options = replace(piece.options, crop=crop, width=right - left)
    try:
        study = work(ready_to_work(view.picture, options), options)
    except BadInput:
        return None
    return replace(piece, study=study, amounts=study.amounts)


def _middle_of(of_subject: NDArray[np.bool_]) -> tuple[int, int]:
    """From where to where a line of blocks is of the subject, with a block around it."""
    at = np.flatnonzero(of_subject)
    return max(0, int(at[0]) - 1), min(len(of_subject), int(at[-1]) + 2)
