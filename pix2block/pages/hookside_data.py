"""A piece as data for the hookside page: rows, runs, strands and what its yarn takes, in columns.

The page works from these alone. What it reckons itself, whether the yarn lasts, it reckons from the
figures that `amounts.run_out` works with, by the same formulas; a test compares the two.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

from pix2block.amounts.run_out import (
    CLEARLY,
    METRE_ERROR_M,
    OTHERS_ERROR,
    UNLIKE,
    WEIGHING_ERROR_G,
    border_metres,
    others_cm,
)
from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.ground.units import rounded
from pix2block.pattern.pattern import PatternRow, gather_rows
from pix2block.pattern.words import stitch_parts
from pix2block.yarn.guess import LENGTH_BAND
from pix2block.yarn.swatch import HAND_ERROR

_NONE = -1
_BEGINS = ("corner", "grow", "travel")


def piece_key(chart: Chart) -> str:
    """By which a page knows its piece again, also after yarns or blocks were changed: its title,
    size, hand and where it starts."""
    told = (chart.title, chart.width, chart.height, chart.start_corner, chart.hand, chart.block)
    return hashlib.sha256(repr(told).encode()).hexdigest()[:12]


def piece_data(amounts: Amounts, rows: Sequence[PatternRow]) -> dict[str, Any]:
    """All that the page knows. rows: as `write_rows` gives them."""
    chart, pace = amounts.chart, amounts.chart.pace
    return {
        "title": chart.title,
        "key": piece_key(chart),
        "hand": chart.hand,
        "terms": chart.terms,
        "width": chart.width,
        "height": chart.height,
        "turned": _is_turned(chart),
        "pace": {"block": pace.block, "change": pace.change},
        "parts": {name.lower(): f"{text}." for name, text in stitch_parts(chart).items()},
        "yarns": _yarns(amounts),
        "rows": _rows(rows),
        "groups": [
            [group[0].row.number, group[-1].row.number]
            for group in gather_rows(rows)
            if len(group) > 1
        ],
        "runs": _runs(amounts),
        "strands": _strands(amounts),
        "done": [chart.done.row, chart.done.run] if chart.done else None,
        "cuts": {str(row): list(strands) for row, strands in amounts.plan.cuts.items()},
        "forecast": _forecast(amounts),
    }


def _is_turned(chart: Chart) -> bool:
    """Whether, as held with the right side facing, t = dx - dy grows from right to left: odd rows
    of a right-handed piece go that way, and t grows in them where they begin at the vertical edge;
    for the left hand both are the other way round."""
    return chart.start_corner in ("bottom-right", "top-left")


def _yarns(amounts: Amounts) -> list[dict[str, Any]]:
    chart, measures = amounts.chart, amounts.measures
    told = zip(chart.yarns, measures.loop_cm, measures.bands, strict=True)
    return [
        {
            "name": yarn.name,
            "color": yarn.color,
            "held": yarn.held,
            "on_hand": yarn.on_hand_m,
            "per_gram": yarn.metres / yarn.grams if yarn.metres and yarn.grams else None,
            "loop_cm": float(loop_cm),
            "band": [float(low), float(high)],
            "border": border_metres(amounts, number, float(loop_cm)),
        }
        for number, (yarn, loop_cm, (low, high)) in enumerate(told)
    ]


def _rows(rows: Sequence[PatternRow]) -> dict[str, list[int]]:
    def number(yarn: int | None) -> int:
        return _NONE if yarn is None else yarn

    return {
        "runs": [len(row.runs) for row in rows],
        "begins": [_BEGINS.index(row.row.begins) for row in rows],
        "stops": [int(row.row.ends == "stop") for row in rows],
        "marker": [int(row.row.marker) for row in rows],
        "plain": [int(row.bobbins_plain) for row in rows],
        "travel_in": [number(row.travel_in) for row in rows],
        "stop_in": [number(row.stop_in) for row in rows],
        "last_loop_in": [number(row.last_loop_in) for row in rows],
    }


def _runs(amounts: Amounts) -> dict[str, list[Any]]:
    runs, plan = amounts.chart.runs, amounts.plan
    return {
        "blocks": runs.blocks.tolist(),
        "yarn": runs.color.tolist(),
        "strand": plan.strand.tolist(),
        "behind": [
            round(square**0.5, 2) if square > 1 else 0 for square in plan.float_squares.tolist()
        ],
    }


def _strands(amounts: Amounts) -> dict[str, list[Any]]:
    """Of each its yarn, its bobbin's number (0 where it works one run alone), and the metres to
    wind, None where it comes off the skein."""
    bobbins = amounts.bobbins
    return {
        "yarn": [bobbin.yarn for bobbin in bobbins],
        "number": [0 if bobbin.number is None else bobbin.number for bobbin in bobbins],
        "metres": [None if b.from_skein else rounded(b.metres, 1) for b in bobbins],
    }


def _forecast(amounts: Amounts) -> dict[str, Any]:
    return {
        "loops": amounts.run_loops.tolist(),
        "tail_cm": amounts.chart.tail_cm,
        "others": [rounded(cm, 2) for cm in others_cm(amounts).tolist()],
        "weighing_g": WEIGHING_ERROR_G,
        "metre_m": METRE_ERROR_M,
        "hand": HAND_ERROR,
        "hands": list(LENGTH_BAND),
        "unlike": list(UNLIKE),
        "clearly": CLEARLY,
        "of_others": OTHERS_ERROR,
    }
