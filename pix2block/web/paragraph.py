"""The paragraph that describes a piece: sentences in which every word that can be changed opens."""

from __future__ import annotations

from typing import Any

from pix2block.amounts.measures import finished_size_cm, wingspan_depth_cm
from pix2block.chart.chart import Chart
from pix2block.ground.settings import STRIPES_HABIT, say_corner
from pix2block.ground.units import say_count, say_hours, say_metres
from pix2block.mending.verbs import TEXT
from pix2block.study.study import Study
from pix2block.web.choices import HABIT_WORDS
from pix2block.web.evenings import evenings_of
from pix2block.web.plan import plan_parts
from pix2block.web.rest import plain
from pix2block.web.slip_nouns import Part, Sentence, Word, number_words, sentence_json
from pix2block.web.wanted import Wanted
from pix2block.web.words import figure

_BLOCKS = {"dc": "dc blocks", "hdc": "hdc blocks"}
_UK_BLOCKS = {"dc": "tr blocks", "hdc": "htr blocks"}
_ENDINGS = {
    "woven": "woven in",
    "over": "worked over",
    "border": "worked over in a border",
    "fringe": "left as fringe",
}
_END_THEM = {"woven": "weave in", "over": "work over", "border": "end", "fringe": "end"}
_SCARF = 2.2  # times as long as wide
_CUSHION_CM = 55


def paragraph_of(study: Study, wanted: Wanted) -> list[Sentence]:
    """The piece in sentences, in their fixed order."""
    return [
        _what_it_is(study, wanted),
        _how_it_is_made(study.chart),
        _what_it_takes(study),
        *evenings_of(study, wanted),
        *_yarn(study),
        *_guess(study),
        *_made_rows(study.chart),
        _not_said(study),
    ]


def _what_it_is(study: Study, wanted: Wanted) -> Sentence:
    chart, amounts = study.chart, study.amounts
    width, height = finished_size_cm(chart, amounts.measures.block_cm)
    about = "about " if amounts.measures.guessed else ""
    return (
        Word("title", chart.title, "chosen", "the name of the piece"),
        " is ",
        Word("kind", kind_of(chart, width, height), "chosen", "what kind of piece it is"),
        " of ",
        Word(
            "size",
            about + _size_words(study, width, height),
            "chosen",
            "its size",
        ),
        ", ",
        Word("blocks", figure(f"{chart.width} by {chart.height} blocks"), "chosen", "its blocks"),
        *(plan_parts(wanted.plan) if wanted.plan else _in_yarns(study, wanted)),
        ".",
    )


def _size_words(study: Study, width: float, height: float) -> str:
    """A size; of a triangle its wingspan."""
    triangle = wingspan_depth_cm(study.chart, study.amounts.measures.block_cm)
    if triangle:
        return f"{figure(f'{triangle[0]:.0f} cm')} from tip to tip"
    return figure(f"{width:.0f} × {height:.0f} cm")


def _in_yarns(study: Study, wanted: Wanted) -> tuple[Part, ...]:
    yarns = Word("yarns", yarns_words(study.chart, wanted), "chosen", "the yarns")
    return (*_from_what(study, wanted), ", in ", yarns)


def _from_what(study: Study, wanted: Wanted) -> tuple[Part, ...]:
    if study.chart.source is None and not wanted.picture:
        return ()
    if not wanted.picture:
        return (", from ", Word("picture", "a picture", "chosen", "the picture"))
    look = study.view.look if study.view else str(wanted.words.get("look", "photo"))
    what = {"flat": "flat art", "blocks": "a chart"}.get(look, "a photo")
    if wanted.words.get("look") == "tones":
        what = "a photo by light and dark"
    backdrop = str(wanted.words.get("backdrop", "keep"))
    return (
        ", from ",
        Word("look", what, "chosen", "how the picture is read"),
        ", ",
        Word(
            "crop", "a part of it" if "crop" in wanted.words else "all of it", "chosen", "the part"
        ),
        ", ",
        *_backdrop_words(backdrop),
    )


