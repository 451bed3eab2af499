"""preview.png: the fabric as it will look, right side facing, tails hidden.

A block is three posts and a chain edge. From the stitches: a row that begins at the vertical edge
works its posts across, away from the start corner, one that begins at the horizontal edge works
them up, so they stand upright in one row and lie flat in the next; the chain edge is on the side
that the next row is worked into. The surface is lit from the upper left.

It must not lie: shading multiplies a yarn's linear light by factors whose mean over a block is 1,
give or take two per cent; where a light yarn would be lit beyond white, it is shaded less.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from pix2block.chart.chart import Chart
from pix2block.color.difference import quick_differences
from pix2block.color.spaces import (
    Bytes,
    Floats,
    decoding_table,
    encode_bytes,
    from_hex,
    rgb_array,
    to_lab,
)
from pix2block.color.vision import seen_light
from pix2block.craft.diagonal import Edge, Layout
from pix2block.craft.tails import edge_begun
from pix2block.drawing.png import packed
from pix2block.drawing.style import INK, PAPER, SMALL, font, text_width
from pix2block.drawing.views import held_view
from pix2block.ground.settings import StartCorner, sides_of

_LONGEST = 2400  # pixels of the longer side
_WINDOW = 32_768  # bytes back that a PNG finds what it repeats (deflate, RFC 1951)
_TONES = (4, 16)  # shades of a yarn, at least and at most; together at most _COLORS, as a PNG's
_COLORS = 250  # palette holds
_BLOCK_PIXELS = (2, 24)  # a block's side, at least and at most
_FINER = 3
_VARIANTS = 6  # tiles of each direction: no two blocks side by side need be alike
_CHAIN = 0.2  # of a block's side
_UNEVEN = 0.02  # of a block's light
_OFF_BY = 0.8  # CIEDE2000 that a block's mean may be off its yarn's before unevenness
_FAR_SAMPLES = 8  # pixels a block that is blurred, at most
_WORDS_EDGE = 6  # around words under a picture
_SLIP_STITCH = 0.15  # of a block's side
_BORDER_SHARE = 0.36  # of a block's side: a round of the border


def fabric(
    chart: Chart, seed: int = 1, border: Sequence[str] = (), pixels: int | None = None
) -> Bytes:
    """(h, w, 3) 8-bit sRGB picture of the worked piece; paper where no block is.

    border: "#rrggbb" of its rounds, from the inside; pixels: of a block's side, by default those
    of `pixels_a_block`.
    """
    pixels = pixels or pixels_a_block(chart.width, chart.height, len(border))
    tones = _tones(len(chart.yarns) + len(set(border)))
    shades, drawn = _shades(chart.layout.start_corner, pixels, seed)
    rng = np.random.default_rng(seed)
    rng.bit_generator.state = drawn
    paper = np.broadcast_to(np.array(from_hex(PAPER), dtype=np.uint8), (1, *shades.shape[1:], 3))
    bank = np.concatenate(
        [_dyed(shades, chart.yarn_rgb, tones), np.repeat(paper, len(shades), 0)[None]]
    )
    upright = (chart.layout.row_numbers() % 2 == 1) == odd_rows_upright(chart.layout)
    which = rng.integers(0, _VARIANTS, chart.blocks.shape) + _VARIANTS * upright
    lines = [
        bank[yarns, tiles].swapaxes(0, 1).reshape(pixels, -1, 3)
        for yarns, tiles in zip(chart.blocks, which, strict=True)
    ]
    piece = np.concatenate(lines)
    if "early" in chart.turns:
        _show_early_turns(piece, chart, bank, which)
    return _bordered(piece, border, pixels, tones)


def fabric_tiles(chart: Chart, pixels: int, seed: int = 1) -> Bytes:
    """(yarns x pixels, tiles x pixels, 3) 8-bit sRGB: a block of every yarn, line by line: first
    those whose posts lie across, then as many with upright ones. pixels: of a block's side."""
    shades, _ = _shades(chart.layout.start_corner, pixels, seed)
    bank = _dyed(shades, chart.yarn_rgb, _tones(len(chart.yarns)))
    return bank.transpose(0, 2, 1, 3, 4).reshape(len(bank) * pixels, -1, 3)


