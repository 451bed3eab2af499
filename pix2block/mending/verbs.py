"""Every mend by its name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from pix2block.chart.chart import Chart
from pix2block.ground.errors import BadInput, unknown
from pix2block.mending import (
    block_verbs,
    calming_verbs,
    grids,
    lettering,
    placing,
    shapes,
    yarn_verbs,
)
from pix2block.mending.asked import Done, Given

CALM = "calm"  # comes last in a call
TEXT = "text"  # writes letters, which calming leaves
SHIELD = "shield"
GRID = "grid"  # of a file of this very chart
Verb = Callable[[Chart, str, Given], Done]

VERBS: Mapping[str, Verb] = MappingProxyType(
    {
        "exchange": yarn_verbs.exchange,
        "swap": yarn_verbs.swap,
        "recolor": yarn_verbs.recolor,
        "rename": yarn_verbs.rename,
        "add": yarn_verbs.add,
        "drop": yarn_verbs.drop,
        "paint": block_verbs.paint,
        "fill": block_verbs.fill,
        "patch": block_verbs.patch,
        "insert": placing.insert,
        TEXT: lettering.text,
        SHIELD: calming_verbs.shield,
        "mirror": shapes.mirror,
        "rotate": shapes.rotate,
        "cut": shapes.cut,
        "frame": shapes.frame,
        "extend": shapes.extend,
        "repeat": shapes.repeat,
        GRID: grids.grid,
        CALM: calming_verbs.calm_anew,
    }
)


def verb_of(name: str) -> Verb:
    """The mend of a name. Raises BadInput for one that is not known."""
    if name not in VERBS:
        raise BadInput(unknown("mend", name, VERBS))
    return VERBS[name]
