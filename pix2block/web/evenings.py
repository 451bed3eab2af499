"""When a piece is worked on at the worktable, and the day that follows."""

from __future__ import annotations

import datetime
from dataclasses import replace

from pix2block.amounts.money import all_hours
from pix2block.estimate.goals import Goals
from pix2block.estimate.said import hours_band
from pix2block.ground import settings
from pix2block.ground.units import plain, say_hours
from pix2block.options.goal_rules import Day, Evenings, EveningsText
from pix2block.study.study import Study
from pix2block.web.rest import SPECS, neighbours
from pix2block.web.slip_nouns import Field, Sentence, Slip, Word
from pix2block.web.wanted import Value, Wanted
from pix2block.web.words import figure

EVENINGS, FIRST_DAY = "evenings", "first_day"
PACE = (EVENINGS, FIRST_DAY)  # words that are the maker's, not the chart's


def today() -> datetime.date:
    """The one thing that comes from the clock."""
    return datetime.date.today()


def with_evenings(wanted: Wanted, word: str, value: Value | None) -> Wanted:
    """What is asked with evenings, or a first day, as they are typed, "" for none. Raises BadInput
    for what is none."""
    said = str(value or "").strip()
    if word == EVENINGS:
        rule = EveningsText()
        return replace(wanted, evenings=rule.as_words(rule.read(said)) if said else "")
    return replace(wanted, first_day=Day().read(said).isoformat() if said else "")


def evenings_of(study: Study, wanted: Wanted) -> list[Sentence]:
    """The day on which it is done, where it is told when it is worked on."""
    evenings = _evenings(wanted)
    if evenings is None:
        return []
    how = f"{plain(evenings.hours)} h an evening, {plain(evenings.a_week)} evenings a week"
    first = say_day(_first_day(wanted)) if wanted.first_day else "today"
    return [
        (
            "At ",
            Word(EVENINGS, how, "chosen", "when it is worked on"),
            ", from ",
            Word(FIRST_DAY, figure(first), "chosen", "the first day"),
            f" on, it is {_done_about(study, wanted, evenings)}.",
        )
    ]


def _done_about(study: Study, wanted: Wanted, evenings: Evenings) -> str:
    goals, hours = Goals((), evenings, _first_day(wanted)), hours_left(study)
    last, early, late = map(goals.last_day, (hours, *hours_band(hours, study.chart.pace)))
    between = f"{figure(say_day(early))} and {figure(say_day(late))}"
    return f"done about {figure(say_day(last))}, between {between}"


def hours_left(study: Study) -> float:
    """Hours from the rows that are made to the end, weaving in and border among them."""
    amounts, done = study.amounts, study.chart.done
    every = all_hours(amounts)
    if done is None:
        return every
    tails = amounts.plan.tails_by_row
    woven = float(tails[: done.row].sum()) / max(1, int(tails.sum())) * amounts.weave_in_hours
    return max(0.0, every - woven - float(amounts.minutes_by_row[: done.row].sum()) / 60)


def pace_slip(study: Study, wanted: Wanted) -> Slip:
    """What opens under the hours: pace, evenings, the first day."""
    chart, first, evenings = study.chart, _first_day(wanted), _evenings(wanted)
    on = f"from which day on, as {first.isoformat()}; left empty, today"
    minutes = "minutes for a block, a change, a tail"
    fields = (
        Field(wanted.evenings, "when you crochet, as 1.5 h, 3 a week", "text", EVENINGS),
        Field(wanted.first_day, on, "text", FIRST_DAY),
        Field(SPECS["pace"].rule.as_words(chart.pace), minutes, "text", "pace"),
    )
    by = "a pace from memory: time a row" if chart.pace == settings.DEFAULT_PACE else "your pace"
    of = chart.pace
    said = (
        f"{say_hours(hours_left(study))} to go in all, at {plain(of.block)} minutes a block, "
        f"{plain(of.change)} a change and {plain(of.tail)} a tail, {by}"
    )
    asks = ". Say your evenings, and the day on which it is done is told"
    said += f": {_done_about(study, wanted, evenings)}" if evenings else asks
    beside = neighbours(study, wanted, "block", "maker")
    return Slip("pace", "the time that it takes", f"{said}.", fields=fields, beside=beside)


def say_day(day: datetime.date | None) -> str:
    """ "1 March 2027"."""
    return f"{day.day} {day:%B} {day.year}" if day else ""


def _evenings(wanted: Wanted) -> Evenings | None:
    return EveningsText().read(wanted.evenings) if wanted.evenings else None


def _first_day(wanted: Wanted) -> datetime.date:
    """A day that has gone by is today."""
    return max(today(), Day().read(wanted.first_day)) if wanted.first_day else today()