def odd_rows_upright(layout: Layout) -> bool:
    """Whether posts stand upright in odd rows, and lie across in even ones."""
    return not layout.begins_vertical(1)


def _tones(colors: int) -> int:
    return max(_TONES[0], min(_TONES[1], _COLORS // colors))


def _show_early_turns(piece: Bytes, chart: Chart, bank: Bytes, which: NDArray[np.int64]) -> None:
    """Draw, along the outer edge of the last block before a travel, the three slip stitches that
    have the next row's colour already. (Late, they have the block's own, and nothing shows.)"""
    pixels = bank.shape[2]
    deep = max(1, round(_SLIP_STITCH * pixels))
    along: dict[Edge, tuple[slice, slice]] = {
        "top": (slice(None, deep), slice(None)),
        "bottom": (slice(-deep, None), slice(None)),
        "left": (slice(None), slice(None, deep)),
        "right": (slice(None), slice(-deep, None)),
    }
    lines, columns, numbers = chart.layout.order
    for row in chart.layout:
        if row.begins != "travel" or chart.turns[row.number - 1] == "late":
            continue
        first = int(np.searchsorted(numbers, row.number))
        line, column = int(lines[first - 1]), int(columns[first - 1])
        yarn = chart.blocks[lines[first], columns[first]]
        part = along[edge_begun(row)]
        block = piece[line * pixels :, column * pixels :][:pixels, :pixels]
        block[part] = bank[yarn, which[line, column]][part]


def as_worn(piece: Bytes, chart: Chart) -> Bytes:
    """(h, w, 3) a triangle as it is held or worn, its start corner down, on paper; other pieces as
    they are. No new colour comes in, so that a PNG keeps its palette."""
    if not chart.is_triangle:
        return piece
    side = len(piece) // chart.height
    there = np.repeat(np.repeat(chart.blocks >= 0, side, axis=0), side, axis=1)
    pixels, drawn = (
        np.asarray(
            Image.fromarray(one).rotate(
                -held_view(chart).turn, Image.Resampling.NEAREST, expand=True, fillcolor=ground
            )
        )
        for one, ground in ((piece, from_hex(PAPER)), (there.astype(np.uint8), 0))
    )
    lines, columns = np.flatnonzero(drawn.any(axis=1)), np.flatnonzero(drawn.any(axis=0))
    return pixels[lines[0] : lines[-1] + 1, columns[0] : columns[-1] + 1]


def preview_png(chart: Chart, seed: int = 1) -> bytes:
    """preview.png, with the chart's border around a piece that is a rectangle."""
    if not chart.border or chart.ends_early:
        return fabric_png(chart, pixels_a_block(chart.width, chart.height), seed)
    rounds = [chart.yarns[chart.border.yarn].color] * chart.border.rounds
    return as_png(fabric(chart, seed, rounds))


@lru_cache(maxsize=1)  # preview.png and the front page of the PDF often are the same picture
def fabric_png(chart: Chart, pixels: int, seed: int) -> bytes:
    """The fabric without a border as PNG bytes, a triangle as worn. pixels: of a block's side."""
    return as_png(as_worn(fabric(chart, seed, pixels=pixels), chart))


def far_png(chart: Chart, degrees: float, told: str) -> bytes:
    """The piece as seen from where a block is so many degrees across, at the size of preview.png
    or smaller, over a line of words that tells what is seen."""
    seen = Image.fromarray(as_worn(fabric_from_afar(chart, degrees), chart))
    wide = max(seen.width, math.ceil(text_width(told, SMALL)) + 2 * _WORDS_EDGE)
    high = round(SMALL * 1.5) + 2 * _WORDS_EDGE
    sheet = Image.new("RGB", (wide, seen.height + high), PAPER)
    sheet.paste(seen, (0, 0))
    place = (_WORDS_EDGE, seen.height + _WORDS_EDGE)
    ImageDraw.Draw(sheet).text(place, told, INK, font(SMALL, bold=False))
    return packed(sheet)


def fabric_from_afar(chart: Chart, degrees: float) -> Bytes:
    """(h, w, 3) 8-bit sRGB of the piece blurred as the eye would (S-CIELAB). Blocks are of one
    colour each: from afar their posts are not seen, and would come out as a grid."""
    pixels = min(_FAR_SAMPLES, pixels_a_block(chart.width, chart.height))
    colors = np.array([*chart.yarn_rgb, from_hex(PAPER)], dtype=np.uint8)[chart.blocks]
    light = decoding_table()[colors].astype(np.float32)
    light = np.repeat(np.repeat(light, pixels, axis=0), pixels, axis=1)
    return encode_bytes(seen_light(light, pixels / degrees))


def pixels_a_block(width: int, height: int, rounds: int = 0) -> int:
    """Pixels of a block's side in the preview of so many blocks and rounds of border: so that the
    longer side has at most 2,400, and a line of blocks is within reach of the one above it when
    the PNG is packed, which halves the file; from 2 to 24."""
    low, high = _BLOCK_PIXELS
    across = width + 2 * _BORDER_SHARE * rounds
    most = min(high, _LONGEST // max(width, height), int((_WINDOW / across) ** 0.5))
    return max(low, most - (most * (most * across + 1) > _WINDOW))


def as_png(pixels: Bytes) -> bytes:
    """(h, w, 3) 8-bit sRGB as PNG bytes."""
    return packed(Image.fromarray(pixels))


@lru_cache(maxsize=8)  # at the worktable they are asked for after every change
def _shades(corner: StartCorner, pixels: int, seed: int) -> tuple[Floats, Mapping[str, Any]]:
    """(2 x variants, pixels, pixels) by how much light is more or less: posts across, upright; and
    the state of the generator that drew them."""
    rng = np.random.default_rng(seed)
    low, high = 1 - _UNEVEN, 1 + _UNEVEN
    shades = []
    for upright in (False, True):
        for light in np.linspace(low, high, _VARIANTS).tolist():
            side = pixels * _FINER
            height = _turned(_surface(side, rng), corner, upright)
            lit = _lit(height).reshape(pixels, _FINER, pixels, _FINER).mean(axis=(1, 3))
            shades.append(lit * (light / lit.mean()))
    every = np.stack(shades)
    every.flags.writeable = False
    return every, rng.bit_generator.state


def _surface(side: int, rng: np.random.Generator) -> Floats:
    """(side, side) height of a block: its posts go down the array from their foot to their head,
    the chain edge is on the left."""
    at = (np.arange(side) + 0.5) / side
    along, across = np.meshgrid(at, at, indexing="ij")
    sway, swing, twist = rng.uniform(-1, 1, 3)
    across = across + 0.018 * sway * np.sin(2 * np.pi * (along + swing))
    chain = _round((across - _CHAIN / 2) / (_CHAIN / 2 + 0.02))
    chain *= 0.45 + 0.5 * np.sqrt(np.abs(np.sin(3 * np.pi * (along + 0.03 * swing))))
    height = chain
    half = (1 - _CHAIN) / 6
    for post in range(3):
        middle = _CHAIN + half * (2 * post + 1) + 0.012 * rng.uniform(-1, 1)
        from_middle = (across - middle) / half
        # The yarn of a post winds about it; its head is a loop that lies across.
        winding = np.sin(2 * np.pi * (2.6 * along + 0.28 * from_middle + twist))
        stem = _round(from_middle / 1.05) * (0.86 + 0.14 * winding)
        stem *= np.clip(along / 0.08, 0.35, 1) * np.clip((0.86 - along) / 0.05, 0.3, 1)
        head = 0.95 * _round((along - 0.92) / 0.1) * _round(from_middle / 1.25)
        height = np.maximum(height, np.maximum(stem, head))
    return np.asarray(height)


def _round(from_middle: Floats) -> Floats:
    """Height of a round thread, 1 in its middle, 0 from 1 on."""
    return np.sqrt(np.clip(1 - from_middle * from_middle, 0, 1))


def _turned(surface: Floats, corner: StartCorner, upright: bool) -> Floats:
    """The block as it lies in the picture: posts lead away from the start corner, the chain edge
    is on the other side that is away from it."""
    if not upright:  # along dx; chain where dy is highest
        surface = surface.T
    start = sides_of(corner)
    down, rightwards = not start.bottom, not start.right
    # As made, a block's along grows down or right, and its chain is left or above.
    if upright:
        return surface[:: 1 if down else -1, :: -1 if rightwards else 1]
    return surface[:: -1 if down else 1, :: 1 if rightwards else -1]


def _lit(height: Floats) -> Floats:
    """Light from the upper left; less in what lies deep."""
    side = len(height)
    padded = np.pad(height, 1, mode="wrap") * 0.11 * side
    slope_x = (padded[1:-1, 2:] - padded[1:-1, :-2]) / 2
    slope_y = (padded[2:, 1:-1] - padded[:-2, 1:-1]) / 2
    facing = (0.45 * slope_x + 0.5 * slope_y + 0.74) / np.sqrt(1 + slope_x**2 + slope_y**2)
    return np.asarray(0.1 + 0.62 * height + 0.5 * np.clip(facing, 0, 1))


def _dyed(shades: Floats, yarn_rgb: Bytes, tones: int) -> Bytes:
    """(yarns, tiles, pixels, pixels, 3) 8-bit sRGB of each tile in each yarn."""
    return np.stack([_in_color(shades, rgb, tones) for rgb in yarn_rgb])


def _in_tones(light: Floats, tones: int) -> Bytes:
    """(…, 3) light in so many tones, by lightness, each the mean of the light that it stands for;
    as 8-bit sRGB."""
    flat = light.reshape(-1, 3)
    grey = encode_bytes(flat).sum(axis=1, dtype=np.int64)
    low, high = int(grey.min()), int(grey.max())
    tone = (grey - low) * tones // (high - low + 1)
    count = np.maximum(np.bincount(tone, minlength=tones), 1)
    means = [np.bincount(tone, flat[:, i], tones) / count for i in range(3)]
    return np.asarray(encode_bytes(np.stack(means, axis=1))[tone].reshape(light.shape))


def _in_color(shades: Floats, rgb: Bytes, tones: int) -> Bytes:
    """The tiles in a yarn, with as much shading as its mean colour bears."""
    color = decoding_table()[rgb]
    even = shades.mean(axis=(1, 2), keepdims=True)
    lab = to_lab(rgb)
    light = np.broadcast_to(color, (*shades.shape, 3))
    for share in (1.0, 0.85, 0.7, 0.55, 0.4, 0.3, 0.2, 0.1):
        shaded = 1 + share * (shades / even - 1)
        light = np.minimum(shaded[..., None] * color, 1.0)
        mean = to_lab(encode_bytes(np.asarray(light[0]).mean(axis=(0, 1))))
        if float(quick_differences(mean, lab)) <= _OFF_BY:
            break
    return _in_tones(np.minimum(light * even[..., None], 1.0), tones)


def _bordered(piece: Bytes, border: Sequence[str], pixels: int, tones: int) -> Bytes:
    """The piece with rounds of single crochet about it."""
    deep = max(2, round(_BORDER_SHARE * pixels))
    for rgb in rgb_array(list(border)):
        height, width = (side + 2 * deep for side in piece.shape[:2])
        lines, columns = np.ogrid[:height, :width]
        from_edge = np.minimum(
            np.minimum(lines, height - 1 - lines), np.minimum(columns, width - 1 - columns)
        )
        on_side = np.minimum(lines, height - 1 - lines) > np.minimum(columns, width - 1 - columns)
        along = np.where(on_side, lines, columns)
        stitch = _round(((along + 0.5) % deep - deep / 2) / (deep / 2) * 0.95)
        shade = 0.45 + 0.55 * stitch * _round(((from_edge + 0.5) / deep - 0.45) * 1.5)
        ring = from_edge < deep
        lit = (shade[ring] / shade[ring].mean())[None, :, None]
        around = np.empty((height, width, 3), dtype=np.uint8)
        around[ring] = _in_color(lit, rgb, tones)[0, :, 0]
        around[deep:-deep, deep:-deep] = piece
        piece = around
    return piece
