"""Small line drawings of how a block is made and where a row goes, for either hand.

What is made now is ink, what is there already is grey, the hook's way is teal; steps are numbered
where they happen and told beside.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import product

import numpy as np

from pix2block.chart.terms import LONG_NAMES, words
from pix2block.craft.stitches import BLOCKS, TRAVEL_SLIPS
from pix2block.drawing.shapes import Item, Lines, Point, Shape, Text
from pix2block.drawing.style import INK, PAPER
from pix2block.ground.settings import BlockKind, Hand, Terms
from pix2block.pages.block_symbols import (
    FAINT,
    OTHER_YARN,
    TYPE,
    Lesson,
    Maker,
    badge,
    between,
    block,
    block_at,
    block_below,
    drawn,
    outline,
    ring,
    slips,
    way,
    yarn,
)

_THREE_WIDE, _FOUR_WIDE = 46.0, 38.0  # tip to tip, where so many blocks lie side by side
_EDGE_BLOCKS, _EDGE_SIDE, _EDGE_GAP = 6, 15.0, 10.0  # of an edge drawn with its stripes
_COUNTS = {2: "two", 3: "three"}
_ORDINALS = ("1st", "2nd", "3rd", "4th", "5th", "6th")
_ALONG_CHAINS = ((0.4, -0.62), (0.1, -0.34), (-0.13, 0.0), (0.1, 0.32), (0.38, 0.6))


def _into_chains(maker: Maker) -> str:
    first = BLOCKS[maker.block].first_into
    a, b, c = _ORDINALS[first - 1 : first + 2]
    return f"3 {maker.tall}, in the {a}, {b} and {c} ch from the hook"


def first_block(maker: Maker) -> Lesson:
    """Row 1."""
    held, made = maker.held, BLOCKS[maker.block]
    items = yarn(held, ((0.5, -0.5), (0.56, -0.62), (0.68, -0.66), (0.78, -0.78)), PAPER)
    items += block(maker, block_at(0), own_chains=True)
    items += way(held, _ALONG_CHAINS) + badge(held, (0.4, -0.62), 1)
    items += way(held, ((0.66, 0.52), (0.9, 0.3), (1.12, 0.08))) + badge(held, (0.66, 0.52), 2)
    edge = _COUNTS[made.chain]
    steps = [
        f"ch {made.chain_first}: three for the foot, then {edge} for the edge, the {maker.space}",
        _into_chains(maker),
    ]
    return drawn(maker, items, steps, "The first block")


def added_block(maker: Maker) -> Lesson:
    """A row that grows: its first block."""
    held, made = maker.held, BLOCKS[maker.block]
    items = [item for p in (2, 1) for item in block(maker, block_below(p), FAINT)]
    items += outline(held, block_at(1))
    items += block(maker, block_at(0), own_chains=True)
    items += way(held, _ALONG_CHAINS) + badge(held, (0.4, -0.62), 1)
    items += way(held, ((0.66, 0.52), (0.88, 0.3), (1.0, 0.12))) + badge(held, (0.66, 0.52), 2)
    items += slips(held, [(1, 0)]) + badge(held, (1.2, 0.0), 3)
    steps = [
        f"ch {made.chain_first}, on from the last block of the row before",
        f"{_into_chains(maker)}; turn the piece up behind the new block",
        f"{maker.slip} into the {maker.space} of the last block; the next block goes there",
    ]
    return drawn(maker, items, steps, "A block added at the start")


def joined_block(maker: Maker) -> Lesson:
    """A block on a block, between two blocks of the row before."""
    held, made = maker.held, BLOCKS[maker.block]
    items = [item for p in (2, 1) for item in block(maker, block_below(p), FAINT)]
    items += block(maker, block_at(0), FAINT)
    items += block(maker, block_at(1))
    items += slips(held, [(1, 0), (2, 0)])
    items += way(held, ((0.93, 0.12), (1.1, 0.32), (1.36, 0.58))) + badge(held, (0.86, 0.0), 1)
    items += badge(held, (1.2, 0.42), 2)
    items += way(held, ((1.64, 0.54), (1.88, 0.3), (2.02, 0.13))) + badge(held, (1.64, 0.54), 3)
    items += badge(held, (2.17, 0.0), 4)
    steps = [
        f"{maker.slip} into the {maker.space} of the block below",
        f"ch {made.chain}",
        f"3 {maker.tall}, all in the same space",
        f"{maker.slip} into the next {maker.space}",
    ]
    return drawn(maker, items, steps, "A block on a block")


def climbed_edge(maker: Maker) -> Lesson:
    """A row that travels: over the last block made, into its chain space."""
    held, made = maker.held, BLOCKS[maker.block]
    items = [item for p in (1, 0) for item in block(maker, block_below(p), FAINT)]
    items += block(maker, block_at(0))
    shares = [(i + 1) / TRAVEL_SLIPS - 0.1 for i in range(TRAVEL_SLIPS)]
    climbed = [between((0, 0), (-0.5, -0.5), share) for share in shares]
    items += slips(held, [*climbed, (0, 0)])
    items += way(held, ((-0.62, -0.44), (-0.4, -0.22), (-0.14, 0.04)))
    items += badge(held, (-0.62, -0.44), 1) + badge(held, (-0.12, 0.16), 2)
    items += badge(held, (0.2, 0.42), 3)
    steps = [
        "turn the piece over, bring the yarn behind; "
        f"{maker.slip} in each of the 3 {maker.tall} of the last block made",
        f"{maker.slip} into its {maker.space}",
        f"ch {made.chain}, 3 {maker.tall} there: the first block",
    ]
    return drawn(maker, items, steps, "Climbing the edge")


def stopped_row(maker: Maker) -> Lesson:
    """A row that ends at the marker."""
    held = maker.held
    items = [item for p in (1, 0) for item in block(maker, block_below(p), FAINT)]
    items += outline(held, block_at(1))
    items += block(maker, block_at(0))
    items += slips(held, [(0, 0), (1, 0)])
    items += way(held, ((0.64, 0.54), (0.88, 0.3), (1.0, 0.13))) + badge(held, (0.64, 0.54), 1)
    items += ring(held, (1.25, -0.25)) + badge(held, (1.43, -0.12), 2)
    items.append(Text(*held.at(1.5, 0.02), "no block", TYPE, "middle"))
    steps = [
        f"after the last block, {maker.slip} into the last {maker.space} of the row before, "
        "where the marker is",
        "take the marker out; the row ends here",
    ]
    return drawn(maker, items, steps, "A row that ends at the marker")


def color_change(maker: Maker) -> Lesson:
    """A change of colour inside a row."""
    maker = replace(maker, tip=_THREE_WIDE)
    held = maker.held
    items = [item for p in (2, 1, 0) for item in block(maker, block_below(p), FAINT)]
    items += yarn(held, ((1.02, 0.0), (1.12, -0.3), (1.04, -0.7), (1.12, -1.12)), PAPER, True)
    items += block(maker, block_at(0))
    items += block(maker, block_at(1), fill=OTHER_YARN)
    items += yarn(held, ((0.8, 0.13), (0.93, 0.05), (1.02, 0.01)), OTHER_YARN)
    items += slips(held, [(0, 0), (1, 0)])
    items += badge(held, (0.84, 0.34), 1) + badge(held, (1.2, 0.44), 2)
    items += badge(held, (1.26, -1.04), 3)
    yarn_over = words(maker.terms)["yarn over"]
    steps = [
        f"at the last {yarn_over} of the last {maker.tall}, draw the new colour through",
        f"{maker.slip} and block in the new colour",
        "the old colour hangs on the wrong side until it is wanted",
    ]
    return drawn(maker, items, steps, "A change of colour inside a row")


def carried_yarn(maker: Maker) -> Lesson:
    """A float, seen from the wrong side."""
    maker = replace(maker, tip=_FOUR_WIDE)
    held = maker.held
    items: list[Item] = []
    for place, fill in ((0, PAPER), (1, OTHER_YARN), (2, OTHER_YARN), (3, PAPER)):
        items += block(maker, block_at(place), FAINT, fill)
    items += yarn(held, ((1, 0), (1.5, -0.07), (2, -0.01), (2.5, -0.07), (3, 0)), PAPER)
    items.append(Lines(np.array([held.segment((2, 0.1), (2, -0.1))]), 2.4))
    items += badge(held, (0.96, 0.2), 1) + badge(held, (1.5, -0.24), 2)
    items += badge(held, (2, 0.24), 3)
    steps = [
        "seen from the wrong side: the yarn leaves its last block here",
        "it lies loosely over the blocks between, to where its next block begins",
        "where it is longer than about a block, catch it under a slip stitch",
    ]
    return drawn(maker, items, steps, "Yarn carried behind")


def turned_edge(maker: Maker) -> Lesson:
    """An edge of the piece where stripes of two rows turn, changed early and late: the slip
    stitches that climbed it have the next stripe's yarn, or their own row's."""
    items: list[Item] = []
    back = -1 if maker.hand == "right" else 1  # rows follow each other away from the start corner
    for place, (word, early) in enumerate((("early", True), ("late", False))):
        begin = place * (_EDGE_BLOCKS * _EDGE_SIDE + _EDGE_GAP)
        items += _edge_of_stripes(begin, back, early)
        x, y = back * (begin + _EDGE_BLOCKS * _EDGE_SIDE / 2), 2 * _EDGE_SIDE + TYPE * 1.5
        items.append(Text(x, y, word, TYPE, "middle", bold=True))
    return drawn(maker, items, (), "An edge where colours change at the turn, early and late")


def _edge_of_stripes(begin: float, back: int, early: bool) -> list[Item]:
    """Two lines of blocks below an edge, right side facing."""
    side, rows = _EDGE_SIDE, range(_EDGE_BLOCKS)
    yarn_of = [OTHER_YARN if row // 2 % 2 else PAPER for row in range(-1, _EDGE_BLOCKS + 1)]
    items: list[Item] = []
    for line, row in product((1, 0), rows):
        corners = [(row, line), (row + 1, line), (row + 1, line + 1), (row, line + 1)]
        points = [(back * (begin + x * side), y * side) for x, y in corners]
        items.append(Shape(points, yarn_of[row + 1 - line], FAINT, 0.6))
        posts = [(share, 0.12, share, 0.88) for share in (0.3, 0.5, 0.7)]
        if (row - line) % 2:  # they stand in one row and lie in the next
            posts = [(b, a, d, c) for a, b, c, d in posts]
        ends = (np.array(posts) + np.array([row, line] * 2)) * side
        placed = ends * np.array([back, 1] * 2) + np.array([back * begin, 0] * 2)
        items.append(Lines(placed, 0.8, FAINT))
    for row in rows:
        if row % 2:
            fill = yarn_of[row + 2] if early else yarn_of[row + 1]
            places = [begin + (row + (i + 0.5) / 3) * side for i in range(3)]
            items += [Shape(_oval(back * x, -0.6, side / 6), fill, INK, 0.9) for x in places]
    return items


def _oval(x: float, y: float, half: float) -> tuple[Point, ...]:
    turns = (step * math.tau / 16 for step in range(16))
    return tuple((x + half * math.cos(a), y + half * math.sin(a)) for a in turns)


_DRAWINGS: dict[str, Callable[[Maker], Lesson]] = {
    "first block": first_block,
    "grow": added_block,
    "join": joined_block,
    "travel": climbed_edge,
    "stop": stopped_row,
    "change": color_change,
    "turn": turned_edge,
    "float": carried_yarn,
}


def howto_drawings(hand: Hand, block_kind: BlockKind, terms: Terms) -> dict[str, Lesson]:
    """Every drawing by its name, in the order in which a piece meets them."""
    maker = Maker(hand, block_kind, terms)
    return {name: draw(maker) for name, draw in _DRAWINGS.items()}


def symbol_key(block_kind: BlockKind, terms: Terms) -> str:
    """What the symbols of the drawings stand for, in a sentence."""
    word = words(terms)
    post = "a post with a bar on top" + (" and a stroke across" if block_kind == "dc" else "")
    tall = word[LONG_NAMES[BLOCKS[block_kind].stitch]]
    return (
        f"An oval is a {word['chain']}, {post} a {tall}, a dot a {word['slip stitch']}, "
        "a ring the marker; what was there before is grey."
    )
