"""A piece with another choice of a word: made again from its picture, or changed on its chart."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace

from pix2block.amounts.measures import finished_size_cm
from pix2block.chart.chart import Chart
from pix2block.chart.drawn import Drawn
from pix2block.ground.delimited import table
from pix2block.ground.errors import BadInput
from pix2block.ground.units import say_hours
from pix2block.mending.apply import apply_mends
from pix2block.options.goal_rules import Hours
from pix2block.options.table import CHART
from pix2block.proof.rows import Told
from pix2block.recipes.grids import open_blocks
from pix2block.web.again import Again
from pix2block.web.changes import without_group
from pix2block.web.choices import chosen, is_word, option_of
from pix2block.web.evenings import PACE, with_evenings
from pix2block.web.jobs import Job
from pix2block.web.kinds import as_far_as_yarn, of_kind
from pix2block.web.letters import GONE, in_a_yarn
from pix2block.web.letters import WORD as LETTERS
from pix2block.web.log import Entry
from pix2block.web.palettes import WORD, of_palette
from pix2block.web.plan import is_plan_word, with_word
from pix2block.web.rest import SPECS
from pix2block.web.slip_yarns import spare_of
from pix2block.web.states import State
from pix2block.web.wanted import Value, Wanted, bring, in_place
from pix2block.web.words import size_asked
from pix2block.yarn.columns import FIELDS
from pix2block.yarn.yarn import Yarn

_MEND = "mend:"  # before a mend's name: a word that does it
_OWN_SHAPE = "crop_shape"  # a crop with the height that follows from it
_ONE_MORE = {"one_more": "lock", "spot_more": "spot"}  # a yarn, or a place that gets one
_PERCENTS = ("0", "1", "2", "3", "4", "5", "6", "8", "10", "12", "15")  # the truest first
_FROM_PICTURE = ("habit", "corner", "hand", "block", "calm")  # where it is at hand, else the chart


def chosen_state(
    again: Again, state: State, word: str, value: Value | None, job: Job | None = None
) -> State:
    """A state with another choice of a word: its value as it is typed, None for what holds where
    nothing is asked. Raises BadInput for a word or value that there is not."""
    if word == "picture":
        return _of_picture(again, state, str(value), job)
    if word.startswith(_MEND):
        value = in_a_yarn(state.study.chart, str(value)) if word == LETTERS else str(value)
        mends = [(word.removeprefix(_MEND), value)]

        def brought(name: str) -> Chart | Drawn | Told:
            return open_blocks(in_place(again.folder, name))

        chart = apply_mends(state.study.chart, mends, spare_of(state.study), brought).after
        return State(replace(state.study, chart=chart), state.wanted)
    if word == "kind":
        return _of_kind(again, state, str(value))
    if word in PACE:
        return replace(state, wanted=with_evenings(state.wanted, word, value))
    if word == GONE:
        group = int(str(value)) if str(value).isdecimal() else -1
        chart = without_group(state.study.chart, group, alone=True)
        return State(replace(state.study, chart=chart), state.wanted)
    if word == "hours":
        return _within_hours(again, state, str(value), job)
    if word == WORD:
        wanted = of_palette(state.wanted, str(value))
        return State(again.made(state.study, wanted, "shelf", job), wanted)
    if word == _OWN_SHAPE:
        wanted = state.wanted.with_word("crop", value)
        wanted = wanted.with_word("width", str(state.study.chart.width))
        return State(again.made(state.study, wanted, "crop", job), wanted)
    if word in _ONE_MORE:
        option = _ONE_MORE[word]
        values = (*_several(state.wanted.words.get(option, ())), str(value))
        colors = str(int(state.study.chart.used.sum()) + 1)
        wanted = state.wanted.with_word(option, values).with_word("colors", colors)
        return State(again.made(state.study, wanted, option, job), wanted)
    if state.wanted.plan and (is_plan_word(word) or word in ("blocks", "width")):
        wanted = replace(state.wanted, plan=with_word(state.wanted.plan, word, str(value)))
        return State(again.from_plan(state.study, wanted), wanted)
    wanted = _wanted_after(state, word, value)
    at_hand = state.wanted.picture and word in _FROM_PICTURE
    if is_word(word) and isinstance(value, str) and not at_hand:
        return State(replace(state.study, chart=chosen(state.study.chart, word, value)), wanted)
    return State(again.made(state.study, wanted, option_of(word), job), wanted)


def absolute_word(entry: Entry) -> str | None:
    """The word of a choice whose other choices come out the same whatever was chosen of it before,
    None for what is no such choice."""
    word = entry.get("word", "") if entry.get("opening") else ""
    relative = word.startswith((_MEND, "part-")) or word in (*_ONE_MORE, _OWN_SHAPE, GONE, "kind")
    return word if word and not relative else None


def _within_hours(again: Again, state: State, value: str, job: Job | None) -> State:
    """The truest picture whose tails take at most so many hours to end. Raises BadInput where even
    the fewest take longer."""
    most = Hours().read(value)
    for percent in _PERCENTS:
        tried = chosen_state(again, state, "calm", percent, job)
        hours = tried.study.amounts.weave_in_hours
        if hours <= most:
            return tried
    raise BadInput(
        f"even the fewest tails take {say_hours(hours)} to end: carry the yarn, end tails another "
        "way, or take fewer yarns"
    )


def _shelf_of(yarns: Sequence[Yarn]) -> bytes:
    """A shelf of a chart's yarns, as a table."""
    cells = ([getattr(yarn, name) for name in FIELDS] for yarn in yarns)
    rows = [["" if cell is None else cell for cell in row] for row in cells]
    return table(FIELDS, rows).encode()


