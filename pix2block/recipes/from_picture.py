"""A chart from a picture, in stages: its view in blocks, what matters in it, yarns, the chart, the
chart with fewer tails. Each is made of those before and is never changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from pix2block.amounts.measures import class_of_blocks
from pix2block.chart.chart import Chart
from pix2block.chart.source import Source
from pix2block.chart.title import clean_title
from pix2block.chart.yarn_order import by_blocks_falling
from pix2block.design.limits import with_limits
from pix2block.design.palette import Palette
from pix2block.design.view import View, view_picture
from pix2block.design.within_shelf import kept_within
from pix2block.drawing.marks import with_marks
from pix2block.ground import settings
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.files import noting_files
from pix2block.ground.frozen import dataclass
from pix2block.ground.progress import Progress
from pix2block.options.maker import Maker, open_maker, with_defaults
from pix2block.options.table import Options
from pix2block.picture.picture import Picture, open_picture
from pix2block.recipes.as_asked import title_of, with_options
from pix2block.recipes.backdrop import behind_subject
from pix2block.recipes.looking import Matters, viewing_of, what_matters
from pix2block.recipes.supplies import (
    fit_options,
    notes_on_yarns,
    open_shelf,
    open_swatches,
    usual_class,
    with_border,
    with_class,
    with_supplies,
)
from pix2block.recipes.yarns import Chosen, choose_yarns
from pix2block.study.study import NOTHING_ASKED, Study
from pix2block.yarn.shelf import Shelf
from pix2block.yarn.swatch import Measured, swatch_of


@noting_files
def chart_picture(
    picture: Picture | View | str | Path,
    options: Options = NOTHING_ASKED,
    progress: Progress | None = None,
    calming: Progress | None = None,
) -> Study:
    """A piece from a picture's path, from an open picture, or from a view of one: what a view
    holds is worked out again only where options ask for another one. progress: called with lines
    of the picture averaged, and in all; calming: with steps of calming.

    Raises BadInput for a file, size or shelf that cannot be used.
    """
    return work(ready_to_work(picture, options, progress), options, calming)


@dataclass(frozen=True, eq=False)
class Ready:
    """A picture in blocks and the yarns chosen for it: what comes before it is worked, the same for
    every hand, corner, habit and calm. shelf: chosen among, empty without one."""

    view: View
    matters: Matters
    chosen: Chosen
    shelf: Shelf
    supplies: Supplies


@dataclass(frozen=True, eq=False)
class Supplies:
    """What a maker brings beside her yarn: swatches, and her own defaults; usual_class: of the
    shelf's yarns, None where none tells."""

    measured: tuple[Measured, ...]
    maker: Maker
    usual_class: int | None

    def fitted(self, options: Options) -> Options:
        """The options with what these say where nothing was asked."""
        options = fit_options(with_defaults(options, self.maker), self.measured, self.maker)
        return options if options.weight is not None else replace(options, weight=self.usual_class)

    def tells_class(self, options: Options) -> bool:
        """Whether options or swatches tell the weight class."""
        return replace(self, usual_class=None).fitted(options).weight is not None

    def charted(
        self, view: View, matters: Matters, palette: Palette, options: Options
    ) -> tuple[Chart, tuple[str, ...]]:
        """The chart of every block in its nearest yarn, worked as was asked; and what the maker
        should know of her supplies."""
        chart = with_options(plain_chart(view, matters, palette, options), options)
        return with_supplies(chart, options, self.measured, self.maker)


@dataclass(frozen=True, eq=False)
class Seen:
    """A picture in blocks, before yarns are chosen. options: with what supplies say; shelf: chosen
    among, empty without one."""

    view: View
    options: Options
    shelf: Shelf
    supplies: Supplies


def see(
    picture: Picture | View | str | Path, options: Options, progress: Progress | None = None
) -> Seen:
    """The picture in blocks. Raises BadInput as `chart_picture` does."""
    measured, maker = open_swatches(options.swatch), open_maker(options.maker)
    shelf = open_shelf(options.shelf) if options.shelf else Shelf(())
    supplies = Supplies(measured, maker, usual_class(shelf.yarns))
    options = supplies.fitted(options)
    viewing = viewing_of(options, swatch_of(measured) if measured else None, shelf.yarns)
    return Seen(
        view_picture(_opened(picture, options), viewing, progress), options, shelf, supplies
    )


def ready_to_work(
    picture: Picture | View | str | Path, options: Options, progress: Progress | None = None
) -> Ready:
    """The picture in blocks, and its yarns. Raises BadInput as `chart_picture` does."""
    return with_yarns_chosen(see(picture, options, progress))


def with_yarns_chosen(seen: Seen) -> Ready:
    """The same with its yarns. Raises BadInput as `chart_picture` does."""
    shelf, options = seen.shelf, seen.options
    behind = behind_subject(seen.view, what_matters(seen.view, options), shelf, options)
    view, matters = behind.view, behind.matters

    def charted(palette: Palette) -> Chart:
        chart, _ = seen.supplies.charted(view, matters, behind.finished(palette), options)
        return with_border(chart, options.border, shelf.yarns)

    chosen = choose_yarns(view, matters, shelf, behind.options, charted)
    chosen = replace(chosen, palette=behind.finished(chosen.palette))
    return Ready(view, matters, chosen, shelf, seen.supplies)


