"""What is behind the subject, quieter than it is: on one yarn, or in a few and much calmed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import ciede2000, difference_table
from pix2block.color.spaces import (
    Bytes,
    Floats,
    decoding_table,
    encode_bytes,
    from_lab,
    rgb_array,
    to_lab,
)
from pix2block.design.palette import Palette
from pix2block.ground.frozen import dataclass

Bools = NDArray[np.bool_]

APART = 10.0  # CIEDE2000 across the outline
_RIM = 2  # blocks
_RIM_SHARE = 10  # per cent of the rim that may be nearer
_ENOUGH = 35.0  # CIEDE2000 beyond which more contrast is no better
_LIKE_PICTURE, _DULL, _LOUD = 0.15, 25.0, 0.1
_LIGHTNESSES = (18, 32, 46, 60, 74, 86, 94)
_CHROMAS = (0.25, 0.6, 1.0)
_BLUR = 2.5  # blocks
_PIECE = 0.004  # of all blocks; smaller pieces of a quiet backdrop go
_RUNS_OVER = 15.0  # CIEDE2000 that an outline which runs into what is behind is worth
_MOST_TRIED = 12  # yarns among which the few of a quiet backdrop are looked for


@dataclass(frozen=True)
class Proposed:
    """A colour for a plain backdrop: its number among those tried, and by how much nine of ten
    blocks along the outline differ from it at least, CIEDE2000."""

    number: int
    contrast: float


def rim_of(inside: Bools) -> Bools:
    """(height, width) the subject's blocks along its outline."""
    from scipy.ndimage import binary_dilation

    return np.asarray(inside & binary_dilation(~inside, np.ones((3, 3)), iterations=_RIM))


def propose(colors: Bytes, inside: Bools, candidates: Bytes) -> Proposed:
    """Of (c, 3) colours the one for a plain backdrop: clear of what lies along the outline, near
    what is behind in the picture, and not loud."""
    lab = to_lab(candidates)
    rim = rim_of(inside)
    contrast = np.percentile(difference_table(colors[rim], candidates), _RIM_SHARE, axis=0)
    behind = encode_bytes(decoding_table()[colors[~inside]].mean(axis=0)[None])
    away = ciede2000(np.broadcast_to(to_lab(behind), lab.shape), lab)
    loud = np.maximum(np.hypot(lab[:, 1], lab[:, 2]) - _DULL, 0)
    score = np.minimum(contrast, _ENOUGH) - _LIKE_PICTURE * away - _LOUD * loud
    best = int(np.argmax(score))
    return Proposed(best, float(contrast[best]))


def own_candidates(colors: Bytes, inside: Bools) -> Bytes:
    """(c, 3) colours of what is behind, lighter and darker, duller, and their opposite hue."""
    lab = to_lab(encode_bytes(decoding_table()[colors[~inside]].mean(axis=0)[None]))[0]
    hues = [lab[1:] * share for share in _CHROMAS] + [-lab[1:] * _CHROMAS[1]]
    made = [(light, *hue) for light in _LIGHTNESSES for hue in hues]
    return np.unique(from_lab(np.array(made)), axis=0)


def quietened(colors: Bytes, inside: Bools) -> Bytes:
    """(height, width, 3) block colours, what is behind blurred in itself, in linear light."""
    from scipy.ndimage import gaussian_filter

    behind = (~inside).astype(np.float64)
    cover = gaussian_filter(behind, _BLUR)
    light = decoding_table()[colors] * behind[..., None]
    blurred = np.stack([gaussian_filter(light[..., i], _BLUR) for i in range(3)], axis=2)
    quiet = encode_bytes(blurred / np.maximum(cover, 1e-6)[..., None])
    return np.where(inside[..., None], colors, quiet)


