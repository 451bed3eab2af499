"""Strands while blocks are recoloured: the matching of run ends to run starts, kept a maximum.

A chart's strands are its runs less the links of a maximum matching. Recolouring takes away and
adds a few ends and starts. What goes, and what it was matched to, is taken out: the matching that
is left is a maximum of what is left, since a path that could augment it would have augmented the
one before (Berge 1957). What comes, and what lost its match, is then put in one at a time, each
with one search for an augmenting path from it: so the count stays exact. A log takes a refused
move back.

Ends and starts have a function each though they mirror one another: one for both, told its side by
numbers, made calming a tenth to a quarter slower.
"""

from __future__ import annotations

from pix2block.calming.compiled import compiled
from pix2block.calming.state import END, LOGGED, LOOSE, OF, STAMP, START, TO, Piece, State


@compiled
def put(state: State, kind: int, at: int, value: int) -> None:
    """Write, and remember what was there."""
    n = state.flags[LOGGED]
    state.log[n, 0] = kind
    state.log[n, 1] = at
    state.log[n, 2] = state.cells[kind, at]
    state.cells[kind, at] = value
    state.flags[LOGGED] = n + 1


@compiled
def take_back(state: State) -> None:
    for n in range(state.flags[LOGGED] - 1, -1, -1):
        state.cells[state.log[n, 0], state.log[n, 1]] = state.log[n, 2]


@compiled
def from_end(piece: Piece, state: State, root: int) -> bool:
    """Whether an augmenting path from a free end was found; it is then matched."""
    state.flags[STAMP] += 1
    stamp = state.flags[STAMP]
    label = state.label[root]
    state.queue[0] = root
    head, tail = 0, 1
    while head < tail:
        end = state.queue[head]
        head += 1
        for j in range(piece.after_at[end], piece.after_at[end + 1]):
            start = piece.after[j]
            if state.start[start] == 0 or state.label[start] != label:
                continue
            if state.seen[start] == stamp:
                continue
            state.seen[start] = stamp
            state.parent[start] = end
            mate = state.of[start]
            if mate < 0:
                while True:
                    end = state.parent[start]
                    before = state.to[end]
                    put(state, TO, end, start)
                    put(state, OF, start, end)
                    if end == root:
                        return True
                    start = before
            state.queue[tail] = mate
            tail += 1
    return False


@compiled
def from_start(piece: Piece, state: State, root: int) -> bool:
    """Whether an augmenting path from a free start was found; it is then matched."""
    state.flags[STAMP] += 1
    stamp = state.flags[STAMP]
    label = state.label[root]
    state.queue[0] = root
    head, tail = 0, 1
    while head < tail:
        start = state.queue[head]
        head += 1
        for j in range(piece.before_at[start], piece.before_at[start + 1]):
            end = piece.before[j]
            if state.end[end] == 0 or state.label[end] != label:
                continue
            if state.seen[end] == stamp:
                continue
            state.seen[end] = stamp
            state.parent[end] = start
            mate = state.to[end]
            if mate < 0:
                while True:
                    start = state.parent[end]
                    before = state.of[start]
                    put(state, TO, end, start)
                    put(state, OF, start, end)
                    if start == root:
                        return True
                    end = before
            state.queue[tail] = mate
            tail += 1
    return False


@compiled
def loosen(state: State, is_end: int, at: int) -> None:
    n = state.flags[LOOSE]
    state.loose[n, 0] = is_end
    state.loose[n, 1] = at
    state.flags[LOOSE] = n + 1


@compiled
def drop_end(state: State, at: int) -> int:
    """Take an end away; links lost."""
    put(state, END, at, 0)
    mate = state.to[at]
    if mate < 0:
        return 0
    put(state, TO, at, -1)
    put(state, OF, mate, -1)
    put(state, START, mate, 0)
    loosen(state, 0, mate)
    return 1


@compiled
def drop_start(state: State, at: int) -> int:
    put(state, START, at, 0)
    mate = state.of[at]
    if mate < 0:
        return 0
    put(state, OF, at, -1)
    put(state, TO, mate, -1)
    put(state, END, mate, 0)
    loosen(state, 1, mate)
    return 1


@compiled
def ends_after(piece: Piece, state: State, at: int) -> bool:
    return bool(piece.last[at] == 1 or state.label[at] != state.label[at + 1])


@compiled
def starts_at(piece: Piece, state: State, at: int) -> bool:
    return bool(piece.first[at] == 1 or state.label[at] != state.label[at - 1])