def _backdrop_words(backdrop: str) -> tuple[Part, ...]:
    what = "what is behind the subject"
    if backdrop.startswith("plain"):
        _, _, yarn = backdrop.partition(":")
        words = f"a plain backdrop of {yarn}" if yarn else "a plain backdrop"
        return ("before ", Word("backdrop", words, "chosen", what))
    words = "a quieter backdrop" if backdrop.startswith("quiet") else "its backdrop"
    return ("with ", Word("backdrop", words, "chosen", what))


def kind_of(chart: Chart, width: float, height: float) -> str:
    """What a piece of this size is called."""
    if chart.is_triangle:
        return "a shawl"
    longer, shorter = max(width, height), max(min(width, height), 0.1)
    if longer / shorter > _SCARF:
        return "a scarf"
    return "a cushion" if longer <= _CUSHION_CM else "a blanket"


def yarns_words(chart: Chart, wanted: Wanted) -> str:
    """ "six of my yarns"."""
    used = int(chart.used.sum())
    number = number_words(used)
    if "shelf" in wanted.words:
        return f"{number} of my yarns"
    return figure(f"{number} yarn{'' if used == 1 else 's'}")


def _how_it_is_made(chart: Chart) -> Sentence:
    blocks = (_UK_BLOCKS if chart.terms == "uk" else _BLOCKS)[chart.block]
    return (
        "It is made by ",
        Word("hand", f"my {chart.hand} hand", "chosen", "the hand"),
        " from ",
        Word("corner", f"the {_corner_words(chart)}", "chosen", "the start corner"),
        " in ",
        Word("block", blocks, "chosen", "the block"),
        "; yarn is ",
        Word("habit", _habit_words(chart), "chosen", "what becomes of the yarn between two places"),
        ".",
    )


def _what_it_takes(study: Study) -> Sentence:
    amounts = study.amounts
    hanging = int(amounts.plan.attached_by_row.max())
    end_them = _END_THEM[study.chart.tail_ending]
    several = ", several of one colour" if hanging > int(study.chart.used.sum()) else ""
    return (
        "It takes ",
        Word("pace", figure(say_hours(amounts.hours)), "follows", "the time at the hook"),
        ", and ",
        Word("ending", figure(say_hours(amounts.weave_in_hours)), "follows", "how tails end"),
        f" more to {end_them} ",
        Word("calm", figure(say_count(amounts.plan.tails, "tail")), "follows", "tails to end"),
        ". At most ",
        Word("most_hanging", figure(say_count(hanging, "yarn")), "follows", "yarns that hang"),
        f" hang{'s' if hanging == 1 else ''} at once{several}.",
    )


def _yarn(study: Study) -> list[Sentence]:
    """Whether the yarn on hand is enough, the shortest first; two are named at most."""
    amounts, chart = study.amounts, study.chart
    metres = Word("stock", figure(f"{say_metres(amounts.metres)} of yarn"), "follows", "the yarn")
    known = [
        (yarn.name, of)
        for yarn, of in zip(chart.yarns, amounts.yarns, strict=True)
        if of.metres and of.on_hand is not None and of.skeins is not None
    ]
    if not known:
        return [("It takes ", metres, ".")]
    short = sorted((-of.short_by, name) for name, of in known if of.short_by)
    tight = [
        name
        for name, of in known
        if not of.short_by and of.on_hand is not None and (of.skeins or 0) > of.on_hand
    ]
    told = [f"{name} is {say_metres(-by)} short" for by, name in short]
    told += [f"{name} is tight" for name in tight]
    if not told:
        return [("You have all the yarn: ", metres, ".")]
    words = [Word("stock", one, "follows", "yarn that may not reach") for one in told[:2]]
    lead = "You have all the yarn; " if not short else "You lack yarn: "
    joined: list[Part] = [lead, words[0]]
    if len(words) > 1:
        joined += [" and ", words[1]]
    return [(*joined, f", and {len(told) - 2} more." if len(told) > 2 else ".")]


