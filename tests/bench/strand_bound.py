"""How few tails a chart could have at what colour error: a proven bound, beside what was found.

A labelling gives every block a colour; its energy is its colour error + the price of a tail x its
tails. The bound is a linear program: the yarn of each colour flows through the blocks, a unit a
strand. It passes from a block to the next of its row, or from a run's last block to another run's
first wherever the habit allows the float; it must go on inside a run. Flow that enters nowhere else
starts a strand. Every labelling with its best plan of strands is one of its whole solutions, at its
true energy, so its least value is below every energy. (A colour that costs a block more than four
tails above its best is left out: recolouring a block never adds more than two strands.)

Run: python tests/bench/strand_bound.py [WIDTH [HABIT …]] checks the bound against an exact pass for
cut and prints gaps on a picture of scikit-image's; without a width it also checks the bound against
all labellings of tiny charts.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import coo_array

from pix2block.craft.diagonal import Ints, Layout
from pix2block.craft.runs import find_runs
from pix2block.craft.strands import plan_strands
from pix2block.ground.settings import HABITS, Habit

Floats = NDArray[np.float64]
Calm = Callable[[Floats, Layout, Habit, float], Ints]


# What a labelling takes


def tails_of(labels: Ints, layout: Layout, habit: Habit) -> int:
    """Tails of a labelling, by the program's own matching. labels: (blocks,) in working order."""
    blocks = np.full((layout.height, layout.width), -1, dtype=np.int64)
    lines, columns, _ = layout.order
    blocks[lines, columns] = labels
    return plan_strands(find_runs(blocks, layout), layout, habit).tails


def error_of(labels: Ints, cost: Floats) -> float:
    """Colour error of a labelling. cost: (blocks, colours)."""
    return float(cost[np.arange(len(labels)), labels].sum())


def energy_of(labels: Ints, cost: Floats, layout: Layout, habit: Habit, tail_price: float) -> float:
    """Colour error + the price of its tails."""
    return error_of(labels, cost) + tail_price * tails_of(labels, layout, habit)


# The bound


@dataclass(frozen=True, eq=False)
class Links:
    """Blocks (in working order) between which yarn of one colour may go on.

    along: (n,) blocks whose next one lies in the same row; from_, to: (m,) ends of floats, turns
    included.
    """

    along: Ints
    from_: Ints
    to: Ints


def block_links(layout: Layout, habit: Habit) -> Links:
    """Links of a habit between blocks, from the definition: corners in (row, t), see craft/strands.

    Which of them a chart can use depends on its runs: floats leave run ends and enter run starts.
    """
    rows, enter, leave, first, last = [], [], [], [], []
    before = (0, 0)
    for row in layout:
        n = row.number
        s = 1 if layout.begins_vertical(n) else -1
        dx, dy = layout.steps(n)
        t = (dx - dy).tolist()
        for place, at in enumerate(t):
            enter.append(before if place == 0 and n > 1 else (n, at - s))
            leave.append((n, at + s))
            rows.append(n)
            first.append(place == 0)
            last.append(place == len(t) - 1)
        before = leave[-1]
    starts = np.searchsorted(rows, np.arange(1, layout.last_row + 2)).tolist()
    found: list[tuple[int, int]] = []
    for u, (r, a) in enumerate(leave):
        for m in range(max(habit.rest, habit.edge) + 1):
            if rows[u] + m > layout.last_row:
                break
            for v in range(starts[rows[u] + m - 1], starts[rows[u] + m]):
                if v <= u or (m == 0 and v == u + 1):
                    continue
                square = ((enter[v][0] - r) ** 2 + (enter[v][1] - a) ** 2) / 2
                inside = square <= habit.reach**2 + 1e-9 and m <= habit.rest
                edge = last[u] and first[v] and m % 2 == 1 and m <= habit.edge
                if inside or edge:
                    found.append((u, v))
    pairs = np.array(found, dtype=np.int64).reshape(-1, 2)
    return Links(np.flatnonzero(~np.array(last)), pairs[:, 0], pairs[:, 1])


