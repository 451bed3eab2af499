"""Every option and every mend as words: what is worth no sentence of its own is said from the one
table of options, and opens to a slip made of its rule."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from pix2block.ground.advice import Ask
from pix2block.ground.units import say_count
from pix2block.mending.verbs import TEXT
from pix2block.options.asking import Spec, specs_of
from pix2block.options.mends import ALONE, OF_TEXT, MendOptions
from pix2block.options.rules import Choice, Flag, Number, Whole
from pix2block.options.table import CHART, MEND, REPORT, STRIPE, specs
from pix2block.study.study import Study
from pix2block.web.light import lightness_of
from pix2block.web.slip_nouns import Field, Part, Place, Sentence, Slip, Word
from pix2block.web.wanted import OF_FILES, Value, Wanted

SPECS: Mapping[str, Spec] = {
    spec.name: spec for spec in specs() if {CHART, STRIPE, REPORT, MEND} & {*spec.commands}
}
MENDS: Mapping[str, Spec] = {
    spec.name: spec
    for spec in specs_of(MendOptions)
    if spec.name not in ALONE and spec.name not in OF_TEXT
}
ELSEWHERE = {  # the word that does what these ask for on a command line
    "out": "title",
    "fresh": "journal",
    **{f"{MEND}:{name}": "journal" for name in ALONE},
    **{f"{MEND}:{name}": f"{MEND}:{TEXT}" for name in OF_TEXT},
}
_PLAIN = {
    ("look", "auto"): "as it seems",
    ("look", "photo"): "a photo",
    ("look", "tones"): "a photo, by light and dark",
    ("look", "flat"): "flat art",
    ("look", "blocks"): "a chart already",
    ("strokes", "keep"): "thin lines kept",
    ("strokes", "mean"): "thin lines mixed",
    ("tone", "keep"): "light and dark as they are",
    ("tone", "fit"): "fitted to what the shelf spans",
    ("aim", "area"): "every block alike",
    ("aim", "even"): "small colours too",
    ("page", "a4"): "A4",
    ("page", "letter"): "US Letter",
    ("page", "phone"): "a phone's width",
    ("ink", "color"): "in the yarns' colours",
    ("ink", "black"): "in marks alone",
    ("rows", "drawn"): "a drawing each",
    ("rows", "words"): "words alone",
    ("editions", "own"): "this one alone",
    ("editions", "all"): "each hand, US and UK terms",
    ("draw", "floats"): "the yarn behind as well",
    ("compare", "ways"): "corners, habits, reaches",
    ("letters", "shipped"): "the pattern's own font",
    ("letters", "system"): "this machine's fonts",
    ("terms", "us"): "US terms",
    ("terms", "uk"): "UK terms",
}


WHAT_MENDS_ARE = (
    "A mend is a change by hand, of blocks, yarns or the shape; each can be taken back."
)
HOW_COUNTED = (
    "A place is a block, as column 4, line 2, counted from the left and from the top; or a row, as "
    "row 57, or its third run, as run 57.3: rows run askew from the start corner, and are numbered "
    "along the edges."
)
_LEADS = {  # what stands before and behind an option's word in a sentence of neighbours
    "reach": ("carry yarn behind at most ", " block sides"),
    "rest": ("leave it hanging at most ", " rows"),
    "edge": ("climb an edge at most ", " rows"),
    "most_hanging": ("yarns that may hang at most: ", ""),
    "strokes": ("thin lines of a drawing: ", ""),
    "background": ("where the picture is clear it shows ", ""),
    "tone": ("light and dark: ", ""),
    "aim": ("colours are chosen for: ", ""),
    "seed": ("another start for the search of colours: ", ""),
    "mind": ("parts that matter more: ", ""),
    "spot": ("places whose colour gets a yarn: ", ""),
    "subject": ("what it is of: ", ""),
    "weight": ("yarn of class ", ""),
    "gauge": ("your gauge: ", ""),
    "shelf": ("your list of yarns: ", ""),
    "within_shelf": ("no more yarn than is on hand: ", ""),
    "reserve": ("yarn added for safety: ", " %"),
    "tail": ("length of a tail: ", " cm"),
    "butterfly": ("longest bobbin wound on the hand: ", " m"),
    "left": ("what is left of yarns: ", ""),
    "lock": ("yarns that must be in: ", ""),
    "ban": ("yarns left out: ", ""),
    "colors": ("yarns at most: ", ""),
    "curve": ("a table of fewer tails against truer pictures: ", ""),
    "compare": ("a table of other ways: ", ""),
    "editions": ("patterns made: ", ""),
    "every_row": ("every row written out: ", ""),
    "letters": ("letters that its font lacks: ", ""),
    "credit": ("designer and copyright: ", ""),
    "maker": ("your own defaults: ", ""),
    "rip_back": ("rows undone from row ", " on"),
}
_MEANS = {  # what a mend does, where its option's words speak of a command line
    "exchange": "all blocks of one yarn become another's",
    "swap": "two yarns change places",
    "patch": "the whole patch follows the block of it that was changed last",
    "rotate": "a quarter turn to the left, against the clock, or to the right; or upside down",
    "text": "letters of whole blocks",
}
_OF_HABIT = ("reach", "rest", "edge")  # what the habit says of them, where nothing else is asked
_AS = {  # how a mend is typed
    "exchange": "as Moss=Tar, or Moss=Tar in rows 1 to 40",
    "swap": "as Moss=Tar, or Moss=Tar in rows 1 to 40",
    "recolor": "as Moss=#4a5a32",
    "rename": "as Moss=Meadow",
    "add": "as Lamp #e2aa4c",
    "drop": "a yarn",
    "paint": "as row 57.3=Moss, or column 4, line 2=Moss",
    "fill": "as column 4, line 2=Moss",
    "patch": "as column 4, line 2",
    "insert": "the file, then @ and where its top left block comes",
    "shield": "as rows 1 to 4, or column 4, line 2",
    "calm": "per cent more colour error, as 3",
    "rotate": "left, right or half",
    "cut": "blocks left away on the left and at the top, then across and down, as 2,2,30,40",
    "frame": "as 3 Moss",
    "extend": "as top 3 Moss",
    "repeat": "across and down, as 3x1",
}


def plain(name: str, value: str) -> str:
    """A value of an option in a maker's words."""
    return _PLAIN.get((name, value), value)


