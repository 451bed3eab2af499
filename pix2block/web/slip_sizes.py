"""What opens under the words of a piece's size: others drawn at one scale, usual ones, blocks."""

from __future__ import annotations

import numpy as np

from pix2block.amounts.measures import finished_size_cm
from pix2block.ground.units import round_half_up, say_count
from pix2block.study.study import Study
from pix2block.web.kinds import usual_sizes
from pix2block.web.rest import neighbours
from pix2block.web.slip_nouns import Field, Place, Slip
from pix2block.web.wanted import Wanted

_TIMES = (0.75, 1.5)  # as large as it is


def size_slip(study: Study, wanted: Wanted) -> Slip:
    """What opens under its word."""
    chart, measures = study.chart, study.amounts.measures
    width, height = finished_size_cm(chart, measures.block_cm)
    added = study.amounts.border.added_cm if study.amounts.border else 0.0
    side = measures.block_cm

    def place(times: float, words: str = "") -> Place:
        across = max(1, round_half_up(chart.width * times))
        down = max(1, round_half_up(chart.height * times))
        said = f"{across * side + added:.0f} × {down * side + added:.0f} cm"
        return Place(str(across), f"{words}{said}", False, "width")

    places = [place(times) for times in _TIMES]
    reach = _as_far_as_yarn_goes(study)
    if reach is not None:
        places[-1 if reach > 1 else 0] = place(reach, "as far as your yarn goes: ")
    now = Place(None, f"{width:.0f} × {height:.0f} cm", True, "width")
    every = sorted([*places, now], key=lambda one: int(str(one.value or chart.width)))
    every += usual_sizes(chart.width > chart.height)
    field = Field("", "as 110 x 90 cm, 43 in, or 60 blocks", "text", "size")
    beside = neighbours(study, wanted, "weight", "hook", "gauge", "swatch", "border")
    said = "The border counts in."
    return Slip("size", "its size", said, tuple(every), True, (field,), beside=beside)


def _as_far_as_yarn_goes(study: Study) -> float | None:
    """How many times as wide as it is the piece can be, None where that is not known."""
    shares = [
        of.on_hand * yarn.metres / of.metres_high
        for yarn, of in zip(study.chart.yarns, study.amounts.yarns, strict=True)
        if of.metres_high and of.on_hand is not None and yarn.metres
    ]
    every = sum(1 for of in study.amounts.yarns if of.metres)
    if not shares or len(shares) < every:
        return None
    times = float(np.sqrt(min(shares)))
    return times if 0.2 < times < 5 and abs(times - 1) > 0.05 else None


def blocks_slip(study: Study, _: Wanted) -> Slip:
    """What opens under its word."""
    chart = study.chart
    field = Field(f"{chart.width}x{chart.height}", "across, or across x down", "text", "blocks")
    places = [Place(None, say_count(chart.width, "block") + " across", True, "width")]
    for step in (-10, -5, 5, 10):
        across = chart.width + step
        if across > 0:
            places.append(Place(str(across), f"{across} across", False, "width"))
    places.sort(key=lambda one: int(str(one.value or chart.width)))
    said = "More blocks show more of the picture, and take longer."
    return Slip("blocks", "its blocks", said, tuple(places), True, (field,))
