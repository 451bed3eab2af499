"""Which yarns a chart is worked in: the picture's own colours, or yarns of a shelf."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.chart.source import Place
from pix2block.color.spaces import Bytes, Floats, rgb_array
from pix2block.design.palette import (
    Palette,
    yarns_from_picture,
    yarns_from_shelf,
    yarns_of_artwork,
    yarns_taken_exactly,
)
from pix2block.design.tone import BETTER_BY, fit_tone, structure_kept
from pix2block.design.within_shelf import chart_within, unstocked
from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput, unknown
from pix2block.options.table import Options
from pix2block.recipes.view import View
from pix2block.yarn.shelf import Shelf
from pix2block.yarn.yarn import name_key


def choose_yarns(
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
        return yarns_taken_exactly(view.colors, options.colors or settings.MOST_YARNS), ()
    most = options.colors or settings.DEFAULT_COLORS
    if view.look == "flat":
        return yarns_of_artwork(view.colors, weights, most, spot_colors), ()
    seed = settings.DEFAULT_SEED if options.seed is None else options.seed
    return yarns_from_picture(view.colors, weights, most, seed, spot_colors), ()


def choose_within(
    view: View,
    weights: Floats,
    minded: tuple[Place, ...],
    shelf: Shelf,
    options: Options,
    charted: Callable[[Palette], Chart],
) -> tuple[Palette, tuple[str, ...]]:
    """Yarns whose needs fit what is on hand, or that lack least, and what was decided."""
    if not shelf.yarns:
        raise BadInput(
            Ask("within_shelf"), " goes with the yarns of a shelf: add ", Ask("shelf", "FILE")
        )
    left_out = tuple(shelf.yarns[i].name for i in unstocked(shelf.yarns))
    options = replace(options, ban=(*(options.ban or ()), *left_out))
    tried: list[tuple[Chart, Palette, tuple[str, ...]]] = []

    def choose(room: Floats | None) -> Chart:
        palette, decided = choose_yarns(view, weights, minded, shelf, options, room)
        tried.append((charted(palette), palette, decided))
        return tried[-1][0]

    within = chart_within(shelf.yarns, choose)
    palette, decided = next((p, d) for chart, p, d in tried if chart is within.chart)
    if left_out:
        names = ", ".join(left_out)
        decided = (*decided, f"Left out, since it is not told how much is on hand: {names}.")
    return palette, decided


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
    note = Advice(
        f"Light and dark {'fitted to what the shelf spans' if fit else 'kept as they are'}: "
        f"{100 * (kept_by_fit if fit else kept):.0f} % of their structure is kept, "
        f"{100 * (kept if fit else kept_by_fit):.0f} % the other way (",
        Ask("tone", "keep" if fit else "fit"),
        ").",
    )
    return (fitted if fit else plain), (note,)


def _on_shelf(shelf: Shelf, names: tuple[str, ...]) -> tuple[int, ...]:
    known = {name_key(yarn.name): i for i, yarn in enumerate(shelf.yarns)}
    for name in names:
        if name_key(name) not in known:
            raise BadInput(unknown("yarn", name, [yarn.name for yarn in shelf.yarns]))
    return tuple(dict.fromkeys(known[name_key(name)] for name in names))