def help_of(spec: Spec) -> str:
    """What the table says of an option, as a sentence."""
    said = spec.help
    parts = getattr(said, "parts", (said,))
    words = "".join(
        part.option.replace("_", " ") if isinstance(part, Ask) else part for part in parts
    )
    return words[:1].upper() + words[1:] + "."


def _means(verb: str) -> str:
    """What a mend does, as a sentence of the page."""
    said = _MEANS.get(verb)
    return f"{said[:1].upper()}{said[1:]}." if said else help_of(MENDS[verb])


def value_of(name: str, study: Study, wanted: Wanted) -> Value | None:
    """An option's value now as it is typed, None where nothing was asked."""
    spec = SPECS[name]
    kept = getattr(study.chart, spec.kept) if spec.kept else None
    return spec.rule.as_words(kept) if kept is not None else wanted.words.get(name)


def said_of(name: str, study: Study, wanted: Wanted) -> str:
    """An option's value in words, also where nothing was asked."""
    value = value_of(name, study, wanted)
    if isinstance(value, tuple):
        return ", ".join(value)
    if value is not None:
        return plain(name, value)
    if name in _OF_HABIT:
        return f"{getattr(study.chart.habit, name):g}"
    if name in ("width", "height"):
        return str(getattr(study.chart, name))
    shown = SPECS[name].shown_default
    return (
        plain(name, shown) if shown else "no" if isinstance(SPECS[name].rule, Flag) else "nothing"
    )


def option_word(name: str, study: Study, wanted: Wanted) -> Word:
    """The word of an option."""
    return Word(name, said_of(name, study, wanted), what=name.replace("_", " "))


def neighbours(study: Study, wanted: Wanted, *names: str) -> tuple[Sentence, ...]:
    """One sentence of options that belong to what is open."""
    parts: list[Part] = []
    for name in names:
        before, behind = _LEADS.get(name, (f"{name.replace('_', ' ')}: ", ""))
        lead = f"; {before}" if parts else f"{before[:1].upper()}{before[1:]}"
        word = option_word(name, study, wanted)
        parts += [lead, word, behind.removesuffix("s") if word.text == "1" else behind]
    return ((*(part for part in parts if part), "."),) if parts else ()


