"""Which yarns a chart is worked in: the picture's own colours, or yarns of a shelf."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.color.difference import difference_table
from pix2block.color.spaces import Bytes, Floats, rgb_array
from pix2block.design.eye import Sight, colors_that_read, yarns_that_read
from pix2block.design.palette import (
    Palette,
    yarns_from_picture,
    yarns_from_shelf,
    yarns_of_artwork,
    yarns_taken_exactly,
)
from pix2block.design.refine import FEW_RESTARTS
from pix2block.design.tone import BETTER_BY, fit_tone, structure_kept
from pix2block.design.view import View
from pix2block.design.within_shelf import chart_within, unstocked
from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import say_count
from pix2block.options.table import Options
from pix2block.recipes.looking import Matters
from pix2block.recipes.tones import own_tones, shelf_tones, tones_tried
from pix2block.yarn.shelf import Shelf
from pix2block.yarn.yarn import Yarn, name_key


@dataclass(frozen=True, eq=False)
class Chosen:
    """The yarns that were chosen, and what was decided for the maker, a sentence each."""

    palette: Palette
    decisions: tuple[str, ...] = ()


def choose_yarns(
    view: View,
    matters: Matters,
    shelf: Shelf,
    options: Options,
    charted: Callable[[Palette], Chart],
) -> Chosen:
    """The best yarns; within the shelf those whose needs fit what is on hand, or that lack least.
    charted: makes the chart of a choice, with its border.

    Raises BadInput where options leave no choice, or do not go together.
    """
    if options.within_shelf:
        return _choose_within(view, matters, shelf, options, charted)
    return _choose(view, matters, shelf, options)


def _choose(
    view: View, matters: Matters, shelf: Shelf, options: Options, room: Floats | None = None
) -> Chosen:
    """The best yarns. room: blocks that each yarn of a shelf is on hand for."""
    weights, spots = matters.weights, matters.spots
    if options.look == "tones" and (len(spots) or options.tone):
        other = Ask("spot") if len(spots) else Ask("tone")
        raise BadInput(Ask("look", "tones"), " parts by light and dark alone: leave out ", other)
    if shelf.yarns:
        return _from_shelf(view, matters, shelf, options, room)
    if options.lock or options.ban or options.tone:
        raise BadInput(
            Ask("lock"),
            ", ",
            Ask("ban"),
            " and ",
            Ask("tone"),
            " go with the yarns of a shelf: add ",
            Ask("shelf", "FILE"),
        )
    if view.look == "blocks":
        return Chosen(yarns_taken_exactly(view.colors, options.colors or settings.MOST_YARNS))
    most = options.colors or settings.DEFAULT_COLORS
    if view.look == "flat":
        return Chosen(yarns_of_artwork(view.colors, weights, most, spots))
    if options.look == "tones":
        return Chosen(own_tones(view, matters, most))
    seed = settings.DEFAULT_SEED if options.seed is None else options.seed
    palette = yarns_from_picture(matters.colors, weights, most, seed, spots)
    if not matters.reads:
        return Chosen(palette, tones_tried(view, matters, palette))
    usual = yarns_from_picture(view.colors, matters.even, most, seed, spots, FEW_RESTARTS)
    palette = colors_that_read(palette, usual, _sight(view, matters), spots)
    return Chosen(palette, tones_tried(view, matters, palette))


def _sight(view: View, matters: Matters) -> Sight:
    subject = matters.subject
    if subject is None:
        return Sight(view.means, matters.weights, np.zeros(view.means.shape[:2]))
    return Sight(view.means, matters.weights, subject.believed, matters.parts, subject.sure)


def _choose_within(
    view: View,
    matters: Matters,
    shelf: Shelf,
    options: Options,
    charted: Callable[[Palette], Chart],
) -> Chosen:
    """Yarns whose needs fit what is on hand, or that lack least."""
    if not shelf.yarns:
        raise BadInput(
            Ask("within_shelf"), " goes with the yarns of a shelf: add ", Ask("shelf", "FILE")
        )
    left_out = tuple(shelf.yarns[i].name for i in unstocked(shelf.yarns))
    options = replace(options, ban=(*(options.ban or ()), *left_out))
    tried: list[tuple[Chart, Chosen]] = []

    def choose(room: Floats | None) -> Chart:
        chosen = _choose(view, matters, shelf, options, room)
        tried.append((charted(chosen.palette), chosen))
        return tried[-1][0]

    within = chart_within(shelf.yarns, choose)
    chosen = next(chosen for chart, chosen in tried if chart is within.chart)
    moved = _moved_words(chosen.palette)
    if moved and not within.lacks:
        chosen = replace(chosen, decisions=(*chosen.decisions, moved))
    if not left_out:
        return chosen
    told = f"Left out, since it is not told how much is on hand: {', '.join(left_out)}."
    return replace(chosen, decisions=(*chosen.decisions, told))


_MOST_MOVES_NAMED = 4


def _moved_words(palette: Palette) -> str:
    """Which blocks became another yarn than their nearest, the most first."""
    names = [yarn.name for yarn in palette.yarns]
    moves = [
        f"{say_count(number, 'block')} of {names[old]} became {names[new]}"
        for (old, new), number in palette.moved.items()
    ]
    if not moves:
        return ""
    more = len(moves) - _MOST_MOVES_NAMED
    others = f"; and {say_count(more, 'smaller exchange')}" if more > 0 else ""
    return f"To keep within what is on hand, {'; '.join(moves[:_MOST_MOVES_NAMED])}{others}."


def _from_shelf(
    view: View, matters: Matters, shelf: Shelf, options: Options, room: Floats | None
) -> Chosen:
    """Yarns of a shelf, matched to the colours as they are or as fitted to what the shelf spans,
    whichever was asked for or keeps more of the picture's light and dark."""
    locked, banned = (_on_shelf(shelf, names or ()) for names in (options.lock, options.ban))
    most = options.colors or len(shelf.yarns)

    def matched(colors: Bytes) -> Palette:
        return yarns_from_shelf(
            colors, matters.weights, shelf.yarns, most, locked, banned, matters.spots, room
        )

    def structure(palette: Palette) -> float:
        return structure_kept(view.colors, _rgb(palette.yarns)[palette.blocks])

    if options.look == "tones":
        return Chosen(shelf_tones(view, matters, shelf, most, (locked, banned), room))
    allowed = [yarn for i, yarn in enumerate(shelf.yarns) if i not in banned]

    def as_it_is() -> Palette:
        if room is not None or not matters.reads:
            return matched(view.colors)
        usual = yarns_from_shelf(
            view.colors, matters.even, shelf.yarns, most, locked, banned, matters.spots
        )
        read = matched(matters.colors)
        spotted = np.argmin(difference_table(matters.spots, _rgb(allowed)), axis=1).tolist()
        must = sorted({*(allowed.index(shelf.yarns[i]) for i in locked), *spotted})
        return yarns_that_read(read, usual, _sight(view, matters), allowed, must)

    if options.tone == "keep":
        return Chosen(as_it_is())
    fitted = matched(fit_tone(view.colors, _rgb(allowed)))
    if options.tone == "fit":
        return Chosen(fitted)
    plain = as_it_is()
    kept, kept_by_fit = structure(plain), structure(fitted)
    fit = kept_by_fit > kept + BETTER_BY
    note = Advice(
        f"Light and dark {'fitted to what the shelf spans' if fit else 'kept as they are'}: "
        f"{100 * (kept_by_fit if fit else kept):.0f} % of their structure is kept, "
        f"{100 * (kept if fit else kept_by_fit):.0f} % the other way (",
        Ask("tone", "keep" if fit else "fit"),
        ").",
    )
    palette = fitted if fit else plain
    return Chosen(palette, (note, *tones_tried(view, matters, palette)))


def _rgb(yarns: Sequence[Yarn]) -> Bytes:
    return rgb_array([yarn.color for yarn in yarns])


def _on_shelf(shelf: Shelf, names: tuple[str, ...]) -> tuple[int, ...]:
    known = {name_key(yarn.name): i for i, yarn in enumerate(shelf.yarns)}
    for name in names:
        if name_key(name) not in known:
            raise BadInput(unknown("yarn", name, [yarn.name for yarn in shelf.yarns]))
    return tuple(dict.fromkeys(known[name_key(name)] for name in names))