def work(
    ready: Ready,
    options: Options = NOTHING_ASKED,
    calming: Progress | None = None,
    shielded: Callable[[Chart], Chart] | None = None,
) -> Study:
    """The piece from a picture that is ready, worked as options ask. calming: called with steps of
    calming; shielded: gives the chart, before it is calmed, the blocks that calming leaves. Raises
    BadInput as `chart_picture` does."""
    given, view, shelf, palette = options, ready.view, ready.shelf, ready.chosen.palette
    told_class = ready.supplies.tells_class(options)
    options = ready.supplies.fitted(options)
    plain, of_supplies = ready.supplies.charted(view, ready.matters, palette, options)
    plain = shielded(plain) if shielded else plain
    calmed = calm_chart(plain, view, palette, options, calming)
    # Blocks are never calmed into the border's yarn, so it comes in last.
    chart, fits = with_border(calmed, options.border, shelf.yarns), ""
    if not told_class and options.size and class_of_blocks(chart) not in (None, chart.weight):
        # The yarns that were chosen are of another class than most of the shelf: blocks of theirs.
        again = replace(given, weight=class_of_blocks(chart))
        ready = ready_to_work(view, again)
        return replace(work(ready, again, calming, shielded), options=given)
    chart, of_class = with_class(chart, told_class)
    if options.within_shelf:
        of_yarns, _ = with_class(with_border(plain, options.border, shelf.yarns), told_class)
        chart, fits = kept_within(of_yarns, chart)
    if not shelf.yarns and view.look != "blocks":
        chart = by_blocks_falling(chart)
    chart = with_marks(chart)
    told = (*view.picture.warnings, *shelf.warnings, *view.notes, *ready.matters.notes)
    left_out = tuple(yarn for yarn in shelf.yarns if yarn not in palette.yarns)
    return Study(
        chart=chart,
        notes=(*told, *of_supplies, *of_class, *notes_on_yarns(chart)),
        decisions=(
            *view.decisions,
            *ready.matters.decisions,
            *ready.chosen.decisions,
            *([fits] if fits else []),
        ),
        view=view,
        subject=ready.matters.subject,
        spare=left_out if shelf.yarns else None,
        maker=ready.supplies.maker.paying_in(shelf.currency),
        options=given,
        again=lambda asked: _made_again(ready, given, asked, shielded),
    )


def _made_again(
    ready: Ready, given: Options, asked: Options, shielded: Callable[[Chart], Chart] | None
) -> Chart:
    """The chart as other options ask, of working it or of a number of yarns. Yarns within what is
    on hand follow the way of working, so they are chosen anew too."""
    if asked.colors != given.colors or asked.within_shelf:
        ready = ready_to_work(ready.view, asked)
    return work(ready, asked, shielded=shielded).chart


def _opened(picture: Picture | View | str | Path, options: Options) -> Picture | View:
    """The picture, opened if it is not yet, on the background that was asked for."""
    background = options.background or settings.DEFAULT_BACKGROUND
    if isinstance(picture, str | Path):
        return open_picture(picture, background)
    if isinstance(picture, Picture):
        return picture.on(options.background) if options.background else picture
    behind = picture.picture.on(background)
    return picture if behind is picture.picture else behind


def plain_chart(view: View, matters: Matters, palette: Palette, options: Options) -> Chart:
    """The chart of every block in its nearest yarn, for the hand and under the title of options,
    else as usual."""
    hand = options.hand or settings.DEFAULT_HAND
    weights = matters.weights
    source = Source(
        view.picture.name,
        view.picture.sha256,
        view.means,
        weights=None if (weights == weights.flat[0]).all() else weights,
        minded=matters.minded,
        palette_gap=None if palette.gap is None else round(palette.gap, 6),
    )
    chart = Chart(
        title=clean_title(options.title or title_of(view.picture.name)),
        blocks=palette.blocks,
        yarns=palette.yarns,
        last_row=sum(palette.blocks.shape) - 1,
        start_corner=settings.usual_corner(hand),
        hand=hand,
        source=source,
    )
    return with_limits(chart, palette.still, palette.full, matters.parts)


def calm_chart(
    plain: Chart,
    view: View,
    palette: Palette,
    options: Options,
    progress: Progress | None = None,
) -> Chart:
    """The chart with fewer tails, as far as was asked. progress: called with steps done, and in
    all.

    Raises BadInput where yarns that hang are to be fewer for no colour error at all.
    """
    percent = options.calm
    if percent is None:  # flat art was drawn block by block: it is left as it is
        percent = settings.DEFAULT_CALM if view.look == "photo" else 0.0
    if options.most_hanging and not percent:
        raise BadInput(
            Ask("most_hanging"), " needs something to trade: raise ", Ask("calm"), " above 0"
        )
    if view.look == "blocks" or not percent:
        return plain
    from pix2block.calming.charts import calmed_chart, calming_of

    faces = view.faces if view.look == "photo" else ()
    placed = [view.place("face", box, 1.0) for box in faces]
    spared = [place for place in placed if place]
    seed = settings.DEFAULT_SEED if options.seed is None else options.seed
    task = calming_of(
        plain,
        palette.matched,
        percent,
        spared,
        options.most_hanging,
        seed,
    )
    return calmed_chart(plain, task, progress, spared)
