"""Sentences that come only when they matter: what the yarns lose, with the cure as the word."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from pix2block.design.area_words import area_words, color_word, named_color
from pix2block.design.areas import Area
from pix2block.design.features import Feature
from pix2block.ground.units import say_count
from pix2block.study.study import Study
from pix2block.web.slip_nouns import Place, Sentence, Slip, Word, sentence_json
from pix2block.web.slip_yarns import spare_of
from pix2block.web.wanted import Wanted

MOST = 2  # sentences at once
CURE = "cure:"  # before what would bring something back, the word of that


def advice_of(study: Study, wanted: Wanted) -> list[Sentence]:
    """What the yarns no longer show, the most important first; none where no yarn brings it back,
    or where the picture is not at hand. It searches for that: not to be asked for on the way."""
    if not wanted.picture:
        return []
    spare = spare_of(study) if "shelf" in wanted.words else None
    study = replace(study, spare=spare)
    names = {yarn.color: yarn.name for yarn in spare or ()}
    said: list[Sentence] = []
    for feature, remedy in zip(study.lost, study.remedies, strict=False):
        if remedy is None or not remedy.added or len(said) >= MOST:
            continue
        name = names.get(remedy.added)
        if spare is not None and name is None:
            continue
        cure = f"one_more:{name}" if name else f"spot_more:{_spot(feature, study, wanted)}"
        words = f"{name or named_color(remedy.added)}, one yarn more,"
        word = Word(f"{CURE}{cure}", words, "chosen", "what would bring it back")
        if isinstance(feature, Area):
            lost = area_words(feature, study.chart.yarns[feature.yarn].name)
            said.append((f"{lost}: ", word, " would part them."))
        else:
            what = f"{color_word(feature.color)} {feature.place}"
            blocks = say_count(feature.blocks, "block")
            lost = f"The {what} ({blocks}) no longer stands out: "
            said.append((lost, word, " would bring it back."))
    return said


def _spot(feature: Feature, study: Study, wanted: Wanted) -> str:
    """Where a feature is in the picture, in per cent."""
    told = [float(one) for one in str(wanted.words.get("crop", "0,0,100,100")).split(",")]
    left, top, across, down = told if len(told) == 4 else (0.0, 0.0, 100.0, 100.0)
    line, column = feature.centre
    x = left + across * (column + 0.5) / study.chart.width
    y = top + down * (line + 0.5) / study.chart.height
    return f"{x:.1f},{y:.1f}"


def cure_slip(word: str) -> Slip:
    """What opens under a cure: the piece with it."""
    option, _, value = word.removeprefix(CURE).partition(":")
    words = f"with {value}" if option == "one_more" else "with a yarn for it"
    places = (Place(None, "as it is", True), Place(value, words, False, option))
    return Slip(word, "what would bring it back", "", places, True)


def advice_json(study: Study, wanted: Wanted) -> list[list[Any]]:
    """The same for a page."""
    return [sentence_json(sentence) for sentence in advice_of(study, wanted)]
