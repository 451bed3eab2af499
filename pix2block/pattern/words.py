"""The words of a row: the part of pattern.txt that a reader, or a program, relies on."""

from __future__ import annotations

from collections.abc import Sequence

from pix2block.chart.chart import Chart
from pix2block.chart.terms import words
from pix2block.craft.stitches import BLOCKS
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
        f"start corner {chart.start_corner.replace('-', ' ')}, {chart.hand} hand, "
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
    lines = [
        f"Rows {first.number} to {last.number}, {say_blocks(blocks)} each: {blocks} {names[yarn]}."
    ]
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
    into = [_ORDINALS[block.first_into + i] for i in range(3)]
    first = f"ch {block.chain_first}; {tall} in the {into[0]}, {into[1]} and {into[2]} ch "
    first += "from the hook"
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


def in_full(chart: Chart, row: PatternRow) -> list[str]:
    """A row written out stitch by stitch, a line a stretch of one colour, in working order."""
    parts = stitch_parts(chart)
    names = [yarn.name for yarn in chart.yarns]
    block = BLOCKS[chart.block]
    word = words(chart.terms)
    slip, space = word["sl st"], f"ch-{block.chain} space"
    on_block = f"ch {block.chain}, 3 {word[block.stitch]} in it"
    said: list[tuple[int, str]] = []
    for place, (blocks, yarn) in enumerate(row.runs):
        left = blocks
        if place == 0:
            left -= 1
            if row.row.begins == "travel":
                climbs = yarn if row.travel_in is None else row.travel_in
                said.append(
                    (
                        climbs,
                        "turn the piece over, yarn behind; "
                        f"{slip} in each of the 3 {word[block.stitch]} of the last block made",
                    )
                )
                said.append((yarn, f"{slip} into its {space}, {on_block}"))
            else:
                said.append((yarn, parts[row.row.begins.capitalize()]))
        if left:
            times = f"{left} times: " if left > 1 else ""
            said.append((yarn, f"{times}{slip} into the next {space}, {on_block}"))
    if row.row.ends == "stop":
        yarn = row.runs[-1][1] if row.stop_in is None else row.stop_in
        said.append((yarn, f"{slip} into the last {space}, take the marker out of it; no block"))
    lines: list[tuple[int, list[str]]] = []
    for yarn, text in said:
        if lines and lines[-1][0] == yarn:
            lines[-1][1].append(text)
        else:
            lines.append((yarn, [text]))
    return [f"With {names[yarn]}: {'; '.join(texts)}." for yarn, texts in lines]
