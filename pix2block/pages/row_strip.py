"""The row strip: one row drawn as it lies in the hands.

Blocks stand on their tips in working order (`held.py` says where what lies), joins and marker in
place. A run is one block, or two touching ones where it is longer; how many it has stands inside,
on paper, its bobbin's number below its first tip.

All lengths are in points (1/72 in).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.color.spaces import from_hex
from pix2block.craft.stitches import BLOCKS, TRAVEL_SLIPS
from pix2block.drawing.marks import BLANK, Mark
from pix2block.drawing.shapes import Blocks, Curve, Dots, Drawing, Item, Lines, Point, Shape, Text
from pix2block.drawing.style import INK, NOW, PAPER, ink_on, text_width
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import CM_PER_INCH
from pix2block.pages.held import Held
from pix2block.pages.strip_lines import IN_SHORT, Cell, Line, lay_out
from pix2block.pattern.pattern import PatternRow

POINTS_PER_MM = 72 / (10 * CM_PER_INCH)
A4_MM, PHONE_MM = 170.0, 70.0  # the room beside the margins

TYPE = 9.0  # the smallest on paper
LEAD = 46.0  # before the first block: the wedge and the row's number
MARKER_ROOM = 66.0  # after a row that ends at a marker
SHORT_LEAD = 20.0  # the wedge alone
COUNT = 11.0  # type of a run's blocks
_TIP = 19.0  # a block from tip to tip
LABEL = TYPE + 4.0
HINT = 0.55  # how much of the lower edges of the row below is drawn
FAINT = "#85868a"  # for what is already made; 3.5 : 1 on paper
GAP_BETWEEN_LINES = 5.0
DOT = 1.9  # radius of a slip stitch
SIDE_OF_TIP = 2**-0.5  # a square's side from its diagonal


@dataclass
class _Ink:
    """What is gathered for one line, by colour, so that a strip stays small."""

    centres: dict[tuple[int, bool], list[Point]] = field(default_factory=dict)
    texture: dict[str, list[tuple[float, float, float, float]]] = field(default_factory=dict)
    chains: dict[str, list[tuple[float, float, float, float]]] = field(default_factory=dict)


def row_strip(
    chart: Chart,
    row: PatternRow,
    marks: Mapping[int, Mark] | None = None,
    width_mm: float = A4_MM,
    colored: bool = True,
) -> Drawing:
    """One row of the pattern as it faces the maker.

    marks: of the yarns, by number; None draws none. width_mm: the room there is. colored: else
    blocks are paper, told apart by their marks alone. Each line of several begins with the row's
    number.
    """
    width = width_mm * POINTS_PER_MM
    lines, lead = _lay_out(row, width)
    below = _TIP * HINT / 2
    numbered = not row.bobbins_plain and any(use.number is not None for use in row.bobbins)
    step = _TIP + below + (TYPE if numbered else 0) + GAP_BETWEEN_LINES
    items: list[Item] = []
    for count, line in enumerate(lines):
        begin = width - lead if chart.hand == "right" else lead
        frame = Held(chart.hand, _TIP, begin, count * step + _TIP / 2 + 1)
        items += _row_below(row, line, frame)
        items += _counted_blocks(chart, line, frame, marks, colored)
        items += slip_stitches(chart, row, line, frame, colored)
        items += _counts(line, frame)
        items += _numbers_below(line, frame)
        items += wedge(row, frame, with_number=len(lines) > 1)
        if count == 0 and row.row.marker:
            items += marker(frame, 0.25, 0.25, 1, "")
        if count == len(lines) - 1 and row.row.ends == "stop":
            items += marker(frame, line.places + 0.25, -0.25, -1, "")
    height = len(lines) * step - GAP_BETWEEN_LINES + 1
    return Drawing(width, height, _label(chart, row), tuple(items))


def strip_room(row: PatternRow) -> float:
    """What a strip of one line takes, in points."""
    places = sum(min(blocks, IN_SHORT) for blocks, _ in row.runs)
    return SHORT_LEAD + (places + 1) * _TIP


def _label(chart: Chart, row: PatternRow) -> str:
    runs = ", ".join(f"{blocks} {chart.yarns[yarn].name}" for blocks, yarn in row.runs)
    way = "right to left" if chart.hand == "right" else "left to right"
    side = "right" if row.row.side == "RS" else "wrong"
    return f"Row {row.row.number}, {side} side facing, from {way}: {runs}"


def _lay_out(row: PatternRow, width: float) -> tuple[list[Line], float]:
    """The lines of a strip, and what stands before their first block takes."""
    for lead in (SHORT_LEAD, LEAD):
        lines = lay_out(row, int((width - lead + 0.01) // _TIP), 1)
        if len(lines) == 1:
            return lines, lead
    return lines, LEAD


def _row_below(row: PatternRow, line: Line, frame: Held) -> list[Item]:
    """The blocks of the row before, in outline: those that the drawn blocks stand on or join."""
    if row.row.number == 1:
        return []
    below = set()
    for cell in line.cells:
        if not (cell.first and row.row.begins == "grow"):
            below.add(cell.place)
        if not (cell.last and row.row.ends == "full"):
            below.add(cell.place + 1)
    segments = []
    for place in sorted(below):
        for out in (-0.5, 0.5):
            # An edge runs straight on into the next block's lower edge, where there is a next.
            goes_on = place + 2 * out in below
            reach = 1 + HINT if goes_on else 1
            end = (place + out * reach, -0.5 * reach)
            segments.append(frame.segment((place, 0), end))
            if not goes_on:
                foot = (place + out * (1 - HINT), -0.5 - 0.5 * HINT)
                segments.append(frame.segment(end, foot))
    return [Lines(np.array(segments), 0.8, FAINT)]


def drawn_blocks(
    chart: Chart,
    line: Line,
    frame: Held,
    marks: Mapping[int, Mark] | None,
    colored: bool,
    posts: bool,
) -> list[Item]:
    """The blocks of a line, with their marks, posts, chains and bobbins' numbers."""
    ink = _Ink()
    numbers: list[Text] = []
    for cell in line.cells:
        color = chart.yarns[cell.yarn].color if colored else PAPER
        numbered = cell.number is not None
        ink.centres.setdefault((cell.yarn, numbered), []).append(frame.at(cell.place + 0.5, 0))
        if posts and not numbered:
            shade = _shade(color)
            ink.texture.setdefault(shade, []).extend(_posts(cell, frame))
        if posts:
            edge = _chain_edge(cell, frame, BLOCKS[chart.block].chain)
            ink.chains.setdefault(ink_on(color), []).extend(edge)
        if cell.number is not None:
            numbers.append(bobbin_number(cell, frame, color))
    items: list[Item] = []
    for (yarn, numbered), centres in ink.centres.items():
        color = chart.yarns[yarn].color if colored else PAPER
        mark = BLANK if marks is None else marks[yarn]
        share, up = (0.17, 0.32) if numbered else (0.26, 0.0)
        side = frame.tip * SIDE_OF_TIP
        items.append(Blocks(np.array(centres), side, color, mark, ink_on(color), 45, share, up))
    items += [Lines(np.array(lines), 0.7, color) for color, lines in ink.texture.items()]
    items += [Lines(np.array(lines), 1.3, color) for color, lines in ink.chains.items()]
    return items + sorted(numbers, key=lambda text: text.color)


