"""A piece from a stripe plan, or several to be compared."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from pix2block.amounts.measures import measures_of
from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.title import clean_title
from pix2block.chart.yarn_order import with_yarns
from pix2block.craft.diagonal import Layout
from pix2block.drawing.marks import with_marks
from pix2block.ground import settings
from pix2block.ground.errors import BadInput
from pix2block.ground.files import noting_files, read_text
from pix2block.ground.units import round_half_up, say_metres
from pix2block.options.maker import Maker, open_maker, with_defaults
from pix2block.options.table import Options
from pix2block.recipes.as_asked import title_of, with_options
from pix2block.recipes.keeping import own_folder
from pix2block.recipes.supplies import (
    fit_options,
    notes_on_yarns,
    open_shelf,
    open_swatches,
    usual_class,
    with_class,
    with_supplies,
)
from pix2block.stripes.fill import Filled, fill, layout_of, longest
from pix2block.stripes.made import open_made, rest_of
from pix2block.stripes.piece import Piece, striped
from pix2block.stripes.plan import Plan
from pix2block.stripes.plan_check import counted_rows, refuse_what_cannot_end
from pix2block.stripes.plan_file import FULL_LENGTH, read_plan
from pix2block.stripes.striped import SideBySide, Striped
from pix2block.stripes.yarn_ends import out_in_row, short_yarns
from pix2block.study.study import NOTHING_ASKED

_WHAT_IS_LEFT = (
    "what is left of the yarns does not reach to the end of the last corner behind the rows that "
    'are made: ask for a smaller length, or name a yarn of which more can be had, as buy = ["A"]'
)


def open_plan(path: str | Path, options: Options = NOTHING_ASKED) -> Plan:
    """The plan in a TOML file; a shelf that it names lies beside it, a given one goes first.

    Raises BadInput, with line and column, for what cannot be read or cannot come to an end.
    """
    path = Path(path)
    own = open_shelf(options.shelf) if options.shelf else None
    text = read_text(path, "plan")
    plan = read_plan(text, str(path), lambda name: open_shelf(path.parent / name), own)
    refuse_what_cannot_end(plan)
    return plan


@noting_files
def stripe_plan(plan: Plan | str | Path, options: Options = NOTHING_ASKED) -> Striped:
    """A plan worked out, from a plan or its file. Where rows of it are done, they stay as in the
    chart.json of its folder, and the rest is laid anew from what is left.

    Raises BadInput where rows do not add up or the yarn does not reach.
    """
    if not isinstance(plan, Plan):
        plan = open_plan(plan, options)
    maker = open_maker(options.maker)
    template, notes = _template(plan, options, maker)
    folder = Path(options.out) if options.out else own_folder(Path(plan.file))
    if made := open_made(plan, options, folder):
        template = made.way(template)
    asked = plan.length
    as_long = asked is not None and asked.blocks is None and asked.cm is None
    layout = template.layout if as_long else _layout(plan, template)
    piece = Piece(template, layout, plan.bought)
    piece = rest_of(piece, made) if made else piece
    if as_long:
        filled = _as_long_as_can_be(plan, piece)
    else:
        found = fill(plan, piece)
        if found is None and made:
            raise plan.length_place.refuse(_WHAT_IS_LEFT)
        if found is None:
            raise plan.length_place.refuse(_what_is_short(plan, piece))
        filled = found
    whole = striped(template, filled.piece.layout, filled.rows)
    whole = made.on(whole) if made else whole
    chart = with_marks(with_yarns(whole, [whole.yarns[i] for i in plan.named]))
    chart, of_class = with_class(chart, told=True)  # its length was worked out in the class told
    of_progress = options.done.notes if options.done else ()
    return Striped(
        chart,
        notes=(*plan.notes, *notes, *of_progress, *of_class, *notes_on_yarns(chart)),
        maker=maker,
        options=options,
        planned=plan,
        spans=filled.spans,
        under_way=made.under_way if made else None,
    )


def _template(plan: Plan, options: Options, maker: Maker) -> tuple[Chart, tuple[str, ...]]:
    """A chart of one block that holds the yarns and the way of working, and what the maker should
    know of her swatches."""
    measured = open_swatches(options.swatch)
    options = _led_up(fit_options(with_defaults(options, maker), measured, maker))
    if options.weight is None:
        options = replace(options, weight=usual_class([plan.yarns[i] for i in plan.named]))
    hand = options.hand or settings.DEFAULT_HAND
    chart = Chart(
        title=clean_title(plan.title or title_of(Path(plan.file).name)),
        blocks=np.zeros((1, 1), dtype=np.int64),
        yarns=plan.yarns,
        last_row=1,
        start_corner=settings.usual_corner(hand),
        hand=hand,
        turn=settings.STRIPES_TURN,
    )
    return with_supplies(with_options(chart, options), options, measured, maker)


def _led_up(options: Options) -> Options:
    """Picking up, stripes' yarn is led up the edge."""
    picked_up = options.habit in (None, settings.DEFAULT_HABIT) and options.edge is None
    return replace(options, edge=settings.STRIPES_HABIT.edge) if picked_up else options


