"""A piece from a chart that was kept, or from a grid."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from pix2block.amounts.rip_back import refuse_rip_back
from pix2block.amounts.run_out import runs_done
from pix2block.amounts.under_way import Done, UnderWay
from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.done import MadeRows
from pix2block.chart.grid import fit_last_row
from pix2block.chart.made import made_up_to
from pix2block.chart.reading import read_chart
from pix2block.drawing.marks import with_marks
from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput, refuse
from pix2block.ground.files import finish_swap, noting_files, read_bytes, read_text
from pix2block.options.maker import open_maker, with_defaults
from pix2block.options.table import Options
from pix2block.pages.hookside_data import piece_key
from pix2block.pattern.text import pattern_text
from pix2block.proof.compare import Proof
from pix2block.proof.rows import Told
from pix2block.recipes.as_asked import title_of, with_options
from pix2block.recipes.grids import is_grid, open_blocks, yarns_told
from pix2block.recipes.rest import with_rest_calmed
from pix2block.recipes.supplies import (
    fit_options,
    notes_on_yarns,
    open_shelf,
    open_swatches,
    with_border,
    with_class,
    with_supplies,
)
from pix2block.study.editions import chart_as_told, check_pattern
from pix2block.study.study import NOTHING_ASKED, Study
from pix2block.yarn.shelf import Shelf
from pix2block.yarn.yarn import Yarn, name_key

# Options by which all rows are worked otherwise, and the fields of a chart that tell them.
_WAYS = {"corner": "start_corner", "hand": "hand", "block": "block"}


@noting_files
def open_chart(path: str | Path, options: Options = NOTHING_ASKED) -> Study:
    """A piece from a chart.json, or from a CSV grid of yarn names or "#rrggbb".

    A given option overrides what the file says. What a chart.json says of hand, terms, pace, tail
    and habit goes before the maker's file, whose hook, currency and hour hold.

    Raises BadInput for a file that does not fit, or for another start corner of a piece that
    ends early.
    """
    path = Path(path)
    finish_swap(path.parent)
    maker = open_maker(options.maker)
    measured = open_swatches(options.swatch)
    shelf = open_shelf(options.shelf) if options.shelf else Shelf(())
    given = options
    of_grid = is_grid(path)
    if of_grid:
        options = fit_options(with_defaults(options, maker), measured, maker)
        chart, told = _chart_of_grid(path, options, shelf)
    else:
        chart, told = _kept_chart(path, options)
    chart, of_supplies = with_supplies(with_options(chart, options), options, measured, maker)
    chart, of_class = with_class(chart, told=options.weight is not None or not of_grid)
    chart = with_border(chart, options.border, shelf.yarns)
    try:
        chart = with_marks(chart)
    except BadInput as error:
        raise error.within(f"chart {path}: marks") from None
    if of_grid and options.done:
        chart = _made(chart, options.done)
    chart, of_rest = with_rest_calmed(chart, options)
    if options.rip_back:
        refuse_rip_back(chart, options.rip_back)
    of_progress = options.done.notes if options.done else ()
    of_yarns = notes_on_yarns(chart)
    return Study(
        chart,
        notes=(*shelf.warnings, *told, *of_progress, *of_supplies, *of_class, *of_rest, *of_yarns),
        spare=_left_out(shelf, chart) if options.shelf else None,
        maker=maker.paying_in(shelf.currency),
        under_way=_under_way(chart, options, shelf),
        options=given,
        chart_file=path,
    )


def _chart_of_grid(
    path: Path, options: Options, shelf: Shelf
) -> tuple[Chart, tuple[str | Advice, ...]]:
    file = open_blocks(path)
    assert not isinstance(file, Chart)  # no chart.json has a grid's name
    told = isinstance(file, Told)
    known = yarns_told(path) if told and not shelf.yarns else shelf.yarns
    from pix2block.mending.grids import blocks_in

    found = blocks_in(file, known)
    hand = options.hand or found.worked.get("hand") or settings.DEFAULT_HAND
    corner = options.corner or found.worked.get("start_corner")
    try:
        corner, last_row = fit_last_row(found.blocks, corner, settings.usual_corner(hand), hand)
    except BadInput as error:
        raise error.within(str(path)) from None
    worked = {**found.worked, "last_row": last_row, "start_corner": corner, "hand": hand}
    chart = Chart(title_of(path.name), found.blocks, found.yarns, **worked)
    return chart, found.warnings


def _kept_chart(path: Path, options: Options) -> tuple[Chart, tuple[str, ...]]:
    if options.shelf and not (options.done or options.border):
        raise BadInput(
            Ask("shelf"),
            " goes with a picture or a CSV grid, or with ",
            Ask("done"),
            " or ",
            Ask("border"),
            ": this chart has its yarns",
        )
    chart, warnings = read_chart(read_bytes(path, "chart"), str(path))
    if options.done:
        if options.done.piece not in ("", piece_key(chart)):
            raise BadInput(Ask("done"), f": that file is of another piece than {chart.title}")
        before, chart = chart, _made(chart, options.done)
        warnings = (*warnings, *_ripped(before, options.done))
    if chart.done:
        _refuse_other_ways(chart, options, chart.done)
        warnings = (*warnings, *_from_next_row(chart, options, chart.done))
    if options.corner and options.corner != chart.start_corner and chart.ends_early:
        raise BadInput(
            f"chart {path} ends after row {chart.last_row}: it keeps its start corner, "
            f"{chart.start_corner}; leave out ",
            Ask("corner"),
        )
    return chart, tuple(warnings)


def _made(chart: Chart, done: Done) -> Chart:
    """The chart with its rows so far made as it has been worked until now."""
    runs_done(chart, done)
    return made_up_to(chart, done.row, done.runs)


def _ripped(before: Chart, done: Done) -> tuple[str, ...]:
    """What is said where fewer rows are made than were."""
    was = before.done.row if before.done else 0
    if was <= done.row:
        return ()
    rows = f"row {was} is" if was == done.row + 1 else f"rows {done.row + 1} to {was} are"
    return (f"{rows} ripped back, and planned anew",)


def _from_next_row(chart: Chart, options: Options, done: MadeRows) -> tuple[str, ...]:
    """What is said where rows to come are worked otherwise than those that are made."""
    chart = replace(chart, done=None)
    after = with_options(chart, options)
    changed = {"habit": chart.habit != after.habit, "turn": chart.turn != after.turn}
    what = " and ".join(name for name, is_new in changed.items() if is_new)
    verb = "hold" if all(changed.values()) else "holds"
    said = f"{done.are_made} and stay: the new {what}"
    return (f"{said} {verb} from row {done.row + 1} on",) if what else ()


def _refuse_other_ways(chart: Chart, options: Options, done: MadeRows) -> None:
    """Raise BadInput for an option by which rows that are made would have been worked otherwise."""
    chart = replace(chart, done=None)
    after = with_options(chart, options)
    changed = [
        name
        for name, field in _WAYS.items()
        if getattr(options, name) is not None and getattr(after, field) != getattr(chart, field)
    ]
    refuse(
        [
            BadInput(
                Ask(name), f": row {done.row} is done, and rows that are made stay: leave it out"
            )
            for name in changed
        ]
    )


def _left_out(shelf: Shelf, chart: Chart) -> tuple[Yarn, ...]:
    taken = {name_key(yarn.name) for yarn in chart.yarns}
    return tuple(yarn for yarn in shelf.yarns if name_key(yarn.name) not in taken)


def _under_way(chart: Chart, options: Options, shelf: Shelf) -> UnderWay | None:
    if chart.done:
        so_far = Done(chart.done.row, chart.done.run)
        return UnderWay(so_far, options.left or (), shelf.yarns)
    if options.left:
        raise BadInput(Ask("left"), " tells what is left at some row: add ", Ask("done", "ROW"))
    return None


def check_chart(chart: Chart, pattern: str | Path | None = None) -> Proof:
    """The proof of a chart's pattern: of the one in a file, in whatever hand, from whatever corner
    and in whichever terms its head line says, or of one freshly written.

    Raises BadInput where the file cannot be read.
    """
    if pattern is None:
        amounts = amounts_of(chart)
        return check_pattern(amounts, pattern_text(amounts))
    text = read_text(Path(pattern), "pattern")
    return check_pattern(amounts_of(chart_as_told(chart, text)), text)
