"""What opens under the yarns: how many, each of them, those on the shelf that would change most."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from pix2block.amounts.yarn_use import YarnAmount
from pix2block.color.difference import difference_table
from pix2block.color.spaces import rgb_array, to_lab
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.units import say_count, say_metres
from pix2block.recipes.supplies import open_shelf
from pix2block.study.study import Study
from pix2block.web.rest import neighbours
from pix2block.web.slip_nouns import Field, Place, Sentence, Slip, Word, number_words
from pix2block.web.wanted import Wanted
from pix2block.yarn.yarn import Yarn, name_key

YARN = "yarn:"  # before a yarn's name, the word of that yarn
_INSTEAD = 3  # yarns that are offered in place of one


def spare_of(study: Study) -> tuple[Yarn, ...]:
    """The yarns of the shelf that the chart does not use."""
    shelf = study.spare
    if shelf is None and study.options.shelf:
        shelf = open_shelf(study.options.shelf).yarns
    chart = study.chart
    used = {name_key(y.name) for y, used in zip(chart.yarns, chart.used, strict=True) if used}
    idle = tuple(y for y, used in zip(chart.yarns, chart.used, strict=True) if not used)
    every = {name_key(yarn.name): yarn for yarn in (*(shelf or ()), *idle)}
    return tuple(yarn for key, yarn in every.items() if key not in used)


def yarns_slip(study: Study, wanted: Wanted) -> Slip:
    """One fewer, what is now, one more; then the yarns themselves."""
    used, most = int(study.chart.used.sum()), None
    if "shelf" in wanted.words:
        most = used + len(spare_of(study))
    places = [
        Place(str(number), number_words(number), number == used, "colors")
        for number in (used - 1, used, used + 1)
        if wanted.picture and number >= 1 and (most is None or number <= most)
    ]
    fields = (Field(str(used), "at most so many yarns", "number", "colors"),) if places else ()
    beside = neighbours(study, wanted, "shelf", "look", "tone", "aim", "within_shelf")
    trial: Sentence = ("Or see ", Word("palettes", "palettes on trial", what="palettes"), ".")
    every = (*beside, trial) if wanted.picture else beside
    return Slip("yarns", "the yarns", "", tuple(places), True, fields, own="yarns", beside=every)


def stock_slip(study: Study, wanted: Wanted) -> Slip:
    """What yarn it takes, and what is on hand."""
    beside = neighbours(study, wanted, "reserve", "tail", "butterfly", "weight", "left", "shelf")
    return Slip("stock", "the yarn", own="yarns", beside=beside)


def yarn_slip(name: str, study: Study, wanted: Wanted) -> Slip:
    """A yarn: in place of which, or as one more; must be in; leave out. Raises BadInput for one
    that there is not."""
    chart, spare = study.chart, spare_of(study)
    key = name_key(name)
    used = [y for y, is_used in zip(chart.yarns, chart.used, strict=True) if is_used]
    own = next((yarn for yarn in used if name_key(yarn.name) == key), None)
    other = next((yarn for yarn in spare if name_key(yarn.name) == key), None)
    yarn = own or other
    if yarn is None:
        raise BadInput(unknown("yarn", name, [one.name for one in (*used, *spare)]))
    places = [Place(None, "as it is", True)]
    pairs = [(yarn, one) for one in _nearest(yarn, spare)]
    if other:
        pairs = [(one, yarn) for one in _nearest(yarn, used)]
    for out, comes in pairs[:_INSTEAD]:
        words = f"{comes.name} in place of {out.name}"
        places.append(Place(f"{out.name}={comes.name}", words, False, "mend:exchange"))
    if "shelf" in wanted.words and wanted.picture:
        places += _of_shelf(yarn, wanted, other is not None)
    if own and len(used) > 1:
        places.append(Place(own.name, f"without {own.name}", False, "mend:drop"))
    said = _said(study, yarn.name)
    words = f"{yarn.name}, {yarn.color}{f'; {said}' if said else ''}."
    return Slip(f"{YARN}{yarn.name}", yarn.name, words, tuple(places), True)


def _of_shelf(yarn: Yarn, wanted: Wanted, is_spare: bool) -> list[Place]:
    """What may be asked of a yarn when yarns are chosen."""
    locked, banned = (_names(wanted, option) for option in ("lock", "ban"))
    key = name_key(yarn.name)
    places = []
    if is_spare:
        places.append(Place(yarn.name, f"{yarn.name} as one more", False, "one_more"))
    for option, names, to_say, not_to in (
        ("lock", locked, "must be in", "need not be in"),
        ("ban", banned, "leave it out, and choose anew", "need not be left out"),
    ):
        others = tuple(one for one in names if name_key(one) != key)
        if len(others) < len(names):
            places.append(Place(others or None, not_to, False, option))
        elif option == "ban" or is_spare:
            places.append(Place((*names, yarn.name), to_say, False, option))
    return places


def _names(wanted: Wanted, option: str) -> tuple[str, ...]:
    value = wanted.words.get(option, ())
    return (value,) if isinstance(value, str) else value


def _nearest(yarn: Yarn, others: Sequence[Yarn]) -> list[Yarn]:
    """Other yarns, the likest first."""
    if not others:
        return []
    far = difference_table(rgb_array([yarn.color]), rgb_array([one.color for one in others]))[0]
    return [others[int(i)] for i in np.argsort(far, kind="stable")]


def _said(study: Study, name: str) -> str:
    for yarn, of in zip(study.chart.yarns, study.amounts.yarns, strict=True):
        if yarn.name == name and of.metres:
            return f"{say_count(of.blocks, 'block')}, {say_metres(of.metres)}"
    return ""


def shelf_json(study: Study, wanted: Wanted) -> dict[str, Any]:
    """Every yarn for the page, light to dark: those of the piece with what they take, then those of
    the shelf, the ones that would change most first."""
    chart = study.chart
    locked, banned = (
        {name_key(name) for name in _names(wanted, option)} for option in ("lock", "ban")
    )

    def told(yarn: Yarn) -> dict[str, Any]:
        key = name_key(yarn.name)
        return {
            "name": yarn.name,
            "color": yarn.color,
            "locked": key in locked,
            "banned": key in banned,
        }

    inside = [
        {**told(yarn), "number": i, **_amount(of)}
        for i, (yarn, of) in enumerate(zip(chart.yarns, study.amounts.yarns, strict=True))
        if of.metres
    ]
    inside.sort(key=lambda one: -float(to_lab(rgb_array([one["color"]]))[0, 0]))
    spare = spare_of(study)
    return {"inside": inside, "spare": [told(spare[i]) for i in _by_change(study, spare)]}


def _amount(of: YarnAmount) -> dict[str, Any]:
    """What a yarn takes and what is on hand, in words."""
    likely = of.skeins_likely
    enough = ""
    if of.on_hand is not None and of.skeins is not None:
        tight = of.skeins > of.on_hand
        enough = f"tight: to be safe buy {of.to_buy}" if tight else "enough"
        if of.short_by:
            enough = f"{say_metres(of.short_by)} short: buy {of.to_buy}"
    return {
        "blocks": of.blocks,
        "takes": f"{likely:.1f}" if likely is not None else say_metres(of.metres),
        "have": f"{of.on_hand:g}" if of.on_hand is not None else "",
        "enough": enough,
    }


def _by_change(study: Study, spare: Sequence[Yarn]) -> list[int]:
    """Yarns by how many blocks would be nearer to them than to their own, the most first; without a
    picture as the shelf has them."""
    means = study.chart.block_means
    if means is None or not spare:
        return list(range(len(spare)))
    blocks = study.chart.blocks
    colors, at = np.unique(means[blocks >= 0], axis=0, return_inverse=True)
    own = study.chart.yarn_rgb[blocks[blocks >= 0]]
    now = np.linalg.norm(to_lab(means[blocks >= 0]) - to_lab(own), axis=1)
    lab = to_lab(colors)
    gains = []
    for yarn in spare:
        far = np.linalg.norm(lab - to_lab(rgb_array([yarn.color])), axis=1)[at.reshape(-1)]
        gains.append(int((far < now).sum()))
    return sorted(range(len(spare)), key=lambda i: (-gains[i], i))
