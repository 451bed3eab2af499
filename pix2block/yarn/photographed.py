"""Yarns' colours from a photo of skeins on white paper: what was touched, corrected by the paper.

The light on a skein is divided by the light on the paper beside it, channel by channel in linear
sRGB: a camera's channels are narrow enough for that (the coefficient law of von Kries). Paper gives
back some 85 per cent of the light (from memory: white office paper, L* 93 to 95).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pix2block.color.difference import ciede2000
from pix2block.color.spaces import Floats, encode_bytes, from_lab, to_hex, to_lab
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass

PAPER = 0.85  # of the light that white paper gives back
REACH = 0.02  # of the photo's longer side around a touch that is looked at
_LEFT_OUT = 0.15  # of the pixels at either end of lightness: glints, and gaps between strands
_CLIPPED = 0.985  # of full light: brighter paper tells nothing
_DARK = 0.12  # of full light: darker paper is noise
_UNEVEN = 0.12  # by which light may differ from paper to paper
_COLORED = 2.5  # times as much of one channel as of another
_SPREAD = 12.0  # CIEDE2000 from the middle, of a quarter: more is a yarn of several colours

Spot = tuple[float, float]  # across and down, as shares of the photo


@dataclass(frozen=True)
class Photographed:
    """A yarn as a photo shows it. color: "#rrggbb"; doubt: what makes that uncertain, "" for
    nothing."""

    name: str
    color: str
    doubt: str = ""


def photographed(
    light: Floats, paper: Sequence[Spot], skeins: Sequence[tuple[str, Spot]]
) -> list[Photographed]:
    """The colours of skeins. light: (height, width, 3) linear sRGB of the photo; paper: where white
    paper was touched; skeins: a name and where it was touched, each.

    Raises BadInput where no paper or no skein was touched, or a spot lies outside.
    """
    if not paper:
        raise BadInput("touch the white paper first: its white tells the light")
    if not skeins:
        raise BadInput("touch a skein: nothing is to be read yet")
    whites = np.array([_middle(light, spot)[0] for spot in paper])
    doubts = _of_light(whites)
    return [_yarn(light, name, spot, paper, whites, doubts) for name, spot in skeins]


def _yarn(
    light: Floats,
    name: str,
    spot: Spot,
    paper: Sequence[Spot],
    whites: Floats,
    doubts: Sequence[str],
) -> Photographed:
    mean, touched = _middle(light, spot)
    white = _white_at(spot, paper, whites, light.shape[:2])
    color = encode_bytes(np.clip(mean / white * PAPER, 0, 1))
    seen = to_lab(encode_bytes(np.clip(touched / white * PAPER, 0, 1))[None])[0]
    middle = np.broadcast_to(np.median(seen, axis=0), seen.shape)
    spread = float(np.quantile(ciede2000(seen, middle), 0.75))
    own = [f"it holds several colours, or its edge was touched: {_two(seen)}"]
    told = [*doubts, *(own if spread > _SPREAD else [])]
    return Photographed(name, to_hex(color), "; ".join(told))


def _middle(light: Floats, spot: Spot) -> tuple[Floats, Floats]:
    """(3,) the mean light around a touch without its lightest and darkest parts; and (n, 3) all
    its pixels."""
    height, width = light.shape[:2]
    x, y = spot
    if not (0 <= x <= 1 and 0 <= y <= 1):
        raise BadInput(f"{x:g}, {y:g} lies outside the photo: touch inside it")
    reach = max(2.0, REACH * max(height, width))
    lines, columns = np.indices((height, width), sparse=True)
    near = (lines + 0.5 - y * height) ** 2 + (columns + 0.5 - x * width) ** 2 <= reach**2
    touched = light[near]
    if not len(touched):
        touched = light[min(int(y * height), height - 1), min(int(x * width), width - 1)][None]
    order = np.argsort(touched @ np.array([0.2126, 0.7152, 0.0722]), kind="stable")
    cut = int(len(order) * _LEFT_OUT)
    kept = touched[order[cut : len(order) - cut]]
    return kept.mean(axis=0), touched


def _white_at(spot: Spot, paper: Sequence[Spot], whites: Floats, shape: tuple[int, ...]) -> Floats:
    """(3,) the light that falls on a place: of the papers, the nearer the more."""
    sides = np.array([shape[1], shape[0]]) / max(shape)
    away = (np.array(paper) - np.array(spot)) * sides
    weights = 1 / (np.square(away).sum(axis=1) + 1e-4)
    shares = (weights / weights.sum())[:, None]
    return np.asarray(np.maximum((whites * shares).sum(axis=0), 1e-4))


def _of_light(whites: Floats) -> list[str]:
    """What is to be said of the light on the paper."""
    told = []
    if whites.max() > _CLIPPED:
        told.append("the paper is so bright that its white is lost: take the photo a little darker")
    if whites.max(axis=1).min() < _DARK:
        told.append("there is little light: take the photo by a window")
    if (whites.max(axis=1) > _COLORED * np.maximum(whites.min(axis=1), 1e-4)).any():
        told.append("the light is strongly coloured: daylight tells colours better")
    lightness = whites.mean(axis=1)
    if lightness.max() - lightness.min() > _UNEVEN * lightness.max():
        told.append("the light is uneven: touch the paper beside each skein, or turn from the lamp")
    return told


def _two(seen: Floats) -> str:
    """The two ends of a yarn's colours along their widest direction, as "#rrggbb and #rrggbb"."""
    centred = seen - seen.mean(axis=0)
    along = centred @ np.linalg.svd(centred, full_matrices=False)[2][0]
    ends = [np.median(seen[along <= np.quantile(along, 0.25)], axis=0)]
    ends.append(np.median(seen[along >= np.quantile(along, 0.75)], axis=0))
    return " and ".join(to_hex(from_lab(end[None])[0]) for end in ends)


def shelf_csv(yarns: Sequence[Photographed]) -> str:
    """A shelf of them, as a table; a doubt stands as the yarn's note."""
    from pix2block.ground.delimited import table

    return table(("name", "color", "note"), [(one.name, one.color, one.doubt) for one in yarns])
