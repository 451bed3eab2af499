"""Palettes on trial at the worktable: the piece in the yarns of each shelf that was brought, or in
several numbers of its own colours, judged as `pix2block trial` judges them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from pix2block.color.vision import FAR_DEGREES
from pix2block.design.area_words import color_word
from pix2block.ground.errors import BadInput
from pix2block.ground.units import say_count
from pix2block.recipes.supplies import open_shelf
from pix2block.study.study import Study
from pix2block.trial.recipe import OWN_COLORS, seeing_of
from pix2block.trial.trial import Candidate, Tried, ranked
from pix2block.trial.tried import try_palette
from pix2block.web.slip_nouns import Place, Slip, number_words
from pix2block.web.wanted import PLACE, Wanted

WORD = "palettes"
_SHELVES = 3  # that are tried at once
_ENDINGS = (".csv", ".tsv", ".txt", ".gpl")
_ORDER = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh")


def palettes_slip(study: Study, wanted: Wanted) -> Slip:
    """What opens under palettes: a few, now among them."""
    used = int(study.chart.used.sum())
    now = str(wanted.words.get("shelf", ""))
    shelves = ["", *_shelves(study)]
    numbers = (used,) if len(shelves) > 2 else (max(used - 2, 1), used, used + 2)
    places = []
    for shelf in shelves[: _SHELVES + 1]:
        name = Path(shelf).stem if shelf else OWN_COLORS
        for number in numbers:
            words = f"{name}, {number_words(number)}"
            places.append(Place(f"{shelf}:{number}", words, (shelf, number) == (now, used)))
    if not any(place.now for place in places):
        places.insert(0, Place(None, "as it is", True))
    said = (
        "Ordered as a trial orders them: first what loses nothing that stands out and keeps yarns "
        "that touch apart, then the truest from afar, then the fewest tails."
    )
    return Slip(WORD, "palettes on trial", said, tuple(places[:7]), True)


def _shelves(study: Study) -> list[str]:
    """Names of the shelves in the piece's place."""
    folder = study.chart_file.parent / PLACE if study.chart_file else None
    if folder is None or not folder.is_dir():
        return []
    found = []
    for path in sorted(folder.iterdir()):
        if path.suffix.lower() in _ENDINGS:
            try:
                open_shelf(path)
            except BadInput:
                continue
            found.append(path.name)
    return found


def of_palette(wanted: Wanted, value: str) -> Wanted:
    """What is asked in another palette: "SHELF:NUMBER", the shelf "" for its own colours. Raises
    BadInput."""
    shelf, colon, number = value.rpartition(":")
    if not colon or not number.isdecimal():
        raise BadInput(f'"{value}": write a shelf and a number of yarns, as mine.csv:6')
    for name in ("lock", "ban", "tone", "within_shelf"):
        wanted = wanted.with_word(name, None)
    return wanted.with_word("shelf", shelf or None).with_word("colors", number)


def judged(studies: Sequence[Study]) -> list[str]:
    """Where each of several palettes of one picture comes in a trial, and what it loses; "" where
    they cannot be compared. Raises nothing: pieces without their picture are not judged."""
    if len(studies) < 2 or any(study.view is None for study in studies):
        return ["" for _ in studies]
    seeing = seeing_of(studies, FAR_DEGREES)
    candidates = [Candidate(str(i), None, study.chart) for i, study in enumerate(studies)]
    tried = [try_palette(one, at) for one, at in zip(candidates, seeing, strict=True)]
    order = ranked(tried)
    return [f"{_ORDER[order.index(one)]} on trial: {_loses(one)}" for one in tried]


def _loses(tried: Tried) -> str:
    if tried.clear:
        return "all that stands out is kept"
    said = []
    if tried.lost:
        first = tried.lost[0]
        more = len(tried.lost) - 1
        also = f" and {say_count(more, 'thing')} more" if more else ""
        said.append(f"the {color_word(first.color)} {first.place} is lost{also}")
    if tried.merging:
        pair = tried.merging[0].pair
        one, other = (tried.chart.yarns[i].name for i in (pair.one, pair.other))
        said.append(f"{one} and {other} can hardly be told apart")
    return "; ".join(said)
