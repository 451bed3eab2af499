"""A piece in words: what it is, what it loses, how long it takes, in what it differs."""

from __future__ import annotations

from pix2block.color.names import name_colors
from pix2block.color.spaces import rgb_array
from pix2block.estimate.answer import less_true
from pix2block.estimate.piece import Piece
from pix2block.ground import settings
from pix2block.ground.units import say_count, say_hours

_MOST_NAMED = 3
# How far hours may be off: hands differ, and a pace that nobody timed is from memory.
_BAND, _BAND_OF_HER_PACE = 0.3, 0.1
_WAYS = {"cut": "cut at every change", "pickup": "yarn picked up", "carry": "yarn carried"}


def say_way(piece: Piece) -> str:
    """ "yarn carried": the habit in words."""
    habit = piece.chart.habit
    return _WAYS.get(habit.name, f"yarn carried up to {habit.reach:g} block sides")


def say_piece(piece: Piece) -> str:
    """ "60 × 75 blocks, 8 yarns, yarn carried, 126 tails, 3.9 h to weave in"."""
    chart = piece.chart
    return (
        f"{chart.width} × {chart.height} blocks, {say_count(piece.yarns, 'yarn')}, "
        f"{say_way(piece)}, {say_count(piece.tails, 'tail')}, "
        f"{say_hours(piece.weave_in_hours)} to weave in"
    )


def say_lost(piece: Piece) -> str:
    """ "nothing that stands out is lost", or what is, in colour words and places."""
    if not piece.lost:
        return "nothing that stands out is lost"
    colors = name_colors(rgb_array([f.color for f in piece.lost[:_MOST_NAMED]]))
    named = [f"{c} {f.place}" for c, f in zip(colors, piece.lost, strict=False)]
    more = len(piece.lost) - len(named)
    return f"lost: {', '.join(named)}{f' and {more} more' if more > 0 else ''}"


def hours_band(hours: float, pace: settings.Pace) -> tuple[float, float]:
    """Between which hours so many come out: wide where the pace is from memory."""
    band = _BAND if pace == settings.DEFAULT_PACE else _BAND_OF_HER_PACE
    return hours * (1 - band), hours * (1 + band)


def differences(best: Piece, piece: Piece) -> list[str]:
    words = []
    kept = len(best.lost) - len(piece.lost)
    if kept:
        more = "more" if kept > 0 else "fewer"
        words.append(f"{say_count(abs(kept), f'{more} thing')} kept")
    truer, plainer = less_true(best, piece), less_true(piece, best)
    words.append(
        f"{truer} % truer" if truer else f"{plainer} % less true" if plainer else "as true"
    )
    hours = piece.all_hours - best.all_hours
    if abs(hours) >= 0.05 * best.all_hours:
        words.append(f"{say_hours(abs(hours))} {'more' if hours > 0 else 'less'} in all")
    return words