def strand_bound(cost: Floats, layout: Layout, habit: Habit, tail_price: float) -> float:
    """A proven lower bound of the energy of every labelling.

    cost: (blocks, colours) colour error of each block in each colour, in the layout's working
    order; tail_price: in the unit of the cost.
    """
    blocks = len(cost)
    kept = cost <= cost.min(axis=1, keepdims=True) + 4 * tail_price
    number = np.where(kept, np.cumsum(kept).reshape(kept.shape) - 1, -1)  # of the variable x
    count = int(kept.sum())
    links = block_links(layout, habit)
    along = _arcs(number, links.along, links.along + 1)
    floats = _arcs(number, links.from_, links.to)
    arcs = np.concatenate([along, floats])
    variables = count + len(arcs)
    # One colour a block.
    block_of = np.nonzero(kept)[0]
    one = coo_array((np.ones(count), (block_of, np.arange(count))), shape=(blocks, variables))
    # What flows in, and what flows out, is at most what passes.
    arc = count + np.arange(len(arcs))
    passes = np.arange(count)
    rows = [arcs[:, 1], passes, count + arcs[:, 0], count + passes]
    columns = [arc, passes, arc, passes]
    values = [np.ones(len(arcs)), -np.ones(count), np.ones(len(arcs)), -np.ones(count)]
    # Inside a run the yarn goes on: x + x' - 1 <= flow.
    on = 2 * count + np.arange(len(along))
    rows += [on, on, on]
    columns += [along[:, 0], along[:, 1], arc[: len(along)]]
    values += [np.ones(len(along)), np.ones(len(along)), -np.ones(len(along))]
    most = coo_array(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))),
        shape=(2 * count + len(along), variables),
    )
    limits = np.concatenate([np.zeros(2 * count), np.ones(len(along))])
    # A strand, two tails, starts where a block's yarn flows in from nowhere.
    price = np.concatenate([cost[kept] + 2 * tail_price, np.full(len(arcs), -2 * tail_price)])
    solved = linprog(
        price, most.tocsr(), limits, one.tocsr(), np.ones(blocks), bounds=(0, None), method="highs"
    )
    if not solved.success:
        raise RuntimeError(solved.message)
    return float(solved.fun)


def _arcs(number: Ints, from_: Ints, to: Ints) -> Ints:
    """(n, 2) numbers of the variables that arcs between blocks join, a pair a colour."""
    ends = np.stack([number[from_], number[to]], axis=-1).reshape(-1, 2)
    return np.asarray(ends[(ends >= 0).all(axis=1)])


def tails_limit(bounds: Sequence[tuple[float, float]], most_error: float) -> float:
    """The fewest tails that any labelling of at most this error could have.

    bounds: (price of a tail, bound) pairs; each says error + price x tails >= bound.
    """
    return max((bound - most_error) / price for price, bound in bounds)


# Labellings to put beside it


def best_cut(cost: Floats, tail_price: float) -> Ints:
    """The labels of least energy where yarn is cut at every change: a Viterbi pass along the
    working order, since only the next block can go on in the same colour."""
    blocks, colors = cost.shape
    best = cost[0].copy()
    came = np.zeros((blocks, colors), dtype=np.int64)
    for block in range(1, blocks):
        cheapest = int(best.argmin())
        changed = best[cheapest] + 2 * tail_price
        came[block] = np.where(best <= changed, np.arange(colors), cheapest)
        best = np.minimum(best, changed) + cost[block]
    labels = np.zeros(blocks, dtype=np.int64)
    labels[-1] = best.argmin()
    for block in range(blocks - 1, 0, -1):
        labels[block - 1] = came[block, labels[block]]
    return labels


def annealed(cost: Floats, layout: Layout, habit: Habit, tail_price: float) -> Ints:
    """Labels by the program's own annealing, its price of a tail rising to this one."""
    from pix2block.calming.kernel import Kernel
    from pix2block.calming.setting_up import laid_out, piece_of
    from pix2block.calming.state import Prices

    flat = np.zeros((layout.height, layout.width, cost.shape[1]))
    lines, columns, _ = layout.order
    flat[lines, columns] = cost
    piece = piece_of(layout, habit, flat, np.ones(flat.shape[:2]), np.zeros((cost.shape[1], 3)))
    kernel = Kernel(piece, cost.argmin(axis=1), 1)
    kernel.count_all(1 << 30)
    for price in tail_price * 1.2 ** np.arange(-15.0, 1):
        for _ in range(4 if price == tail_price else 1):
            prices = Prices(float(price), 0.0, 0.0, np.inf, np.inf, 1 << 30)
            kernel.anneal(prices, (0.15 * price, 0.03 * price), 100 * len(cost))
    blocks: Ints = laid_out(layout, kernel.labels)[lines, columns]
    return blocks


def report_gap(
    name: str,
    cost: Floats,
    layout: Layout,
    habit: Habit,
    tail_price: float,
    calm: Calm = annealed,
) -> float:
    """Print a calmed labelling's energy beside the bound, and the gap; the bound. calm: from cost,
    layout, habit and price of a tail to labels."""
    start = time.process_time()
    bound = strand_bound(cost, layout, habit, tail_price)
    seconds = time.process_time() - start
    labels = calm(cost, layout, habit, tail_price)
    energy = energy_of(labels, cost, layout, habit, tail_price)
    print(
        f"{name}, {habit.name}, a tail at {tail_price:g}: energy {energy:.1f} (error "
        f"{error_of(labels, cost):.1f}, {tails_of(labels, layout, habit)} tails), bound "
        f"{bound:.1f}, gap {100 * (energy / bound - 1):.2f} % ({seconds:.0f} s)"
    )
    return bound


