"""Letters at the worktable: in which yarn they read where they go, and those that stand there, each
to be taken away alone."""

from __future__ import annotations

import re

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.chart.mend import Mend
from pix2block.mending.asked import Given
from pix2block.mending.lettering import text
from pix2block.mending.verbs import TEXT
from pix2block.options.table import MEND
from pix2block.study.study import Study
from pix2block.web.light import lightness_of
from pix2block.web.slip_nouns import Field, Place, Slip
from pix2block.web.wanted import Wanted

WORD = f"{MEND}:{TEXT}"
GONE = "letters_gone"  # a group of mends that wrote letters, taken back alone
_MOST_GONE = 5
_WHERE = "where the first capital's top left block is, as column 3, line 30, or centre, line 30"
_YARN = "their yarn; left empty, the one that stands out most where they go"
_NO_YARN = re.compile(r"(?s)(.*\S) in\s*")
_WORDS = re.compile(r"(?s)(.*) at .*? height \d+ in .*")


def in_a_yarn(chart: Chart, value: str) -> str:
    """Letters as a mend has them, where no yarn is named in the one that is farthest in lightness
    from the blocks that lie there and around. Raises BadInput where they do not fit."""
    found = _NO_YARN.fullmatch(value)
    if not found:
        return value
    from scipy.ndimage import binary_dilation

    at = text(chart, f"{found[1]} in {chart.yarns[0].name}", Given()).at
    there = binary_dilation(at, np.ones((3, 3))) & (chart.blocks >= 0)
    light = lightness_of(chart)
    apart = abs(light[:, None] - light[chart.blocks[there]]).mean(axis=1)
    return f"{found[1]} in {chart.yarns[int(apart.argmax())].name}"


def letters_slip(study: Study, _: Wanted) -> Slip:
    """What opens under its word: what is to be written, and what was."""
    chart = study.chart
    line = max(1, chart.height - 5)  # a line below capitals of five
    fields = (
        Field("", "words", name="words"),
        Field(f"centre, line {line}", _WHERE, name="at"),
        Field("5", "5, 7 or 9 blocks tall", "number", name="height"),
        Field("", _YARN, name="in"),
    )
    written = [one for one in chart.mends if one.mend == TEXT][-_MOST_GONE:]
    places = tuple(
        Place(str(one.group), f"without “{words_in(one)}”", word=GONE) for one in written
    )
    if places:
        places = (Place(None, "as it is", True), *places)
    yarns = ", ".join(yarn.name for yarn in chart.yarns)
    said = (
        f"Letters of whole blocks, which stay when tails are made fewer. Yarns: {yarns}. Columns "
        "count from the left, lines from the top."
    )
    form = "{words} at {at} height {height} in {in}"
    return Slip(WORD, "letters", said, places, bool(places), fields, "", TEXT, form, "Write them")


def words_in(line: Mend) -> str:
    """The words that a line of the journal wrote."""
    found = _WORDS.fullmatch(line.value)
    return found[1] if found else line.value
