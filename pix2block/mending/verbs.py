"""Every mend by its name."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType

from pix2block.chart.chart import Chart
from pix2block.ground.errors import BadInput, unknown
from pix2block.mending import block_verbs, shapes, yarn_verbs
from pix2block.mending.asked import Done
from pix2block.yarn.yarn import Yarn

Verb = Callable[[Chart, str, Sequence[Yarn]], Done]

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
        "mirror": shapes.mirror,
        "rotate": shapes.rotate,
        "cut": shapes.cut,
        "frame": shapes.frame,
        "extend": shapes.extend,
        "repeat": shapes.repeat,
    }
)


def verb_of(name: str) -> Verb:
    """The mend of a name. Raises BadInput for one that is not known."""
    if name not in VERBS:
        raise BadInput(unknown("mend", name, VERBS))
    return VERBS[name]
