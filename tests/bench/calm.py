"""Calming against ready-made clean-ups of a chart, at equal colour error.

Run: python tests/bench/calm.py [PERCENT] [held-out]
Pictures are scikit-image's, 80 x 100 blocks, eight yarns, every block alike; "held-out" are those
that nothing was tuned on: "/4" is an upper left quarter, which shows other detail at this size.
Shares are tails left of the nearest-yarn chart's; "mean" is the geometric mean. A clean-up is taken
as strong as the budget lets it be, and the best of the four is picked for each picture: the most
common colour of 3 x 3 blocks, dropping small areas, blurring the picture first, fewer yarns. "mode
where cheap" is the first of them tuned: only where it costs little. For cut, "exact" is a shortest
path along the working order, the optimum for its price of a tail, without guards or a price on
borders.
"streaks" counts blocks per thousand along straight edges of six blocks or more that follow the
rows where the picture has no edge, and in brackets such that run across them.
"""

from __future__ import annotations

import resource
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import skimage.data
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, uniform_filter
from skimage.measure import label as label_areas

from pix2block.calming.calm import calm
from pix2block.calming.guards import guards_of, lost_guards
from pix2block.calming.task import Calming, TradePoint, true_step
from pix2block.color.difference import difference_table
from pix2block.color.spaces import Bytes, decoding_table, distinct, encode_bytes, rgb_array, to_lab
from pix2block.craft.diagonal import Layout
from pix2block.design.palette import nearest_yarns, yarns_from_picture
from pix2block.ground.settings import HABITS

PICTURES = (
    *("astronaut", "chelsea", "coffee", "rocket", "retina"),
    *("hubble_deep_field", "immunohistochemistry", "camera", "moon", "brick"),
)
HELD_OUT = (
    *("clock", "coins", "grass", "gravel", "page", "text", "cell", "microaneurysms"),
    *("stereo_motorcycle", "colorwheel", "astronaut/4", "rocket/4", "retina/4"),
    *("hubble_deep_field/4", "immunohistochemistry/4", "coffee/4", "camera/4", "moon/4"),
)
WIDTH, HEIGHT, YARNS = 80, 100, 8
LAYOUT = Layout(WIDTH, HEIGHT, WIDTH + HEIGHT - 1, "bottom-right", "right")
Labels = NDArray[np.int64]


