"""The words of a row: the part of pattern.txt that a reader, or a program, relies on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from pix2block.chart.chart import Chart
from pix2block.chart.terms import words
from pix2block.craft.row_stitches import Handling, Stitches, row_steps
from pix2block.craft.stitches import BLOCKS
from pix2block.ground.settings import say_corner
from pix2block.pattern.pattern import BobbinUse, PatternRow

_SIDES = {"RS": "right side", "WS": "wrong side"}
_ORDINALS = {3: "3rd", 4: "4th", 5: "5th", 6: "6th"}


def say_blocks(number: int) -> str:
    """ "1 block", "14 blocks": no grouping, for readers that are programs."""
    return f"{number} block" if number == 1 else f"{number} blocks"


def piece_line(chart: Chart) -> str:
    """The head line: what is worked, and how."""
    return (
        f"Piece: {chart.width} x {chart.height} blocks, rows 1 to {chart.last_row}, "
        f"start corner {say_corner(chart.start_corner)}, {chart.hand} hand, "
        f"{words(chart.terms)[BLOCKS[chart.block].stitch]} blocks, "
        f"{chart.terms.upper()} terms, {chart.turn} turns."
    )


def row_lines(chart: Chart, group: Sequence[PatternRow]) -> list[str]:
    """The lines of one row, or of rows that are gathered."""
    if len(group) > 1:
        return _gathered_lines(chart, group)
    row = group[0]
    names = [yarn.name for yarn in chart.yarns]
    runs = ", ".join(f"{blocks} {names[yarn]}" for blocks, yarn in row.runs)
    side = _SIDES[row.row.side]
    lines = [
        f"Row {row.row.number}, {side}, {say_blocks(row.row.blocks)}: {runs}.",
        f"  {_ends_in_words(row, names)}",
    ]
    if row.cuts:
        lines.append(f"  Cut: {cut_words(row, names)}.")
    if not row.bobbins_plain:
        uses = ", ".join(bobbin_in_words(use, names) for use in row.bobbins)
        lines.append(f"  Yarn: {uses}.")
    return lines


def _ends_in_words(row: PatternRow, names: Sequence[str]) -> str:
    begins = row.row.begins.capitalize()
    if row.travel_in is not None:
        begins += f" in {names[row.travel_in]}"
    ends = row.row.ends.capitalize()
    if row.stop_in is not None:
        ends += f" in {names[row.stop_in]}"
    sentences = [begins, ends]
    if row.last_loop_in is not None:
        sentences.append(f"Last loop in {names[row.last_loop_in]}")
    if row.row.marker:
        sentences.append("Marker in block 1")
    if row.remove_marker:
        sentences.append("Remove the old marker")
    return " ".join(f"{sentence}." for sentence in sentences)


def bobbin_in_words(use: BobbinUse, names: Sequence[str]) -> str:
    """ "Moss #1 behind 2.24", "Chalk #2 new", "Moss only"."""
    name = names[use.yarn]
    if use.number is None:
        return f"{name} only"
    words_of = [f"{name} #{use.number}"]
    if use.new:
        words_of.append("new")
    if use.behind_square is not None:
        words_of.append(f"behind {use.behind_square**0.5:.2f}")
    if use.last:
        words_of.append("last")
    return " ".join(words_of)


def _gathered_lines(chart: Chart, group: Sequence[PatternRow]) -> list[str]:
    names = [yarn.name for yarn in chart.yarns]
    first, last = group[0].row, group[-1].row
    blocks, yarn = group[0].runs[0]
    rows, change = f"Rows {first.number} to {last.number}", group[1].row.blocks - blocks
    if change:
        step = "1 more" if change > 0 else "1 fewer"
        told = f"{blocks} to {say_blocks(last.blocks)}, {step} in each: {names[yarn]}."
    else:
        told = f"{say_blocks(blocks)} each: {blocks} {names[yarn]}."
    lines = [f"{rows}, {told}"]
    for word, remainder in (("Odd", 1), ("Even", 0)):
        row = next(r for r in group if r.row.number % 2 == remainder)
        lines.append(f"  {word}: {_SIDES[row.row.side]}. {_ends_in_words(row, names)}")
    return lines


def part_lines(chart: Chart) -> list[str]:
    """What the words that begin and end a row stand for, in stitches of the chart's terms."""
    parts = stitch_parts(chart)
    return [f"{name}: {text}." for name, text in parts.items()]


