"""The search for a calm chart: annealing at a price of a tail that rises until the budget is spent.

The price rises in a few large steps, each starting from the last, so that one ramp passes through
the whole trade-off. Near the budget the chart is cooled once more and slowly, while the price is
led to where the error has grown by just what it may.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pix2block.calming.guards import STRICT_SHARE, Guard
from pix2block.calming.kernel import Kernel
from pix2block.calming.setting_up import laid_out, piece_of
from pix2block.calming.state import PAID, PLAIN, Prices
from pix2block.calming.task import Calming
from pix2block.color.spaces import Floats, to_lab
from pix2block.design.areas import Area
from pix2block.ground.progress import Progress

NO_CAP = 1 << 30
BEYOND = 4.0  # price of a run beyond the cap of its row, of that of a tail
_FIRST_PRICE = 0.15  # of a tail, of the mean error of a block
_HOT, _COLD = 0.2, 0.01  # temperature, of the price of a tail
_MOST_STEPS = 80
# Proposals a block: a step up, in settling, a step back to the budget, in filling it.
STEP_UP, SETTLING, SETTLING_AGAIN = 6, 64, 32
_STEP_BACK, _FILLING = 4, 14
_GROWTH = 1.8  # of the price, a step up
_NEARLY = 0.8  # of the budget, where settling begins
_PARTS = 12  # of a settling; the price is led after each
_LEAD, _MOST_LED = 2.0, 1.2
_BACK, _FILL = 1.04, 1.15  # by how much the price falls a step back; rises to fill the budget
# At least half of what an error counts is weighted, so that what matters in the picture stays.
_BALANCING, _LEAST_BALANCE = 0.5, 0.5
_STAYS = 1e6  # by how much more an error counts in blocks that are not to be changed
_AT_ONCE = 400_000  # proposals: an interruption waits for no more
_USUAL_COOLINGS = 22  # for the progress bar


class Search:
    """A chart on its way from the nearest yarns to its budget.

    price: of a tail; balance: of what a block's error counts, the share that is weighted as the
    weighted budget has it, the rest being plain.
    """

    def __init__(self, task: Calming, cap: int = NO_CAP, progress: Progress | None = None) -> None:
        """cap: runs in a row that cost nothing."""
        self.task, self.cap, self.progress = task, cap, progress
        self._order = np.lexsort(task.yarns.T)  # by colour: a chart's own order tells nothing
        share = task.weights / task.weights[task.nearest >= 0].mean()
        piece = piece_of(
            *(task.layout, task.habit, task.error, share, to_lab(task.yarns)[self._order]),
            *(task.guards, task.edges, self._order),
        )
        lines, columns, _ = task.layout.order
        spare = np.ones_like(task.weights) if task.spare is None else task.spare
        self._spare = spare[lines, columns]  # a copy
        self._weight = piece.weight
        self.kernel = Kernel(piece, self._labels(task.nearest), task.seed)
        self.kernel.count_all(cap)
        self.start = self.kernel.total[[PAID, PLAIN]]
        self.price = _FIRST_PRICE * float(self.start[0]) / len(lines)
        self.balance = 0.5
        self._coolings = 0

    @property
    def blocks(self) -> NDArray[np.int64]:
        """(height, width) yarn numbers."""
        return laid_out(self.task.layout, self._order[self.kernel.labels])

    def _labels(self, blocks: NDArray[np.int64]) -> NDArray[np.int64]:
        """(blocks,) their yarns in working order, as the kernel numbers them."""
        lines, columns, _ = self.task.layout.order
        return np.argsort(self._order)[blocks[lines, columns]]

    @property
    def spent(self) -> float:
        """Of what the error may grow by, how much it has grown: weighted or plain, the larger."""
        return float(self._spent().max())

    def _spent(self) -> Floats:
        now = self.kernel.total[[PAID, PLAIN]]
        return np.asarray(100 * (now / self.start - 1) / self.task.percent)

    def ramp(self) -> None:
        """A rising price of a tail, step by step, up to where settling begins. The step beyond is
        taken back, and the price is then one in between."""
        spent = 0.0
        for _ in range(_MOST_STEPS):
            before = self.kernel.labels
            self._cool(np.inf, STEP_UP)
            if self.spent > _NEARLY:
                part = (_NEARLY - spent) / (self.spent - spent)
                self.price *= _GROWTH ** (part - 1)
                self.kernel.count_all(self.cap, before)
                return
            spent = self.spent
            self.price *= _GROWTH

    def settle(self, a_block: float = SETTLING, cold: bool = False) -> None:
        """Cool while the price is led to where the budget is just spent. What is then beyond the
        budget goes back step by step; what is left of it is filled. a_block: proposals; cold: only
        the second half."""
        kept = self.kernel.labels
        for part in range(_PARTS // 2 if cold else 0, _PARTS):
            self._cool(np.inf, a_block / _PARTS, (part, _PARTS))
            led = (1 / max(self.spent, 0.1)) ** _LEAD
            self.price *= min(max(led, 1 / _MOST_LED), _MOST_LED)
        last = _PARTS - 1, _PARTS
        for _ in range(_MOST_STEPS):
            if self.spent <= 1:
                self.price *= _FILL
                self._cool(1.0, _FILLING, last)
                return
            self.price /= _BACK
            self._cool(1.0, _STEP_BACK, last)
        self.kernel.count_all(self.cap, kept)

    def give_back(self, lost: Sequence[Guard], areas: Sequence[Area] = ()) -> None:
        """The blocks of lost features and areas as they were. These features are guarded more
        strictly; the blocks of these areas stay."""
        task = self.task
        features = [guard.feature.mask | guard.feature.ring for guard in lost]
        around = [area.mask | area.beside for area in areas]
        blocks = np.where(np.any([*features, *around], axis=0), task.nearest, self.blocks)
        self.kernel.count_all(self.cap, self._labels(blocks))
        strict = [replace(g, share=STRICT_SHARE) if g in lost else g for g in task.guards]
        self.kernel.change(floor=np.array([guard.floor for guard in strict]))
        lines, columns, _ = task.layout.order
        for mask in around:
            self._spare[mask[lines, columns]] = _STAYS

    def _cool(self, budget: float, a_block: float, part: tuple[int, int] = (0, 1)) -> None:
        """Anneal, in calls short enough that an interruption is soon heeded.

        budget: of what the error may grow by, how much; part: of so many parts of one fall in
        temperature, which one.
        """
        unweighted = (1 - self.balance) * self.start[0] / self.start[1]
        self.kernel.change(toll=self._spare * (self.balance * self._weight + unweighted))
        weighted, plain = (self.start * (1 + budget * self.task.percent / 100)).tolist()
        tail, capped = self.price, self.cap < NO_CAP
        border, beyond = self.task.border_price * tail, BEYOND * tail if capped else 0.0
        prices = Prices(tail, border, beyond, weighted, plain, self.cap)
        proposals = round(a_block * len(self._weight))
        calls = max(1, proposals // _AT_ONCE)
        for call in range(calls):
            fall = part[0] * calls + call, part[1] * calls
            self.kernel.anneal(prices, (_HOT * tail, _COLD * tail), proposals // calls, fall)
        self._rebalance()
        self._coolings += 1
        if self.progress:
            self.progress(min(self._coolings, _USUAL_COOLINGS), _USUAL_COOLINGS)

    def _rebalance(self) -> None:
        """What is further ahead of its budget counts for more."""
        weighted, plain = self._spent().tolist()
        if weighted != plain:
            ahead = (weighted - plain) / max(abs(weighted), abs(plain))
            self.balance = min(max(self.balance + _BALANCING * ahead, _LEAST_BALANCE), 1.0)
