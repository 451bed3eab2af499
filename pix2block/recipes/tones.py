"""A picture worked in tones: in its own colours, in yarns of a shelf; tried where few yarns keep
too little of its light and dark."""

from __future__ import annotations

import numpy as np

from pix2block.color.spaces import Bytes, Floats, rgb_array
from pix2block.design.palette import Palette, yarns_from_shelf, yarns_given
from pix2block.design.tone import BETTER_BY, fit_tone, structure_kept
from pix2block.design.tones import on_faces, tone_yarns, toned
from pix2block.design.view import View
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.units import say_count
from pix2block.recipes.looking import Matters
from pix2block.yarn.shelf import Shelf

_FEW = 6  # yarns
_LITTLE = 0.7  # of the picture's light and dark, by structural similarity


def own_tones(view: View, matters: Matters, most: int) -> Palette:
    """At most so many yarns of a picture's own colours, a step from dark to light each."""
    weights = _weights(matters)
    colors = tone_yarns(view.colors, weights, most)
    return yarns_given(colors, toned(view.colors, weights, colors))


def shelf_tones(
    view: View,
    matters: Matters,
    shelf: Shelf,
    most: int,
    must: tuple[tuple[int, ...], tuple[int, ...]],
    room: Floats | None,
) -> Palette:
    """Yarns of a shelf, chosen for the picture as fitted to what the shelf spans, then worked from
    dark to light. must: numbers of yarns that must and must not be used; room: blocks that each is
    on hand for.

    Raises BadInput where they leave no choice.
    """
    locked, banned = must
    colors = view.colors
    allowed = [yarn.color for i, yarn in enumerate(shelf.yarns) if i not in banned]
    fitted = fit_tone(colors, rgb_array(allowed))
    first = yarns_from_shelf(fitted, matters.weights, shelf.yarns, most, locked, banned)
    chosen = tuple(shelf.yarns.index(yarn) for yarn in first.yarns)
    matched = toned(colors, _weights(matters), _rgb(first))
    return yarns_from_shelf(
        matched, matters.weights, shelf.yarns, len(chosen), chosen, banned, room=room
    )


def tones_tried(view: View, matters: Matters, palette: Palette) -> tuple[str, ...]:
    """Where few yarns of a photo keep too little of its light and dark: what tones would keep."""
    yarns = palette.yarns
    if view.viewing.look != "auto" or view.look != "photo" or not 2 < len(yarns) <= _FEW:
        return ()
    kept = structure_kept(view.colors, _rgb(palette)[palette.blocks])
    if kept >= _LITTLE:
        return ()
    tones = own_tones(view, matters, len(yarns))
    better = structure_kept(view.colors, _rgb(tones)[tones.blocks])
    if better <= kept + BETTER_BY:
        return ()
    return (
        Advice(
            f"{say_count(len(yarns), 'yarn')} keep {100 * kept:.0f} % of the pattern of light and "
            f"dark; as steps from dark to light they keep {100 * better:.0f} %, and less of the "
            "hues (",
            Ask("look", "tones"),
            ").",
        ),
    )


def _rgb(palette: Palette) -> Bytes:
    return rgb_array([yarn.color for yarn in palette.yarns])


def _weights(matters: Matters) -> Floats:
    """What counts where thresholds are set: faces, where there are any."""
    faces = np.zeros(matters.weights.shape, dtype=bool)
    for place in matters.minded:
        if place.what == "face":
            lines, columns = (
                slice(int(start), int(np.ceil(stop)))
                for start, stop in ((place.top, place.bottom), (place.left, place.right))
            )
            faces[lines, columns] = True
    return on_faces(matters.weights, faces)
