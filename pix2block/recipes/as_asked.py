"""A chart as options ask, and its title."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from pix2block.amounts.ways import with_calming_counted
from pix2block.chart.chart import Chart
from pix2block.chart.title import clean_title
from pix2block.ground import settings
from pix2block.options.table import Options


def title_of(file_name: str) -> str:
    """A title from a file's name: "tallow_cat.jpg" gives "Tallow cat"."""
    words = " ".join(Path(file_name).stem.replace("_", " ").replace("-", " ").split())
    return clean_title((words[:1].upper() + words[1:])[: settings.LONGEST_TITLE] or "Untitled")


def with_options(chart: Chart, options: Options) -> Chart:
    """The chart with every option that was given; what was not keeps the chart's value. What
    calming did to its tails is counted as the piece is worked then."""
    given = options.kept_in_chart()
    given["habit"] = replace(_habit(chart.habit, options), extra=chart.habit.extra)
    if options.pace:
        given["pace"] = replace(options.pace, extra=chart.pace.extra)
    if options.title is not None:
        given["title"] = clean_title(options.title)
    after = replace(chart, **given)
    same = after.layout == chart.layout and after.habit == chart.habit
    return after if same or chart.done else with_calming_counted(after)


def _habit(habit: settings.Habit, options: Options) -> settings.Habit:
    if options.habit:
        habit = settings.HABITS[options.habit]
    if options.reach is options.rest is options.edge is None:
        return habit
    reach = habit.reach if options.reach is None else options.reach
    rest = habit.rest if options.rest is None else options.rest
    edge = habit.edge if options.edge is None else options.edge
    return settings.named_habit(reach, rest, edge)
