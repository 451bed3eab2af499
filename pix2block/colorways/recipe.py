"""A kept chart in the yarns of several shelves."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from pix2block.chart.reading import write_chart
from pix2block.colorways.colorway import Colorways, colorway_of, colorways_csv
from pix2block.colorways.roles import cast, in_yarns, roles_of
from pix2block.colorways.sheet import colorways_pdf
from pix2block.drawing.marks import with_marks
from pix2block.ground.errors import BadInput
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.supplies import open_shelf
from pix2block.study.output import Output

RECOLOR_OUTPUTS: tuple[Output[Colorways], ...] = (
    Output(
        "colorways.pdf",
        "of a chart recoloured: each colourway with its chart, in grey and as other eyes see it, "
        "and materials in columns",
        colorways_pdf,
    ),
    Output(
        "colorways.csv",
        "the same as a table: the yarn of each role, blocks, metres, grams, skeins; beside it a "
        "chart for each, as `chart_dusk.json` of `dusk.csv`",
        lambda of: colorways_csv(of).encode(),
    ),
)
AS_MADE = "As charted"


def recolor(chart_file: str | Path, shelves: Sequence[str | Path]) -> Colorways:
    """A chart.json, or a grid, in the yarns of each shelf, by the roles that its own yarns have.

    Raises BadInput for a file that cannot be read, and for a shelf of too few yarns.
    """
    study = open_chart(chart_file)
    roles = roles_of(study.chart)
    own = [y for y, used in zip(study.chart.yarns, study.chart.used, strict=True) if used]
    first = colorway_of(AS_MADE, in_yarns(study.chart, own))
    colorways, read, notes = [first], [*study.read, Path(chart_file)], list[str]()
    rows = list(RECOLOR_OUTPUTS)
    for path in map(Path, shelves):
        shelf = open_shelf(str(path))
        try:
            yarns = cast(roles, shelf.yarns)
        except BadInput as error:
            raise error.within(f"shelf {path}") from None
        name = _free(path.stem, [one.name for one in colorways])
        chart = with_marks(in_yarns(study.chart, yarns))
        colorways.append(colorway_of(name, chart, first))
        rows.append(_chart_row(name, write_chart(chart)))
        read.append(path)
        notes += shelf.warnings
    title = study.chart.title
    return Colorways(title, roles, tuple(colorways), tuple(rows), tuple(read), tuple(notes))


def _chart_row(name: str, chart: bytes) -> Output[Colorways]:
    file = re.sub(r"[^\w-]+", "_", name, flags=re.ASCII).strip("_").lower() or "colorway"
    return Output(f"chart_{file}.json", "the chart in these yarns", lambda _: chart)


def _free(name: str, taken: Sequence[str]) -> str:
    """A name that no other colourway has."""
    words = " ".join(name.replace("_", " ").split())
    words = words[:1].upper() + words[1:]
    tried, number = words, 1
    while tried.casefold() in [other.casefold() for other in taken]:
        number += 1
        tried = f"{words} {number}"
    return tried
