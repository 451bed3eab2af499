"""A striped piece as the worktable shows it: its stripes, and each yarn's ball along the rows."""

from __future__ import annotations

from typing import Any

import numpy as np

from pix2block.amounts.yarn_use import Amounts
from pix2block.stripes.edges import stripes_made
from pix2block.stripes.yarn_ends import YarnEnd, yarn_ends
from pix2block.study.study import Study

_STEPS = 18  # along the rows, at which a ball is drawn
_TIGHT = 0.05  # of what is on hand: what just reaches


def striped_json(study: Study) -> dict[str, Any] | None:
    """None of a piece that has a row of several yarns, or one yarn alone. Stripes: first and last
    row, yarn. Balls: after each of some rows, what is left of a yarn as a share of what is on hand
    (of what it takes, where that is unknown), and where it ends."""
    amounts = study.amounts
    runs = amounts.chart.runs
    if not are_stripes(amounts):
        return None
    rows = np.unique(np.linspace(1, runs.rows, min(_STEPS, runs.rows)).round().astype(int))
    return {
        "stripes": [[one.first_row, one.last_row, one.yarn] for one in stripes_made(amounts)],
        "rows": rows.tolist(),
        "balls": [_ball(amounts, end, rows) for end in yarn_ends(amounts)],
    }


def are_stripes(amounts: Amounts) -> bool:
    """Whether every row is of one yarn, and there are two of them."""
    runs = amounts.chart.runs
    return len(runs) == runs.rows and len(np.unique(runs.color)) > 1


def _ball(amounts: Amounts, end: YarnEnd, rows: np.ndarray) -> dict[str, Any]:
    runs, amount = amounts.chart.runs, amounts.yarns[end.yarn]
    used = np.where(runs.color == end.yarn, amounts.piece_cm, 0.0).cumsum()
    share = used[rows - 1] / max(used[-1], 1e-9)  # a run a row
    stock = end.on_hand_m or amount.metres
    left = np.clip(1 - share * amount.metres / stock, 0.0, 1.0)
    return {
        "yarn": end.yarn,
        "left": np.round(left, 3).tolist(),
        "last_row": end.last_row,
        "out": end.out_in_row,
        "words": _words(end, amounts.chart.last_row),
    }


def _words(end: YarnEnd, last_row: int) -> str:
    if end.out_in_row is not None:
        return f"runs out in row {end.out_in_row}"
    if end.on_hand_m is None or end.left_m is None or end.left_likely_m is None:
        return "no length known" if end.last_row == last_row else f"ends in row {end.last_row}"
    if end.left_m < _TIGHT * end.on_hand_m:
        return f"ends in row {end.last_row}" if end.last_row < last_row else "just reaches"
    return f"{100 * end.left_likely_m / end.on_hand_m:.0f} % is left"
