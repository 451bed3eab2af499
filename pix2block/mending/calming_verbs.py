"""Mends about calming: blocks that it leaves, and what a call touched calmed anew."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import Bytes, to_lab
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import DEFAULT_SEED, MOST_CALM
from pix2block.ground.units import say_count
from pix2block.mending.asked import Done, Given, pairs
from pix2block.mending.made import rows_begun, still_open
from pix2block.mending.places import Mask, blocks_at, place_of

REST = "rest"  # in the journal: the rest of a piece that is begun was calmed
_WRITES, _CALMS = "text", ("calm", REST)
AROUND = 3  # blocks around those that a call touched
_OUTLINE = 10.0  # CIEDE2000 that shows an outline; it is one where the picture has twice as much


def shield(chart: Chart, value: str, _given: Given) -> Done:
    """ "PLACE": calming leaves these blocks as they are."""
    at = blocks_at(chart, place_of(value))
    after = replace(chart, shielded=pairs(chart.shield | at))
    return Done(after, f"{' '.join(value.split())} is shielded from calming", 0, at)


def calm_anew(chart: Chart, value: str, given: Given) -> Done:
    """ "PERCENT": fewer tails among the blocks that the call touched and those within 3 of them,
    for at most so much more colour error there. Blocks that were touched count by the colour that
    they have now, the others by the picture; letters, shields, features, outlines and what is made
    stay.

    Raises BadInput where no picture is behind the chart, or the call touched nothing.
    """
    percent = percent_of(value)
    if chart.block_means is None:
        raise BadInput("no picture is behind the chart, so there is no colour error to trade")
    touched = given.touched
    if touched is None or not touched.any():
        raise BadInput("the mends before it touched no block: there is nothing to calm")
    at = _around(touched) & (chart.blocks != NO_BLOCK)
    kept = ~at | chart.made
    if given.letters is not None:
        kept |= given.letters
    after = replace(chart, blocks=_calmed(chart, percent, touched, at, kept))
    words = f"Calmed by {percent:g} % what was touched, and {AROUND} blocks around"
    return Done(after, words, int((after.blocks != chart.blocks).sum()))


def calm_rest(chart: Chart, percent: float, most_hanging: int | None) -> Done:
    """Fewer tails, and where that is asked at most so many yarns hanging, in the rows after those
    that are begun, for at most so much more colour error there. Blocks that a hand touched count by
    the colour that they have now, the others by the picture; what was written stays.

    Raises BadInput where no picture is behind the chart, or no row is left.
    """
    if chart.block_means is None:
        raise BadInput("no picture is behind the chart, so there is no colour error to trade")
    at = still_open(chart)
    if not at.any():
        raise BadInput("no row is left")
    touched, written = _by_hand(chart)
    kept = ~at | written
    after = replace(chart, blocks=_calmed(chart, percent, touched, at, kept, most_hanging))
    first = chart.layout.row_numbers()[at].min()
    words = f"Rows from {first} on calmed by {percent:g} %"
    if most_hanging:
        words += f", at most {say_count(most_hanging, 'yarn')} hanging"
    return Done(after, words, int((after.blocks != chart.blocks).sum()))


def _by_hand(chart: Chart) -> tuple[Mask, Mask]:
    """(height, width) the blocks that a hand touched, and those of them that are letters: all of
    them where the piece had another shape since."""
    touched, written = (np.zeros(chart.blocks.shape, dtype=bool) for _ in range(2))
    for line in chart.mends:
        if "all_blocks" in line.before:
            touched[:] = True
        if line.mend in _CALMS:
            continue
        for at, column, *_ in (*line.placed, *line.before.get("blocks", ())):
            if at < chart.height and column < chart.width:
                touched[at, column] = True
                written[at, column] |= line.mend == _WRITES
    return touched, written


def percent_of(value: str) -> float:
    """By how much colour error may grow, in per cent. Raises BadInput for what it cannot be."""
    with suppress(ValueError):
        percent = float(value.strip().removesuffix("%"))
        if 0 <= percent <= MOST_CALM:
            return percent
    raise BadInput(f"write how much more colour error there may be, from 0 to {MOST_CALM:g}")


def _around(touched: Mask) -> Mask:
    from scipy.ndimage import binary_dilation

    return np.asarray(binary_dilation(touched, np.ones((3, 3)), iterations=AROUND))


def _calmed(
    chart: Chart,
    percent: float,
    touched: Mask,
    at: Mask,
    kept: Mask,
    most_hanging: int | None = None,
) -> NDArray[np.int64]:
    """(height, width) yarn numbers. A block begins with its yarn now, so that what stands is only
    traded for less, never set back to the picture; the error that may grow is that of `at`."""
    from pix2block.calming.calm import calm
    from pix2block.calming.charts import calming_of, staying

    assert chart.source
    assert chart.block_means is not None
    own = chart.yarn_rgb[chart.blocks]
    wanted = np.where(touched[..., None], own, chart.block_means)
    source = replace(chart.source, means=wanted, added=None, calmed=None, seen=None)
    task = calming_of(
        replace(chart, source=source), wanted, percent, most_hanging=most_hanging, seed=DEFAULT_SEED
    )
    now = np.maximum(chart.blocks, 0)[..., None]
    error = task.error.copy()
    here = np.take_along_axis(error, now, axis=2)
    error = np.maximum(error, here + 1e-6)
    np.put_along_axis(error, now, np.where(at[..., None], here, 0.0), axis=2)
    kept = kept | _outlines(wanted, own)
    task = replace(task, made=rows_begun(chart))
    return calm(replace(task, error=staying(error, chart.blocks, kept))).blocks


def _outlines(wanted: Bytes, shown: Bytes) -> Mask:
    """(height, width) the blocks on both sides of each outline that is shown. wanted, shown:
    (height, width, 3) colours."""
    at = np.zeros(wanted.shape[:2], dtype=bool)
    seen, made = to_lab(wanted), to_lab(shown)
    for one, other in ((np.s_[:-1], np.s_[1:]), (np.s_[:, :-1], np.s_[:, 1:])):
        in_picture = ciede2000(seen[one], seen[other]) >= 2 * _OUTLINE
        here = in_picture & (ciede2000(made[one], made[other]) >= _OUTLINE)
        at[one] |= here
        at[other] |= here
    return at
