"""A striped piece on paper: a table with a line a stripe, beside the fabric at true proportion."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from pix2block.drawing.shapes import Drawing
from pix2block.drawing.style import text_width
from pix2block.drawing.svg import svg
from pix2block.ground.units import added_up
from pix2block.pages.chart_pages import Figure, stripes_figure
from pix2block.pages.paper import MM_PER_POINT
from pix2block.pages.pdf_rows import RowSetting
from pix2block.pattern.document import RowEntries
from pix2block.pattern.stripe_table import StripeLine, stripe_table, turn_note

_FABRIC_MM = (62.0, 40.0)  # widest beside the table, highest above it
_GAP_MM = 5.0  # between fabric and table
_WIDER = 1.04  # than reckoned: letters are set apart a little
_LINE_MM = 4.7
_BAND_MM = 5.0  # a line of words about how rows begin and end, with what parts it from the others
_LETTER_MM = 1.75  # of such words, on average
_TABLE_MM = 106.0  # without the yarn's name
_NAME_MM = 40.0  # longer names take several lines
_LEAD_MM = 42.0  # the heading, the head line and the note on the first page
_SPARE = 0.95  # of a page's height: lines may come out longer than they are reckoned


def stripes_data(rows: RowEntries, by: RowSetting) -> dict[str, Any]:
    """The stripes as data for the template, in parts that each fit a page."""
    pictures, paper = by.pictures, by.paper
    chart = pictures.chart
    names = [yarn.name for yarn in chart.yarns]
    above = paper.narrow or chart.is_triangle
    room = paper.room
    table = stripe_table(rows, names)
    named_mm = min(_NAME_MM, max(_name_mm(line, by) for line in table))
    beside_mm = min(_FABRIC_MM[0], paper.inside_mm - _GAP_MM - _TABLE_MM - named_mm)
    low_room = replace(room, width_mm=paper.inside_mm, height_mm=_FABRIC_MM[1])
    tall_room = replace(room, width_mm=beside_mm, height_mm=room.height_mm - _LEAD_MM / 2)
    of_fabric = low_room if above else tall_room

    def figure(first: int, last: int) -> Figure:
        marks, colored = pictures.marks, pictures.in_color
        return stripes_figure(chart, marks, (first, last), of_fabric, colored)

    table_mm = paper.inside_mm - (0 if above else figure(1, 1).width_mm + _GAP_MM)
    parts = []
    for lines in _pages(table, by, above, table_mm):
        shown = figure(lines[0].rows[0], lines[-1].rows[1])
        drawn = _drawing(shown.drawing, shown.width_mm)
        parts.append({"lines": [_line(line, by) for line in lines], "fabric": drawn})
    return {"kind": "stripes", "piece": rows.piece, "note": turn_note(chart), "parts": parts} | {
        "above": above
    }


def _pages(
    lines: Sequence[StripeLine], by: RowSetting, above: bool, wide_mm: float
) -> list[list[StripeLine]]:
    """Lines in parts about as high as each other, as few as pages are needed. wide_mm: of the
    table."""
    page_mm = _SPARE * (by.paper.height_mm - 2 * by.paper.margin_mm)
    heights = [_height_mm(line, by, wide_mm) for line in lines]
    first_mm = page_mm - _LEAD_MM - (_FABRIC_MM[1] if above else 0)
    if by.paper.narrow:
        return [list(lines)]
    total = added_up(heights)
    count = 1 if total <= first_mm else 1 + -int(-(total - first_mm) // page_mm)
    share = total / count
    parts: list[list[StripeLine]] = [[]]
    filled = 0.0
    for line, height in zip(lines, heights, strict=True):
        most = first_mm if len(parts) == 1 else page_mm
        most = min(most, share + _LINE_MM) if len(parts) < count else most
        if parts[-1] and filled + height > most:
            parts.append([])
            filled = 0.0
        parts[-1].append(line)
        filled += height
    return parts


def _name_mm(line: StripeLine, by: RowSetting) -> float:
    """What a line's yarn with its bobbin takes."""
    name = by.pictures.chart.yarns[line.yarn].name
    return text_width(f"{name} {line.bobbin}", by.paper.small_pt) * MM_PER_POINT * _WIDER


def _height_mm(line: StripeLine, by: RowSetting, wide_mm: float) -> float:
    wide = _name_mm(line, by)
    room = wide_mm - _TABLE_MM
    band = -int(-len(line.band) * _LETTER_MM // wide_mm)
    boxes = -(-(line.rows[1] - line.rows[0] + 1) // 5)
    return _LINE_MM * max(boxes, 1 + int(wide / max(room, 20))) + _BAND_MM * (band and band + 1)


def _line(line: StripeLine, by: RowSetting) -> dict[str, Any]:
    pictures = by.pictures
    tile = pictures.tile(line.yarn, pictures.in_color, marked=not pictures.in_color)
    return {
        "first": line.rows[0],
        "last": line.rows[1],
        "tile": _drawing(tile, 4),
        "name": pictures.chart.yarns[line.yarn].name,
        "bobbin": line.bobbin,
        "begins": line.begins,
        "ends": line.ends,
        "blocks": line.blocks,
        "way": list(line.way),
        "band": line.band,
    }


def _drawing(drawing: Drawing, width_mm: float) -> dict[str, Any]:
    return {"svg": svg(drawing, paper=False), "alt": drawing.label, "mm": round(width_mm, 2)}
