"""Ways that a maker seldom thinks of, in words: another corner, tails worked over, a plain
backdrop, a crop, shades merged; and what ties with the piece."""

from __future__ import annotations

from pix2block.amounts.yarn_use import amounts_of
from pix2block.estimate.answer import Answer, felt
from pix2block.estimate.piece import Piece
from pix2block.estimate.said import differences, say_way
from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.units import say_count, say_hours
from pix2block.options.asking import flag_of


def other_ways(answer: Answer) -> list[str]:
    """Ways that a maker seldom thinks of, worked out on the piece; those that she would feel."""
    best, corner = answer.best, answer.other_corner
    lines = [*_tails_ended(best)]
    if corner and felt(best, corner.tails):
        words = f"Started {settings.say_corner(corner.chart.start_corner)} it leaves "
        lines.append(
            Advice(
                f"{words}{_fewer(best, corner.tails)}, {'; '.join(differences(best, corner))}: ",
                Ask("corner", corner.chart.start_corner),
                ".",
            )
        )
    plain, cropped = answer.plain, answer.cropped
    if plain and felt(best, plain.tails):
        words = f"With its subject on a plain backdrop it leaves {_fewer(best, plain.tails)}, "
        words += f"{say_hours(plain.weave_in_hours)} to weave in: "
        lines.append(Advice(words, Ask("backdrop", "plain"), "."))
    if cropped and cropped.all_hours <= 0.95 * best.all_hours:
        words = f"Cropped to its subject, as large, it would be {_in_short(cropped)}: "
        asks = Ask("crop", _as_typed(cropped, "crop")), Ask("width", cropped.chart.width)
        lines.append(Advice(words, asks[0], " ", asks[1], "."))
    if answer.merged:
        goes, stays, chart = answer.merged
        tails = amounts_of(chart).plan.tails
        if felt(best, tails):
            lines.append(
                f"{goes} and {stays} are near: with {goes} worked in {stays} (a mend of the chart) "
                f"it leaves {_fewer(best, tails)}."
            )
    return [*lines, *_ties(answer)]


def _tails_ended(best: Piece) -> list[str]:
    """Tails worked over, or caught in the border it has, in place of woven in."""
    if best.chart.tail_ending != "woven" or not best.tails:
        return []
    ways = {ending.way: ending for ending in best.amounts.endings}
    lines: list[str] = []
    if best.amounts.border and ways["border"].taken:
        edge = ways["border"]
        words = f"Tails at the edges, {edge.taken} of them, worked over in the border: "
        words += (
            f"{say_hours(edge.hours)} to end all in place of {say_hours(best.weave_in_hours)}: "
        )
        lines.append(Advice(words, Ask("tails", "border"), "."))
    over = ways["over"]
    words = f"Tails worked over in the next blocks ({say_hours(over.hours)} in place of "
    words += f"{say_hours(best.weave_in_hours)}, from memory) save most of the weaving in: "
    return [*lines, Advice(words, Ask("tails", "over"), ".")]


def _fewer(best: Piece, tails: int) -> str:
    return f"{say_count(tails, 'tail')}, {best.tails - tails} fewer"


def _in_short(piece: Piece) -> str:
    return (
        f"{piece.chart.width} × {piece.chart.height} blocks, {say_count(piece.tails, 'tail')}, "
        f"{say_hours(piece.all_hours)} in all"
    )


def _as_typed(piece: Piece, name: str) -> str:
    """An option of the command that makes it."""
    words = piece.words
    return words[words.index(flag_of(name)) + 1]


def _ties(answer: Answer) -> list[str]:
    """Pieces that nobody would tell from the one recommended, and in what they differ."""
    if not answer.ties:
        return []
    best, most = answer.best, 2
    told = list(dict.fromkeys(_made_otherwise(best, piece) for piece in answer.ties))
    more = len(told) - most
    also = f"; and {more} more" if more > 0 else ""
    return [f"A tie, that nobody would see or feel: the same {'; or '.join(told[:most])}{also}."]


def _made_otherwise(best: Piece, piece: Piece) -> str:
    """ "started top left, calmed by 6 %": in what the making of a piece differs."""
    chart, words = piece.chart, []
    if piece.yarns != best.yarns:
        words.append(f"in {say_count(piece.yarns, 'yarn')}")
    if chart.blocks.shape != best.chart.blocks.shape:
        words.append(f"{chart.width} × {chart.height} blocks large")
    if chart.start_corner != best.chart.start_corner:
        words.append(f"started {settings.say_corner(chart.start_corner)}")
    if chart.habit != best.chart.habit:
        words.append(f"with {say_way(piece)}")
    if piece.options.calm != best.options.calm:
        words.append(f"calmed by {piece.options.calm or 0:g} %")
    if piece.options.most_hanging != best.options.most_hanging:
        words.append("with another bound on the yarns that hang")
    if piece.options.shelf != best.options.shelf:
        words.append("from another shelf")
    return ", ".join(words) or "with a yarn more allowed"
