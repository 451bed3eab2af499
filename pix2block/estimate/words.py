"""An estimate in words: what to make, what it costs, what the goals cost."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from pix2block.amounts.measures import say_finished
from pix2block.estimate.answer import SHORT_FLOAT, Answer, Next, less_true
from pix2block.estimate.other_ways import other_ways
from pix2block.estimate.piece import Piece
from pix2block.estimate.said import differences, hours_band, say_lost, say_piece
from pix2block.ground import settings
from pix2block.ground.units import say_count, say_hours


def answer_lines(answer: Answer) -> list[str]:
    """What to make, what it takes, what the goals cost, what stands next to it, other ways."""
    beside = [f"{one.why}: {next_words(answer, one)}" for one in answer.next_to_it]
    return [*piece_lines(answer), *beside, *other_ways(answer)]


def piece_lines(answer: Answer) -> list[str]:
    """What to make, what it takes, what the goals cost."""
    best = answer.best
    if not answer.reached:
        head = "No piece that was tried keeps every goal. The nearest:"
    elif answer.goals.each:
        head = "The truest within your goals:"
    else:
        head = "The truest that was tried:"
    hang = "hangs" if best.most_hanging == 1 else "hang"
    return [
        f"{head} {say_piece(best)}; {say_lost(best)}.",
        f"It would be {say_finished(best.chart, best.amounts.measures.block_cm)}.",
        *(_hours_line(best), *_date_lines(answer), *_money_lines(answer)),
        *(f"At most {say_count(best.most_hanging, 'yarn')} {hang} at once.", *_floats(best)),
        *_cost_of_goals(answer),
    ]


def _hours_line(piece: Piece) -> str:
    low, high = hours_band(piece.all_hours, piece.chart.pace)
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
    low, high = hours_band(best.all_hours, best.chart.pace)
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
    costs = best.costs
    if not best.price and not costs.unpriced:
        return ["Nothing is to buy: all its yarn is on hand."]
    words = f"To buy: {costs.money.say(best.price)}"
    if costs.unpriced:
        words += f", without {', '.join(costs.unpriced)}, whose price is not told"
    return [f"{words}."]


def _floats(piece: Piece) -> list[str]:
    if piece.longest_float <= SHORT_FLOAT:
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
    "spend": lambda p: f"{p.costs.money.say(p.price or 0)} to buy",
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
        lines.append(f"Beyond your goals: {words}.")
        for goal, piece in answer.binding[:2]:
            what = f"{say_piece(piece)}; {say_lost(piece)}; {_SAID[goal.name](piece)}"
            lines.append(f"Give up {_GOALS[goal.name]}, and it can be: {what}.")
        if not answer.binding:
            lines.append("No one of them given up would do: loosen several.")
        return lines
    more = less_true(best, answer.truest)
    if more < 1 and len(best.lost) <= len(answer.truest.lost):
        return [*lines, "The goals cost no truth that one would see."]
    lines.append(f"The goals cost {_truth_words(best, answer.truest)}.")
    for goal, piece in answer.binding[:2]:
        what = _SAID[goal.name](piece)
        lines.append(f"What binds is {_GOALS[goal.name]}: with {what}, {_gain(best, piece)}.")
    if not answer.binding:
        lines.append("Several of them bind together: none given up alone gives a truer piece.")
    return lines


def _truth_words(piece: Piece, truest: Piece) -> str:
    lost = len(piece.lost) - len(truest.lost)
    less = less_true(piece, truest)
    parts = [f"{less} % of truth"] if less else []
    if lost > 0:
        parts.append(say_count(lost, "thing that stands out", "things that stand out"))
    return " and ".join(parts)


def _gain(best: Piece, piece: Piece) -> str:
    kept = len(best.lost) - len(piece.lost)
    if kept > 0:
        return f"{say_count(kept, 'more thing')} that stand{'s' if kept == 1 else ''} out kept"
    return f"{less_true(best, piece)} % truer"


def next_words(answer: Answer, one: Next) -> str:
    """A piece beside the one recommended, and in what it differs."""
    words = "; ".join(differences(answer.best, one.piece))
    beyond = [goal for goal in answer.goals.each if not goal.reached(one.piece)]
    if answer.reached and beyond and not one.why.startswith("With one"):
        words += f"; beyond your goals: {', '.join(_SAID[goal.name](one.piece) for goal in beyond)}"
    return f"{say_piece(one.piece)}; {words}."


def notes_of(answer: Answer) -> Sequence[str]:
    """What was tried, and from which day it is counted."""
    tried = f"{say_count(len(answer.pieces), 'piece')} tried"
    whole = "" if answer.whole else ", stopped early: the best so far"
    day = f"; days count from {_day(answer.goals.first_day)}" if answer.goals.evenings else ""
    return (f"{tried}{whole}{day}.",)
