"""What a maker brings to a chart besides its colours: swatches, a hook, a border."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from pix2block.amounts.measures import class_of_blocks, measures_of, say_finished
from pix2block.chart.chart import Border, Chart
from pix2block.chart.yarn_order import with_yarns
from pix2block.ground.advice import Ask
from pix2block.ground.delimited import decode_text
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.files import read_bytes, read_text
from pix2block.options.maker import Maker
from pix2block.options.table import Options
from pix2block.options.yarn_rules import NO_BORDER, BorderAsked
from pix2block.yarn.mixed import mixed_lines, several_colors_line
from pix2block.yarn.shelf import Shelf, read_shelf
from pix2block.yarn.swatch import Measured, swatch_of
from pix2block.yarn.swatch_file import read_swatches
from pix2block.yarn.weights import most_common_class
from pix2block.yarn.yarn import Yarn, name_key


def open_swatches(path: str | Path | None) -> tuple[Measured, ...]:
    """The swatches in a file, none without one. Raises BadInput naming what does not fit."""
    return read_swatches(read_text(Path(path), "swatches"), str(path)) if path else ()


def open_shelf(path: str | Path) -> Shelf:
    """The yarns of a shelf file. Raises BadInput naming the line that cannot be read."""
    return read_shelf(decode_text(read_bytes(Path(path), "shelf"), f"shelf {path}"), str(path))


def fit_options(options: Options, measured: Sequence[Measured], maker: Maker) -> Options:
    """Options for a new chart: hook, block and weight class are the swatches' where none is given,
    the hook otherwise the maker's."""
    options = replace(options, hook=options.hook or _hook(measured, maker))
    if not measured:
        return options
    return replace(
        options,
        block=options.block or measured[0].block,
        weight=measured[0].weight if options.weight is None else options.weight,
    )


def with_supplies(
    chart: Chart, options: Options, measured: tuple[Measured, ...], maker: Maker
) -> tuple[Chart, tuple[str, ...]]:
    """The chart with swatches and hook, and what the maker should know of them.

    Raises BadInput for a swatch of other blocks, or of a yarn that is held otherwise.
    """
    notes: list[str] = []
    if measured:
        chart, notes = _with_swatches(chart, measured, options.swatch or "")
    hook = options.hook or _hook(measured, maker) or chart.hook_mm
    return replace(chart, hook_mm=hook), tuple(notes)


def _hook(measured: Sequence[Measured], maker: Maker) -> float | None:
    """The hook that the swatches tell alike, else the maker's."""
    hooks = {one.hook_mm for one in measured if one.hook_mm}
    return hooks.pop() if len(hooks) == 1 else maker.hook_mm


def usual_class(yarns: Sequence[Yarn]) -> int | None:
    """The weight class of most of these yarns, the lower of two alike; None where none tells."""
    return most_common_class(Counter(yarn.weight for yarn in yarns if yarn.weight is not None))


def with_class(chart: Chart, told: bool) -> tuple[Chart, tuple[str, ...]]:
    """The chart in the weight class of the yarns that it uses, by blocks, unless one was told; and
    what the maker should know where told and used differ."""
    used = class_of_blocks(chart)
    if used is None or used == chart.weight:
        return chart, ()
    of_yarns = replace(chart, weight=used)
    if not told:
        return of_yarns, ()
    if chart.swatch:
        return chart, ()
    sizes = [say_finished(one, measures_of(one).block_cm) for one in (chart, of_yarns)]
    return chart, (
        f"weight class {chart.weight} is told, but most blocks are in yarn of class {used}: "
        f"{sizes[0]} by the one, {sizes[1]} by the other.",
    )


def notes_on_yarns(chart: Chart) -> tuple[str, ...]:
    """What the maker should know of the yarns that a chart uses, a sentence each."""
    used = [yarn for yarn, is_used in zip(chart.yarns, chart.used, strict=True) if is_used]
    several = several_colors_line(used)
    return (*mixed_lines(used, chart.weight), *([several] if several else []))


def _with_swatches(
    chart: Chart, measured: tuple[Measured, ...], place: str
) -> tuple[Chart, list[str]]:
    kind = measured[0].block
    if kind != chart.block:
        raise BadInput(
            Ask("swatch", place),
            f" is of {kind} blocks, the chart of {chart.block} blocks: make a swatch of these, or "
            "give ",
            Ask("block", kind),
        )
    by_name = {name_key(one.yarn): one for one in measured if one.yarn}
    yarns, notes = [], []
    for yarn in chart.yarns:
        own = by_name.pop(name_key(yarn.name), None)
        if own and own.held != yarn.held:
            words = {1: "single", 2: "double"}
            raise BadInput(
                Ask("swatch", place),
                f" has {yarn.name} held {words[own.held]}, the chart {words[yarn.held]}: make its "
                "swatch as the piece is worked",
            )
        if own and yarn.metres is None and own.label_metres:
            yarn = replace(yarn, metres=own.label_metres, grams=yarn.grams or own.label_grams)
        yarns.append(yarn)
    if by_name and len(by_name) == len(measured):
        names = ", ".join(one.yarn for one in by_name.values())
        notes.append(
            f"the swatches of {names} stand for yarns of other names: make one of each yarn that "
            "is much used"
        )
    return replace(chart, yarns=tuple(yarns), swatch=swatch_of(measured)), notes


def with_border(chart: Chart, asked: BorderAsked | None, shelf: Sequence[Yarn]) -> Chart:
    """The chart with the border that was asked for, or without one where that was asked; a yarn of
    the shelf that is not in it comes in at its place, and goes with its border.

    Raises BadInput for a yarn that is nowhere.
    """
    if asked is None:
        return chart
    if asked == NO_BORDER:
        return _without_border(chart)
    key = name_key(asked.yarn)
    names = [name_key(yarn.name) for yarn in chart.yarns]
    if key in names:
        extra = chart.border.extra if chart.border else {}
        border = Border(asked.rounds, asked.stitch, names.index(key), extra=extra)
        return replace(chart, border=border)
    on_shelf = [name_key(yarn.name) for yarn in shelf]
    if key not in on_shelf:
        known = [yarn.name for yarn in (*chart.yarns, *shelf)]
        raise BadInput(Ask("border"), f": {unknown('yarn', asked.yarn, known)}")
    place = on_shelf.index(key)
    before = [names.index(n) + 1 for n in on_shelf[:place] if n in names]
    number = max(before, default=0)
    yarns = (*chart.yarns[:number], shelf[place], *chart.yarns[number:])
    return replace(with_yarns(chart, yarns), border=Border(asked.rounds, asked.stitch, number))


def _without_border(chart: Chart) -> Chart:
    if chart.border is None:
        return chart
    number, chart = chart.border.yarn, replace(chart, border=None)
    if chart.used[number] or len(chart.yarns) == 1:
        return chart
    return with_yarns(chart, [yarn for i, yarn in enumerate(chart.yarns) if i != number])
