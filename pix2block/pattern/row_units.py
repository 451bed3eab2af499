"""A row in units that do not break: each run with its bobbin, and what its ends do beside.

Pages set them; the plain text has words of its own, which the proof reads (`pattern.words`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pix2block.ground.frozen import dataclass
from pix2block.ground.units import say_metres
from pix2block.pattern.document import RowEntry
from pix2block.pattern.pattern import BobbinUse, PatternRow
from pix2block.pattern.words import cut_words

Winding = Mapping[tuple[int, int], float]  # metres of bobbins that start, by row and place in it


@dataclass(frozen=True)
class RunUnit:
    """A run. count: "" in gathered rows; bobbin: "#2", "" where none need be named; does: what is
    done with it, "new, wind 6.3 m"."""

    count: str
    name: str
    bobbin: str
    does: str


def run_units(entry: RowEntry, names: Sequence[str], winding: Winding) -> list[RunUnit]:
    """The runs of a row, or the one of gathered rows, in working order."""
    row, gathered = entry.rows[0], len(entry.rows) > 1
    units = []
    for place, (blocks, yarn) in enumerate(row.runs):
        use = row.bobbins[place]
        number, does = "", ""
        if not row.bobbins_plain:
            number = "" if use.number is None else f"#{use.number}"
            does = use_words(use, winding.get((row.row.number, place)))
        units.append(RunUnit("" if gathered else str(blocks), names[yarn], number, does))
    return units


def use_words(use: BobbinUse, metres: float | None, ends: bool = True) -> str:
    """ "new, wind 6.3 m", "only, 0.9 m", "behind 2.2, last". ends: else without what ends it."""
    length = say_metres(metres) if metres is not None else ""
    if use.number is None:
        return f"only, {length}" if length else "only"
    said = []
    if use.new:
        said.append(f"new, wind {length}" if length else "new")
    if use.behind_square is not None:
        said.append(f"behind {use.behind_square**0.5:.1f}")
    if use.last and ends:
        said.append("last")
    return ", ".join(said)


def blocks_words(entry: RowEntry) -> str:
    """ "14 blocks", "9 blocks each", "2 to 44 blocks, 1 more in each"."""
    low, high = entry.rows[0].row.blocks, entry.rows[-1].row.blocks
    if low == high:
        said = f"{low} block{'' if low == 1 else 's'}"
        return f"{said} each" if len(entry.rows) > 1 else said
    step = "1 more" if high > low else "1 fewer"
    return f"{low} to {high} blocks, {step} in each"


def turn_words(row: PatternRow, names: Sequence[str]) -> list[str]:
    """What a row does at its ends that its stretch does not: yarns cut before it, other colours at
    a turn."""
    cut = cut_words(row, names)
    said = [f"First cut {cut}."] if cut else []
    if row.travel_in is not None:
        said.append(f"Climb in {names[row.travel_in]}.")
    if row.stop_in is not None:
        said.append(f"Last slip stitch in {names[row.stop_in]}.")
    if row.last_loop_in is not None:
        said.append(f"Last loop in {names[row.last_loop_in]}.")
    return said
