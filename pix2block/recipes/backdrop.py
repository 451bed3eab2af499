"""What is behind the subject, as asked: cut from it, then made plain or quiet."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.color.names import name_colors, read_color_word
from pix2block.color.notation import parse_color
from pix2block.color.spaces import Floats, distinct, from_hex, rgb_array, to_hex
from pix2block.design.backdrop import (
    APART,
    clear_of,
    in_few,
    own_candidates,
    propose,
    quietened,
)
from pix2block.design.cutting import cut_out
from pix2block.design.palette import Palette
from pix2block.design.subject import SubjectMap
from pix2block.design.view import View
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import say_count
from pix2block.options.picture_rules import Backdrop
from pix2block.options.table import Options
from pix2block.recipes.looking import Matters
from pix2block.yarn.shelf import Shelf
from pix2block.yarn.yarn import Yarn, name_key

_LIKE_MEANS = 0.5  # a box alone says as much as a found map does


@dataclass(frozen=True, eq=False)
class Behind:
    """The picture as yarns are chosen for it, and what is asked of them. inside: (height, width)
    the subject, None where what is behind is kept; plain: the backdrop's colour, "" where it is
    none; few: yarns of a quiet one."""

    view: View
    matters: Matters
    options: Options
    inside: NDArray[np.bool_] | None = None
    plain: str = ""
    few: int = 0

    def finished(self, palette: Palette) -> Palette:
        """The palette with what is behind in its own yarn, or in few."""
        if self.inside is None:
            return palette
        if not self.plain:
            return in_few(palette, self.inside, self.few)
        colors = [yarn.color for yarn in palette.yarns]
        return clear_of(palette, self.inside, colors.index(self.plain))


def behind_subject(view: View, matters: Matters, shelf: Shelf, options: Options) -> Behind:
    """The picture with its backdrop as asked.

    Raises BadInput where it is not known what the picture is of, or a yarn is not there.
    """
    asked = options.backdrop
    if asked is None or asked.kind == "keep":
        return Behind(view, matters, options)
    subject = matters.subject
    if subject is None or not (subject.told or subject.is_clear):
        raise BadInput(
            Ask("backdrop", asked.kind),
            " needs to know what the picture is of: use ",
            Ask("subject", "X,Y,W,H"),
            ", a polygon or a mask",
        )
    inside = subject_blocks(view, subject, options)
    if not inside.any() or inside.all():
        raise BadInput(
            Ask("subject"), " leaves nothing before a backdrop, or nothing behind: choose another"
        )
    cut = SubjectMap(inside.astype(np.float64), subject.sure, subject.told)
    matters = replace(matters, subject=cut)
    if asked.kind == "quiet":
        return _quiet(view, matters, options, inside, asked)
    return _plain(view, matters, shelf, options, inside)


def subject_blocks(view: View, subject: SubjectMap, options: Options) -> NDArray[np.bool_]:
    """(height, width) the subject's blocks: as she drew them, or cut out of a box or of what was
    found."""
    if subject.told and not (isinstance(options.subject, tuple) and len(options.subject) == 4):
        return subject.inside
    share: Floats = subject.share
    if subject.told and view.look == "photo":
        share = share * ((1 - _LIKE_MEANS) + _LIKE_MEANS * view.subject.share)
    return cut_out(view.means, share)


def _quiet(
    view: View, matters: Matters, options: Options, inside: NDArray[np.bool_], asked: Backdrop
) -> Behind:
    means, colors = (quietened(one, inside) for one in (view.means, view.colors))
    told = Advice(
        f"What is behind is drawn in {say_count(asked.few, 'yarn')}; the outline is in "
        "subject.png (",
        Ask("subject", "POLYGON"),
        " or a mask picture where it is wrong).",
    )
    matters = replace(matters, decisions=(*matters.decisions, told))
    return Behind(view.before(inside, means, colors), matters, options, inside, few=asked.few)


def _plain(
    view: View, matters: Matters, shelf: Shelf, options: Options, inside: NDArray[np.bool_]
) -> Behind:
    assert options.backdrop is not None
    if options.look == "tones" and not shelf.yarns:
        raise BadInput(
            Ask("look", "tones"), " takes its yarns from light and dark alone: add ", Ask("shelf")
        )
    yarn = _yarn_of(view, inside, shelf, options)
    color = from_hex(yarn.color)
    behind = (~inside)[..., None]
    means, colors = (
        np.where(behind, np.array(color, dtype=np.uint8), one) for one in (view.means, view.colors)
    )
    proposed = propose(view.colors, inside, rgb_array([yarn.color]))
    clear = (
        f"which nine of ten blocks along the outline differ from by {proposed.contrast:.0f} or more"
        if proposed.contrast >= APART
        else f"which is near what lies along the outline (a difference of {proposed.contrast:.0f})"
    )
    told = Advice(
        f"The backdrop is one yarn, {yarn.name} ({yarn.color}), {clear}; the outline is in "
        "subject.png (",
        Ask("backdrop", "plain:YARN"),
        " for another yarn, ",
        Ask("subject", "POLYGON"),
        " or a mask picture where the outline is wrong).",
    )
    spots = matters.spots
    if shelf.yarns:
        options = replace(options, lock=(*(options.lock or ()), yarn.name))
    else:
        spots = np.concatenate([spots, np.array([color], dtype=np.uint8)])
    matters = replace(matters, spots=spots, decisions=(*matters.decisions, told))
    return Behind(view.before(inside, means, colors), matters, options, inside, plain=yarn.color)


def _yarn_of(view: View, inside: NDArray[np.bool_], shelf: Shelf, options: Options) -> Yarn:
    """The backdrop's yarn: hers, or the one proposed; for flat art of its own colours."""
    assert options.backdrop is not None
    name, colors = options.backdrop.yarn, view.colors
    banned = {name_key(one) for one in options.ban or ()}
    allowed = [yarn for yarn in shelf.yarns if name_key(yarn.name) not in banned]
    if name and shelf.yarns:
        for yarn in allowed:
            if name_key(yarn.name) == name_key(name):
                return yarn
        raise BadInput(unknown("yarn", name, [yarn.name for yarn in allowed]))
    if name:
        color = read_color_word(name) or parse_color(name)
        return Yarn(name_colors(rgb_array([color]))[0], color)
    if allowed:
        return allowed[propose(colors, inside, rgb_array([y.color for y in allowed])).number]
    own, _ = distinct(colors)
    candidates = own if view.look == "flat" else own_candidates(colors, inside)
    best = candidates[propose(colors, inside, candidates).number][None]
    return Yarn(name_colors(best)[0], to_hex(best[0]))