def means_of(name: str) -> Bytes:
    """(HEIGHT, WIDTH, 3) means in linear light of equal boxes of the whole picture."""
    from PIL import Image

    name, _, part = name.partition("/")
    pixels = getattr(skimage.data, name)()
    pixels = pixels[0] if isinstance(pixels, tuple) else pixels  # a pair for two eyes
    if part:
        pixels = pixels[: pixels.shape[0] // 2, : pixels.shape[1] // 2]
    pixels = np.stack([pixels] * 3, axis=2) if pixels.ndim == 2 else pixels[..., :3]
    light = decoding_table()[pixels].astype(np.float32)
    boxes = [
        np.asarray(Image.fromarray(light[..., c]).resize((WIDTH, HEIGHT), Image.Resampling.BOX))
        for c in range(3)
    ]
    return encode_bytes(np.stack(boxes, axis=-1))


def task_of(means: Bytes, habit: str, percent: float) -> Calming:
    palette = yarns_from_picture(means, np.ones(means.shape[:2]), YARNS, 1)
    yarns = rgb_array([yarn.color for yarn in palette.yarns])
    colors, which = distinct(means)
    error = difference_table(colors, yarns)[which]
    return Calming(LAYOUT, HABITS[habit], error, np.ones(means.shape[:2]), yarns, percent)


# Ready-made clean-ups, each a series that grows stronger.


def mode_of(task: Calming) -> Labels:
    counts = [uniform_filter((task.nearest == k) * 9.0, 3) for k in range(task.error.shape[2])]
    return np.asarray(np.argmax(np.round(counts), axis=0))


def by_mode(task: Calming, _means: Bytes) -> Iterator[Labels]:
    yield mode_of(task)


def by_mode_where_cheap(task: Calming, _means: Bytes) -> Iterator[Labels]:
    """Not ready-made: the mode only where it costs little, as little as fits the budget."""
    mode = mode_of(task)
    costs = np.take_along_axis(task.error, mode[..., None], 2)[..., 0] - task.error.min(axis=2)
    for most in (0.2, 0.5, 1, 1.5, 2, 3, 4, 6, 8, 12, 20, 100):
        yield np.where(costs <= most, mode, task.nearest)


def by_areas(task: Calming, _means: Bytes) -> Iterator[Labels]:
    blocks = task.nearest.copy()
    for size in range(1, 40):
        areas = label_areas(blocks, background=-1, connectivity=1)
        for area in np.flatnonzero(np.bincount(areas.ravel()) == size):
            inside = areas == area
            grown = np.zeros_like(inside)
            grown[1:] |= inside[:-1]
            grown[:-1] |= inside[1:]
            grown[:, 1:] |= inside[:, :-1]
            grown[:, :-1] |= inside[:, 1:]
            around = blocks[grown & ~inside]
            blocks[inside] = np.bincount(around).argmax()
        yield blocks.copy()


def by_blur(task: Calming, means: Bytes) -> Iterator[Labels]:
    light = decoding_table()[means]
    for sigma in np.arange(0.2, 2.5, 0.1):
        blurred = encode_bytes(gaussian_filter(light, (sigma, sigma, 0)))
        yield nearest_yarns(blurred, task.yarns)


def by_fewer(task: Calming, _means: Bytes) -> Iterator[Labels]:
    kept = list(range(task.error.shape[2]))
    while len(kept) > 2:
        trials = [[k for k in kept if k != out] for out in kept]
        kept = min(trials, key=lambda some: float(task.error[..., some].min(axis=2).mean()))
        yield np.array(kept)[np.argmin(task.error[..., kept], axis=2)]


CleanUp = Callable[[Calming, Bytes], Iterator[Labels]]
CLEAN_UPS: tuple[CleanUp, ...] = (by_mode, by_areas, by_blur, by_fewer)


def best_clean_up(
    task: Calming, means: Bytes, start: TradePoint, some: tuple[CleanUp, ...] = CLEAN_UPS
) -> tuple[int, str]:
    """Fewest tails within the budget, and by which clean-up."""
    best = start.tails, "none"
    for clean_up in some:
        for blocks in clean_up(task, means):
            if task.mean_error(blocks) <= start.error * (1 + task.percent / 100):
                best = min(best, (true_step(task, blocks).tails, clean_up.__name__[3:]))
    return best


def shortest_path(task: Calming, price: float) -> Labels:
    """Blocks of least error + price x tails when every change but none at a turn costs two tails
    (Viterbi 1967): the optimum for cut."""
    lines, columns, _ = task.layout.order
    cost = task.error[lines, columns]
    total, came = cost[0].copy(), np.zeros(cost.shape, dtype=np.int64)
    for i in range(1, len(cost)):
        cheapest = int(np.argmin(total))
        change = total[cheapest] + 2 * price
        came[i] = np.where(total <= change, np.arange(cost.shape[1]), cheapest)
        total = np.minimum(total, change) + cost[i]
    labels = np.empty(len(cost), dtype=np.int64)
    labels[-1] = np.argmin(total)
    for i in range(len(cost) - 1, 0, -1):
        labels[i - 1] = came[i, labels[i]]
    blocks = np.empty(task.nearest.shape, dtype=np.int64)
    blocks[lines, columns] = labels
    return blocks


def exact_cut(task: Calming, start: TradePoint) -> TradePoint:
    """The last optimum within the budget as the price of a tail rises."""
    low, high, best = 0.0, 20 * start.error, start
    for _ in range(24):
        price = (low + high) / 2
        step = true_step(task, shortest_path(task, price))
        if step.error <= start.error * (1 + task.percent / 100):
            low, best = price, step
        else:
            high = price
    return best


def streaks(lab: NDArray[np.float64], blocks: Labels, least: int = 6, edge: float = 4.0) -> int:
    """Blocks along straight edges between two colours that follow lines of equal column + line,
    where the picture's two sides differ by less than `edge` in CIELAB."""
    height, width = blocks.shape
    found: Any = 0
    for total in range(width + height - 2):
        x = np.arange(max(0, total - height + 1), min(width, total + 1))
        y = total - x
        here, below = blocks[y, x], blocks[y[:-1], x[1:]]
        goes_on = (here[:-1] == here[1:]) & (below != here[:-1])
        i = 0
        while i < len(below):
            j = i
            while j < len(below) and goes_on[j] and below[j] == below[i] and here[j] == here[i]:
                j += 1
            if j - i >= least:
                one = lab[y[i : j + 1], x[i : j + 1]].mean(axis=0)
                other = lab[y[i:j], x[i + 1 : j + 1]].mean(axis=0)
                found += (j - i) * (np.linalg.norm(one - other) < edge)
            i = max(j, i + 1)
    return int(found)


def streaks_both_ways(means: Bytes, blocks: Labels) -> tuple[float, float]:
    """Per thousand blocks, along the rows and across them."""
    lab = to_lab(means)
    along = streaks(lab, blocks) + streaks(lab[::-1, ::-1], blocks[::-1, ::-1])
    across = streaks(lab[:, ::-1], blocks[:, ::-1]) + streaks(lab[::-1], blocks[::-1])
    return 1000 * along / blocks.size, 1000 * across / blocks.size


def show(percent: float, pictures: tuple[str, ...]) -> None:
    for habit in ("cut", "pickup", "carry"):
        shares: dict[str, list[float]] = {}
        for name in pictures:
            means = means_of(name)
            task = task_of(means, habit, percent)
            start = true_step(task, task.nearest)
            guarded = replace(task, guards=guards_of(means, task.yarns, task.nearest))
            ready, which = best_clean_up(task, means, start)
            bare = calm(replace(task, border=0.0))
            begun = time.process_time()
            done = calm(guarded)
            seconds = time.process_time() - begun
            rows: dict[str, Any] = {
                "ready-made": ready,
                "mode where cheap": best_clean_up(task, means, start, (by_mode_where_cheap,))[0],
                "free": bare.tails,
                "guarded": done.tails,
            }
            if habit == "cut":
                rows["exact"] = exact_cut(task, start).tails
            for key, tails in rows.items():
                shares.setdefault(key, []).append(tails / start.tails)
            lost = len(lost_guards(guarded.guards, task.yarns, bare.blocks))
            kinds = (start.blocks, bare.blocks, done.blocks)
            lines = [streaks_both_ways(means, blocks) for blocks in kinds]
            print(
                f"{habit:7} {name:21} {start.tails:5} tails; "
                + ", ".join(f"{key} {tails / start.tails:.2f}" for key, tails in rows.items())
                + f"; best ready-made: {which}; {seconds:.1f} s; features lost without guards "
                + f"{lost} of {len(guarded.guards)}, with {_lost(guarded, done)}; streaks "
                + ", ".join(f"{a:.1f} ({b:.1f})" for a, b in lines),
                flush=True,
            )
        means_shares = {key: float(np.exp(np.mean(np.log(s)))) for key, s in shares.items()}
        print(habit, "mean:", ", ".join(f"{k} {s:.3f}" for k, s in means_shares.items()))
        for ours in ("free", "guarded"):
            for theirs in ("ready-made", "mode where cheap"):
                ratio = means_shares[ours] / means_shares[theirs]
                print(f"{habit}: {ours} / {theirs} {ratio:.3f}")


def _lost(task: Calming, step: TradePoint) -> int:
    return len(lost_guards(task.guards, task.yarns, step.blocks))


if __name__ == "__main__":
    words = [word for word in sys.argv[1:] if word != "held-out"]
    show(float(words[0]) if words else 5.0, HELD_OUT if "held-out" in sys.argv else PICTURES)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(
        f"peak memory of this whole run: {peak / (1e6 if sys.platform == 'darwin' else 1e3):.0f} MB"
    )
