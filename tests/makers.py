"""Charts for tests: from letters, from chance, and as Hypothesis strategies."""

from __future__ import annotations

from typing import Any

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

from pix2block.chart.chart import Chart
from pix2block.craft.diagonal import Layout
from pix2block.ground.settings import HABITS, HANDS, START_CORNERS, Habit, Hand, StartCorner
from pix2block.yarn.yarn import Yarn

YARNS = (
    Yarn("Moss", "#5c6b3c", metres=200, grams=100, skeins=3),
    Yarn("Chalk", "#f1ede2"),
    Yarn("Moss 2", "#8a9a5b", metres=92.5, grams=50),
    Yarn("Tar", "#22211f", weight=5, held=2, metres=110, grams=100, skeins=1.5),
)


def chart_of(text: str, **settings: Any) -> Chart:
    """A chart from lines of digits, a space or dot where no block is."""
    lines = text.split()
    blocks = np.array([[-1 if c == "." else int(c) for c in line] for line in lines])
    settings.setdefault("last_row", sum(blocks.shape) - 1)
    settings.setdefault("title", "Test piece")
    return Chart(blocks=blocks, yarns=YARNS, **settings)


def random_blocks(
    rng: np.random.Generator, width: int, height: int, yarns: int
) -> NDArray[np.int64]:
    """(height, width) yarn numbers with some neighbours alike."""
    blocks = rng.integers(0, yarns, (height, width))
    alike = rng.random((height, width)) < 0.5
    blocks[:, 1:] = np.where(alike[:, 1:], blocks[:, :-1], blocks[:, 1:])
    return blocks.astype(np.int64)


def end_early(blocks: NDArray[np.int64], last_row: int, corner: StartCorner) -> NDArray[np.int64]:
    """The blocks with none beyond `last_row`."""
    height, width = blocks.shape
    rows = Layout(width, height, last_row, corner, "right").row_numbers()
    return np.where(rows <= last_row, blocks, -1)


@st.composite
def charts(draw: st.DrawFn, /, most_side: int = 9, **settings: Any) -> Chart:
    """Any small chart: every corner, hand, kind of block and turn, pieces that end early."""
    width = draw(st.integers(1, most_side))
    height = draw(st.integers(1, most_side))
    corner: StartCorner = draw(st.sampled_from(START_CORNERS))
    hand: Hand = draw(st.sampled_from(HANDS))
    last_row = draw(st.integers(1, width + height - 1))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    blocks = random_blocks(rng, width, height, draw(st.integers(1, len(YARNS))))
    given = {
        "block": draw(st.sampled_from(("dc", "hdc"))),
        "turn": draw(st.sampled_from(("early", "late"))),
        "terms": draw(st.sampled_from(("us", "uk"))),
        **settings,
    }
    return Chart(
        "Test piece",
        end_early(blocks, last_row, corner),
        YARNS,
        last_row=last_row,
        start_corner=corner,
        hand=hand,
        **given,
    )


def varied_charts() -> list[Chart]:
    """A few charts that between them have every kind of row, strand and setting."""
    rng = np.random.default_rng(5)

    def piece(width: int, height: int, yarns: int, last_row: int = 0, **more: Any) -> Chart:
        last_row = last_row or width + height - 1
        blocks = random_blocks(rng, width, height, yarns)
        corner = more.get("start_corner", "bottom-right")
        return Chart("Piece", end_early(blocks, last_row, corner), YARNS, last_row, **more)

    stripes = ["0000"] * 15 + ["1111"] * 15 + ["2022"] + ["0000"] * 20
    return [
        piece(9, 7, 3, habit=HABITS["carry"], turn="early"),
        piece(12, 12, 4, habit=HABITS["carry"]),
        piece(5, 16, 2),
        piece(16, 5, 3, turn="early", hand="left", start_corner="bottom-left", terms="uk"),
        piece(3, 40, 1, block="hdc"),
        piece(8, 8, 2, last_row=9, habit=HABITS["cut"], start_corner="top-left"),
        piece(1, 9, 2, turn="early", start_corner="top-right"),
        chart_of("\n".join(stripes), turn="early", habit=HABITS["carry"]),
    ]


@st.composite
def layouts(draw: st.DrawFn, most_side: int = 9) -> Layout:
    """Any small piece without its colours."""
    width, height = draw(st.integers(1, most_side)), draw(st.integers(1, most_side))
    last_row = draw(st.integers(1, width + height - 1))
    corner, hand = draw(st.sampled_from(START_CORNERS)), draw(st.sampled_from(HANDS))
    return Layout(width, height, last_row, corner, hand)


habits = st.builds(
    lambda reach, rest, edge: Habit("own", reach, rest, edge),
    st.sampled_from([0.0, 1.0, 1.5, 2.0, 3.0, 6.0]),
    st.integers(0, 3),
    st.integers(0, 4),
)
