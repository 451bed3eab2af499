"""Drawings as PNG, by Pillow."""

from __future__ import annotations

import io
import math

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from pix2block.color.spaces import from_hex
from pix2block.drawing.shapes import Blocks, Curve, Dots, Drawing, Lines, Points, Shape, Text
from pix2block.drawing.style import PAPER, font
from pix2block.drawing.svg import HAIRLINE

_FINER = 4  # tiles and shapes are drawn this much larger, then averaged
SMALLEST_MARKED_BLOCK = 9  # pixels; a mark in a smaller block is only a smudge


def png(drawing: Drawing, scale: float) -> bytes:
    """The drawing as PNG bytes. scale: pixels a unit."""
    size = (math.ceil(drawing.width * scale), math.ceil(drawing.height * scale))
    image = Image.new("RGB", size, from_hex(PAPER))
    draw = ImageDraw.Draw(image)
    for item in drawing.items:
        match item:
            case Blocks():
                _blocks(image, item, scale)
            case Lines():
                _lines(draw, item, scale)
            case Dots():
                _dots(image, item, scale)
            case Curve():
                _curve(image, item, scale)
            case Shape():
                _shape(image, item, scale)
            case Text():
                _text(draw, item, scale)
    out = io.BytesIO()
    image.save(out, "PNG", compress_level=2)
    return out.getvalue()


def _blocks(image: Image.Image, item: Blocks, scale: float) -> None:
    side = item.side * scale
    tile = _tile(item, scale)
    shape = _tile_shape(side) if item.on_tip else None
    half_width, half_height = tile.width / 2, tile.height / 2
    for x, y in (np.asarray(item.centres) * scale).tolist():
        place = (math.floor(x - half_width + 0.5), math.floor(y - half_height + 0.5))
        image.paste(tile, place, shape)