def bobbin_number(cell: Cell, frame: Held, color: str) -> Text:
    """The number of the bobbin that works a run, on its first block. color: of the block."""
    x, y = frame.at(cell.place + 0.5, -0.25)
    sign = "#" if cell.number is not None and cell.number < 10 else ""
    return Text(x, y, f"{sign}{cell.number}", TYPE, "middle", bold=True, color=ink_on(color))


def _shade(color: str) -> str:
    """Between a yarn's colour and the ink on it: seen, but behind the mark."""
    yarn, ink = from_hex(color), from_hex(ink_on(color))
    return "#" + "".join(f"{round(0.6 * y + 0.4 * i):02x}" for y, i in zip(yarn, ink, strict=True))


def _posts(cell: Cell, frame: Held) -> list[tuple[float, float, float, float]]:
    """Three posts, from the edge the block stands on to its upper edge ahead."""
    segments = []
    for share in (0.15, 0.27, 0.39):
        foot = (cell.place + share + 0.03, -share + 0.03)
        head = (cell.place + share + 0.47, -share + 0.47)
        segments.append(frame.segment(foot, head))
    return segments


def _chain_edge(cell: Cell, frame: Held, chains: int) -> list[tuple[float, float, float, float]]:
    """The chains, beside the posts, on the edge that looks back to where the row began."""
    segments = []
    for i in range(chains):
        a, b = (0.5 * (i + part) / chains for part in (0.22, 0.78))
        inset = 0.05
        foot, head = (cell.place + a + inset, a - inset), (cell.place + b + inset, b - inset)
        segments.append(frame.segment(foot, head))
    return segments


