"""The rows of the web page: one to go to, those that are made in a line, and each with its words
and its drawing. Runs and ends are said as on paper."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from html import escape

from pix2block.ground.units import bind
from pix2block.pages.pattern_pictures import STRIPS
from pix2block.pages.web_rows import RowDrawings
from pix2block.pattern.bands import bands_of, ends_in_plain_words
from pix2block.pattern.document import RowEntries, RowEntry
from pix2block.pattern.row_units import RunUnit, Winding, blocks_words, run_units, turn_words

_SIDES = {"RS": "right side", "WS": "wrong side"}


def entry_list(rows: RowEntries, drawings: RowDrawings, key: str) -> str:
    """Every row as an item of a list. key: under which the browser keeps those that are ticked."""
    bands = bands_of([row for entry in rows.entries for row in entry.rows])
    names = [yarn.name for yarn in drawings.pictures.chart.yarns]
    items, at = [], 0
    told: tuple[str, ...] = ()
    for entry in rows.entries:
        while bands[at].last < entry.rows[0].row.number:
            at += 1
        words, band = bands[at].words, ""
        if words and words != told:
            band, told = bands[at].text, words
        how = [_capital(ends_in_plain_words(row)) for row in entry.rows[:STRIPS]]
        items.append(_item(entry, names, rows.winding, drawings, band, how, bool(words)))
    last = rows.entries[-1].rows[-1].row.number if rows.entries else 0
    listed = f'<ol class="rows" data-key="{escape(key)}">\n{"".join(items)}</ol>'
    return f"<p>{escape(rows.piece)}</p>\n{_place(last)}\n{listed}"


def _place(last: int) -> str:
    """Which row is in hand, and the way to another; shown where the page's script runs."""
    field = (
        f'<input id="go" type="number" inputmode="numeric" min="1" max="{last}" required="required"'
        ' aria-label="Row to go to"/>'
    )
    go = f'<label for="go">Row</label> {field} <button type="submit">go</button>'
    steps = "".join(f'<button type="button" id="{k}">{k}</button>' for k in ("previous", "next"))
    return (
        f'<form id="place" hidden="hidden"><div>{go}</div><div>{steps}</div>'
        '<p id="count" role="status"></p></form>\n'
        '<button type="button" id="made" aria-expanded="false" hidden="hidden"></button>'
    )


def _item(
    entry: RowEntry,
    names: Sequence[str],
    winding: Winding,
    drawings: RowDrawings,
    band: str,
    how: Sequence[str],
    said_by_band: bool,
) -> str:
    numbers = [row.row.number for row in entry.rows]
    first, several = numbers[0], len(numbers) > 1
    shown = f"{first} to {numbers[-1]}" if several else f"{first}"
    named = f'<b class="number">{shown}</b>'
    if several:
        number = f'<span class="head">{named}</span>'
        boxes = (f'<label><input type="checkbox" data-row="{n}"/>{n}</label>' for n in numbers)
        ticks = f'<div class="ticks">{"".join(boxes)}</div>'
        side = "odd rows right side, even rows wrong side"
    else:
        box = f'<input type="checkbox" data-row="{first}" aria-label="Row {first} is made"/>'
        number, ticks = f'<label class="head">{box}{named}</label>', ""
        side = _SIDES[entry.rows[0].row.side]
    units = run_units(entry, names, winding)
    runs = " ".join(_run(unit, n == len(units)) for n, unit in enumerate(units, 1))
    turns = " ".join(turn_words(entry.rows[0], names))
    parts = [
        f'<p class="band">{escape(band)}</p>' if band else "",
        number,
        '<div class="words">',
        f'<p class="side">{side}, {bind(blocks_words(entry))}</p>',
        f'<p class="runs">{runs}</p>',
        f"<p>{escape(turns)}</p>" if turns else "",
        f'<p class="how{" again" if said_by_band else ""}">{escape(" ".join(how))}</p>',
        ticks,
        "</div>",
        *(drawings.row(row) for row in entry.rows[:STRIPS]),
    ]
    return f'<li id="row-{first}" tabindex="-1">{"".join(parts)}</li>\n'


def _run(unit: RunUnit, last: bool) -> str:
    """A run with its bobbin, which a line does not break; the marks behind it go with it."""
    count = f"<b>{unit.count}</b>\u00a0" if unit.count else ""
    said = f"{count}{escape(unit.name)}{_bobbin(unit.bobbin, unit.does)}{'' if last else ','}"
    return f'<span class="run">{said}</span>'


@lru_cache(maxsize=10_000)
def _bobbin(*words: str) -> str:
    return bind("".join(f"\u00a0<small>{word}</small>" for word in words if word))


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
