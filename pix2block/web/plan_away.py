"""The stripe plan of a piece as it stands, as a file that `pix2block stripe` reads, and the list of
yarns that it names."""

from __future__ import annotations

import shlex
from collections.abc import Mapping
from typing import Any

from pix2block.ground.files import save_all
from pix2block.ground.frozen import dataclass
from pix2block.options.table import STRIPE
from pix2block.stripes.edges import stripes_made
from pix2block.study.study import Study
from pix2block.web.kinds import yarn_table
from pix2block.web.plan import data_of, text_of
from pix2block.web.rest import SPECS
from pix2block.web.session import Session
from pix2block.web.stripe import are_stripes
from pix2block.web.wanted import OF_FILES, Wanted, bare_name, in_place, place_of


@dataclass(frozen=True)
class PlanFile:
    """data: its bytes; purpose: what it is for."""

    data: bytes
    purpose: str


def plan_files(session: Session) -> Mapping[str, PlanFile]:
    """By name: the plan, and the yarns that it names; none of a piece that is no plan's."""
    study, wanted = session.study, session.state.wanted
    if not wanted.plan:
        return {}
    plan, said = _plan_of(study, wanted), "the stripe plan as it stands"
    if study.chart.mends and not _is_unrolled(study):
        said = "the stripe plan, without the mends by hand, which chart.json has"
    name = wanted.picture or "plan.toml"
    found = {name: PlanFile(text_of(plan).encode(), f"{said}: {_command(name, wanted)}")}
    if "shelf" in plan:
        shelf = bare_name(str(plan["shelf"]))
        data = in_place(session.folder, shelf).read_bytes()
        found[shelf] = PlanFile(data, "the yarns that the stripe plan names, to lie beside it")
    return found


def keep_plan(session: Session) -> None:
    """Write the plan into the piece's own place."""
    if files := plan_files(session):
        save_all(place_of(session.folder), {name: file.data for name, file in files.items()})


def _plan_of(study: Study, wanted: Wanted) -> dict[str, Any]:
    """The plan as it was last asked for; where stripes were changed by hand, stripe by stripe."""
    plan = data_of(wanted.plan)
    if _is_unrolled(study):
        return _unrolled(study)
    if "shelf" in wanted.words:
        plan.pop("yarn", None)
        plan = {"title": study.chart.title, **plan, "shelf": str(wanted.words["shelf"])}
    return {**plan, "title": study.chart.title}


def _is_unrolled(study: Study) -> bool:
    return bool(study.chart.mends) and are_stripes(study.amounts)


def _unrolled(study: Study) -> dict[str, Any]:
    """A plan of every stripe that there is, in the yarns of the piece."""
    chart, amounts = study.chart, study.amounts
    stripes = stripes_made(amounts)
    short = [y.name for y, of in zip(chart.yarns, amounts.yarns, strict=True) if of.short_by]
    plan: dict[str, Any] = {"title": chart.title}
    if chart.is_triangle:
        plan |= {"shape": "triangle", "rows": chart.last_row}
    else:
        plan |= {"width": chart.width, "length": chart.height}
        plan |= {"rows": chart.last_row} if chart.ends_early else {}
    plan |= {"buy": short} if short else {}
    plan["yarn"] = [yarn_table(yarn) for yarn in chart.yarns]
    order = [chart.yarns[one.yarn].name for one in stripes]
    plan["part"] = [{"order": order, "rows": [one.rows for one in stripes]}]
    return plan


def _command(name: str, wanted: Wanted) -> str:
    """What lays it out again on a command line."""
    words = ["pix2block", "stripe", name]
    for option, value in wanted.words.items():
        if STRIPE not in SPECS[option].commands or option in (*OF_FILES, "title"):
            continue
        if isinstance(value, str):
            words += [f"--{option.replace('_', '-')}", *([value] if value != "yes" else [])]
    return shlex.join(words)
