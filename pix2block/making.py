"""A chart from a picture: blocks, what matters in it, yarns."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from pix2block.amounts.under_way import UnderWay
from pix2block.chart.chart import Chart, Place, Source, clean_title
from pix2block.color.spaces import Bytes, Floats, rgb_array
from pix2block.design.attention import aimed_weights, minded_weights, place_in_frame
from pix2block.design.palette import (
    Palette,
    yarns_from_picture,
    yarns_from_shelf,
    yarns_of_artwork,
    yarns_taken_exactly,
)
from pix2block.design.seen import samples_a_block
from pix2block.design.tone import BETTER_BY, fit_tone, structure_kept
from pix2block.ground import settings
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.files import read_bytes
from pix2block.looking import Progress, View, averaged, taken_exactly
from pix2block.maker import NOBODY, Maker, open_maker, with_defaults
from pix2block.options import Options
from pix2block.picture.blocks import block_light
from pix2block.picture.faces import Box, find_faces
from pix2block.picture.picture import Picture, open_picture
from pix2block.rules import Minded
from pix2block.supplies import fit_options, open_swatches, with_supplies
from pix2block.within_shelf import chart_within, unstocked, within_line
from pix2block.yarn.dialects import decode_text
from pix2block.yarn.shelf import Shelf, read_shelf
from pix2block.yarn.swatch import swatch_of
from pix2block.yarn.yarn import Yarn, name_key

NOTHING_ASKED = Options()


@dataclass(frozen=True)
class Made:
    """A chart; what a maker should know of how it came about, and what was decided for her, a
    sentence each. look_again: gives the picture's light, some samples a block, where there is one;
    spare: yarns of the shelf that were left out, None without a shelf; maker: her hook, currency
    and what an hour of hers is worth; under_way: how far the piece is, where it is asked.
    """

    chart: Chart
    notes: tuple[str, ...] = ()
    decisions: tuple[str, ...] = ()
    look_again: Callable[[], Floats] | None = None
    spare: tuple[Yarn, ...] | None = None
    maker: Maker = NOBODY
    under_way: UnderWay | None = None


def chart_picture(
    picture: Picture | str | Path,
    options: Options = NOTHING_ASKED,
    progress: Progress | None = None,
) -> Made:
    """A chart from an open picture, or from a picture's path.

    Raises BadInput for a file, size or shelf that cannot be used.
    """
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
        return with_supplies(chart, options, measured, maker, shelf.yarns)

    if options.within_shelf:
        palette, decided = _within_shelf(view, weights, minded, shelf, options, charted)
    else:
        palette, decided = _palette(view, weights, minded, shelf, options)
    chart, of_supplies = charted(palette)
    told = (*picture.warnings, *shelf.warnings, *view.notes, *notes)

    def look_again() -> Floats:
        frame = view.frame
        samples = samples_a_block(frame.width, frame.height)
        return block_light(picture, frame.finer(samples))

    spare = tuple(y for y in shelf.yarns if y not in palette.yarns) if shelf.yarns else None
    decisions = (*view.decisions, *decided)
    return Made(chart, (*told, *of_supplies), decisions, look_again, spare, maker)


def _chart_of(picture: Picture, palette: Palette, source: Source, options: Options) -> Chart:
    hand = options.hand or "right"
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


def _rounded(weights: Floats) -> Floats:
    """To four digits, as they are kept."""
    digits = 10.0 ** (3 - np.floor(np.log10(np.where(weights > 0, weights, 1))))
    return np.asarray(np.round(weights * digits) / digits)


def _attention(
    picture: Picture, view: View, options: Options
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
    weights = _rounded(weights * aimed_weights(view.colors, options.aim or settings.DEFAULT_AIM))
    return weights, tuple(places), tuple(notes)


def _palette(
    view: View,
    weights: Floats,
    minded: tuple[Place, ...],
    shelf: Shelf,
    options: Options,
    room: Floats | None = None,
) -> tuple[Palette, tuple[str, ...]]:
    """The yarns, and what was decided. room: blocks that each yarn of a shelf is on hand for."""
    spots = [view.colors[int(p.top), int(p.left)] for p in minded if p.what == "spot"]
    spot_colors = np.array(spots, dtype=np.uint8).reshape(-1, 3)
    if shelf.yarns:
        return _from_shelf(view, weights, spot_colors, shelf, options, room)
    if options.lock or options.ban or options.tone:
        raise BadInput("--lock, --ban and --tone go with the yarns of a shelf: add --shelf FILE")
    if view.look == "blocks":
        return yarns_taken_exactly(view.colors, options.colors or settings.MOST_YARNS), ()
    most = options.colors or settings.DEFAULT_COLORS
    if view.look == "flat":
        return yarns_of_artwork(view.colors, weights, most, spot_colors), ()
    seed = settings.DEFAULT_SEED if options.seed is None else options.seed
    return yarns_from_picture(view.colors, weights, most, seed, spot_colors), ()


def _within_shelf(
    view: View,
    weights: Floats,
    minded: tuple[Place, ...],
    shelf: Shelf,
    options: Options,
    charted: Callable[[Palette], tuple[Chart, tuple[str, ...]]],
) -> tuple[Palette, tuple[str, ...]]:
    """Yarns whose needs fit what is on hand, or that lack least, and what was decided."""
    if not shelf.yarns:
        raise BadInput("--within-shelf goes with the yarns of a shelf: add --shelf FILE")
    left_out = tuple(shelf.yarns[i].name for i in unstocked(shelf.yarns))
    options = replace(options, ban=(*(options.ban or ()), *left_out))
    tried: list[tuple[Chart, Palette, tuple[str, ...]]] = []

    def choose(room: Floats | None) -> Chart:
        palette, decided = _palette(view, weights, minded, shelf, options, room)
        tried.append((charted(palette)[0], palette, decided))
        return tried[-1][0]

    within = chart_within(shelf.yarns, choose)
    palette, decided = next((p, d) for chart, p, d in tried if chart is within.chart)
    if left_out:
        names = ", ".join(left_out)
        decided = (*decided, f"Left out, since it is not told how much is on hand: {names}.")
    return palette, (*decided, within_line(within))


def _from_shelf(
    view: View,
    weights: Floats,
    spots: Bytes,
    shelf: Shelf,
    options: Options,
    room: Floats | None,
) -> tuple[Palette, tuple[str, ...]]:
    """Yarns of a shelf, matched to the colours as they are or as fitted to what the shelf spans,
    whichever was asked for or keeps more of the picture's light and dark."""
    locked, banned = (_on_shelf(shelf, names or ()) for names in (options.lock, options.ban))
    most = options.colors or len(shelf.yarns)

    def chosen(colors: Bytes) -> Palette:
        return yarns_from_shelf(colors, weights, shelf.yarns, most, locked, banned, spots, room)

    def structure(palette: Palette) -> float:
        rgb = rgb_array([yarn.color for yarn in palette.yarns])
        return structure_kept(view.colors, rgb[palette.blocks])

    if options.tone == "keep":
        return chosen(view.colors), ()
    allowed = [yarn.color for i, yarn in enumerate(shelf.yarns) if i not in banned]
    fitted = chosen(fit_tone(view.colors, rgb_array(allowed)))
    if options.tone == "fit":
        return fitted, ()
    plain = chosen(view.colors)
    kept, kept_by_fit = structure(plain), structure(fitted)
    fit = kept_by_fit > kept + BETTER_BY
    note = (
        f"Light and dark {'fitted to what the shelf spans' if fit else 'kept as they are'}: "
        f"{100 * (kept_by_fit if fit else kept):.0f} % of their structure is kept, "
        f"{100 * (kept if fit else kept_by_fit):.0f} % the other way "
        f"(--tone {'keep' if fit else 'fit'})."
    )
    return (fitted if fit else plain), (note,)


def _on_shelf(shelf: Shelf, names: tuple[str, ...]) -> tuple[int, ...]:
    known = {name_key(yarn.name): i for i, yarn in enumerate(shelf.yarns)}
    for name in names:
        if name_key(name) not in known:
            raise BadInput(unknown("yarn", name, [yarn.name for yarn in shelf.yarns]))
    return tuple(dict.fromkeys(known[name_key(name)] for name in names))


def open_shelf(path: str | Path) -> Shelf:
    """The yarns of a shelf file. Raises BadInput naming the line that cannot be read."""
    return read_shelf(decode_text(read_bytes(Path(path), "shelf"), f"shelf {path}"), str(path))


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
        "reserve": options.reserve,
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
