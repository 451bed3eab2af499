"""Mends taken back, and lines of a journal done again, on the same chart or on another."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import NO_BLOCK, Chart
from pix2block.chart.mend import Mend
from pix2block.chart.yarn_order import renamed
from pix2block.drawing.marks import with_marks
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.progress import Progress
from pix2block.ground.units import say_count
from pix2block.mending.apply import Call, Mended, act
from pix2block.mending.asked import Done, Given, no_file
from pix2block.mending.calming_verbs import REST
from pix2block.mending.journal import taken_back
from pix2block.mending.made import with_made
from pix2block.mending.placing import with_cells
from pix2block.mending.verbs import CALM
from pix2block.yarn.yarn import Yarn, name_key

_LINE = re.compile(r"line:([1-9]\d{0,5})")
OF_FILES = ("insert", "grid", "edited", REST)  # done again by the blocks that they gave
_WORKED = ("start_corner", "hand", "block", "terms", "turn")


@dataclass(frozen=True, eq=False)
class Step:
    """A line of a journal as it was written, with the chart before and after it."""

    line: Mend
    before: Chart
    after: Chart

    @property
    def new_yarns(self) -> tuple[Yarn, ...]:
        """The yarns that came in with it."""
        before = {name_key(yarn.name) for yarn in self.before.yarns}
        return tuple(yarn for yarn in self.after.yarns if name_key(yarn.name) not in before)


def steps_of(chart: Chart) -> list[Step]:
    """The journal's lines in order. Raises BadInput where one does not fit the chart."""
    steps = []
    while chart.mends:
        before = taken_back(chart)
        steps.append(Step(chart.mends[-1], before, chart))
        chart = before
    return steps[::-1]


def done_again(call: Call, step: Step, more: Sequence[Yarn]) -> Done:
    """A line's mend, done to the call's chart. more: yarns that it may use.

    Raises BadInput where a place or a yarn is gone.
    """
    line = step.line
    if line.mend in OF_FILES:
        return replace(_placed_again(call.chart, step), placed=bool(line.placed))
    return act(
        call.chart, (line.mend, line.value), Given(more, no_file, call.touched, call.letters)
    )


def _placed_again(chart: Chart, step: Step) -> Done:
    """The blocks that a file, or a hand, gave."""
    ask = Ask(step.line.mend, step.line.value)
    if chart.blocks.shape != step.before.blocks.shape or "last_row" in step.line.before:
        raise BadInput(ask, ": the piece is of another size now")
    chart = _called_again(chart, step)
    at = np.zeros(chart.blocks.shape, dtype=bool)
    placed = step.line.placed or [at[:2] for at in step.line.before.get("blocks", ())]
    for line, column in placed:
        at[line, column] = True
    over = np.where(at, step.after.blocks, NO_BLOCK)
    after, _ = with_cells(chart, over, step.after.yarns)
    told = {f: getattr(step.after, f) for f in _WORKED if f in step.line.before}
    after = with_marks(replace(after, **told))
    words = step.line.words.rpartition(". ")[0]
    changed = int((after.blocks != chart.blocks).sum())
    return Done(after, words, changed, at=at & (chart.blocks != NO_BLOCK))


def _called_again(chart: Chart, step: Step) -> Chart:
    """The chart with the names and colours that a hand changed."""
    now = {
        name_key(one.name): other
        for one, other in zip(step.before.yarns, step.after.yarns, strict=False)
        if (one.name, one.color) != (other.name, other.color)
    }
    if step.line.mend != "edited" or not now:
        return chart
    yarns = [now.get(name_key(yarn.name), yarn) for yarn in chart.yarns]
    called = renamed(chart, [yarn.name for yarn in yarns])
    both = zip(called.yarns, yarns, strict=True)
    return replace(called, yarns=tuple(replace(own, color=of.color) for own, of in both))


def undo(chart: Chart, which: int | str) -> Mended:
    """The chart without the last so many lines of its journal, or without one, "line:5".

    Raises BadInput where there are not so many, or where a later line would come out otherwise.
    """
    found = _LINE.fullmatch(str(which))
    if found:
        return without_lines(chart, [int(found[1])])
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


def without_lines(chart: Chart, numbers: Sequence[int], progress: Progress | None = None) -> Mended:
    """The chart without lines of one group of its journal, counted from 1, rising. The group is
    made again from its first line on, so that what was calmed at its end is by what is then
    touched. progress: called with later lines done again, and in all.

    Raises BadInput where there is no such line, or a later one would come out otherwise.
    """
    number = numbers[0]
    _refuse_more(chart, Ask("undo", f"line:{numbers[-1]}"), numbers[-1])
    steps = steps_of(replace(chart, done=None))
    gone = [steps[number - 1] for number in numbers]
    more = tuple({y.name: y for step in steps[number - 1 :] for y in step.before.yarns}.values())
    more += chart.yarns
    first = next(i for i, step in enumerate(steps) if step.line.group == gone[0].line.group)
    try:
        start = with_made(chart, steps[first].before)
    except BadInput as error:
        raise BadInput(f"line {number} of the journal stays: {error}") from None
    call = Call(start, amounts_of(start), gone[0].line.group)
    for at, step in enumerate(steps[first:], first + 1):
        if progress:
            progress(at - first - 1, len(steps) - first)
        if at in numbers:
            continue
        if step.line.group != call.group:
            call = Call(call.chart, call.amounts, step.line.group)
        try:
            again = done_again(call, step, more)
            same = at < number or _same_place(_then(step, more), again)
        except BadInput as error:
            raise _otherwise(number, at, str(error)) from None
        if not same:
            raise _otherwise(number, at, step.line.words)
        call = call.with_done(again, (step.line.mend, step.line.value))
    blocks = sum(step.line.cost.get("blocks", 0) for step in gone)
    words = tuple(f"Taken back: {step.line.words}" for step in reversed(gone))
    return Mended(chart, call.chart, blocks, words)


def _then(step: Step, more: Sequence[Yarn]) -> Done:
    """What a line did, as far as it tells which blocks it named."""
    if step.line.mend == CALM:
        return Done(step.after, step.line.words, 0)
    return done_again(Call(step.before, amounts_of(step.before), step.line.group), step, more)


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
