"""A piece as its page is told it: blocks, yarns, figures, rows."""

from __future__ import annotations

import base64
from typing import Any

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.craft.tails import edge_begun
from pix2block.pages.preview import odd_rows_upright
from pix2block.study.study import Study
from pix2block.web.changes import changes_json
from pix2block.web.choices import cost_words
from pix2block.web.paragraph import paragraph_json
from pix2block.web.seen import seen_color
from pix2block.web.session import Session
from pix2block.web.states import State
from pix2block.web.stripe import striped_json
from pix2block.web.wanted import Wanted

NO_BLOCK = 255


def blocks_text(chart: Chart) -> str:
    """(height, width) yarn numbers, a byte each from the top left, in base64; 255: no block."""
    numbers = np.where(chart.blocks < 0, NO_BLOCK, chart.blocks).astype(np.uint8)
    return base64.b64encode(numbers.tobytes()).decode("ascii")


def piece_json(session: Session) -> dict[str, Any]:
    """All that a page shows of a piece as it stands."""
    with session.lock:
        state, version = session.state, session.version
        said = {"back": session.back_words, "again": session.again_words}
    return {**study_json(state.study, state.wanted), **said, "version": version}


def choice_json(session: Session, then: State) -> dict[str, Any]:
    """A choice as the piece would be with it, and what it would cost beside what is now."""
    cost = cost_words(session.study.amounts, then.study.amounts)
    return {**study_json(then.study, then.wanted), "cost": cost}


def study_json(study: Study, wanted: Wanted | None = None) -> dict[str, Any]:
    """The same of a piece that is not on the table, or not yet. wanted: what it was asked with."""
    chart = study.chart
    return {
        "title": chart.title,
        "width": chart.width,
        "height": chart.height,
        "corner": chart.start_corner,
        "hand": chart.hand,
        "last_row": chart.last_row,
        "made": chart.done.row if chart.done else 0,
        "upright": "odd" if odd_rows_upright(chart.layout) else "even",
        "counted": _counted(chart),
        "pictured": chart.means_fingerprint,
        "blocks": blocks_text(chart),
        "yarns": _yarns(study),
        "paragraph": paragraph_json(study, wanted or Wanted()),
        "tails": study.amounts.plan.tails,
        "minutes": 60 * (study.amounts.hours + study.amounts.weave_in_hours),
        "hanging": int(study.amounts.plan.attached_by_row.max()),
        "striped": striped_json(study),
        "border": _border(study),
        **changes_json(chart),
        "journal": [{"group": line.group, "words": line.words} for line in chart.mends],
    }


def _border(study: Study) -> dict[str, Any] | None:
    """The border's yarn and rounds, and how wide they are together, in sides of a block."""
    amounts = study.amounts
    if amounts.border is None:
        return None
    wide = amounts.border.added_cm / 2 / amounts.measures.block_cm
    border = amounts.border.border
    return {"yarn": border.yarn, "rounds": border.rounds, "blocks": round(wide, 3)}


def _counted(chart: Chart) -> list[list[Any]]:
    """Every tenth row with the column and line, from 0, of its first block, and the edge at which
    it is entered."""
    lines, columns, numbers = chart.layout.order
    found = []
    for row in chart.layout.rows[9::10]:
        first = int(np.searchsorted(numbers, row.number))
        found.append([row.number, int(columns[first]), int(lines[first]), edge_begun(row)])
    return found


def _yarns(study: Study) -> list[dict[str, Any]]:
    chart = study.chart
    return [
        {
            "name": yarn.name,
            "color": yarn.color,
            "seen": seen_color(yarn.color),
            "blocks": of.blocks,
            "tails": of.tails,
            "metres": round(of.metres, 1),
            "lack": of.short_by or 0,
        }
        for yarn, of in zip(chart.yarns, study.amounts.yarns, strict=True)
    ]
