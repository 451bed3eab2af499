"""A chart calmed: its nouns in, the calmed chart out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.calming.calm import calm
from pix2block.calming.edges import wanted_borders
from pix2block.calming.guards import guards_of
from pix2block.calming.task import Calming, true_step
from pix2block.chart.chart import Chart
from pix2block.chart.source import Calmed, Place
from pix2block.color.difference import difference_table
from pix2block.color.spaces import Bytes, Floats, distinct
from pix2block.design.areas import areas_of
from pix2block.design.attention import minded_weights
from pix2block.design.likeness import error_figures
from pix2block.design.limits import full_of, parts_of, still_of
from pix2block.ground.progress import Progress
from pix2block.ground.settings import Habit, StartCorner

SPARED = 4.0  # how much more a found face's blocks count while calming


def calming_of(
    chart: Chart,
    matched: Bytes,
    percent: float,
    spared: Sequence[Place] = (),
    most_hanging: int | None = None,
    seed: int = 1,
) -> Calming:
    """What calming a chart rests on. Shielded blocks stay, and what its limits say.

    matched: (height, width, 3) the colours that its yarns were matched to; spared: places whose
    error counts for more. Features, small parts and areas of the picture that the chart shows are
    guarded.
    """
    shape = (chart.height, chart.width)
    colors, which = distinct(matched)
    source = chart.source
    weights = source.weights if source else None
    means = chart.block_means
    errors = difference_table(colors, chart.yarn_rgb)[which]
    return Calming(
        layout=chart.layout,
        habit=chart.habit,
        error=_closed(_as_chosen(errors, chart.blocks), chart),
        weights=np.ones(shape) if weights is None else weights,
        yarns=chart.yarn_rgb,
        percent=percent,
        spare=minded_weights(shape, [replace(p, weight=SPARED) for p in spared]),
        guards=()
        if means is None
        else guards_of(means, chart.yarn_rgb, chart.blocks, parts_of(chart)),
        most_hanging=most_hanging,
        seed=seed,
        areas=lambda blocks: areas_of(replace(chart, blocks=blocks)),
        edges=None if means is None else wanted_borders(means, chart.blocks),
    )


_NEVER = 1e6  # CIEDE2000
_SAME = 1e-6  # CIEDE2000


def staying(error: Floats, blocks: NDArray[np.int64], at: NDArray[np.bool_]) -> Floats:
    """(height, width, yarns) errors by which the blocks of a mask keep their yarns."""
    lines, columns = np.nonzero(at & (blocks >= 0))
    own = error[lines, columns, blocks[lines, columns]]
    error[lines, columns] = _NEVER
    error[lines, columns, blocks[lines, columns]] = own
    return error


def _as_chosen(error: Floats, blocks: NDArray[np.int64]) -> Floats:
    """The errors, changed in place, by which no yarn is nearer to a block than the one that was
    chosen for it: what would be nearer, as far beyond it."""
    own = np.take_along_axis(error, np.maximum(blocks, 0)[..., None], axis=2)
    nearer = (error < own) & (blocks >= 0)[..., None]
    return np.subtract(2 * own, error, out=error, where=nearer)


def _closed(error: Floats, chart: Chart) -> Floats:
    """Errors by which what calming is to leave stays."""
    for yarn in full_of(chart):
        error[..., yarn] = np.where(chart.blocks == yarn, error[..., yarn], _NEVER)
    still = still_of(chart)
    if chart.shielded:
        still = still | chart.shield
    return staying(error, chart.blocks, still)


def calmed_chart(
    chart: Chart, task: Calming, progress: Progress | None = None, spared: Sequence[Place] = ()
) -> Chart:
    """The chart with fewer tails, and in its source what calming did. spared: the places that the
    task spares, to be kept."""
    if chart.source is None:
        return chart
    nearest = (chart.blocks == task.nearest).all()
    start = task.start if nearest else true_step(task, chart.blocks)
    end = calm(task, progress)
    lines, columns = np.nonzero(end.blocks != chart.blocks)
    changed = np.stack([lines, columns, chart.blocks[lines, columns]], axis=1)
    after = replace(chart, blocks=end.blocks)
    calmed = Calmed(
        percent=task.percent,
        error_before=round(start.error, 4),
        error_after=round(end.error, 4),
        mean_before=round(start.mean, 4),
        mean_after=round(_mean_after(chart, after, start.mean, end.mean), 4),
        tails_before=start.tails,
        tails_after=end.tails,
        most_hanging=task.most_hanging,
        changed=changed,
        of=after.fingerprint,
        spared=tuple(spared),
        seed=task.seed,
    )
    return replace(after, source=replace(chart.source, calmed=calmed))


def _mean_after(before: Chart, after: Chart, start: float, end: float) -> float:
    """The plain mean error of a calmed chart; of the block means, where its yarns were matched to
    them: a block that went back to a nearer yarn counts truly then."""
    told, now = error_figures(before)[0], error_figures(after)[0]
    of_means = told is not None and now is not None and abs(told - start) < _SAME
    return now if of_means and now is not None else end


def calmed_for(chart: Chart, corner: StartCorner, habit: Habit) -> Chart | None:
    """A chart that was calmed, as it would have come out had it been calmed for another start
    corner and habit; None where it was not calmed, or changed since. Exact where its yarns were
    matched to the block means, or chosen for the eye, as those of photos are."""
    plain, calmed, source = chart.uncalmed, chart.calmed, chart.source
    if plain is None or calmed is None or source is None:
        return None
    turned = replace(plain, start_corner=corner, habit=habit)
    task = calming_of(
        *(turned, source.means, calmed.percent, calmed.spared),
        *(calmed.most_hanging, calmed.seed),
    )
    return calmed_chart(turned, task, spared=calmed.spared)