def _tile(item: Blocks, scale: float) -> Image.Image:
    """One block: colour, hairline edge, mark; a pixel larger, so that neighbours share edges."""
    side = item.side * scale
    across = math.ceil(side * 2**0.5 if item.on_tip else side) + 1
    fine = across * _FINER
    tile = Image.new("RGB", (fine, fine), from_hex(item.color))
    draw = ImageDraw.Draw(tile)
    line = max(_FINER // 2, round(HAIRLINE * scale * _FINER))
    if item.on_tip:
        middle, reach = fine / 2, side * 2**0.5 / 2 * _FINER
        tips = [(middle, middle - reach), (middle + reach, middle)]
        tips += [(middle, middle + reach), (middle - reach, middle), tips[0]]
        draw.line(tips, fill=from_hex(item.edge), width=2 * line)
    elif side >= 4:
        draw.rectangle((0, 0, fine - 1, fine - 1), outline=from_hex(item.edge), width=line)
    if item.mark.outlines and side >= SMALLEST_MARKED_BLOCK:
        size = side * item.mark_share * _FINER
        middle = fine / 2 - side * item.mark_up * _FINER
        for outlines, color in (
            (item.mark.outlines[:1], item.mark_color),
            (item.mark.holes, item.color),
            (item.mark.outlines[1:], item.mark_color),
        ):
            for outline in outlines:
                points = [(fine / 2 + px * size, middle + py * size) for px, py in outline]
                draw.polygon(points, fill=from_hex(color))
    return tile.resize((across, across), Image.Resampling.BOX)


def _tile_shape(side: float) -> Image.Image:
    across = math.ceil(side * 2**0.5) + 1
    middle, reach = across * _FINER / 2, side * 2**0.5 / 2 * _FINER
    mask = Image.new("L", (across * _FINER, across * _FINER), 0)
    tips = [(middle, middle - reach), (middle + reach, middle)]
    tips += [(middle, middle + reach), (middle - reach, middle)]
    ImageDraw.Draw(mask).polygon(tips, fill=255)
    return mask.resize((across, across), Image.Resampling.BOX)


def _lines(draw: ImageDraw.ImageDraw, item: Lines, scale: float) -> None:
    width = max(1, round(item.width * scale))
    half = width // 2
    segments = dashes(item) if item.dash else np.asarray(item.segments)
    for x1, y1, x2, y2 in (segments * scale).round().astype(int).tolist():
        if x1 == x2 or y1 == y2:  # a rectangle has exact, square ends
            left, right, top, bottom = min(x1, x2), max(x1, x2), min(y1, y2), max(y1, y2)
            box = (left - half, top - half, right - half + width - 1, bottom - half + width - 1)
            draw.rectangle(box, fill=from_hex(item.color))
        else:
            draw.line((x1, y1, x2, y2), fill=from_hex(item.color), width=width)


def dashes(lines: Lines) -> NDArray[np.float64]:
    """(n, 4) each dash of dashed lines, as segments."""
    found = [np.zeros((0, 4))]
    for segment in np.asarray(lines.segments, dtype=np.float64):
        start, whole = segment[:2], segment[2:] - segment[:2]
        length = float(np.hypot(*whole))
        begin = np.arange(0.0, length, 2 * lines.dash)
        end = np.minimum(begin + lines.dash, length)
        ends = [start + np.outer(at / length, whole) for at in (begin, end)]
        found.append(np.concatenate(ends, axis=1))
    return np.concatenate(found)


def _dots(image: Image.Image, item: Dots, scale: float) -> None:
    radius = item.radius * scale
    for x, y in (np.asarray(item.centres) * scale).tolist():
        outline = [
            (x + radius * math.cos(math.radians(a)), y + radius * math.sin(math.radians(a)))
            for a in range(0, 360, 15)
        ]
        _shape(image, Shape(outline, item.color), 1)


def _curve(image: Image.Image, item: Curve, scale: float) -> None:
    """A closed outline there and back has the joints and ends of an open line."""
    for points in _dashes(item) if item.dashed else [list(item.points)]:
        back = [*points, *points[-2:0:-1]]
        _shape(image, Shape(back, None, item.color, item.width), scale)
    if not item.dashed:
        _dots(image, Dots(np.array(item.points), item.width / 2, item.color), scale)


def _dashes(item: Curve) -> list[Points]:
    """The drawn stretches of a dashed line: as long as the gaps between them."""
    points = np.asarray(item.points, dtype=np.float64)
    along = np.concatenate([[0], np.hypot(*np.diff(points, axis=0).T).cumsum()])
    dash = 4 * item.width
    dashes: list[Points] = []
    for start in np.arange(0, along[-1], 2 * dash):
        end = min(start + dash, along[-1])
        inside = along[(along > start) & (along < end)]
        at = np.concatenate([[start], inside, [end]])
        xs, ys = (np.interp(at, along, points[:, axis]) for axis in (0, 1))
        dashes.append(list(zip(xs.tolist(), ys.tolist(), strict=True)))
    return dashes


def _shape(image: Image.Image, item: Shape, scale: float) -> None:
    points = np.asarray(item.points) * scale
    edge = math.ceil(item.stroke_width * scale) + 1
    left, top = (int(v) - edge for v in np.floor(points.min(axis=0)))
    right, bottom = (int(v) + edge for v in np.ceil(points.max(axis=0)))
    size = ((right - left) * _FINER, (bottom - top) * _FINER)
    fine = [((x - left) * _FINER, (y - top) * _FINER) for x, y in points.tolist()]
    for color, outline in ((item.fill, False), (item.stroke, True)):
        if color is None:
            continue
        mask = Image.new("L", size, 0)
        if outline:
            width = max(1, round(item.stroke_width * scale * _FINER))
            ImageDraw.Draw(mask).line([*fine, *fine[:2]], fill=255, width=width, joint="curve")
        else:
            ImageDraw.Draw(mask).polygon(fine, fill=255)
        mask = mask.resize((right - left, bottom - top), Image.Resampling.BOX)
        image.paste(from_hex(color), (left, top), mask)


def _text(draw: ImageDraw.ImageDraw, item: Text, scale: float) -> None:
    anchor = {"start": "ls", "middle": "ms", "end": "rs"}[item.anchor]
    draw.text(
        (item.x * scale, item.y * scale),
        item.text,
        fill=from_hex(item.color),
        font=font(item.size * scale, item.bold),
        anchor=anchor,
    )
