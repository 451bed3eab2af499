"""Giving a few blocks another colour, where that is worth it: plain loops, compiled by numba."""

from __future__ import annotations

from pix2block.calming.compiled import compiled
from pix2block.calming.matching import (
    drop_end,
    drop_start,
    ends_after,
    from_end,
    from_start,
    loosen,
    put,
    starts_at,
    take_back,
)
from pix2block.calming.state import (
    BEYOND,
    BORDERS,
    END,
    ENERGY,
    LABEL,
    LINKS,
    LOGGED,
    LOOSE,
    MARK,
    PAID,
    RUNS,
    STAMP,
    START,
    Piece,
    Prices,
    State,
)


@compiled
def count_all(piece: Piece, state: State, cap: int) -> None:
    """Set up ends, starts, a maximum matching, sums and totals from the labels alone."""
    total = state.total
    total[:] = 0
    state.sums[:] = 0
    state.row_runs[:] = 0
    blocks = len(state.label)
    for b in range(blocks):
        label = state.label[b]
        total[ENERGY] += piece.cost[b, label]
        total[PAID] += piece.paid[b, label]
        state.end[b] = 1 if ends_after(piece, state, b) else 0
        state.start[b] = 1 if starts_at(piece, state, b) else 0
        total[RUNS] += state.start[b]
        state.row_runs[piece.row[b]] += state.start[b]
        state.to[b] = -1
        state.of[b] = -1
        for side in (1, 3):
            other = piece.beside[b, side]
            if other >= 0 and state.label[other] != label:
                total[BORDERS] += 1
        for j in range(piece.around_at[b], piece.around_at[b + 1]):
            for i in range(3):
                state.sums[piece.around[j], i] += piece.color[label, i]
    for row in range(len(state.row_runs)):
        total[BEYOND] += max(0, state.row_runs[row] - cap)
    for b in range(blocks):
        if state.end[b] == 1:
            state.flags[LOGGED] = 0
            if from_end(piece, state, b):
                total[LINKS] += 1


@compiled
def _becomes(state: State, at: int, label: int) -> int:
    """The label of a block once the marked ones have the new one."""
    return label if state.mark[at] == state.flags[MARK] else state.label[at]


@compiled
def _may_follow(piece: Piece, state: State, end: int, label: int) -> int:
    """Whether any run of the label would start where one that ends here may go on."""
    for j in range(piece.after_at[end], piece.after_at[end + 1]):
        start = piece.after[j]
        if _becomes(state, start, label) == label and (
            piece.first[start] == 1 or _becomes(state, start - 1, label) != label
        ):
            return 1
    return 0


@compiled
def _may_precede(piece: Piece, state: State, start: int, label: int) -> int:
    for j in range(piece.before_at[start], piece.before_at[start + 1]):
        end = piece.before[j]
        if _becomes(state, end, label) == label and (
            piece.last[end] == 1 or _becomes(state, end + 1, label) != label
        ):
            return 1
    return 0


@compiled
def _gap(piece: Piece, state: State, left: int, label: int) -> tuple[int, int]:
    """Runs, and links at most, that the gap after a block brings once the marked blocks change."""
    one, other = _becomes(state, left, label), _becomes(state, left + 1, label)
    before = state.end[left]
    after = 1 if one != other else 0
    links = 0
    if after == 1:
        if before == 0 or one != state.label[left]:
            links += _may_follow(piece, state, left, one)
        if before == 0 or other != state.label[left + 1]:
            links += _may_precede(piece, state, left + 1, other)
    return after - before, links


@compiled
def _rows_beyond(piece: Piece, state: State, count: int, cap: int) -> int:
    """Runs beyond the cap in the rows of the moved blocks."""
    state.flags[STAMP] += 1
    stamp = state.flags[STAMP]
    beyond = 0
    for n in range(count):
        row = piece.row[state.moved[n]]
        if state.row_mark[row] != stamp:
            state.row_mark[row] = stamp
            beyond += max(0, state.row_runs[row] - cap)
    return beyond


@compiled
def _guards_hold(piece: Piece, state: State, count: int, label: int) -> bool:
    """Whether every guarded contrast stays; the sums are then those of the new labels."""
    touched = False
    for n in range(count):
        b = state.moved[n]
        for j in range(piece.around_at[b], piece.around_at[b + 1]):
            touched = True
            for i in range(3):
                change = piece.color[label, i] - piece.color[state.label[b], i]
                state.sums[piece.around[j], i] += change
    if not touched:
        return True
    holds = True
    for n in range(count):
        b = state.moved[n]
        for j in range(piece.around_at[b], piece.around_at[b + 1]):
            guard = piece.around[j] // 2
            now = 0.0
            for i in range(3):
                inside = state.sums[2 * guard, i] / piece.parts[2 * guard]
                outside = state.sums[2 * guard + 1, i] / piece.parts[2 * guard + 1]
                now += (inside - outside) * piece.toward[guard, i]
            if now < piece.floor[guard]:
                holds = False
    if not holds:
        _give_back(piece, state, count, label)
    return holds


@compiled
def _give_back(piece: Piece, state: State, count: int, label: int) -> None:
    for n in range(count):
        b = state.moved[n]
        for j in range(piece.around_at[b], piece.around_at[b + 1]):
            for i in range(3):
                change = piece.color[label, i] - piece.color[state.label[b], i]
                state.sums[piece.around[j], i] -= change


