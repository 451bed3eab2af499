"""The recipe: from a picture, or a chart that was kept, to every report."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import Chart, Source, clean_title
from pix2block.chart.grid import fit_last_row, read_grid
from pix2block.chart.reading import read_chart, write_chart
from pix2block.color.spaces import Bytes
from pix2block.design.palette import yarns_from_picture, yarns_from_shelf, yarns_taken_exactly
from pix2block.ground import settings
from pix2block.ground.errors import BadInput
from pix2block.ground.files import read_bytes, read_text, save_all
from pix2block.ground.units import round_half_up
from pix2block.options import Options
from pix2block.pages.chart_sheet import chart_sheet, png_scale
from pix2block.pages.png import png
from pix2block.pages.summary import summary_json
from pix2block.pages.svg import svg
from pix2block.pages.tables import rows_csv, strands_csv, yarn_csv
from pix2block.pattern.text import pattern_text
from pix2block.picture.blocks import (
    Frame,
    block_means,
    blocks_of_chart_picture,
    frame_picture,
)
from pix2block.picture.picture import Picture, open_picture
from pix2block.yarn.shelf import Shelf, read_shelf
from pix2block.yarn.weights import WEIGHT_CLASSES

Progress = Callable[[int, int], None]
NOTHING_ASKED = Options()
_MUCH_LEFT_OUT = 0.05  # a share of the picture that is worth a word


@dataclass(frozen=True)
class Made:
    """A chart, and what a maker should be told of how it came about, a sentence each."""

    chart: Chart
    notes: tuple[str, ...] = ()


def chart_picture(
    picture: Picture | str | Path,
    options: Options = NOTHING_ASKED,
    progress: Progress | None = None,
) -> Made:
    """A chart from an open picture, or from a picture's path.

    Raises BadInput for a file, size or shelf that cannot be used.
    """
    if not isinstance(picture, Picture):
        picture = open_picture(picture, options.background or settings.DEFAULT_BACKGROUND)
    shelf = open_shelf(options.shelf) if options.shelf else Shelf(())
    means, notes = _block_colors(picture, options, progress)
    if shelf.yarns:
        most = options.colors or len(shelf.yarns)
        yarns, blocks = yarns_from_shelf(means, shelf.yarns, most)
    elif options.look == "blocks":
        yarns, blocks = yarns_taken_exactly(means, options.colors or settings.MOST_YARNS)
    else:
        most = options.colors or settings.DEFAULT_COLORS
        seed = settings.DEFAULT_SEED if options.seed is None else options.seed
        yarns, blocks = yarns_from_picture(means, most, seed)
    hand = options.hand or "right"
    chart = Chart(
        title=clean_title(options.title or title_of(picture.name)),
        blocks=blocks,
        yarns=yarns,
        last_row=sum(blocks.shape) - 1,
        start_corner=settings.usual_corner(hand),
        hand=hand,
        source=Source(picture.name, picture.sha256, means),
    )
    return Made(with_options(chart, options), (*picture.warnings, *shelf.warnings, *notes))


def _block_colors(
    picture: Picture, options: Options, progress: Progress | None
) -> tuple[Bytes, list[str]]:
    if options.look == "blocks":
        if options.size or options.crop:
            raise BadInput("--look blocks takes the whole picture: leave out --size and --crop")
        return blocks_of_chart_picture(picture, options.width, options.height), []
    frame = _frame(picture, options)
    _, _, w, h = options.crop or (0, 0, 100, 100)
    asked = picture.size[0] * w / 100 * (picture.size[1] * h / 100)
    used = frame.block**2 * frame.width * frame.height
    notes = []
    if used < (1 - _MUCH_LEFT_OUT) * asked:
        notes.append(
            f"{frame.width} x {frame.height} blocks leave out {100 * (1 - used / asked):.0f} % of "
            "the picture, as much on either side; nothing is stretched."
        )
    return block_means(picture, frame, progress), notes


def _frame(picture: Picture, options: Options) -> Frame:
    width, height = options.width, options.height
    if options.size:
        if width or height:
            raise BadInput("--size sets both sides: leave out --width and --height")
        weight = settings.DEFAULT_WEIGHT if options.weight is None else options.weight
        block_cm = WEIGHT_CLASSES[weight].block_cm(options.block or "dc")
        width, height = (max(1, round_half_up(side / block_cm)) for side in options.size)
    elif not (width or height):
        width = settings.DEFAULT_WIDTH
    return frame_picture(picture.size, width, height, options.crop or (0, 0, 100, 100))


def open_shelf(path: str | Path) -> Shelf:
    """The yarns of a shelf file. Raises BadInput naming the line that cannot be read."""
    return read_shelf(read_text(Path(path), "shelf"), str(path))


def open_chart(path: str | Path, options: Options = NOTHING_ASKED) -> Made:
    """A chart from a chart.json, or from a CSV grid of yarn names or "#rrggbb".

    A given option overrides what the file says.

    Raises BadInput for a file that does not fit, or for another start corner of a piece that
    ends early.
    """
    path = Path(path)
    if path.suffix.lower() == ".csv":
        made = _chart_of_grid(path, options)
    else:
        if options.shelf:
            raise BadInput("--shelf goes with a picture or a CSV grid: this chart has its yarns")
        made = Made(*read_chart(read_bytes(path, "chart"), str(path)))
        if options.corner and options.corner != made.chart.start_corner and made.chart.ends_early:
            raise BadInput(
                f"chart {path} ends after row {made.chart.last_row}: it keeps its start corner, "
                f"{made.chart.start_corner}; leave out --corner"
            )
    return Made(with_options(made.chart, options), made.notes)


def _chart_of_grid(path: Path, options: Options) -> Made:
    shelf = open_shelf(options.shelf) if options.shelf else Shelf(())
    grid = read_grid(read_text(path, "grid"), str(path), shelf.yarns)
    hand = options.hand or "right"
    try:
        corner, last_row = fit_last_row(
            grid.blocks, options.corner, settings.usual_corner(hand), hand
        )
    except BadInput as error:
        raise BadInput(f"{path}: {error}") from None
    chart = Chart(title_of(path.name), grid.blocks, grid.yarns, last_row, corner, hand)
    return Made(chart, (*shelf.warnings, *grid.warnings))


def title_of(file_name: str) -> str:
    """A title from a file's name: "tallow_cat.jpg" gives "Tallow cat"."""
    words = " ".join(Path(file_name).stem.replace("_", " ").replace("-", " ").split())
    return clean_title((words[:1].upper() + words[1:])[: settings.LONGEST_TITLE] or "Untitled")


