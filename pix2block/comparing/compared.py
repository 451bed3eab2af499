"""What changed from one chart to another: blocks, rows, yarn, tails, metres."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import Chart
from pix2block.ground.delimited import table
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import rounded, say_count, say_numbers
from pix2block.study.output import Output
from pix2block.yarn.yarn import name_key

_NO_YARN = ""


@dataclass(frozen=True)
class Change:
    """A block that changed. column, line: from the left and from the top; row, block: in the new
    chart's working order; all from 1; old, new: names of yarns, "" where no block is."""

    column: int
    line: int
    row: int
    block: int
    old: str
    new: str


@dataclass(frozen=True, eq=False)
class Compared:
    """Two charts compared. A block is unchanged where it has a yarn of the same name. outputs: its
    table of files; read: the charts' own; version: of the new pattern, as its credit tells. Of two
    sizes nothing is counted."""

    old: Chart
    new: Chart
    outputs: tuple[Output[Any], ...] = ()
    read: tuple[Path, ...] = ()
    version: str | None = None

    def __repr__(self) -> str:
        return f"Compared({self.old!r}, {self.new!r})"

    @property
    def alike(self) -> bool:
        """Whether both have one size, so that blocks can be compared."""
        return self.old.blocks.shape == self.new.blocks.shape

    @cached_property
    def changed(self) -> NDArray[np.bool_]:
        """(height, width) of the new chart: blocks that changed; none of two sizes."""
        if not self.alike:
            return np.zeros(self.new.blocks.shape, dtype=bool)
        number: dict[str, int] = {}
        old, new = (_by_names(chart, number) for chart in (self.old, self.new))
        return np.asarray(old != new)

    @cached_property
    def changes(self) -> tuple[Change, ...]:
        """Every block that changed, in the new chart's working order."""
        return tuple(self._changes())

    def _changes(self) -> Iterator[Change]:
        layout = self.new.layout  # beyond its end too, where only the old chart goes on
        lines, columns, rows = replace(layout, last_row=layout.all_rows).order
        first = np.searchsorted(rows, rows)
        for i in np.flatnonzero(self.changed[lines, columns]).tolist():
            line, column = int(lines[i]), int(columns[i])
            names = (_name(chart, line, column) for chart in (self.old, self.new))
            yield Change(column + 1, line + 1, int(rows[i]), i - int(first[i]) + 1, *names)

    @property
    def rows(self) -> list[int]:
        """Numbers of the rows in which a block changed, rising."""
        return sorted({change.row for change in self.changes})

    @cached_property
    def amounts(self) -> tuple[Amounts, Amounts]:
        """What each takes."""
        return amounts_of(self.old), amounts_of(self.new)

    @cached_property
    def metres_by_yarn(self) -> dict[str, list[float]]:
        """Metres of each yarn before and now, by its name; 0 where a chart has it not."""
        names: dict[str, str] = {}
        metres: list[dict[str, float]] = []
        for amounts in self.amounts:
            pairs = zip(amounts.chart.yarns, amounts.yarns, strict=True)
            metres.append({name_key(yarn.name): use.metres for yarn, use in pairs})
            names |= {name_key(yarn.name): yarn.name for yarn in amounts.chart.yarns}
        return {
            name: [round(one.get(key, 0.0), 2) for one in metres] for key, name in names.items()
        }


def _by_names(chart: Chart, number: dict[str, int]) -> NDArray[np.int64]:
    """The blocks, a yarn's number being that of its name in both charts."""
    keys = [name_key(yarn.name) for yarn in chart.yarns]
    for key in keys:
        number.setdefault(key, len(number))
    return np.array([*(number[key] for key in keys), -1])[chart.blocks]


def _name(chart: Chart, line: int, column: int) -> str:
    yarn = int(chart.blocks[line, column])
    return _NO_YARN if yarn < 0 else chart.yarns[yarn].name


def compared_json(compared: Compared) -> str:
    """What changed, for programs; nulls where two sizes are not counted."""
    if not compared.alike:
        keys = ("blocks_changed", "rows_changed", "yarn", "tails", "metres")
        return json.dumps(dict.fromkeys(keys), indent=2) + "\n"
    old, new = compared.amounts
    content = {
        "blocks_changed": len(compared.changes),
        "rows_changed": compared.rows,
        "yarn": compared.metres_by_yarn,
        "tails": [old.plan.tails, new.plan.tails],
        "metres": [rounded(amounts.metres, 2) for amounts in (old, new)],
    }
    return json.dumps(content, indent=2, ensure_ascii=False) + "\n"


def compared_csv(compared: Compared) -> str:
    """A line for each block that changed."""
    header = ("column", "line", "row", "block", "old", "new")
    return table(
        header, ((c.column, c.line, c.row, c.block, c.old, c.new) for c in compared.changes)
    )


def compared_lines(compared: Compared) -> list[str]:
    """What changed, in words, a line each."""
    if not compared.alike:
        sizes = (f"{c.width} x {c.height}" for c in (compared.old, compared.new))
        return [f"The charts have two sizes, {' and '.join(sizes)} blocks: nothing is counted"]
    if not compared.changes:
        lines = ["No block changed"]
    else:
        rows = say_numbers("row", compared.rows, 12)
        lines = [f"{say_count(len(compared.changes), 'block')} changed, in {rows}"]
    old, new = compared.amounts
    if old.plan.tails != new.plan.tails:
        lines.append(f"Tails: {old.plan.tails:,} → {new.plan.tails:,}")
    for name, (was, now) in compared.metres_by_yarn.items():
        if was != now:
            lines.append(f"{name}: {was:,.1f} → {now:,.1f} m")
    if round(old.metres, 2) != round(new.metres, 2):
        lines.append(f"In all: {old.metres:,.1f} → {new.metres:,.1f} m")
    return lines