def in_few(palette: Palette, inside: Bools, few: int) -> Palette:
    """The palette with what is behind in so many of its yarns: those of least error there that
    also differ from the subject along its outline; small pieces are taken by what is around them.
    """
    rgb = rgb_array([yarn.color for yarn in palette.yarns])
    behind = ~inside
    error = difference_table(palette.matched[behind], rgb)
    common = np.bincount(palette.blocks[behind], minlength=len(rgb))
    tried = np.argsort(-common, kind="stable")[:_MOST_TRIED].tolist()
    one, other = _across(inside)
    near = difference_table(rgb, rgb)[palette.blocks.ravel()[one]] < APART
    at_outline = np.cumsum(behind.ravel())[other] - 1  # their lines of the table of errors

    def cost(chosen: tuple[int, ...]) -> float:
        yarns = np.array(chosen)
        part = error[:, yarns]
        outer = yarns[part.argmin(axis=1)[at_outline]]
        runs_over = near[np.arange(len(outer)), outer].mean() if len(outer) else 0.0
        return float(part.min(axis=1).mean() + _RUNS_OVER * runs_over)

    best = min(combinations(sorted(tried), min(few, len(tried))), key=cost)
    blocks = palette.blocks.copy()
    blocks[behind] = np.array(best)[error[:, list(best)].argmin(axis=1)]
    blocks = _without_pieces(blocks, behind, best)
    matched = np.where(behind[..., None], rgb[blocks], palette.matched)
    return replace(palette, blocks=blocks, matched=matched, gap=None)


def _across(inside: Bools) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """(pairs,) numbers of blocks that touch across the outline, those of the subject first."""
    number = np.arange(inside.size).reshape(inside.shape)
    pairs = []
    for here, there in ((np.s_[:, 1:], np.s_[:, :-1]), (np.s_[1:], np.s_[:-1])):
        for one, other in ((here, there), (there, here)):
            out = inside[one] & ~inside[other]
            pairs.append((number[one][out], number[other][out]))
    first, second = (np.concatenate(side) for side in zip(*pairs, strict=True))
    return first, second


def _without_pieces(
    blocks: NDArray[np.int64], behind: Bools, yarns: Sequence[int]
) -> NDArray[np.int64]:
    from scipy.ndimage import distance_transform_edt, label

    small = np.zeros(blocks.shape, dtype=bool)
    for yarn in yarns:
        parts, _ = label((blocks == yarn) & behind)
        size = np.bincount(parts.ravel())
        size[0] = blocks.size
        small |= (size < _PIECE * blocks.size)[parts]
    stays = behind & ~small
    if not stays.any() or not small.any():
        return blocks
    line, column = distance_transform_edt(~stays, return_distances=False, return_indices=True)
    return np.where(small, blocks[line, column], blocks)


def clear_of(palette: Palette, inside: Bools, plain: int) -> Palette:
    """The palette on a plain backdrop, whose yarn (a number) calming brings into no other block:
    blocks of the subject right at its outline are in a yarn that differs from it by 10 or more,
    where there is one."""
    from scipy.ndimage import binary_dilation

    rgb = rgb_array([yarn.color for yarn in palette.yarns])
    away = difference_table(rgb[plain][None], rgb)[0]
    fit = np.flatnonzero(away >= APART)
    edge = inside & binary_dilation(~inside) & (away[palette.blocks] < APART)
    blocks, matched = palette.blocks.copy(), palette.matched.copy()
    if len(fit) and edge.any():
        table = difference_table(matched[edge], rgb[fit])
        blocks[edge] = fit[table.argmin(axis=1)]
        matched[edge] = rgb[blocks[edge]]
    full = tuple(sorted({*palette.full, plain}))
    still = ~inside
    if len(fit) < len(rgb) - 1:  # else none that calming may bring to the outline is like it
        still |= inside & binary_dilation(~inside)
    return replace(palette, blocks=blocks, matched=matched, full=full, still=still)


def smallest_step(chart_rgb: Bytes, blocks: NDArray[np.int64], inside: Bools) -> Floats:
    """(pairs,) CIEDE2000 of yarns that touch across an outline."""
    lab = to_lab(chart_rgb)[blocks].reshape(-1, 3)
    one, other = _across(inside)
    return ciede2000(lab[one], lab[other])