# Checks


def check_tiny(
    width: int, height: int, colors: int, habit: Habit, tail_price: float, seed: int
) -> tuple[float, float]:
    """The bound and the least energy of all labellings of a tiny chart of random costs.

    Raises AssertionError where the bound is above any of them."""
    layout = Layout(width, height, width + height - 1, "bottom-right", "right")
    cost = np.random.default_rng(seed).uniform(0, 10, (width * height, colors)).round(1)
    bound = strand_bound(cost, layout, habit, tail_price)
    least = min(
        energy_of(np.array(labels), cost, layout, habit, tail_price)
        for labels in product(range(colors), repeat=width * height)
    )
    assert bound <= least + 1e-6, (habit, seed, bound, least)
    return bound, least


def check_cut(cost: Floats, layout: Layout, tail_price: float) -> None:
    """For cut the bound is the energy of the exact pass. Raises AssertionError where not."""
    bound = strand_bound(cost, layout, HABITS["cut"], tail_price)
    found = energy_of(best_cut(cost, tail_price), cost, layout, HABITS["cut"], tail_price)
    assert abs(bound - found) <= 1e-6 * found, (bound, found)


def picture_cost(width: int, height: int, colors: int) -> tuple[Floats, Layout]:
    """Costs of a picture of scikit-image's in its own best colours, in working order."""
    import skimage.data
    from skimage.transform import resize

    from pix2block.color.difference import difference_table
    from pix2block.color.spaces import rgb_array
    from pix2block.design.palette import yarns_from_picture

    means = resize(skimage.data.astronaut(), (height, width), anti_aliasing=True)
    means = (means * 255).round().astype(np.uint8)
    palette = yarns_from_picture(means, np.ones((height, width)), colors, 1)
    layout = Layout(width, height, width + height - 1, "bottom-right", "right")
    lines, columns, _ = layout.order
    rgb = rgb_array([yarn.color for yarn in palette.yarns])
    return difference_table(means[lines, columns], rgb), layout


def check_all_tiny() -> None:
    """All labellings of small random charts, in every habit."""
    for colors, seeds in ((2, 6), (3, 1)):
        for habit in HABITS.values():
            for price in (0.5, 2.0):
                gaps = []
                for seed in range(seeds):
                    bound, least = check_tiny(3, 3, colors, habit, price, seed)
                    gaps.append(least / bound - 1)
                print(
                    f"3 x 3, {colors} colours, {habit.name}, a tail at {price:g}: below all "
                    f"{colors**9:,} labellings of {seeds} chart(s), mean gap "
                    f"{100 * float(np.mean(gaps)):.2f} %"
                )


def main() -> None:
    width = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    habits = sys.argv[2:] or list(HABITS)
    if len(sys.argv) < 2:
        check_all_tiny()
    cost, layout = picture_cost(width, width * 5 // 4, 8)
    for price in (0.5, 1.0, 2.0, 4.0):
        check_cut(cost, layout, price)
    print(f"{width} x {width * 5 // 4}: for cut the bound is the exact pass, at four prices")
    plain = cost.argmin(axis=1)
    error = error_of(plain, cost)
    for name in habits:
        habit = HABITS[name]
        prices = (0.5, 1.0, 2.0, 3.0, 4.0, 6.0)
        bounds = [
            (price, report_gap(f"astronaut {width} x {width * 5 // 4}", cost, layout, habit, price))
            for price in prices
        ]
        tails = tails_of(plain, layout, habit)
        limit = tails_limit(bounds, 1.05 * error)
        found = calmed_tails(cost, layout, habit)
        print(
            f"{habit.name}: {tails} tails in nearest yarns; at +5 % error no labelling has fewer "
            f"than {100 * limit / tails:.1f} % of them; calming leaves {100 * found / tails:.1f} %"
        )


def calmed_tails(cost: Floats, layout: Layout, habit: Habit) -> int:
    """Tails that calming leaves at +5 % error, without guards or a price on borders."""
    from pix2block.calming.calm import calm
    from pix2block.calming.task import Calming

    error = np.zeros((layout.height, layout.width, cost.shape[1]))
    lines, columns, _ = layout.order
    error[lines, columns] = cost
    yarns = np.zeros((cost.shape[1], 3), dtype=np.uint8)
    every = np.ones(error.shape[:2])
    return calm(Calming(layout, habit, error, every, yarns, 5.0, border=0.0)).tails


if __name__ == "__main__":
    main()
