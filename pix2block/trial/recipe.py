"""Trials: one picture in several palettes, made one after the other and compared."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from pix2block.amounts.measures import measures_of
from pix2block.amounts.money import Money
from pix2block.color.vision import FAR_DEGREES, NEAR_DEGREES, degrees_across, metres_away
from pix2block.design.features import Feature, find_features
from pix2block.design.view import View
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.files import noting_files
from pix2block.ground.progress import Progress
from pix2block.options.table import SEVERAL_IN_TRIALS, Options
from pix2block.recipes.from_picture import chart_picture
from pix2block.recipes.supplies import open_shelf
from pix2block.study.output import Output
from pix2block.study.study import Study
from pix2block.trial.figures import trial_csv
from pix2block.trial.picture import trial_png
from pix2block.trial.sheet import trial_html
from pix2block.trial.subject import open_subject
from pix2block.trial.trial import (
    Candidate,
    Seeing,
    ranked,
)
from pix2block.trial.tried import try_palette
from pix2block.trial.words import Trial

OWN_COLORS = "its own colours"  # what is tried where no shelf is named
_HALF = 0.5  # a feature with more of it behind the subject is none of the subject


def options_to_try(given: Mapping[str, str | tuple[str, ...]]) -> list[Options]:
    """Options from texts, as `Options.from_words` takes them, for each of the widths, heights and
    numbers of yarns that are listed with commas between."""
    each = [dict(given)]
    for name in SEVERAL_IN_TRIALS:
        text = given.get(name)
        if isinstance(text, str):
            each = [{**one, name: part} for one in each for part in text.split(",")]
    return list(dict.fromkeys(Options.from_words(one) for one in each))


@noting_files
def try_palettes(
    picture: str | Path,
    shelves: Sequence[str],
    asked: Sequence[Options],
    progress: Progress | None = None,
) -> Trial:
    """The picture, or the chart or grid as it is drawn, in each shelf's yarns under each set of
    options, ranked; a picture without a shelf in its own colours. progress: called with palettes
    made, and in all.

    Raises BadInput for a file, size or shelf that cannot be used, and where nothing is compared.
    """
    opened, asked, of_subject = open_subject(Path(picture), shelves, asked)
    runs, notes = _distinct(shelves, asked) if shelves else (_own_colors(asked), [])
    made: list[tuple[str, Options, Study]] = []
    names = _names(shelves)
    money = {names[shelf]: open_shelf(shelf).currency for shelf in shelves}
    views: dict[tuple[int | None, int | None], View] = {}  # one for all palettes of a size
    for done, (shelf, options) in enumerate(runs):
        size = (options.width, options.height)
        one = chart_picture(views.get(size, opened), replace(options, shelf=shelf))
        assert one.view is not None
        views[size] = one.view
        made.append((names[shelf], options, one))
        if progress:
            progress(done + 1, len(runs))
    made, same = _each_once(made)
    notes += same
    told = dict.fromkeys(note for _, _, one in made for note in one.notes)
    first = made[0][2].chart
    block_cm = measures_of(first).block_cm
    distance = asked[0].distance
    far = degrees_across(block_cm, distance) if distance else FAR_DEGREES
    at = seeing_of([one for _, _, one in made], far)
    candidates = [
        Candidate(name, options.colors, one.chart, one.spare or (), Money(money.get(name, "")))
        for name, options, one in made
    ]
    tried = [try_palette(c, s) for c, s in zip(candidates, at, strict=True)]
    order = ranked(tried)
    matters, inside = _what_matters([one for _, _, one in made], at[0].features)
    return Trial(
        title=first.title,
        picture=opened.name,
        tried=order,
        seeing=tuple(at[tried.index(t)] for t in order),
        near_m=metres_away(block_cm, NEAR_DEGREES),
        far_m=metres_away(block_cm, far),
        matters=matters,
        features_that_matter=inside,
        notes=(*of_subject, *told),
        untold=tuple(notes),
        outputs=TRIAL_OUTPUTS,
    )


def _own_colors(asked: Sequence[Options]) -> list[tuple[str | None, Options]]:
    """What to try without a shelf: at least two numbers of colours, or sizes."""
    runs = list(dict.fromkeys(asked))
    if len(runs) < 2:
        raise BadInput(
            "nothing to compare: name shelves of yarns, or try several numbers of colours, as ",
            Ask("colors", "4,6,8"),
        )
    return [(None, options) for options in runs]


def _distinct(
    shelves: Sequence[str], asked: Sequence[Options]
) -> tuple[list[tuple[str | None, Options]], list[str]]:
    """What to try: asking for more yarns than a shelf has is asking for all of it, once."""
    runs: dict[tuple[str | None, Options], None] = {}
    notes = []
    for shelf in dict.fromkeys(shelves):
        count = len(open_shelf(shelf).yarns)
        beyond = {o.colors for o in asked if o.colors and o.colors > count}
        for options in asked:
            colors = options.colors if options.colors and options.colors < count else None
            runs[shelf, replace(options, colors=colors)] = None
        if beyond:
            notes.append(f"{shelf} has {count} yarns: all of them are tried once.")
    return list(runs), notes


def _each_once(
    made: Sequence[tuple[str, Options, Study]],
) -> tuple[list[tuple[str, Options, Study]], list[str]]:
    """Without charts that are the same as an earlier one in the same yarns."""
    kept: dict[tuple[object, ...], tuple[str, Options, Study]] = {}
    notes = []
    for name, options, one in made:
        used = [y.name for y, n in zip(one.chart.yarns, one.chart.blocks_by_yarn, strict=True) if n]
        key = (name, tuple(used), one.chart.yarn_rgb[one.chart.blocks].tobytes())
        if key in kept:
            before = kept[key][1].colors or "all of its"
            now = options.colors or "all of its"
            notes.append(f"{name} with {now} yarns gives the chart that it gives with {before}.")
        kept.setdefault(key, (name, options, one))
    return list(kept.values()), notes


def _names(shelves: Sequence[str]) -> dict[str | None, str]:
    stems = [Path(shelf).stem for shelf in dict.fromkeys(shelves)]
    names: dict[str | None, str] = {None: OWN_COLORS}
    for shelf in shelves:
        stem = Path(shelf).stem
        names[shelf] = stem if stems.count(stem) == 1 else shelf
    return names


def seeing_of(made: Sequence[Study], far: float) -> list[Seeing]:
    """How each palette's picture is looked at: one for all of a size, but for those whose backdrop
    was replaced by a yarn of their own. What stands out is of the finest size, and of the subject
    alone where what is behind is not the picture's."""
    views = [one.view for one in made if one.view]
    finest = max(views, key=lambda view: view.means.size)
    features = find_features((finest.original or finest).means)
    if finest.behind is not None:
        features = tuple(f for f in features if finest.behind[f.mask].mean() < _HALF)
    found: dict[tuple[int, ...], Seeing] = {}
    seeing = []
    for view in views:
        shape, own = view.means.shape, view.behind is not None
        if own or shape not in found:
            found[shape] = Seeing(view.means, view.light(), far, features=features)
        seeing.append(found[shape])
    return seeing


