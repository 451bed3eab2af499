"""estimate.html: the answer on one page, in one file that needs no network."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from html import escape

import numpy as np

from pix2block.color.spaces import from_hex
from pix2block.drawing.style import PAPER
from pix2block.estimate.answer import Answer
from pix2block.estimate.other_ways import other_ways
from pix2block.estimate.piece import Piece
from pix2block.estimate.said import say_lost, say_piece, say_way
from pix2block.estimate.words import next_words, notes_of, piece_lines
from pix2block.ground.advice import Advice
from pix2block.ground.units import bind, say_hours, say_metres
from pix2block.options.asking import typed
from pix2block.pages.shipped import style_sheet
from pix2block.trial.views import png_address
from pix2block.trial.words import say_away

_MOST_LISTED = 24


def estimate_page(answer: Answer) -> str:
    """The page: the piece to make with its picture and its command, what it takes and what the
    goals cost, those next to it, and a line a piece that no other beats, at most 24."""
    best = answer.best
    title = f"{escape(answer.title)}: what could be made of it"
    head, *rest = (bind(_said(line)) for line in piece_lines(answer))
    parts = [
        f"<h1>{title}</h1>",
        f'<div class="best">{_picture(best, "The piece recommended")}<div>',
        f'<p class="head">{escape(head)}</p>',
        "".join(f"<p>{escape(line)}</p>" for line in rest),
        f'<p class="make">Make it with</p>{_command(best)}</div></div>',
        *_next(answer),
        *_others(answer),
        _table(answer.ordered, answer),
        "".join(f'<p class="note">{escape(line)}</p>' for line in notes_of(answer)),
    ]
    body = "\n".join(parts)
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title><style>{style_sheet('estimate', body)}</style></head><body><main>\n"
        f"{body}\n</main></body></html>\n"
    )


def _said(line: str) -> str:
    return line.said(typed) if isinstance(line, Advice) else line


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _picture(piece: Piece, what: str) -> str:
    chart = piece.chart
    paper = np.array([from_hex(PAPER)], dtype=np.uint8)
    rgb = np.concatenate([chart.yarn_rgb, paper])[chart.blocks]
    size = f'width="{chart.width}" height="{chart.height}"'
    return (
        f'<figure><img class="blocks" src="{png_address(rgb)}" {size} '
        f'alt="{escape(what, quote=True)}: {escape(say_piece(piece), quote=True)}"></figure>'
    )


def _command(piece: Piece) -> str:
    """The command, on a line of its own when it is copied, broken on the screen between words."""
    words = (shlex.quote(word) for word in piece.words)
    return f"<pre>{' '.join(f'<span>{escape(word)}</span>' for word in words)}</pre>"


def _others(answer: Answer) -> list[str]:
    lines = "".join(f"<li>{escape(bind(_said(line)))}</li>" for line in other_ways(answer))
    return [f"<section><h2>Other ways, tried</h2><ul>{lines}</ul></section>"] if lines else []


def _next(answer: Answer) -> list[str]:
    if not answer.next_to_it:
        return []
    cards = "".join(
        f"<article>{_picture(one.piece, one.why)}<h3>{escape(one.why)}</h3>"
        f"<p>{escape(bind(next_words(answer, one)))} {escape(_capital(say_lost(one.piece)))}.</p>"
        f"{_command(one.piece)}</article>"
        for one in answer.next_to_it
    )
    return [f'<section><h2>Next to it</h2><div class="next">{cards}</div></section>']


def _table(pieces: Sequence[Piece], answer: Answer) -> str:
    far = say_away(answer.far_m) if answer.far_m else "far"
    heads = (
        *("Blocks", "Yarns", "Worked", "Calm", f"Error from {far}", "Lost", "Tails"),
        *("Weave in", "In all", "Hanging", "Yarn", "To buy", "Goals"),
    )
    head = "".join(f'<th scope="col">{escape(word)}</th>' for word in heads)
    lines = "".join(_row(piece, answer) for piece in pieces[:_MOST_LISTED])
    left = len(pieces) - _MOST_LISTED
    more = f"<p>{left} more are in estimate.csv.</p>" if left > 0 else ""
    return (
        "<section><h2>Pieces that no other beats</h2>"
        '<div class="wide" tabindex="0" role="region" aria-label="Pieces"><table><thead><tr>'
        f"{head}</tr></thead><tbody>{lines}</tbody></table></div>{more}</section>"
    )


def _row(piece: Piece, answer: Answer) -> str:
    chart = piece.chart
    cells = (
        *(f"{chart.width} × {chart.height}", str(piece.yarns), say_way(piece)),
        *(f"{piece.options.calm or 0:g} %", f"{piece.far:.1f}", str(len(piece.lost))),
        *(f"{piece.tails:,}", say_hours(piece.weave_in_hours), say_hours(piece.all_hours)),
        *(str(piece.most_hanging), say_metres(piece.amounts.metres)),
        "–" if piece.price is None else piece.costs.money.say(piece.price),
        "kept" if answer.goals.reached(piece) else "not kept",
    )
    return "<tr>" + "".join(f"<td>{escape(bind(cell))}</td>" for cell in cells) + "</tr>"
