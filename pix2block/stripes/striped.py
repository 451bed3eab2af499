"""A striped piece, several side by side, and the files that only stripes have."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

from pix2block.color.spaces import rgb_array
from pix2block.color.yarn_color import parse_yarn_color
from pix2block.drawing.png import png
from pix2block.drawing.shapes import Drawing
from pix2block.drawing.svg import svg
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.frozen import dataclass
from pix2block.reports.summary import summary
from pix2block.stripes.connect import rank_connections, straight_step
from pix2block.stripes.connect_sheet import connect_sheet
from pix2block.stripes.edges import Climbs, climbs_of
from pix2block.stripes.laying import gradient_path
from pix2block.stripes.plan import Plan
from pix2block.stripes.sheet import PNG_SCALE, stripes_sheet
from pix2block.stripes.spans import Span
from pix2block.stripes.steps import MOST_FREE, Order, boldest_order, gentlest_order
from pix2block.stripes.words import (
    connection_lines,
    order_line,
    plan_table,
    stripe_lines,
    stripes_csv,
)
from pix2block.study.output import Output
from pix2block.study.study import Study
from pix2block.yarn.yarn import Yarn, name_key


@dataclass(frozen=True)
class Connections:
    """What connects two yarns: drawn, and in words, a line each."""

    sheet: Drawing
    lines: tuple[str, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class Striped(Study):
    """A piece from a stripe plan; its chart holds the yarns that the plan names. spans: the rows of
    its parts."""

    planned: Plan
    spans: tuple[Span, ...]

    @property
    def shelf(self) -> tuple[Yarn, ...]:
        """The yarns of its plan."""
        return self.planned.yarns

    @cached_property
    def is_as_planned(self) -> bool:
        """Whether it is in stripes as its plan laid them: no mend came, each row is of one yarn."""
        return not self.chart.mends and len(self.chart.runs) == self.chart.last_row

    @cached_property
    def decided(self) -> tuple[str, ...]:
        """How the plan came out, and what connects two yarns where that was asked."""
        if not self.is_as_planned:
            return self.decisions
        told = self.planned, self.amounts, self.spans
        lines = stripe_lines(*told, self.gradients, self.climbs)
        return (*lines, *(self.connections.lines if self.connections else ()))

    @cached_property
    def gradients(self) -> dict[int, Order]:
        """The yarns of each part that is a gradient, from its first to its last."""
        plan = self.planned
        return {
            number: gradient_path(part, plan.yarns)
            for number, part in enumerate(plan.parts)
            if part.gradient
        }

    @cached_property
    def climbs(self) -> Climbs:
        """What leading yarn up the edge leaves in tails, as it is done and otherwise."""
        return climbs_of(self.amounts)

    @cached_property
    def stripes(self) -> Drawing:
        """The stripes at true proportion."""
        return stripes_sheet([self.amounts])

    @cached_property
    def connections(self) -> Connections | None:
        """What connects two yarns, where that was asked."""
        ends = self.options.connect
        return _connections(self.planned, ends) if ends else None

    @property
    def more_outputs(self) -> tuple[Output[Any], ...]:
        """The files that only stripes have, as long as it is in stripes."""
        return STRIPE_OUTPUTS if self.is_as_planned else ()


def _connections(plan: Plan, ends: Sequence[str]) -> Connections:
    """What connects two yarns or colours."""
    (first, from_color), (second, to_color) = (_name_and_color(plan, name) for name in ends)
    others = [yarn for yarn in plan.yarns if yarn.name not in (first, second)]
    ranked = rank_connections(from_color, to_color, others)
    lines = connection_lines(first, second, straight_step(from_color, to_color), ranked)
    named = [plan.yarns[i] for i in plan.named]
    if 3 <= len(named) <= MOST_FREE:
        colors, names = rgb_array([y.color for y in named]), [y.name for y in named]
        lines.append(order_line("gentlest", names, gentlest_order(colors)))
        lines.append(order_line("boldest", names, boldest_order(colors)))
    sheet = connect_sheet((first, from_color), (second, to_color), ranked)
    return Connections(sheet, tuple(lines))


def _name_and_color(plan: Plan, word: str) -> tuple[str, str]:
    for yarn in plan.yarns:
        if name_key(yarn.name) == name_key(word):
            return yarn.name, yarn.color
    try:
        return word, parse_yarn_color(word)
    except BadInput:
        known = [yarn.name for yarn in plan.yarns]
        raise BadInput(Ask("connect"), f" {unknown('yarn', word, known)}") from None


_STRIPES = (
    "of a stripe plan: the fabric at true proportion with the row where each yarn is last used, "
    "and every stripe with its rows, yarn, edges and tails"
)
_CONNECT = "yarns ranked by how well they connect two colours"

STRIPE_OUTPUTS: tuple[Output[Striped], ...] = (
    Output("stripes.png", _STRIPES, lambda piece: png(piece.stripes, PNG_SCALE)),
    Output("stripes.svg", _STRIPES, lambda piece: svg(piece.stripes).encode()),
    Output("stripes.csv", _STRIPES, lambda piece: stripes_csv(piece.amounts, piece.spans).encode()),
    Output(
        "connect.png",
        _CONNECT,
        lambda piece: png(_sheet_of_connections(piece), PNG_SCALE),
        can=lambda piece: bool(piece.options.connect),
        option="connect",
    ),
    Output(
        "connect.svg",
        _CONNECT,
        lambda piece: svg(_sheet_of_connections(piece)).encode(),
        can=lambda piece: bool(piece.options.connect),
        option="connect",
    ),
)


def _sheet_of_connections(piece: Striped) -> Drawing:
    assert piece.connections
    return piece.connections.sheet


@dataclass(frozen=True, eq=False)
class SideBySide:
    """Several plans at one scale, to be compared before any stitch. read: the files that were read
    for them."""

    pieces: tuple[Striped, ...]
    read: tuple[Path, ...] = ()

    @cached_property
    def sheet(self) -> Drawing:
        """All of them, drawn beside each other."""
        return stripes_sheet([piece.amounts for piece in self.pieces])

    @property
    def outputs(self) -> tuple[Output[Any], ...]:
        """The files that can be made of them."""
        return PLANS_OUTPUTS

    @property
    def lines(self) -> list[str]:
        """Their figures in a table, a line each."""
        return plan_table([piece.amounts for piece in self.pieces])

    @property
    def json(self) -> str:
        """Their figures, for programs."""
        figures = [
            {"plan": Path(piece.planned.file).name, **summary(piece)} for piece in self.pieces
        ]
        return json.dumps(figures, indent=1) + "\n"


_PLANS = "of several stripe plans: all of them at one scale"
PLANS_OUTPUTS: tuple[Output[SideBySide], ...] = (
    Output("plans.png", _PLANS, lambda plans: png(plans.sheet, PNG_SCALE)),
    Output("plans.svg", _PLANS, lambda plans: svg(plans.sheet).encode()),
)
