"""Mends applied in order, each with its line in the journal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np

from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.mend import Mend
from pix2block.drawing.marks import with_marks
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput, refuse
from pix2block.ground.frozen import dataclass
from pix2block.mending.asked import Done, Given, Read, no_file, pairs, quoted
from pix2block.mending.calming_verbs import percent_of
from pix2block.mending.journal import before_of, lines_changed, with_name
from pix2block.mending.lettering import harmed
from pix2block.mending.made import refuse_made, refuse_other_shape
from pix2block.mending.places import Mask
from pix2block.mending.verbs import CALM, GRID, TEXT, verb_of
from pix2block.mending.words import Cost, cost_of, cost_words
from pix2block.yarn.yarn import Yarn

Asked = tuple[str, str]  # a mend's name, and its value as typed


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


def apply_mends(
    chart: Chart,
    mends: Sequence[Asked],
    more: Sequence[Yarn] = (),
    read: Read = no_file,
) -> Mended:
    """The chart with mends in the order given, all of one group. more: yarns that they may use;
    read: opens a file that is placed.

    Raises BadInput with every mend that cannot be, and nothing is changed.
    """
    call = Call(chart, amounts_of(chart), next_group(chart))
    faults: list[BadInput] = []
    for number, asked in enumerate(mends):
        try:
            if asked[0] == CALM and number < len(mends) - 1:
                raise BadInput(Ask(CALM), " comes last in a call")
            if asked[0] == CALM and faults:
                _check_percent(asked)  # what was touched is not known
                continue
            call = call.with_mend(asked, more, read)
        except BadInput as error:
            faults.append(error)
    refuse(faults)
    words = tuple(line.words for line in call.chart.mends[len(chart.mends) :])
    return Mended(chart, call.chart, call.blocks, (*words, *harmed(chart, call.chart)))


def next_group(chart: Chart) -> int:
    """The number of the next group of mends that are made at once."""
    return max((line.group for line in chart.mends), default=0) + 1


@dataclass(frozen=True, eq=False)
class Call:
    """A chart with mends of one group so far. amounts: what it takes; blocks: that they touched in
    all; touched, letters: (height, width) those that they touched, and wrote, None before any."""

    chart: Chart
    amounts: Amounts
    group: int
    blocks: int = 0
    touched: Mask | None = None
    letters: Mask | None = None

    def with_mend(
        self,
        asked: Asked,
        more: Sequence[Yarn] = (),
        read: Read = no_file,
    ) -> Call:
        """With one more. Raises BadInput where it cannot be."""
        given = Given(more, read, self.touched, self.letters)
        return self.with_done(act(self.chart, asked, given), asked)

    def with_done(self, done: Done, asked: Asked) -> Call:
        """With one more that is done."""
        if asked[0] == GRID and done.chart is self.chart:
            return self
        none = np.zeros(self.chart.blocks.shape, dtype=bool)
        letters = done.move(none if self.letters is None else self.letters).astype(bool)
        if asked[0] == TEXT and done.at is not None:
            letters = letters | done.at
        chart, amounts = entered(self.chart, done, asked, self.group, self.amounts)
        return Call(
            chart,
            amounts,
            self.group,
            self.blocks + done.blocks,
            done.touched(self.chart, none if self.touched is None else self.touched),
            letters,
        )


def act(chart: Chart, asked: Asked, given: Given) -> Done:
    """One mend, without its line in the journal."""
    verb = verb_of(asked[0])
    try:
        refuse_other_shape(chart, asked[0])
        done = verb(chart, asked[1], given)
        refuse_made(chart, done.at)
        return done if done.chart is chart else replace(done, chart=with_marks(done.chart))
    except BadInput as error:
        raise _of_mend(asked, error) from None


def _check_percent(asked: Asked) -> None:
    try:
        percent_of(asked[1])
    except BadInput as error:
        raise _of_mend(asked, error) from None


def _of_mend(asked: Asked, error: BadInput) -> BadInput:
    name, value = asked
    if name == GRID:  # which is no option
        return error
    return BadInput(Ask(name, quoted(value) if value else None), ": ", *error.advice.parts)


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
    placed = pairs(done.at) if done.placed and done.at is not None else ()
    words = f"{done.words}. {cost_words(cost)}"
    line = Mend(name, value, group, words, cost, before, placed)
    with_line = replace(done.chart, mends=(*mends, line))
    with_line.__dict__["plan"] = after.plan  # it does not hang on the journal
    return with_line, after