def with_options(chart: Chart, options: Options) -> Chart:
    """The chart with every option that was given; what was not keeps the chart's value."""
    given: dict[str, Any] = {
        "title": clean_title(options.title) if options.title is not None else None,
        "start_corner": options.corner,
        "hand": options.hand,
        "block": options.block,
        "terms": options.terms,
        "turn": options.turn,
        "weight": options.weight,
        "tail_cm": options.tail,
        "pace": options.pace,
        "habit": _habit(chart.habit, options),
    }
    return replace(chart, **{name: value for name, value in given.items() if value is not None})


def _habit(habit: settings.Habit, options: Options) -> settings.Habit:
    if options.habit:
        habit = settings.HABITS[options.habit]
    if options.reach is options.rest is options.edge is None:
        return habit
    reach = habit.reach if options.reach is None else options.reach
    rest = habit.rest if options.rest is None else options.rest
    edge = habit.edge if options.edge is None else options.edge
    return settings.named_habit(reach, rest, edge)


def report_files(amounts: Amounts) -> dict[str, bytes]:
    """Every file of a chart's output folder, by name."""
    sheet, held = chart_sheet(amounts), chart_sheet(amounts, held=True)
    texts = {
        "chart.svg": svg(sheet),
        "held.svg": svg(held),
        "rows.csv": rows_csv(amounts),
        "strands.csv": strands_csv(amounts),
        "yarn.csv": yarn_csv(amounts),
        "summary.json": summary_json(amounts),
        "pattern.txt": pattern_text(amounts),
    }
    return {
        "chart.json": write_chart(amounts.chart),
        "chart.png": png(sheet, png_scale(amounts.chart)),
        **{name: text.encode() for name, text in texts.items()},
    }


def save_reports(chart: Chart, folder: str | Path) -> Amounts:
    """Work out a chart's amounts and write every report into a folder, all or nothing."""
    amounts = amounts_of(chart)
    save_all(Path(folder), report_files(amounts))
    return amounts
