"""The recipe: from a picture, or a chart that was kept, to every report."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from pix2block.amounts.money import NO_MONEY, Money
from pix2block.amounts.run_out import RunOut, forecast
from pix2block.amounts.under_way import UnderWay
from pix2block.amounts.ways import Better, Way, better_ways
from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.grid import fit_last_row, read_grid
from pix2block.chart.reading import read_chart, write_chart
from pix2block.color.spaces import Floats
from pix2block.color.vision import degrees_across
from pix2block.design.features import Feature, lost_features
from pix2block.design.seen import with_seen
from pix2block.design.stand_in import Rescue, find_stand_ins
from pix2block.drawing.png import png
from pix2block.drawing.svg import svg
from pix2block.drawing.views import png_scale
from pix2block.ground import settings
from pix2block.ground.advice import Ask
from pix2block.ground.delimited import decode_text
from pix2block.ground.errors import BadInput
from pix2block.ground.files import read_bytes, read_text, save_all
from pix2block.options.maker import open_maker, with_defaults
from pix2block.options.table import Options
from pix2block.pages.chart_sheet import chart_sheet
from pix2block.pages.preview import far_png, preview_png
from pix2block.pattern.text import pattern_text
from pix2block.proof.compare import Proof, prove
from pix2block.recipes.editions import Edition, editions_of
from pix2block.recipes.from_picture import NOTHING_ASKED, Made, open_shelf, title_of, with_options
from pix2block.recipes.supplies import (
    fit_options,
    notes_on_yarns,
    open_swatches,
    with_border,
    with_supplies,
)
from pix2block.reports.forecast import forecast_text
from pix2block.reports.shopping import shopping_text
from pix2block.reports.summary import summary_json
from pix2block.reports.tables import (
    bobbins_csv,
    rows_csv,
    strands_csv,
    tails_csv,
    ways_csv,
    yarn_csv,
)
from pix2block.yarn.shelf import Shelf

if TYPE_CHECKING:
    from pix2block.calming.charts import Curve

Files = dict[str, bytes]


def open_chart(path: str | Path, options: Options = NOTHING_ASKED) -> Made:
    """A chart from a chart.json, or from a CSV grid of yarn names or "#rrggbb".

    A given option overrides what the file says. What a chart.json says of hand, terms, pace, tail
    and habit goes before the maker's file, whose hook, currency and hour hold.

    Raises BadInput for a file that does not fit, or for another start corner of a piece that
    ends early.
    """
    path = Path(path)
    maker = open_maker(options.maker)
    measured = open_swatches(options.swatch)
    if path.suffix.lower() == ".csv":
        options = fit_options(with_defaults(options, maker), measured)
        made = _chart_of_grid(path, options)
    else:
        if options.shelf and not (options.done or options.border):
            raise BadInput(
                Ask("shelf"),
                " goes with a picture or a CSV grid, or with ",
                Ask("done"),
                " or ",
                Ask("border"),
                ": this chart has its yarns",
            )
        made = Made(*read_chart(read_bytes(path, "chart"), str(path)))
        if options.shelf:
            made = replace(made, spare=open_shelf(options.shelf).yarns)
        if options.corner and options.corner != made.chart.start_corner and made.chart.ends_early:
            raise BadInput(
                f"chart {path} ends after row {made.chart.last_row}: it keeps its start corner, "
                f"{made.chart.start_corner}; leave out ",
                Ask("corner"),
            )
    chart = with_options(made.chart, options)
    chart, notes = with_supplies(chart, options, measured, maker)
    chart = with_border(chart, options.border, made.spare or ())
    if options.left and not options.done:
        raise BadInput(Ask("left"), " tells what is left at some row: add ", Ask("done", "ROW"))
    under_way = None
    if options.done:
        under_way = UnderWay(options.done, options.left or (), made.spare or ())
    return Made(
        chart, (*made.notes, *notes, *notes_on_yarns(chart)), maker=maker, under_way=under_way
    )


def _chart_of_grid(path: Path, options: Options) -> Made:
    shelf = open_shelf(options.shelf) if options.shelf else Shelf(())
    grid = read_grid(decode_text(read_bytes(path, "grid"), f"grid {path}"), str(path), shelf.yarns)
    hand = options.hand or "right"
    try:
        corner, last_row = fit_last_row(
            grid.blocks, options.corner, settings.usual_corner(hand), hand
        )
    except BadInput as error:
        raise error.within(str(path)) from None
    chart = Chart(title_of(path.name), grid.blocks, grid.yarns, last_row, corner, hand)
    return Made(chart, (*shelf.warnings, *grid.warnings), spare=shelf.yarns)


@dataclass(frozen=True)
class Reported:
    """What was worked out for the reports: amounts, features that the yarns lose, better ways, the
    proof of the pattern, None where none was asked for; notes for the maker, a sentence each.

    Of several editions that are proved, the proof is the first that does not hold.
    """

    amounts: Amounts
    lost: tuple[Feature, ...]
    better: Better
    proof: Proof | None = None
    notes: tuple[str, ...] = ()
    money: Money = NO_MONEY
    forecast: tuple[RunOut, Rescue] | None = None


def check_pattern(amounts: Amounts, text: str) -> Proof:
    """Work a pattern's words stitch by stitch, and compare what comes of them with the chart and
    its strands."""
    runs = amounts.chart.runs
    places = list(zip(runs.row.tolist(), runs.number.tolist(), strict=True))
    paths = [[places[run] for run in path] for path in amounts.plan.paths]
    return prove(text, amounts.chart, paths)


def check_chart(chart: Chart, pattern: str | Path | None = None) -> Proof:
    """The proof of a chart's pattern: of the one in a file, or of one freshly written.

    Raises BadInput where the file cannot be read.
    """
    amounts = amounts_of(chart)
    text = read_text(Path(pattern), "pattern") if pattern else pattern_text(amounts)
    return check_pattern(amounts, text)


def report_files(
    amounts: Amounts,
    look_again: Callable[[], Floats] | None = None,
    options: Options = NOTHING_ASKED,
    money: Money = NO_MONEY,
    under_way: UnderWay | None = None,
) -> tuple[dict[str, bytes], Reported]:
    """Every file of a chart's output folder, by name, and what was worked out for them.

    look_again: gives the picture's light, where it is at hand; how it and the chart differ to the
    eye is then measured, and kept in the chart. options: those that shape files. money: what an
    hour is worth, and in what. under_way: how far the piece is, for a forecast.
    """
    if look_again:
        amounts = replace(amounts, chart=with_seen(amounts.chart, look_again()))
    editions = list(editions_of(amounts, options))
    proof = None if "proof" in (options.without or ()) else _prove(editions)
    lost = tuple(lost_features(amounts.chart))
    outlook = _forecast(amounts, under_way) if under_way else None
    notes = tuple(note for edition in editions for note in edition.notes)
    reported = Reported(amounts, lost, better_ways(amounts), proof, notes, money, outlook)
    texts = {
        "rows.csv": rows_csv(amounts),
        "strands.csv": strands_csv(amounts),
        "yarn.csv": yarn_csv(amounts),
        "shopping.txt": shopping_text(amounts, money),
        "bobbins.csv": bobbins_csv(amounts),
        "tails.csv": tails_csv(amounts),
        "summary.json": summary_json(amounts, lost, proof, money, outlook),
    }
    files = {name: text.encode() for name, text in texts.items()}
    files |= _sheets(amounts, options.draw) | _fabrics(amounts, options)
    if outlook:
        files["forecast.txt"] = forecast_text(*outlook).encode()
        if outlook[1].stand_ins:
            files["chart_with_stand_in.json"] = write_chart(outlook[1].chart)
    for edition in editions:
        files |= edition.files
    return {"chart.json": write_chart(amounts.chart), **files}, reported


def _forecast(amounts: Amounts, under_way: UnderWay) -> tuple[RunOut, Rescue]:
    run_out = forecast(amounts, under_way.done, under_way.left)
    return run_out, find_stand_ins(run_out, under_way.shelf)


def _prove(editions: Sequence[Edition]) -> Proof:
    """The proof of the chart's own pattern, or of the first edition that does not hold."""
    own, *others = editions
    proof = check_pattern(own.amounts, own.text)
    for edition in others:
        if not proof.holds:
            break
        if (edition.amounts, edition.text) != (own.amounts, own.text):
            other = check_pattern(edition.amounts, edition.text)
            proof = proof if other.holds else other
    return proof


