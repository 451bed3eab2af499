"""The figures of an estimate, for spreadsheets and programs."""

from __future__ import annotations

import json

from pix2block.design.likeness import error_figures
from pix2block.estimate.answer import Answer
from pix2block.estimate.piece import Piece
from pix2block.ground.delimited import table
from pix2block.ground.units import fixed

_HEADER = [
    "rank",
    "shelf",
    "asked",
    "yarns",
    "width",
    "height",
    "habit",
    "reach",
    "rest",
    "edge",
    "corner",
    "calm",
    "color_error_mean",
    "seen_near",
    "seen_far",
    "features_lost",
    "tails",
    "most_attached",
    "hours",
    "weave_in_hours",
    "metres",
    "price",
    "reaches",
    "command",
]
_TEXTS = ("shelf", "habit", "corner", "reaches", "command")


def estimate_csv(answer: Answer) -> str:
    """estimate.csv: a line a piece that no other beats, the recommended one first."""
    return table(_HEADER, _lines(answer))


def estimate_json(answer: Answer) -> str:
    """The same for programs: an object a piece, null where unknown."""
    pieces = [
        {name: _value(name, cell) for name, cell in zip(_HEADER, line, strict=True)}
        for line in _lines(answer)
    ]
    return json.dumps(pieces, indent=1, ensure_ascii=False) + "\n"


def _value(column: str, cell: object) -> object:
    if cell == "":
        return None
    return float(cell) if isinstance(cell, str) and column not in _TEXTS else cell


def _lines(answer: Answer) -> list[list[object]]:
    return [_line(rank, piece, answer) for rank, piece in enumerate(answer.ordered, 1)]


def _line(rank: int, piece: Piece, answer: Answer) -> list[object]:
    chart, habit, options = piece.chart, piece.chart.habit, piece.options
    mean, _ = error_figures(chart)
    return [
        *(rank, options.shelf or "", options.colors or "", piece.yarns, chart.width, chart.height),
        *(habit.name, f"{habit.reach:.2f}", habit.rest, habit.edge, chart.start_corner),
        *(f"{options.calm or 0:g}", fixed(mean, 3), fixed(piece.near, 3), fixed(piece.far, 3)),
        *(len(piece.lost), piece.tails, piece.most_hanging, fixed(piece.amounts.hours, 2)),
        *(fixed(piece.weave_in_hours, 2), fixed(piece.amounts.metres, 2), fixed(piece.price, 2)),
        "yes" if answer.goals.reached(piece) else "no",
        piece.command,
    ]