def _layout(plan: Plan, template: Chart) -> Layout:
    """The layout of a piece whose length is given, or follows from the rows of its parts."""
    length = plan.length.blocks if plan.length else None
    if plan.length and plan.length.cm is not None:
        step_cm = measures_of(template).block_cm
        if plan.width is None:  # rows from the wingspan: a block lies across it on its tip
            step_cm *= math.sqrt(2)
        length = max(1, round_half_up(plan.length.cm / step_cm))
        if length > settings.MOST_BLOCKS_A_SIDE:
            what = "rows" if plan.width is None else "blocks"
            raise plan.length_place.refuse(
                f"that is {length} {what}: ask for at most {settings.MOST_BLOCKS_A_SIDE}"
            )
    if length is None:
        length = _length_by_rows(plan)
    layout = layout_of(plan, Piece(template, template.layout), length)
    if plan.last_row and plan.last_row > layout.all_rows:
        raise plan.length_place.refuse(
            f"the piece has {layout.all_rows} rows and cannot end after row {plan.last_row}: lower "
            "rows or leave it out"
        )
    return layout


def _length_by_rows(plan: Plan) -> int:
    rows = counted_rows(plan)
    if rows is None:
        key = "rows" if plan.shape == "triangle" else "length"
        raise BadInput(
            f"{plan.file}: no {key}, and the parts do not say how many rows: add {key} = 60, or "
            f'{key} = "{FULL_LENGTH}"'
        )
    if plan.width is None:
        length = rows
    elif plan.last_row:
        raise BadInput(f"{plan.file}: a piece that ends after a row needs its length too: add one")
    else:
        length = rows - plan.width + 1
    if not 1 <= length <= settings.MOST_BLOCKS_A_SIDE:
        fewest = plan.width or 1
        raise plan.parts[-1].lasts_place.refuse(
            f"the parts add up to {rows} rows: a piece of this width has {fewest} to "
            f"{fewest + settings.MOST_BLOCKS_A_SIDE - 1}"
        )
    return length


def _as_long_as_can_be(plan: Plan, piece: Piece) -> Filled:
    if not np.isfinite(piece.stock_cm[list(plan.named)]).any():
        raise plan.length_place.refuse(
            f'"{FULL_LENGTH}" needs the skeins and metres of a yarn: add both to the shelf, or '
            "give a length"
        )
    found = longest(plan, piece)
    if found is None and len(piece.begun):
        raise plan.length_place.refuse(_WHAT_IS_LEFT)
    if found is None:
        raise plan.length_place.refuse(
            "the yarn on hand does not reach for any length: take a smaller width, or name yarns "
            'of which you can get more, as buy = ["A"]'
        )
    if (found.piece.layout.height if plan.width else found.piece.rows) == (
        settings.MOST_BLOCKS_A_SIDE
    ):
        raise plan.length_place.refuse(
            f"the yarn reaches beyond {settings.MOST_BLOCKS_A_SIDE:,} blocks: give a length"
        )
    return found


def _what_is_short(plan: Plan, piece: Piece) -> str:
    """Which yarn does not reach, where, and what would help."""
    found = fill(plan, piece, needs_yarn=False)
    said = "the yarn on hand does not reach to the end of the last corner"
    name = ""
    if found:
        amounts = amounts_of(striped(piece.chart, piece.layout, found.rows))
        short = short_yarns(amounts, plan.bought)
        yarn = min(short, key=lambda i: out_in_row(amounts, i) or 0)
        name = plan.yarns[yarn].name
        said = (
            f"{name} runs out in row {out_in_row(amounts, yarn)} of {piece.rows}, "
            f"{say_metres(amounts.yarns[yarn].short_by or 0)} short"
        )
    best = longest(plan, piece, piece.layout.height)
    reach = "no length is possible"
    if best and plan.width is None:
        reach = f"the yarn reaches for {best.piece.rows} rows"
    elif best:
        reach = f"the yarn reaches for a length of {best.piece.layout.height} blocks"
    buy = f'add buy = ["{name}"]' if found else "name it in buy"
    return f"{said}: {reach}; or, where more of a yarn can be had, {buy}"


@noting_files
def stripe_side_by_side(
    plans: Sequence[Plan | str | Path], options: Options = NOTHING_ASKED
) -> SideBySide:
    """Several plans worked out. Raises BadInput where one cannot be."""
    unproved = replace(options, without=(*(options.without or ()), "proof"))
    return SideBySide(tuple(stripe_plan(plan, unproved) for plan in plans))
