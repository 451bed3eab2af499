"""Drawings that teach: every hand, kind of block and terms."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from functools import cache
from itertools import product

import numpy as np
import pytest
from PIL import Image

from pix2block.color.spaces import from_hex
from pix2block.craft.stitches import BLOCKS, count_stitches
from pix2block.drawing.marks import Mark
from pix2block.drawing.png import png
from pix2block.drawing.shapes import Blocks, Curve, Dots, Drawing, Lines, Shape, Text, moved
from pix2block.drawing.style import INK, NOW, PAPER, text_width
from pix2block.drawing.svg import svg
from pix2block.ground.settings import BlockKind, Hand, Terms
from pix2block.pages.block_symbols import TYPE, block_at, block_below
from pix2block.pages.howto_drawings import howto_drawings as made
from pix2block.pages.howto_drawings import symbol_key

HANDS: tuple[Hand, ...] = ("right", "left")
KINDS: tuple[BlockKind, ...] = ("dc", "hdc")
EVERY_TERMS: tuple[Terms, ...] = ("us", "uk")
PHONE_POINTS = 70 / 25.4 * 72
MAKERS = list(product(HANDS, KINDS, EVERY_TERMS))
lessons = cache(made)  # once for all that look at them


def howto_drawings(hand: Hand, kind: BlockKind, terms: Terms) -> dict[str, Drawing]:
    return {name: lesson.drawing for name, lesson in lessons(hand, kind, terms).items()}


def ovals(drawing: Drawing, color: str = INK) -> list[Shape]:
    return [i for i in drawing.items if isinstance(i, Shape) and i.stroke == color and i.fill]


def posts(drawing: Drawing, color: str = INK) -> int:
    return sum(
        isinstance(i, Lines) and i.color == color and len(i.segments) > 1 for i in drawing.items
    )


def slips(drawing: Drawing) -> int:
    return sum(len(i.centres) for i in drawing.items if isinstance(i, Dots) and i.color == INK)


@pytest.mark.parametrize(("hand", "kind", "terms"), MAKERS)
def test_every_drawing_fits_a_phone_and_its_words_are_large_enough(
    hand: Hand, kind: BlockKind, terms: Terms
) -> None:
    for name, drawing in howto_drawings(hand, kind, terms).items():
        assert drawing.width <= PHONE_POINTS, name
        for item in drawing.items:
            if isinstance(item, Text):
                assert item.size >= TYPE == 9
                wide = text_width(item.text, item.size, item.bold)
                left = item.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * wide
                assert left >= 0
                assert left + wide <= drawing.width
            elif isinstance(item, Curve | Shape):
                points = np.array(item.points)
                assert (points >= 0).all()
                assert (points <= (drawing.width, drawing.height)).all()
            elif isinstance(item, Lines):
                ends = item.segments.reshape(-1, 2)
                assert (ends >= 0).all()
                assert (ends <= (drawing.width, drawing.height)).all()


@pytest.mark.parametrize(("hand", "kind", "terms"), MAKERS)
def test_stitches_drawn_in_ink_are_those_of_the_craft(
    hand: Hand, kind: BlockKind, terms: Terms
) -> None:
    """What a part of a row adds to its counts is what its drawing shows as made now."""
    drawings = howto_drawings(hand, kind, terms)
    first = count_stitches(kind, "corner", "full", 1)
    assert len(ovals(drawings["first block"])) == first.ch
    assert posts(drawings["first block"]) == first.tall
    assert slips(drawings["first block"]) == 0

    grown = count_stitches(kind, "grow", "stop", 1)  # a block and the slip stitch after it
    assert len(ovals(drawings["grow"])) == grown.ch
    assert posts(drawings["grow"]) == grown.tall
    assert slips(drawings["grow"]) == grown.slip

    two, one = (count_stitches(kind, "travel", "full", blocks) for blocks in (2, 1))
    assert len(ovals(drawings["join"])) == two.ch - one.ch
    assert posts(drawings["join"]) == two.tall - one.tall
    assert slips(drawings["join"]) == two.slip - one.slip + 1  # and the next one

    assert len(ovals(drawings["travel"])) == one.ch
    assert posts(drawings["travel"]) == one.tall
    assert slips(drawings["travel"]) == one.slip

    stop = count_stitches(kind, "travel", "stop", 2).slip - two.slip
    assert slips(drawings["stop"]) == 1 + stop


def test_a_double_crochet_has_a_stroke_across_and_a_half_double_none() -> None:
    for kind, lines in (("dc", 3), ("hdc", 2)):
        drawing = howto_drawings("right", kind, "us")["first block"]  # type: ignore[arg-type]
        of_posts = [i for i in drawing.items if isinstance(i, Lines) and i.color == INK]
        assert {len(item.segments) for item in of_posts} == {lines}


@pytest.mark.parametrize("kind", KINDS)
def test_left_is_mirrored_but_not_its_words(kind: BlockKind) -> None:
    right, left = (howto_drawings(hand, kind, "us") for hand in HANDS)
    for name, one in right.items():
        other = left[name]
        words, same = ([i.text for i in d.items if isinstance(i, Text)] for d in (one, other))
        assert words == same
        shapes = [[i for i in d.items if isinstance(i, Shape)] for d in (one, other)]
        centres = [np.array([np.mean(i.points, axis=0) for i in each]) for each in shapes]
        from_first = [each - each[0] for each in centres]
        assert np.allclose(from_first[0] * [-1, 1], from_first[1], atol=0.3)
        assert one.label.replace("right-handed", "left-handed") == other.label


@pytest.mark.parametrize("hand", HANDS)
def test_the_hook_goes_right_to_left_for_the_right_hand(hand: Hand) -> None:
    """The chains rise where the row begins; the posts lie ahead of them."""
    drawing = howto_drawings(hand, "dc", "us")["first block"]
    chains = np.array([np.mean(i.points, axis=0) for i in ovals(drawing)])
    heads = np.array(
        [i.segments[0][2:] for i in drawing.items if isinstance(i, Lines) and i.color == INK]
    )
    ahead = -1 if hand == "right" else 1
    assert (np.diff(heads[:, 0]) * ahead > 0).all()  # the dc follow each other ahead
    assert chains[:, 0].mean() * ahead < heads[:, 0].mean() * ahead


def test_a_block_stands_on_the_chain_space_of_the_one_below() -> None:
    foot, far_foot, _, _ = block_at(3)
    below_foot, _, below_head, _ = block_below(3)
    assert (below_head, below_foot) == (foot, far_foot)


@pytest.mark.parametrize(("hand", "kind", "terms"), MAKERS)
def test_words_follow_terms_and_block(hand: Hand, kind: BlockKind, terms: Terms) -> None:
    every = lessons(hand, kind, terms).values()
    text = " ".join(step for lesson in every for step in lesson.steps)
    text += " " + symbol_key(kind, terms)
    tall = {("dc", "us"): "dc", ("hdc", "us"): "hdc", ("dc", "uk"): "tr", ("hdc", "uk"): "htr"}
    used = set(re.findall(r"\b(dc|hdc|tr|htr)\b", text))
    assert used == {tall[kind, terms]}
    assert f"ch-{BLOCKS[kind].chain} space" in text
    assert ("sl st" in text) == (terms == "us")
    assert ("yarn round hook" in text) == (terms == "uk")
    assert all(f"{hand}-handed" in lesson.drawing.label for lesson in every)


@pytest.mark.parametrize("hand", HANDS)
def test_an_early_edge_shows_the_next_yarn_and_a_late_one_its_own(hand: Hand) -> None:
    """The slip stitches along the edge lie over the last block of every other row."""
    drawing = howto_drawings(hand, "dc", "us")["turn"]
    words = {i.text: i.x for i in drawing.items if isinstance(i, Text)}
    assert set(words) == {"early", "late"}
    blocks = [i for i in drawing.items if isinstance(i, Shape) and len(i.points) == 4]
    differ = {"early": 0, "late": 0}
    for slip in ovals(drawing):
        x, y = np.mean(slip.points, axis=0)
        (over,) = (
            b
            for b in blocks
            if min(p[0] for p in b.points) < x < max(p[0] for p in b.points)
            and 0 <= min(p[1] for p in b.points) - y < 2
        )
        differ[min(words, key=lambda word: abs(words[word] - x))] += slip.fill != over.fill
    assert differ == {"early": 9, "late": 0}


@pytest.mark.parametrize(("hand", "kind", "terms"), MAKERS)
def test_every_number_on_a_drawing_has_its_step(hand: Hand, kind: BlockKind, terms: Terms) -> None:
    for name, lesson in lessons(hand, kind, terms).items():
        items = lesson.drawing.items
        numbers = {int(i.text) for i in items if isinstance(i, Text) and i.text.isdigit()}
        assert numbers == set(range(1, len(lesson.steps) + 1)), name


def test_drawings_are_well_formed_and_the_same_every_time() -> None:
    for hand, kind, terms in MAKERS:
        anew = [lesson.drawing for lesson in made(hand, kind, terms).values()]
        drawings = howto_drawings(hand, kind, terms).values()
        for drawing, again in zip(drawings, anew, strict=True):
            root = ET.fromstring(svg(drawing))
            title = root.find("{http://www.w3.org/2000/svg}title")
            assert title is not None
            assert title.text == drawing.label
            assert svg(drawing) == svg(again)
            assert len(svg(drawing)) < 16_000


def test_curves_and_dots_as_svg_and_as_pixels() -> None:
    curve = Curve([(10, 10), (50, 10), (50, 50)], 6, NOW)
    dashed = Curve([(10, 80), (90, 80)], 2, INK, dashed=True)
    dots = Dots(np.array([(75.0, 30.0)]), 8, NOW)
    drawing = Drawing(100, 100, "Test", (curve, dashed, dots))
    text = svg(drawing)
    assert 'points="10,10 50,10 50,50"' in text
    assert 'stroke-dasharray="8"' in text
    assert 'd="M75 30h.01"' in text
    assert 'stroke-width="16"' in text
    image = Image.open(io.BytesIO(png(drawing, 2))).convert("RGB")

    def at(x: float, y: float) -> tuple[int, ...]:
        pixel = image.getpixel((round(2 * x), round(2 * y)))
        assert isinstance(pixel, tuple)
        return pixel

    for x, y in ((30, 10), (50, 30), (50, 10), (10, 10), (75, 30), (75, 36)):
        assert at(x, y) == from_hex(NOW)
    for x, y in ((30, 30), (30, 15), (10, 50), (75, 40), (84, 39)):
        assert at(x, y) == from_hex(PAPER)
    drawn = [at(x + 0.5, 80) == from_hex(INK) for x in range(10, 90)]
    assert 30 <= sum(drawn) <= 50  # half of it: strokes as long as the gaps
    assert drawn[4]
    assert not drawn[12]


def test_a_mark_may_be_smaller_and_higher() -> None:
    mark = Mark("dot", (tuple((0.72 * np.cos(a), 0.72 * np.sin(a)) for a in np.arange(0, 6, 0.2)),))
    block = Blocks(np.array([[50.0, 50.0]]), 60, "#ffffff", mark, INK, 0, 0.1, 0.25)
    image = Image.open(io.BytesIO(png(Drawing(100, 100, "Test", (block,)), 1))).convert("RGB")
    assert image.getpixel((50, 35)) == from_hex(INK)
    assert image.getpixel((50, 50)) == (255, 255, 255)
    assert 'd="M.072 -.25 ' in svg(Drawing(100, 100, "Test", (block,)))  # in a block of side 1


def test_moved_moves_everything() -> None:
    for drawing in howto_drawings("right", "dc", "us").values():
        there = Drawing(999, 999, "", tuple(moved(drawing.items, 7, 11)))
        back = Drawing(999, 999, "", tuple(moved(there.items, -7, -11)))
        plain = Drawing(999, 999, "", drawing.items)
        assert svg(back) == svg(plain)
        assert svg(there) != svg(plain)
