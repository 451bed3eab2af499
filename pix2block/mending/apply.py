"""Mends applied in order, each with its line in the journal; and taken back."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.chart.mend import Mend
from pix2block.chart.yarn_order import with_yarns
from pix2block.drawing.marks import with_marks
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.units import say_count
from pix2block.mending.asked import Done, quoted
from pix2block.mending.journal import before_of, lines_changed, taken_back, with_name
from pix2block.mending.verbs import verb_of
from pix2block.mending.words import Cost, cost_of, cost_words
from pix2block.yarn.yarn import Yarn, name_key

Asked = tuple[str, str]  # a mend's name, and its value as typed
_LINE = re.compile(r"line:([1-9]\d{0,5})")


@dataclass(frozen=True, eq=False)
class Mended:
    """A chart before and after a call. blocks: touched; lines: what was done, a sentence each."""

    before: Chart
    after: Chart
    blocks: int
    lines: tuple[str, ...]

    def __repr__(self) -> str:
        return f"Mended({self.after!r}, {len(self.lines)} lines)"

    @cached_property
    def cost(self) -> Cost:
        """The differences, as a line of the journal has them."""
        return cost_of(amounts_of(self.before), amounts_of(self.after), self.blocks)


def apply_mends(chart: Chart, mends: Sequence[Asked], more: Sequence[Yarn] = ()) -> Mended:
    """The chart with mends in the order given, all of one group. more: yarns that they may use.

    Raises BadInput for the first that cannot be, and nothing is changed.
    """
    before, amounts = chart, amounts_of(chart)
    group = max((line.group for line in chart.mends), default=0) + 1
    blocks, first = 0, len(chart.mends)
    for asked in mends:
        done = act(chart, asked, more)
        chart, amounts = entered(chart, done, asked, group, amounts)
        blocks += done.blocks
    words = tuple(line.words for line in chart.mends[first:])
    return Mended(before, chart, blocks, words)


def with_grid(chart: Chart, name: str, blocks: NDArray[np.int64], yarns: Sequence[Yarn]) -> Chart:
    """The chart with the blocks of a grid, as one line of its journal; the same where none is
    otherwise. name: of the grid's file; yarns: those that its blocks are numbers of.

    Raises BadInput for a grid of another size, or of other rows.
    """
    if blocks.shape != chart.blocks.shape:
        raise BadInput(
            f"{name} has {blocks.shape[1]} x {blocks.shape[0]} blocks, the chart.json beside it "
            f"{chart.width} x {chart.height}: give it the same size, or a folder of its own"
        )
    known = {name_key(yarn.name): i for i, yarn in enumerate(chart.yarns)}
    more = [yarn for yarn in yarns if name_key(yarn.name) not in known]
    known |= {name_key(yarn.name): len(known) + i for i, yarn in enumerate(more)}
    number = np.array([*(known[name_key(yarn.name)] for yarn in yarns), NO_BLOCK])
    changed = int((number[blocks] != chart.blocks).sum())
    if not changed:
        return chart
    after = replace(with_yarns(chart, (*chart.yarns, *more)), blocks=number[blocks])
    done = Done(with_marks(after), f"The blocks of {name}", changed)
    group = max((line.group for line in chart.mends), default=0) + 1
    return entered(chart, done, ("grid", name), group, amounts_of(chart))[0]


def act(chart: Chart, asked: Asked, more: Sequence[Yarn]) -> Done:
    """One mend, without its line in the journal."""
    name, value = asked
    verb = verb_of(name)
    try:
        done = verb(chart, value, more)
        return replace(done, chart=with_marks(done.chart))
    except BadInput as error:
        raise BadInput(
            Ask(name, quoted(value) if value else None), ": ", *error.advice.parts
        ) from None


def entered(
    chart: Chart, done: Done, asked: Asked, group: int, amounts: Amounts
) -> tuple[Chart, Amounts]:
    """The chart after a mend with its line in the journal, and what it takes. amounts: before."""
    name, value = asked
    before, mends = before_of(chart, done.chart), chart.mends
    if name == "rename":
        for was, now in zip(chart.yarns, done.chart.yarns, strict=True):
            mends = mends if was.name == now.name else with_name(mends, was.name, now.name)
        if changed := lines_changed(chart.mends, mends):
            before["lines"] = changed
    after = amounts_of(done.chart)
    cost = cost_of(amounts, after, done.blocks)
    line = Mend(name, value, group, f"{done.words}. {cost_words(cost)}", cost, before)
    return replace(done.chart, mends=(*mends, line)), after


def undo(chart: Chart, which: int | str) -> Mended:
    """The chart without the last so many lines of its journal, or without one, "line:5".

    Raises BadInput where there are not so many, or where a later line would come out otherwise.
    """
    found = _LINE.fullmatch(str(which))
    if found:
        return _undo_line(chart, int(found[1]))
    if not re.fullmatch(r"[1-9]\d{0,5}", str(which)):
        raise BadInput(Ask("undo", which), ': write how many of the last, or "line:5"')
    count, lines = int(which), []
    _refuse_more(chart, Ask("undo", which), count)
    now = chart
    for _ in range(count):
        lines.append(f"Taken back: {now.mends[-1].words}")
        now = taken_back(now)
    blocks = sum(line.cost.get("blocks", 0) for line in chart.mends[-count:])
    return Mended(chart, now, blocks, tuple(lines))


def _refuse_more(chart: Chart, ask: Ask, count: int) -> None:
    if count > len(chart.mends):
        raise BadInput(ask, f": the journal has {say_count(len(chart.mends), 'line')}")


def _undo_line(chart: Chart, number: int) -> Mended:
    _refuse_more(chart, Ask("undo", f"line:{number}"), number)
    states = [chart]  # the last one is before the line
    while len(states[-1].mends) >= number:
        states.append(taken_back(states[-1]))
    more = tuple({yarn.name: yarn for state in states for yarn in state.yarns}.values())
    words = states[-2].mends[-1].words
    blocks = states[-2].mends[-1].cost.get("blocks", 0)
    now, amounts = states.pop(), None
    states.pop()
    for state in reversed(states):
        line = state.mends[-1]
        asked = (line.mend, line.value)
        then = act(taken_back(state), asked, more)
        again = _again(now, asked, more, number, len(state.mends))
        if not _same_place(then, again):
            raise _otherwise(number, len(state.mends), line.words)
        now, amounts = entered(now, again, asked, line.group, amounts or amounts_of(now))
    return Mended(chart, now, blocks, (f"Taken back: {words}",))


def _again(now: Chart, asked: Asked, more: Sequence[Yarn], number: int, later: int) -> Done:
    try:
        return act(now, asked, more)
    except BadInput as error:
        raise _otherwise(number, later, str(error)) from None


def _otherwise(number: int, later: int, why: str) -> BadInput:
    return BadInput(
        Ask("undo", f"line:{number}"),
        f": line {later} rests on it ({why}): take back from the last line on",
    )


def _same_place(one: Done, other: Done) -> bool:
    """Whether two mends name the same blocks; of a piece of another shape they do not."""
    if one.at is None or other.at is None:
        return one.at is other.at
    return one.at.shape == other.at.shape and bool(np.array_equal(one.at, other.at))


def journal_lines(chart: Chart) -> list[str]:
    """The journal, a numbered line each."""
    return [f"{number}. {line.words}" for number, line in enumerate(chart.mends, 1)]