def _several(value: Value) -> tuple[str, ...]:
    return (value,) if isinstance(value, str) else value


def _wanted_after(state: State, word: str, value: Value | None) -> Wanted:
    """What is asked once a word is chosen. A border goes around the blocks that there are: a size
    that was asked with one would make the piece smaller inside it."""
    wanted, chart = state.wanted, state.study.chart
    if word == "border" and "size" in wanted.words:
        return wanted.with_blocks(f"{chart.width}x{chart.height}").with_word(word, value)
    if word == "blocks" and isinstance(value, str):
        return wanted.with_blocks(value)
    if word == "size" and isinstance(value, str):
        asked = size_asked(value, *finished_size_cm(chart, state.study.amounts.measures.block_cm))
        wanted = wanted.with_word(*next(iter(asked.items())))
        return replace(wanted, words={**wanted.words, **asked})
    return wanted.with_word(option_of(word), value)


def _of_kind(again: Again, state: State, kind: str) -> State:
    """A state as stripes of its yarns, or as a plan of another shape; as far as the yarn goes where
    it does not reach. Raises BadInput where no such piece can be."""
    chart = state.study.chart
    if chart.done:
        raise BadInput(f"row {chart.done.row} is done, and rows that are made stay: leave the kind")
    wanted = of_kind(state.study, state.wanted, kind)
    now = state.study if state.wanted.plan else replace(state.study, chart=replace(chart, mends=()))
    try:
        return State(again.from_plan(now, wanted), wanted)
    except BadInput as error:
        longest = replace(wanted, plan=as_far_as_yarn(wanted.plan))
        try:
            return State(again.from_plan(now, longest), longest)
        except BadInput:
            raise error from None


def _of_picture(again: Again, state: State, name: str, job: Job | None) -> State:
    """A state with its picture at hand: the same that it came from, or another."""
    words = state.wanted.words
    if state.wanted.plan:
        words = {of: said for of, said in words.items() if CHART in SPECS[of].commands}
    wanted = replace(state.wanted, words=words, picture=name, known=True, plan="")
    yarns = state.study.chart.yarns
    hers = state.wanted.plan or not state.wanted.known
    if hers and "shelf" not in wanted.words and any(y.metres for y in yarns):
        shelf = bring(again.folder, "yarns.csv", _shelf_of(yarns))  # hers, not the picture's own
        wanted = wanted.with_word("shelf", shelf)
    source = state.study.chart.source
    sha256 = hashlib.sha256(in_place(again.folder, name).read_bytes()).hexdigest()
    if source is not None and source.sha256 == sha256:
        return State(replace(state.study, options=wanted.options(again.folder)), wanted)
    return State(again.from_picture(state.study, wanted, job), wanted)
