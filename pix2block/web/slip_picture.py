"""What opens under the words of the picture: how it is read, its part, its subject and backdrop."""

from __future__ import annotations

import numpy as np

from pix2block.study.study import Study
from pix2block.web.light import lightness_of
from pix2block.web.rest import neighbours
from pix2block.web.slip_nouns import Field, Place, Slip
from pix2block.web.wanted import PLACE, Wanted

_CROPS = (
    ("8,8,84,84", "a little closer"),
    ("20,20,60,60", "the middle"),
    ("0,0,100,60", "the upper part"),
    ("0,40,100,60", "the lower part"),
)


def look_slip(study: Study, wanted: Wanted) -> Slip:
    """What opens under its word."""
    now = str(wanted.words.get("look", study.view.look if study.view else "photo"))
    now = study.view.look if now == "auto" and study.view else now
    words = {
        "photo": "a photo",
        "tones": "a photo by light and dark",
        "flat": "flat art",
        "blocks": "a chart, a square a block",
    }
    places = tuple(Place(value, said, value == now) for value, said in words.items())
    field = Field("", "another picture", "file", "picture")
    beside = neighbours(study, wanted, "strokes", "background", "tone", "seed")
    said = f"The picture lies in the piece's folder, as {PLACE}/{wanted.picture}."
    return Slip("look", "how the picture is read", said, places, True, (field,), beside=beside)


def crop_slip(study: Study, wanted: Wanted) -> Slip:
    """What opens under its word."""
    now = wanted.words.get("crop")
    places = [Place(None, "all of it", now is None)]
    if found := _around_subject(study):
        places.append(Place(found, "the subject", now == found))
    places += [Place(value, words, now == value) for value, words in _CROPS]
    if now is not None and not any(one.now for one in places):
        places.insert(1, Place(now, "as it is", True))
    field = Field(str(now or ""), "left, top, width, height in per cent", "text", "crop")
    beside = neighbours(study, wanted, "mind", "spot")
    said, own = "the part of the picture", "crop"
    return Slip("crop", said, "", tuple(places[:6]), True, (field,), own, beside=beside)


def _around_subject(study: Study) -> str | None:
    """A crop around what the picture is of, a tenth wider; None where that is all of it."""
    subject = study.subject
    if subject is None or not subject.inside.any() or study.options.crop is not None:
        return None
    lines, columns = np.nonzero(subject.inside)
    height, width = subject.inside.shape
    sides = []
    for found, of in ((columns, width), (lines, height)):
        low, high = int(found.min()) / of, (int(found.max()) + 1) / of
        more = (high - low) / 20
        sides.append((max(0.0, low - more), min(1.0, high + more)))
    (left, right), (top, bottom) = sides
    box = [round(100 * one) for one in (left, top, right - left, bottom - top)]
    return ",".join(map(str, box)) if box != [0, 0, 100, 100] else None


def backdrop_slip(study: Study, wanted: Wanted) -> Slip:
    """What opens under its word."""
    now = str(wanted.words.get("backdrop", "keep"))
    chart = study.chart
    light = lightness_of(chart)
    order = [int(i) for i in np.argsort(light) if chart.used[i]]
    names = [chart.yarns[i].name for i in (order[-1], order[0], order[len(order) // 2])]
    places = [
        Place("keep", "its backdrop", now == "keep"),
        Place("quiet", "quieter, in two yarns", now == "quiet"),
        Place("plain", _plain_words(study) if now == "plain" else "plain", now == "plain"),
    ]
    places += [
        Place(f"plain:{name}", f"plain {name}", now == f"plain:{name}")
        for name in dict.fromkeys(names)
    ]
    if not any(one.now for one in places):
        kind, _, yarn = now.partition(":")
        places[-1] = Place(now, f"plain {yarn}" if kind == "plain" else "as it is", True)
    field = Field("", "plain: and a yarn, or quiet: and a number", "text", "backdrop")
    beside = neighbours(study, wanted, "subject", "mind")
    said = "What is behind the subject."
    return Slip(
        "backdrop", said.rstrip("."), said, tuple(places), True, (field,), "subject", beside=beside
    )


def said_of_backdrop(value: object, study: Study) -> str:
    """The yarn that a plain backdrop takes where none is named, "" of other choices."""
    return _plain_words(study) if value == "plain" else ""


def _plain_words(study: Study) -> str:
    chart, subject = study.chart, study.subject
    if subject is None or subject.inside.shape != chart.blocks.shape:
        return "plain"
    behind = chart.blocks[~subject.inside]
    behind = behind[behind >= 0]
    return (
        f"plain {chart.yarns[int(np.bincount(behind).argmax())].name}" if behind.size else "plain"
    )


def subject_slip(_: Study, wanted: Wanted) -> Slip:
    """What opens under its word."""
    now = wanted.words.get("subject")
    places = [
        Place(None, "as it was found", now is None),
        Place("none", "nothing: every block alike", now == "none"),
    ]
    if now not in (None, "none"):
        places.append(Place(now, "as you said", True))
    fields = (
        Field("", "left, top, width, height in per cent, or corners", "text", "subject"),
        Field("", "a picture that is white there", "file", "subject"),
    )
    return Slip("subject", "what the picture is of", "", tuple(places), True, fields, "subject")
