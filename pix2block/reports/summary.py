"""summary.json: every total of a piece, for programs."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from pix2block.craft.tails import TAIL_PLACES
from pix2block.ground.units import rounded
from pix2block.proof.compare import Proof
from pix2block.reports.forecast import forecast_figures
from pix2block.reports.shopping import cost_figures
from pix2block.study.study import Study


def summary(study: Study) -> dict[str, Any]:
    """The figures of summary.json, rounded as they are written; None where unknown."""
    amounts, chart, plan = study.amounts, study.chart, study.plan
    runs, seen = chart.runs, study.kept.seen
    mean, p95 = study.color_error
    return {
        "rows": chart.last_row,
        "blocks": int(runs.blocks.sum()),
        "changes_in_rows": int(runs.changes_in_rows.sum()),
        "changes_at_turns": int(runs.changes_at_turns.sum()),
        "runs": len(runs),
        "strands": plan.strands,
        "tails": plan.tails,
        "joins": amounts.joins,
        "most_attached": int(plan.attached_by_row.max()),
        "floats": plan.floats,
        "float_sides": rounded(float(plan.float_sides.sum()), 2),
        "color_error_mean": rounded(mean, 3),
        "color_error_p95": rounded(p95, 3),
        "seen_near": rounded(seen.near if seen else None, 3),
        "seen_far": rounded(seen.far if seen else None, 3),
        "palette_gap": rounded(chart.source.palette_gap if chart.source else None, 6),
        "calm": _calm_figures(study),
        "block_cm": rounded(amounts.measures.block_cm, 2),
        "finished_size_cm": [rounded(side, 2) for side in amounts.finished_size_cm],
        "metres": rounded(amounts.metres, 2),
        "hours": rounded(amounts.hours, 2),
        "weave_in_hours": rounded(amounts.weave_in_hours, 2),
        "checked": study.proof.holds if study.proof else None,
        "tail_ending": chart.tail_ending,
        "tails_at": dict(zip(TAIL_PLACES, amounts.tails.by_place.tolist(), strict=True)),
        "features_lost": [
            {"place": f.place, "blocks": f.blocks, "color": f.color} for f in study.lost
        ],
        **cost_figures(amounts, study.costs),
        "forecast": forecast_figures(study.run_out, study.rescue)
        if study.run_out and study.rescue
        else None,
    }


def _calm_figures(study: Study) -> dict[str, Any] | None:
    calmed, tails = study.chart.calmed, study.calming_tails
    if calmed is None:
        return None
    return {
        "percent": calmed.percent,
        "tails_before": tails[0] if tails else None,
        "error_before": rounded(calmed.error_before, 3),
        "error_after": rounded(calmed.error_after, 3),
        "mean_before": rounded(calmed.mean_before, 3),
        "mean_after": rounded(calmed.mean_after, 3),
    }


def summary_json(study: Study, files: Mapping[str, str] | None = None) -> str:
    """summary.json. files: the SHA-256 of each file that is written with it."""
    figures = {**summary(study), "files": files}
    return json.dumps(figures, indent=1, ensure_ascii=False) + "\n"


def proof_json(proof: Proof) -> str:
    """What came of working the pattern, for programs."""
    figures = {
        "checked": proof.holds,
        "rows": proof.rows,
        "blocks": proof.blocks,
        "stitches": proof.stitches,
        "faults": [str(fault) for fault in proof.faults],
        "more_faults": proof.more,
    }
    return json.dumps(figures, indent=1, ensure_ascii=False) + "\n"
