"""An estimate in words: what to make, what it costs, what the goals cost."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence

from pix2block.amounts.measures import say_finished
from pix2block.amounts.yarn_use import amounts_of
from pix2block.color.names import name_colors
from pix2block.color.spaces import rgb_array
from pix2block.estimate.answer import Answer
from pix2block.estimate.piece import Piece
from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
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


def hours_band(piece: Piece) -> tuple[float, float]:
    """Between which hours it comes out: wide where the pace is from memory."""
    usual = piece.chart.pace == settings.DEFAULT_PACE
    band = _BAND if usual else _BAND_OF_HER_PACE
    return piece.all_hours * (1 - band), piece.all_hours * (1 + band)


def answer_lines(answer: Answer) -> list[str]:
    """What to make, what it takes, what the goals cost, what stands next to it."""
    best = answer.best
    if not answer.reached:
        head = "No piece that was tried keeps every goal. The nearest:"
    elif answer.goals.each:
        head = "The truest within your goals:"
    else:
        head = "The truest that was tried:"
    lines = [f"{head} {say_piece(best)}; {say_lost(best)}."]
    lines += [f"It would be {say_finished(best.chart, best.amounts.measures.block_cm)}."]
    lines += [_hours_line(best), *_date_lines(answer), *_money_lines(answer)]
    lines += [f"At most {say_count(best.most_hanging, 'yarn')} hang at once.", *_floats(best)]
    lines += _cost_of_goals(answer)
    lines += [_next_line(best, one.why, one.piece) for one in answer.next_to_it]
    lines += _other_ways(answer)
    return lines


def _hours_line(piece: Piece) -> str:
    low, high = hours_band(piece)
    usual = piece.chart.pace == settings.DEFAULT_PACE
    why = "at a pace from memory: time a row" if usual else "at your pace"
    return (
        f"{say_hours(piece.all_hours)} in all, {say_hours(low)} to {say_hours(high)} {why}; "
        f"{say_hours(piece.weave_in_hours)} of it to weave in."
    )


def _date_lines(answer: Answer) -> list[str]:
    goals, best = answer.goals, answer.best
    evenings = goals.evenings
    if evenings is None:
        return []
    low, high = hours_band(best)
    last, early, late = (goals.last_day(hours) for hours in (best.all_hours, low, high))
    rows = rows_an_evening(best, evenings.hours)
    return [
        f"From {_day(goals.first_day)}, {evenings.hours:g} h an evening, {evenings.a_week:g} a "
        f"week: done about {_day(last)}, between {_day(early)} and {_day(late)}; "
        f"{rows} an evening in the middle of the piece."
    ]


def rows_an_evening(piece: Piece, hours: float) -> str:
    """ "3 rows", of those in the middle of the piece, which are the longest."""
    minutes = piece.amounts.minutes_by_row
    middle = minutes[len(minutes) // 3 : max(len(minutes) // 3 + 1, 2 * len(minutes) // 3)]
    rows = hours * 60 / float(middle.mean())
    return say_count(int(rows), "row") if rows >= 1 else f"{rows:.1f} rows"


def _day(day: datetime.date | None) -> str:
    return day.isoformat() if day else ""


def _money_lines(answer: Answer) -> list[str]:
    best = answer.best
    if best.price is None:
        return []
    costs = best.study.costs
    if not best.price and not costs.unpriced:
        return ["Nothing is to buy: all its yarn is on hand."]
    words = f"To buy: {costs.money.say(best.price)}"
    if costs.unpriced:
        words += f", without {', '.join(costs.unpriced)}, whose price is not told"
    return [f"{words}."]


def _floats(piece: Piece) -> list[str]:
    if piece.longest_float <= 1:
        return []
    return [
        f"Floats are up to {piece.longest_float:.1f} block sides long: catch those longer than a "
        "block; no long floats on baby things."
    ]


_GOALS = {
    "weave_in": "the time to weave in",
    "hours": "the hours",
    "by": "the day",
    "most_hanging": "the yarns that may hang",
    "spend": "the money",
    "within_shelf": "what is on hand",
}
_SAID = {
    "weave_in": lambda p: f"{say_hours(p.weave_in_hours)} to weave in",
    "hours": lambda p: f"{say_hours(p.all_hours)} in all",
    "by": lambda p: f"{say_hours(p.all_hours)} in all",
    "most_hanging": lambda p: f"{p.most_hanging} yarns hanging",
    "spend": lambda p: f"{p.price or 0:.2f} to buy",
    "within_shelf": lambda p: f"too little of {', '.join(p.lacks)}",
}


def _cost_of_goals(answer: Answer) -> list[str]:
    """What the goals keep out, and which of them."""
    best = answer.best
    lines: list[str] = []
    if not answer.goals.each:
        return lines
    if not answer.reached:
        beyond = [goal for goal in answer.goals.each if not goal.reached(best)]
        words = ", ".join(_SAID[goal.name](best) for goal in beyond)
        lines.append(f"It takes {words}.")
        for goal, piece in answer.binding[:2]:
            lines.append(f"Give up {_GOALS[goal.name]}, and it can be: {say_piece(piece)}.")
        return lines
    more = less_true(best, answer.truest)
    if more < 1 and len(best.lost) <= len(answer.truest.lost):
        return [*lines, "The goals cost no truth that one would see."]
    lines.append(f"The goals cost {_truth_words(best, answer.truest)}.")
    for goal, piece in answer.binding[:2]:
        what = _SAID[goal.name](piece)
        lines.append(f"What binds is {_GOALS[goal.name]}: with {what}, {_gain(best, piece)}.")
    return lines


def less_true(piece: Piece, than: Piece) -> int:
    """By how many per cent its error, seen from far, is above that of another."""
    return max(0, math.floor(100 * (piece.far / than.far - 1) + 0.5)) if than.far else 0


def _truth_words(piece: Piece, truest: Piece) -> str:
    lost = len(piece.lost) - len(truest.lost)
    parts = [f"{less_true(piece, truest)} % of truth"]
    if lost > 0:
        parts.append(say_count(lost, "thing that stands out", "things that stand out"))
    return " and ".join(parts)


def _gain(best: Piece, piece: Piece) -> str:
    kept = len(best.lost) - len(piece.lost)
    if kept > 0:
        return f"{say_count(kept, 'more thing')} that stand{'s' if kept == 1 else ''} out kept"
    return f"{less_true(best, piece)} % truer"


def _next_line(best: Piece, why: str, piece: Piece) -> str:
    return f"{why}: {say_piece(piece)}; {'; '.join(_differences(best, piece))}."


def _differences(best: Piece, piece: Piece) -> list[str]:
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


def _other_ways(answer: Answer) -> list[str]:
    """Ways that a maker seldom thinks of, worked out on the piece."""
    best, lines = answer.best, []
    corner = answer.other_corner
    if corner:
        lines.append(
            f"Started {settings.say_corner(corner.chart.start_corner)} it leaves "
            f"{say_count(corner.tails, 'tail')}, {best.tails - corner.tails} fewer."
        )
    if best.chart.tail_ending == "woven":
        over = next(e for e in best.amounts.endings if e.way == "over")
        lines.append(
            Advice(
                f"Tails worked over in the next blocks ({say_hours(over.hours)} in place of "
                f"{say_hours(best.weave_in_hours)}, from memory) save most of the weaving in: ",
                Ask("tails", "over"),
                ".",
            )
        )
    if answer.plain and answer.plain.tails < best.tails:
        lines.append(
            Advice(
                f"With its subject on a plain backdrop it leaves "
                f"{say_count(answer.plain.tails, 'tail')}, "
                f"{best.tails - answer.plain.tails} fewer, and "
                f"{say_hours(answer.plain.weave_in_hours)} to weave in: ",
                Ask("backdrop", "plain"),
                ".",
            )
        )
    if answer.merged:
        goes, stays, chart = answer.merged
        saved = best.tails - amounts_of(chart).plan.tails
        if saved > 0:
            lines.append(
                f"{goes} and {stays} are near: {goes} worked in {stays} saves "
                f"{say_count(saved, 'tail')}."
            )
    if answer.ties:
        count = say_count(len(answer.ties), "other piece")
        lines.append(f"As true, and no less work: {count}, in estimate.csv.")
    return lines


def notes_of(answer: Answer) -> Sequence[str]:
    """What was tried, and from which day it is counted."""
    tried = f"{say_count(len(answer.pieces), 'piece')} tried"
    whole = "" if answer.whole else ", stopped early: the best so far"
    day = f"; days count from {_day(answer.goals.first_day)}" if answer.goals.evenings else ""
    return (f"{tried}{whole}{day}.",)
