"""Words that are chosen on the chart itself, without its picture: what each may be; and what a
choice costs or saves."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from pix2block.amounts.ways import with_calming_counted
from pix2block.amounts.yarn_use import Amounts
from pix2block.calming.charts import calmed_chart, calmed_for, calming_of
from pix2block.chart.chart import Chart
from pix2block.chart.title import clean_title
from pix2block.ground import settings
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import HABITS, Habit, StartCorner
from pix2block.ground.units import say_count, say_hours
from pix2block.options.table import specs
from pix2block.study.editions import for_hand
from pix2block.web.words import figure

CALMS = (0.0, 1.0, 3.0, 5.0, 8.0, 12.0)  # per cent more colour error
_OF_MADE_ROWS = ("corner", "hand", "block", "calm")  # what would change rows that are made
_OPTIONS = {spec.name for spec in specs()}
_SAME = 0.005  # hours that nobody feels


def places_of(chart: Chart, word: str) -> tuple[Sequence[tuple[str, str]], str]:
    """Every value of a word that is chosen on the chart itself, with words for each, and which is
    now. Raises BadInput for a word that is none of these."""
    of_word = _word(word)
    now = of_word.now(chart)
    stays = chart.done is not None and word in _OF_MADE_ROWS
    return [one for one in of_word.values(chart) if not stays or one[0] == now], now


def chosen(chart: Chart, word: str, value: str) -> Chart:
    """The chart with another choice of a word. Raises BadInput for what is none."""
    if word == "title":
        return replace(chart, title=clean_title(value))
    of_word = _word(word)
    if chart.done and word in _OF_MADE_ROWS and value != of_word.now(chart):
        raise BadInput(f"row {chart.done.row} is done, and rows that are made stay: leave {word}")
    known = dict(of_word.values(chart))
    if word == "calm" and chart.uncalmed is None and value not in known:
        raise BadInput("tails are traded against a picture, and this piece has none: leave them")
    if value not in known:
        raise BadInput(unknown("choice", value, known))
    return of_word.made(chart, value)


def is_word(word: str) -> bool:
    """Whether a word is chosen on the chart itself."""
    return word == "title" or word in _WORDS


def option_of(word: str) -> str:
    """The option that a word stands for. Raises BadInput for a word that stands for none."""
    option = {"ending": "tails", "blocks": "width"}.get(word, word)
    if option not in _OPTIONS:
        raise BadInput(unknown("word", word, (*_WORDS, *_OPTIONS)))
    return option


def cost_words(one: Amounts, other: Amounts) -> str:
    """ "40 tails fewer, 1.3 h less": what a maker acts on, as a difference."""
    tails = other.plan.tails - one.plan.tails
    hours = (other.hours + other.weave_in_hours) - (one.hours + one.weave_in_hours)
    hanging = int(other.plan.attached_by_row.max()) - int(one.plan.attached_by_row.max())
    words = ["as many tails" if not tails else f"{say_count(abs(tails), 'tail')} {_more(tails)}"]
    if abs(hours) > _SAME:
        words.append(f"{figure(say_hours(abs(hours)))} {'more' if hours > 0 else 'less'} in all")
    if hanging:
        words.append(f"{abs(hanging)} {_more(hanging)} hanging")
    longest = float(other.plan.float_sides.max(initial=0.0))
    if longest > 1 and other.chart.habit != one.chart.habit:
        words.append(f"floats up to {longest:.1f} blocks")
    return ", ".join(words)


def _more(number: int) -> str:
    return "more" if number > 0 else "fewer"


def _word(name: str) -> _Word:
    if name not in _WORDS:
        raise BadInput(unknown("word", name, _WORDS))
    return _WORDS[name]


@dataclass(frozen=True)
class _Word:
    """values: what it may be, with words for each; now: what it is; made: the chart with one."""

    values: Callable[[Chart], Sequence[tuple[str, str]]]
    now: Callable[[Chart], str]
    made: Callable[[Chart, str], Chart]


HABIT_WORDS = {
    "cut": "cut at every change",
    "pickup": "taken up where it hangs",
    "carry": "carried behind",
}


def _habit(chart: Chart, value: str) -> Chart:
    return _worked(chart, chart.start_corner, HABITS[value])


def _corner(chart: Chart, value: str) -> Chart:
    (corner,) = (one for one in settings.START_CORNERS if one == value)
    return _worked(chart, corner, chart.habit)


def _worked(chart: Chart, corner: StartCorner, habit: Habit) -> Chart:
    """Calmed for itself, where it was calmed and no hand has changed it since; blocks that are made
    stay, so that the habit alone changes, from the next row on."""
    if (corner, habit) == (chart.start_corner, chart.habit):
        return chart
    again = None if chart.done else calmed_for(chart, corner, habit)
    return again or replace(chart, start_corner=corner, habit=habit)


def _corners(chart: Chart) -> Sequence[tuple[str, str]]:
    corners = (chart.start_corner,) if chart.ends_early else settings.START_CORNERS
    return [(corner, f"the {corner.replace('-', ' ')}") for corner in corners]


def _hand(chart: Chart, value: str) -> Chart:
    (hand,) = (one for one in settings.HANDS if one == value)
    return with_calming_counted(for_hand(chart, hand))


def less_true(calm: float) -> str:
    """What calming by so many per cent costs, in words."""
    return f"colours at most {calm:g} % less true"


def _calms(chart: Chart) -> Sequence[tuple[str, str]]:
    if chart.uncalmed is None:
        return [("now", "as it is")]
    words = {0.0: "truest picture", CALMS[-1]: "fewest tails"}
    return [(f"{calm:g}", words.get(calm, less_true(calm))) for calm in CALMS]


def _calm_now(chart: Chart) -> str:
    if chart.uncalmed is None or chart.calmed is None:
        return "now"
    return f"{chart.calmed.percent:g}"


def _calm(chart: Chart, value: str) -> Chart:
    plain, calmed, source = chart.uncalmed, chart.calmed, chart.source
    if value == _calm_now(chart) or plain is None or calmed is None or source is None:
        return chart
    task = calming_of(
        *(plain, source.means, float(value), calmed.spared), *(calmed.most_hanging, calmed.seed)
    )
    return calmed_chart(plain, task, spared=calmed.spared)


def _plain(field: str, values: Mapping[str, str]) -> _Word:
    """A word that a field of the chart keeps, and nothing else follows."""

    def made(chart: Chart, value: str) -> Chart:
        changed: dict[str, str] = {field: value}
        return replace(chart, **changed)  # type: ignore[arg-type]

    return _Word(lambda _: list(values.items()), lambda chart: getattr(chart, field), made)


_WORDS: Mapping[str, _Word] = {
    "habit": _Word(lambda _: list(HABIT_WORDS.items()), lambda chart: chart.habit.name, _habit),
    "corner": _Word(_corners, lambda chart: chart.start_corner, _corner),
    "hand": _Word(
        lambda _: [("right", "my right hand"), ("left", "my left hand")],
        lambda chart: chart.hand,
        _hand,
    ),
    "block": _plain("block", {"dc": "double-crochet blocks", "hdc": "half-double blocks, smaller"}),
    "calm": _Word(_calms, _calm_now, _calm),
    "ending": _plain(
        "tail_ending",
        {
            "woven": "woven in",
            "over": "worked over in the next blocks",
            "border": "worked over in a border",
            "fringe": "left as fringe",
        },
    ),
    "terms": _plain("terms", {"us": "US terms", "uk": "UK terms"}),
    "turn": _plain(
        "turn", {"late": "late, the edge even", "early": "early, the new colour at the edge"}
    ),
}
