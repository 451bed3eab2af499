"""What the command line prints: options are written as they are typed."""

from __future__ import annotations

import click

from pix2block.ground.advice import Advice, Ask
from pix2block.options.asking import flag_of

MOST_CHARACTERS = 600  # of a line that is printed


def echo(text: str, err: bool = False) -> None:
    """Print a line or lines. What a terminal would obey instead of showing it becomes a space, and
    a line that somebody's file made very long is cut in its middle."""
    lines = ("".join(c if c.isprintable() else " " for c in line) for line in text.split("\n"))
    click.echo("\n".join(map(_cut, lines)), err=err)


def _cut(line: str) -> str:
    half = MOST_CHARACTERS // 2
    return line if len(line) <= MOST_CHARACTERS else f"{line[:half]} … {line[-half:]}"


def typed(ask: Ask) -> str:
    """`--width 78`."""
    return ask.said(flag_of(ask.option))


def in_words(text: str) -> str:
    """A sentence, as it is printed."""
    return text.said(typed) if isinstance(text, Advice) else text


def note(text: str) -> str:
    """A note, in one line."""
    return f"Note: {' '.join(in_words(text).split())}"
