"""A chart in the yarns of a shelf, judged on the roles that touch."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import Chart
from pix2block.color.deficiency import SIGHTS, Sight, lab_in_sight
from pix2block.ground.delimited import table
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import fixed, rounded, say_metres
from pix2block.study.output import Output
from pix2block.trial.neighbours import TOLD_APART, Pair, Weakest, touching_pairs, weakest

IN_SIGHT: dict[Sight, str] = {
    "normal": "",
    "grey": "in grey",
    "protan": "without red cones",
    "deutan": "without green cones",
    "tritan": "without blue cones",
}
_LIGHTS_APART = 5.0  # L*, under which two yarns are one grey: from memory


@dataclass(frozen=True, eq=False)
class Colorway:
    """A chart in one shelf's yarns, in the order of the roles. name: of the shelf; as_made: in the
    yarns that the chart has."""

    name: str
    amounts: Amounts
    pairs: tuple[Pair, ...]
    as_made: bool = False

    def __repr__(self) -> str:
        return f"Colorway({self.name!r}, {len(self.chart.yarns)} yarns)"

    @property
    def chart(self) -> Chart:
        """The chart in these yarns."""
        return self.amounts.chart

    @cached_property
    def weakest(self) -> tuple[Weakest, ...]:
        """In each sight the roles that touch and are least told apart; none where none touch."""
        found = (weakest(self.pairs, self.chart.yarn_rgb, sight) for sight in SIGHTS)
        return tuple(one for one in found if one)

    def lighter(self, pair: Pair) -> bool:
        """Whether the first of two roles is the lighter one."""
        light = lab_in_sight(self.chart.yarn_rgb, "normal")[:, 0]
        return bool(light[pair.one] > light[pair.other])


@dataclass(frozen=True, eq=False)
class Colorways:
    """One chart in several colourways: first as it is made, then one a shelf. outputs: its table of
    files; read: those that were read; notes: a sentence each."""

    title: str
    roles: tuple[str, ...]
    colorways: tuple[Colorway, ...]
    outputs: tuple[Output[Any], ...] = ()
    read: tuple[Path, ...] = ()
    notes: tuple[str, ...] = ()

    def __repr__(self) -> str:
        return f"Colorways({self.title!r}, {len(self.colorways)})"

    def said_of(self, colorway: Colorway) -> list[str]:
        """How it is judged, a sentence each."""
        return list(self._said(colorway))

    def _said(self, colorway: Colorway) -> Iterator[str]:
        weak: dict[Pair, list[str]] = {}
        for one in colorway.weakest:
            grey = one.sight == "grey"
            least = one.light if grey else one.color
            if least.difference < (_LIGHTS_APART if grey else TOLD_APART):
                weak.setdefault(least.pair, []).append(IN_SIGHT[one.sight])
        for pair, where in weak.items():
            # What is not told apart by any eye need not be said of each.
            ways = "" if "" in where else f" {say_all(where)}"
            yield f"{self._both(pair)}, which touch, are hardly told apart{ways}"
        if not weak and colorway.weakest:
            nearest = self._both(colorway.weakest[0].color.pair)
            yield (
                "Roles that touch are told apart, in grey and by other eyes too; nearest are "
                f"{nearest}"
            )
        turned = [p for p in colorway.pairs if colorway.lighter(p) != self.colorways[0].lighter(p)]
        if turned:
            of = max(turned, key=lambda pair: pair.share)
            yield f"Light and dark change places, most of all between {self._both(of)}"

    def _both(self, pair: Pair) -> str:
        return f"{self.roles[pair.one]} and {self.roles[pair.other]}"


def colorway_of(name: str, chart: Chart, like: Colorway | None = None) -> Colorway:
    """A chart in its yarns. like: the same chart in others, whose strands and touching roles it
    has."""
    if like is None:
        return Colorway(name, amounts_of(chart), touching_pairs(chart.blocks), as_made=True)
    return Colorway(name, amounts_of(chart, like.amounts.plan), like.pairs)


def say_all(words: Sequence[str]) -> str:
    """ "a, b and c"."""
    return " and ".join([*([", ".join(words[:-1])] if len(words) > 1 else []), words[-1]])


def colorways_lines(of: Colorways) -> list[str]:
    """Each colourway: its yarns by role, and how it is judged."""
    lines = [f"{of.title} by role: {', '.join(of.roles)}"]
    for colorway in of.colorways:
        lines.append(f"{colorway.name}:")
        names = [yarn.name for yarn in colorway.chart.yarns]
        if not colorway.as_made:
            pairs = zip(of.roles, names, strict=True)
            lines.append(f"  {', '.join(f'{role} in {name}' for role, name in pairs)}")
        lines += [f"  {said}" for said in of.said_of(colorway)]
    return lines


def materials(of: Colorways) -> list[list[str]]:
    """(roles, colourways) what each role takes in each colourway: yarn, metres to be safe, whole
    skeins where they are known."""
    return [[_needed(colorway, role) for colorway in of.colorways] for role in range(len(of.roles))]


def _needed(colorway: Colorway, role: int) -> str:
    yarn, takes = colorway.chart.yarns[role], colorway.amounts.yarns[role]
    words = f"{yarn.name}: {say_metres(takes.metres_high)}"
    if takes.skeins is None:
        return words
    return f"{words}, {takes.skeins} {'skein' if takes.skeins == 1 else 'skeins'}"


def colorways_csv(of: Colorways) -> str:
    """A line for each role of each colourway."""
    header = "colorway role yarn color blocks metres metres_high grams skeins"
    lines = [
        (
            *(colorway.name, role, yarn.name, yarn.color, takes.blocks),
            *(fixed(takes.metres, 2), fixed(takes.metres_high, 2), fixed(takes.grams, 1)),
            "" if takes.skeins is None else takes.skeins,
        )
        for colorway in of.colorways
        for role, yarn, takes in zip(
            of.roles, colorway.chart.yarns, colorway.amounts.yarns, strict=True
        )
    ]
    return table(header.split(), lines)


def colorways_json(of: Colorways) -> str:
    """The same for programs, with what is least told apart in each sight."""
    content = {
        "roles": list(of.roles),
        "colorways": [
            {
                "name": colorway.name,
                "yarns": [yarn.name for yarn in colorway.chart.yarns],
                "colors": [yarn.color for yarn in colorway.chart.yarns],
                "metres": rounded(colorway.amounts.metres, 2),
                "weakest": [
                    {
                        "sight": one.sight,
                        "roles": [of.roles[one.color.pair.one], of.roles[one.color.pair.other]],
                        "difference": rounded(one.color.difference, 3),
                        "light_roles": [
                            of.roles[one.light.pair.one],
                            of.roles[one.light.pair.other],
                        ],
                        "light_difference": rounded(one.light.difference, 3),
                    }
                    for one in colorway.weakest
                ],
                "said": of.said_of(colorway),
            }
            for colorway in of.colorways
        ],
    }
    return json.dumps(content, indent=2, ensure_ascii=False) + "\n"
