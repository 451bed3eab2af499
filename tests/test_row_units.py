"""A row in units that do not break, by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from makers import chart_of

from pix2block.amounts.yarn_use import amounts_of
from pix2block.pattern.document import RowEntry
from pix2block.pattern.pattern import BobbinUse, PatternRow, write_rows
from pix2block.pattern.row_units import RunUnit, blocks_words, run_units, turn_words, use_words
from pix2block.pattern.words import bobbin_in_words, row_lines

NAMES = ("Moss", "Chalk", "Moss 2", "Tar")


def rows(text: str = "0110 0011 0001", **more: Any) -> list[PatternRow]:
    chart = chart_of(text, **more)
    return list(write_rows(chart, amounts_of(chart).plan))


def use(number: int | None = 2, **more: Any) -> BobbinUse:
    given = {"new": False, "behind_square": None, "last": False, **more}
    return BobbinUse(yarn=1, number=number, **given)


def test_what_is_done_with_a_bobbin() -> None:
    assert use_words(use(None), 0.94) == "only, 0.9 m"
    assert use_words(use(None), None) == "only"
    assert use_words(use(new=True), 6.3) == "new, wind 6.3 m"
    assert use_words(use(new=True), None) == "new"
    assert use_words(use(behind_square=5, last=True), 1.0) == "behind 2.2, last"
    assert use_words(use(behind_square=0, last=True), None, ends=False) == "behind 0.0"
    assert use_words(use(last=True), None, ends=True) == use_words(use(last=True), None) == "last"
    assert use_words(use(), 1.0) == ""


def test_runs_with_their_bobbins() -> None:
    row = replace(
        *(rows()[2],),
        runs=((2, 0), (1, 1)),
        bobbins=(use(1, new=True), use(None)),
        bobbins_plain=False,
    )
    wound = {(3, 0): 6.3, (3, 1): 0.9}
    assert run_units(RowEntry((row,), "", ()), NAMES, wound) == [
        RunUnit("2", "Moss", "#1", "new, wind 6.3 m"),
        RunUnit("1", "Chalk", "", "only, 0.9 m"),
    ]
    plain = replace(row, bobbins_plain=True)
    assert run_units(RowEntry((plain,), "", ()), NAMES, wound)[0] == RunUnit("2", "Moss", "", "")
    gathered = run_units(RowEntry((row, row), "", ()), NAMES, {})
    assert gathered[0] == RunUnit("", "Moss", "#1", "new")


def test_blocks_of_a_row_and_of_gathered_ones() -> None:
    one, two, three, four, *_ = rows("0000 0000 0000 0000")
    told = [blocks_words(RowEntry(of, "", ())) for of in ((one,), (two,), (two, two), (one, four))]
    assert told == ["1 block", "2 blocks", "2 blocks each", "1 to 4 blocks, 1 more in each"]
    assert blocks_words(RowEntry((three, two), "", ())) == "3 to 2 blocks, 1 fewer in each"


def test_what_is_done_at_the_ends() -> None:
    bare = replace(rows()[0], cuts=(), travel_in=None, stop_in=None, last_loop_in=None)
    assert turn_words(bare, NAMES) == []
    full = replace(bare, cuts=((1, 2), (0, 1)), travel_in=0, stop_in=1, last_loop_in=3)
    assert turn_words(full, NAMES) == [
        *("First cut Chalk #2, Moss #1.", "Climb in Moss.", "Last slip stitch in Chalk."),
        "Last loop in Tar.",
    ]


def test_plain_text_tells_the_same() -> None:
    chart = chart_of("0110 0011 0001")
    assert bobbin_in_words(use(behind_square=5, last=True), NAMES) == "Chalk #2 behind 2.24 last"
    assert bobbin_in_words(use(), NAMES) == "Chalk #2"
    row = replace(rows()[2], cuts=((1, 2), (0, 1)))
    assert "  Cut: Chalk #2, Moss #1." in row_lines(chart, [row])
    assert not any("Cut" in line for line in row_lines(chart, [rows()[2]]))
