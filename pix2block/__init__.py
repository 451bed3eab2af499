"""pix2block: planning corner-to-corner crochet.

    import pix2block

    made = pix2block.chart_picture("tallow_cat.jpg", pix2block.Options(width=60, colors=8))
    for row in made.chart.layout.rows:
        print(row.number, row.side, row.begins, row.ends, row.blocks)
    amounts = pix2block.amounts_of(made.chart)
    print(amounts.plan.tails, amounts.metres, amounts.hours)

Names are loaded when they are first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

if TYPE_CHECKING:
    from pix2block.amounts.bobbins import Bobbin, bobbins_of
    from pix2block.amounts.run_out import RunOut, forecast
    from pix2block.amounts.under_way import Done, Left
    from pix2block.amounts.yarn_use import Amounts, YarnAmount, amounts_of
    from pix2block.chart.chart import Chart
    from pix2block.craft.diagonal import Layout, Row
    from pix2block.craft.runs import Runs, find_runs
    from pix2block.craft.strands import StrandPlan, plan_strands
    from pix2block.ground.errors import BadInput, Pix2blockError
    from pix2block.ground.settings import Habit, Pace
    from pix2block.options.rules import Minded
    from pix2block.options.table import Options
    from pix2block.picture.picture import Picture, open_picture
    from pix2block.proof.compare import Proof
    from pix2block.recipes.from_file import (
        Reported,
        check_chart,
        open_chart,
        report_files,
        save_reports,
    )
    from pix2block.recipes.from_picture import Made, chart_picture, open_shelf, with_options
    from pix2block.yarn.swatch import Measured, Swatch, swatch_of
    from pix2block.yarn.yarn import Yarn

_HOME = {
    "pix2block.amounts.bobbins": ("Bobbin", "bobbins_of"),
    "pix2block.amounts.run_out": ("RunOut", "forecast"),
    "pix2block.amounts.under_way": ("Done", "Left"),
    "pix2block.amounts.yarn_use": ("Amounts", "YarnAmount", "amounts_of"),
    "pix2block.recipes.from_file": (
        "Reported",
        "check_chart",
        "open_chart",
        "report_files",
        "save_reports",
    ),
    "pix2block.chart.chart": ("Chart",),
    "pix2block.craft.diagonal": ("Layout", "Row"),
    "pix2block.craft.runs": ("Runs", "find_runs"),
    "pix2block.craft.strands": ("StrandPlan", "plan_strands"),
    "pix2block.ground.errors": ("BadInput", "Pix2blockError"),
    "pix2block.ground.settings": ("Habit", "Pace"),
    "pix2block.recipes.from_picture": ("Made", "chart_picture", "open_shelf", "with_options"),
    "pix2block.options.table": ("Options",),
    "pix2block.picture.picture": ("Picture", "open_picture"),
    "pix2block.proof.compare": ("Proof",),
    "pix2block.options.rules": ("Minded",),
    "pix2block.yarn.swatch": ("Measured", "Swatch", "swatch_of"),
    "pix2block.yarn.yarn": ("Yarn",),
}
_MODULE_OF = {name: module for module, names in _HOME.items() for name in names}

__all__ = [  # noqa: RUF022
    "Amounts",
    "YarnAmount",
    "amounts_of",
    "RunOut",
    "forecast",
    "Done",
    "Left",
    "Measured",
    "Swatch",
    "swatch_of",
    "Bobbin",
    "bobbins_of",
    "Made",
    "Reported",
    "chart_picture",
    "check_chart",
    "open_chart",
    "open_shelf",
    "report_files",
    "save_reports",
    "with_options",
    "Chart",
    "Layout",
    "Row",
    "Runs",
    "find_runs",
    "StrandPlan",
    "plan_strands",
    "BadInput",
    "Pix2blockError",
    "Habit",
    "Pace",
    "Minded",
    "Options",
    "Proof",
    "Picture",
    "open_picture",
    "Yarn",
]


def __getattr__(name: str) -> Any:
    if name not in _MODULE_OF:
        raise AttributeError(f"module 'pix2block' has no attribute '{name}'")
    from importlib import import_module

    return getattr(import_module(_MODULE_OF[name]), name)


def __dir__() -> list[str]:
    return [*globals(), *_MODULE_OF]