def stitch_parts(chart: Chart) -> dict[str, str]:
    """Each part of a row as stitches, by its name."""
    block = BLOCKS[chart.block]
    word = words(chart.terms)
    tall, slip = word[block.stitch], word["sl st"]
    space = f"ch-{block.chain} space"
    first = f"ch {block.chain_first}; {_in_chains(chart)}"
    return {
        "Corner": first,
        "Grow": f"{first}; turn the piece up behind the new block",
        "Travel": (
            "turn the piece over and bring the yarn, which now lies in front, behind; "
            f"{slip} in each of the 3 {tall} of the last block made; {slip} into its {space}; "
            "the first block goes there"
        ),
        "Block": f"ch {block.chain}, 3 {tall}, all in the {space} just joined",
        "Join": f"{slip} into the next {space} of the row before, ahead of each block after "
        "the first",
        "Full": f"the last block sits in the last {space} of the row before",
        "Stop": f"{slip} into the last {space} of the row before, where the marker is; "
        "no block there",
        "Turn": "once at the beginning of every row but the first, as Grow and Travel say; "
        "never at its end",
    }


def _in_chains(chart: Chart) -> str:
    """The stitches of a block in the air, into its own chains."""
    block = BLOCKS[chart.block]
    into = [_ORDINALS[block.first_into + i] for i in range(3)]
    tall = words(chart.terms)[block.stitch]
    return f"{tall} in the {into[0]}, {into[1]} and {into[2]} ch from the hook"


def in_full(chart: Chart, row: PatternRow) -> list[str]:
    """A row written out stitch by stitch, in working order, a comma between.

    A line is a stretch of one colour, or what is repeated ("3 times: …", to the line's end). The
    colour is named where it changes, and holds until the next is.
    """
    lines: list[str] = []
    colors: list[int] = []
    for (color, times), items in groupby(_counted(_said(chart, row)), key=lambda item: item[:2]):
        texts = [text for *_, text in items]
        for text in texts if times > 1 else [", ".join(texts)]:
            with_it = f"With {chart.yarns[color].name}: " if colors[-1:] != [color] else ""
            lines.append(f"{with_it}{f'{times} times: ' if times > 1 else ''}{text}.")
            colors.append(color)
    return lines


def _counted(said: list[tuple[int, str]]) -> Iterator[tuple[int, int, str]]:
    """The same with what follows itself gathered: yarn, times, words."""
    for (color, text), same in groupby(said):
        yield color, len(list(same)), text


def _said(chart: Chart, row: PatternRow) -> list[tuple[int, str]]:
    """What is done in a row, in order: the yarn on the hook and the words, a block at a time."""
    block = BLOCKS[chart.block]
    word = words(chart.terms)
    slip, tall, space = word["sl st"], word[block.stitch], f"ch-{block.chain} space"
    color = chart.runs.color
    steps = row_steps(chart.runs, chart.layout, chart.block, chart.turns, row.row.number)
    said: list[tuple[int, str]] = []
    into = f"into the next {space}"
    with_yarn = next(int(color[step.run]) for step in steps if isinstance(step, Stitches))
    for step in steps:
        if isinstance(step, Handling):
            said.append((with_yarn, _HANDLING[step.act].format(space=space)))
            continue
        with_yarn = int(color[step.run])
        match step.part, step.stitch:
            case "join", _:
                text = f"{slip} {into}"
                into = f"into the next {space}"
            case "climb", _:
                text = f"{slip} in each of the {step.number} {tall} of the last block made"
                into = f"into its {space}"
            case "stop", _:
                text = f"{slip} into the last {space} and make no block there"
            case "block", "ch":
                said[-1] = (with_yarn, f"{said[-1][1]}, ch {step.number}")
                continue
            case "block", _:
                said[-1] = (with_yarn, f"{said[-1][1]}, {step.number} {tall} in it")
                continue
            case _, "ch":
                text = f"ch {step.number}"
            case _:
                text = _in_chains(chart)
        said.append((with_yarn, text))
    return said


_HANDLING = {
    "turn up": "turn the piece up behind the new block",
    "turn over": "turn the piece over and bring the yarn behind",
    "marker in": "put a marker into this first block's {space}",
    "marker out": "take the marker out",
}


def cut_words(row: PatternRow, names: Sequence[str]) -> str:
    """ "Moss #2, Tan #1": what hangs, is not taken up again and is cut before a row; else ""."""
    return ", ".join(f"{names[yarn]} #{number}" for yarn, number in row.cuts)