def _guess(study: Study) -> list[Sentence]:
    measures = study.amounts.measures
    if not measures.guessed:
        return []
    width, _ = finished_size_cm(study.chart, measures.block_cm)
    low, high = (width * (1 - measures.size_band), width * (1 + measures.size_band))
    hook = study.chart.hook_mm
    of = f"{hook:g} mm hook" if hook else f"class {study.chart.weight} yarn"
    return [
        (
            "The size is a guess from ",
            "a ",
            Word("hook", figure(of), "chosen", "the hook"),
            f": it may come out {figure(f'{low:.0f} to {high:.0f} cm')} wide. ",
            Word("swatch", "A swatch", "chosen", "measures of a swatch"),
            " would tell.",
        )
    ]


def _made_rows(chart: Chart) -> list[Sentence]:
    if not chart.done:
        return []
    words = chart.done.words
    is_are = "is made" if words == "row 1" else "are made"
    return [(f"{words[:1].upper()}{words[1:]} ", Word("done", is_are, "chosen", "rows made"), ".")]


def _not_said(study: Study) -> Sentence:
    chart = study.chart
    border, made = "no border", [line.mend for line in chart.mends]
    if chart.border:
        of = chart.border
        rounds = say_count(of.rounds, "round")
        border = f"a border, {rounds} of {of.stitch} in {chart.yarns[of.yarn].name}"
    flipped = made.count("mirror") % 2 == 1
    said: list[Part] = ["Not said above: ", Word("border", border, "chosen", "a border"), ", "]
    for name, none, some in (
        (f"mend:{TEXT}", "no letters", "letters"),
        ("mend:frame", "no frame", "a frame"),
    ):
        words = some if name.removeprefix("mend:") in made else none
        said += [Word(name, words, "chosen", none.removeprefix("no ")), ", "]
    page = plain("page", chart.page or "a4")
    return (
        *said,
        Word("mend:mirror", "mirrored" if flipped else "not mirrored", "chosen", "left and right"),
        "; tails ",
        Word("tails", _ENDINGS[chart.tail_ending], "chosen", "how tails end"),
        "; ",
        Word("terms", f"{chart.terms.upper()} terms", "chosen", "the words of stitches"),
        "; ",
        Word("page", page, "chosen", "the paper of the pattern"),
        "; colours change ",
        Word("turn", f"{chart.turn} at a turn", "chosen", "when a colour comes in at a turn"),
        *(() if chart.done else ("; ", Word("done", "nothing made yet", "chosen", "rows made"))),
        "; ",
        Word("journal", _journal_words(chart), "follows", "the mends made by hand"),
        "; ",
        Word("rest", "everything else", "chosen", "every other option"),
        ".",
    )


def _corner_words(chart: Chart) -> str:
    return say_corner(chart.start_corner).removeprefix("at the ").removeprefix("in the ")


def _habit_words(chart: Chart) -> str:
    if chart.habit == STRIPES_HABIT:
        return "led up the edge"
    reach = chart.habit.reach
    return HABIT_WORDS.get(
        chart.habit.name, f"carried up to {reach:g} block{'' if reach == 1 else 's'}"
    )


def _journal_words(chart: Chart) -> str:
    count = len(chart.mends)
    return say_count(count, "mend by hand", "mends by hand") if count else "nothing mended by hand"


_SAID_BY = {
    "ending": "tails",
    "hours": "calm",
    "colors": "yarns",
    "width": "blocks",
    "height": "blocks",
}


def said_of(sentences: list[Sentence], name: str) -> str:
    """What a word says, or the word that says an option; "" where none does."""
    words = (part for sentence in sentences for part in sentence if isinstance(part, Word))
    name = _SAID_BY.get(name, name)
    return next((word.text.replace("\u00a0", " ") for word in words if word.name == name), "")


def paragraph_json(study: Study, wanted: Wanted) -> list[list[Any]]:
    """The same for a page."""
    return [sentence_json(sentence) for sentence in paragraph_of(study, wanted)]