def option_slip(name: str, study: Study, wanted: Wanted, pictured: bool) -> Slip:
    """What opens under the word of an option, made of its rule."""
    spec, value = SPECS[name], value_of(name, study, wanted)
    rule, what = spec.rule, name.replace("_", " ")
    places: list[Place] = []
    fields: list[Field] = []
    if isinstance(rule, Choice):
        now = value or (spec.shown_default or "").split(",")[0].split(" ")[0]
        places = [Place(word, plain(name, word), word == now) for word in rule.words]
        if not spec.shown_default:
            places.insert(0, Place(None, "no", value is None))
    elif isinstance(rule, Flag):
        places = [Place(None, "no", value != "yes"), Place("yes", "yes", value == "yes")]
    else:
        if name in OF_FILES:
            fields = [Field("", "a file", "file")]
        else:
            shown = value if isinstance(value, str) else "; ".join(value or ())
            kind = "number" if isinstance(rule, Whole | Number) else "text"
            fields = [Field(shown, rule.wanted, kind)]
        said = spec.shown_default or "nothing"
        places = [Place(None, f"as usual: {said}" if spec.shown_default else said, value is None)]
    help_words = help_of(spec) + (" Several stand with ; between them." if spec.many else "")
    return Slip(name, what, help_words, tuple(places), pictured and not fields, tuple(fields))


def mend_slip(verb: str, study: Study) -> Slip:
    """What opens under the word of a mend: where its words are typed."""
    spec = MENDS[verb]
    yarns = ", ".join(yarn.name for yarn in study.chart.yarns)
    said = f"{_means(verb)} Yarns: {yarns}." if "YARN" in spec.rule.metavar else _means(verb)
    if "PLACE" in spec.rule.metavar or verb in ("exchange", "swap"):
        said = f"{said} {HOW_COUNTED}"
    fields: tuple[Field, ...] = (Field("", _AS.get(verb) or spec.rule.metavar.strip('"')),)
    if verb == "insert":
        fields = (Field("", "a chart.json or a grid", "file", "insert"), *fields)
    places = _tried(verb, study)
    if places:
        places = (Place(None, "as it is", True), *places)
    name, words = f"{MEND}:{verb}", verb.replace("_", " ")
    fields = () if isinstance(spec.rule, Flag) else fields
    return Slip(name, words, said, places, bool(places), fields, "", verb, does="Do it")


def _tried(verb: str, study: Study) -> tuple[Place, ...]:
    """Mends that are worth a picture: a few of each kind."""
    chart = study.chart
    numbers = np.flatnonzero(chart.used)
    used = [chart.yarns[i] for i in numbers]
    by_light = np.argsort(lightness_of(chart)[numbers], kind="stable")
    ends = dict.fromkeys((used[by_light[0]].name, used[by_light[-1]].name))
    if verb == "mirror":
        return (Place("", "left and right change"),)
    if verb == "rotate":
        turns = {"left": "against the clock", "right": "with the clock", "half": "upside down"}
        return tuple(Place(value, words) for value, words in turns.items())
    if verb == "frame":
        every = ((number, name) for name in ends for number in (1, 3))
        return tuple(
            Place(f"{n} {name}", f"{say_count(n, 'block')} of {name}") for n, name in every
        )
    if verb == "repeat":
        return tuple(
            Place(value, value.replace("x", " across, ") + " down") for value in ("2x1", "1x2")
        )
    if verb == "drop" and len(used) > 1:
        return tuple(Place(yarn.name, f"without {yarn.name}") for yarn in used[:5])
    return ()


def rest_slip(study: Study, wanted: Wanted) -> Slip:
    """Everything else, a sentence each under the name of its group: every option, every mend."""
    groups: dict[str, list[Sentence]] = {}
    for spec in SPECS.values():
        if spec.name in ELSEWHERE or not {CHART, REPORT, MEND, STRIPE} & {*spec.commands}:
            continue
        said = groups.setdefault(spec.group, [(spec.group.capitalize(),)])
        said.append((f"{help_of(spec).rstrip('.')}: ", option_word(spec.name, study, wanted), "."))
    mends: list[Sentence] = [("Mends",), (f"{WHAT_MENDS_ARE} ", HOW_COUNTED)]
    for name in MENDS:
        words = Word(f"{MEND}:{name}", name.replace("_", " "), "chosen", "a mend")
        mends.append((words, f": {_means(name)}"))
    every = (sentence for sentences in groups.values() for sentence in sentences)
    return Slip("rest", "everything else", beside=(*every, *mends))
