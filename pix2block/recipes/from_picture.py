"""A chart from a picture, in stages: its view in blocks, what matters in it, yarns, the chart, the
chart with fewer tails. Each is made of those before and is never changed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from pix2block.amounts.measures import class_of_blocks
from pix2block.amounts.ways import with_calming_counted
from pix2block.chart.chart import Chart, clean_title
from pix2block.chart.source import Source
from pix2block.chart.yarn_order import by_blocks_falling
from pix2block.design.palette import Palette
from pix2block.design.view import View, view_picture
from pix2block.design.within_shelf import kept_within
from pix2block.drawing.marks import with_marks
from pix2block.ground import settings
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.files import noting_files
from pix2block.ground.progress import Progress
from pix2block.options.maker import open_maker, with_defaults
from pix2block.options.table import Options
from pix2block.picture.picture import Picture, open_picture
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
from pix2block.recipes.yarns import choose_yarns
from pix2block.study.study import NOTHING_ASKED, Study
from pix2block.yarn.shelf import Shelf
from pix2block.yarn.swatch import swatch_of

if TYPE_CHECKING:
    from pix2block.calming.charts import Curve


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
    given = options
    maker = open_maker(options.maker)
    measured = open_swatches(options.swatch)
    options = fit_options(with_defaults(options, maker), measured, maker)
    shelf = open_shelf(options.shelf) if options.shelf else Shelf(())
    told_class = options.weight is not None
    if not told_class:
        options = replace(options, weight=usual_class(shelf.yarns))
    viewing = viewing_of(options, swatch_of(measured) if measured else None, shelf.yarns)
    picture = _opened(picture, options)

    def charted(palette: Palette) -> tuple[Chart, tuple[str, ...]]:
        chart = with_options(plain_chart(view, matters, palette, options), options)
        return with_supplies(chart, options, measured, maker)

    def bordered(chart: Chart) -> Chart:
        return with_border(chart, options.border, shelf.yarns)

    view = view_picture(picture, viewing, progress)
    matters = what_matters(view, options)
    chosen = choose_yarns(view, matters, shelf, options, lambda one: bordered(charted(one)[0]))
    plain, of_supplies = charted(chosen.palette)
    calmed, curve = calm_chart(plain, view, chosen.palette, options, calming)
    # Blocks are never calmed into the border's yarn, so it comes in last.
    chart, fits = bordered(calmed), ""
    if not told_class and options.size and class_of_blocks(chart) not in (None, chart.weight):
        # The yarns that were chosen are of another class than most of the shelf: blocks of theirs.
        again = replace(given, weight=class_of_blocks(chart))
        return replace(chart_picture(view, again, progress, calming), options=given)
    chart, of_class = with_class(chart, told_class)
    if options.within_shelf:
        chart, fits = kept_within(bordered(plain), chart)
    if not shelf.yarns and view.look != "blocks":
        chart = by_blocks_falling(chart)
    chart = with_marks(chart)
    told = (*view.picture.warnings, *shelf.warnings, *view.notes, *matters.notes, *of_supplies)
    left_out = tuple(yarn for yarn in shelf.yarns if yarn not in chosen.palette.yarns)
    return Study(
        chart=chart,
        notes=(*told, *of_class, *notes_on_yarns(chart)),
        decisions=(*view.decisions, *chosen.decisions, *([fits] if fits else [])),
        view=view,
        spare=left_out if shelf.yarns else None,
        curve=curve,
        maker=maker,
        options=given,
    )


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
    return Chart(
        title=clean_title(options.title or title_of(view.picture.name)),
        blocks=palette.blocks,
        yarns=palette.yarns,
        last_row=sum(palette.blocks.shape) - 1,
        start_corner=settings.usual_corner(hand),
        hand=hand,
        source=source,
    )


def calm_chart(
    plain: Chart,
    view: View,
    palette: Palette,
    options: Options,
    progress: Progress | None = None,
) -> tuple[Chart, Curve | None]:
    """The chart with fewer tails, as far as was asked; and the curve, if it was. progress: called
    with steps done, and in all.

    Raises BadInput where yarns that hang are to be fewer for no colour error at all.
    """
    percent = options.calm
    if percent is None:  # flat art was drawn block by block: it is left as it is
        percent = settings.DEFAULT_CALM if view.look == "photo" else 0.0
    if options.most_hanging and not percent:
        raise BadInput(
            Ask("most_hanging"), " needs something to trade: raise ", Ask("calm"), " above 0"
        )
    if view.look == "blocks" or not (percent or options.curve):
        return plain, None
    from pix2block.calming.charts import calmed_chart, calming_of, curve_of

    faces = view.faces if view.look == "photo" else ()
    placed = [view.place("face", box, 1.0) for box in faces]
    spared = [place for place in placed if place]
    seed = settings.DEFAULT_SEED if options.seed is None else options.seed
    task = calming_of(
        plain, palette.matched, percent, spared, options.most_hanging, seed, palette.full
    )
    curve = curve_of(plain, task, progress) if options.curve else None
    return calmed_chart(plain, task, progress, spared) if percent else plain, curve


def title_of(file_name: str) -> str:
    """A title from a file's name: "tallow_cat.jpg" gives "Tallow cat"."""
    words = " ".join(Path(file_name).stem.replace("_", " ").replace("-", " ").split())
    return clean_title((words[:1].upper() + words[1:])[: settings.LONGEST_TITLE] or "Untitled")


def with_options(chart: Chart, options: Options) -> Chart:
    """The chart with every option that was given; what was not keeps the chart's value. What
    calming did to its tails is counted as the piece is worked then."""
    given = options.kept_in_chart()
    given["habit"] = replace(_habit(chart.habit, options), extra=chart.habit.extra)
    if options.pace:
        given["pace"] = replace(options.pace, extra=chart.pace.extra)
    if options.title is not None:
        given["title"] = clean_title(options.title)
    after = replace(chart, **given)
    same = after.layout == chart.layout and after.habit == chart.habit
    return after if same else with_calming_counted(after)


def _habit(habit: settings.Habit, options: Options) -> settings.Habit:
    if options.habit:
        habit = settings.HABITS[options.habit]
    if options.reach is options.rest is options.edge is None:
        return habit
    reach = habit.reach if options.reach is None else options.reach
    rest = habit.rest if options.rest is None else options.rest
    edge = habit.edge if options.edge is None else options.edge
    return settings.named_habit(reach, rest, edge)