@compiled
def recolour(
    piece: Piece, state: State, count: int, label: int, price: Prices, allowed: float
) -> bool:
    """Give `count` blocks of state.moved a new label where that costs at most `allowed`."""
    moved = state.moved
    cost, paid, borders = 0.0, 0.0, 0.0
    stretches = 0
    for n in range(count):
        b = moved[n]
        if n == 0 or b != moved[n - 1] + 1 or piece.first[b] == 1:
            stretches += 1
        cost += piece.cost[b, label] - piece.cost[b, state.label[b]]
        paid += piece.paid[b, label] - piece.paid[b, state.label[b]]
    if paid > 0 and state.total[PAID] + paid > price.most_paid:
        return False
    # A recoloured stretch of a row saves at most two strands, and all steps of border around it.
    saved = 4 * stretches * price.tail + 2 * (count + stretches) * price.border
    if cost - saved - price.beyond * stretches * 2 > allowed:
        return False
    state.flags[MARK] += 1
    mark = state.flags[MARK]
    for n in range(count):
        state.mark[moved[n]] = mark
    runs, links = 0, 0
    for n in range(count):
        b = moved[n]
        now = state.label[b]
        for side in range(4):
            other = piece.beside[b, side]
            if other >= 0:
                beside = state.label[other]
                if state.mark[other] == mark:
                    borders -= 0.5 if beside != now else 0.0
                else:
                    borders += (1.0 if beside != label else 0.0) - (1.0 if beside != now else 0.0)
        if piece.first[b] == 0:
            more, linked = _gap(piece, state, b - 1, label)
            runs += more
            links += linked
        elif now != label:
            links += _may_precede(piece, state, b, label)
        if piece.last[b] == 1:
            if now != label:
                links += _may_follow(piece, state, b, label)
        elif state.mark[b + 1] != mark:
            more, linked = _gap(piece, state, b, label)
            runs += more
            links += linked
    energy = cost + price.border * borders
    if energy + 2 * price.tail * (runs - links) - price.beyond * stretches * 2 > allowed:
        return False
    if not _guards_hold(piece, state, count, label):
        return False
    state.flags[LOGGED] = 0
    state.flags[LOOSE] = 0
    beyond = 0
    if price.beyond > 0:
        beyond -= _rows_beyond(piece, state, count, price.cap)
    gained = _relabel(piece, state, count, label)
    if price.beyond > 0:
        beyond += _rows_beyond(piece, state, count, price.cap)
    change = energy + 2 * price.tail * (runs - gained) + price.beyond * beyond
    if change > allowed:
        take_back(state)
        _move_rows(piece, state, count, label, -1)
        _give_back(piece, state, count, label)
        return False
    total = state.total
    total[ENERGY] += cost
    total[PAID] += paid
    total[BORDERS] += borders
    total[RUNS] += runs
    total[LINKS] += gained
    total[BEYOND] += beyond
    return True


@compiled
def _move_rows(piece: Piece, state: State, count: int, label: int, sign: int) -> None:
    """Count the runs that the marked blocks bring to their rows, or take them off again; the
    labels are still the old ones."""
    mark = state.flags[MARK]
    for n in range(count):
        b = state.moved[n]
        row = piece.row[b]
        if piece.first[b] == 0:
            after = 1 if _becomes(state, b - 1, label) != label else 0
            state.row_runs[row] += sign * (after - state.end[b - 1])
        if piece.last[b] == 0 and state.mark[b + 1] != mark:
            after = 1 if state.label[b + 1] != label else 0
            state.row_runs[row] += sign * (after - state.end[b])


@compiled
def _relabel(piece: Piece, state: State, count: int, label: int) -> int:
    """Change the labels and mend the matching; links gained."""
    moved = state.moved
    _move_rows(piece, state, count, label, 1)
    gained = 0
    for n in range(count):  # ends and starts that go, or change their colour
        b = moved[n]
        if state.end[b] == 1:
            gained -= drop_end(state, b)
        if state.start[b] == 1:
            gained -= drop_start(state, b)
        if piece.first[b] == 0 and state.end[b - 1] == 1 and state.label[b - 1] == label:
            gained -= drop_end(state, b - 1)
        if piece.last[b] == 0 and state.start[b + 1] == 1 and state.label[b + 1] == label:
            gained -= drop_start(state, b + 1)
    for n in range(count):
        put(state, LABEL, moved[n], label)
    for n in range(count):  # and those that come
        b = moved[n]
        loosen(state, 0, b)
        loosen(state, 1, b)
        if piece.first[b] == 0:
            loosen(state, 1, b - 1)
        if piece.last[b] == 0:
            loosen(state, 0, b + 1)
    for n in range(state.flags[LOOSE]):
        at = state.loose[n, 1]
        if state.loose[n, 0] == 1:
            if state.end[at] == 0 and ends_after(piece, state, at):
                put(state, END, at, 1)
                if from_end(piece, state, at):
                    gained += 1
        elif state.start[at] == 0 and starts_at(piece, state, at):
            put(state, START, at, 1)
            if from_start(piece, state, at):
                gained += 1
    return gained