def slip_stitches(
    chart: Chart, row: PatternRow, line: Line, frame: Held, colored: bool
) -> list[Item]:
    """A dot where a slip stitch goes into a chain space; in a travel three along the edge first."""
    joins = [
        frame.at(cell.place, 0)
        for cell in line.cells
        if not (cell.first and row.row.begins != "travel")
    ]
    if row.row.ends == "stop" and line.cells[-1].last:
        joins.append(frame.at(line.places, 0))
    items: list[Item] = [Dots(np.array(joins), DOT)] if joins else []
    if row.row.begins == "travel" and line.cells[0].first:
        shares = [(i + 0.5) / TRAVEL_SLIPS * 0.5 - 0.5 for i in range(TRAVEL_SLIPS)]
        climbed = np.array([frame.at(share, share) for share in shares])
        yarn = row.runs[0][1] if row.travel_in is None else row.travel_in
        items.append(Dots(climbed, 2.6))
        items.append(Dots(climbed, 1.8, chart.yarns[yarn].color if colored else PAPER))
    return items


def _counted_blocks(
    chart: Chart, line: Line, frame: Held, marks: Mapping[int, Mark] | None, colored: bool
) -> list[Item]:
    """The blocks of a line, with their marks above the middle, which is their count's."""
    centres: dict[int, list[Point]] = {}
    for cell in line.cells:
        centres.setdefault(cell.yarn, []).append(frame.at(cell.place + 0.5, 0))
    items: list[Item] = []
    side = frame.tip * SIDE_OF_TIP
    for yarn, places in centres.items():
        color = chart.yarns[yarn].color if colored else PAPER
        mark = BLANK if marks is None else marks[yarn]
        blocks = Blocks(np.array(places), side, color, mark, ink_on(color), 45, 0.15, 0.42)
        items.append(blocks)
    return items


def _counts(line: Line, frame: Held) -> list[Item]:
    """How many blocks each run has: inside a single block, over the tip where two touch."""
    grounds: list[tuple[float, float, float, float]] = []
    alone: list[Point] = []
    counts: list[Item] = []
    for middle, blocks in line.counts:
        x, y = frame.at(middle, 0)
        if blocks > 1:
            wide = text_width(str(blocks), COUNT, bold=True)
            grounds.append((x - wide / 2, y, x + wide / 2, y))
        else:
            alone.append((x, y))
        counts.append(Text(x, y + COUNT * 0.36, str(blocks), COUNT, "middle", bold=True))
    items: list[Item] = []
    if grounds:
        items.append(Lines(np.array(grounds), COUNT, PAPER, round=True))
    if alone:
        items.append(Dots(np.array(alone), 5.6, PAPER))
    return items + counts


def _numbers_below(line: Line, frame: Held) -> list[Item]:
    """The number of each run's bobbin, below the tip of its first block."""
    items: list[Item] = []
    for cell in line.cells:
        if cell.number is not None:
            x, y = frame.at(cell.place + 0.5, -0.5 - HINT / 2)
            items.append(Text(x, y + TYPE * 0.9, str(cell.number), TYPE, "middle"))
    return items


def gap_dots(line: Line, frame: Held) -> list[Item]:
    """Three dots where the middle of a run is left out."""
    if not line.gaps:
        return []
    places = [frame.at(gap + part, 0) for gap in line.gaps for part in (0.25, 0.5, 0.75)]
    return [Dots(np.array(places), 1.2)]


def wedge(row: PatternRow, frame: Held, with_number: bool) -> list[Item]:
    """Points the way the hook goes: full on right-side rows, open on wrong-side ones."""
    x, y = frame.at(0, 0)
    out = frame.back
    tip, back = x + out * 8, x + out * 17
    fill = INK if row.row.side == "RS" else PAPER
    items: list[Item] = [Shape(((tip, y), (back, y - 4.5), (back, y + 4.5)), fill, INK, 1.0)]
    if with_number:
        text = str(row.row.number)
        anchor = frame.anchor(1)
        items.append(Text(back + out * 3, y + TYPE * 0.36, text, TYPE, anchor, bold=True))
    return items


def marker(frame: Held, along: float, up: float, back: int, text: str) -> list[Item]:
    """A ring through a chain edge, and its word outside. back: 1 where it lies towards the row's
    beginning, -1 towards its end; text: "" where the ring speaks for itself."""
    x, y = frame.at(along, up)
    out = frame.back * back
    centre = (x + out * 2.5, y - 2.5)
    ring = [
        (centre[0] + 3.6 * np.cos(angle), centre[1] + 3.6 * np.sin(angle))
        for angle in np.linspace(0, 2 * np.pi, 17)
    ]
    anchor = frame.anchor(back)
    word = Text(centre[0] + out * 6, centre[1] + 1, text, TYPE, anchor, color=NOW)
    return [Curve(ring, 3.0, PAPER), Curve(ring, 1.4, NOW), *([word] if text else [])]
