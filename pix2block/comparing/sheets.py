"""What changed in a pattern, for those who bought it; a sheet for those who test the new one."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from pix2block.amounts.yarn_use import Amounts
from pix2block.comparing.compared import Compared, compared_lines
from pix2block.ground.units import say_count, say_metres, say_numbers
from pix2block.pattern.pattern import write_rows
from pix2block.pattern.words import piece_line, row_lines
from pix2block.yarn.yarn import name_key

_TIMED = (0.15, 0.35, 0.5, 0.65, 0.85)  # of the rows, where one is timed
_WEIGHED = (0.25, 0.5, 0.75)  # of the blocks, after which row yarn is weighed
_ROOM = "_" * 60
_MOST_LISTED = 60


def changes_text(compared: Compared) -> str:
    """Changes for buyers: rows whose blocks changed, as they were and as they are, rows in which
    only bobbins did, yarn to have."""
    version = f" in {compared.version}" if compared.version else ""
    lines = [f"{compared.new.title}: changes{version}", ""]
    if not compared.alike:
        return "\n".join([*lines, *compared_lines(compared)]) + "\n"
    old, new = (_row_words(amounts) for amounts in compared.amounts)
    both = min(len(old), len(new))
    blocks = [n for n in range(both) if old[n][0] != new[n][0]]
    others = [n for n in range(both) if old[n] != new[n] and n not in blocks]
    if not blocks:
        lines.append("No row has other blocks.")
    for n in blocks[:_MOST_LISTED]:
        lines += [f"Was: {old[n][0]}", f"Now: {new[n][0]}", *(f"  {more}" for more in new[n][1:])]
    if len(blocks) > _MOST_LISTED:
        lines.append(
            f"And {say_count(len(blocks) - _MOST_LISTED, 'row')} more: print them all anew."
        )
    if others:
        rows = say_numbers("row", [n + 1 for n in others], 40)
        lines += ["", f"The same blocks, but other bobbins or turns: {rows}."]
    if len(old) != len(new):
        lines += ["", f"The piece had {len(old)} rows and has {len(new)}."]
    lines += ["", *_yarn_changes(compared)]
    return "\n".join(lines).rstrip() + "\n"


def _row_words(amounts: Amounts) -> list[list[str]]:
    rows = write_rows(amounts.chart, amounts.plan)
    return [[line.strip() for line in row_lines(amounts.chart, [row])] for row in rows]


def _yarn_changes(compared: Compared) -> Iterator[str]:
    was, now = (
        {name_key(y.name): (y.name, of) for y, of in zip(a.chart.yarns, a.yarns, strict=True)}
        for a in compared.amounts
    )
    for key in dict.fromkeys([*was, *now]):
        name = (now.get(key) or was[key])[0]
        before, after = (
            say_metres(of[key][1].metres_high) if key in of and of[key][1].metres else "none"
            for of in (was, now)
        )
        if before != after:
            yield f"{name}, to be safe: {before} before, {after} now."
    old, new = compared.amounts
    if old.plan.tails != new.plan.tails:
        yield f"Tails to end: {old.plan.tails:,} before, {new.plan.tails:,} now."


def sheet_for_testers(compared: Compared) -> str:
    """A sheet for testers of the new chart, to print: rows to try and to time, weigh-ins, room to
    write."""
    amounts = compared.amounts[1]
    chart = amounts.chart
    version = f", {compared.version}" if compared.version else ""
    lines = [
        f"{chart.title}{version}: for testers",
        piece_line(chart),
        "",
        f"Tester: {_ROOM}",
        f"Yarn and hook: {_ROOM}",
        "",
        "ROWS THAT CHANGED: work them as they stand, and say what is not clear",
    ]
    words = _row_words(amounts)
    rows = [row for row in compared.rows if row <= len(words)]
    for row in rows[:_MOST_LISTED]:
        lines += [f"[ ] {words[row - 1][0]}", f"    {_ROOM}"]
    lines += [] if rows else ["None: work the whole as it stands."]
    lines += ["", "ROWS TO TIME: without breaks, from the first stitch to the last"]
    lines += _timed(amounts)
    lines += ["", "WEIGH-INS: each yarn, ball and hanging bobbins together, in grams"]
    lines += _weighed(amounts)
    lines += ["", "FINISHED: measure straight edges, blocked, never along the diagonal"]
    across, down = amounts.whole_size_cm
    lines.append(f"Width ________ cm (planned {across:.0f})   height ________ cm ({down:.0f})")
    lines += [
        "",
        "WHAT ELSE: a row that does not add up, a word that stopped you, an end that snags",
    ]
    lines += [_ROOM] * 6
    return "\n".join(lines) + "\n"


def _timed(amounts: Amounts) -> Iterator[str]:
    rows = amounts.chart.layout.rows
    for number in sorted({max(1, round(share * len(rows))) for share in _TIMED}):
        blocks = say_count(rows[number - 1].blocks, "block")
        changes = say_count(int(amounts.changes_by_row[number - 1]), "colour change")
        planned = f"planned {amounts.minutes_by_row[number - 1]:.0f}"
        yield f"Row {number}, {blocks}, {changes}: ________ minutes ({planned})"


def _weighed(amounts: Amounts) -> Iterator[str]:
    chart = amounts.chart
    row_of_run, color = chart.runs.row, chart.runs.color
    so_far = np.cumsum([row.blocks for row in chart.layout])
    last = chart.last_row
    after = {int(np.searchsorted(so_far, share * so_far[-1])) + 1 for share in _WEIGHED}
    for row in [0, *sorted(after - {last}), last]:
        yield "Before you begin" if row == 0 else f"After row {row}"
        for i, yarn in enumerate(chart.yarns):
            if not amounts.yarns[i].blocks:
                continue
            cm = amounts.piece_cm[(row_of_run <= row) & (color == i)].sum()
            used = yarn.grams_of(float(cm) / 100, chart.weight)
            planned = f" (planned: {used:.0f} g worked)" if row else ""
            yield f"  {yarn.name}: ________ g left{planned}"
