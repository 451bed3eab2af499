"""Every link a habit could ever allow between blocks, whatever their colours.

Whether the yarn may go from one run to another depends on where the first ends and the second
starts, and on their colours. Where is fixed by the piece: so the links between places are found
once, and colours decide which of them hold.
"""

from __future__ import annotations

import math

import numpy as np

from pix2block.craft.diagonal import Ints, Layout, each_once
from pix2block.craft.strands import MOST_LINKS
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import Habit


@dataclass(frozen=True, eq=False)
class Links:
    """Links from a run that ends at one block to a run that starts at another; blocks are numbered
    in working order. after[after_at[e]:after_at[e + 1]]: where a run may start that follows one
    that ends at e; before, before_at: the same links from the other side."""

    after_at: Ints
    after: Ints
    before_at: Ints
    before: Ints


def possible_links(layout: Layout, habit: Habit) -> Links:
    """The links of a piece worked by a habit, as `craft.strands` defines them.

    Raises BadInput where they are too many to hold.
    """
    _, _, row = layout.order
    starts = np.searchsorted(row, np.arange(1, layout.last_row + 2))
    keys: list[Ints] = []  # of links: where one begins x blocks + where it ends
    corners = _corners(layout, row, starts)
    most = math.floor(habit.reach**2 + 1e-9)
    rows_on, aside = (min(way, layout.last_row) + 1 for way in (habit.rest, 2 * habit.reach))
    if len(row) * min(rows_on, aside) * aside > MOST_LINKS:
        raise BadInput("calming cannot weigh so long a reach and rest: lower one of them")
    for rows in range(min(habit.rest, layout.last_row - 1) + 1):
        keys += _inner_links(layout, row, starts, corners, rows, most)
        if rows:
            keys.append(_links_to_firsts(starts, corners, row, rows, most))
    for rows in range(1, min(habit.edge, layout.last_row - 1) + 1, 2):
        keys.append((starts[1:-rows] - 1) * len(row) + starts[rows:-1])
    key = each_once(np.concatenate([np.zeros(0, np.int64), *keys]))
    keys.clear()
    u, v = np.divmod(key, len(row))
    back = np.sort(v * len(row) + u)
    return Links(_begins(u, len(row)), v, _begins(back // len(row), len(row)), back % len(row))


def _begins(of: Ints, count: int) -> Ints:
    """(count + 1,) where each number begins among sorted ones."""
    return np.concatenate([[0], np.cumsum(np.bincount(of, minlength=count))])


@dataclass(frozen=True, eq=False)
class _Corners:
    """s, t, leave_t: (blocks,); enter_row, enter_t of the rows' first blocks: (rows,)."""

    s: Ints
    t: Ints
    leave_t: Ints
    first_enter_row: Ints
    first_enter_t: Ints


def _corners(layout: Layout, row: Ints, starts: Ints) -> _Corners:
    numbers = np.arange(1, layout.last_row + 1)
    s = np.array([1 if layout.begins_vertical(int(n)) else -1 for n in numbers], dtype=np.int64)
    dx = np.concatenate([layout.steps(int(n))[0] for n in numbers])
    t = 2 * dx - (row - 1)
    leave_t = t + s[row - 1]
    enter_row, enter_t = numbers.copy(), (t - s[row - 1])[starts[:-1]]
    enter_row[1:] -= 1
    enter_t[1:] = leave_t[starts[1:-1] - 1]
    return _Corners(s[row - 1], t, leave_t, enter_row, enter_t)


def _inner_links(
    layout: Layout, row: Ints, starts: Ints, corners: _Corners, rows: int, most: int
) -> list[Ints]:
    """Keys of links to blocks that do not begin their row, `rows` rows on."""
    keys: list[Ints] = []
    if 2 * most < rows * rows:
        return keys
    u = np.flatnonzero(row + rows <= layout.last_row)
    target = row[u] + rows - 1  # index of the row
    s = corners.s[starts[target]]
    first_t = corners.t[starts[target]]
    many = starts[target + 1] - starts[target]
    across = min(math.isqrt(2 * most - rows * rows), 2 * layout.last_row)
    for aside in range(-across, across + 1):
        # The block whose enter corner, t - s, lies `aside` from where u leaves.
        steps = (corners.leave_t[u] + aside + s - first_t) * s
        place = steps // 2
        inside = (steps % 2 == 0) & (place >= 1) & (place < many)
        v = starts[target[inside]] + place[inside]
        later = v > u[inside]
        keys.append(u[inside][later] * len(row) + v[later])
    return keys


def _links_to_firsts(starts: Ints, corners: _Corners, row: Ints, rows: int, most: int) -> Ints:
    """Keys of links to the first block of the row `rows` on."""
    u = np.arange(starts[-1 - rows])
    target = row[u] + rows - 1
    down = corners.first_enter_row[target] - row[u]
    across = corners.first_enter_t[target] - corners.leave_t[u]
    near = (down * down + across * across) // 2 <= most
    return np.asarray(u[near] * len(row) + starts[target[near]])
