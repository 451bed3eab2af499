"""The paragraph that describes a piece: sentences in which every word that can be changed opens."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pix2block.amounts.measures import finished_size_cm
from pix2block.chart.chart import Chart
from pix2block.ground.settings import say_corner
from pix2block.ground.units import say_count, say_hours, say_metres
from pix2block.study.study import Study
from pix2block.web.choices import HABIT_WORDS

_BLOCKS = {"dc": "dc blocks", "hdc": "hdc blocks"}
_UK_BLOCKS = {"dc": "tr blocks", "hdc": "htr blocks"}
_ENDINGS = {
    "woven": "woven in",
    "over": "worked over",
    "border": "worked over in a border",
    "fringe": "left as fringe",
}


@dataclass(frozen=True)
class Word:
    """A word that opens. name: which; text: what it says; kind: "chosen", or "follows" of what
    comes of that; what: it is, for who cannot see it."""

    name: str
    text: str
    kind: str
    what: str


Part = str | Word
Sentence = tuple[Part, ...]


def paragraph_of(study: Study) -> list[Sentence]:
    """The piece in sentences, in their fixed order."""
    chart, amounts = study.chart, study.amounts
    width, height = finished_size_cm(chart, amounts.measures.block_cm)
    about = "about " if amounts.measures.guessed else ""
    used = sum(1 for of in amounts.yarns if of.blocks)
    hanging = int(amounts.plan.attached_by_row.max())
    blocks = (_UK_BLOCKS if chart.terms == "uk" else _BLOCKS)[chart.block]
    first: Sentence = (
        Word("title", chart.title, "chosen", "the name of the piece"),
        f" is {about}{_figure(f'{width:.0f} × {height:.0f} cm')}, "
        f"{_figure(f'{chart.width} by {chart.height} blocks')}, in ",
        Word("yarns", _figure(say_count(used, "yarn")), "chosen", "the yarns"),
        ".",
    )
    made: Sentence = (
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
    takes: Sentence = (
        f"It takes {_figure(say_hours(amounts.hours))}, and "
        f"{_figure(say_hours(amounts.weave_in_hours))} more to end ",
        Word("calm", _figure(say_count(amounts.plan.tails, "tail")), "follows", "tails to end"),
        f". At most {_figure(say_count(hanging, 'yarn'))} hang at once, and it takes "
        f"{_figure(say_metres(amounts.metres))} of yarn.",
    )
    rest: Sentence = (
        "Not said above: tails ",
        Word("ending", _ENDINGS[chart.tail_ending], "chosen", "how tails end"),
        "; ",
        Word("terms", f"{chart.terms.upper()} terms", "chosen", "the words of stitches"),
        "; colours change ",
        Word("turn", f"{chart.turn} at a turn", "chosen", "when a colour comes in at a turn"),
        "; ",
        Word("journal", _journal_words(chart), "follows", "the mends made by hand"),
        ".",
    )
    return [first, made, takes, *_guess(study), rest]


def said_of(sentences: list[Sentence], name: str) -> str:
    """What a word says, "" where none of this name is said."""
    words = (part for sentence in sentences for part in sentence if isinstance(part, Word))
    return next((word.text.replace("\u00a0", " ") for word in words if word.name == name), "")


def _guess(study: Study) -> list[Sentence]:
    measures = study.amounts.measures
    if not measures.guessed:
        return []
    width, _ = finished_size_cm(study.chart, measures.block_cm)
    low, high = (width * (1 - measures.size_band), width * (1 + measures.size_band))
    words = f"The size is a guess: it may come out {_figure(f'{low:.0f} to {high:.0f} cm')} wide."
    return [(f"{words} A swatch would tell.",)]


def _figure(text: str) -> str:
    return text.replace(" ", "\u00a0")


def _corner_words(chart: Chart) -> str:
    return say_corner(chart.start_corner).removeprefix("at the ").removeprefix("in the ")


def _habit_words(chart: Chart) -> str:
    return HABIT_WORDS.get(chart.habit.name, f"carried up to {chart.habit.reach:g} blocks")


def _journal_words(chart: Chart) -> str:
    count = len(chart.mends)
    return say_count(count, "mend by hand", "mends by hand") if count else "nothing mended by hand"


def paragraph_json(study: Study) -> list[list[Any]]:
    """The same for a page."""
    return [
        [
            part
            if isinstance(part, str)
            else {"word": part.name, "text": part.text, "kind": part.kind, "what": part.what}
            for part in sentence
        ]
        for sentence in paragraph_of(study)
    ]