def _sheets(amounts: Amounts, draw: settings.Draw | None) -> dict[str, bytes]:
    sheet = chart_sheet(amounts)
    held = chart_sheet(amounts, held=True, floats=draw == "floats")
    return {
        "chart.svg": svg(sheet).encode(),
        "chart.png": png(sheet, png_scale(amounts.chart)),
        "held.svg": svg(held).encode(),
    }


def asked_files(title: str, ways: Sequence[Way] = (), curve: Curve | None = None) -> Files:
    """Files that are only made when they are asked for."""
    files: Files = {}
    if ways:
        files["ways.csv"] = ways_csv(ways).encode()
    if curve:
        from pix2block.pages.calm_sheet import calm_csv, calm_sheet

        files["calm.csv"] = calm_csv(curve).encode()
        files["calm.png"] = png(calm_sheet(title, curve), 1.5)
    return files


def _fabrics(amounts: Amounts, options: Options) -> Files:
    """The fabric as it will look, and as seen from a distance where one was given."""
    files: Files = {}
    if "preview" not in (options.without or ()):
        files["preview.png"] = preview_png(amounts.chart)
    if options.distance:
        degrees = degrees_across(amounts.measures.block_cm, options.distance)
        files["preview_far.png"] = far_png(amounts.chart, degrees)
    return files


def save_reports(
    chart: Chart,
    folder: str | Path,
    look_again: Callable[[], Floats] | None = None,
    more: Mapping[str, bytes] = MappingProxyType({}),
    options: Options = NOTHING_ASKED,
    money: Money = NO_MONEY,
    under_way: UnderWay | None = None,
) -> Reported:
    """Work out a chart's amounts and write every report into a folder, all or nothing.

    look_again, options, money, under_way: as for `report_files`; more: further files, by name.
    """
    files, reported = report_files(amounts_of(chart), look_again, options, money, under_way)
    save_all(Path(folder), {**files, **more})
    return reported
