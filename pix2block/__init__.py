"""pix2block: planning corner-to-corner crochet, from Python.

A piece is a `Study`: a chart, how it was made, what was asked. Everything else about it is worked
out once, when it is asked for: what it takes, its rows, its pattern, its files.

    import pix2block

    options = pix2block.Options(width=60, colors=8)
    study = pix2block.chart_picture("tallow_cat.jpg", options)
    print(*pix2block.study_lines(study), sep="\\n")      # what the command line prints
    pix2block.save(study, "output/tallow_cat")           # the same files, byte for byte

Ways to a piece, each with the options that the command line has, under the same names:

    chart_picture(picture, options)    a picture becomes a chart
    open_chart(path, options)          a chart.json that was kept, a grid as CSV or .xlsx, or a
                                       pattern.txt; report_of takes one that was changed beside its
                                       chart.json as a mend of that
    chart_again(picture, folder, options)   a picture charted anew, with the mends of its chart.json
                                       in the folder done again
    stripe_plan(plan, options)         a stripe plan; stripe_side_by_side compares several
    Study(chart)                       a chart of your own: Chart(title, blocks, yarns, last_row)

    chart_picture(study.view, options) the same picture with other options: what of its view still
                                       holds is not worked out again

    mend(study, [("paint", "row 57.3=Moss")])   a piece, or a chart, changed by hand, with a line
                                       each in its journal, chart.mends; undo(study, 2) takes back

Of a study:

    study.amounts                      hours, metres, size; a `YarnAmount` for each of its yarns:
                                       metres from least to most, grams, skeins, to buy, cost
    study.rows                         what each diagonal row says, in working order
    study.plan, study.tails            its strands; its tails, and where they lie
    study.bobbins                      what to wind, how long, from which row to which
    study.costs                        what it costs, with a maker's file in the options
    study.pattern_text                 the pattern in plain words; study.document has its sections
    study.proof                        whether these words, worked, give the chart: proof.holds
    study.lost, study.remedies         what the yarns no longer show, and what brings it back
    study.better, study.ways           what another corner or habit would save
    study.run_out, study.rescue        half-way: whether the yarn lasts, and what could step in
    summary(study)                     all totals, as summary.json has them
    study_lines(study), note_lines(study)   the same in words, a line each

Files, of a piece, a trial, or plans side by side:

    save(study, folder)                all that its options ask for, whole or not at all
                                       (`.paths`; `.notes`: what was removed, or kept beside)
    save(study, folder, only=["chart.png", "shopping.txt"])
    files_of(study, only=["rows.csv"])["rows.csv"]      bytes, nothing is written
    outputs_of(study)                  every file: row.name, row.purpose, row.can(study)

Beside pieces:

    compare_charts(old, new)                        what changed: compared_lines
    recolor("chart.json", shelves)                  colourways by role: colorways_lines
    try_palettes(picture, shelves, [options, …])    one picture in several palettes: trial_lines
    keep_swatch(SwatchOptions(blocks=(9, 9), …))    a swatch, kept for Options(swatch=…):
                                                    swatch_lines
    check_chart(chart, "pattern.txt")               an edited pattern, worked stitch by stitch:
                                                    proof_line, fault_lines
    amounts_of(chart), plan_strands(runs, layout, habit), find_runs(blocks, layout)

Other options of the same piece: `dataclasses.replace(study, options=Options(page="letter"))`.
What cannot be used raises `BadInput`, whose text says what is wrong, where, and what to do. Names
are loaded when they are first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

if TYPE_CHECKING:
    from pix2block.amounts.bobbins import Bobbin
    from pix2block.amounts.run_out import RunOut, forecast
    from pix2block.amounts.under_way import Done, Left
    from pix2block.amounts.yarn_use import Amounts, YarnAmount, amounts_of
    from pix2block.chart.chart import Chart
    from pix2block.colorways.colorway import Colorways, colorways_lines
    from pix2block.colorways.recipe import recolor
    from pix2block.comparing.compared import Compared, compared_lines
    from pix2block.comparing.recipe import compare_charts
    from pix2block.craft.diagonal import Layout, Row
    from pix2block.craft.plan import StrandPlan
    from pix2block.craft.runs import Runs, find_runs
    from pix2block.craft.strands import plan_strands
    from pix2block.design.view import View
    from pix2block.ground.errors import BadInput, Pix2blockError
    from pix2block.ground.settings import Habit, Pace
    from pix2block.options.picture_rules import Minded
    from pix2block.options.swatch import SwatchOptions
    from pix2block.options.table import Options
    from pix2block.options.yarn_rules import BorderAsked
    from pix2block.pattern.pattern import PatternRow
    from pix2block.picture.picture import Picture, open_picture
    from pix2block.proof.compare import Proof
    from pix2block.recipes.again import chart_again
    from pix2block.recipes.as_asked import with_options
    from pix2block.recipes.from_file import check_chart, open_chart
    from pix2block.recipes.from_picture import chart_picture
    from pix2block.recipes.mended import mend, report_of, undo
    from pix2block.recipes.outputs import OUTPUTS, files_of, outputs_of, save
    from pix2block.recipes.supplies import open_shelf
    from pix2block.recipes.swatch import keep_swatch, swatch_lines
    from pix2block.reports.summary import summary
    from pix2block.reports.ways_words import ways_lines
    from pix2block.reports.words import fault_lines, note_lines, proof_line, study_lines
    from pix2block.stripes.plan import Plan
    from pix2block.stripes.recipe import open_plan, stripe_plan, stripe_side_by_side
    from pix2block.stripes.striped import SideBySide, Striped
    from pix2block.study.editions import Edition, check_pattern
    from pix2block.study.output import Output
    from pix2block.study.study import Study
    from pix2block.trial.recipe import options_to_try, try_palettes
    from pix2block.trial.words import Trial, trial_lines
    from pix2block.yarn.shelf import Shelf
    from pix2block.yarn.swatch import Measured, Swatch, swatch_of
    from pix2block.yarn.yarn import Yarn

_HOME = {
    "pix2block.recipes.as_asked": ("with_options",),
    "pix2block.recipes.from_picture": ("chart_picture",),
    "pix2block.recipes.supplies": ("open_shelf",),
    "pix2block.recipes.from_file": (
        "open_chart",
        "check_chart",
    ),
    "pix2block.colorways.recipe": ("recolor",),
    "pix2block.colorways.colorway": (
        "Colorways",
        "colorways_lines",
    ),
    "pix2block.comparing.recipe": ("compare_charts",),
    "pix2block.comparing.compared": (
        "Compared",
        "compared_lines",
    ),
    "pix2block.recipes.again": ("chart_again",),
    "pix2block.recipes.mended": (
        "mend",
        "report_of",
        "undo",
    ),
    "pix2block.stripes.recipe": (
        "open_plan",
        "stripe_plan",
        "stripe_side_by_side",
    ),
    "pix2block.trial.recipe": (
        "options_to_try",
        "try_palettes",
    ),
    "pix2block.recipes.swatch": (
        "keep_swatch",
        "swatch_lines",
    ),
    "pix2block.recipes.outputs": (
        "OUTPUTS",
        "files_of",
        "outputs_of",
        "save",
    ),
    "pix2block.reports.words": (
        "fault_lines",
        "note_lines",
        "proof_line",
        "study_lines",
    ),
    "pix2block.reports.ways_words": ("ways_lines",),
    "pix2block.reports.summary": ("summary",),
    "pix2block.study.study": ("Study",),
    "pix2block.study.editions": (
        "Edition",
        "check_pattern",
    ),
    "pix2block.study.output": ("Output",),
    "pix2block.stripes.striped": (
        "SideBySide",
        "Striped",
    ),
    "pix2block.stripes.plan": ("Plan",),
    "pix2block.trial.words": (
        "Trial",
        "trial_lines",
    ),
    "pix2block.options.table": ("Options",),
    "pix2block.options.swatch": ("SwatchOptions",),
    "pix2block.options.picture_rules": ("Minded",),
    "pix2block.options.yarn_rules": ("BorderAsked",),
    "pix2block.picture.picture": (
        "Picture",
        "open_picture",
    ),
    "pix2block.yarn.yarn": ("Yarn",),
    "pix2block.yarn.shelf": ("Shelf",),
    "pix2block.yarn.swatch": (
        "Measured",
        "Swatch",
        "swatch_of",
    ),
    "pix2block.chart.chart": ("Chart",),
    "pix2block.craft.diagonal": (
        "Layout",
        "Row",
    ),
    "pix2block.craft.runs": (
        "Runs",
        "find_runs",
    ),
    "pix2block.craft.plan": ("StrandPlan",),
    "pix2block.craft.strands": ("plan_strands",),
    "pix2block.amounts.yarn_use": (
        "Amounts",
        "YarnAmount",
        "amounts_of",
    ),
    "pix2block.amounts.bobbins": ("Bobbin",),
    "pix2block.amounts.run_out": (
        "RunOut",
        "forecast",
    ),
    "pix2block.amounts.under_way": (
        "Done",
        "Left",
    ),
    "pix2block.pattern.pattern": ("PatternRow",),
    "pix2block.design.view": ("View",),
    "pix2block.proof.compare": ("Proof",),
    "pix2block.ground.settings": (
        "Habit",
        "Pace",
    ),
    "pix2block.ground.errors": (
        "BadInput",
        "Pix2blockError",
    ),
}
_MODULE_OF = {name: module for module, names in _HOME.items() for name in names}

__all__ = [  # noqa: RUF022
    "chart_again",
    "chart_picture",
    "open_shelf",
    "with_options",
    "open_chart",
    "check_chart",
    "mend",
    "undo",
    "recolor",
    "Colorways",
    "colorways_lines",
    "compare_charts",
    "Compared",
    "compared_lines",
    "open_plan",
    "stripe_plan",
    "stripe_side_by_side",
    "options_to_try",
    "try_palettes",
    "keep_swatch",
    "swatch_lines",
    "OUTPUTS",
    "files_of",
    "outputs_of",
    "report_of",
    "save",
    "fault_lines",
    "note_lines",
    "proof_line",
    "study_lines",
    "ways_lines",
    "summary",
    "Study",
    "Edition",
    "check_pattern",
    "Output",
    "SideBySide",
    "Striped",
    "Plan",
    "Trial",
    "trial_lines",
    "Options",
    "SwatchOptions",
    "Minded",
    "BorderAsked",
    "Picture",
    "open_picture",
    "Yarn",
    "Shelf",
    "Measured",
    "Swatch",
    "swatch_of",
    "Chart",
    "Layout",
    "Row",
    "Runs",
    "find_runs",
    "StrandPlan",
    "plan_strands",
    "Amounts",
    "YarnAmount",
    "amounts_of",
    "Bobbin",
    "View",
    "RunOut",
    "forecast",
    "Done",
    "Left",
    "PatternRow",
    "Proof",
    "Habit",
    "Pace",
    "BadInput",
    "Pix2blockError",
]


def __getattr__(name: str) -> Any:
    if name not in _MODULE_OF:
        raise AttributeError(f"module 'pix2block' has no attribute '{name}'")
    from importlib import import_module

    return getattr(import_module(_MODULE_OF[name]), name)


def __dir__() -> list[str]:
    return [*globals(), *_MODULE_OF]
