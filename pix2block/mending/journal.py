"""A chart's journal: what a mend's line keeps, how it is taken back, and how names follow."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.chart.mend import Mend
from pix2block.chart.reading import chart_of_entry
from pix2block.ground.errors import BadInput
from pix2block.ground.forms import entry_of
from pix2block.mending.made import with_made
from pix2block.yarn.yarn import name_key

_APART = ("mends", "blocks", "source", "done")


def before_of(old: Chart, new: Chart) -> dict[str, Any]:
    """What the old chart's keys held where the new one's differ, but for the journal."""
    was, now = entry_of(old, _APART), entry_of(new, _APART)
    keys = [*{**was, **now}]
    # What a file leaves out where there is none of it is an empty list.
    before = {key: was.get(key, []) for key in keys if was.get(key, []) != now.get(key, [])}
    if old.blocks.shape != new.blocks.shape:
        before["all_blocks"] = entry_of(old)["blocks"]
    elif (old.blocks != new.blocks).any():
        lines, columns = np.nonzero(old.blocks != new.blocks)
        numbers = old.blocks[lines, columns]
        before["blocks"] = [
            [line, column, None if number < 0 else number]
            for line, column, number in zip(
                lines.tolist(), columns.tolist(), numbers.tolist(), strict=True
            )
        ]
    if old.source is new.source:
        return before
    source_was, source_now = (entry_of(one) if one else {} for one in (old.source, new.source))
    changed = {key: source_was[key] for key in source_was if source_was[key] != source_now[key]}
    return {**before, "source": changed} if changed else before


def taken_back(chart: Chart) -> Chart:
    """The chart as it was before its journal's last line, without that line.

    Raises BadInput where the line does not fit the chart, or touched rows that are made.
    """
    *earlier, last = chart.mends
    try:
        before = _restored(replace(chart, done=None), list(earlier), last.before)
    except (BadInput, LookupError, TypeError, ValueError, AttributeError):
        raise BadInput(
            f"line {len(chart.mends)} of the journal cannot be taken back: what it keeps of the "
            "chart before does not fit the chart as it is now"
        ) from None
    try:
        return with_made(chart, before)
    except BadInput as error:
        raise BadInput(f"line {len(chart.mends)} of the journal stays: {error}") from None


def _restored(chart: Chart, earlier: list[Mend], before: Mapping[str, Any]) -> Chart:
    for place, value, words in before.get("lines", ()):
        earlier[place] = replace(earlier[place], value=value, words=words)
    entry = entry_of(replace(chart, mends=tuple(earlier)))
    for key, value in before.items():
        if key == "blocks":
            for line, column, number in value:
                entry["blocks"][line][column] = number
        elif key == "all_blocks":
            entry["blocks"] = value
        elif key == "source":
            entry["source"] = {**entry["source"], **value}
        elif key != "lines":
            entry[key] = value
    return chart_of_entry(entry, "as it was before")


def with_name(mends: tuple[Mend, ...], old: str, new: str) -> tuple[Mend, ...]:
    """The journal's lines with a yarn's new name."""
    return tuple(
        replace(line, value=_renamed_value(line, old, new), words=_in_words(line.words, old, new))
        for line in mends
    )


def lines_changed(old: tuple[Mend, ...], new: tuple[Mend, ...]) -> list[list[Any]]:
    """Place, value and words of the old lines that are otherwise now."""
    both = enumerate(zip(old, new, strict=True))
    return [[i, one.value, one.words] for i, (one, other) in both if one != other]


def _renamed_value(line: Mend, old: str, new: str) -> str:
    if line.mend == "text":  # whose words are not yarns
        told = re.fullmatch(r"(?s)(.* height \d+ in )(.*)", line.value)
        same = told and name_key(told[2]) == name_key(old)
        return f"{told[1]}{new}" if told and same else line.value
    if line.mend in ("insert", "grid", "edited"):
        return line.value
    return "=".join(_renamed_side(side, old, new) for side in line.value.split("="))


def _renamed_side(side: str, old: str, new: str) -> str:
    """A name stands alone, before " in PLACE" or a colour, or behind a number of blocks."""
    if name_key(side) == name_key(old):
        return new
    name = re.escape(old)
    led = rf"((?:(?:top|bottom|left|right)\s+)?\d+\s+){name}"
    if found := re.fullmatch(led, side.strip(), re.I):
        return f"{found[1]}{new}"
    if found := re.fullmatch(
        rf"{name}(\s+(?:in\s+(?:rows?|runs?|columns?|lines?|from) .*|#\w+))", side, re.I
    ):
        return f"{new}{found[1]}"
    return side


def _in_words(words: str, old: str, new: str) -> str:
    return re.sub(rf"(?<!\w){re.escape(old)}(?!\w)", lambda _: new, words)
