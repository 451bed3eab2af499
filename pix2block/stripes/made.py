"""Rows of a striped piece that are made: they stay, and the rest is laid anew from what is left."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from pathlib import Path

import numpy as np

from pix2block.amounts.run_out import RunOut, forecast
from pix2block.amounts.under_way import UnderWay
from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.made import made_up_to
from pix2block.chart.reading import read_chart
from pix2block.chart.yarn_order import with_numbers
from pix2block.color.spaces import Floats
from pix2block.craft.diagonal import Ints, Layout
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.options.table import Options
from pix2block.stripes.piece import Piece, striped
from pix2block.stripes.plan import Plan
from pix2block.yarn.yarn import name_key

_CHART = "chart.json"
_SLACK = 1.01  # of bounds: with other strands, loops so far come out a little otherwise

_WAY = ("start_corner", "hand", "block", "terms", "turn", "habit")
_OPTIONS = ("corner", "hand", "block", "terms", "turn", "habit", "reach", "rest", "edge")


@dataclass(frozen=True, eq=False)
class Made:
    """What is made of a piece. chart: as it was laid so far; laid: (rows,) yarn of each of its
    rows, by its number in the plan."""

    chart: Chart
    under_way: UnderWay
    laid: Ints

    def on(self, chart: Chart) -> Chart:
        """A chart of the plan with its first rows made as they were."""
        done = made_up_to(self.chart, self.under_way.done.row).done
        assert done
        place = {name_key(yarn.name): i for i, yarn in enumerate(chart.yarns)}
        numbers = [place.get(name_key(yarn.name), -1) for yarn in self.chart.yarns]
        return replace(chart, done=with_numbers(done, np.array(numbers)))

    @property
    def rows(self) -> Ints:
        """(rows made,) yarn of each."""
        return self.laid[: self.under_way.done.row]

    def way(self, template: Chart) -> Chart:
        """The template, worked as the rows that are made were."""
        return replace(template, **{name: getattr(self.chart, name) for name in _WAY})

    def fits(self, layout: Layout) -> bool:
        """Whether the rows that are made are rows of a piece of this layout, and the next is at
        hand as they say."""
        before = self.chart.layout
        same = (layout.width, layout.height) == (before.width, before.height)
        n = len(self.rows) + 1
        return n <= layout.last_row and (same or n <= min(before.height, layout.height))


@dataclass(frozen=True, eq=False, kw_only=True)
class RestOfPiece(Piece):
    """A piece of which some rows are made. made: these; so_far: how their loops came out, and what
    is left."""

    made: Made
    so_far: RunOut

    @property
    def may_be(self) -> bool:
        """Whether what is made is part of a piece of this layout."""
        return self.made.fits(self.layout)

    @property
    def begun(self) -> Ints:
        """(rows made,) yarn of each row that is made already."""
        return self.made.rows

    @cached_property
    def row_metres(self) -> Floats:
        """(yarns, rows) metres of each row as planned, so that stripes stay as they were."""
        return Piece(self.chart, self.layout, self.bought).row_metres

    @cached_property
    def loop_cm(self) -> Floats:
        """(yarns,) length of a loop as it came out, held double twice."""
        held = [yarn.held for yarn in self.chart.yarns]
        return np.array([of.loop_cm for of in self.so_far.yarns]) * held

    @cached_property
    def high(self) -> Floats:
        """(yarns,) the upper end of a length of the rest as a factor."""
        return np.array([1 + of.error for of in self.so_far.yarns])

    @cached_property
    def stock_cm(self) -> Floats:
        """(yarns,) what is left, and what the rows that are made take at least."""
        left = [np.inf if of.left_m is None else 100 * of.left_m for of in self.so_far.yarns]
        left = [np.inf if i in self.bought else cm for i, cm in enumerate(left)]
        as_laid = replace(self, layout=self.made.chart.layout)
        return np.asarray(np.array(left) * _SLACK + as_laid.least_cm(self.made.rows)[-1])

    def reaches(self, rows: Ints) -> bool:
        """Whether what is left is enough for the rest, by the figures of the forecast."""
        if not self.may_reach(self.least_cm(rows)[-1]):
            return False
        return not any(self._short(rows))

    def is_short(self, rows: Ints, yarn: int) -> bool:
        """Whether what is left of a yarn is not enough, by the figures of the forecast."""
        return self._short(rows)[yarn]

    def _short(self, rows: Ints) -> list[bool]:
        under_way = self.made.under_way
        chart = striped(self.chart, self.layout, rows)
        # Rows that are tried may have other yarns where rows are made: they are left out later.
        amounts = amounts_of(self.made.on(chart) if self.starts_with(rows) else chart)
        rest = forecast(amounts, under_way.done, under_way.left).yarns
        known = (None, "enough")
        return [of.verdict not in known and of.yarn not in self.bought for of in rest]


def open_made(plan: Plan, options: Options, folder: Path) -> Made | None:
    """The rows that are made of a plan, from the chart.json that is worked by; None where no row
    is told to be done.

    Raises BadInput where there is no such chart, or where it is not of this plan.
    """
    if options.done is None:
        if options.left:
            raise BadInput(Ask("left"), " tells what is left at some row: add ", Ask("done", "ROW"))
        return None
    path = folder / _CHART
    if not path.is_file():
        raise BadInput(
            Ask("done", options.done.row),
            ": the rest is laid anew behind the rows of the chart that you work by, and there is "
            f"no {path}: say its folder with ",
            Ask("out"),
        )
    chart, _ = read_chart(path.read_bytes(), str(path))
    for name in _OPTIONS:
        if getattr(options, name) is not None:
            raise BadInput(
                f"rows 1 to {options.done.row} are made, and stay as they are: leave out ",
                Ask(name),
            )
    if options.done.row >= chart.last_row:
        raise BadInput(
            Ask("done", options.done.row), f": the piece has {chart.last_row} rows; none is left"
        )
    laid = _rows(plan, chart, options.done.row, path)
    return Made(chart, UnderWay(options.done, options.left or ()), laid)


def _rows(plan: Plan, chart: Chart, done: int, path: Path) -> Ints:
    """(rows,) the yarn of each row of a kept chart, by its number in the plan."""
    numbers = {name_key(yarn.name): i for i, yarn in enumerate(plan.yarns)}
    of_chart = np.array([numbers.get(name_key(yarn.name), -1) for yarn in chart.yarns])
    rows = of_chart[chart.runs.color]
    triangle = chart.width == chart.height == chart.last_row
    of_width = triangle if plan.width is None else chart.width == plan.width
    if len(rows) != chart.last_row or (rows < 0).any() or not of_width:
        raise BadInput(
            f"{path} is not a piece of this plan: ",
            Ask("done", done),
            " goes on with a piece of the plan's width, its yarns and rows of one yarn each",
        )
    return np.asarray(rows, dtype=np.int64)


def rest_of(piece: Piece, made: Made) -> RestOfPiece:
    """A piece whose first rows are made, with loops as they came out and what is left of yarns."""
    worked = amounts_of(made.on(striped(piece.chart, made.chart.layout, made.laid)))
    so_far = forecast(worked, made.under_way.done, made.under_way.left)
    return RestOfPiece(piece.chart, piece.layout, piece.bought, made=made, so_far=so_far)