def _what_matters(
    made: Sequence[Study], features: Sequence[Feature]
) -> tuple[str, tuple[int, ...]]:
    """Where several sizes are tried: what matters, in words, and which features lie in it. It is
    what was minded, else a face that is found, with its place, since a find may be wrong."""
    finest = max(made, key=lambda one: one.chart.blocks.size)
    view, source = finest.view, finest.chart.source
    if len({one.chart.blocks.shape for one in made}) < 2 or view is None or source is None:
        return "", ()
    places = [place for place in source.minded if place.what != "spot"]
    words: str = "what was to matter"
    if not places and view.faces:
        found = view.place("face", view.faces[0], 1.0)
        places = [found] if found else []
        box = ",".join(f"{side:.0f}" for side in view.faces[0])
        words = Advice(
            f"what may be a face, at {box} (", Ask("mind", "X,Y,W,H"), " for the right place)"
        )
    inside = tuple(
        i
        for i, (line, column) in enumerate(feature.centre for feature in features)
        if any(
            place.left <= column + 0.5 <= place.right and place.top <= line + 0.5 <= place.bottom
            for place in places
        )
    )
    return words if inside else "", inside


_TRIAL = (
    "of a trial: the picture in each palette, near and from afar, in grey and as other eyes see "
    "it, with figures and reasons"
)
TRIAL_OUTPUTS: tuple[Output[Trial], ...] = (
    Output("trial.html", _TRIAL, lambda trial: trial_html(trial, trial.views).encode()),
    Output("trial.png", _TRIAL, lambda trial: trial_png(trial, trial.views)),
    Output("trial.csv", _TRIAL, lambda trial: trial_csv(trial).encode()),
)
