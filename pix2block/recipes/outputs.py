"""Every file of a piece: what it is for, when it is made, and how. All doors save by this table.

A new file is a row here. Kinds of pieces add rows of their own (`Study.more_outputs`), and so does
every further edition of the pattern.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from pix2block.chart.chart import Chart
from pix2block.chart.reading import write_chart
from pix2block.drawing.png import png
from pix2block.drawing.svg import svg
from pix2block.drawing.views import png_scale
from pix2block.ground.files import files_read, save_all
from pix2block.ground.frozen import dataclass
from pix2block.ground.swap import Moves
from pix2block.pages.preview import preview_png
from pix2block.recipes import making
from pix2block.recipes.keeping import SUMMARY, digests, find, find_others, refuse_inputs
from pix2block.reports.shopping import shopping_text
from pix2block.reports.summary import summary_json
from pix2block.reports.tables import (
    bobbins_csv,
    chart_csv,
    rows_csv,
    strands_csv,
    tails_csv,
    ways_csv,
    yarn_csv,
)
from pix2block.reports.workbook import chart_xlsx
from pix2block.study.editions import Edition, named_editions
from pix2block.study.output import HasOutputs, Output, make_files
from pix2block.study.study import NOTHING_ASKED, Study

PATTERN: tuple[Output[Edition], ...] = (
    Output(
        "pattern.pdf",
        "the pattern to print or take along: front page, how each thing is done with drawings, the "
        "chart as held, whole and in bands of rows, every row as it lies in the hands (stripes: in "
        "a table beside the fabric), bobbins to wind, finishing, cautions",
        lambda edition: edition.pdf,
        without="pdf",
        begin=Edition.begin_pdf,
    ),
    Output(
        "pattern.html",
        "the same as one page for a browser, rows first, to go to and to tick off, "
        "on a phone the one in hand alone; it needs no network",
        lambda edition: edition.html.encode(),
    ),
    Output(
        "hookside.html",
        "the page beside the hook, row by row, large, with the way it is read aloud, what hangs "
        "and whether the yarn lasts; one file that needs no network and keeps how far you are",
        lambda edition: edition.hookside.encode(),
    ),
    Output(
        "pattern.txt",
        "the same in plain words; its rows are what is checked stitch by stitch",
        lambda edition: edition.text.encode(),
    ),
)


def _of_edition(row: Output[Edition], name: str) -> Output[Study]:
    stem, dot, ending = row.name.rpartition(".")
    begin = row.begin
    return Output(
        f"{stem}.{name}{dot}{ending}" if name else row.name,
        row.purpose,
        lambda study: row.make(study.editions[name]),
        without=row.without,
        begin=begin and (lambda study: begin(study.editions[name])),
    )


_CHART = (
    "the chart as the picture is seen, yarns with marks that read in black and white, row numbers "
    "where each row begins, columns and lines counted beside them"
)
_CALM = "tails and hours against colour error: the piece at each calm, as it would be made with it"
_FORECAST = (
    "where rows are made, told with {done}: whether the yarn lasts, and the chart with a yarn that "
    "steps in"
)

OUTPUTS: tuple[Output[Study], ...] = (
    Output(
        "chart.json",
        "the one file to keep: every other one follows from it",
        lambda study: write_chart(study.kept),
    ),
    Output(
        "chart.csv",
        "the blocks as a grid of yarns' names, columns and lines counted: for a spreadsheet; "
        "changed there, a report of it changes the chart beside it",
        lambda study: chart_csv(study.chart).encode(),
    ),
    Output(
        "chart.xlsx",
        "the same as a workbook, cells in the yarns' colours, and sheets of rows, runs, bobbins "
        "and yarn; changed there, in colour or in name, a report of it changes the chart beside it",
        lambda study: chart_xlsx(study.amounts),
    ),
    Output("chart.png", _CHART, lambda study: png(study.sheet, png_scale(study.chart))),
    Output("chart.svg", _CHART, lambda study: svg(study.sheet).encode()),
    Output(
        "held.svg",
        "the chart as it lies in the hands: start corner down, rows level; with {draw floats} also "
        "the yarn that lies behind",
        making.held,
    ),
    *(_of_edition(row, "") for row in PATTERN),
    Output(
        "rows.csv",
        "each row: side, how it begins and ends, runs in working order, changes, tails, yarns "
        "hanging, minutes",
        lambda study: rows_csv(study.amounts).encode(),
    ),
    Output(
        "strands.csv",
        "each unbroken length of yarn: where it starts and ends, the runs it works, its metres; "
        "the last column names the runs in words, which no spreadsheet takes for numbers",
        lambda study: strands_csv(study.amounts).encode(),
    ),
    Output(
        "preview.png",
        "the fabric as it will look: posts standing and lying in turn, each block's mean true to "
        "its yarn",
        lambda study: preview_png(study.chart),
        without="preview",
    ),
    Output(
        "preview_far.png",
        "the fabric as an eye sees it from so far away",
        making.from_afar,
        can=lambda study: bool(study.options.distance),
        option="distance",
    ),
    Output(
        "bobbins.csv",
        "each bobbin to wind: its number in the pattern, from which row to which, metres, whether "
        "it is longer than a hand's butterfly",
        lambda study: bobbins_csv(study.amounts).encode(),
    ),
    Output(
        "tails.csv",
        "tails of each row and yarn: inside, and at each edge of the piece",
        lambda study: tails_csv(study.amounts).encode(),
    ),
    Output(
        "yarn.csv",
        "each yarn: blocks, tails, metres with their range, grams, skeins, what is short or left "
        "over",
        lambda study: yarn_csv(study.amounts).encode(),
    ),
    Output(
        "shopping.txt",
        "each yarn needed (likely, least, most), on hand, to buy, price; what the piece costs; "
        "where skeins end",
        lambda study: shopping_text(study.amounts, study.costs).encode(),
    ),
    Output(
        "shelf.png",
        "where yarns come from a shelf, each with its name and the colour it was read as",
        making.shelf,
        can=lambda study: bool(study.shelf),
    ),
    Output(
        "subject.png",
        "what counts most, outlined on the picture in blocks: of photos, and of places minded",
        lambda study: png(study.subject_sheet, 1.0),
        can=lambda study: study.has_subject_sheet,
    ),
    Output(
        "forecast.txt",
        _FORECAST,
        making.forecast,
        can=lambda study: study.under_way is not None,
    ),
    Output(
        "chart_with_stand_in.json",
        _FORECAST,
        making.stand_in,
        can=lambda study: bool(study.rescue and study.rescue.stand_ins),
    ),
    Output(
        "summary.json",
        "all totals, for programs",
        lambda study: summary_json(study).encode(),
    ),
    Output(
        "calm.csv",
        _CALM,
        making.curve_table,
        can=lambda study: study.can_curve,
        option="curve",
    ),
    Output(
        "calm.png",
        _CALM,
        making.curve_sheet,
        can=lambda study: study.can_curve,
        option="curve",
    ),
    Output(
        "ways.csv",
        "tails, yarns hanging, longest float, hours and truth of each way of working",
        lambda study: ways_csv(study.ways).encode(),
        option="compare",
    ),
)


def outputs_of(study: Study) -> tuple[Output[Study], ...]:
    """Every file of a piece, asked for or not: of any piece, of its editions, of its kind."""
    named = named_editions(study.chart, study.options)
    editions = (_of_edition(row, name) for name in named for row in PATTERN)
    return (*OUTPUTS, *editions, *study.more_outputs)


_MOST_BESIDE = 40_000  # blocks of a piece whose files are made side by side


def files_of(
    what: Study | Chart | HasOutputs, only: Sequence[str] | None = None
) -> dict[str, bytes]:
    """The files of a piece, a trial, or plans side by side, by name: all that were asked for, or
    only those that are named.

    Raises BadInput for a name of none that can be made.
    """
    if isinstance(what, Chart):
        what = Study(what)
    if not isinstance(what, Study):
        return make_files(what, what.outputs, NOTHING_ASKED, only)
    small = what.chart.blocks.size <= _MOST_BESIDE
    made = make_files(what, outputs_of(what), what.options, only, beside=small)
    if SUMMARY in made:
        made[SUMMARY] = summary_json(what, digests(made)).encode()
    return made


@dataclass(frozen=True)
class Saved:
    """What was written. contents: the files' bytes by name; notes: what was removed, and what was
    kept under which name, a sentence each."""

    folder: Path
    contents: Mapping[str, bytes]
    notes: tuple[str, ...] = ()

    def __repr__(self) -> str:
        return f"Saved({str(self.folder)!r}, {len(self.contents)} files)"

    @property
    def paths(self) -> list[Path]:
        """Where each file is."""
        return [self.folder / name for name in self.contents]


def save(
    what: Study | Chart | HasOutputs, folder: str | Path, only: Sequence[str] | None = None
) -> Saved:
    """Write the files of a piece, a trial, or plans side by side into a folder, all or nothing: all
    that were asked for, or only those that are named. Files of an earlier run that are not made now
    are removed; what a hand has changed, and a chart of another picture, is kept beside.

    Raises BadInput where the folder cannot be written to, where a file would be written over one
    that was read, or for a name of no file.
    """
    if isinstance(what, Chart):
        what = Study(what)
    folder = Path(folder)
    with files_read() as read:
        contents = files_of(what, only)
    inputs = (*what.read, *read)
    notes: list[str] = []
    chart_file = what.chart_file if isinstance(what, Study) else None

    def more(folder: Path) -> Moves:
        found = (
            find(folder, contents, inputs, chart_file, whole=only is None)
            if isinstance(what, Study)
            else find_others(folder, contents)
        )
        notes.extend(found.notes)
        return found.moves

    refuse_inputs(folder, contents, inputs, chart_file)
    save_all(folder, contents, more)
    return Saved(folder, contents, tuple(notes))
