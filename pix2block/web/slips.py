"""What opens under each word: the choices that are worth a picture of the piece, and for every
other word what the table of options says."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.units import say_count
from pix2block.options.table import CHART, MEND, REPORT
from pix2block.study.study import Study
from pix2block.web.advice import CURE, cure_slip
from pix2block.web.again import AT_ONCE
from pix2block.web.choices import CALMS, less_true, places_of
from pix2block.web.evenings import EVENINGS, FIRST_DAY, pace_slip
from pix2block.web.kinds import kind_slip
from pix2block.web.letters import WORD as LETTERS
from pix2block.web.letters import letters_slip
from pix2block.web.light import lightness_of
from pix2block.web.palettes import WORD, palettes_slip
from pix2block.web.plan import is_plan_word, plan_slip
from pix2block.web.rest import (
    ELSEWHERE,
    MENDS,
    SPECS,
    WHAT_MENDS_ARE,
    mend_slip,
    neighbours,
    option_slip,
    rest_slip,
)
from pix2block.web.slip_nouns import Field, Place, Slip, Word
from pix2block.web.slip_picture import backdrop_slip, crop_slip, look_slip, subject_slip
from pix2block.web.slip_sizes import blocks_slip, size_slip
from pix2block.web.slip_yarns import YARN, spare_of, stock_slip, yarn_slip, yarns_slip
from pix2block.web.wanted import Wanted

MOST_PLACES = 6  # side by side
_NEEDS_PICTURE = (
    "This needs the picture, which is not kept with the piece: choose it, and it lies beside the "
    "piece from then on."
)


def slip_of(word: str, study: Study, wanted: Wanted) -> Slip:
    """What opens under a word. Raises BadInput for one that there is not."""
    name = "tails" if word == "ending" else word
    if wanted.plan and (is_plan_word(name) or name == "size"):
        yarns = [*(yarn.name for yarn in study.chart.yarns), *(y.name for y in spare_of(study))]
        slip = plan_slip("length" if name == "size" else name, wanted.plan, yarns)
        slip = replace(slip, fields=tuple(replace(one, name=slip.word) for one in slip.fields))
        slip = replace(
            slip, places=tuple(replace(one, word=one.word or slip.word) for one in slip.places)
        )
    elif name in _OWN:
        slip = _OWN[name](study, wanted)
    elif name.startswith(f"{MEND}:") and name.removeprefix(f"{MEND}:") in MENDS:
        slip = mend_slip(name.removeprefix(f"{MEND}:"), study)
    elif name.startswith(CURE):
        slip = cure_slip(name)
    elif name.startswith(YARN):
        slip = yarn_slip(name.removeprefix(YARN), study, wanted)
    elif name in SPECS and name not in ELSEWHERE:
        slip = option_slip(name, study, wanted, _is_pictured(name, wanted))
    else:
        raise BadInput(unknown("word", word, (*_OWN, *SPECS)))
    slip = replace(slip, word=word)
    return (
        slip
        if wanted.picture or wanted.plan or not _asks_for_picture(name)
        else _without_picture(slip)
    )


def _is_pictured(name: str, wanted: Wanted) -> bool:
    return bool(wanted.picture) and CHART in SPECS[name].commands and name not in AT_ONCE


def _asks_for_picture(name: str) -> bool:
    """Whether a word's choices are made from the picture alone."""
    if name in ("size", "blocks", "picture", WORD):
        return True
    spec = SPECS.get(name)
    return spec is not None and REPORT not in spec.commands and CHART in spec.commands


def _without_picture(slip: Slip) -> Slip:
    picture = Field("", "the picture", "file", "picture")
    return Slip(slip.word, slip.what, _NEEDS_PICTURE, fields=(picture,))


# Words that are chosen on the chart itself


def _of_chart(word: str, what: str, *beside: str) -> Callable[[Study, Wanted], Slip]:
    def slip(study: Study, wanted: Wanted) -> Slip:
        places, now = places_of(study.chart, word)
        made = tuple(Place(value, words, value == now) for value, words in places)
        return Slip(word, what, "", made, True, beside=neighbours(study, wanted, *beside))

    return slip


def _calm(study: Study, wanted: Wanted) -> Slip:
    """From the truest picture to the fewest tails."""
    chart = study.chart
    if not wanted.picture and chart.uncalmed is None:
        help_words = "The piece is as it is: without its picture nothing tells where it may change."
        return Slip("calm", "tails to end", help_words, own="", fields=(_MOST_HOURS,))
    percent = chart.calmed.percent if chart.calmed else 0.0
    values = sorted({*CALMS, percent})
    while len(values) > MOST_PLACES:  # what is now stays
        values.remove(next(one for one in values[1:] if one != percent))
    ends = {values[0]: "truest picture", values[-1]: "fewest tails"}
    places = tuple(
        Place(f"{one:g}", ends.get(one, less_true(one)), one == percent) for one in values
    )
    said = "From the truest picture to the fewest tails."
    beside = neighbours(study, wanted, "most_hanging", "habit", "curve")
    return Slip("calm", "tails to end", said, places, True, (_MOST_HOURS,), beside=beside)


