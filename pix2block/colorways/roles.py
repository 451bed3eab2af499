"""Which yarn of a shelf takes which role of a chart: by its name, else by its place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pix2block.chart.chart import Chart
from pix2block.chart.yarn_order import renamed, with_yarns
from pix2block.ground.errors import BadInput
from pix2block.ground.units import say_count
from pix2block.yarn.yarn import Yarn, name_key


def roles_of(chart: Chart) -> tuple[str, ...]:
    """The roles of a design, by the names of the yarns that have them now: those that are used, in
    the chart's order."""
    return tuple(y.name for y, used in zip(chart.yarns, chart.used, strict=True) if used)


def cast(roles: Sequence[str], shelf: Sequence[Yarn]) -> tuple[Yarn, ...]:
    """(roles,) the yarn of a shelf for each role: the one of the role's name, or whose name begins
    with it ("Ground Chalk" for Ground); the roles that are left take the yarns that are left, both
    in their order.

    Raises BadInput where the shelf has too few.
    """
    if len(shelf) < len(roles):
        raise BadInput(
            f"{say_count(len(shelf), 'yarn')} for {say_count(len(roles), 'role')} "
            f"({', '.join(roles)}): add some"
        )
    found: dict[int, int] = {}
    for fits in (_is_called, _begins_with):
        for role, name in enumerate(roles):
            left = [i for i in range(len(shelf)) if i not in found.values()]
            if role not in found and (like := [i for i in left if fits(shelf[i].name, name)]):
                found[role] = like[0]
    left = [i for i in range(len(shelf)) if i not in found.values()]
    for role in range(len(roles)):
        if role not in found:
            found[role] = left.pop(0)
    return tuple(shelf[found[role]] for role in range(len(roles)))


def _is_called(yarn: str, role: str) -> bool:
    return name_key(yarn) == name_key(role)


def _begins_with(yarn: str, role: str) -> bool:
    return name_key(yarn).startswith(f"{name_key(role)} ")


def in_yarns(chart: Chart, yarns: Sequence[Yarn]) -> Chart:
    """The chart in other yarns, one a role; a piece of its own: no picture, journal, marks or made
    rows. Its strands are those of the chart."""
    used = [yarn for yarn, is_used in zip(chart.yarns, chart.used, strict=True) if is_used]
    plain = replace(chart, source=None, mends=(), marks=None, done=None, shielded=())
    return replace(renamed(with_yarns(plain, used), [y.name for y in yarns]), yarns=tuple(yarns))
