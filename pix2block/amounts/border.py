"""What a border takes: stitches, yarn, time, and what it adds to the size.

How many stitches lie flat on a block's edge follows from the swatch: 3 for a block of the side
that its loop would be guessed to give (yarn/guess); without a swatch 3. A round's height in stitch
widths is that of rows in a published measurement (tests/data/yarn_use_measured.csv: rows of sc, hdc
and dc 0.349, 0.505 and 0.667 in high in worsted, whose stitch is 0.315 in wide): 1.1, 1.6 and 2.1.
"""

from __future__ import annotations

import numpy as np

from pix2block.amounts.measures import Measures
from pix2block.chart.chart import Border, Chart
from pix2block.craft.border import (
    CHAINS_TO_START,
    LEAST_A_BLOCK,
    MOST_A_BLOCK,
    STITCHES_A_BLOCK,
    Outline,
    Round,
    border_rounds,
    outline_of,
)
from pix2block.craft.stitches import LOOPS, loops_of_middle_block
from pix2block.ground.frozen import dataclass
from pix2block.yarn.guess import LOOP_CM_A_MM, LOOP_IN_SC_WIDTHS, SIDE_CM_A_MM

ROUND_IN_STITCH_WIDTHS = {"sc": 1.1, "hdc": 1.6, "dc": 2.1}


@dataclass(frozen=True)
class BorderAmount:
    """A border. a_block: stitches a block edge; loops: with the chains and slip stitches of its
    rounds; metres: with two tails and those of its joins; joins: None where unknown; added_cm: to
    width and to height; hours: at the pace of the blocks' loops."""

    border: Border
    outline: Outline
    rounds: tuple[Round, ...]
    a_block: float
    loops: int
    metres: float
    joins: int | None
    added_cm: float
    hours: float


def border_of(chart: Chart, measures: Measures, strands_cm: float) -> BorderAmount | None:
    """The border of a chart, None without one. strands_cm: length of the strands of its yarn, which
    come off the skeins first."""
    border = chart.border
    if border is None:
        return None
    yarn = chart.yarns[border.yarn]
    loop_cm = measures.loop_cm[border.yarn]
    stitch_cm = loop_cm / LOOP_IN_SC_WIDTHS
    a_block = float(STITCHES_A_BLOCK)
    if chart.swatch:
        usual_cm = loop_cm * SIDE_CM_A_MM[chart.block] / LOOP_CM_A_MM
        a_block *= measures.block_cm / usual_cm
        a_block = min(MOST_A_BLOCK, max(LEAST_A_BLOCK, a_block))
    outline = outline_of(chart.blocks >= 0)
    rounds = border_rounds(outline, border.rounds, a_block)
    a_round = CHAINS_TO_START[border.stitch] * LOOPS["ch"] + LOOPS["sl st"]
    loops = sum(r.stitches * LOOPS[border.stitch] + a_round for r in rounds)
    length_cm = yarn.held * (loops * loop_cm + 2 * chart.tail_cm)
    # The strands as one piece: only where they end tells which joins are the border's.
    off_skeins = yarn.joins(np.array([strands_cm, length_cm]), np.arange(2))
    joins = None if off_skeins is None else int(off_skeins[1])
    length_cm += 2 * chart.tail_cm * yarn.held * (joins or 0)
    minutes_a_loop = chart.pace.block / loops_of_middle_block(chart.block)
    return BorderAmount(
        border=border,
        outline=outline,
        rounds=rounds,
        a_block=a_block,
        loops=loops,
        metres=length_cm / 100,
        joins=joins,
        added_cm=2 * border.rounds * ROUND_IN_STITCH_WIDTHS[border.stitch] * stitch_cm,
        hours=loops * minutes_a_loop / 60,
    )
