"""Where tails lie: inside the piece, or at one of its edges.

A strand's first tail lies at the corner where its yarn enters its first run, its last tail at the
corner where it leaves its last run. A row's inner corners, shared by two of its blocks, lie inside
the piece. Only the corners where a row begins and ends lie on an edge, and there the piece turns.
So a tail lies at an edge exactly where its strand starts in the first run of a row or ends in the
last run of one.

Which edge: a row that grows (and row 1, which makes the corner) begins at its begin edge; one that
travels has climbed on along the edge opposite to the one where it ends. A row that ends full ends
at its end edge, one that stops at the edge opposite to the one where it begins. A tail at a corner
of the piece counts with its row's edge. The stepped last row of a piece that ends early is none of
the four edges: tails between its blocks are inside.
"""

from __future__ import annotations

from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from pix2block.craft.diagonal import Edge, Ints, Layout, Row
from pix2block.craft.plan import StrandPlan
from pix2block.ground.frozen import dataclass

TailPlace = Literal["inside", "right", "left", "top", "bottom"]
TAIL_PLACES: tuple[TailPlace, ...] = get_args(TailPlace)
INSIDE = TAIL_PLACES.index("inside")

OPPOSITE: dict[Edge, Edge] = {"right": "left", "left": "right", "top": "bottom", "bottom": "top"}


def edge_begun(row: Row) -> Edge:
    """The edge of the piece where a row's first block is entered."""
    return OPPOSITE[row.ends_at] if row.begins == "travel" else row.begins_at


def edge_ended(row: Row) -> Edge:
    """The edge of the piece where a row's last block is left."""
    return OPPOSITE[row.begins_at] if row.ends == "stop" else row.ends_at


@dataclass(frozen=True, eq=False)
class Tails:
    """Every tail of a plan: first those that start strands, by strand, then those that end them.

    run: (tails,) the run it belongs to; row: (tails,) the row in which it is left; place: (tails,)
    where it lies, an index of TAIL_PLACES.
    """

    run: Ints
    row: Ints
    place: Ints

    def __repr__(self) -> str:
        return f"Tails({len(self)}, {int(self.at_edges.sum())} of them at the edges)"

    def __len__(self) -> int:
        return len(self.run)

    @property
    def at_edges(self) -> NDArray[np.bool_]:
        """(tails,) whether it lies at an edge."""
        return np.asarray(self.place != INSIDE)

    @property
    def by_place(self) -> Ints:
        """(places,) tails that lie at each of TAIL_PLACES."""
        return np.bincount(self.place, minlength=len(TAIL_PLACES))


def find_tails(plan: StrandPlan, layout: Layout) -> Tails:
    """Every tail of a plan, and where it lies."""
    runs = plan.runs
    place = np.full(2 * plan.strands, INSIDE, dtype=np.int64)
    begun = np.array([TAIL_PLACES.index(edge_begun(row)) for row in layout])
    ended = np.array([TAIL_PLACES.index(edge_ended(row)) for row in layout])
    starts, ends = plan.first_runs, plan.last_runs
    at_first = np.isin(starts, runs.row_starts[:-1])
    at_last = np.isin(ends, runs.row_starts[1:] - 1)
    count = plan.strands
    place[:count][at_first] = begun[runs.row[starts[at_first]] - 1]
    place[count:][at_last] = ended[runs.row[ends[at_last]] - 1]
    rows = np.concatenate([runs.row[starts], plan.end_rows])
    return Tails(np.concatenate([starts, ends]), rows, place)


def tail_counts(plan: StrandPlan, tails: Tails, yarns: int) -> Ints:
    """(rows, yarns, places) tails of each yarn in each row at each of TAIL_PLACES."""
    counts = np.zeros((plan.runs.rows, yarns, len(TAIL_PLACES)), dtype=np.int64)
    np.add.at(counts, (tails.row - 1, plan.runs.color[tails.run], tails.place), 1)
    return counts
