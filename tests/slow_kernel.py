"""The loops of pix2block/calming/loops in Python, written to be compared with: slow, and plain.

`SlowKernel` stands in for `calming.kernel.Kernel`. The matching is sought anew from the ends and
starts of each move, as there, since which maximum matching holds decides what a strand is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress

import numpy as np
from numpy.typing import NDArray

from pix2block.calming.state import TOTALS, Piece, Prices

MOST_MOVED, LONGEST_LINE, LARGEST_AREA, WINDOW = 64, 7, 24, 1024
PAID, PLAIN, BORDERS, RUNS, LINKS, BEYOND = range(TOTALS)
END, START = 1, 0
Port = tuple[int, int]  # a block, and END or START


class TooMany(Exception):
    """More blocks than a move may hold."""


class SlowKernel:
    """A piece as it stands. flags[END][b]: whether a run ends at block b; mates[END][b]: the start
    its end is matched to, -1 for none; the same for START."""

    def __init__(self, piece: Piece, labels: NDArray[np.int64], seed: int) -> None:
        self.piece = piece
        self.error: list[list[float]] = piece.error.tolist()
        self.weight, self.toll = piece.weight.tolist(), piece.toll.tolist()
        self.line_to: list[list[float]] = piece.line.tolist()
        self.color = piece.color.tolist()
        self.first, self.last = piece.first.tolist(), piece.last.tolist()
        self.row, self.beside = piece.row.tolist(), piece.beside.tolist()
        blocks = range(len(self.row))
        self.links = {
            END: [_slice(piece.after, piece.after_at, b) for b in blocks],
            START: [_slice(piece.before, piece.before_at, b) for b in blocks],
        }
        self.around = [_slice(piece.around, piece.around_at, b) for b in blocks]
        self.label: list[int] = labels.tolist()
        self.random = int(np.random.default_rng(seed).integers(1, 2**63, 1, dtype=np.uint64)[0])

    @property
    def labels(self) -> NDArray[np.int64]:
        return np.array(self.label, dtype=np.int64)

    # Counts

    def count_all(self, cap: int, labels: NDArray[np.int64] | None = None) -> None:
        if labels is not None:
            self.label = labels.tolist()
        blocks = range(len(self.label))
        self.flags = {kind: [int(self.has(kind, b)) for b in blocks] for kind in (END, START)}
        self.mates = {kind: [-1] * len(blocks) for kind in (END, START)}
        self.sums = [[0.0] * 3 for _ in self.piece.parts]
        for b, label in enumerate(self.label):
            for part in self.around[b]:
                for i in range(3):
                    self.sums[part][i] += self.color[label][i]
        self.count_runs()
        self.log: list[tuple[list[int], int, int]] = []
        self.total: list[float] = [
            sum(self.error[b][self.label[b]] * self.weight[b] for b in blocks),
            sum(self.error[b][self.label[b]] for b in blocks),
            self.borders(self.label),
            sum(self.row_runs),
            sum(self.match((b, END)) for b in blocks if self.flags[END][b]),
            sum(max(0, runs - cap) for runs in self.row_runs),
        ]

    def count_runs(self) -> None:
        """Runs of each row."""
        self.row_runs = [0] * (self.row[-1] + 1)
        for b, row in enumerate(self.row):
            self.row_runs[row] += self.has(START, b)

    def borders(self, label: list[int]) -> float:
        return sum(
            self.line_to[b][side]
            for b in range(len(label))
            for side in (1, 3)
            if self.beside[b][side] >= 0 and label[b] != label[self.beside[b][side]]
        )

    def has(self, kind: int, b: int) -> bool:
        if kind == END:
            return self.last[b] == 1 or self.label[b] != self.label[b + 1]
        return self.first[b] == 1 or self.label[b] != self.label[b - 1]

    # The matching

    def put(self, where: list[int], at: int, value: int) -> None:
        self.log.append((where, at, where[at]))
        where[at] = value

    def drop(self, port: Port) -> int:
        """Take an end or start away; links lost."""
        at, kind = port
        other = 1 - kind
        mate = self.mates[kind][at]
        self.put(self.flags[kind], at, 0)
        if mate < 0:
            return 0
        self.put(self.mates[kind], at, -1)
        self.put(self.mates[other], mate, -1)
        self.put(self.flags[other], mate, 0)
        self.loose.append((mate, other))
        return 1

    def match(self, port: Port) -> bool:
        """Breadth first, to the first free port of the other kind."""
        root, kind = port
        other = 1 - kind
        came: dict[int, int] = {}
        queue = [root]
        for near in queue:
            for far in self.links[kind][near]:
                same = self.flags[other][far] and self.label[far] == self.label[root]
                if not same or far in came:
                    continue
                came[far] = near
                if self.mates[other][far] >= 0:
                    queue.append(self.mates[other][far])
                    continue
                while True:
                    near = came[far]
                    before = self.mates[kind][near]
                    self.put(self.mates[kind], near, far)
                    self.put(self.mates[other], far, near)
                    if near == root:
                        return True
                    far = before
        return False

    # A move

    def recolour(self, moved: list[int], new: int, price: Prices, allowed: float) -> bool:
        """Move, count, and take the move back where it costs more than is allowed. No bound refuses
        anything beforehand, so that those of the compiled loops are checked as well."""
        before, runs_before = self.label.copy(), self.row_runs.copy()
        change = [0.0] * TOTALS
        cost = 0.0
        for b in moved:
            more = self.error[b][new] - self.error[b][before[b]]
            cost += more * self.toll[b]
            change[PAID] += more * self.weight[b]
            change[PLAIN] += more
        for which, most in ((PAID, price.most_paid), (PLAIN, price.most_plain)):
            if change[which] > 0 and self.total[which] + change[which] > most:
                return False
        if not self.guards_hold(moved, new):
            return False
        self.log = []
        change[LINKS] = self.relabel(moved, new)
        self.count_runs()
        change[BORDERS] = self.borders(self.label) - self.borders(before)
        change[RUNS] = sum(self.row_runs) - sum(runs_before)
        if price.beyond > 0:
            for sign, counted in ((1, self.row_runs), (-1, runs_before)):
                change[BEYOND] += sign * sum(max(0, runs - price.cap) for runs in counted)
        energy = (
            cost
            + price.border * change[BORDERS]
            + 2 * price.tail * (change[RUNS] - change[LINKS])
            + price.beyond * change[BEYOND]
        )
        if energy > allowed:
            for where, at, value in reversed(self.log):
                where[at] = value
            self.row_runs = runs_before
            self.move_sums(moved, new, -1)
            return False
        self.total = [total + more for total, more in zip(self.total, change, strict=True)]
        return True

    def relabel(self, moved: list[int], new: int) -> int:
        """Change labels and mend the matching; links gained."""
        gained = 0
        self.loose: list[Port] = []
        for b in moved:
            for kind in (END, START):
                if self.flags[kind][b]:
                    gained -= self.drop((b, kind))
            if not self.first[b] and self.flags[END][b - 1] and self.label[b - 1] == new:
                gained -= self.drop((b - 1, END))
            if not self.last[b] and self.flags[START][b + 1] and self.label[b + 1] == new:
                gained -= self.drop((b + 1, START))
        for b in moved:
            self.put(self.label, b, new)
        for b in moved:
            self.loose += [(b, START), (b, END)]
            if not self.first[b]:
                self.loose.append((b - 1, END))
            if not self.last[b]:
                self.loose.append((b + 1, START))
        for at, kind in self.loose:
            if not self.flags[kind][at] and self.has(kind, at):
                self.put(self.flags[kind], at, 1)
                gained += self.match((at, kind))
        return gained

    # Guards

    def move_sums(self, moved: list[int], new: int, sign: int) -> set[int]:
        """Move them to the new colour, or back; the guards that are touched."""
        touched = set()
        for b in moved:
            for part in self.around[b]:
                touched.add(part // 2)
                for i in range(3):
                    change = self.color[new][i] - self.color[self.label[b]][i]
                    self.sums[part][i] += sign * change
        return touched

    def guards_hold(self, moved: list[int], new: int) -> bool:
        touched = self.move_sums(moved, new, 1)
        for guard in touched:
            now = 0.0
            for i in range(3):
                inside, outside = (
                    self.sums[part][i] / float(self.piece.parts[part])
                    for part in (2 * guard, 2 * guard + 1)
                )
                now += (inside - outside) * float(self.piece.toward[guard, i])
            if now < self.piece.floor[guard]:
                self.move_sums(moved, new, -1)
                return False
        return True

    # Proposals

    def draw(self) -> int:
        """Xorshift, 64 bits (Marsaglia 2003)."""
        x = self.random
        x ^= x << 13 & (1 << 64) - 1
        x ^= x >> 7
        x ^= x << 17 & (1 << 64) - 1
        self.random = x
        return x

    def below(self, most: int) -> int:
        return (self.draw() >> 33) % most

    def run_of(self, at: int) -> list[int]:
        first = last = at
        while not self.flags[START][first]:
            first -= 1
        while not self.flags[END][last]:
            last += 1
        return list(range(first, last + 1))

    def color_at_end(self, run: list[int], forward: bool) -> int:
        """The colour after, or before, a run in its row; -1 beyond the row."""
        if forward:
            return -1 if self.last[run[-1]] else self.label[run[-1] + 1]
        return -1 if self.first[run[0]] else self.label[run[0] - 1]

    def color_linked(self, at: int) -> int:
        links = self.links[END if self.below(2) else START][at]
        return self.label[links[self.below(len(links))]] if links else -1

    def color_near(self, at: int) -> int:
        draw = self.below(32)
        if draw == 0:
            color = self.below(len(self.color))
        elif draw < 20:
            color = self.color_linked(at)
        elif draw % 6 < 4:
            other = self.beside[at][draw % 6]
            color = -1 if other < 0 else self.label[other]
        else:
            color = self.color_at_end([at], draw % 6 == 5)
        return -1 if color == self.label[at] else color

    def line(self, at: int) -> Iterator[int]:
        side, turn = self.below(4), -1
        if self.below(3) == 0:
            turn = 2 + self.below(2) if side < 2 else self.below(2)
        label = self.label[at]
        for _ in range(2 + self.below(LONGEST_LINE - 1)):
            if at < 0 or self.label[at] != label:
                return
            yield at
            at = self.beside[at][side]
            if at >= 0 and turn >= 0:
                at = self.beside[at][turn]

    def area(self, at: int) -> list[int]:
        found, most = [at], 2 + self.below(LARGEST_AREA - 1)
        for b in found:
            for other in self.beside[b]:
                if other >= 0 and self.label[other] == self.label[at] and other not in found:
                    if len(found) == most:
                        return found
                    found.append(other)
        return found

    def strand(self, at: int) -> list[int]:
        found: list[int] = []
        while at >= 0:
            found += self.run_of(at)
            if len(found) > MOST_MOVED:
                raise TooMany
            at = self.mates[END][found[-1]]
        return found

    def proposal(self, at: int) -> tuple[list[int], int]:
        """Blocks about one of them, and the colour to try; -1 where there is none."""
        draw = self.below(100)
        if draw < 11:
            run = self.run_of(at)
            forward = draw < 4 if draw < 8 else self.below(2) == 1
            color = self.color_at_end(run, forward)
            if draw < 8:
                run = [b for b in run if (b >= at if forward else b <= at)]
            return run, color
        color = self.color_near(at)
        if color < 0 or draw < 50:
            return [at], color
        if draw < 62:
            return self.run_of(at), color
        if draw < 85:
            return list(self.line(at)), color
        return (self.area(at) if draw < 95 else self.strand(at)), color

    def anneal(
        self,
        prices: Prices,
        heat: tuple[float, float],
        proposals: int,
        part: tuple[int, int] = (0, 1),
    ) -> int:
        fall = math.log(heat[1] / heat[0])
        hot = heat[0] * math.exp(fall * part[0] / part[1])
        falls = math.exp(fall / part[1] * 256 / max(proposals, 1))
        taken, blocks = 0, len(self.label)
        base = self.below(blocks)
        for n in range(proposals):
            if n % 256 == 255:
                hot *= falls
            if n % (4 * WINDOW) == 0:
                base = (base + WINDOW) % blocks
            with suppress(TooMany):
                moved, color = self.proposal((base + self.below(WINDOW)) % blocks)
                if color >= 0 and len(moved) <= MOST_MOVED:
                    allowed = -hot * math.log(((self.draw() >> 11) + 1) * 2.0**-53)
                    taken += self.recolour(moved, color, prices, allowed)
        return taken


def _slice(members: NDArray[np.int32], at: NDArray[np.int32], block: int) -> list[int]:
    found: list[int] = members[at[block] : at[block + 1]].tolist()
    return found
