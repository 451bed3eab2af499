"""A chart from a picture: blocks, what matters in it, yarns."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from pix2block.chart.chart import Chart, by_blocks_falling, clean_title
from pix2block.chart.source import Place, Source
from pix2block.color.spaces import Floats
from pix2block.design.attention import aimed_weights, minded_weights, place_in_frame
from pix2block.design.likeness import samples_a_block
from pix2block.design.palette import (
    Palette,
)
from pix2block.design.within_shelf import kept_within
from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.delimited import decode_text
from pix2block.ground.errors import BadInput
from pix2block.ground.files import read_bytes
from pix2block.ground.progress import Progress
from pix2block.options.maker import open_maker, with_defaults
from pix2block.options.picture_rules import FACES, Minded
from pix2block.options.table import Options
from pix2block.picture.blocks import block_light
from pix2block.picture.faces import Box, find_faces
from pix2block.picture.picture import Picture, open_picture
from pix2block.recipes.supplies import (
    fit_options,
    notes_on_yarns,
    open_swatches,
    with_border,
    with_supplies,
)
from pix2block.recipes.view import View, averaged, taken_exactly
from pix2block.recipes.yarns import choose_within, choose_yarns
from pix2block.study.study import NOTHING_ASKED, Study
from pix2block.yarn.shelf import Shelf, read_shelf
from pix2block.yarn.swatch import swatch_of

if TYPE_CHECKING:
    from pix2block.calming.charts import Curve


def chart_picture(
    picture: Picture | str | Path,
    options: Options = NOTHING_ASKED,
    progress: Progress | None = None,
    calming: Progress | None = None,
) -> Study:
    """A piece from an open picture, or from a picture's path. progress: called with lines of the
    picture averaged, and in all; calming: with steps of calming.

    Raises BadInput for a file, size or shelf that cannot be used.
    """
    given = options
    maker = open_maker(options.maker)
    measured = open_swatches(options.swatch)
    options = fit_options(with_defaults(options, maker), measured)
    if not isinstance(picture, Picture):
        picture = open_picture(picture, options.background or settings.DEFAULT_BACKGROUND)
    shelf = open_shelf(options.shelf) if options.shelf else Shelf(())
    if options.look == "blocks":
        view = taken_exactly(picture, options)
    else:
        block_cm = swatch_of(measured).block_cm if measured else None
        view = averaged(picture, options, progress, block_cm)
    weights, minded, notes = _attention(picture, view, options)
    source = Source(
        picture.name,
        picture.sha256,
        view.means,
        weights=None if (weights == weights.flat[0]).all() else weights,
        minded=minded,
    )

    def charted(palette: Palette) -> tuple[Chart, tuple[str, ...]]:
        gap = None if palette.gap is None else round(palette.gap, 6)
        chart = _chart_of(picture, palette, replace(source, palette_gap=gap), options)
        return with_supplies(chart, options, measured, maker)

    def bordered(palette: Palette) -> Chart:
        return with_border(charted(palette)[0], options.border, shelf.yarns)

    if options.within_shelf:
        palette, decided = choose_within(view, weights, minded, shelf, options, bordered)
    else:
        palette, decided = choose_yarns(view, weights, minded, shelf, options)
    plain, of_supplies = charted(palette)
    told = (*picture.warnings, *shelf.warnings, *view.notes, *notes)

    def look_again() -> Floats:
        frame = view.frame
        samples = samples_a_block(frame.width, frame.height)
        return block_light(picture, frame.finer(samples))

    spare = tuple(y for y in shelf.yarns if y not in palette.yarns) if shelf.yarns else None
    decisions: tuple[str, ...] = (*view.decisions, *decided)
    chart, curve = _calmed(plain, picture, view, palette, options, calming)
    # Blocks are never calmed into the border's yarn, so it comes in last.
    chart = with_border(chart, options.border, shelf.yarns)
    if options.within_shelf:
        chart, within = kept_within(with_border(plain, options.border, shelf.yarns), chart)
        decisions = (*decisions, within)
    if spare is None and view.look != "blocks":
        chart = by_blocks_falling(chart)
    notes = (*told, *of_supplies, *notes_on_yarns(chart))
    return Study(
        chart, notes, decisions, look_again, spare, curve=curve, maker=maker, options=given
    )


def _chart_of(picture: Picture, palette: Palette, source: Source, options: Options) -> Chart:
    hand = options.hand or settings.DEFAULT_HAND
    chart = Chart(
        title=clean_title(options.title or title_of(picture.name)),
        blocks=palette.blocks,
        yarns=palette.yarns,
        last_row=sum(palette.blocks.shape) - 1,
        start_corner=settings.usual_corner(hand),
        hand=hand,
        source=source,
    )
    return with_options(chart, options)


def _calmed(
    chart: Chart,
    picture: Picture,
    view: View,
    palette: Palette,
    options: Options,
    progress: Progress | None,
) -> tuple[Chart, Curve | None]:
    """The chart with fewer tails, as far as was asked; and the curve, if it was."""
    percent = options.calm
    if percent is None:  # flat art was drawn block by block: it is left as it is
        percent = settings.DEFAULT_CALM if view.look == "photo" else 0.0
    if options.most_hanging and not percent:
        raise BadInput(
            Ask("most_hanging"), " needs something to trade: raise ", Ask("calm"), " above 0"
        )
    if view.look == "blocks" or not (percent or options.curve):
        return chart, None
    from pix2block.calming.charts import calmed_chart, calming_of, curve_of

    spared: list[Place] = []
    if view.look == "photo" and FACES in (options.mind or ()):  # they were looked for already
        spared = [
            place for place in (chart.source.minded if chart.source else ()) if place.what == "face"
        ]
    elif view.look == "photo":
        found = [("face", box, 1.0) for box in find_faces(picture)]
        placed = [place_in_frame(*face, picture.size, view.frame) for face in found]
        spared = [place for place in placed if place]
    seed = settings.DEFAULT_SEED if options.seed is None else options.seed
    task = calming_of(chart, palette.matched, percent, spared, options.most_hanging, seed)
    curve = curve_of(chart, task, progress) if options.curve else None
    return calmed_chart(chart, task, progress) if percent else chart, curve


def _rounded(weights: Floats) -> Floats:
    """To four digits, as they are kept."""
    digits = 10.0 ** (3 - np.floor(np.log10(np.where(weights > 0, weights, 1))))
    return np.asarray(np.round(weights * digits) / digits)


def _attention(
    picture: Picture, view: View, options: Options
) -> tuple[Floats, tuple[Place, ...], tuple[str, ...]]:
    """How much each block counts, the places that were minded, and what was found."""
    asked: list[tuple[str, Box, float]] = []
    notes: list[str] = []
    for mind in options.mind or ():
        if isinstance(mind, Minded):
            asked.append(("asked", mind.box, mind.weight))
            continue
        faces = find_faces(picture)
        asked += [("face", box, settings.DEFAULT_MIND) for box in faces]
        where = "; ".join(",".join(f"{side:.0f}" for side in box) for box in faces)
        notes.append(
            Advice(
                f"faces found at {where} (left, top, width, height in per cent): look at the "
                "outlines in chart.png, and use ",
                Ask("mind", "X,Y,W,H"),
                " where they are wrong.",
            )
            if faces
            else Advice("no face was found: use ", Ask("mind", "X,Y,W,H"), " to say what matters.")
        )
    for x, y in options.spot or ():
        asked.append(("spot", (x, y, 0.0, 0.0), 1.0))
    places = []
    for what, box, weight in asked:
        place = place_in_frame(what, box, weight, picture.size, view.frame)
        if place is None:
            notes.append(
                f"{','.join(f'{side:g}' for side in box[: 2 if what == 'spot' else 4])} lies "
                "outside the part of the picture that is charted, and is left aside."
            )
        else:
            places.append(place)
    shape = (view.frame.height, view.frame.width)
    weights = minded_weights(shape, [p for p in places if p.what != "spot"])
    weights = _rounded(weights * aimed_weights(view.colors, options.aim or settings.DEFAULT_AIM))
    return weights, tuple(places), tuple(notes)


def open_shelf(path: str | Path) -> Shelf:
    """The yarns of a shelf file. Raises BadInput naming the line that cannot be read."""
    return read_shelf(decode_text(read_bytes(Path(path), "shelf"), f"shelf {path}"), str(path))


def title_of(file_name: str) -> str:
    """A title from a file's name: "tallow_cat.jpg" gives "Tallow cat"."""
    words = " ".join(Path(file_name).stem.replace("_", " ").replace("-", " ").split())
    return clean_title((words[:1].upper() + words[1:])[: settings.LONGEST_TITLE] or "Untitled")


def with_options(chart: Chart, options: Options) -> Chart:
    """The chart with every option that was given; what was not keeps the chart's value."""
    given = options.kept_in_chart()
    given["habit"] = replace(_habit(chart.habit, options), extra=chart.habit.extra)
    if options.pace:
        given["pace"] = replace(options.pace, extra=chart.pace.extra)
    if options.title is not None:
        given["title"] = clean_title(options.title)
    return replace(chart, **given)


def _habit(habit: settings.Habit, options: Options) -> settings.Habit:
    if options.habit:
        habit = settings.HABITS[options.habit]
    if options.reach is options.rest is options.edge is None:
        return habit
    reach = habit.reach if options.reach is None else options.reach
    rest = habit.rest if options.rest is None else options.rest
    edge = habit.edge if options.edge is None else options.edge
    return settings.named_habit(reach, rest, edge)
