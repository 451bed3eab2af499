"""The pictures of a pattern: the piece, a photo, yarn tiles, the chart on pages, how-to drawings,
rows as they lie in the hands."""

from __future__ import annotations

import io
from base64 import b64encode
from functools import cached_property

import numpy as np
from PIL import Image, ImageOps, UnidentifiedImageError

from pix2block.chart.chart import Chart
from pix2block.color.spaces import from_hex
from pix2block.drawing.marks import BLANK, Mark, marks_of
from pix2block.drawing.png import packed
from pix2block.drawing.shapes import Blocks, Drawing
from pix2block.drawing.style import INK, PAPER, mark_on
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import DEFAULT_SEED
from pix2block.pages.block_symbols import Lesson
from pix2block.pages.chart_pages import Figure, Room, band_figures, row_spans, whole_figure
from pix2block.pages.howto_drawings import howto_drawings, symbol_key
from pix2block.pages.preview import as_worn, fabric_png, pixels_a_block
from pix2block.pages.row_strip import row_strip
from pix2block.pattern.pattern import PatternRow

_COVER_PIXELS = 1000  # of the longer side, about
_PHOTO_PIXELS = 1400
_PHOTO_QUALITY = 85
_TILE = 20.0
STRIPS = 2  # of gathered rows, so many are drawn


@dataclass(frozen=True)
class Raster:
    """A picture of pixels, as the bytes of a file."""

    data: bytes
    kind: str
    width: int
    height: int
    alt: str

    @property
    def link(self) -> str:
        """The picture as a data link."""
        return f"data:image/{self.kind};base64,{b64encode(self.data).decode('ascii')}"


@dataclass(frozen=True, eq=False)
class PatternPictures:
    """What the pages draw beside a pattern's words. photo: of the finished piece; rows_drawn: on
    paper rows of several colours come as drawings, too; in_color: else all is drawn in marks alone,
    for black ink."""

    chart: Chart
    photo: Raster | None = None
    rows_drawn: bool = True
    in_color: bool = True

    @cached_property
    def marks(self) -> dict[int, Mark]:
        """The mark of every used yarn."""
        return marks_of(self.chart)

    @cached_property
    def cover(self) -> Raster:
        """The piece in its yarns' colours, without marks."""
        chart = self.chart
        side = max(1, round(_COVER_PIXELS / max(chart.width, chart.height)))
        colors = np.array([*chart.yarn_rgb, from_hex(PAPER)], dtype=np.uint8)
        pixels = np.repeat(np.repeat(colors[chart.blocks], side, axis=0), side, axis=1)
        if side >= 8:  # a hairline between blocks, so that they can be counted
            lines, columns = pixels[::side] * 0.9, pixels[:, ::side] * 0.9
            pixels[::side], pixels[:, ::side] = lines.astype(np.uint8), columns.astype(np.uint8)
        image = Image.fromarray(as_worn(pixels, chart))
        alt = f"{chart.title}: the piece of {chart.width} x {chart.height} blocks, seen whole"
        return Raster(packed(image), "png", image.width, image.height, alt)

    @cached_property
    def fabric(self) -> Raster:
        """The piece as it will look, worked."""
        chart = self.chart
        most = _COVER_PIXELS * 2 // max(chart.width, chart.height)
        side = max(2, min(pixels_a_block(chart.width, chart.height), most))
        alt = f"{chart.title}: the fabric as it will look, right side"
        data = fabric_png(chart, side, DEFAULT_SEED)
        with Image.open(io.BytesIO(data)) as image:
            if chart.is_triangle:  # printed pages are white beside it
                pixels = np.array(image.convert("RGB"))
                pixels[(pixels == np.array(from_hex(PAPER))).all(axis=2)] = 255
                data = packed(Image.fromarray(pixels))
            return Raster(data, "png", *image.size, alt)

    def tile(self, yarn: int, in_color: bool = True, marked: bool = True) -> Drawing:
        """One block of a yarn, with its mark unless told otherwise."""
        color = self.chart.yarns[yarn].color if in_color else PAPER
        centre = np.array([[_TILE / 2 + 1, _TILE / 2 + 1]])
        mark = self.marks[yarn] if marked else BLANK
        item = Blocks(centre, _TILE, color, mark, mark_on(color) if in_color else INK)
        name = self.chart.yarns[yarn].name
        label = f"A block of {name}" + ("" if in_color else ", its mark alone")
        return Drawing(_TILE + 2, _TILE + 2, label, (item,))

    def figures(self, what: str, room: Room) -> list[Figure]:
        """The chart: "whole", "held", or "bands" of rows as held."""
        if what == "bands":
            return band_figures(self.chart, self.marks, room, self.in_color)
        held = what == "held"
        return [whole_figure(self.chart, self.marks, room, held, self.in_color)]

    @cached_property
    def spans(self) -> list[tuple[float, float]]:
        """Where each row of the piece as held lies, for small outlines of it."""
        return row_spans(self.chart)

    @cached_property
    def howto(self) -> dict[str, Lesson]:
        """Drawings beside topics, by their names."""
        return howto_drawings(self.chart.hand, self.chart.block, self.chart.terms)

    @property
    def howto_note(self) -> str:
        """What the symbols of these drawings stand for."""
        return symbol_key(self.chart.block, self.chart.terms)

    def strip(self, row: PatternRow, width_mm: float) -> Drawing:
        """A row as it lies in the hands."""
        return row_strip(self.chart, row, self.marks, width_mm, self.in_color)


def photo_of(data: bytes, title: str) -> Raster:
    """A photo made small enough for a page, upright, without anything else that its file tells.

    Raises BadInput where the bytes are no picture.
    """
    try:
        with Image.open(io.BytesIO(data)) as opened:
            image = ImageOps.exif_transpose(opened).convert("RGB")
    except (UnidentifiedImageError, OSError, Image.DecompressionBombError, ValueError):
        raise BadInput("the credit file's photo cannot be read: use a JPEG or PNG") from None
    image.thumbnail((_PHOTO_PIXELS, _PHOTO_PIXELS), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=_PHOTO_QUALITY)
    return Raster(out.getvalue(), "jpeg", image.width, image.height, f"A photo of {title}")
