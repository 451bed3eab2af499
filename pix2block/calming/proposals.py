"""Which blocks to try in which colour: proposals for the annealing, compiled by numba."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from pix2block.calming.compiled import compiled
from pix2block.calming.kernel import recolour
from pix2block.calming.state import MOST_MOVED, STAMP, Array, Piece, Prices, State

_LINE = 7
_COMPONENT = 24
_UNIT = 1.0 / 9007199254740992.0  # 2**-53


@compiled
def next_random(random: Array) -> Any:
    """Xorshift, 64 bits (Marsaglia 2003)."""
    x = random[0]
    x ^= x << np.uint64(13)
    x ^= x >> np.uint64(7)
    x ^= x << np.uint64(17)
    random[0] = x
    return x


@compiled
def below(random: Array, most: int) -> int:
    number: Any = np.int64((next_random(random) >> np.uint64(33)) % np.uint64(most))
    return number  # type: ignore[no-any-return]


@compiled
def _run_of(piece: Piece, state: State, at: int) -> tuple[int, int]:
    """First and last block of the run a block is in."""
    first: Any = at
    last: Any = at
    while piece.first[first] == 0 and state.end[first - 1] == 0:
        first -= 1
    while state.end[last] == 0:
        last += 1
    return first, last


@compiled
def _stretch(state: State, first: int, last: int) -> int:
    if last - first >= MOST_MOVED:
        return 0
    for b in range(first, last + 1):
        state.moved[b - first] = b
    return last - first + 1


@compiled
def _line(piece: Piece, state: State, at: int, side: int, turn: int, length: int) -> int:
    """Blocks of one colour in a straight line; turn: a second side to step by, -1 for none."""
    label = state.label[at]
    count = 0
    while count < length and at >= 0 and state.label[at] == label:
        state.moved[count] = at
        count += 1
        at = piece.beside[at, side]
        if at >= 0 and turn >= 0:
            at = piece.beside[at, turn]
    return count


@compiled
def _component(piece: Piece, state: State, at: int) -> int:
    """Blocks of one colour that hang together by their sides; 0 where they are many."""
    label = state.label[at]
    state.flags[STAMP] += 1
    stamp = state.flags[STAMP]
    state.moved[0] = at
    state.seen[at] = stamp
    count, next_ = 1, 0
    while next_ < count:
        b = state.moved[next_]
        next_ += 1
        for side in range(4):
            other = piece.beside[b, side]
            if other >= 0 and state.label[other] == label and state.seen[other] != stamp:
                if count == _COMPONENT:
                    return 0
                state.seen[other] = stamp
                state.moved[count] = other
                count += 1
    return count


@compiled
def _strand(piece: Piece, state: State, at: int) -> int:
    """All blocks of the strand from the run of a block on; 0 where they are many."""
    count = 0
    first, last = _run_of(piece, state, at)
    while True:
        if count + last - first + 1 > MOST_MOVED:
            return 0
        for b in range(first, last + 1):
            state.moved[count] = b
            count += 1
        first = state.to[last]
        if first < 0:
            return count
        first, last = _run_of(piece, state, first)


@compiled
def _label_beside(piece: Piece, state: State, at: int) -> int:
    """Mostly the colour of a block beside one; -1 where that is its own."""
    draw = below(state.random, 32)
    if draw == 0:
        label = below(state.random, piece.cost.shape[1])
    else:
        side = draw % 6
        other: Any = -1
        if side < 4:
            other = piece.beside[at, side]
        elif side == 4:
            if piece.first[at] == 0:
                other = at - 1
        elif piece.last[at] == 0:
            other = at + 1
        if other < 0:
            return -1
        label = state.label[other]
    return -1 if label == state.label[at] else label


@compiled
def _label_beyond(piece: Piece, state: State, first: int, last: int) -> int:
    """The colour before or after a run in its row; -1 beyond the row."""
    if below(state.random, 2) == 0:
        return -1 if piece.first[first] == 1 else state.label[first - 1]
    return -1 if piece.last[last] == 1 else state.label[last + 1]


@compiled
def _try_one(piece: Piece, state: State, price: Prices, allowed: float) -> bool:
    """Draw blocks and a colour, and try them. The colour is drawn first where it can be: inside
    large areas it mostly is the blocks' own, and nothing more need be done."""
    random = state.random
    at = below(random, len(state.label))
    draw = below(random, 100)
    if draw < 20:  # from here to an end of the run, in the colour beyond it
        first, last = _run_of(piece, state, at)
        if draw < 10:
            label = -1 if piece.last[last] == 1 else state.label[last + 1]
            count = _stretch(state, at, last)
        else:
            label = -1 if piece.first[first] == 1 else state.label[first - 1]
            count = _stretch(state, first, at)
    elif draw < 28:
        first, last = _run_of(piece, state, at)
        label = _label_beyond(piece, state, first, last)
        count = _stretch(state, first, last)
    else:
        label = _label_beside(piece, state, at)
        if label < 0:
            return False
        if draw < 68:
            state.moved[0] = at
            count = 1
        elif draw < 75:
            first, last = _run_of(piece, state, at)
            count = _stretch(state, first, last)
        elif draw < 90:
            side, turn = below(random, 4), -1
            if below(random, 3) == 0:
                turn = 2 + below(random, 2) if side < 2 else below(random, 2)
            count = _line(piece, state, at, side, turn, 2 + below(random, _LINE - 1))
        elif draw < 97:
            count = _component(piece, state, at)
        else:
            count = _strand(piece, state, at)
    return count > 0 and label >= 0 and recolour(piece, state, count, label, price, allowed)


@compiled
def anneal(piece: Piece, state: State, price: Prices, cold: float, proposals: int) -> int:
    """Try so many proposals, the temperature falling evenly in its logarithm from the price's to
    `cold`; how many were taken."""
    taken = 0
    falls = math.exp(math.log(cold / price.temperature) / max(proposals, 1) * 256)
    temperature = price.temperature
    for n in range(proposals):
        if n % 256 == 255:
            temperature *= falls
        chance = (next_random(state.random) >> np.uint64(11)) * _UNIT + _UNIT
        if _try_one(piece, state, price, -temperature * math.log(chance)):
            taken += 1
    return taken
