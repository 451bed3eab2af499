"""A chart from a picture: blocks, what matters in it, yarns."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from pix2block.chart.chart import Chart, Place, Source, clean_title
from pix2block.color.spaces import Bytes, Floats
from pix2block.design.attention import aimed_weights, minded_weights, place_in_frame
from pix2block.design.palette import (
    Palette,
    yarns_from_picture,
    yarns_from_shelf,
    yarns_taken_exactly,
)
from pix2block.ground import settings
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.files import read_text
from pix2block.ground.units import round_half_up
from pix2block.options import Options
from pix2block.picture.blocks import (
    Frame,
    block_means,
    blocks_of_chart_picture,
    frame_picture,
)
from pix2block.picture.faces import Box, find_faces
from pix2block.picture.picture import Picture, open_picture
from pix2block.rules import Minded
from pix2block.yarn.shelf import Shelf, read_shelf
from pix2block.yarn.weights import WEIGHT_CLASSES
from pix2block.yarn.yarn import name_key

Progress = Callable[[int, int], None]
NOTHING_ASKED = Options()
_MUCH_LEFT_OUT = 0.05  # a share of the picture that is worth a word


@dataclass(frozen=True)
class Made:
    """A chart, and what a maker should be told of how it came about, a sentence each."""

    chart: Chart
    notes: tuple[str, ...] = ()


def chart_picture(
    picture: Picture | str | Path,
    options: Options = NOTHING_ASKED,
    progress: Progress | None = None,
) -> Made:
    """A chart from an open picture, or from a picture's path.

    Raises BadInput for a file, size or shelf that cannot be used.
    """
    if not isinstance(picture, Picture):
        picture = open_picture(picture, options.background or settings.DEFAULT_BACKGROUND)
    shelf = open_shelf(options.shelf) if options.shelf else Shelf(())
    if options.look == "blocks":
        view = _taken_exactly(picture, options)
    else:
        view = _averaged(picture, options, progress)
    weights, minded, notes = _attention(picture, view, options)
    palette = _palette(view, weights, minded, shelf, options)
    hand = options.hand or "right"
    source = Source(
        picture.name,
        picture.sha256,
        view.means,
        weights=None if (weights == weights.flat[0]).all() else weights,
        minded=minded,
        palette_gap=None if palette.gap is None else round(palette.gap, 6),
    )
    chart = Chart(
        title=clean_title(options.title or title_of(picture.name)),
        blocks=palette.blocks,
        yarns=palette.yarns,
        last_row=sum(palette.blocks.shape) - 1,
        start_corner=settings.usual_corner(hand),
        hand=hand,
        source=source,
    )
    told = (*picture.warnings, *shelf.warnings, *view.notes, *notes)
    return Made(with_options(chart, options), told)


def _rounded(weights: Floats) -> Floats:
    """To four digits, as they are kept."""
    digits = 10.0 ** (3 - np.floor(np.log10(np.where(weights > 0, weights, 1))))
    return np.asarray(np.round(weights * digits) / digits)


@dataclass(frozen=True, eq=False)
class _View:
    """The picture in blocks: their colours, and which part of the picture they show."""

    means: Bytes
    frame: Frame
    notes: tuple[str, ...] = ()


def _taken_exactly(picture: Picture, options: Options) -> _View:
    if options.size or options.crop:
        raise BadInput("--look blocks takes the whole picture: leave out --size and --crop")
    means = blocks_of_chart_picture(picture, options.width, options.height)
    height, width = means.shape[:2]
    return _View(means, frame_picture(picture.size, width, height))


def _averaged(picture: Picture, options: Options, progress: Progress | None) -> _View:
    frame = _frame(picture, options)
    _, _, w, h = options.crop or (0, 0, 100, 100)
    asked = picture.size[0] * w / 100 * (picture.size[1] * h / 100)
    left_out = 1 - frame.block**2 * frame.width * frame.height / asked
    notes: tuple[str, ...] = ()
    if left_out > _MUCH_LEFT_OUT:
        notes = (
            f"{frame.width} x {frame.height} blocks leave out {100 * left_out:.0f} % of the "
            "picture, as much on either side; nothing is stretched.",
        )
    return _View(block_means(picture, frame, progress), frame, notes)


def _frame(picture: Picture, options: Options) -> Frame:
    width, height = options.width, options.height
    if options.size:
        if width or height:
            raise BadInput("--size sets both sides: leave out --width and --height")
        weight = settings.DEFAULT_WEIGHT if options.weight is None else options.weight
        block_cm = WEIGHT_CLASSES[weight].block_cm(options.block or "dc")
        width, height = (max(1, round_half_up(side / block_cm)) for side in options.size)
    elif not (width or height):
        width = settings.DEFAULT_WIDTH
    return frame_picture(picture.size, width, height, options.crop or (0, 0, 100, 100))


def _attention(
    picture: Picture, view: _View, options: Options
) -> tuple[Floats, tuple[Place, ...], tuple[str, ...]]:
    """How much each block counts, the places that were minded, and what was found."""
    asked: list[tuple[str, Box, float]] = []
    notes = []
    for mind in options.mind or ():
        if isinstance(mind, Minded):
            asked.append(("asked", mind.box, mind.weight))
            continue
        faces = find_faces(picture)
        asked += [("face", box, settings.DEFAULT_MIND) for box in faces]
        where = "; ".join(",".join(f"{side:.0f}" for side in box) for box in faces)
        notes.append(
            f"faces found at {where} (left, top, width, height in per cent): look at the outlines "
            "in chart.png, and use --mind X,Y,W,H where they are wrong."
            if faces
            else "no face was found: use --mind X,Y,W,H to say what matters."
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
    weights = _rounded(weights * aimed_weights(view.means, options.aim or settings.DEFAULT_AIM))
    return weights, tuple(places), tuple(notes)


def _palette(
    view: _View, weights: Floats, minded: tuple[Place, ...], shelf: Shelf, options: Options
) -> Palette:
    spots = [view.means[int(p.top), int(p.left)] for p in minded if p.what == "spot"]
    spot_colors = np.array(spots, dtype=np.uint8).reshape(-1, 3)
    if shelf.yarns:
        most = options.colors or len(shelf.yarns)
        locked, banned = (_on_shelf(shelf, names or ()) for names in (options.lock, options.ban))
        return yarns_from_shelf(view.means, weights, shelf.yarns, most, locked, banned, spot_colors)
    if options.lock or options.ban:
        raise BadInput("--lock and --ban name yarns of a shelf: add --shelf FILE")
    if options.look == "blocks":
        return yarns_taken_exactly(view.means, options.colors or settings.MOST_YARNS)
    most = options.colors or settings.DEFAULT_COLORS
    seed = settings.DEFAULT_SEED if options.seed is None else options.seed
    return yarns_from_picture(view.means, weights, most, seed, spot_colors)


def _on_shelf(shelf: Shelf, names: tuple[str, ...]) -> tuple[int, ...]:
    known = {name_key(yarn.name): i for i, yarn in enumerate(shelf.yarns)}
    for name in names:
        if name_key(name) not in known:
            raise BadInput(unknown("yarn", name, [yarn.name for yarn in shelf.yarns]))
    return tuple(dict.fromkeys(known[name_key(name)] for name in names))


def open_shelf(path: str | Path) -> Shelf:
    """The yarns of a shelf file. Raises BadInput naming the line that cannot be read."""
    return read_shelf(read_text(Path(path), "shelf"), str(path))


def title_of(file_name: str) -> str:
    """A title from a file's name: "tallow_cat.jpg" gives "Tallow cat"."""
    words = " ".join(Path(file_name).stem.replace("_", " ").replace("-", " ").split())
    return clean_title((words[:1].upper() + words[1:])[: settings.LONGEST_TITLE] or "Untitled")


def with_options(chart: Chart, options: Options) -> Chart:
    """The chart with every option that was given; what was not keeps the chart's value."""
    given: dict[str, Any] = {
        "title": clean_title(options.title) if options.title is not None else None,
        "start_corner": options.corner,
        "hand": options.hand,
        "block": options.block,
        "terms": options.terms,
        "turn": options.turn,
        "weight": options.weight,
        "tail_cm": options.tail,
        "pace": options.pace,
        "habit": _habit(chart.habit, options),
    }
    return replace(chart, **{name: value for name, value in given.items() if value is not None})


def _habit(habit: settings.Habit, options: Options) -> settings.Habit:
    if options.habit:
        habit = settings.HABITS[options.habit]
    if options.reach is options.rest is options.edge is None:
        return habit
    reach = habit.reach if options.reach is None else options.reach
    rest = habit.rest if options.rest is None else options.rest
    edge = habit.edge if options.edge is None else options.edge
    return settings.named_habit(reach, rest, edge)
