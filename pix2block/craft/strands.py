"""Strands: the fewest unbroken lengths of yarn that work a chart.

A strand works runs of its colour in working order. From run u to the next, v, the yarn lies as a
float: the straight line from the corner where it leaves u's last block to the corner where it
enters v's first. In numbers, with s = +1 in a row that begins at a vertical edge and -1 in one
that begins at a horizontal edge: a block in row n is left at (n, t + s) and entered at (n, t - s),
a row's first block at (n - 1, t + s of the last block of row n - 1). A float from (a, b) to (c, d)
has the squared length ((c - a)^2 + (d - b)^2) / 2, a whole number, in block sides.

Every run has at most one run before and one after it on its strand, so strands = runs - links. The
plan has the most links; among those the least sum of squared floats; among those the least sum of
rows bridged: a minimum-cost maximum matching in a bipartite graph, each run once as "from" and
once as "to".
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from pix2block.craft.diagonal import Ints, Layout, each_once
from pix2block.craft.plan import NO_RUN, Begun, StrandPlan, number_strands
from pix2block.craft.runs import Runs
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import Habit

MOST_LINKS = 20_000_000  # some 2 GB while they are matched


@dataclass(frozen=True, eq=False)
class Places:
    """Where the yarn enters and leaves each run, in the numbers (row, t) of the corners."""

    enter_row: Ints
    enter_t: Ints
    leave_row: Ints
    leave_t: Ints

    def squares(self, u: Ints, v: Ints) -> Ints:
        """Squared length in block sides of the floats from runs u to runs v."""
        rows = self.enter_row[v] - self.leave_row[u]
        across = self.enter_t[v] - self.leave_t[u]
        return (rows * rows + across * across) // 2


def places(runs: Runs, layout: Layout) -> Places:
    """Enter and leave corners of every run."""
    numbers = np.arange(1, layout.last_row + 1)
    s = np.where((numbers % 2 == 1) == layout.begins_vertical(1), 1, -1)
    first_dx = np.where(
        s > 0, np.maximum(0, numbers - layout.height), np.minimum(layout.width, numbers) - 1
    )
    run_s = s[runs.row - 1]
    # dx of the run's first block, counted along its row.
    in_row = runs.starts - runs.starts[runs.row_starts[runs.row - 1]]
    dx = first_dx[runs.row - 1] + run_s * in_row
    t_first = 2 * dx - (runs.row - 1)
    t_last = t_first + 2 * run_s * (runs.blocks - 1)
    leave_t = t_last + run_s
    enter_row, enter_t = runs.row.copy(), t_first - run_s
    firsts = runs.row_starts[1:-1]  # the first run of rows 2, 3, …
    enter_row[firsts] = runs.row[firsts] - 1
    enter_t[firsts] = leave_t[firsts - 1]
    return Places(enter_row, enter_t, runs.row, leave_t)


def allowed_links(runs: Runs, layout: Layout, habit: Habit) -> tuple[Ints, Ints, Ints]:
    """Every link a habit allows: runs u, runs v and the squared float of each, by u, then v.

    Inside: float <= reach and rows bridged <= rest. Along an edge: u ends its row, v begins its
    row, an odd number of rows at most `edge` on.

    Raises BadInput where they are too many to weigh.
    """
    place = places(runs, layout)
    first = np.zeros(len(runs), dtype=bool)
    first[runs.row_starts[:-1]] = True
    last = np.roll(first, -1)
    most_squares = math.floor(habit.reach**2 + 1e-9)
    pairs = [
        _links_to_inner_runs(runs, place, first, most_squares, habit.rest),
        _links_to_first_runs(runs, place, most_squares, habit.rest),
    ]
    ends = np.flatnonzero(last)
    for rows in range(1, min(habit.edge, runs.rows - 1) + 1, 2):
        u, v = ends[:-rows], runs.row_starts[rows:-1]
        same = runs.color[u] == runs.color[v]
        pairs.append((u[same], v[same]))
    u, v = (np.concatenate(side) for side in zip(*pairs, strict=True))
    key = each_once(u * len(runs) + v)
    u, v = key // len(runs), key % len(runs)
    return u, v, place.squares(u, v)


def _links_to_inner_runs(
    runs: Runs, place: Places, first: NDArray[np.bool_], most_squares: int, rest: int
) -> tuple[Ints, Ints]:
    """Links to runs that do not begin their row, found in sorted (colour, row, t) keys."""
    inner = np.flatnonzero(~first)
    # Every t lies within `most` of 0, so a search `2 most` to either side stays in its row's keys.
    most = runs.rows + 2
    wide, middle = 8 * most, 4 * most
    key = (runs.color[inner] * (runs.rows + 1) + runs.row[inner]) * wide + (
        place.enter_t[inner] + middle
    )
    by_key = np.argsort(key, kind="stable")
    inner, key = inner[by_key], key[by_key]
    found_u, found_v = [], []
    found = 0
    every = np.arange(len(runs))
    for rows in range(min(rest, runs.rows - 1, math.isqrt(2 * most_squares)) + 1):
        across = min(math.isqrt(2 * most_squares - rows * rows), 2 * most)
        base = (runs.color * (runs.rows + 1) + runs.row + rows) * wide + place.leave_t + middle
        u = every[runs.row + rows <= runs.rows]
        low = np.searchsorted(key, base[u] - across, side="left")
        high = np.searchsorted(key, base[u] + across, side="right")
        counts = high - low
        found += int(counts.sum())
        if found > MOST_LINKS:
            raise BadInput(
                f"so long a reach and rest allow over {MOST_LINKS:,} ways on: lower one of them"
            )
        u_many = np.repeat(u, counts)
        offsets = np.arange(len(u_many)) - np.repeat(np.cumsum(counts) - counts, counts)
        v_many = inner[np.repeat(low, counts) + offsets]
        later = v_many > u_many
        found_u.append(u_many[later])
        found_v.append(v_many[later])
    return np.concatenate(found_u), np.concatenate(found_v)


def _links_to_first_runs(
    runs: Runs, place: Places, most_squares: int, rest: int
) -> tuple[Ints, Ints]:
    """Links to runs that begin their row: the yarn enters where the row before was left."""
    found_u, found_v = [], []
    for rows in range(1, min(rest, runs.rows - 1, 1 + math.isqrt(2 * most_squares)) + 1):
        u = np.arange(int(runs.row_starts[runs.rows - rows]))
        v = runs.row_starts[runs.row[u] - 1 + rows]
        near = (runs.color[u] == runs.color[v]) & (place.squares(u, v) <= most_squares)
        found_u.append(u[near])
        found_v.append(v[near])
    return np.concatenate(found_u or [_NONE]), np.concatenate(found_v or [_NONE])


_NONE: Ints = np.zeros(0, dtype=np.int64)


def plan_strands(
    runs: Runs, layout: Layout, habit: Habit, begun: Begun | None = None
) -> StrandPlan:
    """The plan with the fewest strands; ties by squared floats, then by rows bridged.

    begun: what is worked already. It stays; the habit holds for the runs that are left, and the
    plan is the one with the fewest strands for them, where those that hang may go on.
    """
    u, v, squares = allowed_links(runs, layout, habit)
    if begun:
        still = begun.may_lead(u, v)
        u, v, squares = u[still], v[still], squares[still]
    chosen = best_matching(u, v, squares, runs.row[v] - runs.row[u], len(runs))
    u, v, squares = u[chosen], v[chosen], squares[chosen]
    if begun:
        before = np.flatnonzero(begun.following != NO_RUN)
        after = begun.following[before]
        u, v = np.concatenate([before, u]), np.concatenate([after, v])
        squares = np.concatenate([places(runs, layout).squares(before, after), squares])
    following = np.full(len(runs), NO_RUN, dtype=np.int64)
    preceding = np.full(len(runs), NO_RUN, dtype=np.int64)
    float_squares = np.zeros(len(runs), dtype=np.int64)
    following[u] = v
    preceding[v] = u
    float_squares[v] = squares
    return StrandPlan(runs, following, preceding, float_squares, number_strands(preceding), begun)


# Links solved in one call: the solver's own overhead grows with calls, its set-up of every search
# with the size of a call. Anything from 500 to 5,000 takes about the same time.
_BATCH = 2000


def best_matching(u: Ints, v: Ints, first_cost: Ints, second_cost: Ints, nodes: int) -> Ints:
    """Indices of the links of a maximum matching of least first cost, then least second cost.

    u, v: (links,) "from" and "to" nodes below `nodes`, by u, then v; costs: whole numbers >= 0.

    Connected components of the graph are solved apart, gathered into batches. The two costs are
    folded into one whole number a component, so that it stays exact in float64.
    """
    if len(u) == 0:
        return _NONE
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import connected_components

    ends = np.searchsorted(u, np.arange(2 * nodes + 1))
    both = csr_array((np.ones(len(u), dtype=np.int8), v + nodes, ends), shape=(2 * nodes,) * 2)
    components, label = connected_components(both, directed=False)
    component = label[u]
    size = np.bincount(component, minlength=components)
    second_most = np.zeros(components, dtype=np.int64)
    np.maximum.at(second_most, component, second_cost)
    factor = size * second_most + 1  # more than the second costs of a matching can sum to
    cost = first_cost * factor[component] + second_cost + 1

    batch = (np.cumsum(size) // _BATCH)[component]
    by_batch = np.argsort(batch, kind="stable")
    edges = np.flatnonzero(np.diff(batch[by_batch])) + 1
    chosen = [
        part[_matching_of_batch(u[part], v[part], cost[part])] for part in np.split(by_batch, edges)
    ]
    return np.sort(np.concatenate(chosen))


def _matching_of_batch(u: Ints, v: Ints, cost: Ints) -> Ints:
    """Indices of the links of a maximum matching of least cost. Costs are whole numbers > 0.

    SciPy's sparse Jonker-Volgenant solver needs a full matching, so every source gets a spare
    target and every target a spare source, both at a price, and spares match each other where
    their nodes are linked. Any price is right under which the matching found has as many links
    as a maximum matching: then no matching of that size is cheaper. A low price keeps the
    solver's searches short; so it starts low and rises until the counts agree.
    """
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import maximum_bipartite_matching, min_weight_full_bipartite_matching

    sources, row = np.unique(u, return_inverse=True)
    targets, column = np.unique(v, return_inverse=True)
    many, more, links = len(sources), len(targets), len(u)
    # Rows are laid down in order, which takes half as long as having them sorted: each source's
    # links and its spare target, then each target's spare source and its links the other way.
    to, of = np.bincount(row), np.bincount(column, minlength=more)
    back = np.argsort(column, kind="stable")
    starts = np.append(0, np.cumsum(to))
    graph = csr_array((np.ones(links, dtype=np.int8), column, starts), shape=(many, more))
    most_links = np.count_nonzero(maximum_bipartite_matching(graph, "column") >= 0)
    spare_target = starts[1:] + np.arange(many)
    spare_source = links + many + np.append(0, np.cumsum(of[:-1])) + np.arange(more)
    is_spare = np.zeros(2 * links + many + more, dtype=bool)
    is_spare[spare_target] = is_spare[spare_source] = True
    columns = np.empty(len(is_spare), dtype=np.int32)
    columns[spare_target], columns[spare_source] = more + np.arange(many), np.arange(more)
    columns[~is_spare] = np.concatenate([column, more + row[back]])
    first = np.append(0, np.cumsum(np.concatenate([to, of]) + 1))
    costs = np.ones(len(is_spare))
    costs[np.flatnonzero(~is_spare)[:links]] = cost
    price = 8.0 * float(cost.max())
    while True:
        costs[is_spare] = price
        square = csr_array((costs, columns, first), shape=(many + more,) * 2)
        matched = min_weight_full_bipartite_matching(square)[1][:many]
        if np.count_nonzero(matched < more) == most_links:
            return np.flatnonzero(matched[row] == column)
        price *= 8