def _tails(study: Study, wanted: Wanted) -> Slip:
    """How tails end; and where the hours of it are bounded."""
    found = _of_chart("ending", "how tails end", "tail", "border")(study, wanted)
    bound = Word("calm", "so many hours", "chosen", "tails to end")
    beside = (("Or ask for at most ", bound, " of weaving in."), *found.beside)
    return replace(found, beside=beside)


_MOST_HOURS = Field("", "at most so many hours of weaving in", "number", "hours")


def _title(study: Study, _: Wanted) -> Slip:
    return Slip("title", "the name of the piece", fields=(Field(study.chart.title, "its name"),))


def _border(study: Study, wanted: Wanted) -> Slip:
    slip = option_slip("border", study, wanted, False)
    chart = study.chart
    light = lightness_of(chart)
    now = slip.fields[0].value if chart.border else "none"
    places = [Place("none", "no border", not chart.border)]
    for i in (int(light.argmin()), int(light.argmax())):
        for rounds in (1, 3):
            value = f"{rounds} sc {chart.yarns[i].name}"
            words = f"{say_count(rounds, 'round')} in {chart.yarns[i].name}"
            places.append(Place(value, words, now == value))
    if not any(one.now for one in places):
        places.append(Place(now, now, True))
    names = ", ".join(yarn.name for yarn in chart.yarns)
    field = replace(slip.fields[0], hint=f"as 2 sc {chart.yarns[int(light.argmax())].name}")
    said = f"{slip.help} Yarns: {names}."
    return replace(slip, help=said, places=tuple(places), fields=(field,), pictured=True)


def _journal(_: Study, __: Wanted) -> Slip:
    return Slip("journal", "the mends made by hand", WHAT_MENDS_ARE, own="journal")


def _most_hanging(study: Study, wanted: Wanted) -> Slip:
    """How many may hang, and from which row on most do."""
    found = _with_beside("most_hanging", "calm", "habit", "butterfly")(study, wanted)
    attached = study.plan.attached_by_row
    most, row = int(attached.max()), int(attached.argmax()) + 1
    hang = f"{say_count(most, 'yarn')} hang{'s' if most == 1 else ''} at once, first in row {row}."
    return replace(found, help=f"{hang} {found.help}")


def _picture(_: Study, wanted: Wanted) -> Slip:
    field = Field("", "the picture", "file", "picture")
    return Slip("picture", "the picture", "" if wanted.picture else _NEEDS_PICTURE, fields=(field,))


def _shelf(study: Study, wanted: Wanted) -> Slip:
    found = option_slip("shelf", study, wanted, _is_pictured("shelf", wanted))
    beside = neighbours(study, wanted, "lock", "ban", "within_shelf", "colors")
    return replace(found, own="shelf", beside=beside)


def _done(study: Study, wanted: Wanted) -> Slip:
    found = _with_beside("done", "left", "rip_back")(study, wanted)
    file = Field("", "or the hookside page's file", "file", "done")
    return replace(found, fields=(*found.fields, file))


def _with_beside(name: str, *beside: str) -> Callable[[Study, Wanted], Slip]:
    """An option's own slip with its neighbours."""

    def slip(study: Study, wanted: Wanted) -> Slip:
        found = option_slip(name, study, wanted, _is_pictured(name, wanted))
        return replace(found, beside=neighbours(study, wanted, *beside))

    return slip


_OWN: Mapping[str, Callable[[Study, Wanted], Slip]] = {
    "title": _title,
    "kind": kind_slip,
    "size": size_slip,
    "blocks": blocks_slip,
    "look": look_slip,
    "picture": _picture,
    "crop": crop_slip,
    "backdrop": backdrop_slip,
    "subject": subject_slip,
    "shelf": _shelf,
    WORD: palettes_slip,
    LETTERS: letters_slip,
    "yarns": yarns_slip,
    "hand": _of_chart("hand", "the hand", "editions"),
    "corner": _of_chart("corner", "the start corner", "compare"),
    "block": _of_chart("block", "the block", "weight", "hook"),
    "habit": _of_chart("habit", "what becomes of the yarn between", "reach", "rest", "edge"),
    "calm": _calm,
    "tails": _tails,
    "turn": _of_chart("turn", "when a colour comes in at a turn"),
    "pace": pace_slip,
    EVENINGS: pace_slip,
    FIRST_DAY: pace_slip,
    "most_hanging": _most_hanging,
    "hook": _with_beside("hook", "weight", "gauge", "swatch"),
    "done": _done,
    "page": _with_beside("page", "ink", "rows", "every_row", "letters", "credit"),
    "border": _border,
    "stock": stock_slip,
    "journal": lambda _, __: Slip(
        "journal", "the mends made by hand", WHAT_MENDS_ARE, own="journal"
    ),
    "rest": rest_slip,
}
